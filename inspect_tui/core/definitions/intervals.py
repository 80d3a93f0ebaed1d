"""How often a step is due: `every = ["500 km", "24 months"]`.

By the odometer (a length), by the hour meter (hours), or by the calendar (days, weeks, months,
years). Months and years are those of the calendar, not a number of days.
"""

from __future__ import annotations

import calendar
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from inspect_tui.core.model.checklist import Meter
from inspect_tui.core.quantities import parse_number, units
from inspect_tui.core.quantities.dimensions import LENGTH, TIME
from inspect_tui.core.quantities.units import Unit
from inspect_tui.core.text.sanitize import ellipsize
from inspect_tui.errors import BadInput

MAX_MONTHS = 1_200
"""Of an interval by the calendar: a hundred years."""
_EXAMPLE = 'write one such as "500 km", "50 h" or "24 months".'
_MONTHS = {"month": 1, "months": 1, "year": 12, "years": 12}
_DAYS = {"day": 1, "days": 1, "week": 7, "weeks": 7}
_HOURS = ("h", "hr", "hrs", "hour", "hours")


@dataclass(frozen=True, slots=True)
class Interval:
    """How long something lasts until it is due again."""

    text: str
    """As the list has it."""
    months: int | None = None
    days: int | None = None
    amount: Fraction | None = None
    """By a meter, in `unit`."""
    unit: Unit | None = None

    @property
    def by_meter(self) -> Meter:
        """`odometer` or `hours`; "" where the calendar counts."""
        if self.unit is None:
            return ""
        return "odometer" if self.unit.dimension == LENGTH else "hours"

    def after(self, day: date) -> date:
        """The day that comes so long after another, of a calendar interval.

        Raises:
            OverflowError or ValueError: beyond the last day that a date can be.
        """
        if self.days is not None:
            return day + timedelta(days=self.days)
        year, month = divmod(day.year * 12 + day.month - 1 + (self.months or 0), 12)
        last = calendar.monthrange(year, month + 1)[1]
        return date(year, month + 1, min(day.day, last))


def interval(text: str) -> Interval:
    """An interval as a checklist writes it.

    Raises:
        BadInput: it is none, in words.
    """
    found = parse_number.amount(text)
    shown, word = f"'{ellipsize(text)}'", found.unit.casefold()
    if not word:
        raise BadInput(f"{shown} has no unit;", _EXAMPLE)
    if found.number <= 0:
        raise BadInput(f"{shown} is not above 0;", _EXAMPLE)
    if word in _MONTHS or word in _DAYS:
        count = found.number * (_MONTHS.get(word) or _DAYS[word])
        if count.denominator != 1:
            raise BadInput(f"{shown} is no whole number of days or months;", _EXAMPLE)
        if count > MAX_MONTHS * (1 if word in _MONTHS else 30):
            raise BadInput(f"{shown} is longer than a hundred years;", _EXAMPLE)
        if word in _MONTHS:
            return Interval(text, months=int(count))
        return Interval(text, days=int(count))
    unit = units.unit(found.unit)
    of_meter = unit.dimension == LENGTH or (unit.dimension == TIME and word in _HOURS)
    if not of_meter or unit.quantity_kind:
        raise BadInput(
            f"{shown} is no distance, no hours of running and no time of the calendar;", _EXAMPLE
        )
    return Interval(text, amount=found.number, unit=unit)
