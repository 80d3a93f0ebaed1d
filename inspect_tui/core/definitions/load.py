"""Text of a checklist or a machine sheet -> frozen models and every problem in one pass.

Pure: text in, models and problems out. Opening a session's log uses `compile_trusted` and
`trusted_machine`, which do not check dimensions again.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any

import msgspec

from inspect_tui.core.definitions import compile as compiling
from inspect_tui.core.definitions import decode, toml
from inspect_tui.core.definitions.checks import (
    check_checklist,
    check_facts,
    check_form,
    check_glossary,
    check_ids,
    check_inferences,
    check_limits,
    check_machine,
    check_machine_fit,
    check_meters,
)
from inspect_tui.core.definitions.checks.check_types import Types, check_types
from inspect_tui.core.definitions.compose import Composed, Library, compose, note_absent
from inspect_tui.core.definitions.defaults import explained_by, moves_of
from inspect_tui.core.definitions.problems import Problem, ProblemCollector
from inspect_tui.core.definitions.toml_positions import Path
from inspect_tui.core.expressions.expression import Expression
from inspect_tui.core.model.checklist import Checklist, Reading, Step
from inspect_tui.core.model.figures import Figures
from inspect_tui.core.model.machine import Machine
from inspect_tui.errors import BadInput, Refused

Limits = Mapping[str, Expression]
"""The sides of one limit that were written (`min`, `max`, `target`, `tolerance`, `equal`), each as
an expression; a bare number is in the reading's own unit there.

What `evaluate` gives: for numbers a Quantity (of a `tolerance` in degC a difference; `"5 %"` stays
a percentage); for `equal` of a check a bool; of a choice or text a str, or a tuple of str where
the file lists several."""


@dataclass(frozen=True)
class Compiled:
    """A checklist with every expression parsed once."""

    checklist: Checklist
    steps: Mapping[str, Step]
    only_if: Mapping[str, Expression]
    """By step id."""
    value: Mapping[tuple[str, str], Expression]
    """Derived values by (step, derived)."""
    limits: Mapping[tuple[str, str], Limits]
    """By (step, reading or derived)."""
    inference: Mapping[str, Expression]
    """By inference id."""
    moves: Mapping[tuple[str, str], tuple[str, ...]] = field(default_factory=dict)
    """By (step, setting): the readings of that step that one move changes together."""
    explains: Mapping[str, tuple[tuple[str, str], ...]] = field(default_factory=dict)
    """By inference id: the (step, value)s whose findings stand under it."""


@dataclass(frozen=True)
class Loaded:
    """What came of a file."""

    compiled: Compiled | None = None
    machine: Machine | None = None
    figures: Figures | None = None
    problems: tuple[Problem, ...] = ()
    """Errors and notes, in the order of the file."""
    composed: Composed | None = None
    """Of a checklist: it with what it takes from others. Its `text` is what a session is opened
    with."""

    @property
    def sound(self) -> bool:
        """Whether there is no problem but notes."""
        return all(problem.note for problem in self.problems)


def kind_of(text: str) -> str:
    """What a file wants to be: "checklist", "machine", "figures" or "drawing"."""
    return toml.wanted_kind(text)


def load_checklist(text: str, file: str, library: Library | None = None) -> Loaded:
    """A checklist alone; without a sheet `spec.NAME` and `machine.NAME` fit any dimension.

    `compiled` is there only where the file is sound.

    Args:
        text: The file's.
        file: As the person named it.
        library: The lists that it may take steps from; see `compose`.
    """
    data = toml.read(text, file)
    if isinstance(data, Problem):
        return Loaded(problems=(data,))
    complaints = ProblemCollector()
    check_form.check_form(data, complaints)
    composed = compose(data, text, library, complaints)
    if composed.taken:
        data = composed.data
        complaints.moved = composed.moved
        check_form.check_form(data, complaints)
    checklist = decode.checklist_of(data)
    check_ids.check_ids(checklist, complaints)
    check_checklist.check_meaning(data, checklist, complaints)
    check_meters.check_meters(checklist, complaints)
    check_glossary.check_figures(checklist.figure, complaints)
    described: dict[str, Path] = {name: ("figure", name) for name in checklist.figure}
    asked = check_glossary.asked_in(composed.text)
    check_glossary.check_asked(described, asked, complaints, "this list does not ask")
    parsed = compiling.parsed(checklist, complaints.add, composed.absent)
    note_absent(parsed, complaints)
    types = Types(parsed)
    check_types(parsed, types, complaints)
    check_inferences.check_grounds(parsed, complaints)
    check_limits.check_zones(parsed, types, complaints, cylinders=0)
    check_facts.check_facts(parsed, complaints)
    problems = complaints.problems(text, file)
    sound = all(problem.note for problem in problems)
    return Loaded(
        compiled=_compiled(parsed) if sound else None, problems=problems, composed=composed
    )


def load_machine(text: str, file: str, asked: Collection[str] | None = None) -> Loaded:
    """A machine sheet alone. `machine` is there only where the file is sound.

    Args:
        text: The file's.
        file: As the person named it.
        asked: The figures that lists ask for (`check_glossary.asked_in`), if others are noted.
    """
    data = toml.read(text, file)
    if isinstance(data, Problem):
        return Loaded(problems=(data,))
    complaints = ProblemCollector()
    check_form.check_sheet_form(data, complaints)
    check_machine.check_sheet(data, complaints)
    machine = decode.machine_of(data)
    if asked is not None:
        names: dict[str, Path] = {name: ("spec", name) for name in machine.spec}
        names |= {name: ("spec", "text", name) for name in machine.spec_text}
        check_glossary.check_asked(names, asked, complaints, "no list asks")
    problems = complaints.problems(text, file)
    sound = all(problem.note for problem in problems)
    return Loaded(machine=machine if sound else None, problems=problems)


def load_figures(text: str, file: str, asked: Collection[str] | None = None) -> Loaded:
    """A file of figures. `figures` is there only where the file is sound.

    Args:
        text: The file's.
        file: As the person named it.
        asked: The figures that lists ask for, if others are noted.
    """
    data = toml.read(text, file)
    if isinstance(data, Problem):
        return Loaded(problems=(data,))
    complaints = ProblemCollector()
    check_form.check_figures_form(data, complaints)
    figures = decode.figures_of(data)
    if figures.id:
        check_ids.check_form(("id",), figures.id, complaints)
    check_glossary.check_figures(figures.figure, complaints)
    check_glossary.check_facts(figures.fact, complaints)
    if not figures.figure and complaints.sound("figure"):
        complaints.add(
            ("figure",), "The file describes no figure; write one, headed [figure.NAME]."
        )
    if asked is not None:
        names: dict[str, Path] = {name: ("figure", name) for name in figures.figure}
        check_glossary.check_asked(names, asked, complaints, "no list asks")
    problems = complaints.problems(text, file)
    sound = all(problem.note for problem in problems)
    return Loaded(figures=figures if sound else None, problems=problems)


def check_together(
    checklist: Loaded, checklist_text: str, checklist_file: str, machine: Machine
) -> tuple[Problem, ...]:
    """Problems that only the pair has: dimensions of `spec.NAME`, lists of the wrong length; and
    notes: figures and facts that the sheet lacks.

    Nothing where the checklist has problems of its own: those come first.
    """
    if checklist.compiled is None:
        return ()
    complaints = ProblemCollector()
    assert checklist.composed is not None
    complaints.moved = checklist.composed.moved
    parsed = compiling.parsed(
        checklist.compiled.checklist, complaints.add, checklist.composed.absent
    )
    types = Types(parsed, machine)
    check_machine_fit.check_names(parsed, types, machine, complaints)
    check_types(parsed, types, complaints)
    check_limits.check_zones(parsed, types, complaints, len(machine.cylinders))
    return complaints.problems(checklist_text, checklist_file)


# --- of a log -------------------------------------------------------------------------------


# Sessions of one store have the same few lists and sheets, and what is made of them is frozen.
@lru_cache(maxsize=4)
def compile_trusted(text: str) -> Compiled:
    """The checklist text of a log, compiled without checking dimensions again.

    Lenient, so that an older or newer list still opens: unknown keys are left out, and an
    expression that can't be read has no value, with the reason.

    Raises:
        Refused: the text is no checklist any more.
    """
    checklist = decode.checklist_of(_trusted_data(text, "checklist"), of_log=True)
    if not checklist.steps:
        raise Refused("The log's checklist has no steps.")
    for section in checklist.section:
        for step in section.step:
            if not section.id or not step.id or not all(one.id for one in compiling.items(step)):
                raise Refused("The log's checklist has a section, step or reading without an id.")
    return _compiled(compiling.parsed(checklist, _unsaid, of_log=True))


def _unsaid(_path: Path, _error: BadInput) -> None:
    """The expression itself says why it has no value."""


def _compiled(parsed: compiling.Parsed) -> Compiled:
    steps: dict[str, Step] = {}
    for step in parsed.checklist.steps:
        steps.setdefault(step.id, step)
    return Compiled(
        parsed.checklist, steps, parsed.only_if, parsed.value, parsed.limits, parsed.inference,
        moves_of(parsed), explained_by(parsed),
    )  # fmt: skip


@lru_cache(maxsize=4)
def trusted_machine(text: str) -> Machine:
    """The machine text of a log. Raises Refused if it is no sheet."""
    data = _trusted_data(text, "machine sheet")
    machine = decode.machine_of(data)
    if not isinstance(data.get("cylinders"), list) or not all(machine.cylinders):
        raise Refused("The log's machine sheet names no cylinders.")
    if len(machine.cylinders) > check_machine.MAX_CYLINDERS:
        raise Refused("The log's machine sheet names too many cylinders.")
    return machine


def _trusted_data(text: str, what: str) -> dict[str, Any]:
    data = toml.read(text, f"The log's {what}")
    if isinstance(data, Problem):
        raise Refused(str(data))
    return data


# --- a step added on the spot ---------------------------------------------------------------


def add_step(
    compiled: Compiled, section_id: str, step_id: str, title: str, unit: str = ""
) -> Compiled:
    """The checklist with one more step at the end of a section; its reading is `value`.

    Args:
        compiled: The list as it is.
        section_id: Where the step goes; an unknown section puts it in the last one.
        step_id: `added-1` ...
        title: In a person's words; also the reading's label.
        unit: Of a number; without one the reading is a text.
    """
    reading = Reading("value", title, "number" if unit else "text", unit)
    step = Step(step_id, title, reading=(reading,))
    sections = list(compiled.checklist.section)
    place = next(
        (n for n, section in enumerate(sections) if section.id == section_id), len(sections) - 1
    )
    sections[place] = msgspec.structs.replace(sections[place], step=(*sections[place].step, step))
    checklist = msgspec.structs.replace(compiled.checklist, section=tuple(sections))
    return replace(compiled, checklist=checklist, steps={**compiled.steps, step_id: step})
