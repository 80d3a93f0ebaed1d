"""What is due: the steps that want to be done again, by the meter or by the calendar."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date

from inspect_tui.core.definitions.intervals import Interval, interval
from inspect_tui.core.seasons.machine_state import LastDone, MachineState, Meter
from inspect_tui.core.seasons.pace import Span
from inspect_tui.core.seasons.units import converted
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
    span: Span = field(default_factory=Span)
    """By the meter: between which days, four times of five, or why that can't be told."""
    calendar: bool = False
    """Whether `due_at` is a day."""


def due_of(machine: str, state: MachineState, today: date) -> tuple[Due, ...]:
    """What is due on a machine: a row for each interval of each step, in its order.

    Args:
        machine: Its id.
        state: It after its sessions; those left open count.
        today: The day that it is.
    """
    rows = []
    for step in state.done.values():
        for text in step.every:
            try:
                every = interval(text)
            except InspectError:
                continue  # `check` says it; an old log's list is as it is
            head = machine, step.step, step.title, step.checklist, step.at.date().isoformat()
            meter = state.meters.get(every.by_meter)
            if not every.by_meter:
                rows.append(Due(*head, *_by_calendar(every, step, today), Span(), True))
            elif meter is None:
                rows.append(Due(*head, "", "", None, False))
            else:
                rows.append(Due(*head, *_by_meter(meter, every, step)))
    return tuple(rows)


def _by_meter(
    meter: Meter, every: Interval, step: LastDone
) -> tuple[str, str, str | None, bool, Span]:
    then = converted(*step.driven.get(meter.name, (0.0, meter.unit)), meter.unit)
    assert every.unit is not None
    amount = converted(every.amount, every.unit.text, meter.unit)
    if then is None or amount is None:
        return "", "", None, False, Span()
    left = amount - (meter.driven - then)
    day = meter.day_of(left)
    return (
        format_value(meter.value + left, meter.unit),
        format_value(left, meter.unit),
        None if day is None else day.isoformat(),
        left <= 0,
        Span() if left <= 0 else meter.span_of(left),
    )


def _by_calendar(every: Interval, step: LastDone, today: date) -> tuple[str, str, str | None, bool]:
    day = every.after(step.at.date())
    left = (day - today).days
    return day.isoformat(), pluralize(left, "day"), day.isoformat(), left < 0


def as_of(row: Due, today: date) -> Due:
    """A row that was worked out on another day, as it is on this one."""
    if not row.calendar:
        return row
    left = (date.fromisoformat(row.due_at) - today).days
    return replace(row, left=pluralize(left, "day"), late=left < 0)


def first_day(row: Due) -> str:
    """The day on which it may first be due, ISO, whatever day it is; late by the meter comes first.

    Text that sorts behind every day where it can't be told.
    """
    if row.calendar:
        return row.due_at
    if row.late:
        return ""
    return row.span.soonest.isoformat() if row.span.soonest is not None else row.by or "9999"
