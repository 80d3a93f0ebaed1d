"""Intervals such as `500 km`, `24 months`, `50 h`: by the meter or by the calendar."""

from __future__ import annotations

import calendar
import re
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from inspect_tui.core.quantities import units
from inspect_tui.core.quantities.units import Unit
from inspect_tui.errors import BadInput

_WRITTEN = re.compile(r"\s*([0-9]+(?:[.][0-9]+)?)\s*(\S.*?)\s*")
_MONTHS = {"month": 1, "months": 1, "year": 12, "years": 12}
_DAYS = {"day": 1, "days": 1, "week": 7, "weeks": 7}


@dataclass(frozen=True, slots=True)
class Interval:
    """How long something lasts until it is due again."""

    text: str
    months: Fraction | None = None
    days: Fraction | None = None
    amount: Fraction | None = None
    """By the meter, in `unit`."""
    unit: Unit | None = None

    @property
    def by_meter(self) -> str:
        """`odometer` or `hours`; "" where the calendar counts."""
        if self.unit is None:
            return ""
        return "hours" if self.unit.dimension == units.unit("h").dimension else "odometer"

    def after(self, day: date) -> date:
        """The day that comes so long after another, of a calendar interval."""
        if self.days is not None:
            return day + timedelta(days=int(self.days))
        months = day.year * 12 + day.month - 1 + int(self.months or 0)
        year, month = divmod(months, 12)
        last = calendar.monthrange(year, month + 1)[1]
        return date(year, month + 1, min(day.day, last))


def interval(text: str) -> Interval:
    """An interval as a checklist writes it.

    Raises:
        BadInput: it is none.
    """
    match = _WRITTEN.fullmatch(text)
    if match is None:
        raise BadInput(f"'{text}' is no interval;", 'write such as "500 km" or "24 months".')
    amount, word = Fraction(match[1]), match[2]
    if word in _MONTHS:
        return Interval(text, months=amount * _MONTHS[word])
    if word in _DAYS:
        return Interval(text, days=amount * _DAYS[word])
    unit = units.unit(word)
    if unit.dimension not in (units.unit("km").dimension, units.unit("h").dimension):
        raise BadInput(f"'{text}' is no interval;", 'write such as "500 km", "50 h", "24 months".')
    return Interval(text, amount=amount, unit=unit)
