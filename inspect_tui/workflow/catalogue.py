"""What is there: sessions, checklists and machine sheets, a line each.

Nothing here raises for a file that is broken; its line says so.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import islice
from pathlib import Path

from inspect_tui.core.definitions import load as definitions
from inspect_tui.core.evaluation.evaluate_entries import evaluate_entries
from inspect_tui.core.model.checklist import Section, Step
from inspect_tui.errors import InspectError
from inspect_tui.files import definition_files
from inspect_tui.files.log import writer as log
from inspect_tui.files.store import Store, list_sessions
from inspect_tui.workflow import store_index
from inspect_tui.workflow.session_line import SessionLine, broken_line, line_of

__all__ = ["DefinitionLine", "SessionLine", "checklists", "machines", "sessions"]

_LOOKED_AT = 20
"""Sessions at most, for the name used last: one that can't be read names nobody."""


@dataclass(frozen=True, slots=True)
class StepLine:
    """One step of a section, as a job may take it in."""

    id: str
    title: str
    minutes: float = 0
    is_safety: bool = False
    """The sign-off wants it passed."""
    why: str = ""
    """Why it matters, as the list says."""
    also: str = ""
    """Other words by which it is found: its how and why, what it reads."""


@dataclass(frozen=True, slots=True)
class SectionLine:
    """One section of a checklist, as a job may take it in."""

    id: str
    title: str
    steps: int
    minutes: float
    """About how long, as far as its steps say."""
    safety: int = 0
    """Steps that the sign-off wants passed."""
    lines: tuple[StepLine, ...] = ()
    """Its steps."""


@dataclass(frozen=True, slots=True)
class DefinitionLine:
    """One checklist or machine sheet in a list."""

    id: str
    title: str
    path: str
    own: bool
    """The person's own rather than shipped."""
    steps: int = 0
    readings: int = 0
    cylinders: tuple[str, ...] = ()
    trouble: str = ""
    sections: tuple[SectionLine, ...] = ()
    """Of a checklist."""


def sessions(places: Store, most: int | None = None) -> list[SessionLine]:
    """The sessions in the store, the last used first.

    Args:
        places: The store.
        most: How many at the most; all without it.
    """
    return list(islice(each_session(places), most))


def name_used_last(places: Store) -> str:
    """Who opened the session used last, for the next one; "" in a store without a session."""
    return next((line.by for line in sessions(places, _LOOKED_AT) if line.by), "")


def each_session(
    places: Store, progress: store_index.Progress | None = None
) -> Iterator[SessionLine]:
    """The same one by one, the first while the rest is read.

    Args:
        places: The store.
        progress: Told how far the reading of changed logs is.
    """
    return store_index.each_line(places, lambda: _from_logs(places), progress)


def _from_logs(places: Store) -> list[SessionLine]:
    lines = [_session(path) for path in list_sessions(places)]
    never = datetime.min.replace(tzinfo=UTC)
    lines.sort(key=lambda line: (line.last or never, line.id), reverse=True)
    return lines


def _session(path: Path) -> SessionLine:
    try:
        contents = log.read(path)
        return line_of(path.stem, evaluate_entries(contents.entries), contents.problems)
    except InspectError as error:
        return broken_line(path.stem, error)


def checklists(places: Store) -> list[DefinitionLine]:
    """Every checklist, by id; the person's own hide shipped ones of the same id."""
    return [checklist(path, places) for path in definition_files.list_all("checklist", places)]


def checklist(path: Path, places: Store) -> DefinitionLine:
    """One checklist."""
    own = path.parent == places.checklists
    try:
        library = definition_files.Lists(places, path.parent)
        loaded = definitions.load_checklist(definition_files.read_text(path), str(path), library)
    except InspectError as error:
        return DefinitionLine(path.stem, "", str(path), own, trouble=error.message)
    if loaded.compiled is None or not loaded.sound:
        return DefinitionLine(path.stem, "", str(path), own, trouble=_first(loaded))
    found = loaded.compiled.checklist
    return DefinitionLine(
        found.id, found.title, str(path), own, len(found.steps),
        sum(len(step.readings) for step in found.steps),
        sections=tuple(map(_section, found.section)),
    )  # fmt: skip


def _section(section: Section) -> SectionLine:
    steps = section.step
    return SectionLine(
        section.id, section.title, len(steps), sum(step.minutes or 0 for step in steps),
        sum(step.is_safety for step in steps), tuple(map(_step, steps)),
    )  # fmt: skip


def _step(step: Step) -> StepLine:
    why = " ".join(step.why.split())
    labels = [*(each.label for each in step.readings), *(each.label for each in step.derived)]
    also = " ".join((step.id.replace("-", " ").replace("_", " "), *labels, step.how, why))
    return StepLine(step.id, step.title, step.minutes or 0, step.is_safety, why, also)


def machines(places: Store) -> list[DefinitionLine]:
    """Every machine sheet, by id."""
    lines = []
    for path in definition_files.list_all("machine", places):
        own = path.parent == places.machines
        try:
            loaded = definitions.load_machine(definition_files.read_text(path), str(path))
        except InspectError as error:
            lines.append(DefinitionLine(path.stem, "", str(path), own, trouble=error.message))
            continue
        machine = loaded.machine
        if machine is None or not loaded.sound:
            lines.append(DefinitionLine(path.stem, "", str(path), own, trouble=_first(loaded)))
            continue
        lines.append(
            DefinitionLine(machine.id, machine.name, str(path), own, cylinders=machine.cylinders)
        )
    return lines


def _first(loaded: definitions.Loaded) -> str:
    errors = [problem for problem in loaded.problems if not problem.note]
    return str(errors[0]) if errors else "it can't be read"
