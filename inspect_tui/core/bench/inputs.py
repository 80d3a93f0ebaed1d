"""What a person wrote for one input of a calculation -> its value and stated uncertainty.

Everything that a reading takes is taken: `31.7 ± 0.2 mm`, `50 N ± 2 %`, `-20 ± 1 degC`, repeats
`31.6; 31.7; 31.5 mm` (their mean, with Student's half-width at 95 %). In a list each element may
state its own: `120 ± 2; 118 ± 2 psi`.

Who calls it: bench.
"""

from __future__ import annotations

from dataclasses import dataclass

from inspect_tui.calc.registry import Input
from inspect_tui.core.expressions import calculations
from inspect_tui.core.expressions.calculations import Argument
from inspect_tui.core.expressions.typed_inputs import typed_input, typed_inputs
from inspect_tui.core.quantities import parse_number, units
from inspect_tui.core.quantities.units import Number
from inspect_tui.core.readings import parse as readings
from inspect_tui.core.readings.typed_number import TypedNumber
from inspect_tui.core.text.sanitize import sanitize
from inspect_tui.errors import BadInput


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
        given = tidy if len(tidy) < len(text) else text
        return ParsedInput(
            calculations.arguments_from_text(name, [(entry.name, given)])[entry.name]
        )
    try:
        if entry.many:
            return _listed(typed_inputs(entry, tidy))
        unit = own_unit(entry) if bare else ""
        typed = typed_input(entry, tidy, units.unit(unit) if unit else None)
        return ParsedInput(
            typed.quantity,
            (typed.expanded,),
            typed.written or _shown(unit, typed),
            len(typed.repeats),
        )
    except BadInput as error:
        raise BadInput(f"{entry.name}: {error.message}", error.hint) from error


def _listed(each: tuple[TypedNumber, ...]) -> ParsedInput:
    """A list, each element maybe with its own uncertainty."""
    return ParsedInput(
        tuple(one.quantity for one in each),
        tuple(one.expanded for one in each),
        each[-1].written,
    )


def _shown(unit: str, typed: TypedNumber) -> str:
    """The unit in which a bare number was taken; none for a ratio."""
    return unit if unit and typed.unit.name == units.unit(unit).name else ""
