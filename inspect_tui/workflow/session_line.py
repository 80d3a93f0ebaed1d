"""One session in a list."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from inspect_tui.core.evaluation.job.plan import count_of, failed_of, plan_of
from inspect_tui.errors import InspectError

if TYPE_CHECKING:
    from inspect_tui.core.evaluation.evaluate_entries import Evaluated


@dataclass(frozen=True, slots=True)
class SessionLine:
    """One session in a list."""

    id: str
    checklist: str
    machine: str
    by: str
    state: str
    """`open`, `signed`, `set-aside`, or `broken` with the reason in `trouble`."""
    done: int
    steps: int
    last: datetime | None
    open_findings: int = 0
    trouble: str = ""
    undecided: int = 0
    """Lines that want a decision, as the findings screen counts them; less than what is open."""
    failed: int | None = None
    """Steps with something out of its limits; None in a line kept by an earlier version."""
    minutes: float | None = None
    """About how long the rest takes; None the same."""


def line_of(name: str, evaluated: Evaluated, problems: Sequence[str]) -> SessionLine:
    """The line of a session that can be read."""
    from inspect_tui.core.evaluation.conclusions.grouping import to_decide  # not for a first screen

    session, results = evaluated.session, evaluated.results
    count = count_of(results.steps)
    is_open = session.state == "open"
    return SessionLine(
        name, results.checklist.title, results.machine.name, session.by, session.state,
        count.done, count.of, session.last,
        sum(finding.open for finding in results.findings), problems[0] if problems else "",
        len(to_decide(results.findings)) if is_open else 0, failed_of(results.steps),
        plan_of(session, results).minutes_left if is_open else 0.0,
    )  # fmt: skip


def broken_line(name: str, error: InspectError) -> SessionLine:
    """The line of a session that can't be read: it says so."""
    return SessionLine(name, "", "", "", "broken", 0, 0, None, trouble=error.message)
