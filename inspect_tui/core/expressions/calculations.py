"""The bridge between the register of calculations and quantities.

In: quantities, words, lists of them, or the text that a person wrote for each input. Out: the
results as quantities and words. Here is where dimensions are checked, so that a calculation only
ever sees plain numbers in its own units; what it refuses comes out as BadInput.

Who calls it: expression (formulas in the TOML), the `calc` command, the app's bench.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction

from inspect_tui.calc.input_checks import OutOfRange
from inspect_tui.calc.registry import Calculation, Input, Result
from inspect_tui.calc.registry import Outcome as Bare
from inspect_tui.core.expressions.signatures import in_peoples_unit, kind_of, slope_of
from inspect_tui.core.expressions.typed_inputs import Argument as Argument
from inspect_tui.core.expressions.typed_inputs import example_of, read_argument
from inspect_tui.core.quantities import dimensions, units
from inspect_tui.core.quantities.units import Quantity
from inspect_tui.core.readings import parse as readings
from inspect_tui.core.text.formatting import format_value
from inspect_tui.core.text.sanitize import ellipsize, sanitize
from inspect_tui.core.text.suggestions import suggest
from inspect_tui.errors import BadInput

END_DIGITS = 3
"""Figures in which the end of a range is said: it is a round number in another unit."""

Outcome = Quantity | str | bool | None | tuple[object, ...]
"""One result; None for "none". A list holds quantities, words, or what the calculation lists."""


def names() -> list[str]:
    """The registered calculations, in the register's order."""
    return list(_register())


def calculation(name: str) -> Calculation:
    """The calculation of that name. Raises BadInput with the nearest known."""
    found = _register().get(name)
    if found is None:
        raise BadInput(
            f'There is no calculation "{ellipsize(name)}";', _nearest(name, list(_register()))
        )
    return found


def resolve(function_name: str) -> tuple[Calculation, str] | None:
    """What `NAME(...)` or `NAME_KEY(...)` in an expression calls; None if it is neither.

    `NAME` is the first result; a registered name comes before a shorter name with a key.
    """
    register = _register()
    if function_name in register:
        found = register[function_name]
        return found, found.results[0].key
    for name in sorted(register, key=len, reverse=True):
        if function_name.startswith(f"{name}_"):
            key = function_name[len(name) + 1 :]
            if any(result.key == key for result in register[name].results):
                return register[name], key
    return None


def call(name: str, arguments: Mapping[str, Argument]) -> dict[str, Outcome]:
    """Works out a calculation.

    Args:
        name: As registered.
        arguments: By input; a missing one or None counts as not given.

    Raises:
        BadInput: an unknown or missing input, a wrong dimension, or what the calculation refuses.
    """
    found = calculation(name)
    known = [entry.name for entry in found.inputs]
    for key in arguments:
        if key not in known:
            raise BadInput(f'{name} has no input "{ellipsize(key)}";', _nearest(key, known))
    bare, groups = bare_arguments(found, arguments)
    outcome = run(found, bare, groups)
    return {result.key: quantified(result, outcome[result.key], groups) for result in found.results}


def run(
    found: Calculation, bare: Mapping[str, object], groups: Mapping[str, Quantity]
) -> Mapping[str, Bare]:
    """What the bare function gives for inputs in its own units.

    Raises:
        BadInput: what it refuses, in one sentence with the units that people write.
    """
    try:
        return found.function(**bare)
    except OutOfRange as refusal:
        raise BadInput(f"{_in_words(found, refusal, groups)}.") from refusal
    except ValueError as refusal:
        raise BadInput(str(refusal)) from refusal
    except (ArithmeticError, RecursionError) as overrun:
        raise BadInput(f"{found.name} can't be worked out for these figures.") from overrun


def _in_words(found: Calculation, refusal: OutOfRange, groups: Mapping[str, Quantity]) -> str:
    """A refusal in the units that people write; the ends of a range in three figures, unless that
    hides how they differ from what was got."""
    whole = [in_peoples_unit(found, name, number, groups) for name, number in refusal.amounts]
    if not refusal.sentence.endswith("got {}"):
        return refusal.sentence.format(*whole)
    short = [in_peoples_unit(found, *each, groups, END_DIGITS) for each in refusal.amounts]
    ends = [
        long if brief == short[-1] else brief
        for long, brief in zip(whole[:-1], short[:-1], strict=True)
    ]
    return refusal.sentence.format(*ends, whole[-1])


def bare_arguments(
    found: Calculation, arguments: Mapping[str, Argument]
) -> tuple[dict[str, object], dict[str, Quantity]]:
    """What the function gets, each input in its own unit; and what sets each group's dimension.

    Raises:
        BadInput: a missing input or a wrong dimension.
    """
    groups: dict[str, Quantity] = {}
    bare: dict[str, object] = {}
    for entry in found.inputs:
        value = arguments.get(entry.name)
        if value is None:
            if not entry.optional:
                raise BadInput(f"{found.name} needs {entry.name}, {example_of(entry)}.")
            if entry.default is not None:
                bare[entry.name] = entry.default
            continue
        bare[entry.name] = _bare(entry, value, groups)
    return bare, groups


def from_text(
    name: str, written: Mapping[str, str] | Iterable[tuple[str, str]]
) -> dict[str, Outcome]:
    """Works out a calculation from what a person wrote for each input, as `calc` takes it.

    Raises:
        BadInput: as `call`, and for an input that is given twice, is empty or can't be read.
    """
    return call(name, arguments_from_text(name, written))


def arguments_from_text(
    name: str, written: Mapping[str, str] | Iterable[tuple[str, str]]
) -> dict[str, Argument]:
    """Reads each input's text: `span=1 m`, `values=240; 230; 240` or `240,230,240`, words.

    A unit behind the last element of a list alone is that of all.
    """
    found = calculation(name)
    entries = {entry.name: entry for entry in found.inputs}
    arguments: dict[str, Argument] = {}
    for key, text in written.items() if isinstance(written, Mapping) else written:
        entry = entries.get(key)
        if entry is None:
            raise BadInput(f'{name} has no input "{ellipsize(key)}";', _nearest(key, list(entries)))
        if key in arguments:
            raise BadInput(f"{key} is given twice;", "give it once.")
        tidy = sanitize(text[: readings.LONGEST_TEXT + 1])
        if not tidy:
            raise BadInput(f"{key} is empty;", f"{example_of(entry)}.")
        if len(tidy) > readings.LONGEST_TEXT:
            raise BadInput(f"{key} is too long.")
        try:
            arguments[key] = read_argument(entry, tidy)
        except BadInput as reason:
            raise BadInput(f"{key}: {reason.message}", reason.hint) from reason
    return arguments


def _register() -> Mapping[str, Calculation]:
    # Late, so that reading a checklist without formulas imports no calculation.
    from inspect_tui.calc import REGISTER

    return REGISTER


def _nearest(word: str, known: list[str]) -> str:
    return suggest(word, known, 0.5) or f"known are {', '.join(known)}."


def _bare(entry: Input, value: Argument, groups: dict[str, Quantity]) -> object:
    """The number, word or list that the function gets for one input."""
    if entry.many:
        elements = value if isinstance(value, tuple) else (value,)
        if not elements:
            raise BadInput(f"{entry.name} is an empty list;", f"{example_of(entry)}.")
        return tuple(_one(entry, element, groups) for element in elements)
    if isinstance(value, tuple):
        raise BadInput(f"{entry.name} takes one value, not a list;", f"{example_of(entry)}.")
    return _one(entry, value, groups)


def _one(entry: Input, value: Quantity | str | bool | None, groups: dict[str, Quantity]) -> object:
    if entry.unit is None:
        return _word(entry, value, groups)
    if not isinstance(value, Quantity):
        raise BadInput(f"{entry.name} is a number, not {_said(value)};", f"{example_of(entry)}.")
    if entry.unit == "fraction":
        if value.dimension:
            raise _other_kind(entry, value, "a plain number or a percentage")
        return value.si
    if entry.unit.startswith("like:"):
        _join_group(entry, value, entry.unit, groups)
        return value.si
    wanted = units.unit(entry.unit)
    quantity_kind = kind_of(wanted, entry.difference)
    clash = {value.quantity_kind, quantity_kind} == {"temperature", "difference"} or (
        not value.dimension and (value.quantity_kind == "percent") != (quantity_kind == "percent")
    )
    if value.dimension != wanted.dimension or clash:
        raise _other_kind(entry, value, dimensions.with_article(wanted.dimension, quantity_kind))
    return units.number_in(value, wanted)


def _said(value: object) -> str:
    return f'"{ellipsize(value)}"' if isinstance(value, str) else "yes or no"


def _other_kind(entry: Input, value: Quantity, wanted: str) -> BadInput:
    if not value.dimension and value.quantity_kind != "percent":
        return BadInput(f"{entry.name} needs a unit,", f"{example_of(entry)}.")
    is_now = dimensions.with_article(value.dimension, value.quantity_kind)
    return BadInput(f"{entry.name} is {is_now};", f"{wanted} is wanted, {example_of(entry)}.")


def _word(entry: Input, value: Quantity | str | bool | None, groups: dict[str, Quantity]) -> object:
    """A word, one of the choices where there are some; in a list also a number."""
    if isinstance(value, Quantity) and entry.choices and not value.dimension:
        # A number that is written as one of the words is that word: class 8.8, chain 40.
        word = format_value(value.si)
        value = word if word in entry.choices else value
    if isinstance(value, Quantity):
        if not entry.many:
            raise BadInput(f"{entry.name} is a word, not a number;", f"{example_of(entry)}.")
        _join_group(entry, value, "", groups)
        return value.si
    if not entry.choices:
        return value
    same = [choice for choice in entry.choices if str(value).casefold() == choice.casefold()]
    if not same:
        raise BadInput(
            f"{entry.name} can't be {_said(value)};", f"choose from {', '.join(entry.choices)}."
        )
    return same[0]


def _join_group(entry: Input, value: Quantity, group: str, groups: dict[str, Quantity]) -> None:
    """Holds a value against the others of its group; the first one sets the dimension."""
    if entry.difference:
        value = Quantity(
            value.si,
            value.dimension,
            "" if value.quantity_kind == "difference" else value.quantity_kind,
        )
        if value.quantity_kind == "temperature":
            raise BadInput(
                f"{entry.name} is a temperature;", "a difference of temperatures is wanted."
            )
    first = groups.setdefault(group, value)
    percents = {first.quantity_kind == "percent", value.quantity_kind == "percent"}
    clash = {first.quantity_kind, value.quantity_kind} == {"temperature", "difference"} or len(
        percents
    ) > 1
    if first.dimension != value.dimension or clash:
        is_now = dimensions.with_article(value.dimension, value.quantity_kind)
        wanted = dimensions.with_article(first.dimension, first.quantity_kind)
        raise BadInput(f"{entry.name} is {is_now};", f"{wanted} is wanted, like the values before.")
    if value.quantity_kind and not first.quantity_kind and not entry.difference:
        groups[group] = value


def quantified(result: Result, value: Bare, groups: Mapping[str, Quantity]) -> Outcome:
    """A result as a quantity, where it is a number with a unit."""
    if isinstance(value, tuple):
        if result.unit is None:
            return value
        return tuple(
            quantified(result, element, groups)
            if isinstance(element, (int, float, Fraction))
            else element
            for element in value
        )
    if value is None or isinstance(value, (str, bool)):
        return value
    number = value if isinstance(value, float) else Fraction(value)
    unit = result.unit
    if unit is None or unit in ("", "fraction"):
        return Quantity(number)
    if unit.startswith("like:") and "/" in unit:
        above, below = (groups[group] for group in unit.split("/"))
        return Quantity(number, *slope_of(above, below))
    if unit.startswith("like:"):
        like = groups[unit]
        difference = result.difference and like.dimension == dimensions.TEMPERATURE
        return Quantity(number, like.dimension, "difference" if difference else like.quantity_kind)
    known = units.unit(unit)
    return Quantity(
        number * known.factor + known.offset,
        known.dimension,
        kind_of(known, result.difference),
    )
