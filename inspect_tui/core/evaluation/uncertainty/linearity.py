"""Whether a value follows its sources of error in a straight line, and how steeply.

Looked at where the draws would fall: at two and at 3.2 standard deviations along each source and
in patterns of all of them at once. Second differences along the axes alone are not enough: a
product at nought, or `round` of a mean, is straight along each axis and bends between them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from inspect_tui.core.evaluation.uncertainty.error_sources import Source

NEAR, FAR = 2.0, 3.2
"""Radii of the test points, in standard deviations."""
_NEAR_SLACK, _FAR_SLACK = 0.01, 0.05
"""Residuals that a straight line may leave there, in standard deviations of the value."""
_NEARLY = 0.15
"""The same for a standard deviation: a bend of that size changes it by less than 1 %."""
_WITHIN = (-0.71, -0.37, 0.37, 0.71)
"""Places within a rectangle that are tried too, since both radii lie at its ends: a staircase whose
steps fit the ends would pass for a line. No two are a whole number of steps apart."""
Points = tuple[tuple[float, ...], ...]


@dataclass(frozen=True, slots=True)
class TrialPoints:
    """Where a value is tried: a column of unit draws for each source, in one order of points."""

    columns: Points
    radii: tuple[float, ...]
    """Of each point; 0 for the first, the centre."""

    @property
    def count(self) -> int:
        """How many points there are."""
        return len(self.radii)


@dataclass(frozen=True, slots=True)
class Line:
    """A value as a straight line in the unit draws of its sources."""

    centre: float
    slopes: tuple[float, ...]
    """For each source: by how much one unit draw moves the value."""
    straight: bool
    """Whether the value keeps to the line, so that a probability may be taken from it."""
    nearly: bool
    """Whether it keeps so near to it that its standard deviation may be."""

    def deviation(self, sources: Sequence[Source]) -> float:
        """The value's standard deviation by the slopes (JCGM 100:2008, 5.1.2)."""
        return math.sqrt(
            sum(
                (slope * source.deviation) ** 2
                for slope, source in zip(self.slopes, sources, strict=True)
            )
        )


def trial_points(sources: Sequence[Source]) -> TrialPoints:
    """The points for these sources."""
    return _points(tuple(source.kind == "rectangular" for source in sources))


@lru_cache(maxsize=256)
def _points(rectangles: tuple[bool, ...]) -> TrialPoints:
    count = len(rectangles)
    steps: list[tuple[float, ...]] = [(0.0,) * count]
    radii = [0.0]
    for radius in (NEAR, FAR):
        for number in range(count):
            for side in (1, -1):
                steps.append(tuple(side * radius if n == number else 0.0 for n in range(count)))
                radii.append(radius)
        if radius == NEAR:
            for number, rectangle in enumerate(rectangles):
                for within in _WITHIN if rectangle else ():
                    step = within * math.sqrt(3)
                    steps.append(tuple(step if n == number else 0.0 for n in range(count)))
                    radii.append(radius)
        for pattern in _patterns(count):
            steps.append(tuple(sign * radius / math.sqrt(count) for sign in pattern))
            radii.append(radius)
    columns = tuple(
        tuple(_unit_draw(step[number], rectangle) for step in steps)
        for number, rectangle in enumerate(rectangles)
    )
    return TrialPoints(columns, tuple(radii))


def _unit_draw(step: float, rectangle: bool) -> float:
    """A step in standard deviations as a draw; a rectangle has an end."""
    return max(-1.0, min(1.0, step / math.sqrt(3))) if rectangle else step


def _patterns(count: int) -> list[list[int]]:
    """Fourteen ways of moving all sources together, half of them the mirror of another."""
    patterns = [
        [-1 if bin((5 * q + 3) * (a + 1) ^ (q * a & 7)).count("1") & 1 else 1 for a in range(count)]
        for q in range(8)
    ]
    patterns.append([1] * count)
    return patterns + [[-sign for sign in pattern] for pattern in patterns[:4] + patterns[8:]]


def fit_line(
    points: TrialPoints, values: Sequence[float], sources: Sequence[Source], noise: float
) -> Line:
    """The straight line through a value's test points.

    Args:
        points: As made for these sources.
        values: The value at each point.
        sources: The sources.
        noise: What rounding may add, in the value's unit.
    """
    centre = values[0]
    slopes = []
    for number, column in enumerate(points.columns):
        up, down = 1 + 2 * number, 2 + 2 * number
        slopes.append((values[up] - values[down]) / (column[up] - column[down]))
    scale = math.sqrt(
        sum((b * source.deviation) ** 2 for b, source in zip(slopes, sources, strict=True))
    )
    straight = nearly = True
    for place, (value, radius) in enumerate(zip(values, points.radii, strict=True)):
        along = sum(b * column[place] for b, column in zip(slopes, points.columns, strict=True))
        off = abs(value - centre - along) - noise
        straight = straight and off <= (_NEAR_SLACK if radius <= NEAR else _FAR_SLACK) * scale
        nearly = nearly and off <= _NEARLY * scale
    return Line(centre, tuple(slopes), straight, nearly)
