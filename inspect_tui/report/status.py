"""The state of a session as data: what `status --json` prints, and part of the JSON export."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from fractions import Fraction
from typing import Any

from inspect_tui.core.model.results import Results
from inspect_tui.core.quantities.units import Number
from inspect_tui.core.session.replay import Session

Last = Callable[[str, str, str | None], Any]
"""By step, reading and cylinder, what the newest earlier session left."""
Plain = int | float | bool | str | None


def plain(value: Number | bool | str | None) -> Plain:
    """A value as JSON takes it: fractions as numbers, nothing that is no number."""
    if isinstance(value, Fraction):
        value = float(value)
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def status(
    session: Session,
    results: Results,
    carried: Iterable[Mapping[str, Any]] = (),
    name: str = "",
    last: Last | None = None,
) -> dict[str, Any]:
    """The session as `status --json` shows it.

    One reading row for each (step, reading, cylinder, phase) that has a value, the one that
    stands, in the list's order; `cylinder` is None where there is none. A derived value that
    can't be worked out although everything was measured has the value None.

    Args:
        session: What stands in the log.
        results: What follows from it.
        carried: The rows of what earlier sessions put off.
        name: What the session is called in its store; else its own id.
        last: By step, reading and cylinder, what the newest earlier session left.
    """
    return {
        "session": name or session.id,
        "checklist": results.checklist.id,
        "machine": results.machine.id,
        "state": session.state,
        "steps": [{"id": result.step.id, "state": result.state} for result in results.steps],
        "readings": [_with_last(row, last) for row in _readings(results)],
        "derived": list(_derived(results)),
        "findings": list(finding_rows(results)),
        "carried": list(carried),
    }


def _with_last(row: dict[str, Any], last: Last | None) -> dict[str, Any]:
    if last is None:
        return row
    return row | {"last": last(row["step"], row["reading"], row["cylinder"])}


def finding_rows(results: Results) -> Iterator[dict[str, Any]]:
    """A row for each finding, as `status --json` and `findings --json` show them."""
    for finding in results.findings:
        yield {
            "id": finding.id,
            "step": finding.step,
            "reading": finding.reading,
            "cylinder": finding.cylinder,
            "text": finding.text,
            "decision": finding.decision,
            "open": finding.open,
            "under": finding.under,
            "remark": finding.remark,
            "sure": finding.sure or None,
        }


def _readings(results: Results) -> Iterator[dict[str, Any]]:
    for row in results.readings:
        yield {
            "step": row.step,
            "reading": row.reading,
            "cylinder": row.cylinder,
            "phase": row.phase,
            "entered": row.entered,
            "value": None if row.unknown else plain(row.value),
            "unit": row.unit,
            "verdict": row.judged.verdict,
        }


def _derived(results: Results) -> Iterator[dict[str, Any]]:
    for row in results.derived:
        if row.value is None and row.reason.startswith("not measured"):
            continue
        yield {
            "step": row.step,
            "id": row.id,
            "cylinder": row.cylinder,
            "phase": row.phase,
            "value": plain(row.value),
            "unit": row.unit,
            "verdict": row.judged.verdict,
        }
