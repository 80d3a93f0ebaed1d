"""Typed text -> value, or a reason in one sentence; and a value -> the text that shows it.

Pure. `read` never raises anything but BadInput, whatever is typed; it takes bounded time.
"""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from inspect_tui.core.model.checklist import Reading
from inspect_tui.core.quantities import dimensions, parse_number, units
from inspect_tui.core.quantities.units import Number, Quantity, Unit
from inspect_tui.core.readings import plausibility
from inspect_tui.core.text.sanitize import ellipsize, sanitize
from inspect_tui.errors import BadInput

__all__ = ["ParsedReading", "Value", "probable_slip", "quantity", "read"]

Value = Fraction | float | int | bool | str
"""number, count, timer: a number in the reading's own unit; check: bool; choice, text, date,
photo: str."""

LONGEST_TEXT = 2000
MAX_REPEATS = 50
LARGEST = 10**15
"""No reading is as large, in any unit; whole numbers below it are kept exactly by any reader."""
_SHARE = re.compile(r"(?P<share>[0-9.,]{1,12}) ?(?:%|percent)")
_CLOCK = re.compile(
    r"(?:(?P<h>[0-9]{1,4}):(?=[0-9]{2}:))?(?P<m>[0-9]{1,4}):(?P<s>[0-9]{2}(?:[.,][0-9]{1,3})?)"
)
_MINUTES_AND_SECONDS = re.compile(
    r"(?P<m>[0-9]{1,4}) ?(?:min|m) ?(?P<s>[0-9]{1,2}(?:[.,][0-9]{1,3})?) ?(?:s|sec)"
)
_WORDS = {"yes": True, "y": True, "true": True, "no": False, "n": False, "false": False}
_WANTED = {"ok": True, "okay": True, "nok": False, "not ok": False}


@dataclass(frozen=True, slots=True)
class ParsedReading:
    """What was understood of a typed entry."""

    entered: str
    """What was typed, stripped of surrounding space and control characters."""
    value: Value
    """In the reading's own unit."""
    unit: str
    """The reading's own unit as written in the checklist; "" where there is none."""
    uncertainty: Number | None = None
    """Expanded (k = 2), in the reading's own unit; from repeats `a; b; c` (Student) or a typed
    `31.7 ± 0.2`; None where the entry itself states none."""
    repeats: tuple[Number, ...] = ()


def read(text: str, reading: Reading) -> ParsedReading:
    """What a person typed for this reading.

    Raises:
        BadInput: one sentence that says what is wrong and what would be right.
    """
    if len(text) > LONGEST_TEXT:
        raise BadInput(
            f"This is too long ({len(text)} characters);", f"write at most {LONGEST_TEXT}."
        )
    entered = sanitize(text)
    if not entered:
        raise BadInput(f'Nothing was typed for "{reading.label}".')
    match reading.kind:
        case "number":
            return _number(entered, reading)
        case "count":
            return ParsedReading(entered, _count(entered), reading.unit)
        case "check":
            return ParsedReading(entered, _check(entered, reading), "")
        case "choice":
            return ParsedReading(entered, _choice(entered, reading.options), "")
        case "date":
            return ParsedReading(entered, _date(entered), "")
        case "timer":
            return ParsedReading(entered, _timer(entered), "s")
        case "text" | "photo":
            return ParsedReading(entered, entered, "")


def quantity(text: str, wanted: Unit | None = None, *, bare: bool = True) -> Quantity:
    """A quantity written by a person or in a file: `12 mm`, `1-1/4 in`, `6000 ft`, `-20 C`.

    A unit's short name is read in the light of `wanted`'s dimension. A bare number counts in
    `wanted` when `bare`, else it is a plain number. Raises BadInput, also where the dimension is
    not the wanted one (a percentage passes: `5 %` of something is said of any dimension).
    """
    amount = parse_number.amount(text)
    if amount.ratio and wanted is not None and wanted.dimension:
        raise BadInput(f'"{ellipsize(text)}" is a ratio;', _such_as(wanted))
    if not amount.unit:
        in_unit = wanted if bare and wanted is not None else units.PLAIN
        return _physical(text, units.of(amount.number, in_unit))
    in_unit = units.unit(amount.unit, units.light_of(wanted))
    found = _physical(text, units.of(amount.number, in_unit), wanted)
    if wanted is None or in_unit.quantity_kind == "percent":
        return found
    if in_unit.dimension != wanted.dimension or _natures_clash(in_unit, wanted):
        is_now = dimensions.with_article(found.dimension, found.quantity_kind)
        raise BadInput(f'"{ellipsize(text)}" is {is_now};', _such_as(wanted))
    return found


def probable_slip(
    typed: ParsedReading, reading: Reading, low: Number | None, high: Number | None
) -> str | None:
    """A question, if the value is probably a slip of the unit or of the decimal point.

    `low` and `high` are the limits (own unit); the expected zone is around them. Asked when the
    value lies well outside and 25.4, 10 (or a power of ten) or 6.895 times more or less would
    lie inside. None where nothing is odd.
    """
    value = typed.value
    if reading.kind != "number" or isinstance(value, (str, bool)):
        return None
    own = units.unit(reading.unit)
    return plausibility.as_written(typed.entered, value, own, low, high) or plausibility.question(
        value, own, low, high, _written_unit(typed.entered, own)
    )


def _written_unit(entered: str, own: Unit) -> str:
    """pint's name of the unit that was typed, "" where none was."""
    try:
        written = parse_number.amount(parse_number.with_spread(entered)[0]).unit
        return units.unit(written, units.light_of(own)).name
    except BadInput:
        # Repeats and uncertainties carry their unit elsewhere; the question then does without.
        return ""


def _natures_clash(found: Unit, wanted: Unit) -> bool:
    return {found.quantity_kind, wanted.quantity_kind} == {"temperature", "difference"}


def _physical(text: str, found: Quantity, wanted: Unit | None = None) -> Quantity:
    if found.si < 0 and (
        found.quantity_kind == "temperature"
        or (
            wanted is not None
            and wanted.quantity_kind == "temperature"
            and found.dimension == wanted.dimension
            and not found.quantity_kind
        )
    ):
        raise BadInput(f'"{ellipsize(text)}" is below absolute zero (-273.15 °C).')
    return found


def _such_as(wanted: Unit) -> str:
    name = dimensions.with_article(wanted.dimension, wanted.quantity_kind)
    example = f'"12 {wanted.text}"' if wanted.text else "12"
    return f"{name} is wanted, such as {example}."


def _own(text: str, own: Unit) -> Fraction:
    """One entry in the reading's own unit, exact."""
    found = quantity(text, own)
    if found.quantity_kind == "percent" and own.quantity_kind != "percent":
        raise BadInput(f'"{ellipsize(text)}" is a percentage;', _such_as(own))
    number = Fraction(units.number_in(found, own))
    if abs(number) >= LARGEST:
        raise BadInput(f'"{ellipsize(text)}" is too large for a measured value.')
    return number


def _number(entered: str, reading: Reading) -> ParsedReading:
    own = units.unit(reading.unit)
    if ";" in entered:
        repeats = tuple(_own(part, own) for part in _repeated(entered))
        mean = sum(repeats, Fraction(0)) / len(repeats)
        return ParsedReading(entered, mean, reading.unit, _half_width(repeats), repeats)
    value_text, spread_text = parse_number.with_spread(entered)
    if spread_text is None:
        return ParsedReading(entered, _own(value_text, own), reading.unit)
    value, uncertainty = _with_uncertainty(value_text, spread_text, own)
    return ParsedReading(entered, value, reading.unit, uncertainty)


def _repeated(entered: str) -> list[str]:
    """The repeats of one reading; a unit after the last one alone is that of all."""
    parts = [part.strip() for part in entered.split(";")]
    if len(parts) > MAX_REPEATS:
        raise BadInput(
            f"These are too many repeats ({len(parts)});", f"write at most {MAX_REPEATS}."
        )
    if not all(parts):
        raise BadInput("One of the repeats is empty;", "write them such as 31.6; 31.7; 31.5.")
    if any(parse_number.with_spread(part)[1] is not None for part in parts):
        raise BadInput("Repeats have their uncertainty from each other;", "write them without ±.")
    amounts = [parse_number.amount(part) for part in parts]
    if amounts[-1].unit and not any(amount.unit for amount in amounts[:-1]):
        return [*(f"{part} {amounts[-1].unit}" for part in parts[:-1]), parts[-1]]
    return parts


def _half_width(repeats: tuple[Fraction, ...]) -> Number | None:
    """Student's half-width of the mean at 95 %; None where equal repeats say nothing of it."""
    if len(set(repeats)) == 1:
        return None
    from inspect_tui.calc import REGISTER

    outcome = REGISTER["repeat_readings"].function(values=repeats)["expanded"]
    return outcome if isinstance(outcome, (float, Fraction)) else None


def _with_uncertainty(value_text: str, spread_text: str, own: Unit) -> tuple[Fraction, Fraction]:
    """`31.7 ± 0.2 mm`: a unit at the end is that of both; `± 2 %` is a share of the value."""
    value_amount = parse_number.amount(value_text)
    share = _SHARE.fullmatch(spread_text)
    if share and own.quantity_kind != "percent":
        value = _own(value_text, own)
        return value, abs(value) * parse_number.amount(share["share"]).number / 100
    spread = parse_number.amount(spread_text)
    value_unit = value_amount.unit or spread.unit
    value = _own(f"{value_text} {'' if value_amount.unit else value_unit}", own)
    in_unit = units.unit(spread.unit or value_unit, units.light_of(own)) if value_unit else own
    if in_unit.dimension != own.dimension:
        raise BadInput(
            f'The uncertainty "{ellipsize(spread_text)}" is of another kind;', _such_as(own)
        )
    if spread.number < 0:
        raise BadInput("An uncertainty can't be negative;", "write it such as ± 0.2.")
    return value, spread.number * in_unit.factor / own.factor


def _count(entered: str) -> int:
    amount = parse_number.amount(entered)
    if amount.unit or amount.ratio or amount.number < 0 or amount.number.denominator != 1:
        raise BadInput(
            f'"{ellipsize(entered)}" is not a count;',
            "write a whole number, 0 or more, such as 12.",
        )
    if amount.number > 10**12:
        raise BadInput(f'"{ellipsize(entered)}" is too large for a count.')
    return int(amount.number)


def _check(entered: str, reading: Reading) -> bool:
    word = entered.lower()
    if word in _WORDS:
        return _WORDS[word]
    if word in _WANTED:
        equal = reading.limit.equal if reading.limit is not None else None
        wanted = equal if isinstance(equal, bool) else True
        return wanted if _WANTED[word] else not wanted
    raise BadInput(f'"{ellipsize(entered)}" is no answer here;', "write yes or no, ok or nok.")


def _choice(entered: str, options: tuple[str, ...]) -> str:
    """An option, its unambiguous beginning, or its place where no option begins so."""
    word = entered.casefold()
    for option in options:
        if option == entered:
            return option
    same = [option for option in options if option.casefold() == word]
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
    near = difflib.get_close_matches(entered[:60], options, n=1, cutoff=0.5)
    listed = f"choose from {', '.join(options[:12])}."
    if near:
        listed = f"did you mean {near[0]}? {listed[0].upper()}{listed[1:]}"
    raise BadInput(f'"{ellipsize(entered)}" is not one of the answers;', listed)


def _date(entered: str) -> str:
    if re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", entered):
        try:
            return date.fromisoformat(entered).isoformat()
        except ValueError:
            raise BadInput(f'"{entered}" is not in the calendar.') from None
    raise BadInput(
        f'"{ellipsize(entered)}" is not a date;', "write year-month-day, such as 2026-11-02."
    )


def _timer(entered: str) -> Fraction:
    clock = _CLOCK.fullmatch(entered) or _MINUTES_AND_SECONDS.fullmatch(entered)
    if clock:
        hours = clock.groupdict().get("h")
        seconds = Fraction(clock["s"].replace(",", "."))
        minutes = int(clock["m"])
        if seconds >= 60 or (hours and minutes >= 60):
            raise BadInput(
                f'"{entered}" is no time;', "minutes and seconds go up to 59, such as 1:30."
            )
        return int(hours or 0) * 3600 + minutes * 60 + seconds
    if ":" in entered:
        raise BadInput(
            f'"{ellipsize(entered)}" is no time;', "write minutes and seconds, such as 1:30."
        )
    seconds = _own(entered, units.unit("s"))
    if seconds < 0:
        raise BadInput(
            f'"{ellipsize(entered)}" is less than no time;', "write it such as 1:30 or 90 s."
        )
    return seconds
