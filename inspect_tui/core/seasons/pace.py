"""How fast a meter runs, and between which days it will have run so much more.

What is driven in a time t scatters about pace x t with a variance that grows with t, as counts of
rides do; both are taken from whole years where there are some, since a season repeats itself, else
from the stretches between the readings. The span holds the day four times of five: the crossing of
a line that is itself uncertain, as Fieller's (`history` has the same for wear). It is told on the
machine's own calendar, how much of a year's driving the earlier years had done by which day, so
that a summer in the shed lengthens it. A stretch of more than a season doesn't say when in it was
driven: a span that begins or ends within such a one does so with it. `tests/seasons/test_pace.py`
holds the coverage to machines whose truth is known.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

import msgspec

MOST_STRETCHES = 64
"""The newest are kept: older ones say less of the usual pace than of another time's."""
_TAIL = 0.1
"""One side of a two-sided 80 % interval."""
_YEAR = 365
_WHOLE_YEAR = 300
"""Days from which stretches together count as a year."""
_COARSE = 120
"""Days between two readings from which they don't show when in them it was driven: a season."""
_FURTHEST = 36_500
"""Days: beyond that nothing is told."""


class Stretch(msgspec.Struct, frozen=True):
    """What was driven between two readings of one meter."""

    begun: int
    """The day of the earlier reading, as `date.toordinal`."""
    days: float
    """Between the two; more than 0."""
    driven: float
    """In the meter's unit; 0 or more."""


@dataclass(frozen=True, slots=True)
class Span:
    """Between which days something comes, four times of five; or why that can't be told."""

    soonest: date | None = None
    latest: date | None = None
    """None with a `soonest`: no end can be told."""
    why_not: str = ""
    """Why there is no `soonest`."""


def span_of(stretches: Sequence[Stretch], more: float, since: date) -> Span:
    """Between which days so much more will have been driven.

    Args:
        stretches: Between the meter's readings, oldest first.
        more: How much is left, in their unit; more than 0.
        since: The day of the last reading.
    """
    apart = [each for each in stretches if each.days >= 1]
    whole = _years(apart)
    driven, days = sum(each.driven for each in whole), sum(each.days for each in whole)
    if len(whole) < 2:
        return Span(why_not="fewer than three readings on days of their own")
    if driven <= 0:
        return Span(why_not="nothing was driven between the readings")
    # Late: it brings the register of all calculations, and the index reads paces without it.
    from inspect_tui.calc.distributions import t_quantile

    pace = driven / days
    scatter = sum((each.driven - pace * each.days) ** 2 / each.days for each in whole)
    loose = t_quantile(_TAIL, len(whole) - 1) ** 2 * scatter / (len(whole) - 1)
    # (more - pace t)^2 <= loose (t + t^2 / days), the pace itself being no surer than its days.
    first, middle = pace**2 - loose / days, 2 * more * pace + loose
    root = math.sqrt(max(middle**2 - 4 * first * more**2, 0.0))
    if 2 * more**2 > _FURTHEST * (middle + root):  # also where that is next to nothing
        return Span(why_not="it is hardly driven")
    soonest = 2 * more**2 / (middle + root)
    latest = (middle + root) / (2 * first) if first > 0 else None
    if sum(each.days for each in apart) >= _YEAR:
        calendar = _Calendar(apart)
        soonest = calendar.after(soonest, since)
        latest = None if latest is None else calendar.after(latest, since)
    soonest -= max((passed for passed, _ in _around(apart, soonest, since)), default=0.0)
    if latest is not None:
        latest += max((to_come for _, to_come in _around(apart, latest, since)), default=0.0)
    soonest = max(soonest, 0.0)
    if soonest > _FURTHEST:
        return Span(why_not="it is hardly driven")
    return Span(_day(since, soonest), None if latest is None else _day(since, latest))


def _years(stretches: Sequence[Stretch]) -> list[Stretch]:
    """The stretches put together into whole years, where there are two at least."""
    years: list[Stretch] = []
    part: list[Stretch] = []
    for each in reversed(stretches):
        part.insert(0, each)
        if sum(one.days for one in part) >= _WHOLE_YEAR:
            years.insert(0, _joined(part))
            part = []
    if part and years:
        years[0] = _joined([*part, years[0]])
    return years if len(years) > 1 else list(stretches)


def _joined(part: Sequence[Stretch]) -> Stretch:
    days, driven = sum(each.days for each in part), sum(each.driven for each in part)
    return Stretch(part[0].begun, days, driven)


class _Calendar:
    """How a year's driving lies in the year, as far as the readings tell."""

    def __init__(self, stretches: Sequence[Stretch]) -> None:
        steps, every_day = [0.0] * (_YEAR + 1), 0.0
        for each in stretches:
            a_day = each.driven / each.days
            turns, rest = divmod(max(1, round(each.days)), _YEAR)
            every_day += turns * a_day
            begun, end = each.begun % _YEAR, each.begun % _YEAR + rest
            steps[begun] += a_day
            steps[min(end, _YEAR)] -= a_day
            if end > _YEAR:
                steps[0] += a_day
                steps[end - _YEAR] -= a_day
        level, self._on = 0.0, []
        for step in steps[:_YEAR]:
            level += step
            self._on.append(max(level, 0.0) + every_day)

    def after(self, days: float, since: date) -> float:
        """The days in which as much is driven as in so many average ones."""
        turns, rest = divmod(days, _YEAR)
        wanted = sum(self._on) * rest / _YEAR
        if wanted <= 0:
            return days
        begun = since.toordinal() % _YEAR
        for passed in range(_YEAR):
            today = self._on[(begun + passed) % _YEAR]
            if today >= wanted:
                return turns * _YEAR + passed + wanted / today
            wanted -= today
        return (turns + 1) * _YEAR


def _around(
    stretches: Sequence[Stretch], days: float, since: date
) -> Iterator[tuple[float, float]]:
    """Of stretches over this day of the year that show no season: what lies before it, and after.

    What is driven in such a stretch may be driven at its beginning, or its end.
    """
    at = since.toordinal() + days
    for each in stretches:
        passed = (at - each.begun) % _YEAR
        if each.days > _COARSE and passed < each.days:
            yield passed, min(each.days, _YEAR) - passed


def _day(since: date, days: float) -> date | None:
    return date.fromordinal(since.toordinal() + round(days)) if days <= _FURTHEST else None
