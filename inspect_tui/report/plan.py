"""The plan and the parts as data: what `plan --json` and `parts --json` print."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from inspect_tui.core.evaluation.job.parts import Part
from inspect_tui.core.evaluation.job.plan import Plan


def plan(of: Plan) -> dict[str, Any]:
    """A plan as `plan --json` shows it."""
    return {
        "stops_start": list(of.stops_start),
        "stops_move": list(of.stops_move),
        "again": list(of.again),
        "to_decide": list(of.to_decide),
        "to_get": list(of.to_get),
        "to_do": [
            {**asdict(each), "steps": list(each.steps), "tools": list(each.tools)}
            for each in of.to_do
        ],
        "minutes_left": of.minutes_left,
        "done": of.done,
        "of": of.of,
        "next": of.next,
    }


def part(of: Part, machine: str, session: str) -> dict[str, Any]:
    """One row of `parts --json`."""
    return {
        "part": of.part,
        "quantity": of.quantity,
        "number": of.number,
        "machine": machine,
        "session": session,
        "for": list(of.findings),
        "state": of.state,
    }
