"""A figure of one season in the unit of another."""

from __future__ import annotations

from fractions import Fraction

from inspect_tui.core.quantities import units
from inspect_tui.errors import InspectError


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


def span_converted(value: float | None, unit: str, wanted: str) -> float | None:
    """A difference (an uncertainty) in another unit: without the offset of a temperature."""
    if value is None or unit == wanted:
        return value
    one, none = converted(1.0, unit, wanted), converted(0.0, unit, wanted)
    return None if one is None or none is None else value * abs(one - none)
