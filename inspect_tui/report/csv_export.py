"""The report as CSV (RFC 4180, UTF-8): one row a thing, its kind in the column `row`.

A text that a spreadsheet would take for a formula gets an apostrophe before it; numbers that the
program writes stand as plain numbers.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from datetime import datetime

from inspect_tui.core.model.log_entry import Entry
from inspect_tui.core.presentation import wording
from inspect_tui.core.session.replay import Note
from inspect_tui.core.text.visible import visible
from inspect_tui.report.content.report import Report
from inspect_tui.report.content.rows import Line, Stood
from inspect_tui.report.content.steps import StepReport
from inspect_tui.report.status import Plain, plain

COLUMNS = (
    "row", "section", "step", "item", "label", "cylinder", "phase", "entered", "value", "unit",
    "uncertainty", "limit_low", "limit_high", "limit", "verdict", "probability", "off_limit",
    "state", "gauge", "text", "decision", "until", "open", "by", "at",
)  # fmt: skip
FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
"""How a cell begins that some spreadsheet works out."""

Cell = Plain | datetime
Row = dict[str, Cell]


def write(report: Report) -> bytes:
    """The report as CSV."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for row in _rows(report):
        writer.writerow([cell(row.get(column)) for column in COLUMNS])
    return out.getvalue().encode()


def cell(value: Cell) -> str:
    """One cell: a number as it is, an answer as true or false, a text that is no formula."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return repr(value)
    if isinstance(value, datetime):
        return value.isoformat()
    shown = visible(value)
    return f"'{shown}" if value.startswith(FORMULA) or shown.startswith(FORMULA) else shown


def _rows(report: Report) -> Iterator[Row]:
    for label, text in report.fields:
        yield {"row": "title", "label": label, "text": text}
    yield from _page_one(report)
    yield {"row": "safety", "text": wording.SAFETY}
    for caution in report.cautions:
        confirmed = report.cautions_confirmed
        yield {
            "row": "caution",
            "text": caution,
            "state": "not confirmed" if confirmed is None else "confirmed",
            "by": None if confirmed is None else confirmed.by,
            "at": None if confirmed is None else confirmed.at,
        }
    for label, text in report.conditions:
        yield {"row": "condition", "label": label, "text": text}
    yield from _findings(report)
    for section in report.sections:
        for step in section.steps:
            yield from _step(section.id, step, report.extras.with_log)
    yield from _ending(report)


def _page_one(report: Report) -> Iterator[Row]:
    """What page one answers."""
    signed, page = report.session.signed, report.page_one
    for stop in page.stops:
        yield {
            "row": "not to be ridden", "step": stop.step, "label": stop.gate or None,
            "state": stop.trouble, "text": stop.words,
        }  # fmt: skip
    for left in page.left_before:
        yield {
            "row": "not to be ridden", "label": left.gate or None, "state": "open earlier",
            "text": left.words,
        }  # fmt: skip
    if signed is None:
        yield {"row": "sign-off", "state": "open", "text": report.signed_words}
    else:
        yield {
            "row": "sign-off", "state": "signed", "text": signed.accepted, "by": signed.by,
            "at": signed.at,
        }  # fmt: skip
        for step, words in signed.accepted_steps.items():
            yield {"row": "accepted", "item": step, "text": words, "by": signed.by, "at": signed.at}
    for text in report.still_open:
        yield {"row": "open", "text": text}
    for one in page.put_right:
        yield {"row": "put right", "item": one.finding.id, "text": one.words}
    for part in report.parts:
        yield {
            "row": "part", "label": part.part, "value": part.quantity, "text": part.number,
            "state": part.state,
        }  # fmt: skip
    for line in report.card:
        for value in line.values:
            named: Row = {
                "step": line.step, "item": line.item, "label": line.label,
                "cylinder": value.cylinder,
            }  # fmt: skip
            for phase, text in (("as-found", value.found), ("as-left", value.left)):
                if text:
                    yield {
                        "row": "set-up", **named, "phase": phase, "text": text,
                        "limit": value.sheet,
                    }  # fmt: skip
    if page.left_out:
        yield {"row": "left out", "text": page.left_out}
    for note in report.session.addenda:
        yield {"row": "addendum", **_note(note)}


def _step(section: str, step: StepReport, with_log: bool) -> Iterator[Row]:
    where: Row = {"section": section, "step": step.step.id}
    yield {
        **where,
        "row": "step",
        "label": step.step.title,
        "state": step.result.state,
        "text": step.result.why_skipped,
        "verdict": "fail" if step.result.failed else "uncertain" if step.result.uncertain else None,
    }
    if step.step.caution:
        yield {
            **where,
            "row": "caution",
            "text": step.step.caution,
            "state": "not confirmed" if step.confirmed is None else "confirmed",
            "by": None if step.confirmed is None else step.confirmed.by,
            "at": None if step.confirmed is None else step.confirmed.at,
        }
    for advice in step.result.advice:
        yield {**where, "row": "advice", "text": advice}
    for line in step.lines:
        yield from _line(where, line, with_log)
    for note in step.notes:
        yield {**where, "row": "note", **_note(note)}
    for photo in step.photos:
        yield {
            **where,
            "row": "photo",
            "cylinder": photo.cylinder,
            "text": photo.name,
            "value": photo.photo,
            "by": photo.by,
            "at": photo.at,
        }


def _line(where: Row, line: Line, with_log: bool) -> Iterator[Row]:
    named: Row = {**where, "item": line.id, "label": line.label, "cylinder": line.cylinder}
    for earlier in line.earlier if with_log else ():
        yield {
            **named,
            "row": "corrected",
            "phase": earlier.phase,
            "entered": earlier.entered,
            "value": plain(earlier.value),
            "unit": earlier.unit,
            "state": earlier.state,
            "gauge": earlier.gauge,
            "by": earlier.by,
            "at": earlier.at,
        }
    for value in line.values:
        yield {**named, "row": "derived" if line.derived else "reading", **_stood(line, value)}
    if line.skipped:
        yield {**named, "row": "skipped", "text": line.skipped}
    elif not line.values:
        yield {**named, "row": "not measured", "state": "optional" if line.optional else None}


def _stood(line: Line, value: Stood) -> Row:
    judged = value.judged
    zone = judged.zone
    return {
        "phase": value.phase,
        "entered": value.entered or None,
        "value": plain(value.value),
        "unit": value.unit,
        "uncertainty": plain(judged.uncertainty),
        "limit_low": None if zone is None else plain(zone.low),
        "limit_high": None if zone is None else plain(zone.high),
        "limit": wording.zone_words(zone),
        "verdict": judged.verdict,
        "probability": plain(judged.probability),
        "off_limit": plain(judged.signed_margin),
        "state": value.state,
        "gauge": value.gauge,
        "text": value.reason or (judged.words if judged.verdict != "pass" else line.formula),
        "by": value.by or None,
        "at": value.at,
    }


def _findings(report: Report) -> Iterator[Row]:
    for group in report.groups:
        for one in (group.head, *group.under):
            finding = one.finding
            named: Row = {"step": finding.step, "item": finding.id, "cylinder": finding.cylinder}
            yield {
                **named,
                "row": "finding",
                "label": finding.kind,
                "text": one.words,
                "state": one.state,
                "decision": finding.decision,
                "until": finding.until,
                "open": finding.open,
                "by": None if one.made is None else one.made.by,
                "at": None if one.made is None else one.made.at,
            }
            for evidence in finding.evidence:
                yield {**named, "row": "evidence", "text": evidence}
            if finding.why:
                yield {**named, "row": "reason", "text": finding.why}


def _ending(report: Report) -> Iterator[Row]:
    yield {
        "row": "log",
        "label": "verifies" if report.log.whole else "does not verify",
        "text": report.last_seal,
    }
    for fault in report.log_faults:
        yield {"row": "log fault", "text": fault}
    for row, entries in (("broken", report.broken), ("unknown", report.unknown)):
        for entry in entries:
            yield {"row": row, **_entry(entry)}
    for event in report.history if report.extras.with_log else ():
        yield {
            "row": "event",
            "item": str(event.n),
            "text": event.words,
            "by": event.by,
            "at": event.at,
        }


def _note(note: Note) -> Row:
    return {"text": note.text, "by": note.by, "at": note.at}


def _entry(entry: Entry) -> Row:
    return {"item": str(entry.n), "label": entry.kind, "by": entry.by, "at": entry.at}
