"""What a person typed where no measure is asked for: a count, yes or no, an option, a date, a time.

Pure; each function returns the value or raises BadInput with one sentence.
"""

from __future__ import annotations

import re
from datetime import date
from fractions import Fraction

from inspect_tui.core.model.checklist import Reading
from inspect_tui.core.model.log_entry import UNKNOWN_ANSWERS
from inspect_tui.core.quantities import units
from inspect_tui.core.quantities.typed_amount import refuse_thousands, typed_amount
from inspect_tui.core.readings.typed_number import read_number
from inspect_tui.core.text.formatting import format_value
from inspect_tui.core.text.sanitize import ellipsize
from inspect_tui.core.text.stamps import same_stamp
from inspect_tui.core.text.suggestions import nearest
from inspect_tui.errors import BadInput

_MANY = 10**12
_YES = ("yes", "y", "true", "1", "yep", "yeah", "done")
_NO = ("no", "n", "false", "0", "nope", "not done")
_WANTED = ("ok", "okay", "o.k.", "good", "pass")
_UNWANTED = ("nok", "not ok", "bad", "fail", "not good")
_NONE = ("none", "nothing")
_CLOCK = r"(?:(?P<h>[0-9]{1,4}):(?=[0-9]{2}:))?(?P<m>[0-9]{1,4}):(?P<s>[0-9]{2}(?:[.,][0-9]{1,3})?)"
_ISO = r"([0-9]{4})([-/.])([0-9]{1,2})\2([0-9]{1,2})"
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_DAY_MONTH = (
    r"(?:(?P<day>[0-9]{1,2})(?:st|nd|rd|th)?\.? (?P<month>[A-Za-z]{3,9})\.?"
    r"|(?P<month2>[A-Za-z]{3,9})\.? (?P<day2>[0-9]{1,2})(?:st|nd|rd|th)?),? (?P<year>[0-9]{4})"
)
_THINGS = {
    "x",
    "pc",
    "pcs",
    "piece",
    "pieces",
    "times",
    "off",
    "tooth",
    "teeth",
    "link",
    "links",
    "pull",
    "pulls",
    "hole",
    "holes",
    "bolt",
    "bolts",
    "nut",
    "nuts",
    "spring",
    "springs",
    "rod",
    "rods",
    "lug",
    "lugs",
    "clip",
    "clips",
    "stud",
    "studs",
    "plug",
    "plugs",
    "photo",
    "photos",
    "picture",
    "pictures",
    "click",
    "clicks",
    "notch",
    "notches",
    "groove",
    "grooves",
    "wheel",
    "wheels",
    "idler",
    "idlers",
    "fastener",
    "fasteners",
    "screw",
    "screws",
    "pitch",
    "pitches",
    "stroke",
    "strokes",
    "drop",
    "drops",
    "bubble",
    "bubbles",
    "shim",
    "shims",
    "coil",
    "coils",
}
"""What is counted, where a person says it behind the number."""
_COUNTED = r"(?P<number>[0-9][0-9.,]*|[^\W\d]+) ?(?P<things>[^\W\d]+(?: [^\W\d]+)*)\.?"


def is_unknown(entered: str, reading: Reading) -> bool:
    """Whether the answer is that nobody can tell; a list's own option of that name goes before."""
    return entered.casefold() in UNKNOWN_ANSWERS and entered not in reading.options


def count(entered: str, label: str = "") -> int:
    """A whole number, 0 or more; what is counted may stand behind it: `3 teeth`."""
    if entered.casefold() in _NONE:
        return 0
    number = entered
    found = re.fullmatch(_COUNTED, entered)
    if found and all(_is_thing(word, label) for word in found["things"].casefold().split()):
        number = found["number"]
    refuse_thousands(number)
    try:
        amount = typed_amount(number, units.PLAIN)
    except BadInput as error:
        raise _no_count(entered, error.message) from error
    whole = amount.number.denominator == 1 and amount.number >= 0
    if amount.written or ":" in number or not whole or amount.unit.quantity_kind:
        raise _no_count(entered)
    if amount.number > _MANY:
        raise BadInput(f'"{ellipsize(entered)}" is too large for a count.')
    return int(amount.number)


def _is_thing(word: str, label: str) -> bool:
    words = re.findall(r"[^\W\d]+", label.casefold())
    return word in _THINGS or word in words or word.removesuffix("s") in words


def _no_count(entered: str, why: str = "") -> BadInput:
    if "divides by zero" in why or "too many digits" in why or "too large" in why:
        return BadInput(why)
    return BadInput(
        f'"{ellipsize(entered)}" is not a count;', "write a whole number, 0 or more, such as 12."
    )


def check(entered: str, reading: Reading) -> bool:
    """Yes or no to the label; `ok` and `nok` are the wanted answer and the other one."""
    word = entered.casefold()
    if word in _YES:
        return True
    if word in _NO:
        return False
    if word in _WANTED or word in _UNWANTED:
        equal = reading.limit.equal if reading.limit is not None else None
        wanted = equal if isinstance(equal, bool) else True
        return wanted if word in _WANTED else not wanted
    raise BadInput(f'"{ellipsize(entered)}" is no answer here;', "write yes or no, ok or nok.")


def choice(entered: str, options: tuple[str, ...]) -> str:
    """An option, its unambiguous beginning, or its place where no option begins so.

    Capitals, hyphens and spaces don't matter: `q4` is the option `Q-4`.
    """
    word = entered.casefold()
    for option in options:
        if option == entered:
            return option
    for same in (
        [option for option in options if option.casefold() == word],
        [option for option in options if same_stamp(option, entered)],
    ):
        if len(same) == 1:
            return same[0]
    chosen = [option for option in options if option.casefold().startswith(word)]
    if entered.isascii() and entered.isdigit() and len(entered) < 4:
        place = int(entered)
        if 1 <= place <= len(options) and options[place - 1] not in chosen:
            chosen.append(options[place - 1])
    if len(chosen) == 1:
        return chosen[0]
    if chosen:
        raise BadInput(
            f'"{ellipsize(entered)}" fits {" and ".join(chosen[:3])};', "write more of it."
        )
    near = nearest(entered[:60], options, 0.5)
    listed = f"choose from {', '.join(options[:12])}."
    if near:
        listed = f"did you mean {near}? {listed[0].upper()}{listed[1:]}"
    raise BadInput(f'"{ellipsize(entered)}" is not one of the answers;', listed)


def is_option(entered: str, option: str) -> bool:
    """Whether an option was written out, but for capitals, hyphens and spaces."""
    return entered.casefold() == option.casefold() or same_stamp(option, entered)


def day(entered: str) -> str:
    """A date as ISO writes it. Days are never told from months by guessing: `2.11.` is refused."""
    found = re.fullmatch(_ISO, entered)
    if found:
        return _in_calendar(entered, int(found[1]), int(found[3]), int(found[4]))
    said = re.fullmatch(_DAY_MONTH, entered)
    if said:
        name = (said["month"] or said["month2"]).casefold()
        if name[:3] in _MONTHS:
            month = _MONTHS.index(name[:3]) + 1
            return _in_calendar(entered, int(said["year"]), month, int(said["day"] or said["day2"]))
    raise BadInput(
        f'"{ellipsize(entered)}" is not a date;', "write year-month-day, such as 2026-11-02."
    )


def _in_calendar(entered: str, year: int, month: int, day_of_month: int) -> str:
    try:
        return date(year, month, day_of_month).isoformat()
    except ValueError:
        raise BadInput(f'"{ellipsize(entered)}" is not in the calendar.') from None


def timer(entered: str) -> Fraction:
    """Seconds, from `1:30`, `90`, `1 min 30 s`, `1:02:03`."""
    clock = re.fullmatch(_CLOCK, entered)
    if clock:
        seconds = Fraction(clock["s"].replace(",", "."))
        minutes = int(clock["m"])
        if seconds >= 60 or (clock["h"] and minutes >= 60):
            raise BadInput(
                f'"{entered}" is no time;', "minutes and seconds go up to 59, such as 1:30."
            )
        return int(clock["h"] or 0) * 3600 + minutes * 60 + seconds
    if ":" in entered:
        raise BadInput(
            f'"{ellipsize(entered)}" is no time;', "write minutes and seconds, such as 1:30."
        )
    typed = read_number(entered, units.unit("s"))
    if typed.repeats or typed.expanded is not None:
        raise BadInput(f'"{ellipsize(entered)}" is more than one time;', "write one, such as 1:30.")
    seconds = Fraction(typed.quantity.si)
    if seconds < 0:
        raise BadInput(
            f'"{ellipsize(entered)}" is less than no time;', "write it such as 1:30 or 90 s."
        )
    if seconds >= _MANY:
        raise BadInput(f'"{format_value(seconds)} s" is too long for a timer.')
    return seconds
