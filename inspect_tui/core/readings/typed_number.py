"""What a person typed as a number -> a quantity with its uncertainty: for readings and bench alike.

`31.7 ± 0.2 mm`, `50 N ± 2 %`, `-20 ± 1 degC`, repeats `31.6; 31.7; 31.5 mm` (their mean, with
Student's half-width at 95 %). A unit at the end is that of the whole.

Pure; text of any kind ends in a number or in BadInput.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from inspect_tui.core.quantities import dimensions, parse_number, units
from inspect_tui.core.quantities.typed_amount import TypedAmount, such_as, typed_amount
from inspect_tui.core.quantities.units import Number, Quantity, Unit
from inspect_tui.core.text.sanitize import ellipsize
from inspect_tui.errors import BadInput

MAX_REPEATS = 50
_SHARE = r"(?P<share>[0-9.,]{1,12}) ?(?:%|percent)"


class TypedNumber(NamedTuple):
    """A typed number as it was understood."""

    quantity: Quantity
    """The value; of repeats their mean."""
    unit: Unit
    """In which it was typed; of repeats the last one's."""
    written: str = ""
    """The unit's text as typed; "" where a number stood alone."""
    expanded: Number | None = None
    """Uncertainty (k = 2), coherent SI; None where none is stated."""
    repeats: tuple[Quantity, ...] = ()
    question: str = ""
    """What was assumed and is to be asked; "" where nothing was."""


def read_number(
    text: str, wanted: Unit | None, bare: Unit | None = None, *, fraction: bool = False
) -> TypedNumber:
    """A number with all that may be typed beside it.

    Args:
        text: What was typed, sanitized.
        wanted: The unit of what is asked for; None where any dimension will do.
        bare: The unit in which a number alone counts; without it `wanted`, else a plain number.
        fraction: Whether a share is asked for as a plain number (0.5 and 50 % are the same).

    Raises:
        BadInput: one sentence that says what is wrong and what would be right.
    """
    alone = bare if bare is not None else wanted if wanted is not None else units.PLAIN
    if ";" in text:
        return _repeats(text, wanted, alone)
    value_text, spread_text = parse_number.with_spread(text)
    amount = typed_amount(value_text, wanted, alone, fraction=fraction)
    if spread_text is None:
        return _typed(value_text, amount, wanted)
    share = _share(spread_text)
    if not amount.written and (share is None or fraction):
        behind = typed_amount(spread_text, wanted, alone)
        if behind.written:  # the unit at the end is that of both
            amount = typed_amount(value_text, wanted, behind.unit)
            amount = amount._replace(written=behind.written)
    typed = _typed(value_text, amount, wanted)
    in_percent = fraction or "percent" in (amount.unit.quantity_kind, alone.quantity_kind)
    if share is not None and not in_percent:
        expanded = _share_of(typed.quantity, share, spread_text)
    else:
        expanded = _spread(spread_text, typed)
    return TypedNumber(typed.quantity, typed.unit, typed.written, expanded, question=typed.question)


def read_value(text: str, wanted: Unit) -> Quantity:
    """A value alone, for what takes no uncertainty and asks no questions: the air, a figure.

    Raises:
        BadInput: as `read_number`, and for repeats, an uncertainty, or what would be questioned.
    """
    return value_alone(read_number(text, wanted), text)


def value_alone(typed: TypedNumber, text: str) -> Quantity:
    """The value of a typed number that states nothing else. Raises BadInput where it does."""
    if typed.question:
        raise BadInput(f"{typed.question[0].upper()}{typed.question[1:]}.")
    if typed.repeats or typed.expanded is not None:
        raise BadInput(f'"{ellipsize(text)}" is more than a value;', "write the value alone here.")
    return typed.quantity


def split_repeats(text: str) -> list[str]:
    """The parts of `31.6; 31.7; 31.5`. Raises BadInput for too many or an empty one."""
    parts = [part.strip() for part in text.split(";")]
    if len(parts) > MAX_REPEATS:
        raise BadInput(
            f"These are too many repeats ({len(parts)});", f"write at most {MAX_REPEATS}."
        )
    if not all(parts):
        raise BadInput("One of the repeats is empty;", "write them such as 31.6; 31.7; 31.5.")
    return parts


def half_width(values: Sequence[Fraction]) -> Number | None:
    """Student's half-width of the mean at 95 %; None where equal repeats say nothing of it."""
    if len(set(values)) < 2:
        return None
    from inspect_tui.calc import REGISTER

    outcome = REGISTER["repeat_readings"].function(values=tuple(values))["expanded"]
    return outcome if isinstance(outcome, (float, Fraction)) else None


def _repeats(text: str, wanted: Unit | None, alone: Unit) -> TypedNumber:
    parts = split_repeats(text)
    if any(parse_number.with_spread(part)[1] is not None for part in parts):
        raise BadInput("Repeats have their uncertainty from each other;", "write them without ±.")
    amounts = [typed_amount(part, wanted, alone) for part in parts]
    last = amounts[-1]
    if last.written and not any(amount.written for amount in amounts[:-1]):
        amounts = [*(typed_amount(part, wanted, last.unit) for part in parts[:-1]), last]
    each = [_typed(part, amount, wanted) for part, amount in zip(parts, amounts, strict=True)]
    first = each[0].quantity
    for part, one in zip(parts, each, strict=True):
        if one.quantity.dimension != first.dimension:
            raise BadInput(f'"{ellipsize(part)}" is of another kind than the repeats before it.')
    sizes = [Fraction(one.quantity.si) for one in each]
    mean = Quantity(sum(sizes, Fraction(0)) / len(sizes), first.dimension, first.quantity_kind)
    question = next((one.question for one in each if one.question), "")
    repeats = tuple(one.quantity for one in each)
    return TypedNumber(mean, last.unit, last.written, half_width(sizes), repeats, question)


def _typed(text: str, amount: TypedAmount, wanted: Unit | None) -> TypedNumber:
    """An amount as a quantity of the dimension that is wanted."""
    unit = amount.unit
    found = units.of(amount.number, unit)
    kelvin = wanted is not None and wanted.quantity_kind == "temperature" and unit.name == "kelvin"
    if found.si < 0 and (unit.quantity_kind == "temperature" or kelvin):
        raise BadInput(f'"{ellipsize(text)}" is below absolute zero (-273.15 °C).')
    if wanted is not None and amount.written and not _belongs(unit, wanted):
        is_now = dimensions.with_article(unit.dimension, unit.quantity_kind)
        raise BadInput(f'"{ellipsize(text)}" is {is_now};', such_as(wanted))
    return TypedNumber(found, unit, amount.written, question=amount.question)


def _belongs(unit: Unit, wanted: Unit) -> bool:
    kinds = {unit.quantity_kind, wanted.quantity_kind}
    if kinds == {"temperature", "difference"}:
        return False
    if unit.quantity_kind == "percent":
        return wanted.quantity_kind == "percent"
    return unit.dimension == wanted.dimension


def _share(spread_text: str) -> Fraction | None:
    """The number of `2 %`, else None."""
    found = re.fullmatch(_SHARE, spread_text)
    return parse_number.amount(found["share"]).number if found else None


def _share_of(value: Quantity, share: Fraction, spread_text: str) -> Number:
    if value.quantity_kind == "temperature":
        raise BadInput(
            f'"{ellipsize(spread_text)}" of a temperature says nothing;', "write ± 1 degC."
        )
    return abs(Fraction(value.si)) * share / 100


def _spread(spread_text: str, typed: TypedNumber) -> Number:
    """A written uncertainty, coherent SI; without a unit it is in the value's."""
    value = typed.quantity
    amount = typed_amount(
        spread_text,
        units.Unit("", "", value.dimension, Fraction(1), quantity_kind=value.quantity_kind),
        typed.unit,
    )
    if amount.number < 0:
        raise BadInput("An uncertainty can't be negative;", "write it such as ± 0.2.")
    if amount.unit.dimension != value.dimension:
        raise BadInput(
            f'The uncertainty "{ellipsize(spread_text)}" is of another kind than its value;',
            "write it such as ± 0.2 mm." if value.dimension else "write it such as ± 0.2.",
        )
    return amount.number * amount.unit.factor
