"""Every problem of definition files named by path or id, alone and together."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from inspect_tui.core.definitions.checks.check_elsewhere import check_elsewhere
from inspect_tui.core.definitions.checks.check_glossary import asked_in
from inspect_tui.core.definitions.load import (
    Loaded,
    check_together,
    kind_of,
    load_checklist,
    load_figures,
    load_machine,
)
from inspect_tui.core.definitions.load_drawing import load_drawing
from inspect_tui.core.definitions.problems import Problem
from inspect_tui.core.model.drawing import MachineDrawing
from inspect_tui.core.text.formatting import join_words
from inspect_tui.core.text.sanitize import sanitize
from inspect_tui.core.text.suggestions import suggest
from inspect_tui.errors import BadInput, InspectError, Refused
from inspect_tui.files import definition_files
from inspect_tui.files.definition_files import Lists, id_of, read_text
from inspect_tui.files.disk import is_file
from inspect_tui.files.drawing_files import drawings
from inspect_tui.files.store import Store


@dataclass
class Checked:
    """What came of checking files."""

    problems: list[Problem] = field(default_factory=list)
    files: int = 0
    absent: list[str] = field(default_factory=list)
    """Sentences about what is not there; said last, so that nothing of the others is kept back."""

    @property
    def sound(self) -> bool:
        """Whether there is no problem but notes."""
        return all(problem.note for problem in self.problems)


def check_files(names: Sequence[str], places: Store) -> Checked:
    """Checks every file alone, and each checklist with each machine sheet.

    Args:
        names: Paths, or ids of checklists, sheets, files of figures and drawings.
        places: The person's store.
    """
    result = Checked()
    texts: dict[str, str] = {}
    for file in _files(names, places, result):
        result.files += 1
        try:
            texts[file] = read_text(Path(file))
        except Refused as error:
            result.problems.append(_unreadable(file, str(error)))
    kinds = {file: kind_of(text) for file, text in texts.items()}
    lists = {file: text for file, text in texts.items() if kinds[file] == "checklist"}
    sheets = _sheets_and_figures(texts, kinds, lists, places, result)
    for file, text in texts.items():
        if kinds[file] == "drawing":
            result.problems.extend(load_drawing(text, file).problems)
    _check_lists(lists, sheets, places, result)
    result.problems = list(dict.fromkeys(result.problems))
    return result


def _files(names: Iterable[str], places: Store, result: Checked) -> list[str]:
    """The files that are meant: those of that path, else all of that id."""
    found: dict[str, None] = {}
    missing: list[str] = []
    for name in dict.fromkeys(names):
        if is_file(Path(name)):
            found[name] = None
        elif definition_files.can_be_id(name):
            of_id = _of_id(name, places)
            found.update((str(path), None) for path in of_id)
            if not of_id:
                known = _known(places)
                hint = suggest(name, known) or f"known are {join_words(known, most=12)}."
                result.absent.append(
                    f"There is no file, checklist, machine sheet, file of figures or drawing "
                    f"'{sanitize(name)}'; {hint}"
                )
        else:
            missing.append(f"'{sanitize(name)}'")
    if missing:
        result.absent.append(f"There is no file {join_words(missing)}.")
    return list(found)


def _of_id(name: str, places: Store) -> list[Path]:
    found: list[Path] = []
    for kind in definition_files.KINDS:
        try:
            found.append(definition_files.find(kind, name, places))
        except BadInput:
            continue
    drawn = drawings(places).get(name)
    return found if drawn is None else [*found, drawn]


def _known(places: Store) -> list[str]:
    ids = [
        id_of(path)
        for kind in definition_files.KINDS
        for path in definition_files.list_all(kind, places)
    ]
    return list(dict.fromkeys([*ids, *sorted(drawings(places))]))


def _sheets_and_figures(
    texts: dict[str, str],
    kinds: dict[str, str],
    lists: dict[str, str],
    places: Store,
    result: Checked,
) -> list[Loaded]:
    """The machine sheets, loaded; what lists ask for is looked up only where it is wanted."""
    if not {"machine", "figures"} & set(kinds.values()):
        return []
    asked = asked_for(places, lists.values())
    sheets: list[Loaded] = []
    for file, text in texts.items():
        if kinds[file] == "machine":
            sheets.append(load_machine(text, file, asked))
            result.problems.extend(sheets[-1].problems)
        elif kinds[file] == "figures":
            result.problems.extend(load_figures(text, file, asked).problems)
    return sheets


def asked_for(places: Store, others: Iterable[str] = ()) -> set[str]:
    """The figures that any list asks for, as expressions write them.

    Args:
        places: The store whose lists count, with those that ship.
        others: Texts of further lists.
    """
    found: set[str] = set()
    for text in others:
        found |= asked_in(text)
    for path in definition_files.list_all("checklist", places):
        try:
            found |= asked_in(read_text(path))
        except InspectError:
            continue  # Its own problem, said where it is checked.
    return found


def _check_lists(
    lists: dict[str, str], sheets: list[Loaded], places: Store, result: Checked
) -> None:
    given = {id_of(Path(file)): text for file, text in lists.items()}
    drawn = _drawings(places)
    for file, text in lists.items():
        library = Lists(places, Path(file).parent, given)
        loaded = load_checklist(text, file, library)
        result.problems.extend(loaded.problems)
        if loaded.composed is not None:
            result.problems.extend(check_elsewhere(loaded.composed, text, file, library, drawn))
        for sheet in sheets:
            if loaded.compiled is not None and sheet.machine is not None:
                result.problems.extend(check_together(loaded, text, file, sheet.machine))


def _drawings(places: Store) -> dict[str, MachineDrawing | None]:
    found: dict[str, MachineDrawing | None] = {}
    for name, path in drawings(places).items():
        try:
            found[name] = load_drawing(read_text(path), str(path)).drawing
        except InspectError:
            found[name] = None
    return found


def _unreadable(name: str, reason: str) -> Problem:
    """A file that is no text, as a problem; its reason begins with the file and the line."""
    line, colon, rest = reason.removeprefix(f"{Path(name)}:").partition(": ")
    if colon and line.isdigit():
        return Problem(name, int(line), "", rest)
    return Problem(name, None, "", reason)
