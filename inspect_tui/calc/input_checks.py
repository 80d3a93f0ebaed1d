"""What every calculation asks of its inputs, and the one place where it is said in words.

Each check returns the number that it was given (whole numbers as fractions, so that a division
stays exact) or raises ValueError with one sentence: the input's name, the range, what was got.
`OutOfRange` keeps the amounts of its sentence apart, so that whoever knows the units can say them
in millimetres to a person who wrote millimetres.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

Real = Fraction | float
"""A checked number: a fraction where the input was exact, else a float."""

_MANY = 1000
"""More readings than anybody takes; keeps a calculation's time bounded."""
_ROUNDING = Fraction(1, 10**12)
"""Relative: what a conversion in floats may add to a value that lies on the end of its range."""
_LONGEST = 4000
"""Bits of an exact fraction's parts; a longer one is no measured value and only costs time."""


class OutOfRange(ValueError):
    """A figure that is not taken, in one sentence with `{}` for each amount.

    Args:
        sentence: The words, with `{}` for each amount.
        amounts: For each the input (or result) whose unit it has, and the number in that unit.
    """

    def __init__(self, sentence: str, *amounts: tuple[str, object]) -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.amounts = amounts
        self.units: dict[str, str] = {}
        """The unit that each name's numbers are in; filled in where the calculation is known."""

    def words(self, show: Callable[[str, object], str]) -> str:
        """The sentence, each amount shown by `show(name, number)`."""
        return self.sentence.format(*(show(name, value) for name, value in self.amounts))

    def __str__(self) -> str:
        return self.words(lambda name, value: said(value, self.units.get(name, "")))


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


def size(value: Real) -> Real:
    """A number without its sign."""
    return value if value >= 0 else -value


def at_least(name: str, value: object, low: Real = 0) -> Real:
    """A number of at least `low`."""
    checked = number(name, value)
    if not checked >= low:
        raise OutOfRange(f"{name} must be at least {{}}; got {{}}", (name, low), (name, value))
    return checked


@dataclass(frozen=True, slots=True)
class Range:
    """The figures that an input takes, in its unit; made by `between`, `above` and `whole`."""

    low: Fraction
    high: Fraction
    low_included: bool = True
    whole: bool = False
    ends: tuple[float, float] = field(init=False, repr=False, compare=False)
    """Both as floats: comparing one with a fraction takes thirty times as long."""

    def __post_init__(self) -> None:
        object.__setattr__(self, "ends", (float(self.low), float(self.high)))

    def holds(self, value: Real) -> bool:
        """Whether a finite number is in, both ends included, without forgiving any rounding."""
        low, high = self.ends if isinstance(value, float) else (self.low, self.high)
        return low <= value <= high

    def take(self, name: str, value: object) -> Real:
        """The number, if it is in: whole ones as int, a rounding of floats past an end forgiven.

        Raises:
            ValueError: it is no number, or outside.
        """
        if isinstance(value, float) and not self.whole and self.ends[0] < value <= self.ends[1]:
            return value
        checked = number(name, value)
        if self.whole and checked != math.floor(checked):
            raise OutOfRange(f"{name} must be a whole number; got {{}}", (name, value))
        noise = _ROUNDING * max(abs(self.low), abs(self.high))
        inside = self.low - noise <= checked <= self.high + noise
        if not inside or (not self.low_included and checked <= self.low):
            kind = "a whole number " if self.whole else ""
            start = "from {}" if self.low_included else "above {}"
            link = " to {}" if self.low_included else ", at most {}"
            raise OutOfRange(
                f"{name} must be {kind}{start}{link}; got {{}}",
                (name, self.low), (name, self.high), (name, value),
            )  # fmt: skip
        if self.whole:
            return int(checked)
        # An end that a float overshot is that end; any other value stays as exact as it was.
        return min(max(checked, self.low), self.high)


def between(low: float | Fraction, high: float | Fraction) -> Range:
    """From `low` to `high`, both included."""
    return Range(_exact(low), _exact(high))


def above(low: float | Fraction, high: float | Fraction) -> Range:
    """Above `low`, up to `high`."""
    return Range(_exact(low), _exact(high), low_included=False)


def whole(low: int, high: int) -> Range:
    """Whole numbers from `low` to `high`: teeth, links."""
    return Range(Fraction(low), Fraction(high), whole=True)


def _exact(end: float | Fraction) -> Fraction:
    """The decimal number that was written: 0.1 is a tenth."""
    return end if isinstance(end, Fraction) else Fraction(str(end))


def word(name: str, value: object, choices: Sequence[str]) -> str:
    """One of the words that are taken; a number counts as the word that it is written as."""
    if isinstance(value, (int, float, Fraction)) and not isinstance(value, bool):
        value = f"{float(number(name, value)):.6g}"
    if value not in choices:
        offered = " or ".join(f"'{choice}'" for choice in choices)
        raise ValueError(f"{name} must be {offered}; got {said(value)}")
    return str(value)


def several(name: str, values: object, fewest: int, each: Range | None = None) -> tuple[Real, ...]:
    """A list of finite numbers, at least `fewest` of them, each in its range."""
    if isinstance(values, str) or not isinstance(values, Iterable):
        raise ValueError(f"{name} must be a list of numbers; got {said(values)}")
    listed = tuple(values)
    if not fewest <= len(listed) <= _MANY:
        raise ValueError(
            f"{name} must be a list of at least {fewest} and at most {_MANY} values; "
            f"got {len(listed)}"
        )
    take = number if each is None else each.take
    return tuple(take(f"{name} (value {n})", value) for n, value in enumerate(listed, 1))
