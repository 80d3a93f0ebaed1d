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
from inspect_tui.report.content import FindingReport, Report, StepReport
from inspect_tui.report.rows import Line, Stood
from inspect_tui.report.status import plain, status

FORMAT = 1


def write(report: Report) -> bytes:
    """The report as JSON, UTF-8, indented."""
    session, signed = report.session, report.session.signed
    data: dict[str, Any] = {
        "format": FORMAT,
        **status(session, report.results),
        "report": {
            "program": session.program,
            "title": dict(report.title.fields()),
            "opened": {"by": session.by, "at": session.opened.isoformat()},
            "last": session.last.isoformat(),
            "safety": wording.SAFETY,
            "cautions": list(report.cautions),
            "cautions_confirmed": _caution(report.cautions_confirmed),
            "conditions": dict(session.conditions),
            "gauges": list(report.gauges),
            "sections": [
                {
                    "id": section.id,
                    "title": section.title,
                    "steps": [_step(step) for step in section.steps],
                }
                for section in report.sections
            ],
            "findings": [_finding(finding) for finding in report.findings],
            "parts_to_get": [one.finding.id for one in report.parts],
            "carry": {until: [one.finding.id for one in group] for until, group in report.carry},
            "still_open": list(report.still_open),
            "left_out": report.results.left_out,
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
            "history": [
                {
                    "n": event.n,
                    "at": event.at.isoformat(),
                    "by": event.by,
                    "what": event.words,
                    "sound": event.sound,
                }
                for event in report.history
            ],
        },
    }
    text = json.dumps(data, ensure_ascii=False, indent=2, allow_nan=False)
    return (wording.UNSEEN.sub(_escape, text) + "\n").encode()


def _escape(found: re.Match[str]) -> str:
    """A character in JSON's own escapes; two of them beyond the first plane."""
    return json.dumps(found[0])[1:-1]


def _step(step: StepReport) -> dict[str, Any]:
    result = step.result
    return {
        "id": step.step.id,
        "title": step.step.title,
        "state": result.state,
        "why_skipped": result.why_skipped,
        "safety": step.step.is_safety,
        "failed": result.failed,
        "uncertain": result.uncertain,
        "caution": step.step.caution,
        "caution_confirmed": _caution(step.confirmed),
        "advice": list(result.advice),
        "lines": [_line(line) for line in step.lines],
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


def _line(line: Line) -> dict[str, Any]:
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
        "earlier": [_recorded(earlier) for earlier in line.earlier],
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
