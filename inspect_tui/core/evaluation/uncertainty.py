"""How the uncertainty of readings goes through an expression.

First-order propagation (JCGM 100:2008, 5.1.2), with the sensitivities found by moving each
reading a little both ways (5.1.3, note 2), so that every calculation takes part as it is.

Readings of one gauge share that gauge's own error. Where the checklist states
`uncertainty_between`, the uncertainty is split: the part that differs from reading to reading
(`uncertainty_between`), and the rest, common to all readings of that gauge in the step (5.2.2,
fully correlated). So a difference between cylinders loses the common part, and a mean keeps it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from inspect_tui.core.expressions.expression import Missing, Value
from inspect_tui.core.model.checklist import Amount, Reading
from inspect_tui.core.quantities import units
from inspect_tui.core.quantities.units import Number, Quantity, Unit
from inspect_tui.core.readings import parse as readings
from inspect_tui.core.session.replay import ReadingKey, Recorded
from inspect_tui.errors import InspectError

_GAUGE = re.compile(
    r"(?:±|\+/-|(?P<resolution>resolution)\s)\s*(?P<amount>[0-9][^;,]{0,30})", re.IGNORECASE
)
_RECTANGLE = Fraction(2 / math.sqrt(12))
STEP = Fraction(1, 1000)
"""How far a reading is moved, in its own expanded uncertainties: small enough for first order."""


@dataclass(frozen=True, slots=True)
class StatedUncertainty:
    """The uncertainties that the checklist states for a reading, expanded (k = 2).

    Each is (relative, amount): a part of the value, or an amount in the reading's own unit.
    """

    expanded: tuple[bool, Fraction] | None = None
    between_readings: tuple[bool, Fraction] | None = None


def stated(reading: Reading, unit: Unit) -> StatedUncertainty:
    """What the checklist states for this reading."""
    return StatedUncertainty(
        _amount(reading.uncertainty, unit), _amount(reading.uncertainty_between, unit)
    )


def _amount(given: Amount | None, unit: Unit) -> tuple[bool, Fraction] | None:
    if given is None:
        return None
    if not isinstance(given, str):
        return False, abs(Fraction(str(given)))
    try:
        quantity = readings.quantity(given, unit)
        if quantity.quantity_kind == "percent" and unit.quantity_kind != "percent":
            return True, abs(Fraction(quantity.si))
        if quantity.quantity_kind == "temperature":
            return False, abs(Fraction(units.number_in(quantity, unit)))
        return False, abs(Fraction(quantity.si) / unit.factor)
    except InspectError:
        return None


@dataclass(frozen=True, slots=True)
class Measured:
    """A reading with what is known of its error."""

    value: Value
    """As expressions see it."""
    number: Number | bool | str
    """In its own unit; an answer or a text as it is."""
    unit: Unit
    correlated: float = 0.0
    """Expanded, own unit: the gauge's own error, shared by its readings."""
    uncorrelated: float = 0.0
    """Expanded, own unit: what differs from reading to reading."""
    expanded: float | None = None
    """Both together; None where nothing is stated."""
    gauge: str = ""

    @classmethod
    def of(
        cls, recorded: Recorded, reading: Reading | None, unit: Unit, told: StatedUncertainty
    ) -> Measured:
        """A recorded reading; what was typed is read again, which is exact."""
        typed = None
        if reading is not None and not recorded.photo:  # a photo's value is its hash
            typed = _again(recorded.entered, reading)
        if reading is not None and typed is not None and typed.value is not None:
            return cls.typed(typed, reading, unit, told, recorded.gauge)
        logged = recorded.value
        if isinstance(logged, bool | str):
            return cls(logged, logged, unit, gauge=recorded.gauge)
        number = Fraction(str(logged))
        return cls._number(number, unit, told, None, False, recorded.gauge)

    @classmethod
    def typed(
        cls,
        typed: readings.ParsedReading,
        reading: Reading,
        unit: Unit,
        told: StatedUncertainty,
        gauge: str = "",
    ) -> Measured:
        """Something typed, recorded or not."""
        value = typed.value
        if value is None:
            raise ValueError("an unknown answer is no measured value")
        if isinstance(value, bool | str):
            return cls(value, value, unit, gauge=gauge)
        return cls._number(value, unit, told, typed.uncertainty, bool(typed.repeats), gauge)

    @classmethod
    def _number(
        cls,
        number: Number,
        unit: Unit,
        told: StatedUncertainty,
        entered: Number | None,
        repeats: bool,
        gauge: str,
    ) -> Measured:
        whole, between = _size(told.expanded, number), _size(told.between_readings, number)
        of_gauge = _size(gauge_uncertainty(gauge, unit), number)
        if of_gauge is not None:
            # This gauge's own word goes before what the list says of such gauges.
            whole, between = of_gauge, None if between is None else min(between, of_gauge)
        common = 0.0
        own = whole if whole is not None else 0.0
        if whole is not None and between is not None:
            own = min(between, whole)
            common = math.sqrt(max(0.0, whole**2 - own**2))
        elif between is not None:
            own = between
        known = whole is not None
        if entered is not None:
            known = True
            if not repeats:
                common, own = 0.0, float(entered)
            elif between is not None or whole is None:
                own = float(entered)
            else:
                own = math.hypot(own, float(entered))
        expanded = math.hypot(common, own) if known else None
        return cls(units.of(number, unit), number, unit, common, own, expanded, gauge)


def gauge_uncertainty(gauge: str, unit: Unit) -> tuple[bool, Fraction] | None:
    """The expanded uncertainty (k = 2) that a gauge's name states, as (relative, amount).

    `calliper ±0.05 mm` states it; `rule, resolution 1 mm` gives twice 1 mm / sqrt(12), the
    rectangle of half a division either way (JCGM 100:2008, F.2.2.1).
    """
    found = _GAUGE.search(gauge)
    if found is None:
        return None
    amount = _amount(found["amount"].strip(" ,;)"), unit)
    if amount is None or not found["resolution"]:
        return amount
    relative, size = amount
    return relative, size * _RECTANGLE


def _again(entered: str, reading: Reading) -> readings.ParsedReading | None:
    """What was typed, read again; None where a log holds what can't be typed any more."""
    try:
        return readings.read(entered, reading)
    except InspectError:
        return None


def _size(amount: tuple[bool, Fraction] | None, number: Number) -> float | None:
    if amount is None:
        return None
    relative, size = amount
    return abs(float(number)) * float(size) if relative else float(size)


def propagate(
    at: Callable[[Mapping[ReadingKey, Value]], Value | Missing],
    measured: Mapping[ReadingKey, Measured],
) -> float | None:
    """Expanded uncertainty of an expression, in coherent SI.

    Args:
        at: The expression's value with some readings moved.
        measured: The readings that it rests on.

    Returns:
        None where no reading states an uncertainty, or the value is no number.
    """
    squares = 0.0
    shared: dict[tuple[str, object, str], float] = {}
    known = False
    for key, reading in measured.items():
        total = math.hypot(reading.correlated, reading.uncorrelated)
        if total == 0:
            known = known or reading.expanded is not None
            continue
        slope = sensitivity_coefficient(at, key, reading, total)
        if slope is None:
            return None
        known = True
        squares += (slope * reading.uncorrelated) ** 2
        if reading.correlated:
            group = (key[0], reading.unit.dimension, reading.gauge)
            shared[group] = shared.get(group, 0.0) + slope * reading.correlated
    if not known:
        return None
    return math.sqrt(squares + sum(part**2 for part in shared.values()))


def sensitivity_coefficient(
    at: Callable[[Mapping[ReadingKey, Value]], Value | Missing],
    key: ReadingKey,
    reading: Measured,
    total: float,
) -> float | None:
    """Change of the result (SI) for a change of the reading (own unit)."""
    move = Fraction(total) * STEP
    base = reading.value
    assert isinstance(base, Quantity)
    ends: list[tuple[Number, Number]] = []
    for sign in (1, -1, 0):
        if len(ends) == 2:
            break
        moved = Quantity(
            base.si + move * reading.unit.factor * sign, base.dimension, base.quantity_kind
        )
        value = at({key: moved})
        if isinstance(value, Quantity):
            ends.append((sign * move, value.si))
    if len(ends) < 2:
        return None
    (where_a, value_a), (where_b, value_b) = ends
    return float(value_a - value_b) / float(where_a - where_b)
