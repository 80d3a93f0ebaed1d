"""Many rows of an expression at once, in floats: what its value would be for each set of draws.

The tree of fractions gives the value itself; this form follows the errors of the readings through
the same parts with the same rules of dimensions. A column passes a part whole (`map` over lists),
and what is the same in every row stays one number. A row that can't be worked out (a division by
zero, a root of less than nothing, an input out of a calculation's range) is put down as bad and
goes on with some number: no nan ever reaches `min` or `max`, whose answer would depend on the
order.
"""

from __future__ import annotations

import math
import operator
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import repeat
from typing import Any

from inspect_tui.core.expressions import arithmetic
from inspect_tui.core.expressions.values import Missing, Name, Value
from inspect_tui.core.quantities.units import Dimension, Quantity, Unit

ANSWER = "answer"
"""The kind of a column of yes and no, as 1 and 0."""
WORD = "word"
"""The kind of a column of words, such as the verdicts of a calculation."""


@dataclass(frozen=True, slots=True)
class Samples:
    """A quantity (or, of the kinds `answer` and `word`, yes and no, or words) in every row."""

    si: float | Sequence[Any]
    """Coherent SI; one number where it is the same in every row. Of words: the words."""
    dimension: Dimension = ()
    quantity_kind: str = ""


Sampled = Samples | str | bool | tuple[Any, ...]
"""What a part gives; a tuple is a list, one element per cylinder."""


@dataclass(slots=True)
class Rows:
    """One set of draws."""

    count: int
    find: Callable[[Name], Sampled | Missing]
    """The value of a name in every row."""
    bad: set[int] = field(default_factory=set)
    """Rows that can't be worked out."""
    known: dict[object, Sampled | Missing] = field(default_factory=dict)
    """Derived values that were already worked out for these draws."""
    slow: bool = False
    """Whether a calculation had to be worked out row by row."""

    def column(self, values: float | Sequence[float]) -> Sequence[float]:
        """The numbers of every row."""
        return [values] * self.count if isinstance(values, float) else values


def lifted(value: Value | Missing) -> Sampled | Missing:
    """A value that is the same in every row."""
    if isinstance(value, Quantity):
        try:
            return Samples(float(value.si), value.dimension, value.quantity_kind)
        except OverflowError:
            return arithmetic.TOO_LARGE
    if isinstance(value, tuple):
        parts = tuple(lifted(part) for part in value)  # type: ignore[arg-type]
        return next((part for part in parts if isinstance(part, Missing)), parts)
    return value


def light(value: Sampled | Missing) -> tuple[Dimension, str]:
    """Dimension and kind of what stands beside a quoted quantity."""
    first = value[0] if isinstance(value, tuple) and value else value
    if isinstance(first, Samples) and is_number(first):
        return first.dimension, first.quantity_kind
    return (), ""


# --- numbers --------------------------------------------------------------------------------


def mapped2(
    rows: Rows,
    operation: Callable[[float, float], float],
    a: float | Sequence[float],
    b: float | Sequence[float],
) -> float | list[float]:
    """An operation on two numbers in every row."""
    if isinstance(a, float):
        if isinstance(b, float):
            return operation(a, b)
        return list(map(operation, repeat(a, rows.count), b))
    return list(map(operation, a, repeat(b, rows.count) if isinstance(b, float) else b))


def _finite(rows: Rows, values: float | list[float]) -> float | list[float] | Missing:
    """The same with every row that has grown beyond all numbers put down as bad."""
    if isinstance(values, float):
        return values if math.isfinite(values) else arithmetic.TOO_LARGE
    if not math.isfinite(sum(values)):
        for row, value in enumerate(values):
            if not math.isfinite(value):
                rows.bad.add(row)
                values[row] = 0.0
    return values


def _made(
    rows: Rows, values: float | list[float], dimension: Dimension, kind: str = ""
) -> Samples | Missing:
    finite = _finite(rows, values)
    return finite if isinstance(finite, Missing) else Samples(finite, dimension, kind)


def add(rows: Rows, a: Samples, b: Samples) -> Samples | Missing:
    """a + b."""
    kind = arithmetic.plus(a.dimension, a.quantity_kind, b.dimension, b.quantity_kind)
    return Samples(mapped2(rows, operator.add, a.si, b.si), a.dimension, kind)


def subtract(rows: Rows, a: Samples, b: Samples) -> Samples | Missing:
    """a - b."""
    kind = arithmetic.minus(a.dimension, a.quantity_kind, b.dimension, b.quantity_kind)
    return Samples(mapped2(rows, operator.sub, a.si, b.si), a.dimension, kind)


def multiply(rows: Rows, a: Samples, b: Samples) -> Samples | Missing:
    """a * b."""
    dimension, kind = arithmetic.product(a.dimension, a.quantity_kind, b.dimension, b.quantity_kind)
    return _made(rows, mapped2(rows, operator.mul, a.si, b.si), dimension, kind)


def divide(rows: Rows, a: Samples, b: Samples) -> Samples | Missing:
    """a / b; a row that divides by zero is bad."""
    dimension, kind = arithmetic.quotient(
        a.dimension, a.quantity_kind, b.dimension, b.quantity_kind
    )
    below = b.si
    if isinstance(below, float):
        if below == 0:
            return arithmetic.BY_ZERO
    elif 0.0 in below:
        rows.bad.update(row for row, value in enumerate(below) if value == 0)
        below = [value or 1.0 for value in below]
    return _made(rows, mapped2(rows, operator.truediv, a.si, below), dimension, kind)


def power(rows: Rows, a: Samples, exponent: Fraction) -> Samples | Missing:
    """a to a small whole or half power; a row with a root of less than nothing is bad."""
    dimension, kind = arithmetic.to_power(a.dimension, a.quantity_kind, exponent)
    by = int(exponent) if exponent.denominator == 1 else float(exponent)
    if isinstance(a.si, float):
        if a.si == 0 and exponent < 0:
            return arithmetic.BY_ZERO
        if a.si < 0 and isinstance(by, float):
            return arithmetic.ROOT_OF_NEGATIVE
        return _made(rows, _raised(a.si, by), dimension, kind)
    base: Sequence[float] = a.si
    refused: set[int] = set()
    if isinstance(by, float):
        refused.update(row for row, value in enumerate(base) if value < 0)
    if exponent < 0:
        refused.update(row for row, value in enumerate(base) if value == 0)
    if refused:
        rows.bad |= refused
        base = [1.0 if row in refused else value for row, value in enumerate(base)]
    values = list(map(math.sqrt, base)) if by == 0.5 else [_raised(value, by) for value in base]
    return _made(rows, values, dimension, kind)


def _raised(value: float, by: int | float) -> float:
    try:
        return float(value**by)
    except OverflowError:
        return math.inf


def negative(rows: Rows, a: Samples) -> Samples | Missing:
    """-a."""
    arithmetic.negative(Quantity(Fraction(0), a.dimension, a.quantity_kind))
    return Samples(
        -a.si if isinstance(a.si, float) else list(map(operator.neg, a.si)),
        a.dimension, a.quantity_kind,
    )  # fmt: skip


def absolute(rows: Rows, a: Samples) -> Samples | Missing:
    """The amount without its sign."""
    arithmetic.negative(Quantity(Fraction(0), a.dimension, a.quantity_kind))
    return Samples(
        abs(a.si) if isinstance(a.si, float) else list(map(abs, a.si)),
        a.dimension, a.quantity_kind,
    )  # fmt: skip


def rounded(rows: Rows, a: Samples, unit: Unit) -> Samples | Missing:
    """To whole units, halves away from zero."""
    factor, offset = float(unit.factor), float(unit.offset)

    def one(value: float) -> float:
        number = (value - offset) / factor
        whole = math.floor(number + 0.5) if number >= 0 else math.ceil(number - 0.5)
        return whole * factor + offset

    values = one(a.si) if isinstance(a.si, float) else list(map(one, a.si))
    return Samples(values, a.dimension, a.quantity_kind)


# --- lists of numbers -----------------------------------------------------------------------


def lowest(rows: Rows, values: Sequence[Samples]) -> Samples | Missing:
    """The lowest of each row."""
    return _of_many(rows, min, values)


def highest(rows: Rows, values: Sequence[Samples]) -> Samples | Missing:
    """The highest of each row."""
    return _of_many(rows, max, values)


def _of_many(
    rows: Rows, operation: Callable[..., float], values: Sequence[Samples]
) -> Samples | Missing:
    dimension, kind = _common(values)
    numbers = [value.si for value in values if isinstance(value.si, float)]
    columns: list[Sequence[float]] = [
        value.si for value in values if not isinstance(value.si, float)
    ]
    if not columns:
        return Samples(operation(numbers), dimension, kind)
    if numbers:
        columns.append([operation(numbers)] * rows.count)
    found = columns[0] if len(columns) == 1 else list(map(operation, *columns))
    return Samples(found, dimension, kind)


def _common(values: Sequence[Samples]) -> tuple[Dimension, str]:
    return arithmetic.common_quantity_kind(
        Quantity(Fraction(0), value.dimension, value.quantity_kind) for value in values
    )


def mean(rows: Rows, values: Sequence[Samples]) -> Samples | Missing:
    """The arithmetic mean of each row."""
    dimension, kind = _common(values)
    total: float | Sequence[float] = values[0].si
    for value in values[1:]:
        total = mapped2(rows, operator.add, total, value.si)
    return Samples(mapped2(rows, operator.truediv, total, float(len(values))), dimension, kind)


def spread(rows: Rows, values: Sequence[Samples]) -> Samples | Missing:
    """Highest less lowest of each row; of temperatures a difference."""
    top, bottom = highest(rows, values), lowest(rows, values)
    assert isinstance(top, Samples) and isinstance(bottom, Samples)
    kind = "difference" if top.quantity_kind == "temperature" else top.quantity_kind
    return Samples(mapped2(rows, operator.sub, top.si, bottom.si), top.dimension, kind)


# --- on whatever an expression meets --------------------------------------------------------


def pairwise(
    rows: Rows,
    operation: Callable[[Rows, Samples, Samples], Samples | Missing],
    a: Sampled | Missing,
    b: Sampled | Missing,
) -> Sampled | Missing:
    """An operation on two values, element by element where one of them is a list."""
    if isinstance(a, Missing):
        return arithmetic.worse(a, b) if isinstance(b, Missing) else a
    if isinstance(b, Missing):
        return b
    if isinstance(a, tuple) or isinstance(b, tuple):
        length = len(a) if isinstance(a, tuple) else len(b) if isinstance(b, tuple) else 0
        many_a = a if isinstance(a, tuple) else (a,) * length
        many_b = b if isinstance(b, tuple) else (b,) * length
        if len(many_a) != len(many_b):
            return arithmetic.NO_LENGTH
        return _listed(
            _both(rows, operation, one, two) for one, two in zip(many_a, many_b, strict=True)
        )
    return _both(rows, operation, a, b)


def _both(
    rows: Rows,
    operation: Callable[[Rows, Samples, Samples], Samples | Missing],
    a: Sampled,
    b: Sampled,
) -> Samples | Missing:
    for value in (a, b):
        if not is_number(value):
            return no_number(value)
    assert isinstance(a, Samples) and isinstance(b, Samples)
    return operation(rows, a, b)


def each(
    rows: Rows,
    operation: Callable[[Rows, Samples], Samples | Missing],
    value: Sampled | Missing,
) -> Sampled | Missing:
    """An operation on a value, or on each element of a list."""
    if isinstance(value, Missing):
        return value
    if isinstance(value, tuple):
        return _listed(
            operation(rows, part) if is_number(part) else no_number(part) for part in value
        )
    if not is_number(value):
        return no_number(value)
    assert isinstance(value, Samples)
    return operation(rows, value)


def _listed(parts: Any) -> Sampled | Missing:
    found: list[Sampled] = []
    for part in parts:
        if isinstance(part, Missing):
            return part
        found.append(part)
    return tuple(found)


def is_number(value: object) -> bool:
    """Whether a value is a column of numbers."""
    return isinstance(value, Samples) and value.quantity_kind not in (ANSWER, WORD)


def no_number(value: object) -> Missing:
    """The reason where a number is wanted and something else is there."""
    return arithmetic.no_number(True if isinstance(value, Samples) else value)
