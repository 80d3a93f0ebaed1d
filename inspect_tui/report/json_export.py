"""The report as JSON: the status under its own keys, and everything else under `report`.

Texts are the record, whole; characters that would act on a terminal are written as escapes.
"""

from __future__ import annotations

import json
import re
from typing import Any

from inspect_tui.core.model.log_entry import Entry
from inspect_tui.core.model.results import ConformityResult
from inspect_tui.core.presentation import wording
from inspect_tui.core.session.replay import Caution, Note, Recorded
from inspect_tui.core.text.visible import UNSEEN
from inspect_tui.report.content.found import FindingReport
from inspect_tui.report.content.report import Report
from inspect_tui.report.content.rows import Line, Stood
from inspect_tui.report.content.set_up import CardLine
from inspect_tui.report.content.steps import StepReport
from inspect_tui.report.plan import part
from inspect_tui.report.status import plain, status

FORMAT = 1


def write(report: Report) -> bytes:
    """The report as JSON, UTF-8, indented."""
    session = report.session
    told = {
        "program": session.program,
        "title": dict(report.fields),
        "opened": {"by": session.by, "at": session.opened.isoformat()},
        "last": session.last.isoformat(),
        "safety": wording.SAFETY,
        **_page_one(report),
        "cautions": list(report.cautions),
        "cautions_confirmed": _caution(report.cautions_confirmed),
        "conditions": dict(session.conditions),
        "sections": [
            {
                "id": section.id,
                "title": section.title,
                "steps": [_step(step, report.extras.with_log) for step in section.steps],
            }
            for section in report.sections
        ],
        "findings": [
            _finding(one) for group in report.groups for one in (group.head, *group.under)
        ],
        "still_open": list(report.still_open),
        "addenda": [_note(note) for note in session.addenda],
        "log": {
            "verifies": report.log.whole,
            "problems": list(report.log_faults),
            "entries": len(report.history),
            "last_seal": report.last_seal,
            "last_seal_short": wording.short_seal(report.last_seal),
        },
        "broken": [_entry(entry) for entry in report.broken],
        "unknown": [_entry(entry) for entry in report.unknown],
    }
    if report.extras.with_log:
        told["history"] = [
            {
                "n": event.n,
                "at": event.at.isoformat(),
                "by": event.by,
                "what": event.words,
                "sound": event.sound,
            }
            for event in report.history
        ]
    data: dict[str, Any] = {"format": FORMAT, **status(session, report.results), "report": told}
    text = json.dumps(data, ensure_ascii=False, indent=2, allow_nan=False)
    return (UNSEEN.sub(_escape, text) + "\n").encode()


def _page_one(report: Report) -> dict[str, Any]:
    """What page one answers."""
    session, signed, page = report.session, report.session.signed, report.page_one
    aside = session.set_aside
    return {
        "signed": None
        if signed is None
        else {
            "by": signed.by,
            "at": signed.at.isoformat(),
            "open": list(signed.open),
            "accepted": signed.accepted,
            "accepted_steps": dict(signed.accepted_steps),
            "seal": signed.seal,
        },
        "set_aside": None
        if aside is None
        else {"by": aside.by, "at": aside.at.isoformat(), "why": aside.why},
        "done": page.done,
        "of": page.of,
        "not_to_be_ridden": [
            {
                "step": stop.step, "title": stop.title, "gate": stop.gate or None,
                "trouble": stop.trouble, "because": list(stop.because), "accepted": stop.accepted,
            }
            for stop in page.stops
        ],
        "left_open_earlier": [
            {"gate": left.gate or None, "text": left.words} for left in page.left_before
        ],
        "put_right": [{"finding": one.finding.id, "text": one.words} for one in page.put_right],
        "open_or_run_as_found": [
            {
                "finding": one.finding.id, "text": one.words, "decision": one.finding.decision,
                "until": one.finding.until, "why": one.finding.why,
            }
            for one in page.still_open
        ],
        "parts": [part(each, report.results.machine.id, session.id) for each in report.parts],
        "set_up": [_card(line) for line in report.card],
        "left_out": page.left_out,
        "not_done": [result.step.id for result in page.not_done],
    }  # fmt: skip


def _card(line: CardLine) -> dict[str, Any]:
    return {
        "step": line.step,
        "item": line.item,
        "label": line.label,
        "values": [
            {
                "cylinder": value.cylinder, "found": value.found, "left": value.left,
                "sheet": value.sheet, "chart": value.chart, "verdict": value.verdict,
            }
            for value in line.values
        ],
    }  # fmt: skip


def _escape(found: re.Match[str]) -> str:
    """A character in JSON's own escapes; two of them beyond the first plane."""
    return json.dumps(found[0])[1:-1]


def _step(step: StepReport, with_log: bool) -> dict[str, Any]:
    result = step.result
    return {
        "id": step.step.id,
        "number": step.number,
        "title": step.step.title,
        "state": result.state,
        "why_skipped": result.why_skipped,
        "safety": step.step.is_safety,
        "failed": result.failed,
        "uncertain": result.uncertain,
        "caution": step.step.caution,
        "caution_confirmed": _caution(step.confirmed),
        "advice": list(result.advice),
        "lines": [_line(line, with_log) for line in step.lines],
        "notes": [_note(note) for note in step.notes],
        "photos": [
            {
                "photo": photo.photo,
                "name": photo.name,
                "cylinder": photo.cylinder,
                "by": photo.by,
                "at": photo.at.isoformat(),
            }
            for photo in step.photos
        ],
    }


def _line(line: Line, with_log: bool) -> dict[str, Any]:
    """What was corrected is the log's alone."""
    earlier = [_recorded(each) for each in line.earlier]
    return {
        "id": line.id,
        "label": line.label,
        "cylinder": line.cylinder,
        "derived": line.derived,
        "formula": line.formula,
        "source": line.source,
        "skipped": line.skipped,
        "limit": line.limit,
        "values": [_stood(value) for value in line.values],
        **({"earlier": earlier} if with_log else {}),
    }


def _stood(value: Stood) -> dict[str, Any]:
    return {
        "phase": value.phase,
        "entered": value.entered,
        "value": plain(value.value),
        "unit": value.unit,
        "shown": value.shown,
        "reason": value.reason,
        **_judged(value.judged),
        "state": value.state,
        "gauge": value.gauge,
        **({"paper": value.paper} if value.paper else {}),
        "by": value.by,
        "at": None if value.at is None else value.at.isoformat(),
    }


def _judged(judged: ConformityResult) -> dict[str, Any]:
    zone = judged.zone
    return {
        "verdict": judged.verdict,
        "verdict_words": judged.words,
        "probability": plain(judged.probability),
        "off_limit": plain(judged.signed_margin),
        "uncertainty": plain(judged.uncertainty),
        "zone": None
        if zone is None
        else {
            "low": plain(zone.low),
            "high": plain(zone.high),
            "equal": [one if isinstance(one, bool) else str(one) for one in zone.equal],
            "text": zone.text,
            "reason": zone.reason,
        },
    }


def _recorded(row: Recorded) -> dict[str, Any]:
    return {
        "n": row.n,
        "phase": row.phase,
        "entered": row.entered,
        "value": plain(row.value),
        "unit": row.unit,
        "by": row.by,
        "at": row.at.isoformat(),
    }


def _finding(one: FindingReport) -> dict[str, Any]:
    finding = one.finding
    return {
        "id": finding.id,
        "kind": finding.kind,
        "text": one.words,
        "under": finding.under,
        "remark": finding.remark,
        "state": one.state,
        "evidence": list(finding.evidence),
        "decision": finding.decision,
        "counts": finding.counts,
        "open": finding.open,
        "why": finding.why,
        "until": finding.until,
        "sure": finding.sure,
        "look_at": list(finding.look_at),
        "decided_by": None if one.made is None else one.made.by,
        "decided_at": None if one.made is None else one.made.at.isoformat(),
    }


def _note(note: Note) -> dict[str, Any]:
    return {"text": note.text, "by": note.by, "at": note.at.isoformat()}


def _caution(caution: Caution | None) -> dict[str, Any] | None:
    return None if caution is None else {"by": caution.by, "at": caution.at.isoformat()}


def _entry(entry: Entry) -> dict[str, Any]:
    return {
        "n": entry.n,
        "kind": entry.kind,
        "at": entry.at.isoformat(),
        "by": entry.by,
        "keys": {key: _any(value) for key, value in entry.keys.items()},
    }


def _any(value: Any) -> Any:
    """A value of an entry that we don't know: TOML has more kinds than JSON."""
    if isinstance(value, list | tuple):
        return [_any(one) for one in value]
    if isinstance(value, dict):
        return {str(key): _any(one) for key, one in value.items()}
    if isinstance(value, bool | int | float | str):
        return plain(value)
    return str(value)
