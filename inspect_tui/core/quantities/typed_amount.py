"""One number with its unit as a person types it: everything that a mechanic may mean plainly.

`parse_number` is strict, since files are read by it. Typed text goes through it first; what it
refuses is tried as a mixed measure (`1 turn 30 deg`, `5°30'`, `4h30`) and as words (`one and a
half`, `40 to 1`). What reads smoothly and could still be two things is refused with both, and never
guessed: `1.800 rpm`, `1:50`, `60/40` of a mixture, `1.30` of a time.

Who calls it: readings, bench, the `calc` command, conditions, and what shows a reading as typed.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import NamedTuple

from inspect_tui.core.quantities import dimensions, parse_number, units
from inspect_tui.core.quantities.number_words import in_figures
from inspect_tui.core.quantities.typed_unit import typed_unit
from inspect_tui.core.quantities.units import Unit
from inspect_tui.core.text.formatting import format_value
from inspect_tui.core.text.sanitize import ellipsize
from inspect_tui.errors import BadInput


class TypedAmount(NamedTuple):
    """A typed number and the unit in which it counts.

    A named tuple, since every start of the program makes its class, and a dataclass takes longer.
    """

    number: Fraction
    unit: Unit
    written: str
    """The unit's text as typed; "" where the number stood alone."""
    question: str = ""
    """What was assumed and is to be asked; "" where nothing was."""
    mixed: bool = False
    """Whether its units stand within it: `5' 6"`, `1 turn 30 deg`."""


_NO_VALUE = (
    r"(?i)(?:(?P<about>about|approx(?:\.|imately)?|roughly|circa|ca\.?|~|≈)|[<>≤≥]=?|over|under"
    r"|up to|more than|less than|at least|at most|max\.?|min\.?) ?(?=[0-9.])"
)
_THOUSAND = r"[+-]?[1-9][0-9]{0,2}[.,][0-9]{3}(?![0-9.,])"
_LARGEST_OF_COARSE = {
    "revolutions_per_minute": 20_000, "kilometer": 200_000, "mile": 200_000, "hectopascal": 20_000,
    "millibar": 20_000, "pascal": 999_999, "kilopascal": 20_000, "month": 2000, "day": 100_000,
    "year": 3000, "percent": 2000, "milliliter": 100_000, "cubic_centimeter": 100_000,
    "newton": 50_000, "degree_Celsius": 1500, "degree_Fahrenheit": 2500, "foot": 30_000,
}  # fmt: skip
"""Units whose thousandths hardly a gauge in a shed shows, so that `1.800` may be 1800; and the most
that is met with, so that `827.371 kPa` is never taken for 827 MPa."""
_CLOCK_LIKE = r"(?P<first>[0-9]{1,3})[.,](?P<second>[0-5][0-9])"
_CLOCK = r"(?P<first>[0-9]{1,4}):(?P<second>[0-5][0-9])(?P<part>[.,][0-9]{1,3})?"
_LESSER = {"hour": ("minute", "h"), "minute": ("second", "min"), "second": ("second", "min")}
_RATIO = r"(?P<a>[0-9]{1,6}(?:[.,][0-9]{1,6})?) ?(?::|to|in) ?(?P<b>[0-9]{1,6}(?:[.,][0-9]{1,6})?)"
_PARTS_OF_TWO = r"(?P<a>[0-9]{1,3}) ?/ ?(?P<b>[0-9]{1,3})"
_DOTTED_FRACTION = r"(?<![0-9.,/])([+-]?[0-9]{1,4}) ?[.+] ?([0-9]{1,3}/[0-9]{1,3})(?![0-9/])"
_NUMBERED = r"(?i)(?:#|no\.?|nr\.?|n°) ?(?=[0-9])"
_HYPHENED = r"(?<=[0-9])-(?=[^\W\d])"
"""`1/2-inch`"""
_TRAILING = r"(?<=[^\W\d])[,;!]+$"
_DIAMETER = r"^[øØ⌀] ?(?=[0-9.,])"
_BELOW = r"(?i)(?P<amount>[0-9].*?) ?\bbelow(?: (?:zero|freezing))?"
_LETTERED = r"(?P<whole>[0-9]{1,3})(?P<letter>[kKRM])(?P<part>[0-9]{1,3})"
_PIECE = (
    r"(?:[ ,&-]|and)*"
    r"(?P<number>[0-9]+[ -][0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+) ?"
    r"(?P<unit>[^\W\d_]+\.?|[°'\"]|'')?"
)
_FOLLOWING = {"hour": "minute", "minute": "second", "degree": "arcminute", "foot": "inch",
              "arcminute": "arcsecond", "year": "month"}  # fmt: skip
"""What a bare number behind one of these counts in: `4h30`, `5°30`."""


def typed_amount(
    text: str, wanted: Unit | None, bare: Unit | None = None, *, fraction: bool = False
) -> TypedAmount:
    """The number that was typed.

    Args:
        text: One number with or without a unit; no repeats, no uncertainty.
        wanted: The unit of what is asked for; a typed one is read in its light. None where any
            dimension will do.
        bare: The unit in which a number alone counts; without it `wanted`, else a plain number.
        fraction: Whether a share is asked for as a plain number (0.5 and 50 % are the same).

    Returns:
        The number; its unit may be of another dimension than the wanted one, which whoever asked
        says in its own words.

    Raises:
        BadInput: nothing, nonsense, or what could be read in two ways.
    """
    plain = parse_number.plainly(text)
    alone = bare if bare is not None else wanted if wanted is not None else units.PLAIN
    special = _of_two_numbers(plain, units.unit("%") if fraction else alone)
    if special is not None:
        return special
    _refuse_bound(plain)
    refusal: BadInput
    try:
        found = _strict(plain, wanted, alone)
        if wanted is None or found.unit.dimension == wanted.dimension:
            return found
        refusal = BadInput("")
    except BadInput as error:
        found, refusal = None, error
    for attempt in (_mixed, _in_words):
        meant = attempt(plain, wanted, alone)
        if meant is not None:
            return meant
    if found is None:
        raise refusal
    return found


def _strict(plain: str, wanted: Unit | None, alone: Unit) -> TypedAmount:
    amount = parse_number.amount(plain)
    if amount.ratio:
        raise BadInput(f'"{ellipsize(plain)}" is a ratio;', "write one number.")
    unit, question = alone, ""
    if amount.unit:
        mixed = not plain.endswith(amount.unit)  # 5' 6" counts in inches
        known = typed_unit(amount.unit, wanted)
        unit, question = known.unit, known.question.replace("{}", format_value(amount.number))
        _refuse_clock_with_unit(plain, amount.unit, unit)
        refuse_thousands(plain, _LARGEST_OF_COARSE.get(unit.name, 0))
        return TypedAmount(amount.number, unit, amount.unit, question, mixed)
    _refuse_clock(plain, amount.number, unit)
    refuse_thousands(plain, _LARGEST_OF_COARSE.get(unit.name, 0))
    return TypedAmount(amount.number, unit, "", question)


def such_as(wanted: Unit) -> str:
    """What is wanted, for a message: `a length is wanted, such as "12 mm".`"""
    name = dimensions.with_article(wanted.dimension, wanted.quantity_kind)
    example = f'"12 {wanted.text}"' if wanted.text else "12"
    return f"{name} is wanted, such as {example}."


# --- what reads smoothly and could be two things --------------------------------------------


def _refuse_bound(plain: str) -> None:
    """`about 5` and `>5` are no value; what would be one is said."""
    found = re.match(_NO_VALUE, plain)
    if found is None:
        return
    number = plain[found.end() :]
    hint = "write the value itself."
    if found["about"]:
        hint = f"write {number}, or {number} ± 1 where it is known to 1."
    raise BadInput(f'"{ellipsize(plain)}" is not a number;', hint)


def refuse_thousands(text: str, largest: int = 999_999) -> None:
    """Raises BadInput where a mark before three digits could be one of thousands: `1.800`.

    Args:
        text: What was typed.
        largest: The most that the number can be; what would be more is no thousands.
    """
    found = re.match(_THOUSAND, parse_number.plainly(text))
    if not found:
        return
    whole, decimal = re.sub(r"[.,]", "", found[0]), found[0].replace(",", ".")
    if abs(int(whole)) > largest:
        return
    short = decimal.rstrip("0").rstrip(".") if decimal.endswith("0") else f"{decimal}0"
    raise BadInput(
        f'"{ellipsize(found[0])}" could be {whole} or {short};',
        f"write {whole} without a mark, or {short}.",
    )


def _refuse_clock(plain: str, number: Fraction, unit: Unit) -> None:
    """`1.30` of a time: 1 min 30 s, or 1.3 s?"""
    found = re.fullmatch(_CLOCK_LIKE, plain)
    if not found or unit.name not in _LESSER:
        return
    _refuse_time(plain, number, unit, f"{int(found['first'])}:{found['second']}")


def _refuse_clock_with_unit(plain: str, written: str, unit: Unit) -> None:
    """`2.30 min`: a nought that says nothing in a decimal says ten in a clock."""
    found = re.fullmatch(_CLOCK_LIKE, plain[: len(plain) - len(written)].rstrip())
    if not found or unit.name not in ("hour", "minute"):
        return
    if found["second"] in ("10", "20", "30", "40", "50"):
        number = Fraction(f"{found['first']}.{found['second']}")
        _refuse_time(plain, number, unit, f"{int(found['first'])}:{found['second']}")


def _refuse_time(plain: str, number: Fraction, unit: Unit, clock: str) -> None:
    first, second = ("h", "min") if unit.name == "hour" else ("min", "s")
    apart = f"{clock.split(':')[0]} {first} {clock.split(':')[1]} {second}"
    short = {"hour": "h", "minute": "min", "second": "s"}[unit.name]
    raise BadInput(
        f'"{ellipsize(plain)}" could be {apart} or {format_value(number)} {short};',
        f"write {clock} or {format_value(number)} {short}.",
    )


def _of_two_numbers(plain: str, alone: Unit) -> TypedAmount | None:
    """`50:1`, `1:30`, `50/50`: a ratio, a time or a mixture, by what is asked for."""
    share = re.fullmatch(_PARTS_OF_TWO, plain)
    ratio = re.fullmatch(_RATIO, plain)
    if ratio and " in " in plain and alone.dimension:
        return None  # 1 in 3 mm says something else
    if alone.name in _LESSER and (clock := re.fullmatch(_CLOCK, plain)):
        return _clock(clock, alone)
    if not ratio and not share:
        return None
    found = ratio or share
    assert found is not None
    a, b = (Fraction(found[part].replace(",", ".")) for part in ("a", "b"))
    if alone.quantity_kind == "percent":
        return _mixture(plain, a, b, alone)
    if alone.dimension or alone.name:
        if not ratio:
            return None
        if ":" in plain:
            raise BadInput(f'"{plain}" is a ratio;', such_as(alone))
        raise BadInput(f'"{plain}" is two numbers;', "write one, such as 31 ± 1 for 30 to 32.")
    if share:
        if a + b == 100:
            raise BadInput(
                f'"{plain}" could be a mixture or {format_value(a / b if b else 0)};',
                "write the number itself.",
            )
        return None
    if b == 1:
        return TypedAmount(a, alone, "")
    if not a or not b:
        raise BadInput(f'"{plain}" divides by zero.' if not b else f'"{plain}" is no ratio.')
    if a == 1:
        raise BadInput(
            f'"{plain}" could be {format_value(b)}:1 or {format_value(1 / b)};',
            f"write {format_value(b)}:1, or 1/{format_value(b)}.",
        )
    raise BadInput(
        f'"{plain}" could be a ratio or a mixture;',
        f"write the number itself, such as {format_value(a / b, '', 4)}.",
    )


def _clock(found: re.Match[str], alone: Unit) -> TypedAmount:
    """`4:30` in hours is 4 h 30 min, in minutes and seconds 4 min 30 s."""
    lesser, _ = _LESSER[alone.name]
    part = Fraction(f"0{found['part'].replace(',', '.')}") if found["part"] else Fraction(0)
    lesser_size = units.unit(lesser).factor
    seconds = (int(found["first"]) * 60 + int(found["second"]) + part) * lesser_size
    return TypedAmount(seconds / alone.factor, alone, "", mixed=True)


def _mixture(plain: str, a: Fraction, b: Fraction, alone: Unit) -> TypedAmount:
    """A share that was written as two parts: only equal parts can be told."""
    if a == b and a:
        return TypedAmount(Fraction(1, 2) / alone.factor, alone, "", mixed=True)
    if a + b == 100:
        raise BadInput(
            f'"{plain}" could be {a} % or {b} %;', f"write the share itself, such as {max(a, b)} %."
        )
    if not b or not a:
        raise BadInput(f'"{plain}" is no share;', "write it such as 50 %.")
    one, other = format_value(100 * a / (a + b), "", 2), format_value(100 * a / b, "", 2)
    raise BadInput(
        f'"{plain}" could be {one} % or {other} %;', "write the share itself, such as 50 %."
    )


def unmistakable(number: str) -> str:
    """A decimal that no reader takes for thousands: `6.895` as `6.8950`."""
    return f"{number}0" if re.fullmatch(_THOUSAND, number) else number


# --- measures in two units, and words -------------------------------------------------------


def _mixed(plain: str, wanted: Unit | None, alone: Unit) -> TypedAmount | None:
    """`1 turn 30 deg`, `5°30'`, `4h30`, `2 lb 3 oz`: whole units, then a lesser one."""
    sign = -1 if plain[:1] == "-" else 1
    body = plain.lstrip("+-").strip()
    found: list[tuple[Fraction, str]] = []
    at = 0
    while at < len(body):
        piece = re.match(_PIECE, body[at:])
        if piece is None:
            return None
        found.append((parse_number.amount(piece["number"]).number, piece["unit"] or ""))
        at += piece.end()
        at += len(body[at:]) - len(body[at:].lstrip())
    if not 2 <= len(found) <= 3 or not found[0][1]:
        return None
    total = Fraction(0)
    first: Unit | None = None
    before: Unit | None = None
    for place, (number, written) in enumerate(found):
        try:
            unit = _unit_of_piece(number, written, before, wanted)
        except BadInput:
            return None
        if unit is None or unit.offset:
            return None
        if before is None:
            first = before = unit
        lesser = place > 0
        if unit.dimension != before.dimension or (lesser and number * unit.factor >= before.factor):
            return None
        if place < len(found) - 1 and number.denominator != 1:
            return None
        if lesser and written and unit.factor >= before.factor:
            return None
        total += number * unit.factor
        before = unit
    assert first is not None
    return TypedAmount(sign * total / first.factor, first, found[0][1], mixed=True)


def _unit_of_piece(
    number: Fraction, written: str, before: Unit | None, wanted: Unit | None
) -> Unit | None:
    if before is None:
        return typed_unit(written, wanted).unit
    if written in ("m", "mo", "mos") and before.name == "year":
        return units.unit("month")
    if written:
        return typed_unit(written, _LIGHT_AFTER.get(before.name, wanted)).unit
    if number < 1:
        return before  # 1 turn 1/4
    following = _FOLLOWING.get(before.name)
    return units.unit(following) if following else None


_LIGHT_AFTER = {"degree": Unit("", "arcminute", dimensions.ANGLE, Fraction(1))}
"""In which light the second unit of a mixed measure is read, where it isn't the whole's."""


def _in_words(plain: str, wanted: Unit | None, alone: Unit) -> TypedAmount | None:
    """Numbers in words, and the words that stand around numbers."""
    below = re.fullmatch(_BELOW, plain)
    if below and alone.quantity_kind == "temperature":
        found = typed_amount(below["amount"], wanted, alone)
        return found._replace(number=-abs(found.number))
    lettered = re.fullmatch(_LETTERED, plain)
    if lettered and alone.dimension == dimensions.RESISTANCE:
        plain = f"{lettered['whole']}.{lettered['part']} {lettered['letter']}"
        return _strict(plain, wanted, alone)
    said = re.sub(_TRAILING, "", re.sub(_HYPHENED, " ", plain))
    said = re.sub(_DOTTED_FRACTION, r"\1-\2", said)
    said = re.sub(_DIAMETER, "", said) if alone.dimension == dimensions.LENGTH else said
    if not alone.dimension:
        said = re.sub(_NUMBERED, "", said)
    said = in_figures(said)
    if said == plain:
        return None
    if alone.quantity_kind == "percent" and (share := re.fullmatch(_PARTS_OF_TWO, said)):
        if "/" in plain:
            return None
        return TypedAmount(Fraction(int(share["a"]), int(share["b"])) / alone.factor, alone, "")
    return typed_amount(said, wanted, alone)
