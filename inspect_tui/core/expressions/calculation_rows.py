"""A registered calculation in every row of a set of draws.

Units, dimensions, words and what is the same in every row are settled once; ranges are held against
whole columns, and the function behind the register's checks sees one row of floats after another.
A row that is out of range or that it refuses is bad.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from typing import Any

from inspect_tui.calc.registry import Calculation, Input, Result
from inspect_tui.core.expressions import calculations, columns
from inspect_tui.core.expressions.calculations import Argument
from inspect_tui.core.expressions.columns import ANSWER, WORD, Rows, Sampled, Samples
from inspect_tui.core.expressions.values import Missing
from inspect_tui.core.quantities import units
from inspect_tui.core.quantities.units import Quantity

_ROUNDING = 1e-12
"""Relative: what a conversion in floats may add to a value that lies on the end of its range."""


def call(
    rows: Rows, found: Calculation, key: str, arguments: Mapping[str, Sampled]
) -> Sampled | Missing:
    """One result of a calculation in every row.

    Raises:
        BadInput: a missing input or a wrong dimension.
    """
    of_first = {name: _first_row(value) for name, value in arguments.items()}
    bare, groups = calculations.bare_arguments(found, of_first)
    entries = {entry.name: entry for entry in found.inputs}
    varying = {
        name: _column(rows, entries[name], value)
        for name, value in arguments.items()
        if _varies(value)
    }
    result = next(one for one in found.results if one.key == key)
    ranges = (entries[name].takes for name in varying)
    if any(takes is not None and takes.whole for takes in ranges):
        function = found.function  # a count that varies is refused where it isn't whole
    else:
        function = getattr(found.function, "__wrapped__", found.function)
        varying = {name: _in_range(rows, entries[name], column) for name, column in varying.items()}
    if found.name in _QUICK and list(varying) == ["values"]:
        values = arguments["values"]
        assert isinstance(values, tuple)
        return _QUICK[found.name](rows, values, result)
    constant = {name: value for name, value in bare.items() if name not in varying}
    if not varying:
        return _sampled(result, calculations.run(found, constant, groups)[key], groups)
    try:
        constant = {name: _plain(entries[name], value) for name, value in constant.items()}
    except ValueError as refusal:
        return Missing(str(refusal), measured=True)
    return _sampled(result, _worked_out(rows, found, function, key, constant, varying), groups)


def _plain(entry: Input, value: object) -> object:
    """A constant argument, checked once: whole ones as they are, fractions as floats."""
    checked = entry.checked(value)
    if isinstance(checked, tuple):
        return tuple(float(one) if isinstance(one, Fraction) else one for one in checked)
    return float(checked) if isinstance(checked, Fraction) else checked


def _in_range(rows: Rows, entry: Input, column: Sequence[Any]) -> Sequence[Any]:
    """A column with the rows that lie out of the input's range put down as bad."""
    takes = entry.takes
    if takes is None or not column:
        return column
    low, high = takes.ends
    noise = _ROUNDING * max(abs(low), abs(high))

    def is_out(value: float) -> bool:
        inside = low - noise <= value <= high + noise
        return not inside or (not takes.low_included and value <= low)

    if isinstance(column[0], tuple):
        out = {row for row, values in enumerate(column) if any(map(is_out, values))}
    else:
        if low < min(column) and max(column) <= high:
            return column
        out = {row for row, value in enumerate(column) if is_out(value)}
    if not out:
        return column
    rows.bad |= out
    kept = next((value for row, value in enumerate(column) if row not in out), None)
    if kept is None:
        middle = (low + high) / 2
        kept = (middle,) * len(column[0]) if isinstance(column[0], tuple) else middle
    return [kept if row in out else value for row, value in enumerate(column)]


def _first_row(value: Sampled) -> Argument:
    """An argument as it stands in the first row, for the checks."""
    if isinstance(value, tuple):
        return tuple(_first_row(part) for part in value)  # type: ignore[misc]
    if not isinstance(value, Samples):
        return value
    first = value.si if isinstance(value.si, float) else value.si[0]
    if value.quantity_kind == ANSWER:
        return bool(first)
    if value.quantity_kind == WORD:
        return str(first)
    return Quantity(Fraction(first), value.dimension, value.quantity_kind)


def _varies(value: Sampled) -> bool:
    if isinstance(value, tuple):
        return any(map(_varies, value))
    return isinstance(value, Samples) and not isinstance(value.si, float)


def _column(rows: Rows, entry: Input, value: Sampled) -> Sequence[Any]:
    """An argument of each row, in the function's own unit."""
    if isinstance(value, tuple):
        return list(zip(*(_column(rows, entry, part) for part in value), strict=True))
    if not isinstance(value, Samples):
        return [value] * rows.count
    found = rows.column(value.si)
    if entry.many and not isinstance(value, tuple) and entry.unit is None:
        return found
    if value.quantity_kind == ANSWER:
        return [bool(each) for each in found]
    if value.quantity_kind == WORD or entry.unit in (None, "fraction"):
        return found
    assert entry.unit is not None
    if entry.unit.startswith("like:"):
        return found
    unit = units.unit(entry.unit)
    if unit.factor == 1 and unit.offset == 0:
        return found
    factor, offset = float(unit.factor), float(unit.offset)
    return [(each - offset) / factor for each in found]


def _worked_out(
    rows: Rows,
    found: Calculation,
    function: Callable[..., Mapping[str, Any]],
    key: str,
    constant: Mapping[str, object],
    varying: Mapping[str, Sequence[Any]],
) -> list[Any]:
    """The outcome of every row; None where it is refused."""
    rows.slow = True
    names = tuple(varying)
    sane = [(result.key, *result.sane.ends) for result in found.results if result.sane is not None]
    outcomes: list[Any] = []
    for number, row in enumerate(zip(*varying.values(), strict=True)):
        try:
            results = function(**constant, **dict(zip(names, row, strict=True)))
            outcome = results[key]
            if isinstance(outcome, float) and not math.isfinite(outcome):
                outcome = None
            for other, low, high in sane:
                value = results[other]
                if isinstance(value, float) and not low <= value <= high:
                    outcome = None
        except (ValueError, ArithmeticError):
            outcome = None
        if outcome is None:
            rows.bad.add(number)
        outcomes.append(outcome)
    return outcomes


def _sampled(
    result: Result, outcomes: list[Any] | Any, groups: Mapping[str, Quantity]
) -> Sampled | Missing:
    """Bare outcomes as a column of the result's kind."""
    several = isinstance(outcomes, list)
    known = next((one for one in outcomes if one is not None), None) if several else outcomes
    if known is None:
        return Missing(f"there is no {result.key}", measured=True)
    if isinstance(known, tuple):
        return Missing(f"{result.key} is a list", measured=True)
    if not several:
        return columns.lifted(calculations.quantified(result, known, groups))  # type: ignore[arg-type]
    if isinstance(known, bool):
        return Samples([float(bool(one)) for one in outcomes], (), ANSWER)
    if isinstance(known, str):
        return Samples(["" if one is None else one for one in outcomes], (), WORD)
    kind = calculations.quantified(result, Fraction(0), groups)
    assert isinstance(kind, Quantity)
    factor, offset = 1.0, float(kind.si)
    if result.unit and result.unit != "fraction" and not result.unit.startswith("like:"):
        factor = float(units.unit(result.unit).factor)
    values = [0.0 if one is None else float(one) * factor + offset for one in outcomes]
    return Samples(values, kind.dimension, kind.quantity_kind)


def _spread(rows: Rows, values: tuple[Sampled, ...], result: Result) -> Sampled | Missing:
    """`spread` of a list, by columns, since every list of cylinders is compared by it."""
    parts = [part for part in values if isinstance(part, Samples)]
    if result.key == "mean":
        return columns.mean(rows, parts)
    apart = columns.spread(rows, parts)
    if result.key == "spread" or isinstance(apart, Missing):
        return apart
    highest = columns.highest(rows, parts)
    assert isinstance(highest, Samples)
    top = rows.column(highest.si)
    rows.bad.update(number for number, value in enumerate(top) if value <= 0)
    above = [value if value > 0 else 1.0 for value in top]
    share = columns.mapped2(rows, lambda one, other: one / other, apart.si, above)
    return Samples(share, (), "percent")


_QUICK: Mapping[str, Callable[[Rows, tuple[Sampled, ...], Result], Sampled | Missing]] = {
    "spread": _spread
}
