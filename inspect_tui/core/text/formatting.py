"""A value as people read it: no float noise, short decimals kept whole; counts and lists in words.

Pure. Who calls it: readings (which hands it on as `readings.show`), slips.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from inspect_tui.core.text.unit_text import AT_THE_NUMBER, format_unit

_EXACT = 6
"""Significant digits up to which an exact decimal is shown whole."""
_USUAL = 5
"""Significant digits of what is no short decimal (converted, computed)."""


def format_value(
    value: Fraction | float | int | bool | str, unit: str = "", digits: int | None = None
) -> str:
    """A value as people read it: `31.75 mm`, `1.25 turns`, `-12 °C`, `yes`; no float noise.

    Args:
        value: A number in `unit`, an answer, or text.
        unit: As written in the checklist, or pint's name; "" for none.
        digits: Significant digits; without it short decimals are whole and the rest has five.
            Digits before the decimal point are never rounded away.
    """
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return value
    number = _number(value, digits)
    if not unit:
        return number
    shown = format_unit(unit, _size_shown(number))
    return f"{number}{shown}" if shown in AT_THE_NUMBER else f"{number} {shown}"


def _size_shown(number: str) -> Fraction | None:
    """The number that stands there, which its unit's plural goes by; None where it is none."""
    try:
        return Fraction(number)
    except ValueError:  # `beyond all bounds`
        return None


def is_clock(seconds: Fraction | float | int) -> bool:
    """Whether a time is said as a watch shows it: whole seconds, a minute or more."""
    return not -60 < seconds < 60 and seconds == int(seconds)


def clock_words(seconds: Fraction | float | int) -> str:
    """Whole seconds as a watch shows them: `m:ss`, from an hour on `h:mm:ss`."""
    minutes, rest = divmod(int(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02}:{rest:02}" if hours else f"{minutes}:{rest:02}"


def duration(minutes: float) -> str:
    """How long something takes, about: `40 min`, `3 h 20 min`, `12 h`."""
    hours, rest = divmod(round(minutes / 10) * 10 if minutes > 60 else round(minutes), 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest} min" if rest and hours < 10 else f"{hours + (rest >= 30)} h"


def pluralize(number: int, one: str, several: str = "") -> str:
    """A count of things: `1 step`, `3 steps`, `2 entries`."""
    return f"{number} {one if number == 1 else several or one + 's'}"


def join_words(words: Sequence[str], most: int | None = None) -> str:
    """A list within a sentence: `a`, `a and b`, `a, b and c`; past `most`, `a, b and 4 more`."""
    named = list(words)
    if most is not None and len(named) > most:
        named = [*named[:most], f"{len(named) - most} more"]
    return " and ".join(named) if len(named) < 3 else f"{', '.join(named[:-1])} and {named[-1]}"


# The same limits and readings are shown in place after place.
@lru_cache(maxsize=2048, typed=True)
def _number(value: Fraction | float | int, digits: int | None) -> str:
    if isinstance(value, float):
        if not math.isfinite(value):
            return "not a number" if math.isnan(value) else "beyond all bounds"
        value = Fraction(repr(value))
    exact = Fraction(value)
    if not exact:
        return "0"
    size = _size(exact)
    if not -6 <= size < 15:
        first = round(exact / Fraction(10) ** size, (digits or _USUAL) - 1)
        return f"{_plain(first)}e{size}" if abs(first) < 10 else f"{_plain(first / 10)}e{size + 1}"
    if digits is None:
        rounded = round(exact, _EXACT - 1 - size)
        if rounded != exact:
            rounded = round(exact, max(_USUAL - 1 - size, 0))
    else:
        rounded = round(exact, max(max(digits, 1) - 1 - size, 0))
    return _plain(rounded)


def _size(exact: Fraction) -> int:
    """The power of ten of the first digit."""
    size = len(str(abs(exact.numerator))) - len(str(exact.denominator))
    return size if abs(exact) >= Fraction(10) ** size else size - 1


def _plain(rounded: Fraction) -> str:
    """An exact decimal without trailing zeros and without an exponent."""
    decimal = Decimal(rounded.numerator) / Decimal(rounded.denominator)
    text = f"{decimal:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
