"""Answers by one press, and the unit that stays in a row. Pure.

A digit is the place of an option, `1` and `0` are yes and no, `+` is the wanted answer. What is
recorded is the answer in words, so that the log reads the same however it was given.
"""

from __future__ import annotations

from inspect_tui.core.model.checklist import Reading
from inspect_tui.core.model.log_entry import UNKNOWN_ANSWERS
from inspect_tui.core.model.results import ToleranceInterval
from inspect_tui.core.quantities import units
from inspect_tui.core.readings.typed_number import read_number
from inspect_tui.errors import BadInput

MAX_OPTIONS = 9
"""Options of a choice that a digit can stand for."""
WANTED = "+"


def takes_digits(reading: Reading) -> bool:
    """Whether a digit stands for an option of this choice."""
    numbered = not any(option[:1].isdigit() for option in reading.options)
    return reading.kind == "choice" and numbered and len(reading.options) <= MAX_OPTIONS


def answer_of(character: str, reading: Reading, zone: ToleranceInterval | None) -> str:
    """The answer that one character is by itself; "" where it is text that takes Enter.

    Args:
        character: What was typed into the empty field.
        reading: What is asked.
        zone: Its limits, worked out.
    """
    if character == WANTED:
        return wanted_answer(reading, zone)
    if reading.kind == "check":
        return {"1": "yes", "0": "no"}.get(character, "")
    if takes_digits(reading) and character.isascii() and character.isdigit():
        place = int(character)
        return reading.options[place - 1] if 1 <= place <= len(reading.options) else ""
    return ""


def wanted_answer(reading: Reading, zone: ToleranceInterval | None) -> str:
    """The one good answer of a check or a choice; "" where there is none, or several."""
    good = zone.equal if zone is not None else ()
    if reading.kind == "check":
        wanted = good[0] if len(good) == 1 and isinstance(good[0], bool) else True
        return "yes" if wanted else "no"
    if reading.kind == "choice" and len(good) == 1 and good[0] in reading.options:
        return str(good[0])
    return ""


def written_unit(text: str, reading: Reading) -> str | None:
    """The unit that stands behind a typed number; "" for a bare one; None where it is no number."""
    if reading.kind != "number" or not reading.unit or text.casefold() in UNKNOWN_ANSWERS:
        return None
    try:
        return read_number(text, units.unit(reading.unit)).written
    except BadInput:
        return None


def takes_unit(text: str, reading: Reading | None) -> bool:
    """Whether the row's unit still stands behind what is typed: no, once it has one of its own."""
    if reading is None or not text.strip():
        return True
    written = written_unit(text, reading)
    if written is None:  # half-typed: letters begin a unit, a figure does not
        return not any(letter.isalpha() for letter in text)
    return not written


def with_unit(text: str, unit: str, reading: Reading) -> str:
    """What the field shows: a bare number with the unit that stands behind the cursor."""
    if unit and written_unit(text, reading) == "":
        return f"{text.strip()} {unit}"
    return text
