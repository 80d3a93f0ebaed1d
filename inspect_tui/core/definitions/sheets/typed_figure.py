"""What a person typed for a figure -> what stands in the sheet.

`31,7 mm`, `240`, `1-1/4 in`, `6K`; one for each cylinder as `[240, 230, 240]`, `240, 230, 240` or
`240; 230; 240`. A number without a unit is taken in the unit that manuals give the figure in.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from inspect_tui.core.definitions.checks.figures_used import compared_with, is_word
from inspect_tui.core.definitions.of_log import Compiled
from inspect_tui.core.definitions.sheets.typed_fact import OF_FACTS, with_fact
from inspect_tui.core.definitions.spec_values import with_figure, written
from inspect_tui.core.model.checklist import Derived, Reading
from inspect_tui.core.model.figures import FigureDescription
from inspect_tui.core.model.machine import UNKNOWN, Figure, Machine
from inspect_tui.core.quantities import parse_number, units
from inspect_tui.core.quantities.units import Unit
from inspect_tui.core.readings.parse import as_a_file_writes_it, quantity
from inspect_tui.core.text.formatting import pluralize
from inspect_tui.core.text.sanitize import ellipsize, sanitize
from inspect_tui.errors import BadInput

Scalar = int | float | str
LONGEST = 200


@dataclass(frozen=True, slots=True)
class TypedFigure:
    """A figure as the sheet takes it."""

    value: Scalar | tuple[Scalar, ...]
    words: bool
    """It is a word, or a list of words, for `[spec.text]`."""


@dataclass(frozen=True, slots=True)
class Expected:
    """What is known of a figure before it is typed."""

    unit: str = ""
    """In which manuals give it, and lists hold it against; "" where none is known."""
    words: bool | None = None
    """Whether it is a word; None where nobody says."""
    alone: bool = False
    """Whether it is one value, not one for each cylinder: a comma in it is a decimal comma."""


def expected_of(
    name: str,
    machine: Machine,
    about: FigureDescription | None,
    held_against: Reading | Derived | None,
) -> Expected:
    """What a figure has to be: as the sheet has it, as manuals give it, as a list asks for it."""
    if name in machine.spec_text:
        return Expected(words=True)
    old = machine.spec.get(name)
    alone = about is not None and about.per != "cylinder" and not isinstance(old, tuple)
    first = next(
        (one for one in (old if isinstance(old, tuple) else (old,)) if one not in (None, UNKNOWN)),
        None,
    )
    if isinstance(first, str):
        return Expected(parse_number.amount(first).unit, words=False, alone=alone)
    if first is not None:
        return Expected(words=False, alone=alone)
    if about is not None and about.unit:
        return Expected(about.unit, words=False, alone=alone)
    if held_against is None:
        return Expected(alone=alone)
    unit = held_against.unit
    if isinstance(held_against, Reading) and held_against.kind == "timer":
        unit = "s"
    return Expected(unit, words=is_word(held_against), alone=alone)


def typed_figure(
    name: str, text: str, machine: Machine, expected: Expected, cylinder: str | None = None
) -> TypedFigure:
    """A typed figure.

    Args:
        name: As the sheet writes it.
        text: As typed.
        machine: As its sheet has it.
        expected: What the figure has to be.
        cylinder: Whose it is; None for all.

    Raises:
        BadInput: it can't be one, in words.
    """
    plain = sanitize(text)
    if not plain:
        raise BadInput(f"There is no value for {ellipsize(name)};", "write one such as '12 mm'.")
    if len(plain) > LONGEST:
        raise BadInput(f"The value of {ellipsize(name)} is too long; at most {LONGEST} signs.")
    if cylinder is not None:
        expected = replace(expected, alone=True)
    parts = _parts(name, plain, len(machine.cylinders), expected)
    if parts is None:
        value, words = _single(name, plain, expected)
        if value == UNKNOWN and cylinder is None:
            raise BadInput(f"'?' is no figure; leave {ellipsize(name)} out until it is known.")
        return TypedFigure(value, words)
    if cylinder is not None:
        raise BadInput(
            f"{ellipsize(name)}@{ellipsize(cylinder)} is one cylinder's;", "write one value."
        )
    if len(parts) != len(machine.cylinders):
        raise BadInput(
            f"{ellipsize(name)} has {pluralize(len(parts), 'value')}, and the machine "
            f"{pluralize(len(machine.cylinders), 'cylinder')};", "write one for each.",
        )  # fmt: skip
    found = [_single(name, part, expected) for part in parts]
    if any(words for value, words in found if value != UNKNOWN):
        return TypedFigure(tuple(parts), True)
    return TypedFigure(tuple(value for value, _ in found), False)


def with_figures(
    machine: Machine,
    compiled: Compiled,
    given: Iterable[tuple[str, Figure, str | None]],
) -> Machine:
    """The machine with the figures and facts of a session's `sheet` entries, the later ones last.

    Args:
        machine: As the sheet had it when the session was opened.
        compiled: The session's list, which says what is a word.
        given: (name, value, cylinder or None) of each entry.
    """
    for name, value, cylinder in given:
        if name.startswith(OF_FACTS):
            if not isinstance(value, tuple):
                machine = with_fact(machine, name.removeprefix(OF_FACTS), value)
            continue
        held_against = compared_with(compiled, written(name))
        words = expected_of(name, machine, None, held_against).words
        machine = with_figure(machine, name, value, cylinder, words=words)
    return machine


def _parts(name: str, text: str, cylinders: int, expected: Expected) -> list[str] | None:
    """The values of a list; None where the text is one value."""
    inner = text[1:-1] if text.startswith("[") and text.endswith("]") else ""
    if inner:
        return [part.strip().strip("\"'") for part in re.split(r"[;,]", inner)]
    if ";" in text:
        return [part.strip() for part in text.split(";")]
    parts = [part.strip() for part in text.split(",")]
    if len(parts) < 2 or expected.words:
        return parts if len(parts) == cylinders and len(parts) > 1 else None
    # `28,5 mm` is a decimal comma, and so is `240,230`; a blank behind the comma, or a second
    # comma, makes a list.
    if len(parts) > 2 or ", " in text:
        return parts
    both = all(re.fullmatch(r"[0-9.]+", part) for part in parts)
    if both and cylinders == 2 and not expected.alone:
        raise BadInput(
            f"'{ellipsize(text)}' for {ellipsize(name)} is one number, or two;",
            f"write {parts[0]}; {parts[1]} or {parts[0]}.{parts[1]}.",
        )
    return None


def _single(name: str, text: str, expected: Expected) -> tuple[Scalar, bool]:
    """One value, and whether it is a word."""
    if text == UNKNOWN:
        return UNKNOWN, False
    if expected.words:
        return text, True
    unit = units.unit(expected.unit) if expected.unit else None
    try:
        if expected.words is False and (unit or not parse_number.amount(text).unit):
            text = as_a_file_writes_it(text, unit or units.PLAIN)
        amount = parse_number.amount(text)
        found = quantity(text, unit) if unit else quantity(text)
    except BadInput as error:
        if expected.words is None:
            return text, True
        raise BadInput(f"{ellipsize(name)}: {error.message}", error.hint) from None
    if unit is not None and not _fits(found.dimension, found.quantity_kind, unit):
        raise BadInput(
            f"{ellipsize(name)} is given in {expected.unit}, and '{ellipsize(text)}' is none;",
            f"write one such as '12 {expected.unit}'.",
        )
    if expected.words is False and not expected.unit and found.dimension:
        raise BadInput(
            f"{ellipsize(name)} is a plain number, and '{ellipsize(text)}' has a unit;",
            "leave the unit out.",
        )
    if amount.unit or amount.ratio:
        return text, False
    if unit is not None:
        return f"{text} {expected.unit}", False
    return _number(amount.number, text), False


def _fits(dimension: Sequence[object], kind: str, unit: Unit) -> bool:
    return tuple(dimension) == tuple(unit.dimension) and kind == unit.quantity_kind


def _number(number: Fraction, text: str) -> Scalar:
    if number.denominator == 1 and abs(number) < 10**15:
        return int(number)
    return float(number) if Fraction(repr(float(number))) == number else text


def amount_of(value: Figure) -> tuple[int | float | str, str]:
    """One value of a sheet as a number and its unit's text; a word as it is."""
    if not isinstance(value, str):
        return (value, "") if isinstance(value, int | float) else (str(value), "")
    try:
        found = parse_number.amount(value)
        quantity(value)
    except BadInput:
        return value, ""
    number = found.number
    return (int(number) if number.denominator == 1 else float(number)), found.unit
