"""A list that takes in steps or sections of others: `use = "LIST:STEP"`.

The list as composed is data and text of its own, and the text is what a session is opened with, so
that a log never depends on another list's file. One step or section stands in the place of each
`use`, so that places in the composed list are those of the file that a person wrote.

What is not taken: references to steps that are not there are dropped; a reading that is not there
counts as not measured; an inference comes along where all its readings do, and what is said of a
figure where a step that came asks for it. The other list's cautions stay with it, since they speak
of its whole job.
"""

from __future__ import annotations

import copy
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Protocol

from inspect_tui.core.definitions import toml
from inspect_tui.core.definitions.checks.check_glossary import asked_in
from inspect_tui.core.definitions.compile import OWNERS, Parsed, items
from inspect_tui.core.definitions.composed_text import text_of
from inspect_tui.core.definitions.decode import tables
from inspect_tui.core.definitions.problems import Problem, ProblemCollector
from inspect_tui.core.definitions.sheets.write_toml import document
from inspect_tui.core.definitions.spec_values import written
from inspect_tui.core.definitions.toml_positions import Path
from inspect_tui.core.expressions.expression import Name
from inspect_tui.core.model.declaration import ID
from inspect_tui.core.text.sanitize import ellipsize
from inspect_tui.core.text.suggestions import suggest
from inspect_tui.errors import InspectError

Table = dict[str, Any]
_USE = re.compile(rf"({ID}):({ID})")
_QUOTED = re.compile(r"'[^']*'|\"[^\"]*\"")
_DOTTED = re.compile(r"(?<![\w.])([A-Za-z_]\w*)\s*\.\s*([A-Za-z_]\w*)")
MAX_DEPTH = 8
"""Lists that may take from each other in a row."""


class Library(Protocol):
    """Other lists, by their ids."""

    def text(self, list_id: str) -> str | None:
        """The text of a list; None where there is none. May raise InspectError."""

    def ids(self) -> Iterable[str]:
        """The lists that there are."""


@dataclass
class Composed:
    """A list with what it takes from others."""

    data: Table
    text: str
    taken: dict[Path, str] = field(default_factory=dict)
    """By the place of what was taken, or came along: its source, `pre-season:belt-width`."""
    moved: dict[Path, tuple[Path, str]] = field(default_factory=dict)
    """By the same: the place of its `use` in the file, and its source."""
    absent: dict[str, Name] = field(default_factory=dict)
    """Values of other lists that were not taken, by `step.value` as expressions write it."""


def uses(data: Mapping[str, Any]) -> bool:
    """Whether a list takes in anything."""
    return next(_places(data), None) is not None


def compose(
    data: Table,
    text: str,
    library: Library | None,
    complaints: ProblemCollector,
    trail: tuple[str, ...] = (),
) -> Composed:
    """The list as composed; what can't be taken in is said at its `use`, which then stays.

    Args:
        data: Of the file.
        text: Of the file.
        library: Where other lists are found; None where there are none.
        complaints: Takes the problems.
        trail: The lists that are being composed.
    """
    if not uses(data):
        return Composed(data, text)
    result = Composed(copy.deepcopy(data), text)
    trail = (*trail, str(data.get("id", "")))
    sources: dict[str, _Source] = {}
    for place, use in _places(data):
        if not complaints.sound(*place, "use"):
            continue
        found = _find(use, place, library, sources, complaints, trail)
        if found is None:
            continue
        source, piece = found
        _put(result.data, place, piece)
        source.place = source.place or place
        result.taken[place] = use
        result.moved[place] = (*place, "use"), use
        for step in [piece] if len(place) == 4 else tables(piece, "step"):
            source.steps.append(dict(step))
    for source in sources.values():
        _bring_along(result, source)
    _trim(result)
    for source in sources.values():
        result.absent.update(_not_taken(source, result.data))
    result.text = _checked_text(data, text, result)
    return result


@dataclass
class _Source:
    """Another list, and what is taken from it."""

    id: str
    data: Table
    absent: dict[str, Name]
    steps: list[Table] = field(default_factory=list)
    place: Path = ()
    """Where it is first used."""


def _places(data: Mapping[str, Any]) -> Iterator[tuple[Path, str]]:
    """Each `use` that is a text, with the place of its table."""
    for number, section in enumerate(tables(data, "section")):
        if isinstance(section.get("use"), str):
            yield ("section", number), section["use"]
            continue
        for at, step in enumerate(tables(section, "step")):
            if isinstance(step.get("use"), str):
                yield ("section", number, "step", at), step["use"]


def _find(
    use: str,
    place: Path,
    library: Library | None,
    sources: dict[str, _Source],
    complaints: ProblemCollector,
    trail: tuple[str, ...],
) -> tuple[_Source, Table] | None:
    """The step or section that a `use` names, or None with the problem said."""
    kind, other = ("step", "section") if len(place) == 4 else ("section", "step")
    path = (*place, "use")
    match = _USE.fullmatch(use)
    if match is None:
        example = "pre-season:belt-width" if kind == "step" else "pre-season:brake"
        complaints.add(
            path,
            f"'{ellipsize(use)}' names no {kind} of another list; write LIST:{kind.upper()}, such "
            f"as {example}.",
        )
        return None
    list_id, name = match.groups()
    source = sources.get(list_id)
    if source is None:
        source = _source(list_id, path, library, complaints, trail)
        if source is None:
            return None
        sources[list_id] = source
    pieces = {"step": _steps(source.data), "section": tables(source.data, "section")}
    for piece in pieces[kind]:
        if piece.get("id") == name:
            return source, copy.deepcopy(dict(piece))
    known = [str(piece.get("id", "")) for piece in pieces[kind]]
    if any(piece.get("id") == name for piece in pieces[other]):
        header = "[[section]]" if other == "section" else "[[section.step]]"
        complaints.add(
            path,
            f"'{ellipsize(name)}' is a {other} of '{list_id}'; write it in place of a {other}, "
            f"under {header}.",
        )
    else:
        hint = suggest(name, known) or f"write the id of a {kind} of that list."
        complaints.add(path, f"The list '{list_id}' has no {kind} '{ellipsize(name)}'; {hint}")
    return None


def _source(
    list_id: str,
    path: Path,
    library: Library | None,
    complaints: ProblemCollector,
    trail: tuple[str, ...],
) -> _Source | None:
    """Another list, itself composed, or None with the problem said."""
    if list_id in trail or len(trail) > MAX_DEPTH:
        circle = " -> ".join(map(ellipsize, (*trail, list_id)))
        complaints.add(path, f"Lists take from each other in a circle, {circle}; leave one out.")
        return None
    try:
        text = None if library is None else library.text(list_id)
    except InspectError as error:
        complaints.add(path, f"The list '{list_id}' can't be read: {error}")
        return None
    if library is None or text is None:
        hint = suggest(list_id, library.ids() if library else ()) or "write the id of a checklist."
        complaints.add(path, f"There is no checklist '{ellipsize(list_id)}'; {hint}")
        return None
    data = toml.read(text, list_id)
    inner = ProblemCollector()
    composed = Composed({}, "")
    if not isinstance(data, Problem):
        composed = compose(data, text, library, inner, trail)
    if isinstance(data, Problem) or inner.found:
        why = (
            data.message if isinstance(data, Problem) else inner.problems(text, list_id)[0].message
        )
        complaints.add(path, f"The list '{list_id}' can't be taken from: {why}")
        return None
    return _Source(list_id, composed.data, composed.absent)


def _steps(data: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    return [step for section in tables(data, "section") for step in tables(section, "step")]


def _put(data: Table, place: Path, piece: Table) -> None:
    """The piece in the place of its `use`."""
    sections = data["section"]
    if len(place) == 2:
        sections[place[1]] = piece
    else:
        sections[place[1]]["step"][place[3]] = piece


def note_absent(parsed: Parsed, complaints: ProblemCollector) -> None:
    """Notes each value that an expression names and that was not taken."""
    there = {(step.id, value.id) for step in parsed.checklist.steps for value in items(step)} | {
        (step.id, setting.id) for step in parsed.checklist.steps for setting in step.setting
    }
    for placed in parsed.placed:
        for name in sorted(placed.expression.names, key=lambda name: (name.step, name.id)):
            if name.where == "value" and (name.step, name.id) not in there:
                complaints.add(
                    placed.path,
                    f"'{ellipsize(placed.expression.text)}' asks for {name.step}.{name.id}, which "
                    "was not taken; it counts as not measured.",
                    note=True,
                )


# --- what comes along, and what is dropped ---------------------------------------------------


def _bring_along(result: Composed, source: _Source) -> None:
    """Inferences whose readings are all there, and what is said of figures that are asked for."""
    mine = result.data.get("inference", [])
    own = {one.get("id") for one in tables(result.data, "inference")}
    taken = {written(str(step.get("id", ""))): step for step in source.steps}
    for inference in tables(source.data, "inference"):
        readings = _readings(str(inference.get("when", "")), taken)
        if readings and readings <= set(taken) and inference.get("id") not in own:
            if not isinstance(mine, list):
                return
            mine = [*mine, copy.deepcopy(dict(inference))]
            _note_home(result, ("inference", len(mine) - 1), source, str(inference.get("id", "")))
    if mine:
        result.data["inference"] = mine
    asked = asked_in(document({"step": source.steps, "inference": mine}))
    figures = source.data.get("figure")
    known = result.data.get("figure", {})
    if not isinstance(figures, dict) or not isinstance(known, dict):
        return
    there = {written(name) for name in known}
    for name, about in figures.items():
        if written(name) in asked and written(name) not in there:
            known = {**known, name: copy.deepcopy(about)}
            _note_home(result, ("figure", name), source, name)
    if known:
        result.data["figure"] = known


def _note_home(result: Composed, place: Path, source: _Source, name: str) -> None:
    result.taken[place] = f"{source.id}:{name}"
    result.moved[place] = (*source.place, "use"), result.taken[place]


def _readings(text: str, taken: Mapping[str, Table]) -> set[str]:
    """The steps whose values an expression rests on, through derived values of what is taken."""
    found: set[str] = set()
    waiting = [text]
    seen: set[tuple[str, str]] = set()
    while waiting:
        for step, value in _DOTTED.findall(_QUOTED.sub("''", waiting.pop())):
            if (step, value) in seen or (step in OWNERS and step not in taken):
                continue
            seen.add((step, value))
            found.add(step)
            for derived in tables(taken.get(step, {}), "derived"):
                if written(str(derived.get("id", ""))) == value:
                    waiting.append(str(derived.get("value", "")))
    return found


def _trim(result: Composed) -> None:
    """References of what was taken to steps and values that are not there."""
    there = {str(step.get("id", "")) for step in _steps(result.data)}
    values = {
        f"{step.get('id')}.{value.get('id')}"
        for step in _steps(result.data)
        for value in (*_values(step), {"id": "done"})
    }
    for place in result.taken:
        piece: Any = result.data
        for key in place:
            piece = piece[key]
        for one in tables(piece, "step") if len(place) == 2 and place[0] == "section" else [piece]:
            for key, known in (
                ("after", there), ("disturbed_by", there), ("look_at", there), ("explains", values),
            ):  # fmt: skip
                if isinstance(one.get(key), list):
                    _keep(one, key, known)  # type: ignore[arg-type]


def _keep(table: Table, key: str, known: set[str]) -> None:
    kept = [one for one in table[key] if one in known]
    if kept:
        table[key] = kept
    else:
        del table[key]


def _values(step: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    return [*tables(step, "reading"), *tables(step, "derived")]


def _not_taken(source: _Source, data: Table) -> dict[str, Name]:
    """The values of a list's steps that were not taken."""
    there = {step.get("id") for step in _steps(data)}
    found = {key: name for key, name in source.absent.items() if name.step not in there}
    for step in _steps(source.data):
        name = str(step.get("id", ""))
        if name in there:
            continue
        for value in _values(step) or [{"id": "done"}]:
            of = str(value.get("id", ""))
            found[f"{written(name)}.{written(of)}"] = Name("value", name, of)
    return found


def _checked_text(data: Table, text: str, result: Composed) -> str:
    """The composed list's text: the person's own with the pieces put in, where that reads back."""
    pieces = {}
    for place in result.taken:
        piece: Any = result.data
        for key in place:
            piece = piece[key]
        pieces[place] = piece
    made = text_of(text, pieces, result.taken)
    if made is not None and toml.read(made, "") == result.data:
        return made
    return document(result.data)
