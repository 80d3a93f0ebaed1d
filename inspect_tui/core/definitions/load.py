"""Text of a checklist or a machine sheet -> frozen models and every problem in one pass.

Pure: text in, models and problems out. A session's log is opened by `of_log`, which checks nothing
again.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

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
from inspect_tui.core.definitions.of_log import Compiled, compiled_of
from inspect_tui.core.definitions.problems import Problem, ProblemCollector
from inspect_tui.core.definitions.toml_positions import Path
from inspect_tui.core.model.figures import Figures
from inspect_tui.core.model.machine import Machine


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
        compiled=compiled_of(parsed) if sound else None, problems=problems, composed=composed
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
