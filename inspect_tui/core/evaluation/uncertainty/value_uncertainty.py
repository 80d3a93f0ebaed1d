"""How the errors of readings go through a value and its limits, for one session.

Everything that rests on an uncertain reading takes part: the value, the limits it is held against,
the air that was measured. What the sheet says, words, counts and answers are the same in every row.
The jet chart's band is looked up for the air as it was entered: a band is the maker's choice of
setting for a range of air, not a measurement.
"""

from __future__ import annotations

import math
import operator
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import repeat
from typing import TYPE_CHECKING

from inspect_tui.calc.distributions import t_cdf
from inspect_tui.core.evaluation.uncertainty.error_sources import Source, error_sources
from inspect_tui.core.evaluation.uncertainty.first_order import probability_above_zero
from inspect_tui.core.evaluation.uncertainty.measured import Measured
from inspect_tui.core.evaluation.uncertainty.probability import (
    Outcome,
    Propagated,
    Sampled,
    propagate,
)
from inspect_tui.core.expressions import ambient, columns
from inspect_tui.core.expressions.columns import ANSWER, Rows, Samples, lifted
from inspect_tui.core.expressions.expression import Expression, Missing, Name
from inspect_tui.core.expressions.values import NOT_MEASURED
from inspect_tui.core.model.log_entry import Phase
from inspect_tui.core.model.results import ToleranceInterval
from inspect_tui.core.quantities import units
from inspect_tui.core.quantities.units import Number, Quantity, Unit
from inspect_tui.core.session.replay import Key, ReadingKey
from inspect_tui.errors import InspectError

if TYPE_CHECKING:
    from inspect_tui.core.evaluation.evaluator import Evaluator

Sides = Mapping[str, Expression]
"""`min`, `max`, `target`, `tolerance`, `equal` of a limit."""


@dataclass(frozen=True)
class UncertainReadings:
    """The readings that something rests on, with the sources of their errors."""

    keys: tuple[ReadingKey, ...]
    measured: tuple[Measured, ...]
    sources: tuple[Source, ...]
    """Empty where none of them has a known error."""

    @classmethod
    def of(cls, evaluator: Evaluator, places: Iterable[Key], phase: Phase) -> UncertainReadings:
        """Those of these places that have a value in the phase."""
        keys = tuple(
            key
            for place in dict.fromkeys(places)
            if (key := evaluator.key(place, phase)) is not None
        )
        measured = tuple(map(evaluator.measured, keys))
        errors = [one.reading_error(key) for key, one in zip(keys, measured, strict=True)]
        return cls(keys, measured, error_sources(errors))

    @property
    def exact_ones(self) -> tuple[ReadingKey, ...]:
        """Measured numbers of which no error is known, though others' are."""
        if not self.sources:
            return ()
        return tuple(
            key
            for key, one in zip(self.keys, self.measured, strict=True)
            if one.inexact and not one.error.known
        )


class SampledValues:
    """The values of names in every row of a set of draws, for one session and phase."""

    def __init__(
        self,
        evaluator: Evaluator,
        phase: Phase,
        readings: UncertainReadings,
        deviations: Sequence[Sampled],
    ) -> None:
        self._evaluator = evaluator
        self._phase = phase
        self._readings = readings
        self._deviations = deviations
        self.count = max(len(one) for one in deviations if not isinstance(one, float))
        self._shared = Rows(self.count, self.lookup(None))
        self._known: dict[tuple[str, str, str | None], columns.Sampled | Missing] = {}

    @property
    def bad(self) -> frozenset[int]:
        """Rows that can't be worked out."""
        return frozenset(self._shared.bad)

    @property
    def slow(self) -> bool:
        """Whether a calculation had to be worked out row by row."""
        return self._shared.slow

    def rows(self, cylinder: str | None) -> Rows:
        """The rows as an expression for one cylinder sees them (None: lists of all)."""
        return Rows(self.count, self.lookup(cylinder), self._shared.bad)

    def value(self, expression: Expression, cylinder: str | None) -> columns.Sampled | Missing:
        """An expression in every row."""
        rows = self.rows(cylinder)
        found = expression.in_rows(rows)
        self._shared.slow = self._shared.slow or rows.slow
        return found

    def reading(self, key: ReadingKey) -> columns.Sampled | Missing:
        """A reading in every row."""
        measured = self._evaluator.measured(key)
        base = lifted(measured.value)
        if not isinstance(base, Samples) or key not in self._readings.keys:
            return base
        deviation = self._deviations[self._readings.keys.index(key)]
        if isinstance(deviation, float):
            return base
        assert isinstance(base.si, float)
        moved = list(map(operator.add, deviation, repeat(base.si)))
        return Samples(moved, base.dimension, base.quantity_kind)

    def lookup(self, cylinder: str | None) -> Callable[[Name], columns.Sampled | Missing]:
        """The values of names for one cylinder."""
        exact = self._evaluator.lookup(cylinder, self._phase)

        def find(name: Name) -> columns.Sampled | Missing:
            if name.where == "value":
                return self._named(name, cylinder)
            if name.where == "conditions":
                return ambient.condition_in_rows(self._shared, name.id, self._air())
            return lifted(exact(name))

        return find

    def _named(self, name: Name, cylinder: str | None) -> columns.Sampled | Missing:
        evaluator = self._evaluator
        step = evaluator.compiled.steps.get(name.step)
        if step is None:
            return NOT_MEASURED
        if not evaluator.definitions.by_cylinder(step, name.id):
            return self._single(name, None)
        if cylinder is not None:
            return self._single(name, cylinder)
        return tuple(self._single(name, each) for each in evaluator.machine.cylinders)

    def _single(self, name: Name, cylinder: str | None) -> columns.Sampled | Missing:
        place = (name.step, name.id, cylinder)
        known = self._known.get(place)
        if known is None:
            expression = self._evaluator.compiled.value.get((name.step, name.id))
            if expression is not None:
                known = self.value(expression, cylinder)
            else:
                key = self._evaluator.key(place, self._phase)
                known = NOT_MEASURED if key is None else self.reading(key)
            self._known[place] = known
        return known

    def _air(self) -> dict[str, columns.Sampled | Missing]:
        found: dict[str, columns.Sampled | Missing] = {}
        for name, (value, key) in self._evaluator.air_entries(self._phase).items():
            found[name] = lifted(value) if key is None else self.reading(key)
        return found


def propagated(
    evaluator: Evaluator,
    value: Expression | ReadingKey,
    sides: Sides,
    unit: Unit,
    cylinder: str | None,
    phase: Phase,
) -> tuple[Propagated | None, UncertainReadings]:
    """What the errors of the readings make of a value and its limits.

    Args:
        evaluator: Of the session as it stands.
        value: What is held against the limits: an expression, or a reading itself.
        sides: The limits; none where there are none.
        unit: The value's own unit.
        cylinder: For which it is worked out; None: lists of all.
        phase: As found or as left.

    Returns:
        The probability and the standard uncertainty, in the value's unit; None where no reading
        has a known error or what comes out is no number. And the readings that it rests on.
    """
    places: list[Key] = []
    if isinstance(value, Expression):
        places += evaluator.definitions.input_readings(value, cylinder)
    else:
        places.append(value[:3])
    for side in sides.values():
        places += evaluator.definitions.input_readings(side, cylinder)
    readings = UncertainReadings.of(evaluator, places, phase)
    if not readings.sources:
        return None, readings

    def model(deviations: Sequence[Sampled]) -> Outcome:
        draws = SampledValues(evaluator, phase, readings, deviations)
        if isinstance(value, Expression):
            found = draws.value(value, cylinder)
        else:
            found = draws.reading(value)
        limits = {name: draws.value(side, cylinder) for name, side in sides.items()}
        above, below = _distances(draws.rows(cylinder), found, limits, unit)
        assert isinstance(found, Samples)
        return Outcome(found.si, above, below, draws.bad, draws.slow)

    try:
        result = propagate(model, readings.sources, len(readings.keys))
    except InspectError:
        return None, readings
    scale = abs(float(unit.factor))
    return replace(result, standard_uncertainty=result.standard_uncertainty / scale), readings


def _distances(
    rows: Rows,
    value: columns.Sampled | Missing,
    limits: Mapping[str, columns.Sampled | Missing],
    unit: Unit,
) -> tuple[Sampled | None, Sampled | None]:
    """How far a value lies above its lower and below its upper limit, in every row."""
    if isinstance(value, Samples) and value.quantity_kind == ANSWER:
        return _towards(rows, value, limits.get("equal")), None
    number = _number(value, unit)
    low = high = None
    known = {name: side for name, side in limits.items() if not isinstance(side, Missing)}
    if len(known) < len(limits):  # the side that is there still judges what lies beyond it
        known = {name: side for name, side in known.items() if name in ("min", "max")}
    if "equal" in known:
        low = high = _number(known["equal"], unit)
    if "target" in known:
        target = _number(known["target"], unit)
        tolerance = _tolerance(rows, known.get("tolerance"), target, unit)
        low = columns.mapped2(rows, operator.sub, target, tolerance)
        high = columns.mapped2(rows, operator.add, target, tolerance)
    if "min" in known:
        low = _number(known["min"], unit)
    if "max" in known:
        high = _number(known["max"], unit)
    above = None if low is None else columns.mapped2(rows, operator.sub, number, low)
    below = None if high is None else columns.mapped2(rows, operator.sub, high, number)
    return above, below


def _towards(rows: Rows, value: Samples, wanted: columns.Sampled | Missing | None) -> Sampled:
    """Yes or no as a distance to the answer that is wanted: a half either way."""
    if not isinstance(wanted, bool):
        raise InspectError("the limit is for a number")
    half = columns.mapped2(rows, operator.sub, value.si, 0.5)
    return half if wanted else columns.mapped2(rows, operator.mul, half, -1.0)


def _number(value: columns.Sampled | Missing, unit: Unit) -> float | Sequence[float]:
    if not isinstance(value, Samples) or not columns.is_number(value):
        raise InspectError("no number")
    try:
        units.number_in(Quantity(0.0, value.dimension, value.quantity_kind), unit)
    except InspectError as error:
        raise InspectError(error.message) from error
    return value.si


def _tolerance(
    rows: Rows, side: columns.Sampled | None, target: Sampled, unit: Unit
) -> float | Sequence[float]:
    if side is None:
        return 0.0
    if not isinstance(side, Samples) or not columns.is_number(side):
        raise InspectError("no number")
    if side.quantity_kind == "percent" and unit.quantity_kind != "percent":
        size = abs(target) if isinstance(target, float) else list(map(abs, target))
        if not unit.offset:
            return columns.mapped2(rows, operator.mul, size, side.si)
        raise InspectError("a share of a temperature")
    return side.si


def inside_fixed_limits(
    measured: Measured, number: Number, zone: ToleranceInterval
) -> float | None:
    """The probability that a reading lies inside limits that are exact; None: no error is known."""
    error = measured.error
    if not error.standard or (zone.low is None and zone.high is None):
        return None
    sides = [number - zone.low] if zone.low is not None else []
    sides += [zone.high - number] if zone.high is not None else []
    freedom = error.effective_degrees_of_freedom
    if math.isfinite(freedom):
        inside = [t_cdf(float(side) / error.standard, freedom) for side in sides]
    else:
        normal = math.hypot(error.own, error.common)
        inside = [
            probability_above_zero(float(side), normal, (error.half_resolution,)) for side in sides
        ]
    return max(0.0, sum(inside) - (len(inside) - 1))
