"""Figures as people read them: as they were typed, converted in brackets, rounded honestly.

Pure. `format_value` in `core/text` writes a number without judging it; here a number is rounded to
what its uncertainty and a hand can do, and its unit is written as people write it. Rounding never
moves a value onto or across a limit that it is held against: "31.5 mm fails 31.5 mm or more" would
be true and make no sense.

Rounding by an uncertainty keeps the digits that the Particle Data Group keeps (Review of Particle
Physics, Introduction, "Rounding"; from memory): two digits of the uncertainty up to 35, one from 36
to 94, then 100.

Who calls it: screens, reports, commands.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from fractions import Fraction
from typing import Final

from inspect_tui.core.quantities import parse_number, units
from inspect_tui.core.quantities.typed_amount import TypedAmount, typed_amount
from inspect_tui.core.quantities.units import Number, Unit
from inspect_tui.core.text.formatting import format_value, join_words
from inspect_tui.core.text.unit_text import AT_THE_NUMBER, format_unit
from inspect_tui.errors import BadInput

_SIGNIFICANT: Final = Fraction(100)
"""Steps within the first digit of a worked-out figure without an uncertainty: three digits."""
_CONVERTED: Final = Fraction(1000)
"""Of a converted figure at most, where no uncertainty says more: four digits."""
_FINEST: Final[dict[str, Fraction]] = {
    "month": Fraction(1), "day": Fraction(1), "year": Fraction(1, 10), "percent": Fraction(1, 10),
    "revolutions_per_minute": Fraction(1), "degree_Celsius": Fraction(1, 10),
    "degree_Fahrenheit": Fraction(1, 10), "degree": Fraction(1, 10),
}  # fmt: skip
"""The finest step of a worked-out figure that a hand or an eye can use, by pint's name."""
_EIGHTH = Fraction(1, 8)
"""The finest part of a turn that a screwdriver's slot shows."""
_FRACTION_STEP = Fraction(1, 64)
"""What a fraction was read to: `1/2 in` isn't half an inch give or take."""
_REPEATS_SHOWN = 4
_WORDS_WITHIN = r"(?i)(?!st|nd|rd|th|to |and )(?<![a-z])[a-z]{2,}"
_BEGINNINGS = ("-", "+", ".", ",", "#")
"""Signs that a number may begin with."""


def format_quantity(
    value: Number | bool | str,
    unit: str = "",
    uncertainty: Number | None = None,
    limits: Sequence[Number | None] = (),
) -> str:
    """A worked-out value, rounded: `655 kPa`, `1-1/2 turns`, `14 %`, `62 months`, `12 m³`.

    Args:
        value: In `unit`, or an answer (`yes`, an option's text).
        unit: As written in the list; "" for none.
        uncertainty: Expanded (k = 2), in `unit`; None where none is stated.
        limits: What the value is held against, in `unit`; it stays on its own side of each.

    Returns:
        Text; `about` stands before a part of a turn that is not exact.
    """
    if isinstance(value, bool | str):
        return format_value(value)
    exact = _exact(value)
    if exact is None:
        return format_value(value)
    kind = _known(unit)
    if kind is not None and kind.name == "turn":
        turns = _turns(exact, limits)
        if turns is not None:
            return turns
    step = _step_of(exact, kind, uncertainty)
    return _with_unit(_rounded(exact, step, limits), unit)


def format_reading(
    entered: str,
    value: Number | bool | str | None,
    unit: str = "",
    uncertainty: Number | None = None,
    limits: Sequence[Number | None] = (),
) -> str:
    """A reading as it was typed, and in its own unit in brackets where that is another one.

    `95 psi (655 kPa)`, `31,7 mm`, `1-1/2 turns`, `31.6 mm (mean of 31.5; 31.7; 31.6)`, `yes`,
    `unknown` (value None).

    Args:
        entered: What was typed.
        value: What was understood, in `unit`.
        unit: The reading's own; "" for none.
        uncertainty: Expanded (k = 2), in `unit`; None where none is stated.
        limits: As for `format_quantity`.
    """
    if value is None:
        return "unknown"
    if isinstance(value, bool | str):
        return format_value(value)
    if ";" in entered:
        return _mean(entered, value, unit, uncertainty, limits)
    own = _known(unit)
    try:
        typed, spread = parse_number.with_spread(entered)
        amount = typed_amount(typed, own, own)
        stated = parse_number.amount(spread) if spread is not None else None
    except BadInput:
        worked_out = format_quantity(value, unit, uncertainty, limits)
        return f"{entered} ({worked_out})" if ":" in entered else worked_out
    if not typed[:1].isdigit() and typed[:1] not in _BEGINNINGS:  # in words
        return format_quantity(value, unit, uncertainty, limits)
    if amount.mixed:
        return (
            f"{typed} ({_converted(amount.number, value, own, amount.unit, uncertainty, limits)})"
        )
    number = _number_of(typed, amount.written)
    if not amount.written and spread is None and re.search(_WORDS_WITHIN, number):  # 20 below
        return _with_unit(format_value(value), unit)
    behind = "" if stated is None or spread is None else f" ± {_number_of(spread, stated.unit)}"
    share = stated is not None and _is_share(stated.unit)
    written = amount.written or ("" if stated is None or share else stated.unit)
    meant = amount.unit
    if written and not amount.written:
        meant = _known(written, own) or amount.unit
    same = own is not None and meant.name == own.name
    shown_unit = unit if same else written
    if ":" in typed:
        shown_unit = ""  # a ratio has none
    if share:
        said = f"{_spaced(number, shown_unit, amount.number)}{behind} %"
    elif stated is not None and amount.written and stated.unit not in ("", amount.written):
        said = f"{_spaced(number, shown_unit, amount.number)}{behind} {format_unit(stated.unit)}"
    elif not behind and _stands(number, amount, same=same):
        said = typed
    else:
        said = _spaced(number + behind, shown_unit, amount.number)
    if same or not written:
        return said
    return f"{said} ({_converted(amount.number, value, own, meant, uncertainty, limits)})"


def format_difference(
    entered: Sequence[str], difference: Number, unit: str, worked_out: str
) -> str:
    """A difference of values, in the unit that they were all typed in: `22 psi (152 kPa)`.

    Shown beside `118 psi (810 kPa)` and `96 psi (662 kPa)` it is what those typed figures differ
    by, whatever the converted ones were rounded to.

    Args:
        entered: What was typed, each.
        difference: In `unit`.
        unit: The readings' own; "" for none.
        worked_out: The difference in words, in the readings' own unit.
    """
    typed = _all_typed_in(entered, _known(unit))
    exact, own = _exact(difference), _known(unit)
    if typed is None or exact is None or own is None or typed.offset or own.offset:
        return worked_out
    return f"{format_value(exact * own.factor / typed.factor, typed.text, 3)} ({worked_out})"


def _all_typed_in(entered: Sequence[str], own: Unit | None) -> Unit | None:
    """The other unit in which all of them were typed; None where there is no such one."""
    found: dict[str, Unit] = {}
    for text in entered:
        try:
            typed, _ = parse_number.with_spread(text)
            amount = typed_amount(typed, own, own)
        except BadInput:
            return None
        if amount.mixed or not amount.written or amount.unit is None or own is None:
            return None
        found[amount.unit.name] = amount.unit
    (only, *more) = found.values() or (None,)
    return None if only is None or more or own is None or only.name == own.name else only


def format_uncertainty(expanded: Number, unit: str = "") -> str:
    """An expanded uncertainty rounded to the digits that it is worth: `±0.5 mm`, `±1.5 °C`."""
    exact = _exact(expanded)
    if not exact:
        return f"±{_with_unit(format_value(expanded), unit)}"
    return f"±{_with_unit(_rounded(abs(exact), _step_by(abs(exact)), ()), unit)}"


def format_move(move: Number, unit: str = "") -> str:
    """How far to move something, without its direction: `about 5/8 turn`, `3.5 mm`, `2 turns`."""
    return format_quantity(max(move, -move), unit)


def probability_words(probability: float) -> str:
    """The chance that the true value lies inside its limits, in plain words.

    The borders are those of the decision rule (0.95 and 0.05) and, between and beyond them, those
    of the calibrated language of the IPCC's guidance note of 2010 (99, 66 and 33 %; from memory).

    Args:
        probability: 0 to 1.

    Returns:
        `almost certainly in`, `very likely in`, `probably in`, `as likely in as out`,
        `probably out`, `very likely out` or `almost certainly out`.
    """
    for least, words in _CHANCES:
        if probability >= least:
            return words
    return "almost certainly out"


_CHANCES = (
    (0.99, "almost certainly in"),
    (0.95, "very likely in"),
    (0.66, "probably in"),
    (0.33, "as likely in as out"),
    (math.nextafter(0.05, 1), "probably out"),
    (math.nextafter(0.01, 1), "very likely out"),
)


def _known(unit: str, wanted: Unit | None = None) -> Unit | None:
    """The unit, or None where a file or a person wrote one that is none."""
    try:
        return units.unit(unit, units.light_of(wanted))
    except BadInput:
        return None


def _exact(value: Number) -> Fraction | None:
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return Fraction(repr(value)) if isinstance(value, float) else Fraction(value)


def _with_unit(number: str, unit: str) -> str:
    if not unit:
        return number
    try:
        shown = format_unit(unit, Fraction(number))
    except ValueError:  # 1e20 and the like have no plural worth a thought
        shown = format_unit(unit)
    return f"{number}{shown}" if shown in AT_THE_NUMBER else f"{number} {shown}"


def _decade(size: Fraction) -> Fraction:
    """The power of ten at or below a size above nought."""
    step = Fraction(f"1e{math.floor(math.log10(size))}")
    if size < step:  # the logarithm was rounded
        return step / 10
    return step * 10 if size >= step * 10 else step


def _step_by(uncertainty: Fraction) -> Fraction:
    """The last place worth writing beside this uncertainty (above nought)."""
    place = _decade(uncertainty)
    leading = uncertainty / place
    if leading < Fraction("3.55"):
        return place / 10
    return place


def _step_of(exact: Fraction, kind: Unit | None, uncertainty: Number | None) -> Fraction:
    """The step to which a worked-out value is rounded."""
    if uncertainty:
        stated = _exact(uncertainty)
        if stated:
            return _step_by(abs(stated))
    if not exact:
        return Fraction(1)
    step = min(_decade(abs(exact)) / _SIGNIFICANT, Fraction(1))
    return max(step, _FINEST.get(kind.name, step)) if kind is not None else step


def _rounded(exact: Fraction, step: Fraction, limits: Sequence[Number | None]) -> str:
    """Rounded to a step, finer where that would move the value onto or across a limit."""
    edges = [edge for limit in limits if limit is not None and (edge := _exact(limit)) is not None]
    for _ in range(12):
        rounded = round(exact / step) * step
        if all(_side(rounded, edge) == _side(exact, edge) for edge in edges):
            return format_value(rounded, "", 15)
        step = _decade(step) / 10
    if exact in edges:  # a third is on its limit, however many digits are written
        return format_value(exact)
    return format_value(exact, "", 15)


def _side(value: Fraction, edge: Fraction) -> int:
    return (value > edge) - (value < edge)


def _turns(exact: Fraction, limits: Sequence[Number | None]) -> str | None:
    """`1-1/2 turns`, `about 5/8 turn`; None where eighths would cross a limit or are too coarse."""
    eighths = round(exact / _EIGHTH) * _EIGHTH
    about = "" if eighths == exact else "about "
    edges = [edge for limit in limits if limit is not None and (edge := _exact(limit)) is not None]
    if any(_side(eighths, edge) != _side(exact, edge) for edge in edges):
        return None
    if not eighths and exact:
        return "less than 1/8 turn" if exact > 0 else None
    size = abs(eighths)
    whole, part = divmod(size, 1)
    sign = "-" if eighths < 0 else ""
    shown = f"{whole}-{part}" if whole and part else str(part or whole)
    return f"{about}{sign}{shown} {format_unit('turn', size)}"


def _converted(
    typed_number: Fraction,
    value: Number,
    own: Unit | None,
    typed: Unit | None,
    uncertainty: Number | None,
    limits: Sequence[Number | None],
) -> str:
    """The value in its own unit, to the digits that the typed one had."""
    exact = _exact(value)
    if exact is None or own is None:
        return format_value(value)
    if own.name == "turn":
        turns = _turns(exact, limits)
        if turns is not None:
            return turns
    if typed is None or not typed.factor:
        return format_quantity(value, own.text, uncertainty, limits)
    step = _decade(_resolution(typed_number) * typed.factor / own.factor / 4)
    if exact:
        step = max(step, min(_decade(abs(exact)) / _CONVERTED, Fraction(1)))
    stated = _exact(uncertainty) if uncertainty else None
    if stated:
        step = max(step, _step_by(abs(stated)))
    return _with_unit(_rounded(exact, step, limits), own.text)


def _resolution(number: Fraction) -> Fraction:
    """To what a number was read, by its own denominator: 0.01 for 1.25, 1 for 95."""
    bottom = number.denominator
    if bottom == 1:
        return Fraction(1)
    if bottom & (bottom - 1) == 0 and bottom <= 64:
        return _FRACTION_STEP
    for places in range(1, 13):
        if 10**places % bottom == 0:
            return Fraction(1, 10**places)
    return Fraction(1, bottom)


def _number_of(typed: str, unit: str) -> str:
    """What stands before the unit."""
    return typed.removesuffix(unit).rstrip()


def _stands(number: str, amount: TypedAmount, *, same: bool) -> bool:
    """Whether an amount is shown letter by letter: `10 IN`, `1/2-inch`, `11/64ths in`."""
    if not amount.written:
        return False
    spelled = format_unit(amount.written) == amount.written
    return not _is_plain(number, amount.number) or (spelled and not same)


def _is_plain(number: str, size: Fraction) -> bool:
    """Whether the text is that number and nothing else."""
    try:
        found = parse_number.amount(number)
    except BadInput:
        return False
    return found.number == size and not found.unit


def _is_share(unit: str) -> bool:
    known = _known(unit) if unit else None
    return known is not None and known.quantity_kind == "percent"


def _spaced(number: str, unit: str, size: Number) -> str:
    """A number as typed with its unit as people write it."""
    if not unit:
        return number
    shown = format_unit(unit, size)
    return (
        f"{number}{shown}"
        if shown in AT_THE_NUMBER and "±" not in number
        else (f"{number} {shown}")
    )


def _mean(
    entered: str,
    value: Number,
    unit: str,
    uncertainty: Number | None,
    limits: Sequence[Number | None],
) -> str:
    """The mean of repeats, with them behind it where they are few."""
    parts = [" ".join(part.split()) for part in entered.split(";")]
    shown = format_quantity(value, unit, uncertainty, limits)
    if len(parts) > _REPEATS_SHOWN:
        return f"{shown} (mean of {len(parts)})"
    return f"{shown} (mean of {join_words(parts)})"
