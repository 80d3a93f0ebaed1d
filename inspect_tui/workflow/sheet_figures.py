"""Figures that go into a machine's sheet: typed, understood, put into the file and the log."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from inspect_tui.core.definitions import load as definitions
from inspect_tui.core.definitions.checks.check_ids import ID
from inspect_tui.core.definitions.sheets import edit_sheet
from inspect_tui.core.definitions.sheets.typed_figure import TypedFigure, expected_of, typed_figure
from inspect_tui.core.definitions.spec_values import written
from inspect_tui.core.evaluation.diff import changed_in_words, changed_verdicts
from inspect_tui.core.model.machine import Fact, Machine
from inspect_tui.core.text.formatting import join_words
from inspect_tui.core.text.sanitize import ellipsize, required_text
from inspect_tui.core.text.suggestions import suggest
from inspect_tui.errors import BadInput, NotSaved, Refused
from inspect_tui.files.own_definitions import change_sheet
from inspect_tui.files.store import Store
from inspect_tui.workflow import job
from inspect_tui.workflow.missing_figures import glossary_of
from inspect_tui.workflow.sheets import Lists, lists_of, sound_sheet

if TYPE_CHECKING:
    from inspect_tui.workflow.inspection import Inspection


@dataclass(frozen=True, slots=True)
class Given:
    """One figure as it was typed: `main_jet@PTO=240`."""

    name: str
    cylinder: str | None
    text: str


@dataclass(frozen=True, slots=True)
class Taken:
    """One figure as it was understood."""

    name: str
    """As the sheet writes it."""
    cylinder: str | None
    figure: TypedFigure


def given_of(texts: Iterable[str], machine: Machine) -> list[Given]:
    """`NAME[@CYLINDER]=VALUE` each. Cylinder names may hold any character, `=` too.

    Raises:
        BadInput: one has not that form, or names a cylinder that the machine does not have.
    """
    found: list[Given] = []
    for text in texts:
        head = text.partition("=")[0]
        name, at, _ = head.partition("@")
        rest = text[len(name) :]
        cylinder: str | None = None
        if at:
            known = sorted(machine.cylinders, key=len, reverse=True)
            named = next((one for one in known if rest[1:].startswith(f"{one}=")), None)
            if named is None:
                wanted = rest[1:].partition("=")[0]
                hint = suggest(wanted, machine.cylinders)
                there = join_words(machine.cylinders) or "none"
                raise BadInput(
                    f"The machine has no cylinder '{ellipsize(wanted)}'.",
                    f"{hint[:1].upper()}{hint[1:]}" if hint else f"It has {there}.",
                )
            cylinder, rest = named, rest[1 + len(named) :]
        if not ID.fullmatch(name) or not rest.startswith("="):
            raise BadInput(
                f"'{ellipsize(text)}' is no figure.",
                "Write NAME=VALUE, or NAME@CYLINDER=VALUE, such as belt_width_min='31.5 mm'.",
            )
        found.append(Given(name, cylinder, rest[1:]))
    doubled = [one for one in found if [(o.name, o.cylinder) for o in found].count(
        (one.name, one.cylinder)) > 1]  # fmt: skip
    if doubled:
        raise BadInput(f"{doubled[0].name} is given twice.", "Give each figure once.")
    return found


def understood(given: Iterable[Given], machine: Machine, lists: Lists) -> list[Taken]:
    """What the typed figures are, by what is known of them. Raises BadInput."""
    taken: list[Taken] = []
    names = {written(name): name for name in (*machine.spec, *machine.spec_text)}
    for one in given:
        name = names.get(written(one.name), one.name)
        key = written(name)
        expected = expected_of(name, machine, lists.glossary.get(key), lists.held_against(key))
        figure = typed_figure(name, one.text, machine, expected, one.cylinder)
        taken.append(Taken(name, one.cylinder, figure))
    return taken


def with_taken(text: str, taken: Iterable[Taken], source: str, machine: Machine) -> str:
    """A sheet's text with the figures, each with its source.

    Raises:
        BadInput: the sheet would have a problem that it has not.
        Refused: it is written so that it can't be changed here.
    """
    made = text
    for one in taken:
        place = None
        if one.cylinder is not None and one.cylinder not in machine.cylinders:
            raise Refused(f"The sheet in the store has no cylinder '{ellipsize(one.cylinder)}'.")
        if one.cylinder is not None:
            place = machine.cylinders.index(one.cylinder), len(machine.cylinders)
        made = edit_sheet.set_figure(
            made, one.name, one.figure.value, words=one.figure.words, place=place
        )
        if source:
            made = edit_sheet.set_source(made, one.name, source)
    if made != text:
        sound_sheet(made)
    return made


def set_figures(
    places: Store,
    machine: str,
    texts: Sequence[str],
    source: str,
    lists: Lists | None = None,
) -> tuple[list[Taken], list[str]]:
    """Figures into a machine's sheet, all or none; one that ships is copied first.

    Args:
        places: The person's store.
        machine: The machine's id, or its sheet's path.
        texts: Each `NAME[@CYLINDER]=VALUE`.
        source: Where they come from.
        lists: What lists say of figures, where that is known already.

    Returns:
        What was understood, and what has to be said: figures that no list asks for.

    Raises:
        BadInput: something is no figure, or does not fit; nothing was changed.
        Refused: the sheet has problems, or can't be changed here.
        NotSaved: the disk did not take it.
    """
    source = required_text("the source", source)
    lists = lists or lists_of(places, asking=_names(texts))
    taken: list[Taken] = []

    def edit(text: str) -> str:
        loaded = definitions.load_machine(text, machine)
        if loaded.machine is None:
            raise Refused("\n".join(str(one) for one in loaded.problems if not one.note))
        taken[:] = understood(given_of(texts, loaded.machine), loaded.machine, lists)
        return with_taken(text, taken, source, loaded.machine)

    change_sheet(machine, places, edit)
    return taken, unasked(taken, lists)


def _names(texts: Iterable[str]) -> set[str]:
    """The figures that are named, as expressions write them."""
    return {written(text.partition("=")[0].partition("@")[0]) for text in texts}


def unasked(taken: Iterable[Taken], lists: Lists) -> list[str]:
    """A sentence for each figure that no list asks for, with the nearest name that one does."""
    asked = lists.asked | set(lists.asking)
    said = []
    for name in dict.fromkeys(one.name for one in taken):
        if written(name) not in asked:
            hint = suggest(written(name), asked)
            said.append(f"No list asks for {name}{f'; {hint}' if hint else '.'}")
    return said


def _for_log(one: Taken) -> job.TypedFigure:
    """A figure as the log takes it: as it was understood, with the unit that the glossary gave."""
    value = one.figure.value
    text = "; ".join(map(str, value)) if isinstance(value, tuple) else str(value)
    return job.TypedFigure(one.name, one.cylinder, text)


def check_figure_of_session(places: Store, inspection: Inspection, text: str) -> None:
    """Whether a figure could go into an open session; nothing is written.

    Args:
        places: The person's store.
        inspection: The session.
        text: `NAME[@CYLINDER]=VALUE`.

    Raises:
        BadInput: it is no figure, or does not fit.
    """
    machine, compiled = inspection.machine, [inspection.compiled]
    lists = Lists(compiled, glossary_of(places, compiled))
    for one in understood(given_of([text], machine), machine, lists):
        inspection.job.check_figure(_for_log(one))


def set_figures_of_session(
    places: Store,
    inspection: Inspection,
    texts: Sequence[str],
    source: str,
    *,
    for_screen: bool = False,
) -> tuple[list[Taken], list[str]]:
    """Figures into an open session's log and its machine's sheet, all or none.

    The log is written once it is sure that the sheet's file can be changed; where its disk then
    fails all the same, the log has them, and that is said. A machine that has no
    sheet here, since the session comes from another computer, gets the session's.

    Args:
        places: The person's store.
        inspection: The session, open for writing.
        texts: Each `NAME[@CYLINDER]=VALUE`.
        source: Where they come from.
        for_screen: What has to be said names steps and readings in words, without ids.

    Returns:
        What was understood, and what has to be said: verdicts that changed, figures that no list
        asks for.

    Raises:
        BadInput: something is no figure, or does not fit; nothing was written.
        Refused: the session takes nothing more, or the sheet can't be changed here.
        NotSaved: the disk did not take it.
    """
    source = required_text("the source", source)
    machine = inspection.machine
    lists = Lists() if for_screen else lists_of(places, asking=_names(texts))
    lists.compiled.insert(0, inspection.compiled)
    if for_screen:  # it asks for what its list does, and for what the sheet has
        lists.glossary = glossary_of(places, lists.compiled)
    before = inspection.results
    taken = understood(given_of(texts, machine), machine, lists)
    figures = [_for_log(one) for one in taken]

    def write(text: str, machine: Machine) -> tuple[str, Callable[[], Iterable[str]]]:
        made = with_taken(text, taken, source, machine)
        return made, lambda: inspection.job.figures(figures, source)

    said = _into_both(places, inspection, write)
    if for_screen:
        told = changed_verdicts(before, inspection.results)
        words = changed_in_words(before, inspection.results)
        return taken, [*words, *(one for one in said if one not in told)]
    return taken, [*said, *unasked(taken, lists)]


Change = Callable[[str, Machine], tuple[str, Callable[[], Iterable[str]]]]
"""A sheet's text and machine -> the text as it is to be, and what writes the log."""


def _into_both(places: Store, inspection: Inspection, change: Change) -> list[str]:
    """A change of the sheet's file and the session's log; see `set_figures_of_session`."""
    said: list[str] = []
    logged = False
    machine = inspection.machine

    def edit(text: str) -> str:
        nonlocal logged
        loaded = definitions.load_machine(text, machine.id)
        if loaded.machine is None:
            raise Refused("\n".join(str(one) for one in loaded.problems if not one.note))
        made, log = change(text, loaded.machine)
        said.extend(log())
        logged = True
        return made

    try:
        change_sheet(machine.id, places, edit, else_text=inspection.session.machine_text)
    except NotSaved as error:
        if not logged:
            raise
        said.append(
            f"{error.message} The session has the figures; for the sheet enter them again: "
            f"inspect-tui figure {machine.id} NAME=VALUE --source TEXT."
        )
    return said


# --- facts ----------------------------------------------------------------------------------


def with_typed_fact(text: str, name: str, fact: Fact, source: str) -> str:
    """A sheet's text with a fact and where it comes from. Raises Refused, BadInput."""
    made = edit_sheet.set_fact(text, name, fact)
    if source:
        made = edit_sheet.set_source(made, name, source)
    if made != text:
        sound_sheet(made)
    return made


def set_fact(places: Store, machine: str, name: str, fact: Fact, source: str) -> None:
    """A fact into a machine's sheet; one that ships is copied first.

    Raises:
        BadInput: there is no such machine, or no source.
        Refused: the sheet can't be changed here.
        NotSaved: the disk did not take it.
    """
    source = required_text("the source", source)
    change_sheet(machine, places, lambda text: with_typed_fact(text, name, fact, source))


def set_fact_of_session(
    places: Store, inspection: Inspection, name: str, fact: Fact, source: str
) -> list[str]:
    """A fact into an open session's log and its machine's sheet; what has to be said, in words.

    Raises:
        BadInput: it doesn't fit the list, or no source; nothing was written.
        Refused: the session takes nothing more, or the sheet can't be changed here.
        NotSaved: the disk did not take it.
    """
    source = required_text("the source", source)
    before = inspection.results

    def write(text: str, machine: Machine) -> tuple[str, Callable[[], Iterable[str]]]:
        def log() -> Iterable[str]:
            inspection.job.fact(name, fact, source)
            return ()

        return with_typed_fact(text, name, fact, source), log

    said = _into_both(places, inspection, write)
    return [*changed_in_words(before, inspection.results), *said]
