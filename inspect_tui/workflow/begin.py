"""Beginning a session: the texts that it is opened with, checked, and its id."""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable, Sequence
from datetime import datetime
from typing import Any

from inspect_tui import __version__
from inspect_tui.core.definitions import load as definitions
from inspect_tui.core.definitions.of_log import Compiled
from inspect_tui.core.definitions.own_items import with_items
from inspect_tui.core.definitions.problems import Problem
from inspect_tui.core.evaluation.job.acts import check_job_ids
from inspect_tui.core.model.log_entry import FORMAT, Entry
from inspect_tui.core.model.machine import Machine
from inspect_tui.core.text.formatting import join_words, pluralize
from inspect_tui.core.text.sanitize import required_text
from inspect_tui.errors import AlreadyThere, Refused
from inspect_tui.files import definition_files
from inspect_tui.files.store import Store, new_session_id
from inspect_tui.workflow.missing_figures import MissingFigures
from inspect_tui.workflow.session_log import SessionLog

_NAMED = 3


def begin(
    places: Store,
    checklist: str,
    machine: str,
    by: str,
    now: Callable[[], datetime],
    only: Sequence[str] = (),
    items: Sequence[str] = (),
) -> tuple[SessionLog, tuple[str, ...]]:
    """A new log with its `opened` entry, and what has to be said: figures that the sheet lacks.

    Args:
        places: The store.
        checklist: An id, or a file's path.
        machine: The same of a sheet.
        by: Who does it.
        now: The clock.
        only: The sections and steps that the job takes in; without one, all.
        items: Steps of one's own, a line each.

    Raises:
        BadInput: no such checklist, sheet, section or step, an item that can't be read, or nobody
            named.
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
    check_job_ids(listed.compiled.checklist, only)
    at = now()
    places.make()
    text = with_items(listed.composed.text, items)
    keys: dict[str, Any] = {"checklist": text, "machine": sheet_text}
    if only:
        keys["only"] = list(dict.fromkeys(only))
    ids = (sheet.machine.id, listed.compiled.checklist.id)
    log = _created(places, at, ids, keys, by, now)
    asked = {problem.lacking for problem in notes if problem.lacking}
    lacking = _lacking(places, listed.compiled, sheet.machine, asked)
    return log, (*lacking, *(problem.message for problem in notes if not problem.lacking))


def _lacking(
    places: Store, compiled: Compiled, machine: Machine, asked: Container[str]
) -> tuple[str, ...]:
    """The figures that are asked for and lack, in one sentence, as manuals call them."""
    found = MissingFigures(places).at_steps(compiled, machine).values()
    each = (figure for figures in found for figure in figures if figure.name in asked)
    labels = [f"'{label}'" for label in dict.fromkeys(figure.label for figure in each)]
    if not labels:
        return ()
    return (
        f"The sheet of {machine.name} lacks {pluralize(len(labels), 'figure')} that this list asks "
        f"for: {join_words(labels, most=_NAMED)}. Each is asked for at its step; until then "
        "its readings are kept, not judged.",
    )


def _created(
    places: Store, at: datetime, ids: tuple[str, str], own_keys: dict[str, Any], by: str,
    now: Callable[[], datetime],
) -> SessionLog:  # fmt: skip
    """The log under the first id that is free; of two that begin at once each gets its own."""
    passed: set[str] = set()
    while True:
        session = new_session_id(places, at.date(), *ids, passed)
        program = f"inspect-tui {__version__}"
        keys = {"format": FORMAT, "program": program, "session": session, **own_keys}
        try:
            return SessionLog.create(places.log(session), Entry(0, "opened", at, by, keys), now)
        except AlreadyThere:
            passed.add(session)


def _refuse_unsound(problems: Iterable[Problem]) -> None:
    errors = [str(problem) for problem in problems if not problem.note]
    if errors:
        raise Refused("\n".join(errors))
