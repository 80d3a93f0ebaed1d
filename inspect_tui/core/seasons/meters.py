"""A machine's odometer or hours over its sessions: how far since, and at which pace."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction

from inspect_tui.core.quantities import units
from inspect_tui.core.seasons.summary import PastValue, SessionSummary
from inspect_tui.errors import InspectError

_DAY = 86_400


@dataclass(frozen=True, slots=True)
class MeterReading:
    """One reading of a meter."""

    at: datetime
    value: float
    """In the meter's unit."""
    session: str
    piece: int
    """Which meter: a lower reading than the one before it is a new one, or one turned back."""
    driven: float
    """What was driven since the first reading, as far as it is known."""


@dataclass(frozen=True, slots=True)
class Meter:
    """All readings of one meter, oldest first, in one unit: the newest list's."""

    name: str
    unit: str
    readings: tuple[MeterReading, ...]

    @property
    def newest(self) -> MeterReading | None:
        """The last reading."""
        return self.readings[-1] if self.readings else None

    def at(self, session: str) -> MeterReading | None:
        """What the meter read in a session."""
        return next((each for each in self.readings if each.session == session), None)

    def before(self, when: datetime) -> MeterReading | None:
        """The last reading up to a moment."""
        found = [each for each in self.readings if each.at <= when]
        return found[-1] if found else None

    def pace(self) -> float | None:
        """How much a day, over the whole time; None where it can't be told.

        It can't with fewer than two readings, or with all of them within a day.
        """
        if len(self.readings) < 2:
            return None
        first, last = self.readings[0], self.readings[-1]
        days = (last.at - first.at).total_seconds() / _DAY
        driven = last.driven - first.driven
        return driven / days if days >= 1 and driven > 0 else None

    def day_of(self, more: float) -> date | None:
        """The day on which so much more will have been driven, at the usual pace."""
        pace, newest = self.pace(), self.newest
        if pace is None or newest is None:
            return None
        days = more / pace
        if not -36_500 < days < 36_500:
            return None
        return date.fromordinal(newest.at.date().toordinal() + round(days))


def meter_of(summaries: Sequence[SessionSummary], name: str) -> Meter:
    """The readings of a meter; `summaries` oldest first.

    Args:
        summaries: A machine's sessions that count.
        name: `odometer` or `hours`.
    """
    rows: list[tuple[PastValue, str]] = []
    for summary in summaries:
        taken = [value for value in summary.values if value.meter == name]
        if taken:
            rows.append((max(taken, key=lambda value: value.at), summary.session))
    rows.sort(key=lambda row: row[0].at)
    unit = rows[-1][0].unit if rows else ""
    readings: list[MeterReading] = []
    for value, session in rows:
        number = converted(value.value, value.unit, unit)
        if number is None:
            continue
        piece, driven = 0, 0.0
        if readings:
            before = readings[-1]
            back = number < before.value
            piece = before.piece + back
            driven = before.driven + (0.0 if back else number - before.value)
        readings.append(MeterReading(value.at, number, session, piece, driven))
    return Meter(name, unit, tuple(readings))


def converted(value: object, unit: str, wanted: str) -> float | None:
    """A number in another unit; None where it is no number, or the units don't fit."""
    if isinstance(value, bool) or not isinstance(value, int | float | Fraction):
        return None
    if unit == wanted:
        return float(value)
    try:
        quantity = units.of(Fraction(value), units.unit(unit))
        into = units.unit(wanted)
    except InspectError:
        return None
    same = quantity.dimension == into.dimension and quantity.quantity_kind == into.quantity_kind
    return float(units.number_in(quantity, into)) if same else None
