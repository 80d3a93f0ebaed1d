"""Beginning a session: the texts that it is opened with, checked, and its id."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime

from inspect_tui import __version__
from inspect_tui.core.definitions import load as definitions
from inspect_tui.core.definitions.problems import Problem
from inspect_tui.core.model.log_entry import FORMAT, Entry
from inspect_tui.core.text.sanitize import required_text
from inspect_tui.errors import AlreadyThere, Refused
from inspect_tui.files import definition_files
from inspect_tui.files.store import Store, new_session_id
from inspect_tui.workflow.session_log import SessionLog


def begin(
    places: Store, checklist: str, machine: str, by: str, now: Callable[[], datetime]
) -> tuple[SessionLog, tuple[str, ...]]:
    """A new log with its `opened` entry, and what has to be said: figures that the sheet lacks.

    Raises:
        BadInput: no such checklist or sheet, or nobody named.
        Refused: problems in a file, each on a line.
        NotSaved: the disk did not take it.
    """
    by = required_text("who does the inspection", by)
    list_path = definition_files.find("checklist", checklist, places)
    list_text = definition_files.read_text(list_path)
    library = definition_files.Lists(places, list_path.parent)
    listed = definitions.load_checklist(list_text, str(list_path), library)
    _refuse_unsound(listed.problems)
    sheet_path = definition_files.find("machine", machine, places)
    sheet_text = definition_files.read_text(sheet_path)
    sheet = definitions.load_machine(sheet_text, str(sheet_path))
    _refuse_unsound(sheet.problems)
    assert sheet.machine is not None and listed.compiled is not None
    assert listed.composed is not None
    notes = definitions.check_together(listed, list_text, str(list_path), sheet.machine)
    _refuse_unsound(notes)
    at = now()
    places.make()
    log = _created(
        places, at, (sheet.machine.id, listed.compiled.checklist.id),
        {"checklist": listed.composed.text, "machine": sheet_text}, by, now,
    )  # fmt: skip
    return log, tuple(problem.message for problem in notes)


def _created(
    places: Store, at: datetime, ids: tuple[str, str], texts: dict[str, str], by: str,
    now: Callable[[], datetime],
) -> SessionLog:  # fmt: skip
    """The log under the first id that is free; of two that begin at once each gets its own."""
    passed: set[str] = set()
    while True:
        session = new_session_id(places, at.date(), *ids, passed)
        keys = {
            "format": FORMAT, "program": f"inspect-tui {__version__}", "session": session, **texts,
        }  # fmt: skip
        try:
            return SessionLog.create(places.log(session), Entry(0, "opened", at, by, keys), now)
        except AlreadyThere:
            passed.add(session)


def _refuse_unsound(problems: Iterable[Problem]) -> None:
    errors = [str(problem) for problem in problems if not problem.note]
    if errors:
        raise Refused("\n".join(errors))
