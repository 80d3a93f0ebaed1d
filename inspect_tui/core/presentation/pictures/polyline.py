"""Lines as points: arcs, smooth lines, and the dots that a line goes over.

Pure geometry in whatever unit the caller has; calculations of no trade.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence

Point = tuple[float, float]

_ARC_PIECES = 24
_SMOOTH_PIECES = 5


def arc(x: float, y: float, radius: float, start: float, end: float) -> tuple[Point, ...]:
    """A part of a circle as a polyline; angles in degrees, clockwise from the right."""
    step = (end - start) / _ARC_PIECES
    turns = [math.radians(start + step * piece) for piece in range(_ARC_PIECES + 1)]
    return tuple((x + radius * math.cos(turn), y + radius * math.sin(turn)) for turn in turns)


def smoothed(points: Sequence[Point], *, closed: bool = False) -> tuple[Point, ...]:
    """A smooth line through all points (Catmull-Rom, uniform).

    Args:
        points: Two or more; of a closed line the first is not repeated at the end.
        closed: Whether the line runs on into its beginning, without a corner there.
    """
    if closed:
        padded = [points[-1], *points, points[0], points[1]]
    else:
        padded = [points[0], *points, points[-1]]
    out: list[Point] = []
    for a, b, c, d in zip(padded, padded[1:], padded[2:], padded[3:], strict=False):
        for piece in range(_SMOOTH_PIECES):
            share = piece / _SMOOTH_PIECES
            out.append(
                (_between(share, a[0], b[0], c[0], d[0]), _between(share, a[1], b[1], c[1], d[1]))
            )
    return (*out, points[0] if closed else points[-1])


def _between(t: float, a: float, b: float, c: float, d: float) -> float:
    return b + t * (c - a + t * (2 * a - 5 * b + 4 * c - d + t * (3 * (b - c) + d - a))) / 2


def dots_along(points: Sequence[Point]) -> Iterator[tuple[int, int]]:
    """The whole positions that a polyline goes over, each once in a row (Bresenham)."""
    whole = [(round(x), round(y)) for x, y in points]
    if whole:
        yield whole[0]
    for (x, y), (to_x, to_y) in itertools.pairwise(whole):
        along, down = abs(to_x - x), -abs(to_y - y)
        step_x, step_y = (1 if to_x > x else -1), (1 if to_y > y else -1)
        error = along + down
        while (x, y) != (to_x, to_y):
            twice = 2 * error
            if twice >= down:
                error += down
                x += step_x
            if twice <= along:
                error += along
                y += step_y
            yield x, y
