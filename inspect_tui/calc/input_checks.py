"""What every calculation asks of its inputs, and the one place where it is said in words.

Each check returns the number that it was given (whole numbers as fractions, so that a division
stays exact) or raises ValueError with one sentence: the input's name, the range, what was got.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from fractions import Fraction
from typing import ParamSpec, TypeVar

from inspect_tui.calc.registry import Outcome

Real = Fraction | float
"""A checked number: a fraction where the input was exact, else a float."""

P = ParamSpec("P")
R = TypeVar("R", bound=Mapping[str, Outcome])

_MANY = 1000
"""More readings than anybody takes; keeps a calculation's time bounded."""
_ROUNDING = 1e-12
"""Relative: what a conversion in floats may add to a value that lies on the end of its range."""
_LONGEST = 4000
"""Bits of an exact fraction's parts; a longer one is no measured value and only costs time."""


def said(value: object, unit: str = "") -> str:
    """A value as an error message shows it: `20000 m`, `'both'`."""
    if isinstance(value, bool) or not isinstance(value, (int, float, Fraction)):
        return repr(value) if len(repr(value)) < 60 else f"a {type(value).__name__}"
    try:
        text = f"{float(value):.10g}"
    except OverflowError:
        text = "a number beyond all use"
    return f"{text} {unit}".strip()


def number(name: str, value: object) -> Real:
    """Any finite number."""
    if isinstance(value, bool) or not isinstance(value, (int, float, Fraction)):
        raise ValueError(f"{name} must be a number; got {said(value)}")
    if isinstance(value, float):
        if not math.isfinite(value):
            raise ValueError(f"{name} must be a finite number; got {value}")
        return value
    exact = Fraction(value)
    if max(exact.numerator.bit_length(), exact.denominator.bit_length()) > _LONGEST:
        raise ValueError(f"{name} must be a number of ordinary size; got {said(value)}")
    return exact


def between(name: str, value: object, low: Real, high: Real, unit: str = "") -> Real:
    """A number from `low` to `high`, both included, rounding of floats forgiven at the ends."""
    checked = number(name, value)
    noise = _ROUNDING * max(size(low), size(high))
    if not low - noise <= checked <= high + noise:
        raise ValueError(
            f"{name} must be from {said(low, unit)} to {said(high, unit)}; got {said(value, unit)}"
        )
    return min(max(checked, low), high)


def size(value: Real) -> Real:
    """A number without its sign."""
    return value if value >= 0 else -value


def above(name: str, value: object, low: Real = 0, unit: str = "") -> Real:
    """A number above `low`."""
    checked = number(name, value)
    if not checked > low:
        raise ValueError(f"{name} must be above {said(low, unit)}; got {said(value, unit)}")
    return checked


def at_least(name: str, value: object, low: Real = 0, unit: str = "") -> Real:
    """A number of at least `low`."""
    checked = number(name, value)
    if not checked >= low:
        raise ValueError(f"{name} must be at least {said(low, unit)}; got {said(value, unit)}")
    return checked


def whole(name: str, value: object, low: int, high: int) -> int:
    """A whole number from `low` to `high`: teeth, links, cylinders."""
    checked = number(name, value)
    if checked != math.floor(checked) or not low <= checked <= high:
        raise ValueError(
            f"{name} must be a whole number of at least {low} and at most {high}; got {said(value)}"
        )
    return int(checked)


def word(name: str, value: object, choices: Sequence[str]) -> str:
    """One of the words that are taken."""
    if value not in choices:
        offered = " or ".join(f"'{choice}'" for choice in choices)
        raise ValueError(f"{name} must be {offered}; got {said(value)}")
    return str(value)


def several(name: str, values: object, least: int) -> tuple[Real, ...]:
    """A list of finite numbers, at least `least` of them."""
    if isinstance(values, str) or not isinstance(values, Iterable):
        raise ValueError(f"{name} must be a list of numbers; got {said(values)}")
    listed = tuple(values)
    if not least <= len(listed) <= _MANY:
        raise ValueError(
            f"{name} must be a list of at least {least} and at most {_MANY} values; "
            f"got {len(listed)}"
        )
    return tuple(number(f"{name} (value {n})", value) for n, value in enumerate(listed, 1))


def temperature(name: str, value: object) -> Real:
    """An air temperature in K, from -60 degC to 60 degC."""
    checked = number(name, value)
    if not Fraction(21315, 100) <= checked <= Fraction(33315, 100):
        celsius = checked - Fraction(27315, 100)
        raise ValueError(
            f"{name} must be from -60 degC to 60 degC (213.15 K to 333.15 K); "
            f"got {said(value, 'K')} ({said(celsius, 'degC')})"
        )
    return checked


def refusing(function: Callable[P, R]) -> Callable[P, R]:
    """Refuse in words what is beyond the numbers of the machine: no overflow, nan or inf goes out.

    The range checks come first; this catches the combinations that each single range lets through.
    """

    @functools.wraps(function)
    def checked(*args: P.args, **kwargs: P.kwargs) -> R:
        try:
            results = function(*args, **kwargs)
            sound = all(
                math.isfinite(result)
                for result in results.values()
                if isinstance(result, (int, float, Fraction))
            )
        except (OverflowError, ZeroDivisionError):
            raise ValueError(_beyond(kwargs)) from None
        if not sound:
            raise ValueError(_beyond(kwargs))
        return results

    return checked


def _beyond(inputs: Mapping[str, object]) -> str:
    names = ", ".join(inputs) or "the inputs"
    return f"{names}: so large or so small together that no result can be worked out"
