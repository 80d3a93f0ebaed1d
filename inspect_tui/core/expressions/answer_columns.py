"""Yes and no in every row: comparisons, `and or not`, as `comparisons` has them for one value."""

from __future__ import annotations

import operator
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from itertools import repeat

from inspect_tui.core.expressions import arithmetic
from inspect_tui.core.expressions.arithmetic import worse
from inspect_tui.core.expressions.columns import (
    ANSWER,
    WORD,
    Rows,
    Sampled,
    Samples,
    is_number,
    lifted,
    light,
    mapped2,
)
from inspect_tui.core.expressions.quoted import read_quantity
from inspect_tui.core.expressions.values import Missing
from inspect_tui.core.text.stamps import stamp_key

NOISE = 1e-9
"""Relative: two floats this near count as equal where a comparison wants them to be."""
NOT_AN_ANSWER = Missing("yes or no is wanted here", measured=True)
Side = tuple[Sampled | Missing, str, Sampled | Missing]
"""What is compared: left, sign, right."""


def holds(rows: Rows, a: Samples, sign: str, b: Samples) -> Samples | Missing:
    """Whether two quantities stand in this order, row by row."""
    arithmetic.together(a.dimension, a.quantity_kind, b.dimension, b.quantity_kind)
    apart = mapped2(rows, operator.sub, a.si, b.si)
    noise = NOISE * (_size(a.si) + _size(b.si))
    test = _TESTS[sign]
    if isinstance(apart, float):
        return Samples(float(test(apart, noise)), (), ANSWER)
    return Samples([float(kept) for kept in map(test, apart, repeat(noise))], (), ANSWER)


def _size(values: float | Sequence[float]) -> float:
    return abs(values) if isinstance(values, float) else max(max(values), -min(values))


_TESTS: dict[str, Callable[[float, float], bool]] = {
    "<": lambda apart, noise: apart < -noise,
    "<=": lambda apart, noise: apart <= noise,
    ">": lambda apart, noise: apart > noise,
    ">=": lambda apart, noise: apart >= -noise,
    "==": lambda apart, noise: -noise <= apart <= noise,
    "!=": lambda apart, noise: not -noise <= apart <= noise,
}


def as_answer(value: Sampled) -> Samples | None:
    """Yes or no as a column; None for what is neither."""
    if isinstance(value, bool):
        return Samples(float(value), (), ANSWER)
    if isinstance(value, Samples) and value.quantity_kind == ANSWER:
        return value
    return None


def both_or_either(rows: Rows, values: Sequence[Samples], decides: bool) -> Samples:
    """`and` (the lowest of each row) or `or` (the highest)."""
    found: float | Sequence[float] = values[0].si
    for value in values[1:]:
        found = mapped2(rows, max if decides else min, found, value.si)
    return Samples(found, (), ANSWER)


def opposite(rows: Rows, value: Samples) -> Samples:
    """`not`."""
    return Samples(mapped2(rows, operator.sub, 1.0, value.si), (), ANSWER)


def both_or_either_in_rows(
    rows: Rows, parts: Iterable[Sampled | Missing], decides: bool
) -> Sampled | Missing:
    """`and` (decided by false) or `or` (decided by true) of whatever the parts are."""
    values: list[Samples] = []
    missing: Missing | None = None
    for value in parts:
        if value is decides:
            return decides
        found = None if isinstance(value, Missing) else as_answer(value)
        if found is None:
            reason = value if isinstance(value, Missing) else NOT_AN_ANSWER
            missing = reason if missing is None else worse(missing, reason)
        else:
            values.append(found)
    return both_or_either(rows, values, decides) if missing is None else missing


def opposite_in_rows(rows: Rows, value: Sampled | Missing) -> Sampled | Missing:
    """`not` of whatever it is."""
    if isinstance(value, Missing):
        return value
    found = as_answer(value)
    return NOT_AN_ANSWER if found is None else opposite(rows, found)


def all_held(rows: Rows, sides: Iterable[Side]) -> Sampled | Missing:
    """A comparison, also in a row: whether all of it holds."""
    kept: list[Samples] = []
    missing: Missing | None = None
    for a, sign, b in sides:
        result = held_in_rows(rows, a, sign, b)
        if isinstance(result, Missing):
            missing = result if missing is None else worse(missing, result)
        else:
            kept.append(result)
    return both_or_either(rows, kept, False) if missing is None else missing


def held_in_rows(
    rows: Rows, a: Sampled | Missing, sign: str, b: Sampled | Missing
) -> Samples | Missing:
    """Whether two values stand in this order, row by row."""
    if isinstance(a, Missing):
        return worse(a, b) if isinstance(b, Missing) else a
    if isinstance(b, Missing):
        return b
    if isinstance(a, Samples) and isinstance(b, Samples) and is_number(a) and is_number(b):
        return holds(rows, a, sign, b)
    if sign not in ("==", "!="):
        return Missing("only numbers can be smaller or larger", measured=True)
    same = _same_in_rows(rows, a, b)
    if isinstance(same, Missing) or sign == "==":
        return same
    return opposite(rows, same)


def _same_in_rows(rows: Rows, a: Sampled, b: Sampled) -> Samples | Missing:
    """Whether two words, answers or lists are the same, row by row."""
    if isinstance(a, tuple) and isinstance(b, tuple):
        if len(a) != len(b):
            return Samples(0.0, (), ANSWER)
        kept: list[Samples] = [Samples(1.0, (), ANSWER)]
        for one, two in zip(a, b, strict=True):
            if isinstance(one, str) and is_number(two):
                one = lifted(read_quantity(one, *light(two)))
            elif isinstance(two, str) and is_number(one):
                two = lifted(read_quantity(two, *light(one)))
            result = held_in_rows(rows, one, "==", two)
            if isinstance(result, Missing):
                return result
            kept.append(result)
        return both_or_either(rows, kept, False)
    if isinstance(a, str) and isinstance(b, str):
        return Samples(float(folded(a) == folded(b)), (), ANSWER)
    for one, two in ((a, b), (b, a)):
        if isinstance(one, Samples) and one.quantity_kind == WORD and isinstance(two, str):
            assert not isinstance(one.si, float)
            word = folded(two)
            return Samples([float(folded(str(each)) == word) for each in one.si], (), ANSWER)
    yes, other = as_answer(a), as_answer(b)
    if yes is not None and other is not None:
        return holds(rows, replace(yes, quantity_kind=""), "==",
                             replace(other, quantity_kind=""))  # fmt: skip
    return Missing("values of two kinds can't be compared", measured=True)


folded = stamp_key
"""A text as it is compared: spaces, hyphens and upper or lower case don't count."""
