"""How often a step is due: `every = ["500 km", "24 months"]`.

By the odometer (a length), by the hour meter (hours), or by the calendar (days, weeks, months,
years). Months and years are those of the calendar, not a number of days.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from inspect_tui.core.quantities import parse_number, units
from inspect_tui.core.quantities.dimensions import LENGTH, TIME
from inspect_tui.core.quantities.units import Quantity
from inspect_tui.core.text.sanitize import ellipsize
from inspect_tui.errors import BadInput

By = Literal["odometer", "hours", "calendar"]
_EXAMPLE = 'write one such as "500 km", "50 h" or "24 months".'
_CALENDAR = {
    "day": (1, 0), "days": (1, 0), "week": (7, 0), "weeks": (7, 0), "month": (0, 1),
    "months": (0, 1), "year": (0, 12), "years": (0, 12),
}  # fmt: skip
"""By the unit as it is written: days, months."""
_HOURS = ("h", "hr", "hrs", "hour", "hours")
LONGEST_MONTHS = 1_200


@dataclass(frozen=True, slots=True)
class Interval:
    """One interval of a step."""

    text: str
    """As the list has it."""
    by: By
    amount: Quantity | None = None
    """By a meter: a length or a time."""
    months: int = 0
    """By the calendar; with `days`."""
    days: int = 0

    @property
    def unit(self) -> str:
        """The unit that it was written in: `km`."""
        return parse_number.amount(self.text).unit


def interval(text: str) -> Interval:
    """One interval. Raises BadInput in words."""
    amount = parse_number.amount(text)
    shown = f"'{ellipsize(text)}'"
    if not amount.unit:
        raise BadInput(f"{shown} has no unit;", _EXAMPLE)
    if amount.number <= 0:
        raise BadInput(f"{shown} is not above 0;", _EXAMPLE)
    calendar = _CALENDAR.get(amount.unit.casefold())
    if calendar is not None:
        days, months = (amount.number * each for each in calendar)
        if days.denominator != 1 or months.denominator != 1:
            raise BadInput(f"{shown} is no whole number of days or months;", _EXAMPLE)
        if months > LONGEST_MONTHS or days > LONGEST_MONTHS * 31:
            raise BadInput(f"{shown} is longer than a hundred years;", _EXAMPLE)
        return Interval(text, "calendar", None, int(months), int(days))
    unit = units.unit(amount.unit)
    found = units.of(Fraction(amount.number), unit)
    if unit.dimension == LENGTH and unit.quantity_kind == "":
        return Interval(text, "odometer", found)
    if unit.dimension == TIME and amount.unit.casefold() in _HOURS:
        return Interval(text, "hours", found)
    raise BadInput(
        f"{shown} is no distance, no hours of running and no time of the calendar;", _EXAMPLE
    )


def by_meter(meter: str) -> str:
    """What a meter is called beside a sentence's other words."""
    return "the odometer" if meter == "odometer" else "the hour meter"
