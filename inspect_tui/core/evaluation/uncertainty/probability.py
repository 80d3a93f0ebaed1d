"""How likely a value lies inside its limits, and its standard uncertainty.

The distributions of the readings' errors are pushed through the value's formula (JCGM 101:2008).
Where the value and its limits follow the errors in a straight line, first order gives the same in
closed form (JCGM 100:2008, 5.1); at ties and kinks it doesn't, and there the same fixed draws are
looked at on every machine: few where the answer is plain, more near a border of the verdict.

A limit may itself be a reading: what is looked at is the distance to it, not the value.
"""

from __future__ import annotations

import math
import operator
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import repeat
from typing import Literal

from inspect_tui.calc.distributions import t_cdf
from inspect_tui.calc.measurement import MAX_FAILING_PROBABILITY, MIN_CONFORMANCE_PROBABILITY
from inspect_tui.core.evaluation.uncertainty import draws
from inspect_tui.core.evaluation.uncertainty.error_sources import Source
from inspect_tui.core.evaluation.uncertainty.first_order import probability_above_zero
from inspect_tui.core.evaluation.uncertainty.linearity import (
    Line,
    TrialPoints,
    fit_line,
    trial_points,
)

Sampled = float | Sequence[float]
"""One number for all rows, or one for each."""
Model = Callable[[Sequence[Sampled]], "Outcome"]
"""From each reading's deviation, row by row, to the value and its distances to the limits."""

NOISE = 1e-9
"""Relative: what rounding in floats may take from a value that lies on its limit."""
FIRST_ROWS, MORE_ROWS, ALL_ROWS = 1024, 4096, draws.ROWS
SINGLE_ROWS = 512
PLAIN = 0.002
"""A probability nearer to nought or one needs no more draws."""
NEAR_BORDER = 0.01
"""A probability this near to a border of the verdict gets all the draws."""
NEAR_BORDER_SLOW = 0.02
"""The same where each draw takes long, and the first draws have to do elsewhere."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """A value and its distances to its limits, for a number of rows."""

    value: Sampled
    above_low: Sampled | None
    """The value less its lower limit; None where it has none."""
    below_high: Sampled | None
    """The upper limit less the value."""
    bad: frozenset[int] = frozenset()
    """Rows that can't be worked out; they count as not inside."""
    slow: bool = False
    """Whether each row takes long, so that few have to do where they decide plainly."""


@dataclass(frozen=True, slots=True)
class Propagated:
    """What the errors of the readings make of a value."""

    probability: float | None
    """That the value lies inside its limits, 0 to 1; None where it has no limit."""
    standard_uncertainty: float
    """In the value's unit."""
    degrees_of_freedom: float = math.inf
    """Where the uncertainty itself rests on few repeats (JCGM 100:2008, G.4)."""
    interval: tuple[float, float] | None = None
    """Where 95 % of the draws lie, as many below as above (JCGM 101:2008, 7.7), where it was asked
    for; None where the value follows its sources in a straight line."""
    method: Literal["first order", "one source", "draws"] = "first order"
    rows: int = 0
    """How many draws were looked at."""


def propagate(
    model: Model, sources: Sequence[Source], count: int, *, interval: bool = False
) -> Propagated:
    """The probability of being inside, and the standard uncertainty.

    Args:
        model: Works out the rows.
        sources: At least one.
        count: How many readings the model has.
        interval: Whether to say where 95 % of the draws lie.
    """
    points = trial_points(sources)
    tried = model(deviations_of(sources, points.columns, count))
    lines = None if tried.bad else _lines(points, tried, sources)
    if lines is not None:
        known = _by_first_order(lines, tried, points, sources)
        if known is not None:
            return known
    tolerance = _tolerance(tried, points)
    value = lines.value if lines is not None and lines.value.nearly else None
    if len(sources) == 1:
        found = _Counted(model, sources, count, tolerance)
        found.more(SINGLE_ROWS, single=True)
        return found.result("one source", value, interval)
    found = _Counted(model, sources, count, tolerance)
    found.more(FIRST_ROWS)
    for rows, near in (
        (MORE_ROWS, NEAR_BORDER_SLOW if tried.slow else None),
        (ALL_ROWS, NEAR_BORDER),
    ):
        if not found.wants_more(near):
            break
        found.more(rows)
    return found.result("draws", value, interval)


@dataclass(frozen=True, slots=True)
class _Lines:
    value: Line
    above_low: Line | None
    below_high: Line | None

    @property
    def sides(self) -> tuple[Line, ...]:
        return tuple(line for line in (self.above_low, self.below_high) if line is not None)


def _lines(points: TrialPoints, tried: Outcome, sources: Sequence[Source]) -> _Lines:
    noise = _tolerance(tried, points)

    def line(values: Sampled | None) -> Line | None:
        if values is None:
            return None
        return fit_line(points, _spread_out(values, points.count), sources, noise)

    value = line(tried.value)
    assert value is not None
    return _Lines(value, line(tried.above_low), line(tried.below_high))


def _by_first_order(
    lines: _Lines, tried: Outcome, points: TrialPoints, sources: Sequence[Source]
) -> Propagated | None:
    """The answer in closed form, or None where the value bends within its uncertainty."""
    if not lines.value.nearly or not all(line.straight for line in lines.sides):
        return None
    if len(lines.sides) == 2:
        # A zone that may be empty has no two sides of its own.
        width = _added(tried.above_low, tried.below_high, points.count)
        if min(width) < 0:
            return None
    deviation = lines.value.deviation(sources)
    freedom = effective_degrees_of_freedom(lines.value, sources)
    if math.isfinite(freedom):
        if len({reading for source in sources for reading, _ in source.sizes}) > 1:
            return None
        sides = [_student_side(line, sources) for line in lines.sides]
    else:
        sides = [_side(line, sources) for line in lines.sides]
    probability = None if not sides else max(0.0, sum(sides) - (len(sides) - 1))
    return Propagated(probability, deviation, freedom)


def _side(line: Line, sources: Sequence[Source]) -> float:
    pairs = list(zip(line.slopes, sources, strict=True))
    normal = math.sqrt(sum(b * b for b, source in pairs if source.kind == "normal"))
    return probability_above_zero(
        line.centre, normal, [b for b, source in pairs if source.kind == "rectangular"]
    )


def _student_side(line: Line, sources: Sequence[Source]) -> float:
    deviation = line.deviation(sources)
    if deviation == 0:
        return 1.0 if line.centre >= 0 else 0.0
    return t_cdf(line.centre / deviation, effective_degrees_of_freedom(line, sources))


def effective_degrees_of_freedom(line: Line, sources: Sequence[Source]) -> float:
    """Welch-Satterthwaite (JCGM 100:2008, G.4.1); infinite where no source rests on repeats."""
    fourth = sum(
        (slope * source.deviation) ** 4 / source.degrees_of_freedom
        for slope, source in zip(line.slopes, sources, strict=True)
        if math.isfinite(source.degrees_of_freedom)
    )
    if fourth == 0:
        return math.inf
    return line.deviation(sources) ** 4 / fourth


def _tolerance(tried: Outcome, points: TrialPoints) -> float:
    """What rounding may take from a value on its limit, in the value's unit."""
    values = _spread_out(tried.value, points.count)
    centre = values[0]
    limits = [0.0]
    if tried.above_low is not None:
        limits.append(abs(centre - _spread_out(tried.above_low, points.count)[0]))
    if tried.below_high is not None:
        limits.append(abs(centre + _spread_out(tried.below_high, points.count)[0]))
    reach = max(abs(value - centre) for value in values)
    return NOISE * (abs(centre) + max(limits) + reach)


class _Counted:
    """Draws looked at so far."""

    def __init__(
        self, model: Model, sources: Sequence[Source], count: int, tolerance: float
    ) -> None:
        self._model = model
        self._sources = sources
        self._count = count
        self._tolerance = tolerance
        self._rows = 0
        self._inside = 0
        self._judged = False
        self._values: list[float] = []

    def more(self, rows: int, *, single: bool = False) -> None:
        """Go on until so many rows are looked at."""
        start, self._rows = self._rows, rows
        columns = [
            _single_column(source, rows) if single else _column(number, source, rows)[start:]
            for number, source in enumerate(self._sources)
        ]
        found = self._model(deviations_of(self._sources, columns, self._count))
        length = rows - start
        sides = [side for side in (found.above_low, found.below_high) if side is not None]
        self._judged = bool(sides)
        floor = -self._tolerance
        inside: Iterable[bool] = repeat(True, length)
        for side in sides:
            kept = map(operator.ge, _spread_out(side, length), repeat(floor))
            inside = map(operator.and_, inside, kept)
        if found.bad:
            self._inside += sum(
                1 for row, kept in enumerate(inside) if kept and row not in found.bad
            )
        elif sides:
            self._inside += sum(inside)
        if start < MORE_ROWS:
            values = _spread_out(found.value, length)
            self._values += [
                value for row, value in enumerate(values) if row not in found.bad
            ] if found.bad else values  # fmt: skip

    @property
    def probability(self) -> float:
        """The share of rows inside."""
        return self._inside / self._rows

    def wants_more(self, near: float | None) -> bool:
        """Whether the share is too near a border to be left at that.

        Args:
            near: How near; None where every share between plain no and plain yes wants more.
        """
        p = self.probability
        if near is None:
            return not self._judged or PLAIN <= p <= 1 - PLAIN
        return (
            self._judged
            and min(abs(p - MAX_FAILING_PROBABILITY), abs(p - MIN_CONFORMANCE_PROBABILITY)) <= near
        )

    def result(
        self, method: Literal["one source", "draws"], line: Line | None, interval: bool
    ) -> Propagated:
        """What the rows say.

        Args:
            method: How the rows were drawn.
            line: The value's, where it is so nearly straight that its slopes say the uncertainty.
            interval: Whether to say where 95 % of the draws lie.
        """
        if line is None:
            deviation = _standard_deviation(self._values)
        else:
            deviation = line.deviation(self._sources)
        ends = _middle_95(self._values) if interval and self._values and line is None else None
        probability = self.probability if self._judged else None
        return Propagated(probability, deviation, interval=ends, method=method, rows=self._rows)


def _standard_deviation(values: Sequence[float]) -> float:
    """JCGM 101:2008, 7.6. `statistics.stdev` gives the same in exact fractions, and takes long."""
    count = len(values)
    if count < 2:
        return 0.0
    mean = math.fsum(values) / count
    apart = map(operator.sub, values, repeat(mean))
    return math.sqrt(math.fsum(part * part for part in apart) / (count - 1))


def _middle_95(values: Sequence[float]) -> tuple[float, float]:
    """What 2.5 % of the values lie below and 2.5 % above."""
    ordered = sorted(values)
    out = int(len(ordered) * 0.025)
    return ordered[out], ordered[-1 - out]


def _column(number: int, source: Source, rows: int) -> Sequence[float]:
    if source.kind == "rectangular":
        return draws.rectangular(number, rows)
    if math.isfinite(source.degrees_of_freedom):
        return draws.student(number, source.degrees_of_freedom, rows)
    return draws.normal(number, rows)


def _single_column(source: Source, rows: int) -> Sequence[float]:
    if source.kind == "rectangular":
        return draws.single(rows)
    if math.isfinite(source.degrees_of_freedom):
        return tuple(
            draws.student_quantile(u, source.degrees_of_freedom) for u in draws.single(rows)
        )
    return draws.single_normal(rows)


def drawn_deviations(sources: Sequence[Source], rows: int, count: int) -> list[Sampled]:
    """Each reading's deviation in the first rows of the draws.

    Args:
        sources: At least one.
        rows: At most `draws.ROWS`.
        count: How many readings there are.
    """
    columns = [_column(number, source, rows) for number, source in enumerate(sources)]
    return deviations_of(sources, columns, count)


def deviations_of(
    sources: Sequence[Source], columns: Sequence[Sequence[float]], count: int
) -> list[Sampled]:
    """Each reading's deviation, row by row; 0 for one that is exact.

    Args:
        sources: At least one.
        columns: The unit draws of each source.
        count: How many readings there are.
    """
    found: list[Sampled] = [0.0] * count
    for source, column in zip(sources, columns, strict=True):
        for reading, size in source.sizes:
            part = list(map(operator.mul, column, repeat(size)))
            before = found[reading]
            if isinstance(before, float):
                found[reading] = part
            else:
                found[reading] = list(map(operator.add, before, part))
    return found


def _spread_out(values: Sampled, rows: int) -> Sequence[float]:
    return [values] * rows if isinstance(values, float | int) else values


def _added(a: Sampled | None, b: Sampled | None, rows: int) -> list[float]:
    assert a is not None and b is not None
    return list(map(operator.add, _spread_out(a, rows), _spread_out(b, rows)))
