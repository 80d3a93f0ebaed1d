"""A reading's history as a plot and in words: where it goes, and when it reaches its limit."""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import pairwise

from inspect_tui.core.model.results import Verdict
from inspect_tui.core.presentation.figures import format_quantity
from inspect_tui.core.presentation.pictures.trend_plot import TrendPlot, TrendPoint
from inspect_tui.core.seasons.history import NUMBERS, FigureTrend, Point, ReadingHistory
from inspect_tui.core.seasons.last_value import DIFFERENCES
from inspect_tui.core.text.unit_text import format_unit

_VERDICTS: dict[str, Verdict] = {"pass": "pass", "fail": "fail", "uncertain": "uncertain"}
_PER = 1000
"""Of the meter's unit: a change is said for so many."""


def name_of(each: ReadingHistory) -> str:
    """`Belt width: narrowest, PTO`, without ids."""
    where = "" if each.cylinder is None else f", {each.cylinder}"
    return f"{each.title}: {each.label}{where}" if each.title else f"{each.label}{where}"


def plotted(histories: Iterable[ReadingHistory]) -> list[ReadingHistory]:
    """Those that a plot says something about, the ones that reach a limit soonest first.

    Numbers of two sessions at the least; not the meters themselves, nor what is set by hand.
    """
    shown = [
        each
        for each in histories
        if each.kind in NUMBERS
        and not each.meter
        and len({point.session for point in each.points}) > 1
    ]
    return sorted(shown, key=_rank)


def _rank(each: ReadingHistory) -> tuple[int, float]:
    trend = each.trend
    if trend is None or trend.line is None:
        return 3, 0.0
    if trend.reached.begin is not None:
        return 0, trend.reached.begin
    return (1 if trend.reached.limit is not None else 2), 0.0


def plot_of(each: ReadingHistory) -> TrendPlot:
    """The plot: against the meter where every value has one, else against the date."""
    points = [point for point in each.points if _is_finite(point.value)]
    by_meter = bool(points) and all(point.meter is not None for point in points)
    trend = each.trend
    per = "" if trend is None else trend.per
    reached = None if trend is None or not by_meter else trend.reached
    told = reached is not None and reached.begin is not None and reached.end is not None
    return TrendPlot(
        name_of(each), format_unit(each.unit),
        tuple(
            TrendPoint(
                _at(point, by_meter), float(point.value), point.phase, point.uncertainty or 0.0,
                _VERDICTS.get(point.verdict, "none"),
            )
            for point in points
        ),
        "meter" if by_meter else "date", per, each.low, each.high,
        _lines(points, trend) if by_meter else _joined(points, by_meter=False),
        (reached.begin or 0.0, reached.end or 0.0) if told and reached is not None else None,
        "high" if reached is not None and reached.limit != each.low else "low",
    )  # fmt: skip


def _is_finite(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def _at(point: Point, by_meter: bool) -> float:
    return float(point.meter or 0.0) if by_meter else float(point.at.date().toordinal())


def _pieces(points: list[Point]) -> list[list[Point]]:
    return [
        [point for point in points if point.piece == piece]
        for piece in sorted({point.piece for point in points})
    ]


def _joined(
    points: list[Point], *, by_meter: bool
) -> tuple[tuple[tuple[float, float], tuple[float, float]], ...]:
    """Each piece's points joined, where there is no line through them."""
    return tuple(
        ((_at(one, by_meter), float(one.value)), (_at(other, by_meter), float(other.value)))
        for piece in _pieces(points)
        for one, other in pairwise(piece)
    )


def _lines(
    points: list[Point], trend: FigureTrend | None
) -> tuple[tuple[tuple[float, float], tuple[float, float]], ...]:
    """The fitted line of each piece, over the stretch that it was measured on."""
    if trend is None or trend.line is None:
        return _joined(points, by_meter=True)
    slope, found = trend.line.slope, []
    for piece in _pieces(points):
        weights = [
            (2 / (point.uncertainty or 2)) ** 2 if trend.line.stated else 1.0 for point in piece
        ]
        whole = math.fsum(weights)
        at = [_at(point, True) for point in piece]
        centre = math.fsum(w * x for w, x in zip(weights, at, strict=True)) / whole
        level = math.fsum(w * float(p.value) for w, p in zip(weights, piece, strict=True)) / whole
        ends = [(x, level + slope * (x - centre)) for x in (min(at), max(at))]
        if ends[0] != ends[1]:
            found.append((ends[0], ends[1]))
    return tuple(found)


def words_of(each: ReadingHistory) -> list[str]:
    """Where it goes and when it reaches its limit, or why that can't be told; a sentence each."""
    trend = each.trend
    if trend is None:
        return []
    line, reached, per = trend.line, trend.reached, trend.per
    said = []
    if line is not None and per:
        unit = DIFFERENCES.get(each.unit, each.unit)
        amount = abs(line.slope) * _PER
        half = (line.high - line.low) / 2 * _PER
        way = "less" if line.slope < 0 else "more"
        said.append(f"{format_quantity(amount, unit, half or None)} {way} each {_PER} {per}.")
    if reached.limit is None:
        return said
    limit = format_quantity(reached.limit, each.unit)
    if reached.begin is not None and reached.end is not None:
        begin, end = (format_quantity(round(at), per) for at in (reached.begin, reached.end))
        said.append(f"Reaches {limit} between {begin} and {end} (19 times of 20).")
    else:
        said.append(f"When it reaches {limit} can't be told: {reached.why_not}.")
    return said
