"""What a person wrote for one input of a calculation -> its value and stated uncertainty.

Everything that a reading takes is taken: `31.7 ± 0.2 mm`, `50 N ± 2 %`, `-20 ± 1 degC`, repeats
`31.6; 31.7; 31.5 mm` (their mean, with Student's half-width at 95 %). In a list each element may
state its own: `120 ± 2; 118 ± 2 psi`.

Who calls it: bench.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from inspect_tui.calc.registry import Input
from inspect_tui.core.expressions import calculations
from inspect_tui.core.expressions.calculations import Argument
from inspect_tui.core.quantities import parse_number, units
from inspect_tui.core.quantities.units import Number, Quantity
from inspect_tui.core.readings import parse as readings
from inspect_tui.core.text.sanitize import ellipsize, sanitize
from inspect_tui.errors import BadInput

_SHARE = re.compile(r"(?P<share>[0-9.,]{1,12}) ?(?:%|percent)")


@dataclass(frozen=True, slots=True)
class ParsedInput:
    """One input as it was understood."""

    argument: Argument
    spreads: tuple[Number | None, ...] = ()
    """Expanded uncertainty (k = 2) of each element, coherent SI; None where none is stated."""
    unit: str = ""
    """The unit that was written, the last one of a list; "" for none."""
    repeats: int = 0
    """Of how many repeats it is the mean; 0 for a single value."""


def own_unit(entry: Input) -> str:
    """The unit in which the bench takes a bare number for an input; "" where there is none.

    It is the unit of the register's example, where only one kind of quantity will do.
    """
    if entry.unit in (None, "", "fraction") or entry.many or str(entry.unit).startswith("like:"):
        return ""
    return parse_number.amount(entry.example).unit


def read_input(name: str, entry: Input, text: str, *, bare: bool = False) -> ParsedInput:
    """Reads one input's text.

    Args:
        name: The calculation.
        entry: The input.
        text: What was written.
        bare: Whether a number without a unit counts in the input's own unit.

    Raises:
        BadInput: one sentence that begins with the input's name.
    """
    tidy = sanitize(text[: readings.LONGEST_TEXT + 1])
    if entry.unit is None or not tidy or len(tidy) > readings.LONGEST_TEXT:
        return ParsedInput(_value(name, entry, tidy if len(tidy) < len(text) else text))
    try:
        unit = own_unit(entry) if bare else ""
        if entry.many:
            return _listed(name, entry, tidy)
        return _repeats(name, entry, tidy, unit) if ";" in tidy else _one(name, entry, tidy, unit)
    except BadInput as error:
        if error.message.startswith(f"{entry.name}: "):
            raise
        raise BadInput(f"{entry.name}: {error.message}", error.hint) from error


def _value(name: str, entry: Input, text: str) -> Argument:
    return calculations.arguments_from_text(name, [(entry.name, text)])[entry.name]


def _one(name: str, entry: Input, text: str, bare_unit: str) -> ParsedInput:
    """A single value, maybe with its uncertainty."""
    if len(text) > parse_number.LONGEST:
        return ParsedInput(_value(name, entry, text))
    value_text, spread_text = parse_number.with_spread(text)
    unit, with_unit = _united(entry, value_text, spread_text, bare_unit)
    value = _value(name, entry, with_unit)
    assert isinstance(value, Quantity)
    return ParsedInput(value, (_spread(entry, value, spread_text, unit),), unit)


def _repeats(name: str, entry: Input, text: str, bare_unit: str) -> ParsedInput:
    """Repeats of one quantity: their mean, and what their scatter says of it."""
    parts = [part.strip() for part in text.split(";")]
    if len(parts) > readings.MAX_REPEATS:
        raise BadInput(
            f"These are too many repeats ({len(parts)});", f"at most {readings.MAX_REPEATS}."
        )
    if not all(parts):
        raise BadInput("One of the repeats is empty;", "write them such as 31.6; 31.7; 31.5.")
    if any(map(_states_spread, parts)):
        raise BadInput("Repeats have their uncertainty from each other;", "write them without ±.")
    last = _unit_of(parts[-1]) or bare_unit
    values: list[Quantity] = []
    for part in parts:
        value = _value(name, entry, _united(entry, part, None, last)[1])
        assert isinstance(value, Quantity)
        values.append(value)
    first = values[0]
    mean = sum(value.si for value in values) / len(values)
    half_width: Number | None = None
    if len({value.si for value in values}) > 1:
        found = calculations.call("repeat_readings", {"values": tuple(values)})["expanded"]
        half_width = found.si if isinstance(found, Quantity) else None
    middle = Quantity(mean, first.dimension, first.quantity_kind)
    return ParsedInput(middle, (half_width,), last, len(values))


def _listed(name: str, entry: Input, text: str) -> ParsedInput:
    """A list, each element maybe with its own uncertainty; the last unit alone is that of all."""
    parts = text.split(";" if ";" in text else ",")
    if not any(map(_states_spread, parts)):
        listed = _value(name, entry, text)
        count = len(listed) if isinstance(listed, tuple) else 1
        return ParsedInput(listed, (None,) * count, _unit_of(parts[-1]))
    split = [parse_number.with_spread(part) for part in parts]
    found = [_united(entry, value, spread, "") for value, spread in split]
    last = found[-1][0]
    if not any(unit for unit, _ in found[:-1]):
        found = [_united(entry, value, spread, last) for value, spread in split]
    listed = _value(name, entry, "; ".join(with_unit for _, with_unit in found))
    assert isinstance(listed, tuple)
    spreads = tuple(
        _spread(entry, part, spread, unit) if isinstance(part, Quantity) else None
        for part, (_, spread), (unit, _) in zip(listed, split, found, strict=True)
    )
    return ParsedInput(listed, spreads, last)


def _unit_of(text: str) -> str:
    return parse_number.amount(text).unit


def _states_spread(text: str) -> bool:
    return parse_number.with_spread(text)[1] is not None


def _united(
    entry: Input, value_text: str, spread_text: str | None, bare_unit: str
) -> tuple[str, str]:
    """The value's unit and its text with it; a unit behind the uncertainty is that of both."""
    amount = parse_number.amount(value_text)
    if amount.unit:
        return amount.unit, value_text
    unit = bare_unit
    if spread_text and (entry.unit == "fraction" or not _SHARE.fullmatch(spread_text)):
        unit = _unit_of(spread_text) or bare_unit
    if amount.ratio or not unit:
        return "", value_text
    return unit, f"{value_text} {unit}"


def _spread(entry: Input, value: Quantity, text: str | None, value_unit: str) -> Number | None:
    """A written uncertainty in coherent SI; `± 2 %` is a share of the value."""
    if text is None:
        return None
    share = _SHARE.fullmatch(text)
    in_percent = value.quantity_kind == "percent" or entry.unit == "fraction"
    if share and not in_percent:
        if value.quantity_kind == "temperature":
            raise BadInput(f'"{ellipsize(text)}" of a temperature says nothing;', "write ± 1 degC.")
        part: Fraction = parse_number.amount(share["share"]).number / 100
        return abs(Fraction(value.si)) * part
    amount = parse_number.amount(text)
    if amount.number < 0:
        raise BadInput("An uncertainty can't be negative;", "write it such as ± 0.2.")
    wanted = units.Unit(
        "", "", value.dimension, units.PLAIN.factor, quantity_kind=value.quantity_kind
    )
    unit = units.unit(amount.unit or value_unit, units.light_of(wanted))
    if unit.dimension != value.dimension:
        raise BadInput(
            f'The uncertainty "{ellipsize(text)}" is of another kind than its value;',
            "write it such as ± 0.2 mm." if value.dimension else "write it such as ± 0.2.",
        )
    return amount.number * unit.factor
