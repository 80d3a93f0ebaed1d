"""Typed text -> value, or a reason in one sentence; and a value -> the text that shows it.

Pure. `read` never raises anything but BadInput, whatever is typed; it takes bounded time.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from inspect_tui.core.model.checklist import Reading
from inspect_tui.core.quantities import dimensions, parse_number, units
from inspect_tui.core.quantities.typed_amount import refuse_thousands, such_as
from inspect_tui.core.quantities.units import Number, Quantity, Unit
from inspect_tui.core.readings import answers, plausibility
from inspect_tui.core.readings.typed_number import MAX_REPEATS, read_number, read_value
from inspect_tui.core.text.formatting import format_value
from inspect_tui.core.text.sanitize import ellipsize, sanitize
from inspect_tui.errors import BadInput

__all__ = ["MAX_REPEATS", "ParsedReading", "Value", "probable_slip", "quantity", "read"]

Value = Fraction | float | int | bool | str
"""number, count, timer: a number in the reading's own unit; check: bool; choice, text, date,
photo: str."""

LONGEST_TEXT = 2000
LARGEST = 10**15
"""No reading is as large, in any unit; whole numbers below it are kept exactly by any reader."""
_NEVER_NEGATIVE = {
    dimensions.MASS: "mass", dimensions.VOLUME: "volume", dimensions.TIME: "time",
    dimensions.RESISTANCE: "resistance", dimensions.ROTATION: "speed of rotation",
}  # fmt: skip
_DISTANCES = ("kilometer", "mile")
"""Units of an odometer."""


@dataclass(frozen=True, slots=True)
class ParsedReading:
    """What was understood of a typed entry."""

    entered: str
    """What was typed, stripped of surrounding space and control characters."""
    value: Value | None
    """In the reading's own unit; None where the answer is that nobody can tell."""
    unit: str
    """The reading's own unit as written in the checklist; "" where there is none."""
    uncertainty: Number | None = None
    """Expanded (k = 2), in the reading's own unit; from repeats `a; b; c` (Student) or a typed
    `31.7 ± 0.2`; None where the entry itself states none."""
    repeats: tuple[Number, ...] = ()
    written: str = ""
    """pint's name of the unit that was typed; "" for a bare number."""
    question: str = ""
    """What was assumed and is to be asked; "" where nothing was."""


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
    if answers.is_unknown(entered, reading):
        return ParsedReading(entered, None, "s" if reading.kind == "timer" else reading.unit)
    match reading.kind:
        case "number":
            return _number(entered, reading)
        case "count":
            return ParsedReading(entered, answers.count(entered, reading.label), reading.unit)
        case "check":
            return ParsedReading(entered, answers.check(entered, reading), "")
        case "choice":
            option = answers.choice(entered, reading.options)
            asked = f"'{entered}' was taken as '{option}'; is that right?"
            asked = "" if answers.is_option(entered, option) else asked
            return ParsedReading(entered, option, "", question=asked)
        case "date":
            return ParsedReading(entered, answers.day(entered), "")
        case "timer":
            return ParsedReading(entered, answers.timer(entered), "s")
        case "text" | "photo":
            return ParsedReading(entered, entered, "")


def quantity(text: str, wanted: Unit | None = None, *, bare: bool = True) -> Quantity:
    """A quantity as a file writes it: `12 mm`, `1-1/4 in`, `6000 ft`, `-20 C`.

    A unit's short name is read in the light of `wanted`'s dimension. A bare number counts in
    `wanted` when `bare`, else it is a plain number. Raises BadInput, also where the dimension is
    not the wanted one (a percentage passes: `5 %` of something is said of any dimension).
    """
    return _quantity(text, wanted, bare)


# What can't be read is not kept, so that only short texts are. The limits and figures of one list
# and sheet are a few hundred, many of them the same.
@lru_cache(maxsize=2048)
def _quantity(text: str, wanted: Unit | None, bare: bool) -> Quantity:
    amount = parse_number.amount(text)
    if amount.ratio and wanted is not None and wanted.dimension:
        raise BadInput(f'"{ellipsize(text)}" is a ratio;', such_as(wanted))
    if not amount.unit:
        in_unit = wanted if bare and wanted is not None else units.PLAIN
        return _physical(text, units.of(amount.number, in_unit))
    in_unit = units.unit(amount.unit, units.light_of(wanted))
    found = _physical(text, units.of(amount.number, in_unit), wanted)
    if wanted is None or in_unit.quantity_kind == "percent":
        return found
    if in_unit.dimension != wanted.dimension or _natures_clash(in_unit, wanted):
        is_now = dimensions.with_article(found.dimension, found.quantity_kind)
        raise BadInput(f'"{ellipsize(text)}" is {is_now};', such_as(wanted))
    return found


def as_a_file_writes_it(text: str, wanted: Unit) -> str:
    """A typed number for a file, which is read strictly: `10 IN` as `10 in`, `half` as `0.5`.

    Args:
        text: As typed.
        wanted: The unit of what is asked for.

    Returns:
        The text itself where a file's reader takes it for the same.

    Raises:
        BadInput: as `read_number`, and for an uncertainty, repeats, or what would be questioned.
    """
    value = read_value(text, wanted)
    try:
        if quantity(text, wanted) == value:
            return text
    except BadInput:
        # What only the reader of typed text understands is written out below.
        pass
    number = Fraction(units.number_in(value, wanted))
    places = next((n for n in range(25) if 10**n % number.denominator == 0), None)
    if places is None:
        return f"{number} {wanted.text}".strip()
    written = f"{Decimal(number.numerator) / Decimal(number.denominator):f}"
    return f"{written} {wanted.text}".strip()


def probable_slip(
    typed: ParsedReading, reading: Reading, low: Number | None, high: Number | None
) -> str | None:
    """A question, if the value is probably a slip of the unit or of the decimal point.

    `low` and `high` are the limits (own unit); the expected zone is around them. Asked when the
    value lies well outside and 25.4, 10 (or a power of ten) or 6.895 times more or less would
    lie inside. None where nothing is odd.
    """
    value = typed.value
    if typed.question:
        return typed.question
    if reading.kind != "number" or value is None or isinstance(value, (str, bool)):
        return None
    own = units.unit(reading.unit)
    return plausibility.as_written(typed.entered, value, own, low, high) or plausibility.question(
        value, own, low, high, typed.written
    )


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


def _number(entered: str, reading: Reading) -> ParsedReading:
    own = units.unit(reading.unit)
    if reading.condition == "altitude":
        refuse_thousands(entered)
    typed = read_number(entered, own)
    value = _own(entered, typed.quantity, own)
    repeats = tuple(_own(entered, each, own) for each in typed.repeats)
    expanded = typed.expanded
    if expanded is not None:
        expanded = expanded / own.factor
    written = typed.unit.name if typed.written else ""
    question = typed.question
    if own.quantity_kind == "percent" and not written and 0 < value < 1:
        question = (
            f"{format_value(value)} counts as {format_value(value)} %; was it "
            f"{format_value(100 * value)} %? Then write {format_value(100 * value)} %"
        )
    return ParsedReading(entered, value, reading.unit, expanded, repeats, written, question)


def _own(entered: str, found: Quantity, own: Unit) -> Fraction:
    """A quantity in the reading's own unit, exact."""
    number = Fraction(units.number_in(found, own))
    if abs(number) >= LARGEST:
        raise BadInput(f'"{ellipsize(entered)}" is too large for a measured value.')
    if number < 0 and own.quantity_kind == "":
        thing = _NEVER_NEGATIVE.get(own.dimension, "")
        if own.name in _DISTANCES:
            thing = "distance"
        if thing:
            raise BadInput(
                f'"{ellipsize(entered)}" is less than nothing;', f"a {thing} is 0 or more."
            )
    return number
