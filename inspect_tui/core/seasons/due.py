"""What is due: the steps that want to be done again, by the meter or by the calendar."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from inspect_tui.core.seasons.intervals import Interval, interval
from inspect_tui.core.seasons.meters import Meter, converted, meter_of
from inspect_tui.core.seasons.summary import DoneStep, SessionSummary, counted
from inspect_tui.core.text.formatting import format_value, pluralize
from inspect_tui.errors import InspectError


@dataclass(frozen=True, slots=True)
class Due:
    """One interval of one step of one machine."""

    machine: str
    step: str
    title: str
    checklist: str
    """The list in which it was last done."""
    last: str
    """The day on which it was last done, ISO."""
    due_at: str
    """`2600 km`, or an ISO date; "" where the meter was never read."""
    left: str
    """`120 km`, `-3 days`; "" where it can't be told."""
    by: str | None
    """The day by which, at the usual pace, ISO; None where the pace can't be told."""
    late: bool


def due_of(machine: str, summaries: Iterable[SessionSummary], today: date) -> tuple[Due, ...]:
    """What is due on a machine: a row for each interval of each step, late ones not sorted first.

    Args:
        machine: Its id.
        summaries: Its sessions, in any order; those left open count.
        today: The day that it is.
    """
    counting = counted(summaries)
    newest: dict[str, tuple[SessionSummary, DoneStep]] = {}
    for summary in counting:
        for step in summary.done:
            if step.step not in newest or newest[step.step][1].at <= step.at:
                newest[step.step] = summary, step
    meters = {name: meter_of(counting, name) for name in ("odometer", "hours")}
    rows = []
    for summary, step in newest.values():
        for text in step.every:
            try:
                every = interval(text)
            except InspectError:
                continue  # `check` says it; an old log's list is as it is
            head = machine, step.step, step.title, summary.checklist, step.at.date().isoformat()
            if every.by_meter:
                rows.append(
                    Due(*head, *_by_meter(meters[every.by_meter], every, step, summary.session))
                )
            else:
                rows.append(Due(*head, *_by_calendar(every, step, today)))
    return tuple(rows)


def _by_calendar(every: Interval, step: DoneStep, today: date) -> tuple[str, str, str | None, bool]:
    day = every.after(step.at.date())
    left = (day - today).days
    return day.isoformat(), pluralize(left, "day"), day.isoformat(), left < 0


def _by_meter(
    meter: Meter, every: Interval, step: DoneStep, session: str
) -> tuple[str, str, str | None, bool]:
    newest = meter.newest
    then = meter.at(session) or meter.before(step.at) or next(iter(meter.readings), None)
    assert every.unit is not None and every.amount is not None
    amount = converted(every.amount, every.unit.text, meter.unit)
    if newest is None or then is None or amount is None:
        return "", "", None, False
    left = amount - (newest.driven - then.driven)
    day = meter.day_of(left)
    return (
        format_value(newest.value + left, meter.unit),
        format_value(left, meter.unit),
        None if day is None else day.isoformat(),
        left <= 0,
    )
