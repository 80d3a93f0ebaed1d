"""How a figure moves from season to season, and when it reaches its limit.

Weighted least squares against the meter (JCGM 100, H.3; NIST/SEMATECH e-Handbook 4.1.4). A replaced
part begins a new piece: all pieces share one slope, since they wear alike, and each has a level of
its own. When the line reaches the limit is Fieller's set (Fieller 1954), which takes the slope's
own doubt in; where it has no two ends, the reason is said and no date is made up.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from inspect_tui.calc.distributions import chi_square_quantile, t_quantile

NORMAL_95: Final = 1.959964
"""Two-sided 95 % of the normal distribution."""
_SCATTER: Final = 0.99
"""Chance below which a scatter counts as more than the stated uncertainty explains."""
_MIN_FREEDOM: Final = 3
"""Degrees of freedom below which scatter alone, without a stated uncertainty, tells too little."""


@dataclass(frozen=True, slots=True)
class TrendPoint:
    """One measured value of a figure."""

    at: float
    """The meter's reading, in its unit."""
    value: float
    uncertainty: float | None = None
    """Expanded (k = 2), in the value's unit; None where nothing is stated."""
    piece: int = 0
    """Which part it was measured on; a later piece has a higher number."""


@dataclass(frozen=True, slots=True)
class Trend:
    """A line with one slope for all pieces; what it says holds for the last piece."""

    slope: float
    """In the value's unit per one of the meter's."""
    low: float
    high: float
    """95 % interval of the slope."""
    level: float
    """Weighted mean of the last piece, reached at `centre`."""
    centre: float
    stated: bool
    """Whether every point came with an uncertainty."""
    freedom: int
    """Degrees of freedom: points less pieces less one."""
    chi_square: float
    """Weighted sum of the squared residuals."""
    scale: float
    """Squared factor on the stated variances: 1, or more where they don't explain the scatter."""
    quantile: float
    weight: float
    """Of the last piece: sum of 1/u^2."""
    across: float
    """Weighted sum of the squared meter distances, over all pieces."""
    newest: float
    """The last meter reading."""

    def value_at(self, at: float) -> float:
        """The line at a meter reading, on the last piece."""
        return self.level + self.slope * (at - self.centre)

    def half_width_at(self, at: float, reading: float | None = None) -> float:
        """Half of the 95 % interval of the line, or of one new reading.

        Args:
            at: The meter reading.
            reading: Standard uncertainty of the new reading; None asks for the line itself.
        """
        own = 0.0 if reading is None else reading**2
        spread = 1 / self.weight + (at - self.centre) ** 2 / self.across + own
        return self.quantile * math.sqrt(self.scale * spread)


@dataclass(frozen=True, slots=True)
class Crossing:
    """When the last piece reaches a limit, with 95 % confidence, or why that can't be told."""

    limit: float | None
    begin: float | None = None
    end: float | None = None
    why_not: str = ""


def too_few(points: Sequence[TrendPoint]) -> str:
    """Why no line can be laid through the points; "" where one can."""
    if len(points) - len(_pieces(points)) - 1 < 1:
        return "too few readings"
    if not any(
        point.at != other.at and point.piece == other.piece for point in points for other in points
    ):
        return "all at the same meter reading"
    return ""


def fit_trend(points: Sequence[TrendPoint]) -> Trend | None:
    """The line through the points; None where `too_few` says why not.

    Where a single point lacks an uncertainty, all count alike and the scatter decides.
    """
    if too_few(points):
        return None
    stated = all(point.uncertainty for point in points)
    weights = [(2 / (point.uncertainty or 2)) ** 2 if stated else 1.0 for point in points]
    sums: dict[int, tuple[float, float, float]] = {}
    for piece in _pieces(points):
        own = [(w, p) for w, p in zip(weights, points, strict=True) if p.piece == piece]
        weight = math.fsum(w for w, _ in own)
        centre = math.fsum(w * p.at for w, p in own) / weight
        sums[piece] = weight, centre, math.fsum(w * p.value for w, p in own) / weight
    rows = [
        (w, point.at - sums[point.piece][1], point.value - sums[point.piece][2])
        for w, point in zip(weights, points, strict=True)
    ]
    across = math.fsum(w * x * x for w, x, _ in rows)
    slope = math.fsum(w * x * y for w, x, y in rows) / across
    chi_square = math.fsum(w * (y - slope * x) ** 2 for w, x, y in rows)
    freedom = max(len(points) - len(sums) - 1, 1)
    scale, quantile = 1.0, NORMAL_95
    if not stated or chi_square > chi_square_quantile(_SCATTER, freedom):
        scale, quantile = chi_square / freedom, t_quantile(0.025, freedom)
    half = quantile * math.sqrt(scale / across)
    weight, centre, level = sums[max(sums)]
    return Trend(
        slope, slope - half, slope + half, level, centre, stated, freedom, chi_square, scale,
        quantile, weight, across, max(point.at for point in points),
    )  # fmt: skip


def crossing(trend: Trend, low: float | None, high: float | None) -> Crossing:
    """When the last piece reaches the limit that it moves towards.

    Args:
        trend: The line.
        low: The lowest good value, or None.
        high: The highest good value, or None.
    """
    limit = low if (trend.slope < 0 or high is None) and low is not None else high
    if limit is None:
        return Crossing(None, why_not="there is no limit")
    if not trend.stated and trend.freedom < _MIN_FREEDOM:
        return Crossing(limit, why_not="too few readings for a gauge without a stated uncertainty")
    distance = limit - trend.level
    bound = trend.quantile**2 * trend.scale
    a = trend.slope**2 - bound / trend.across
    b = trend.slope * distance
    c = distance**2 - bound / trend.weight
    root = b * b - a * c
    if a <= 0:
        later = trend.centre + max((b - s) / a for s in _signed(root)) if a and root >= 0 else None
        not_before = "" if later is None or later <= trend.newest else f"; not before {later:.0f}"
        return Crossing(limit, why_not=f"no change is sure yet{not_before}")
    now = trend.value_at(trend.newest)
    if (limit is low and trend.slope > 0) or (limit is high and trend.slope < 0):
        return Crossing(limit, why_not="it moves away from the limit")
    if (low is not None and now < low) or (high is not None and now > high):
        return Crossing(limit, why_not="it is already past the limit")
    ends = sorted(trend.centre + (b + s) / a for s in _signed(root))
    return Crossing(limit, ends[0], ends[-1])


def _signed(square: float) -> tuple[float, float]:
    root = math.sqrt(max(square, 0.0))
    return root, -root


def _pieces(points: Sequence[TrendPoint]) -> list[int]:
    return sorted({point.piece for point in points})
