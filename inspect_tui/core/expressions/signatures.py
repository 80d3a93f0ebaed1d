"""What goes in and comes out of a calculation, before and after there are figures.

The register says it by unit names; here it is dimensions, for the checks of formulas, and units as
people write them, for the sentence that refuses a figure.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from inspect_tui.calc.registry import Calculation, Input, range_words
from inspect_tui.core.expressions import arithmetic
from inspect_tui.core.expressions.values import Type
from inspect_tui.core.quantities import dimensions, parse_number, units
from inspect_tui.core.quantities.dimensions import Dimension
from inspect_tui.core.quantities.units import Quantity
from inspect_tui.core.text.formatting import format_value
from inspect_tui.core.text.unit_text import AT_THE_NUMBER, format_unit


@dataclass(frozen=True, slots=True)
class Side:
    """What one input or result is, for checking dimensions before anything is known."""

    name: str
    sort: Literal["quantity", "fraction", "like", "word"]
    """`fraction`: plain or percent; `like`: any dimension, the same in all of `group`; `word`: a
    word or a list of words or numbers. A plain number is a `quantity` without dimension."""
    dimension: Dimension = ()
    quantity_kind: str = ""
    """"temperature", "difference", "percent" or ""; as for a quantity."""
    group: str = ""
    per: str = ""
    """For a slope: the group that `group` is divided by."""
    many: bool = False
    optional: bool = False
    difference: bool = False
    """In a group of temperatures: this one is a difference of them."""


@dataclass(frozen=True, slots=True)
class Signature:
    """Both sides of a calculation."""

    inputs: tuple[Side, ...]
    results: tuple[Side, ...]

    def input(self, name: str) -> Side | None:
        """The input of that name, or None."""
        return next((side for side in self.inputs if side.name == name), None)

    def result(self, key: str) -> Side | None:
        """The result of that key, or None."""
        return next((side for side in self.results if side.name == key), None)


def signature(found: Calculation) -> Signature:
    """What goes in and comes out of a calculation."""
    return Signature(
        tuple(
            _side(entry.name, entry.unit, entry.difference, entry.many, entry.optional)
            for entry in found.inputs
        ),
        tuple(_side(result.key, result.unit, result.difference) for result in found.results),
    )


def _side(
    name: str, unit: str | None, difference: bool, many: bool = False, optional: bool = False
) -> Side:
    if unit is None:
        return Side(name, "word", many=many, optional=optional)
    if unit == "fraction":
        return Side(name, "fraction", many=many, optional=optional)
    if unit.startswith("like:"):
        group, _, per = unit.replace("like:", "").partition("/")
        return Side(
            name, "like", group=group, per=per, many=many, optional=optional,
            difference=difference,
        )  # fmt: skip
    known = units.unit(unit)
    return Side(
        name,
        "quantity",
        known.dimension,
        kind_of(known, difference),
        many=many,
        optional=optional,
        difference=difference,
    )


def kind_of(known: units.Unit, difference: bool) -> str:
    """ "temperature", "difference", "percent" or "": what a number in that unit is."""
    if known.dimension == dimensions.TEMPERATURE:
        return "difference" if difference else "temperature"
    return known.quantity_kind


def slope_of(above: Quantity | Type, below: Quantity | Type) -> tuple[Dimension, str]:
    """Dimension and kind of the change of one thing with another."""
    kinds = ["difference" if one.quantity_kind == "temperature" else "" for one in (above, below)]
    return arithmetic.quotient(above.dimension, kinds[0], below.dimension, kinds[1])


def taken_words(found: Calculation, entry: Input) -> str:
    """The figures that an input takes, as people write them: `from 50 mm to 2000 mm`; or ""."""
    if entry.choices:
        return f"one of {', '.join(entry.choices)}"
    if entry.takes is None or entry.many or (entry.unit or "").startswith("like:"):
        return ""
    return range_words(entry.takes, lambda end: in_peoples_unit(found, entry.name, end, {}))


def in_peoples_unit(
    found: Calculation,
    name: str,
    number: object,
    groups: Mapping[str, Quantity],
    digits: int | None = None,
) -> str:
    """An amount of a refusal in the unit of the register's example: `1.6 mm`, `-60 °C`.

    Args:
        found: The calculation that refuses.
        name: The input (or result) whose unit the amount has.
        number: In that unit.
        groups: What sets the dimension of inputs that share one.
        digits: The end of a range, in so many figures; a time then in s, min or h by its size.
    """
    if isinstance(number, bool) or not isinstance(number, (int, float, Fraction)):
        return repr(number)
    word = name.partition(" (")[0]
    entry = next((one for one in found.inputs if one.name == word), None)
    result = next((one for one in found.results if one.key == word), None)
    part = entry or result
    if entry and entry.unit == "fraction" and entry.example.endswith("%"):
        return f"{format_value(number * 100)} %"
    if part is None or part.unit in (None, "", "fraction"):
        return format_value(number)
    assert part.unit is not None
    if part.unit.startswith("like:"):
        like = groups[part.unit]
        amount = Quantity(number, like.dimension, like.quantity_kind)
        text, known = _of_ordinary_size(amount), units.PLAIN
    else:
        known = units.unit(part.unit)
        text = parse_number.amount(entry.example).unit if entry else (result and result.handy) or ""
        amount = Quantity(
            number * known.factor + known.offset,
            known.dimension,
            kind_of(known, part.difference),
        )
    if digits and amount.dimension == dimensions.TIME:
        text = "s" if amount.si < _MINUTES else "min" if amount.si < _HOURS else "h"
    shown = units.unit(text) if text else known
    return _amount_words(units.number_in(amount, shown), format_unit(shown.text), digits)


def _of_ordinary_size(amount: Quantity) -> str:
    """Of the units that people use for such a thing, the first that makes it 1 to 1000."""
    if not amount.dimension:
        return ""
    usual = dimensions.usual_units(amount.dimension)
    far = ["m", "km"] if amount.dimension == dimensions.LENGTH else []
    for text in (*usual, *far):
        if 1 <= abs(float(units.number_in(amount, units.unit(text)))) < 1000:
            return text
    return usual[0]


_MINUTES, _HOURS = 60, 7200
"""From so many seconds on a time is said in minutes, in hours."""


def _amount_words(number: units.Number, unit: str, digits: int | None = None) -> str:
    gap = "" if unit in AT_THE_NUMBER else " "
    return f"{format_value(number, digits=digits)}{gap}{unit}".rstrip()
