"""Values that are probably a slip: the wrong unit, a lost decimal point.

Pure. A question is worth little if it comes often: it is asked only where the value lies well
outside the expected zone and a usual slip explains it entirely.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction
from typing import NamedTuple

from inspect_tui.core.quantities import dimensions, units
from inspect_tui.core.quantities.number_words import in_figures
from inspect_tui.core.quantities.units import Number, Unit
from inspect_tui.core.readings.typed_number import read_number
from inspect_tui.core.text.formatting import format_value
from inspect_tui.errors import BadInput

FAR = 2
"""Well outside: this many times beyond the limit (a worn belt of 28 for 31.5 mm is not)."""
ABSURD = 10
"""Beyond so many times the upper of two limits (its square with one limit) it is asked about,
whatever explains it: no wear goes that far."""
ONE_SIDED = 3
"""With one limit only, the expected zone reaches to this many times (or this part of) it."""
_METRIC = ("millimeter", "centimeter")
_THOUSANDS = r"[+-]?[1-9][0-9]{0,2}(?P<mark>[.,])[0-9]{3}(?![0-9.,])"
_FRACTION = r"(?:[0-9]+(?: +|-))?[0-9]+/[0-9]+"
_POWERS = tuple(Fraction(10) ** n for n in (1, -1, 2, -2, 3, -3))
_MISTAKEN = {
    dimensions.LENGTH: ("mm", "in"),
    dimensions.PRESSURE: ("kPa", "psi"),
    dimensions.FORCE: ("N", "kgf", "lbf"),
    dimensions.TORQUE: ("N.m", "kgf.m", "lbf.ft"),
}
"""Units that are taken for each other: factors 25.4, 6.895, 9.807."""
_NEAR = Fraction(3, 2)
"""How far sound cylinders of one machine lie apart at most, as a factor."""


class DerivedZone(NamedTuple):
    """A derived value that rests on a reading, and what it is held against."""

    label: str
    unit: str
    now: Number
    """As worked out from the value as typed, in `unit`."""
    low: Number | None
    high: Number | None
    with_unit: Callable[[str], Number | None]
    """The same, had the typed number been in this unit; None where it can't be worked out."""


def question(
    value: Number, own: Unit, low: Number | None, high: Number | None, written: str = ""
) -> str | None:
    """What to ask about a value, or None where nothing is odd.

    Args:
        value: In `own`.
        own: The reading's own unit.
        low: The lower limit in `own`, or None.
        high: The upper limit in `own`, or None.
        written: pint's name of the unit that was typed; "" for a bare number.
    """
    zone = _zone(low, high)
    if zone is None or not value:
        return None
    if own.quantity_kind == "temperature":
        return _temperature(value, own, zone, written)
    if not _far(value, *zone) or (low is None and value < zone[0]):
        return None
    for guess, wording in _guesses(value, own, written):
        if zone[0] <= guess <= zone[1]:
            return _asked(value, own, low, high, f"was it {wording}?", written)
    beyond = ABSURD if low is not None and high is not None else ABSURD**2
    if value > beyond * zone[1] > 0:
        return _asked(value, own, low, high, "is that right?", written)
    return None


def as_written(
    entered: str, value: Number, own: Unit, low: Number | None, high: Number | None
) -> str | None:
    """What to ask about the way a number was written, or None.

    A comma (or, beyond a limit, a point) before exactly three digits may have meant thousands, and
    a bare fraction in a metric reading is nearly always inches; neither is asked where the value
    lies inside its limits.
    """
    limited = low is not None or high is not None
    if limited and _inside(value, low, high):
        return None
    thousands = re.match(_THOUSANDS, entered)
    if thousands and (limited or thousands["mark"] == ","):  # 1.250 is what a micrometer shows
        mark = "comma" if thousands["mark"] == "," else "point"
        return (
            f"the {mark} was read as a decimal {mark}: {format_value(value, own.text)}; for "
            f"thousands write {thousands[0].replace(thousands['mark'], '')} without it"
        )
    fraction = re.fullmatch(_FRACTION, in_figures(entered))
    if own.dimension == dimensions.LENGTH and own.name in _METRIC and fraction:
        return (
            f"a bare fraction counts in {own.text} here, {format_value(value, own.text)}; was it "
            f"in inches? Then write {fraction[0]} in"
        )
    return None


def after_another_unit(
    value: Number, own: Unit, written: str, earlier: Sequence[str]
) -> str | None:
    """What to ask about a bare number whose row was typed in another unit before.

    Args:
        value: In `own`, as it was understood.
        own: The reading's own unit.
        written: pint's name of the unit that was typed; "" for a bare number.
        earlier: What was typed in that row before, the latest last.
    """
    if written or not earlier:
        return None
    before = _unit_of(earlier[-1], own)
    if before is None or before.name == own.name:
        return None
    meant = units.number_in(units.of(value, before), own)
    return (
        f"{format_value(value, own.text)} was understood, and the one before it was typed in "
        f"{before.text}; was it {format_value(value, before.text)} "
        f"({format_value(meant, own.text, 4)})?"
    )


def _unit_of(entered: str, own: Unit) -> Unit | None:
    """The unit of an earlier entry; None where it is no number that can be read."""
    try:
        typed = read_number(entered, own)
    except BadInput:
        return None
    return typed.unit if typed.written else own


OTHER_CYLINDERS = "the other cylinders'"


def beside_neighbours(
    value: Number,
    own: Unit,
    neighbours: Sequence[Number],
    written: str = "",
    whose: str = OTHER_CYLINDERS,
) -> str | None:
    """What to ask about a value that misses others like it by a usual slip, in the unit typed.

    Args:
        value: In `own`.
        own: The reading's own unit.
        neighbours: What it is held against, in `own`: the other cylinders', the last session's.
        written: pint's name of the unit that was typed; "" for a bare number.
        whose: What they are, before their values.
    """
    if not value or not neighbours or own.quantity_kind or min(neighbours) <= 0:
        return None
    low, high = min(neighbours), max(neighbours)
    if high > _NEAR * low or not _far(value, low, high):
        return None
    middle = (low + high) / 2
    fitting = [
        (max(guess - middle, middle - guess), wording)
        for guess, wording in _guesses(value, own, written)
        if low / _NEAR <= guess <= high * _NEAR
    ]
    if not fitting and value <= ABSURD * high and value * ABSURD >= low:
        return None
    asks = f"was it {min(fitting)[1]}?" if fitting else "is that right?"
    theirs = _span(low, high, own, written)
    return f"{_in_typed(value, own, written)} is far from {whose} {theirs}; {asks}"


def beside_derived(value: Number, own: Unit, derived: DerivedZone, label: str = "") -> str | None:
    """What to ask about a bare number that puts a derived value off by a unit's factor.

    Args:
        value: In `own`, typed without a unit.
        own: The reading's own unit.
        derived: The derived value that rests on it, and its limits.
        label: Which reading it is, with a space behind; "" for the one that is typed now.
    """
    zone = _zone(derived.low, derived.high)
    if zone is None or not _far(derived.now, *zone):
        return None
    for text in _MISTAKEN.get(own.dimension, ()):
        if units.unit(text).name == own.name:
            continue
        would_be = derived.with_unit(text)
        if would_be is not None and zone[0] <= would_be <= zone[1]:
            return (
                f"with {label}{format_value(value, own.text)}, {derived.label} is "
                f"{format_value(derived.now, derived.unit, 3)}; was it "
                f"{format_value(value, text)}?"
            )
    return None


def _inside(value: Number, low: Number | None, high: Number | None) -> bool:
    return (low is None or low <= value) and (high is None or value <= high)


def _zone(low: Number | None, high: Number | None) -> tuple[Number, Number] | None:
    if low is not None and high is not None:
        return (low, high) if low <= high else None
    if low is not None:
        return (low, low * ONE_SIDED) if low > 0 else None
    if high is not None:
        return (high / ONE_SIDED, high) if high > 0 else None
    return None


def _far(value: Number, low: Number, high: Number) -> bool:
    """Well outside the zone, by proportion."""
    if value > high:
        return value > FAR * max(high, -low)
    if value < low:
        return value * FAR < low if low > 0 else value < FAR * min(low, -high)
    return False


def _guesses(value: Number, own: Unit, written: str) -> Iterator[tuple[Number, str]]:
    """What may have been meant, in the own unit, and how to say it."""
    for text in _MISTAKEN.get(own.dimension, ()):
        other = units.unit(text)
        if other.name == own.name:
            continue
        if written == other.name:
            meant = units.number_in(units.of(value, own), other)
            yield meant, format_value(meant, own.text)
        else:
            meant = units.number_in(units.of(value, other), own)
            yield meant, f"{format_value(value, text)} ({format_value(meant, own.text, 4)})"
    for power in _POWERS:
        yield value * power, _in_typed(value * power, own, written)
    # Last, since it is rarer: the number had the own unit already and was converted once more.
    for text in _MISTAKEN.get(own.dimension, ()):
        meant = units.number_in(units.of(value, own), units.unit(text))
        yield meant, format_value(meant, own.text, 4)


def typed_unit(own: Unit, written: str) -> Unit:
    """The unit that was typed; the own one where none was, or one of no name (`K` of mm)."""
    try:
        return units.unit(written) if written else own
    except BadInput:
        return own


def _in_typed(value: Number, own: Unit, written: str) -> str:
    """A value in the unit that was typed, which is the one in hand; else in the own unit."""
    unit = typed_unit(own, written)
    if unit.name == own.name:
        return format_value(value, own.text)
    return format_value(units.number_in(units.of(value, own), unit), unit.text, 4)


def _span(low: Number, high: Number, own: Unit, written: str) -> str:
    """`30 to 33 mm`, in the unit that was typed."""
    unit = typed_unit(own, written)
    last = _in_typed(high, own, written)
    if low == high:
        return last
    if unit.name == own.name:
        return f"{format_value(low)} to {last}"
    first = format_value(units.number_in(units.of(low, own), unit), digits=4)
    return last if last.startswith(f"{first} ") else f"{first} to {last}"


def _temperature(value: Number, own: Unit, zone: tuple[Number, Number], written: str) -> str | None:
    """A temperature read on the other scale; powers of ten mean nothing on a scale with offset."""
    width = max(zone[1] - zone[0], Fraction(10))
    if zone[0] - width <= value <= zone[1] + width:
        return None
    other = units.unit("degC" if own.name == "degree_Fahrenheit" else "degF")
    meant = units.number_in(units.of(value, other), own)
    if zone[0] <= meant <= zone[1]:
        return _asked(
            value,
            own,
            *zone,
            f"was it {format_value(value, other.text)} ({format_value(meant, own.text, 4)})?",
            written,
        )
    return None


def _asked(
    value: Number, own: Unit, low: Number | None, high: Number | None, asks: str, written: str
) -> str:
    if low is not None and high is not None:
        zone = _span(low, high, own, written)
    elif low is not None:
        zone = f"the lower limit of {_in_typed(low, own, written)}"
    else:
        zone = (
            f"the upper limit of {_in_typed(high, own, written)}"
            if high is not None
            else "its limit"
        )
    return f"{_in_typed(value, own, written)} is far outside {zone}; {asks}"
