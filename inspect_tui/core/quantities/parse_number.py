"""A typed number and the text behind it: `1-1/4 in`, `31,7 mm`, `.028`, `9 1/2 turns`, `50:1`.

Pure, and bounded before anything is counted: text of any length or kind ends in a fraction or in
BadInput. Everything is exact; nothing passes through a float.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction

from inspect_tui.core.text.sanitize import ellipsize, sanitize
from inspect_tui.errors import BadInput

LONGEST = 200
"""Characters of an entry that is a number."""
_DIGITS = 30
_EXPONENT = 30

_MARKS = str.maketrans({
    "−": "-", "–": "-", "‐": "-", "‑": "-", "⁄": "/", "∕": "/",
    "”": '"', "″": '"', "“": '"', "’": "'", "′": "'", "‘": "'", "´": "'", "`": "'",
    "º": "°", "˚": "°", "ℓ": "l",
    **{chr(code): chr(code - 0xFEE0) for code in range(0xFF01, 0xFF5F)},  # full-width signs
})  # fmt: skip
_NUMBER = r"""(?x)(?P<sign>[+-]?)[ ]?
    (?: (?:(?P<whole>[0-9]+)(?:[ ]-[ ]|-[ ]?|[ ]))? (?P<top>[0-9]+)[ ]?/[ ]?(?P<bottom>[0-9]+)
      | (?P<decimal>[0-9]+(?:[.,][0-9]*)*|[.,][0-9]+) (?:[eE](?P<exponent>[+-]?[0-9]+))?
    )"""
_RATIO = r"(?P<a>[0-9]{1,6}(?:[.,][0-9]{1,6})?) ?: ?(?P<b>[0-9]{1,6}(?:[.,][0-9]{1,6})?)"
_FEET_AND_INCHES = (
    r"(?P<sign>[+-]?)(?P<feet>[0-9]{1,5}) ?(?:'|ft|feet) ?-? ?(?P<inches>[0-9.][0-9 ./,-]*)"
    r"(?:\"|''|in|inch|inches)"
)
_BEGINS_A_UNIT = r"[^\W\d_]|[%‰°\"'Ω]|1?/ ?min|1/[^\W\d_]|\u2126"
_SPREAD = r"±|\+ ?/ ?-|\+-"


@dataclass(frozen=True, slots=True)
class Amount:
    """A number as typed and the unit text behind it."""

    number: Fraction
    unit: str
    """ "" where the number stood alone."""
    ratio: bool = False
    """Whether it was written `50:1`."""


def plainly(text: str) -> str:
    """Typed text with one kind of minus, quote and space; `½` as ` 1/2`, `℃` as `°C`."""
    if len(text) > LONGEST:
        raise BadInput(f"This is too long for a number ({len(text)} characters).")
    tidy = sanitize(text).translate(_MARKS)
    if tidy.isascii():
        return " ".join(tidy.split())
    written: list[str] = []
    for char in tidy:
        category = unicodedata.category(char)
        spelled = unicodedata.normalize("NFKC", char) if category in ("No", "So") else ""
        if "\u2044" in spelled:
            written.append(" " + spelled.replace("\u2044", "/") + " ")
        elif category == "So":  # one sign for a whole unit: ℃, ㎜
            written.append(spelled)
        else:
            written.append(char)
    return " ".join("".join(written).split())


def amount(text: str) -> Amount:
    """One number with its unit text.

    Raises:
        BadInput: nothing, nonsense, two numbers, 1/0, a number that no shed holds.
    """
    plain = plainly(text)
    if not plain:
        raise BadInput("There is nothing here;", "write a number, such as 12.")
    ratio = re.fullmatch(_RATIO, plain)
    if ratio:
        return Amount(
            _divided(plain, _decimal(plain, ratio["a"]), _decimal(plain, ratio["b"])), "", True
        )
    feet = re.fullmatch(_FEET_AND_INCHES, plain)
    if feet:
        inches = amount(feet["inches"]).number
        if inches >= 12:
            raise BadInput(f'"{ellipsize(plain)}" has a foot too many in its inches.')
        length = 12 * int(feet["feet"]) + inches
        return Amount(-length if feet["sign"] == "-" else length, "in")
    found = re.match(_NUMBER, plain)
    if not found:
        raise BadInput(
            f'"{ellipsize(plain)}" is not a number;', "write one such as 12, 1-1/4 or 31.7."
        )
    number = _fraction(plain, found) if found["top"] else _plain_decimal(plain, found)
    rest = plain[found.end() :].strip()
    if rest and not re.match(_BEGINS_A_UNIT, rest):
        raise _odd_rest(plain, rest)
    return Amount(-number if found["sign"] == "-" else number, rest)


def with_spread(text: str) -> tuple[str, str | None]:
    """Splits `31.7 ± 0.2 mm` into the value's text and that of its uncertainty."""
    plain = plainly(text)
    parts = re.split(_SPREAD, plain)
    if len(parts) > 2:
        raise BadInput(f'"{ellipsize(plain)}" states more than one uncertainty.')
    if len(parts) == 2 and not (parts[0].strip() and parts[1].strip()):
        raise BadInput("A number is missing beside the ±;", "write 31.7 ± 0.2, or it without ±.")
    return (parts[0].strip(), parts[1].strip()) if len(parts) == 2 else (plain, None)


def _fraction(plain: str, found: re.Match[str]) -> Fraction:
    for part in (found["whole"] or "", found["top"], found["bottom"]):
        _few_digits(plain, part)
    part = _divided(plain, Fraction(int(found["top"])), Fraction(int(found["bottom"])))
    if not found["whole"]:
        return part
    if part >= 1:
        raise BadInput(
            f'"{ellipsize(plain)}" is odd: the fraction behind the whole number is 1 or more.',
            "Write it such as 1-1/4.",
        )
    return int(found["whole"]) + part


def _plain_decimal(plain: str, found: re.Match[str]) -> Fraction:
    number = _decimal(plain, found["decimal"])
    if found["exponent"] is None:
        return number
    _few_digits(plain, found["exponent"])
    exponent = int(found["exponent"])
    if abs(exponent) > _EXPONENT:
        raise BadInput(f'"{ellipsize(plain)}" is too large or too small for a measured value.')
    return number * Fraction(10) ** exponent


def _decimal(plain: str, digits: str) -> Fraction:
    _few_digits(plain, digits)
    marks = [char for char in digits if char in ".,"]
    if len(marks) > 1:
        hint = (
            "separate repeats with a semicolon, and write no thousands mark."
            if set(marks) == {","}
            else "write one decimal point or comma, and no thousands mark."
        )
        raise BadInput(f'"{ellipsize(plain)}" can be read in more than one way;', hint)
    return Fraction(digits.replace(",", ".").rstrip(".") if marks else digits)


def _few_digits(plain: str, digits: str) -> None:
    if len(digits) > _DIGITS:
        raise BadInput(f'"{ellipsize(plain)}" has too many digits for a measured value.')


def _divided(plain: str, top: Fraction, bottom: Fraction) -> Fraction:
    if not bottom:
        raise BadInput(f'"{ellipsize(plain)}" divides by zero.')
    return top / bottom


def _odd_rest(plain: str, rest: str) -> BadInput:
    shown = ellipsize(plain)
    if re.match(r"[-+]? ?[0-9]", rest):
        return BadInput(
            f'"{shown}" could be two numbers or one with a slip;',
            "write a fraction as 1-1/8 and repeats as 31.6; 31.7.",
        )
    return BadInput(
        f'"{shown}" is not a number with a unit;', "write it such as 12 mm or 1-1/4 in."
    )
