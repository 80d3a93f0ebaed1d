"""Units and quantities: pint behind it, imported when first needed.

A `Quantity` is a number in coherent SI together with its dimension. Conversions are exact
(fractions), so that a value on its limit is on it in any unit.

Who calls it: readings (typed text), expression (arithmetic), limits, results, reports.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

Number = Fraction | float
Dimension = tuple[tuple[str, Fraction], ...]
"""Sorted (root unit, power) pairs; angles count (`radian`), so turns never mix with numbers."""


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit as written in a file, with its exact way to SI: si = number * factor + offset."""

    text: str
    """As written in the checklist or sheet, for showing: `mm`, `kPa`, `degC`, `turn`; "" plain."""
    name: str
    """pint's name: `millimeter`, `percent`, "" for plain numbers."""
    dimension: Dimension
    factor: Fraction
    offset: Fraction = Fraction(0)
    nature: str = ""
    """"" ordinary, "temperature" (an absolute one, offset unit), "difference" (delta_degC),
    "percent"."""


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number in coherent SI with its dimension."""

    si: Number
    dimension: Dimension = ()
    nature: str = ""
    """As for Unit: "", "temperature", "difference" or "percent" (si is then the ratio, 0.05)."""


PLAIN: Unit


def unit(text: str) -> Unit:
    """The unit that a file or a person wrote. Raises BadInput with a near word if unknown."""
    raise NotImplementedError


def of(number: Number, in_unit: Unit) -> Quantity:
    """A number in a unit as a quantity."""
    raise NotImplementedError


def number_in(quantity: Quantity, in_unit: Unit) -> Number:
    """The number of a quantity in a unit; BadInput if the dimensions differ."""
    raise NotImplementedError


def dimension_name(dimension: Dimension, nature: str = "") -> str:
    """The dimension in words for a message: `length`, `pressure`, `plain number`, `m/s`."""
    raise NotImplementedError


def near(dimension: Dimension) -> list[str]:
    """A few unit names of this dimension, for a message: mm, cm, in."""
    raise NotImplementedError


def warm_up() -> None:
    """Import pint and build its registry (called in a thread right after the first paint)."""
    raise NotImplementedError
