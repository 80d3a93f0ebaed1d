"""The bench: a calculation on its own, worked out from what a person wrote for each input.

A field takes what a reading takes: `31.7 mm`, `1-1/4 in`, `31.7 ± 0.2 mm`, `50 N ± 2 %`, repeats
`31.6; 31.7; 31.5 mm`. Where an uncertainty is stated, each result has its own.

Uncertainties are expanded ones (k = 2) and go through as those of a session's readings do
(`result_uncertainty`). Where the result steps or turns within the stated uncertainty, `±` would
mislead: then the 95 % interval is given instead.

Who calls it: the `calc` command and the app's bench.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from inspect_tui.calc.registry import Calculation, Input, Result
from inspect_tui.core.bench.inputs import ParsedInput, own_unit, read_input
from inspect_tui.core.bench.result_uncertainty import InputErrors
from inspect_tui.core.expressions import calculations
from inspect_tui.core.expressions.calculations import Outcome
from inspect_tui.core.presentation import wording
from inspect_tui.core.quantities import dimensions, units
from inspect_tui.core.quantities.units import Number, Quantity, Unit
from inspect_tui.core.text.formatting import format_value
from inspect_tui.core.text.sanitize import sanitize
from inspect_tui.core.text.unit_text import AT_THE_NUMBER, format_unit, with_units
from inspect_tui.errors import BadInput

Texts = Mapping[str, str] | Iterable[tuple[str, str]]
"""What was written, by input."""


@dataclass(frozen=True, slots=True)
class CalcResult:
    """One result."""

    key: str
    meaning: str
    value: Outcome
    """A quantity in coherent SI, a word, a list; None for "none"."""
    uncertainty: Number | None = None
    """Expanded (k = 2), coherent SI; None where no input states one, or `between` says it."""
    units: tuple[str, ...] = ("",)
    """Units for showing it, the likeliest first; "" for a plain number."""
    between: tuple[Number, Number] | None = None
    """Coherent SI: where it lies with 95 % probability, where the result bends or steps within the
    stated uncertainty, so that `±` would mislead."""

    @property
    def words(self) -> str:
        """The result in its likeliest unit: `625 ± 13 N`."""
        return in_words(self, units.unit(self.units[0]))


@dataclass(frozen=True, slots=True)
class Field:
    """One input as it stands on the bench."""

    entry: Input
    text: str
    unit: str
    """What a bare number counts in; "" for a plain number or where any unit will do."""
    understood: str = ""
    """What was understood: `31.75 mm`, `31.6 ± 0.25 mm, mean of 3`."""
    trouble: str = ""
    """Why the text can't be taken."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A calculation with its fields and what comes out so far."""

    calculation: Calculation
    fields: tuple[Field, ...]
    results: tuple[CalcResult, ...] = ()
    trouble: str = ""
    """Why nothing comes out although everything is filled in."""

    @property
    def wanted(self) -> tuple[str, ...]:
        """The inputs that are still empty, as a screen calls them."""
        return tuple(
            field.entry.words
            for field in self.fields
            if not field.text.strip() and not field.entry.optional
        )


def work_out(name: str, texts: Texts, *, bare: bool = False) -> list[CalcResult]:
    """Every result of a calculation, with its uncertainty where an input states one.

    Args:
        name: As registered.
        texts: What was written, by input.
        bare: Whether a number without a unit counts in the field's own unit (see `own_unit`).

    Raises:
        BadInput: one sentence; an unknown, missing or doubled input, what can't be read or taken.
    """
    found = calculations.calculation(name)
    entries = {entry.name: entry for entry in found.inputs}
    known: dict[str, ParsedInput] = {}
    for key, text in texts.items() if isinstance(texts, Mapping) else texts:
        if key in known:
            raise BadInput(f"{key} is given twice;", "give it once.")
        if key not in entries:
            calculations.arguments_from_text(name, [(key, text)])
        known[key] = read_input(name, entries[key], text, bare=bare)
    return _worked(found, known)


def sheet(name: str, texts: Mapping[str, str]) -> Sheet:
    """The bench for a calculation; what can't be taken is said in words, nothing is raised.

    Raises:
        BadInput: there is no such calculation.
    """
    found = calculations.calculation(name)
    known: dict[str, ParsedInput] = {}
    fields = []
    for entry in found.inputs:
        text = texts.get(entry.name, "")
        unit = own_unit(entry)
        understood = trouble = ""
        if text.strip():
            try:
                known[entry.name] = read_input(name, entry, text, bare=True)
                understood = _understood(known[entry.name], unit)
            except BadInput as error:
                trouble = in_labels(found, str(error).removeprefix(f"{entry.name}: "))
        fields.append(Field(entry, text, unit, understood, trouble))
    empty = Sheet(found, tuple(fields))
    if empty.wanted or any(field.trouble for field in fields):
        return empty
    try:
        return Sheet(found, tuple(fields), tuple(_worked(found, known)))
    except BadInput as error:
        return Sheet(found, tuple(fields), trouble=in_labels(found, str(error)))


def in_labels(found: Calculation, sentence: str) -> str:
    """A refusal with its inputs as a screen calls them: `second jet must be within 4 times ...`.

    A name counts only where it is spoken of: `at` is an input and an English word.
    """
    for entry in found.inputs:
        if entry.words != entry.name:
            spoken = rf"\b{entry.name}(?=$|[,:;]| \(| (?:must|needs|is|takes|and|can't)\b)"
            sentence = re.sub(spoken, entry.words, sentence)
    return sentence


# --- in words -------------------------------------------------------------------------------


def in_words(worked: CalcResult, unit: Unit) -> str:
    """A result in a unit: `625 ± 13 N`, `none`, `PTO and centre`, `from 62 to 66`.

    Raises:
        BadInput: the unit is of another kind.
    """
    value = worked.value
    if isinstance(value, tuple):
        return ", ".join(map(_plain_words, value)) or "none"
    if not isinstance(value, Quantity):
        return _plain_words(value)
    shown = amount_words(units.number_in(value, unit), spread_in(worked.uncertainty, unit), unit)
    if worked.between is not None:
        low, high = (
            format_value(
                units.number_in(Quantity(end, value.dimension, value.quantity_kind), unit), "", 4
            )
            for end in worked.between
        )
        end = f"{high} {format_unit(unit.text)}".rstrip()
        shown += f" (95 % likely from {low} to {end})"
    return shown


def unit_for(worked: CalcResult, wished: str) -> Unit:
    """The wished unit where the result can be shown in it, else its likeliest one."""
    if wished and isinstance(worked.value, Quantity):
        try:
            units.number_in(worked.value, units.unit(wished))
        except BadInput:
            # The figures are now of another kind than when the unit was chosen.
            return units.unit(worked.units[0])
        return units.unit(wished)
    return units.unit(worked.units[0])


def spread_in(uncertainty: Number | None, unit: Unit) -> Number | None:
    """An uncertainty in coherent SI in a unit, of a temperature in its degrees."""
    return None if uncertainty is None else uncertainty / abs(unit.factor)


def amount_words(number: Number, spread: Number | None, unit: Unit) -> str:
    """`625 ± 13 N`: the uncertainty with two digits, the value to the same place (7.2.6)."""
    name = format_unit(unit.text, number)
    gap = "" if name in AT_THE_NUMBER else " "
    if not spread:
        return f"{format_value(number)}{gap}{name}".rstrip()
    place = 1 - math.floor(math.log10(float(f"{float(spread):.1e}")))
    if not 0 <= place <= 9:
        value = format_value(round(Fraction(number), place), "", 12)
        return f"{value} ± {format_value(round(Fraction(spread), place))}{gap}{name}".rstrip()
    both = f"{float(number):.{place}f} ± {float(spread):.{place}f}"
    return f"{both}{gap}{name}".rstrip()


def note_words(on_bench: Sheet, chosen: Mapping[str, str]) -> str:
    """The results and what they rest on, for a step's note.

    Args:
        on_bench: With results.
        chosen: By result: the unit to show it in, where it isn't the likeliest.
    """
    many = len(on_bench.results) > 1
    results = ", ".join(
        (f"{worked.key.replace('_', ' ')} " if many else "")
        + in_words(worked, unit_for(worked, chosen.get(worked.key, "")))
        for worked in on_bench.results
    )
    rests = ", ".join(
        f"{field.entry.words} {_written(field)}" for field in on_bench.fields if field.text.strip()
    )
    return f"{with_units(on_bench.calculation.title)}: {results}; from {rests}."


def _written(field: Field) -> str:
    """The text as it was typed, with what was understood of a bare number or of repeats."""
    text = sanitize(field.text)
    if ";" in text and field.unit:
        return f"{text} ({field.understood})"
    return f"{text} {field.unit}" if field.unit and text[-1:].isdigit() else text


def _plain_words(value: object) -> str:
    if value is None:
        return "none"
    if isinstance(value, tuple):
        return " and ".join(map(_plain_words, value))
    if isinstance(value, Quantity):
        return format_value(value.si)
    return format_value(value) if isinstance(value, bool | int | float | Fraction) else str(value)


def _understood(given: ParsedInput, unit: str) -> str:
    parts = given.argument if isinstance(given.argument, tuple) else (given.argument,)
    shown = []
    for place, part in enumerate(parts):
        if not isinstance(part, Quantity):
            shown.append(_plain_words(part))
            continue
        known = units.unit(given.unit or unit)
        if known.dimension != part.dimension or known.quantity_kind != part.quantity_kind:
            known = units.unit(_usual(part)[0])
        spread = spread_in(given.spreads[place], known) if given.spreads else None
        shown.append(_as_given(units.number_in(part, known), spread, known))
    listed = "; ".join(shown)
    return f"{listed}, mean of {given.repeats}" if given.repeats else listed


def _as_given(number: Number, spread: Number | None, unit: Unit) -> str:
    """`50 ± 1 N`, with no more digits than were given."""
    both = "" if spread is None else f" ± {format_value(spread, '', 3)}"
    name = format_unit(unit.text, number)
    gap = "" if name in AT_THE_NUMBER else " "
    return f"{format_value(number)}{both}{gap}{name}".rstrip()


# --- results --------------------------------------------------------------------------------


def _worked(found: Calculation, known: Mapping[str, ParsedInput]) -> list[CalcResult]:
    arguments = {key: given.argument for key, given in known.items()}
    base = calculations.call(found.name, arguments)
    errors = InputErrors(found, known)
    return [
        _result(result, base[result.key], _units_for(result, base[result.key], found, known),
                errors)
        for result in found.results
    ]  # fmt: skip


def _result(
    result: Result, value: Outcome, shown: tuple[str, ...], errors: InputErrors
) -> CalcResult:
    if not isinstance(value, Quantity) or not errors.stated:
        return CalcResult(result.key, result.meaning, value, units=shown)
    known = errors.of_result(result.key, value.si)
    return CalcResult(result.key, result.meaning, value, known.expanded, shown, known.interval)


def _units_for(
    result: Result, value: Outcome, found: Calculation, known: Mapping[str, ParsedInput]
) -> tuple[str, ...]:
    """Units to show a result in: the handy one or the one that was written, then the usual ones."""
    if not isinstance(value, Quantity):
        return ("",)
    wished = [result.handy] if result.handy else []
    if result.larger and abs(float(units.number_in(value, units.unit(result.larger)))) >= 1:
        wished = [result.larger, *wished]
    if result.unit and result.unit.startswith("like:") and "/" in result.unit:
        parts = (_written_unit(part, found, known) for part in result.unit.split("/"))
        above, below = parts
        wished = ["/".join(part for part in (above or "1" * bool(below), below) if part)]
    elif result.unit and result.unit.startswith("like:"):
        same = [entry.name for entry in found.inputs if entry.unit == result.unit]
        written = [known[key].unit for key in same if key in known and known[key].unit]
        wished = [
            wording.difference_unit(text) if value.quantity_kind == "difference" else text
            for text in written
        ]
    wished += ["ft"] if wished == ["m"] else _usual(value)
    fitting: dict[str, str] = {}
    for text in wished:
        unit = units.unit(text)
        clash = {unit.quantity_kind, value.quantity_kind} == {"temperature", "difference"}
        if unit.dimension == value.dimension and not clash:
            short = "*" in fitting.get(unit.name, "*")
            fitting[unit.name] = text if short else fitting[unit.name]
    return tuple(fitting.values())


def _written_unit(group: str, found: Calculation, known: Mapping[str, ParsedInput]) -> str:
    """The unit that was written for the inputs of a group, of temperatures that of a difference."""
    for entry in found.inputs:
        given = known.get(entry.name)
        if entry.unit == group and given and given.unit:
            return wording.difference_unit(given.unit)
    return ""


def _usual(value: Quantity) -> list[str]:
    if value.quantity_kind == "percent":
        return ["%"]
    if not value.dimension:
        return [""]
    usual = dimensions.usual_units(value.dimension)
    if value.dimension == dimensions.TEMPERATURE:
        if value.quantity_kind == "difference":
            return [wording.difference_unit(text) for text in usual]
        usual = [*usual, "K"]
    return usual
