"""Limits as numbers, where they are known without a reading: the wrong way round, or too narrow."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

from inspect_tui.calc.measurement import MIN_CONFORMANCE_PROBABILITY, probability_inside
from inspect_tui.core.definitions.checks.check_checklist import NUMBERS
from inspect_tui.core.definitions.checks.check_references import placed_steps
from inspect_tui.core.definitions.checks.check_types import Types
from inspect_tui.core.definitions.compile import Parsed, own_unit
from inspect_tui.core.definitions.problems import ProblemCollector
from inspect_tui.core.definitions.toml_positions import Path
from inspect_tui.core.expressions.expression import NOT_MEASURED, Expression, Missing, Name, Value
from inspect_tui.core.expressions.values import Lookup
from inspect_tui.core.model.checklist import Derived, Reading, Step
from inspect_tui.core.quantities.units import Number, Quantity, Unit, difference_unit, number_in
from inspect_tui.core.readings.parse import quantity
from inspect_tui.core.text.formatting import format_value
from inspect_tui.errors import BadInput

HALF_WIDTHS = 0.98
"""Half of the zone over the expanded uncertainty, at which a value in its middle just passes
(1.96 standard uncertainties, normal distribution)."""


def check_zones(parsed: Parsed, types: Types, complaints: ProblemCollector, cylinders: int) -> None:
    """Every limit whose numbers are known.

    Args:
        parsed: The checklist.
        types: Knows the sheet's figures, if there is a sheet.
        complaints: Takes the problems and notes.
        cylinders: Of the sheet; 0 without one, and then only limits without names are looked at.
    """
    for path, step in placed_steps(parsed.checklist):
        lists: tuple[tuple[str, Sequence[Reading | Derived]], ...] = (
            ("reading", step.reading),
            ("derived", step.derived),
        )
        for key, values in lists:
            for number, item in enumerate(values):
                sides = parsed.limits.get((step.id, item.id))
                place = (*path, key, number, "limit")
                if not sides or not _numeric(item) or not _is_known(sides, cylinders):
                    continue
                if all(complaints.sound(*place, side) for side in sides):
                    _check(place, step, item, sides, types, complaints, cylinders)


def _numeric(item: Reading | Derived) -> bool:
    return isinstance(item, Derived) or item.kind in NUMBERS


def _is_known(sides: Mapping[str, Expression], cylinders: int) -> bool:
    """Whether this pass knows all of it: plain numbers alone, names with the sheet."""
    names = [name for side in sides.values() for name in side.names]
    if not names:
        return cylinders == 0
    return cylinders > 0 and all(name.where != "value" for name in names)


def _check(
    path: Path,
    step: Step,
    item: Reading | Derived,
    sides: Mapping[str, Expression],
    types: Types,
    complaints: ProblemCollector,
    cylinders: int,
) -> None:
    try:
        unit = own_unit(item)
    except BadInput:
        return  # The unknown unit itself is the problem that is said.
    single = step.per_cylinder and not (isinstance(item, Derived) and item.across)
    for cylinder in range(max(cylinders, 1)) if single else (None,):
        found = {side: one.evaluate(_lookup(types, cylinder)) for side, one in sides.items()}
        try:
            _check_numbers(path, item, found, unit, complaints)
        except BadInput:
            return  # A wrong dimension is said where the expression is checked.


def _lookup(types: Types, cylinder: int | None) -> Lookup:
    def find(name: Name) -> Value | Missing:
        value = types.figure(name)
        if isinstance(value, tuple) and cylinder is not None:
            return value[cylinder] if cylinder < len(value) else NOT_MEASURED  # type: ignore[return-value]
        return NOT_MEASURED if value is None else value

    return find


def _check_numbers(
    path: Path,
    item: Reading | Derived,
    found: Mapping[str, Value | Missing],
    unit: Unit,
    complaints: ProblemCollector,
) -> None:
    """Raises BadInput where a dimension is wrong."""
    numbers = {side: value for side, value in found.items() if isinstance(value, Quantity)}
    low, high = (
        number_in(numbers[side], unit) if side in numbers else None for side in ("min", "max")
    )
    if "target" in numbers and "tolerance" in numbers:
        target = number_in(numbers["target"], unit)
        tolerance = _tolerance(numbers["tolerance"], target, unit)
        if tolerance < 0:
            complaints.add((*path, "tolerance"), "The tolerance is negative; write 0 or more.")
            return
        low, high = target - tolerance, target + tolerance
    elif "equal" in numbers:
        low = high = number_in(numbers["equal"], unit)
    if low is None or high is None:
        return
    if low > high:
        complaints.add(
            (*path, "min"),
            f"min, {format_value(low, unit.text)}, is above max, "
            f"{format_value(high, unit.text)}; exchange them.",
        )
    elif isinstance(item, Reading):
        _check_width(path, item, low, high, unit, complaints)


def _tolerance(tolerance: Quantity, target: Number, unit: Unit) -> Number:
    if tolerance.quantity_kind == "percent" and unit.quantity_kind != "percent":
        return (target if target >= 0 else -target) * tolerance.si
    return tolerance.si / unit.factor


def _check_width(
    path: Path,
    reading: Reading,
    low: Number,
    high: Number,
    unit: Unit,
    complaints: ProblemCollector,
) -> None:
    """A note where no value could pass with the stated uncertainty."""
    middle = (low + high) / 2
    uncertainty = _uncertainty(reading, middle, unit)
    if (
        not uncertainty
        or probability_inside(middle, uncertainty, low, high) >= MIN_CONFORMANCE_PROBABILITY
    ):
        return
    wanted = float(high - low) / 2 / HALF_WIDTHS
    better = (
        f"; a gauge good to ±{format_value(wanted, _plain_unit(unit), 2)} would do"
        if wanted
        else ""
    )
    complaints.add(
        path,
        f"no value can pass: from {format_value(low)} to {format_value(high, unit.text)} is too "
        "narrow for the "
        f"stated uncertainty of {format_value(uncertainty, _plain_unit(unit))}{better}.",
        note=True,
    )


def _plain_unit(unit: Unit) -> str:
    return "K" if unit.quantity_kind == "temperature" and unit.factor == 1 else unit.text


def _uncertainty(reading: Reading, value: Number, unit: Unit) -> Number | None:
    """The stated one, expanded, in the reading's own unit at this value."""
    given = reading.uncertainty
    if given is None:
        return None
    if not isinstance(given, str):
        return Fraction(str(given))
    found = quantity(given, difference_unit(unit))
    if found.quantity_kind == "percent" and unit.quantity_kind != "percent":
        return (value if value >= 0 else -value) * found.si
    return found.si / unit.factor
