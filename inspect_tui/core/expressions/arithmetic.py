"""Arithmetic on quantities: what may be added, compared and multiplied, and what comes out.

The rules of dimensions and natures stand here once; `expression` uses them when a checklist is
checked and when a value is worked out. Percentages count as ratios in `*` and `/` and mix with
nothing else; a temperature on an offset scale is no amount, a difference of temperatures is one;
kelvins are both. Exact where fractions allow it, and bounded.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from fractions import Fraction
from functools import lru_cache

from inspect_tui.core.expressions.values import Missing, Value
from inspect_tui.core.quantities.dimensions import Dimension, with_article
from inspect_tui.core.quantities.units import Number, Quantity, Unit
from inspect_tui.errors import BadInput

LONGEST_LIST = 1_000
"""Elements of a list; a machine has a few cylinders."""
MAX_BITS = 1_024
"""Size of a fraction's two sides, from which it goes on in floating point."""
TOO_LARGE = Missing("a number is too large to work with", measured=True)
BY_ZERO = Missing("division by zero", measured=True)
NO_LENGTH = Missing("the lists are of different length", measured=True)
ROOT_OF_NEGATIVE = Missing("root of a negative number", measured=True)

_PLUS = {
    ("", ""): "",
    ("temperature", "difference"): "temperature",
    ("difference", "temperature"): "temperature",
    ("temperature", ""): "temperature",
    ("", "temperature"): "temperature",
    ("difference", "difference"): "difference",
    ("difference", ""): "",
    ("", "difference"): "",
    ("percent", "percent"): "percent",
}
_MINUS = _PLUS | {
    ("temperature", "temperature"): "difference",
    ("", "temperature"): "difference",
}
del _MINUS["difference", "temperature"]
_TOGETHER = {
    ("", ""): "",
    ("temperature", "temperature"): "temperature",
    ("temperature", ""): "temperature",
    ("", "temperature"): "temperature",
    ("difference", "difference"): "difference",
    ("difference", ""): "difference",
    ("", "difference"): "difference",
    ("percent", "percent"): "percent",
}


class Rule:
    """What one operation makes of two dimensions and natures; BadInput where it can't be done."""

    def __init__(self, doing: str, quantity_kinds: dict[tuple[str, str], str]) -> None:
        self.doing = doing
        self.quantity_kinds = quantity_kinds

    def __call__(
        self, a: Dimension, a_quantity_kind: str, b: Dimension, b_quantity_kind: str
    ) -> str:
        """The nature that comes out where both have one dimension.

        Raises:
            BadInput: they don't go together.
        """
        if a == b:
            quantity_kind = self.quantity_kinds.get((a_quantity_kind, b_quantity_kind))
            if quantity_kind is not None:
                return quantity_kind
        raise self.refusal(a, a_quantity_kind, b, b_quantity_kind)

    def refusal(
        self, a: Dimension, a_quantity_kind: str, b: Dimension, b_quantity_kind: str
    ) -> BadInput:
        """Why not, in one sentence."""
        one, two = with_article(a, a_quantity_kind), with_article(b, b_quantity_kind)
        quantity_kinds = {a_quantity_kind, b_quantity_kind}
        hint = ""
        if "percent" in quantity_kinds and a == b:
            hint = "write the number as a percentage, such as '10 %'."
        elif quantity_kinds == {"temperature"}:
            hint = "only a difference, such as '5 delta_degC', can be added to a temperature."
        elif quantity_kinds == {"temperature", "difference"}:
            hint = "write a difference of temperatures with delta_degC and a temperature with degC."
        elif () in (a, b):
            hint = "give the plain number a unit, such as '12 mm'."
        return BadInput(f"can't {self.doing} {one} and {two}" + (";" if hint else "."), hint)


plus = Rule("add", _PLUS)
minus = Rule("subtract", _MINUS)
together = Rule("compare", _TOGETHER)


def _no_offset(quantity_kind: str, other: str) -> None:
    if "temperature" in (quantity_kind, other):
        raise BadInput(
            "can't multiply or divide a temperature in degC or degF;",
            "take a difference of two temperatures, or write it in K.",
        )


@lru_cache(maxsize=4096)
def product(
    a: Dimension, a_quantity_kind: str, b: Dimension, b_quantity_kind: str
) -> tuple[Dimension, str]:
    """Dimension and nature of a product. Raises BadInput for a temperature."""
    _no_offset(a_quantity_kind, b_quantity_kind)
    quantity_kind = ""
    if (a_quantity_kind == "difference" and not b) or (b_quantity_kind == "difference" and not a):
        quantity_kind = "difference"
    return _combined(a, b, Fraction(1)), quantity_kind


@lru_cache(maxsize=4096)
def quotient(
    a: Dimension, a_quantity_kind: str, b: Dimension, b_quantity_kind: str
) -> tuple[Dimension, str]:
    """Dimension and nature of a quotient. Raises BadInput for a temperature."""
    _no_offset(a_quantity_kind, b_quantity_kind)
    quantity_kind = "difference" if a_quantity_kind == "difference" and not b else ""
    return _combined(a, b, Fraction(-1)), quantity_kind


@lru_cache(maxsize=4096)
def to_power(a: Dimension, a_quantity_kind: str, power: Fraction) -> tuple[Dimension, str]:
    """Dimension and nature of a power. Raises BadInput for a temperature."""
    _no_offset(a_quantity_kind, "")
    quantity_kind = a_quantity_kind if power == 1 and a_quantity_kind != "percent" else ""
    return tuple((root, times * power) for root, times in a if power), quantity_kind


def _combined(a: Dimension, b: Dimension, sign: Fraction) -> Dimension:
    powers = dict(a)
    for root, times in b:
        powers[root] = powers.get(root, Fraction(0)) + sign * times
    return tuple(sorted((root, times) for root, times in powers.items() if times))


def bounded(
    number: Number, dimension: Dimension = (), quantity_kind: str = ""
) -> Quantity | Missing:
    """A quantity, in floating point where its fraction has grown out of hand."""
    if isinstance(number, Fraction):
        if number.numerator.bit_length() <= MAX_BITS >= number.denominator.bit_length():
            return Quantity(number, dimension, quantity_kind)
        try:
            number = float(number)
        except OverflowError:
            return TOO_LARGE
    if not math.isfinite(number):
        return TOO_LARGE
    return Quantity(number, dimension, quantity_kind)


# --- on quantities --------------------------------------------------------------------------


def add(a: Quantity, b: Quantity) -> Quantity | Missing:
    """a + b."""
    quantity_kind = plus(a.dimension, a.quantity_kind, b.dimension, b.quantity_kind)
    return bounded(a.si + b.si, a.dimension, quantity_kind)


def subtract(a: Quantity, b: Quantity) -> Quantity | Missing:
    """a - b."""
    quantity_kind = minus(a.dimension, a.quantity_kind, b.dimension, b.quantity_kind)
    return bounded(a.si - b.si, a.dimension, quantity_kind)


def multiply(a: Quantity, b: Quantity) -> Quantity | Missing:
    """a * b."""
    dimension, quantity_kind = product(a.dimension, a.quantity_kind, b.dimension, b.quantity_kind)
    return bounded(a.si * b.si, dimension, quantity_kind)


def divide(a: Quantity, b: Quantity) -> Quantity | Missing:
    """a / b."""
    dimension, quantity_kind = quotient(a.dimension, a.quantity_kind, b.dimension, b.quantity_kind)
    if b.si == 0:
        return BY_ZERO
    return bounded(a.si / b.si, dimension, quantity_kind)


def power(a: Quantity, exponent: Fraction) -> Quantity | Missing:
    """a to a small power; whole powers of fractions are exact."""
    dimension, quantity_kind = to_power(a.dimension, a.quantity_kind, exponent)
    if a.si == 0 and exponent < 0:
        return BY_ZERO
    if exponent.denominator == 1:
        return bounded(a.si ** int(exponent), dimension, quantity_kind)
    if a.si < 0:
        return ROOT_OF_NEGATIVE
    return bounded(float(a.si) ** float(exponent), dimension, quantity_kind)


def negative(a: Quantity) -> Quantity | Missing:
    """-a."""
    _no_offset(a.quantity_kind, "")
    return Quantity(-a.si, a.dimension, a.quantity_kind)


def absolute(a: Quantity) -> Quantity | Missing:
    """The amount without its sign."""
    return negative(a) if a.si < 0 else a


def rounded(a: Quantity, unit: Unit) -> Quantity | Missing:
    """To whole units, halves away from zero."""
    number = (a.si - unit.offset) / unit.factor
    half = Fraction(1, 2)
    whole = math.floor(number + half) if number >= 0 else math.ceil(number - half)
    return bounded(whole * unit.factor + unit.offset, a.dimension, a.quantity_kind)


def compare(a: Quantity, b: Quantity) -> int:
    """-1, 0 or 1. Raises BadInput where the two don't compare."""
    together(a.dimension, a.quantity_kind, b.dimension, b.quantity_kind)
    return (a.si > b.si) - (a.si < b.si)


# --- on lists of quantities -----------------------------------------------------------------


def common_quantity_kind(values: Iterable[Quantity]) -> tuple[Dimension, str]:
    """Dimension and nature of several quantities. Raises BadInput where they don't compare."""
    parts = iter(values)
    first = next(parts)
    quantity_kind = first.quantity_kind
    for part in parts:
        quantity_kind = together(first.dimension, quantity_kind, part.dimension, part.quantity_kind)
    return first.dimension, quantity_kind


def lowest(values: tuple[Quantity, ...]) -> Quantity | Missing:
    """The lowest."""
    dimension, quantity_kind = common_quantity_kind(values)
    numbers: list[Number] = [value.si for value in values]
    return Quantity(min(numbers), dimension, quantity_kind)


def highest(values: tuple[Quantity, ...]) -> Quantity | Missing:
    """The highest."""
    dimension, quantity_kind = common_quantity_kind(values)
    numbers: list[Number] = [value.si for value in values]
    return Quantity(max(numbers), dimension, quantity_kind)


def mean(values: tuple[Quantity, ...]) -> Quantity | Missing:
    """The arithmetic mean."""
    dimension, quantity_kind = common_quantity_kind(values)
    total: Number = Fraction(0)
    for value in values:
        total = total + value.si
    return bounded(total / len(values), dimension, quantity_kind)


def spread(values: tuple[Quantity, ...]) -> Quantity | Missing:
    """Highest less lowest; of temperatures a difference."""
    dimension, quantity_kind = common_quantity_kind(values)
    numbers = [value.si for value in values]
    if quantity_kind == "temperature":
        quantity_kind = "difference"
    return bounded(max(numbers) - min(numbers), dimension, quantity_kind)


# --- on whatever an expression meets --------------------------------------------------------


def worse(a: Missing, b: Missing) -> Missing:
    """Of two reasons the one to say: what is not measured yet comes first."""
    return b if a.measured and not b.measured else a


def pairwise(
    operation: Callable[[Quantity, Quantity], Value | Missing],
    a: Value | Missing,
    b: Value | Missing,
) -> Value | Missing:
    """An operation on two values, element by element where one of them is a list."""
    if type(a) is Quantity and type(b) is Quantity:
        return operation(a, b)
    if isinstance(a, Missing):
        return worse(a, b) if isinstance(b, Missing) else a
    if isinstance(b, Missing):
        return b
    if isinstance(a, tuple) or isinstance(b, tuple):
        return _elements(operation, a, b)
    return no_number(a if not isinstance(a, Quantity) else b)


def _elements(
    operation: Callable[[Quantity, Quantity], Value | Missing], a: Value, b: Value
) -> Value | Missing:
    length = len(a) if isinstance(a, tuple) else len(b) if isinstance(b, tuple) else 0
    many_a = a if isinstance(a, tuple) else (a,) * length
    many_b = b if isinstance(b, tuple) else (b,) * length
    if len(many_a) != len(many_b):
        return NO_LENGTH
    results: list[Value] = []
    for one, two in zip(many_a, many_b, strict=True):
        if not isinstance(one, Quantity) or not isinstance(two, Quantity):
            return no_number(one if not isinstance(one, Quantity) else two)
        result = operation(one, two)
        if isinstance(result, Missing):
            return result
        results.append(result)
    return tuple(results)


def each(
    operation: Callable[[Quantity], Value | Missing], value: Value | Missing
) -> Value | Missing:
    """An operation on a value, or on each element of a list."""
    if isinstance(value, Quantity):
        return operation(value)
    if isinstance(value, Missing):
        return value
    if not isinstance(value, tuple):
        return no_number(value)
    results: list[Value] = []
    for part in value:
        result = operation(part) if isinstance(part, Quantity) else no_number(part)
        if isinstance(result, Missing):
            return result
        results.append(result)
    return tuple(results)


def no_number(value: object) -> Missing:
    """The reason where a number is wanted and something else is there."""
    if isinstance(value, Missing):
        return value
    if isinstance(value, bool):
        return Missing("an answer is no number", measured=True)
    if isinstance(value, str):
        return Missing(f"'{value[:40]}' is no number", measured=True)
    return Missing("a list is no number", measured=True)
