"""What a person typed for an input of a calculation: for the `calc` command and the bench alike.

The one reader of typed numbers (`core/readings/typed_number`) does it; here is what an input of the
register wants.
"""

from __future__ import annotations

from inspect_tui.calc.registry import Input
from inspect_tui.core.quantities import dimensions, parse_number, units
from inspect_tui.core.quantities.typed_amount import such_as
from inspect_tui.core.quantities.units import Quantity, Unit
from inspect_tui.core.readings.typed_number import TypedNumber, read_number, value_alone
from inspect_tui.core.text.formatting import format_value
from inspect_tui.errors import BadInput

Argument = Quantity | str | bool | None | tuple[Quantity | str | bool, ...]
"""One input: a quantity, a word, a list of them; None where it is not given."""
MAX_IN_A_LIST = 100


def read_argument(entry: Input, text: str) -> Argument:
    """What a person wrote for one input where a value alone is taken.

    Raises:
        BadInput: one sentence, without the input's name.
    """
    if entry.unit is None:
        if not entry.many:
            return text
        return tuple(_number_or_word(part) for part in list_parts(entry, text))
    if entry.many:
        return tuple(value_alone(one, text) for one in typed_inputs(entry, text))
    return value_alone(typed_input(entry, text), text)


def typed_input(entry: Input, text: str, bare: Unit | None = None) -> TypedNumber:
    """What a person wrote for one input, with its uncertainty.

    Args:
        entry: The input; no word.
        text: What was written, sanitized.
        bare: The unit in which a number alone counts; without it, it is a plain number.

    Raises:
        BadInput: one sentence, without the input's name.
    """
    wanted = _wanted(entry)
    if bare is not None and wanted is not None and bare.dimension == wanted.dimension:
        wanted = bare
    alone = units.PLAIN if bare is None else bare
    try:
        typed = read_number(text, wanted, alone, fraction=entry.unit == "fraction")
    except BadInput as reason:
        if bare is None and wanted is not None and reason.hint == such_as(wanted):
            own = f'"12 {wanted.text}"'  # a coherent unit that nobody writes: m**3
            raise BadInput(reason.message, reason.hint.replace(own, f'"{_one(entry)}"')) from None
        raise
    _refuse_bare_percent(entry, typed)
    if entry.difference and typed.quantity.quantity_kind == "temperature":
        typed = read_number(text, units.unit("delta_degC"), alone)
    if typed.question:
        raise BadInput(f"{typed.question[0].upper()}{typed.question[1:]}.")
    return typed


def _one(entry: Input) -> str:
    """One value as its example writes it."""
    return entry.example.split(";")[-1].strip()


def _refuse_bare_percent(entry: Input, typed: TypedNumber) -> None:
    """A bare 50 for a share is fifty times the whole: 50 % is what is meant."""
    if entry.unit != "fraction" or entry.takes is None or typed.written:
        return
    share = typed.quantity.si
    if share > 1 and not entry.takes.holds(share) and entry.takes.holds(share / 100):
        number = format_value(share)
        raise BadInput(
            f"a bare {number} is {number} times the whole;", f"write {number} % if you mean that."
        )


def typed_inputs(entry: Input, text: str) -> tuple[TypedNumber, ...]:
    """The elements of a list; the last one's unit alone is that of all."""
    parts = list_parts(entry, text)
    each = [typed_input(entry, part) for part in parts]
    if each[-1].written and not any(one.written for one in each[:-1]):
        each = [typed_input(entry, part, each[-1].unit) for part in parts]
    return tuple(each)


def list_parts(entry: Input, text: str) -> list[str]:
    """The elements of a list as written: with semicolons or commas, with or without brackets."""
    listed = text.strip()
    if listed.startswith("[") and listed.endswith("]"):
        listed = listed[1:-1]
    parts = [part.strip() for part in listed.split(";" if ";" in listed else ",")]
    if len(parts) > MAX_IN_A_LIST:
        raise BadInput(f"these are too many ({len(parts)});", f"write at most {MAX_IN_A_LIST}.")
    if not all(parts):
        raise BadInput("one of the list is empty;", f"{example_of(entry)}.")
    return parts


def _wanted(entry: Input) -> Unit | None:
    """The unit in whose light an input's is read; None where any dimension will do."""
    if entry.unit is None or entry.unit == "fraction" or entry.unit.startswith("like:"):
        return None
    wanted = units.unit(entry.unit)
    if wanted.dimension == dimensions.TEMPERATURE:
        return units.unit("delta_degC" if entry.difference else "degC")
    return wanted


def _number_or_word(text: str) -> Quantity | str:
    """An element of a list of words or numbers: `240`, `6K`."""
    try:
        amount = parse_number.amount(text)
    except BadInput:
        # No number: it is a word, which this list takes as well.
        return text
    return Quantity(amount.number) if not amount.unit else text


def example_of(entry: Input) -> str:
    """How the input is written, for a message."""
    return f"such as '{entry.example}'" if entry.example else f"the {entry.meaning}"
