"""Commands that only look: status, export, sessions."""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from pathlib import Path

from inspect_tui.commands.common import (
    look_again,
    opened,
    readable,
    reading_on,
    show,
    show_json,
    tell,
)
from inspect_tui.core.evaluation.job.plan import count_of
from inspect_tui.core.evaluation.validate import typed_as
from inspect_tui.core.model.results import DerivedRow, Finding, ReadingRow, Results, StepResult
from inspect_tui.core.presentation import wording
from inspect_tui.core.presentation.row_words import row_words
from inspect_tui.core.text.formatting import pluralize
from inspect_tui.errors import BadInput
from inspect_tui.files import atomic_write
from inspect_tui.report import read_export
from inspect_tui.workflow import catalogue

MARKS = {
    "open": "[ ]", "done": "[x]", "again": "[~]", "skipped": "[-]", "left-out": "[o]",
    "not-needed": "[n/a]",
}  # fmt: skip


def status(given: argparse.Namespace) -> int:
    """How far a session is."""
    with opened(given, write=False) as inspection:
        if given.json:
            session = replace(inspection.session, id=inspection.id)
            show_json(inspection.status())
            return 0
        session, results = inspection.session, inspection.results
        count = count_of(results.steps)
        state = wording.session_state(session.state, inspection.log.whole)
        show(
            f"{inspection.id}: {results.checklist.title} on {results.machine.name}, "
            f"{state}, {count.done} of {pluralize(count.of, 'step')}"
        )
        for step in results.steps:
            _show_step(results, step)
        for finding in results.findings:
            show(f"{_state(finding)} {finding.id}: {finding.text}")
        if session.signed is not None:
            show(f"Signed by {session.signed.by} on {session.signed.at:%Y-%m-%d %H:%M}.")
            for text in session.signed.open:
                show(f"Accepted as open: {text}")
        if results.left_out:
            show(results.left_out)
        if session.set_aside is not None:
            show(f"Set aside by {session.set_aside.by}: {session.set_aside.why}")
    return 0


def _state(finding: Finding) -> str:
    """`open, not decided`; `put right later, until first-ride`; `closed, run as found`."""
    if finding.decision is None:
        return "open, not decided" if finding.open else "closed"
    decided = wording.decision_words(finding.decision, finding.until)
    if not finding.open:
        return f"closed, {decided}"
    return decided if finding.counts else f"open, {decided} does not count yet"


def _show_waiting(result: StepResult) -> None:
    """What an open step still wants, as it is named when it is recorded."""
    step = result.step
    for reading in step.readings:
        cylinders = [cylinder for name, cylinder in result.waiting if name == reading.id]
        if not cylinders:
            continue
        of_each = ", ".join(f"@{each}" for each in cylinders if each is not None)
        show(f"      wanted: {step.id}.{reading.id}{of_each} = {typed_as(reading)}")


def _show_step(results: Results, result: StepResult) -> None:
    step = result.step
    why = f" ({result.why_skipped})" if result.why_skipped and result.state == "skipped" else ""
    if result.state == "again":
        upset = results.step(result.upset_by).step.title
        why = f" (to measure again as left: '{upset}' upset it)"
    show(f"{MARKS[result.state]} {step.id}: {step.title}{why}")
    rows: list[ReadingRow | DerivedRow] = [*results.readings, *results.derived]
    for row in rows:
        if row.step == step.id:
            name = row.reading if isinstance(row, ReadingRow) else row.id
            where = "" if row.cylinder is None else f"@{row.cylinder}"
            words = row.judged.words or ("no limit" if row.judged.zone is None else "not judged")
            show(f"      {name}{where} {row.phase.replace('-', ' ')}: {row_words(row)}; {words}")
    if result.state == "open":
        _show_waiting(result)


def export(given: argparse.Namespace) -> int:
    """Write the report."""
    to_stdout = given.output in (None, "-")
    if to_stdout and given.form == "pdf" and sys.stdout.isatty():
        raise BadInput(
            "A PDF is no text for a terminal.",
            "Write it into a file: -o report.pdf, or send stdout there: > report.pdf.",
        )
    with opened(given, write=False) as inspection:
        data = inspection.export(given.form, given.photo_metadata, given.with_log)
    if to_stdout:
        sys.stdout.flush()
        sys.stdout.buffer.write(data)
        sys.stdout.buffer.flush()
        return 0
    atomic_write.write(Path(given.output), data, read_export.is_export)
    tell(f"Written to {given.output}.")
    return 0


def sessions(given: argparse.Namespace) -> int:
    """The sessions in the store, the last used first."""
    store = readable(given)
    lines = catalogue.each_session(store, reading_on)
    if given.json:
        show_json(
            [
                {
                    "session": line.id, "checklist": line.checklist, "machine": line.machine,
                    "by": line.by, "state": line.state, "done": line.done, "steps": line.steps,
                    "last": None if line.last is None else line.last.isoformat(),
                    "open_findings": line.open_findings, "trouble": line.trouble,
                }
                for line in lines
            ]
        )  # fmt: skip
    else:
        shown_any = False
        for line in lines:
            last = "" if line.last is None else f", last used {line.last:%Y-%m-%d %H:%M}"
            trouble = f": {line.trouble}" if line.trouble else ""
            state = wording.SESSION_STATES.get(line.state, line.state)
            steps = pluralize(line.steps, "step")
            show(f"{line.id}  {state}, {line.done} of {steps}{last}{trouble}")
            shown_any = True
        if not shown_any:
            tell("No sessions yet: 'inspect-tui new CHECKLIST MACHINE --by NAME' begins one.")
    look_again(store)
    return 0
