"""What is there: sessions, checklists and machine sheets, a line each.

Nothing here raises for a file that is broken; its line says so.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from inspect_tui.core.definitions import load as definitions
from inspect_tui.core.evaluation.evaluate_entries import evaluate_entries
from inspect_tui.errors import InspectError
from inspect_tui.files import definition_files
from inspect_tui.files.log import writer as log
from inspect_tui.files.store import Store, list_sessions


@dataclass(frozen=True, slots=True)
class SessionLine:
    """One session in a list."""

    id: str
    checklist: str
    machine: str
    by: str
    state: str
    """`open`, `signed`, or `broken` with the reason in `trouble`."""
    done: int
    steps: int
    last: datetime | None
    open_findings: int = 0
    trouble: str = ""


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


def sessions(places: Store) -> list[SessionLine]:
    """Every session in the store, the last used first."""
    lines = [_session(path) for path in list_sessions(places)]
    never = datetime.min.replace(tzinfo=UTC)
    return sorted(lines, key=lambda line: (line.last or never, line.id), reverse=True)


def _session(path: Path) -> SessionLine:
    try:
        contents = log.read(path)
        evaluated = evaluate_entries(contents.entries)
    except InspectError as error:
        return SessionLine(path.stem, "", "", "", "broken", 0, 0, None, trouble=error.message)
    session, results = evaluated.session, evaluated.results
    needed = [step for step in results.steps if step.state != "not-needed"]
    return SessionLine(
        path.stem, results.checklist.title, results.machine.name, session.by, session.state,
        sum(step.state != "open" for step in needed), len(needed), session.last,
        sum(finding.open for finding in results.findings),
        contents.problems[0] if contents.problems else "",
    )  # fmt: skip


def checklists(places: Store) -> list[DefinitionLine]:
    """Every checklist, by id; the person's own hide shipped ones of the same id."""
    lines = []
    for path in definition_files.list_all("checklist", places):
        own = path.parent == places.checklists
        try:
            library = definition_files.Lists(places, path.parent)
            loaded = definitions.load_checklist(
                definition_files.read_text(path), str(path), library
            )
        except InspectError as error:
            lines.append(DefinitionLine(path.stem, "", str(path), own, trouble=error.message))
            continue
        if loaded.compiled is None or not loaded.sound:
            lines.append(DefinitionLine(path.stem, "", str(path), own, trouble=_first(loaded)))
            continue
        checklist = loaded.compiled.checklist
        readings = sum(len(step.readings) for step in checklist.steps)
        lines.append(
            DefinitionLine(
                checklist.id, checklist.title, str(path), own, len(checklist.steps), readings
            )
        )
    return lines


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
