"""What the present session can fill in on the bench.

Where a derived value of the checklist calls a calculation, the expressions of its arguments say
which readings and figures belong into which field. They are worked out as the session stands (as
left where there is one, else as found), once per cylinder.

Who calls it: the app, for the bench.
"""

from __future__ import annotations

import ast
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from inspect_tui.calc.registry import Input
from inspect_tui.core.bench.inputs import own_unit
from inspect_tui.core.definitions import compile as compiling
from inspect_tui.core.definitions.spec_values import written
from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.expressions import calculations, expression, parser
from inspect_tui.core.expressions.expression import Expression, Missing, Name, Value
from inspect_tui.core.model.checklist import Step
from inspect_tui.core.model.log_entry import AS_LEFT
from inspect_tui.core.quantities import units
from inspect_tui.core.quantities.parse_number import amount, with_spread
from inspect_tui.core.quantities.typed_amount import unmistakable
from inspect_tui.core.quantities.units import Quantity, Unit
from inspect_tui.core.session.replay import ReadingKey
from inspect_tui.core.text.formatting import format_value
from inspect_tui.errors import BadInput, InspectError

DIGITS = 9
"""Significant digits of a value that is filled in; a short decimal stays whole."""


@dataclass(frozen=True, slots=True)
class Prefill:
    """One place of the checklist that uses a calculation, with what it gives for the fields."""

    step: str
    title: str
    """The step's title."""
    label: str
    """The derived value's label."""
    cylinder: str | None
    as_left: bool
    """Whether a value as left is among the readings."""
    texts: Mapping[str, str]
    """By input: the text for its field, such as `31.7 ± 0.2 mm`."""
    missing: Mapping[str, str]
    """By input: why there is none."""


def offers(evaluation: Evaluator, name: str) -> tuple[Prefill, ...]:
    """What the session gives for a calculation, in the checklist's order.

    Places that give nothing at all are left out, and so is a second value of the same step that
    rests on the same figures.
    """
    found = calculations.calculation(name)
    entries = {entry.name: entry for entry in found.inputs}
    said: dict[tuple[object, ...], Prefill] = {}
    for step, derived, label, arguments in _calls(evaluation, name):
        for cylinder in evaluation.definitions.cylinders(step, derived):
            offer = _offer(evaluation, step, label, cylinder, entries, arguments)
            if offer.texts:
                key = (step.id, cylinder, *sorted(offer.texts.items()))
                said.setdefault(key, offer)
    return tuple(said.values())


Arguments = Mapping[str, Expression]


def _calls(evaluation: Evaluator, name: str) -> Iterator[tuple[Step, str, str, Arguments]]:
    """Each call of the calculation by a derived value: its step, id, label and arguments."""
    everywhere = {
        f"{written(step.id)}.{written(item.id)}": Name("value", step.id, item.id)
        for step in evaluation.compiled.checklist.steps
        for item in compiling.items(step)
    }
    for step in evaluation.compiled.checklist.steps:
        own = {written(item.id): Name("value", step.id, item.id) for item in compiling.items(step)}
        scope = compiling.Scope(own, everywhere)
        for derived in step.derived:
            if name not in derived.value:
                continue
            for call in _called(derived.value, name):
                arguments = {
                    each.arg: argument
                    for each in call.keywords
                    if each.arg and (argument := _parsed(ast.unparse(each.value), scope))
                }
                yield step, derived.id, derived.label, arguments


def _called(text: str, name: str) -> Iterator[ast.Call]:
    try:
        tree = parser.tree(text)
    except BadInput:
        # The checklist's own check says what is wrong with it; here it calls nothing.
        return
    for part in ast.walk(tree):
        if isinstance(part, ast.Call) and isinstance(part.func, ast.Name):
            resolved = calculations.resolve(part.func.id)
            if resolved is not None and resolved[0].name == name:
                yield part


def _parsed(text: str, scope: Mapping[str, Name]) -> Expression | None:
    try:
        return expression.parse(text, scope)
    except BadInput:
        # An argument that can't be read fills no field; `check` names it.
        return None


def _offer(
    evaluation: Evaluator,
    step: Step,
    label: str,
    cylinder: str | None,
    entries: Mapping[str, Input],
    arguments: Arguments,
) -> Prefill:
    texts: dict[str, str] = {}
    missing: dict[str, str] = {}
    as_left = False
    for key, argument in arguments.items():
        if key not in entries:
            continue
        value = argument.evaluate(evaluation.lookup(cylinder, AS_LEFT))
        if isinstance(value, Missing):
            missing[key] = value.reason
            continue
        leaves = evaluation.definitions.input_readings(argument, cylinder)
        used = [evaluation.key(leaf, AS_LEFT) for leaf in leaves]
        as_left = as_left or any(place is not None and place[3] == AS_LEFT for place in used)
        spread = evaluation.expanded(argument, cylinder, AS_LEFT)
        unit_text = _unit_text(evaluation, argument, entries[key], value, used)
        text = _text(entries[key], value, spread, unit_text)
        if text:
            texts[key] = text
    return Prefill(step.id, step.title, label, cylinder, as_left, texts, missing)


def _text(entry: Input, value: Value, spread: float | None, unit_text: str) -> str:
    """The value as it would be written into the field."""
    if isinstance(value, tuple):
        return "; ".join(
            _text(entry, part, None, unit_text)
            for part in value
            if isinstance(part, Quantity | str | bool)
        )
    if not isinstance(value, Quantity):
        return format_value(value)
    if entry.unit is None:
        return format_value(value.si, "", DIGITS)
    unit = _unit(unit_text, value, entry)
    exact = Fraction(units.number_in(value, unit))
    number = format_value(exact, "", DIGITS)
    if spread:
        own = spread / abs(float(unit.factor))
        if sum(sign.isdigit() for sign in number) == DIGITS:
            number = format_value(round(exact, 3 - math.floor(math.log10(own))), "", DIGITS)
        number = f"{number} ± {format_value(own, '', 3)}"
    return f"{unmistakable(number)} {unit_text}".strip()


def _unit_text(
    evaluation: Evaluator,
    argument: Expression,
    entry: Input,
    value: Value,
    used: Sequence[ReadingKey | None],
) -> str:
    """The unit that was typed or that a named reading or figure has, else the field's own."""
    first = value[0] if isinstance(value, tuple) and value else value
    if not isinstance(first, Quantity):
        return ""
    if first.quantity_kind == "percent":
        return "%"
    if not first.dimension:
        return ""
    named = [_of_name(evaluation, name) for name in argument.uses]
    if argument.bare_name is not None:
        named = [_typed_unit(evaluation, key) for key in used if key is not None] + named
    example = [own_unit(entry) or amount(entry.example.split(";")[-1]).unit]
    for text in [*named, *example, *units.near(first.dimension)]:
        if text and _fits(text, first, entry):
            return text
    return units.si_unit_name(first.dimension)


def _typed_unit(evaluation: Evaluator, key: ReadingKey) -> str:
    """The unit that a person typed for a reading; "" where it can't be told."""
    recorded = evaluation.session.readings.get(key)
    if recorded is None or ";" in recorded.entered:
        return ""
    try:
        return amount(with_spread(recorded.entered)[0]).unit
    except BadInput:
        # Words, times and what can't be read any more have no unit of their own.
        return ""


def _of_name(evaluation: Evaluator, name: Name) -> str:
    """The unit in which a reading, a derived value or a figure of the sheet is written."""
    if name.where == "value":
        known = evaluation.units.get((name.step, name.id))
        return known.text if known is not None else ""
    if name.where == "spec":
        for key, figure in evaluation.machine.spec.items():
            first = figure[0] if isinstance(figure, tuple | list) and figure else figure
            if written(key) == name.id and isinstance(first, str):
                try:
                    return amount(first).unit
                except BadInput:
                    # A figure of words has no unit; the field's own is taken.
                    return ""
    return ""


def _unit(text: str, value: Quantity, entry: Input) -> Unit:
    """The unit, its short name read as the field reads it."""
    like = str(entry.unit).startswith("like:")
    wanted = Unit("", "", value.dimension, Fraction(1), quantity_kind=value.quantity_kind)
    return units.unit(text) if like else units.unit(text, units.light_of(wanted))


def _fits(text: str, value: Quantity, entry: Input) -> bool:
    try:
        units.number_in(value, _unit(text, value, entry))
    except InspectError:
        return False
    return True


def used_by(step: Step) -> tuple[str, ...]:
    """The calculations that a step's derived values call, in their order."""
    found: dict[str, None] = {}
    for derived in step.derived:
        for name in calculations.names():
            if name in derived.value and any(_called(derived.value, name)):
                found[name] = None
    return tuple(found)
