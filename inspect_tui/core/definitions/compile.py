"""Every expression of a checklist, parsed once, each with its place in the file.

Who calls it: definitions, for a log's checklist as it is and for a file that is being checked;
what can't be parsed is reported to the caller and gives no value.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache, cached_property
from itertools import chain
from typing import Literal

from inspect_tui.core.definitions.checks.dependency_cycles import too_deep
from inspect_tui.core.definitions.spec_values import written
from inspect_tui.core.definitions.toml_positions import Path
from inspect_tui.core.expressions import expression
from inspect_tui.core.expressions.expression import Expression, Missing, Name, Type
from inspect_tui.core.expressions.nodes import Node
from inspect_tui.core.model.checklist import (
    Adjustment,
    Amount,
    Checklist,
    Derived,
    Inference,
    Kind,
    Limit,
    Reading,
    Step,
)
from inspect_tui.core.quantities import parse_number, units
from inspect_tui.core.quantities.units import Quantity, Unit, difference_unit
from inspect_tui.core.readings import parse as readings
from inspect_tui.core.text.sanitize import ellipsize
from inspect_tui.errors import BadInput

Purpose = Literal["only_if", "value", "min", "max", "target", "tolerance", "equal", "inference"]

_SHEET_NAME = re.compile(r"\s*(?:spec|machine)\s*\.\s*[A-Za-z_]\w*\s*")
SIDES: tuple[Literal["min", "max", "target", "tolerance", "equal"], ...] = (
    "min",
    "max",
    "target",
    "tolerance",
    "equal",
)


@dataclass(frozen=True, slots=True)
class Placed:
    """One expression and where it stands."""

    path: Path
    purpose: Purpose
    expression: Expression
    step: Step | None = None
    item: Reading | Derived | Inference | None = None

    @property
    def per_cylinder(self) -> bool:
        """Whether it is worked out for each cylinder, and so sees single values."""
        if self.purpose == "only_if":
            return False
        if isinstance(self.item, Inference):
            return self.item.per == "cylinder"
        across = isinstance(self.item, Derived) and self.item.across
        return self.step is not None and self.step.per_cylinder and not across


@dataclass
class Parsed:
    """Everything parsed of one checklist."""

    checklist: Checklist
    placed: list[Placed] = field(default_factory=list)
    only_if: dict[str, Expression] = field(default_factory=dict)
    value: dict[tuple[str, str], Expression] = field(default_factory=dict)
    limits: dict[tuple[str, str], Mapping[str, Expression]] = field(default_factory=dict)
    inference: dict[str, Expression] = field(default_factory=dict)


Fault = Callable[[Path, BadInput], None]


def parsed(
    checklist: Checklist,
    fault: Fault,
    absent: Mapping[str, Name] | None = None,
    *,
    of_log: bool = False,
) -> Parsed:
    """Parses every expression of a checklist.

    Args:
        checklist: Sound or not.
        fault: Called for each expression that can't be parsed; it gives no value then.
        absent: Values that may be named and are not there (`step.value`): not measured.
        of_log: Any may be named so, since the list was checked when the session was opened.
    """
    return _Parser(checklist, fault, absent or {}, of_log).all()


class Remade:
    """Single expressions of a checklist whose every expression was parsed before, parsed again.

    Of a log's list that is sound: each gives what `parsed` gives for it.
    """

    def __init__(self, checklist: Checklist) -> None:
        self._checklist = checklist

    @cached_property
    def _parser(self) -> _Parser:
        return _Parser(self._checklist, lambda _path, _error: None, {}, of_log=True)

    def only_if(self, step: Step) -> Node:
        """Whether a step is wanted."""
        return self._parser.parse((), step.only_if, Scope({}, self._parser.everywhere)).node

    def inference(self, inference: Inference) -> Node:
        """When an inference speaks."""
        return self._parser.parse((), inference.when, Scope({}, self._parser.everywhere)).node

    def derived(self, step: Step, number: int) -> Node:
        """The value of one of a step's derived values."""
        return self._parser.derived((), step, number).node

    def move(self, step: Step, setting: Adjustment) -> Node:
        """The next move of a setting."""
        return self._parser.parse((), setting.move, self._whole(step)).node

    def side(self, step: Step, item: Reading | Derived, side: str) -> Node:
        """One side of a limit."""
        assert item.limit is not None
        ((purpose, amount),) = (one for one in given(item.limit) if one[0] == side)
        return self._parser.side((), purpose, amount, item, self._whole(step)).node

    def _whole(self, step: Step) -> Scope:
        return self._parser.scope(step, len(step.derived))


def items(step: Step) -> tuple[Reading | Derived, ...]:
    """Everything of a step that has a value."""
    return (*step.readings, *step.derived)


def unreadable(text: str, reason: BadInput) -> Expression:
    """An expression that can't be parsed: it has no value, and the reason."""
    missing = Missing(str(reason), measured=True)
    return expression.deferred(text, lambda: missing, lambda: Type("any"))


NO_VALUE = unreadable("", BadInput("The checklist gives no way to work it out."))
"""Of a derived value without one; the form says that it is missing."""


MAX_FAULTS = 1_000
"""Expressions that can't be parsed, after which the rest of a file is not tried."""
TOO_MANY = unreadable("", BadInput("Too many expressions of this checklist can't be read."))


class Scope(Mapping[str, Name]):
    """What may be written in a step: its own names first, then everything by `step.name`."""

    def __init__(self, own: Mapping[str, Name], everywhere: Mapping[str, Name]) -> None:
        self._own = own
        self._everywhere = everywhere

    def __getitem__(self, word: str) -> Name:
        found = self._own.get(word)
        return self._everywhere[word] if found is None else found

    def __iter__(self) -> Iterator[str]:
        return chain(self._own, self._everywhere)

    def __len__(self) -> int:
        return len(self._own) + len(self._everywhere)


OWNERS = ("spec", "machine", "conditions", "chart")
"""What stands before a dot and is no step, unless a step has that id."""


class _Everywhere(dict[str, Name]):
    """Every value by `step.value`; of a log's list also those that are not there."""

    any_step = False

    def __missing__(self, word: str) -> Name:
        step, dot, value = word.partition(".")
        if not (self.any_step and dot) or step in OWNERS:
            raise KeyError(word)
        return Name("value", step, value)


class _Parser:
    def __init__(
        self, checklist: Checklist, fault: Fault, absent: Mapping[str, Name], of_log: bool
    ) -> None:
        self.result = Parsed(checklist)
        self.fault = fault
        self.faults = 0
        self.everywhere = _Everywhere()
        for step in checklist.steps:
            for item in items(step):
                key = f"{written(step.id)}.{written(item.id)}"
                self.everywhere.setdefault(key, Name("value", step.id, item.id))
        self.everywhere.any_step = of_log
        for key, name in absent.items():
            self.everywhere.setdefault(key, name)

    def all(self) -> Parsed:
        checklist = self.result.checklist
        for number, section in enumerate(checklist.section):
            for place, step in enumerate(section.step):
                self.step(("section", number, "step", place), step)
        for number, inference in enumerate(checklist.inference):
            path = ("inference", number, "when")
            if inference.when:
                found = self.parse(path, inference.when, Scope({}, self.everywhere))
                self.result.inference[inference.id] = found
                self.place(Placed(path, "inference", found, None, inference))
            else:
                self.result.inference.setdefault(inference.id, NO_VALUE)
        self.break_circles()
        return self.result

    def break_circles(self) -> None:
        """Derived values that can't be worked out get no value, and the reason."""
        values = self.result.value
        many = {
            (placed.step.id, placed.item.id): placed.per_cylinder
            for placed in self.result.placed
            if placed.purpose == "value" and placed.step and placed.item
        }
        broken = dict(too_deep(values, many))
        for number, placed in enumerate(self.result.placed):
            if placed.purpose != "value" or placed.step is None or placed.item is None:
                continue
            place = (placed.step.id, placed.item.id)
            if place in broken:
                text = ellipsize(placed.expression.text)
                error = BadInput(f"'{text}' {broken[place]};", "leave one of them out.")
                self.fault(placed.path, error)
                values[place] = unreadable(text, error)
                self.result.placed[number] = dataclasses.replace(placed, expression=values[place])

    def place(self, placed: Placed) -> None:
        self.result.placed.append(placed)

    def parse(self, path: Path, text: str, values: Mapping[str, Name]) -> Expression:
        if self.faults >= MAX_FAULTS:
            return TOO_MANY
        try:
            return expression.parse(text, values)
        except BadInput as error:
            self.faults += 1
            self.fault(path, error)
            return unreadable(text, error)

    def step(self, path: Path, step: Step) -> None:
        if step.only_if:
            found = self.parse((*path, "only_if"), step.only_if, Scope({}, self.everywhere))
            self.result.only_if[step.id] = found
            self.place(Placed((*path, "only_if"), "only_if", found, step))
        for number, derived in enumerate(step.derived):
            place = (*path, "derived", number, "value")
            if not derived.value.strip():
                self.result.value[step.id, derived.id] = NO_VALUE
                continue
            found = self.derived(place, step, number)
            self.result.value[step.id, derived.id] = found
            self.place(Placed(place, "value", found, step, derived))
        values = self.scope(step, len(step.derived))
        for number, setting in enumerate(step.setting):
            move = setting.as_derived
            place = (*path, "setting", number, "move")
            found = self.parse(place, setting.move, values) if setting.move.strip() else NO_VALUE
            self.result.value[step.id, setting.id] = found
            if found is not NO_VALUE:
                self.place(Placed(place, "value", found, step, move))
            self.limit((*path, "setting", number), step, move, values)
        for number, reading in enumerate(step.reading):
            self.limit((*path, "reading", number), step, reading, values)
        for number, derived in enumerate(step.derived):
            self.limit((*path, "derived", number), step, derived, values)

    def scope(self, step: Step, derived: int) -> Scope:
        """What may be written in a step behind so many of its derived values."""
        own = {written(one.id): Name("value", step.id, one.id) for one in step.readings}
        for one in step.derived[:derived]:
            if one.value.strip():
                own[written(one.id)] = Name("value", step.id, one.id)
        return Scope(own, self.everywhere)

    def derived(self, path: Path, step: Step, number: int) -> Expression:
        """The value of one of a step's derived values, which has one."""
        derived = step.derived[number]
        found = self.parse(path, derived.value, self.scope(step, number))
        return expression.in_percent(found) if is_percent(derived) else found

    def limit(
        self, path: Path, step: Step, item: Reading | Derived, values: Mapping[str, Name]
    ) -> None:
        if item.limit is None:
            return
        sides: dict[str, Expression] = {}
        for side, amount in given(item.limit):
            place = (*path, "limit", side)
            sides[side] = self.side(place, side, amount, item, values)
            self.place(Placed(place, side, sides[side], step, item))
        self.result.limits[step.id, item.id] = sides

    def side(
        self,
        path: Path,
        side: Purpose,
        amount: Amount | bool | tuple[str, ...],
        item: Reading | Derived,
        values: Mapping[str, Name],
    ) -> Expression:
        """One side of a limit as an expression; see `definitions.Limits`."""
        if isinstance(amount, bool):
            return expression.constant(str(amount).lower(), amount, Type("bool"))
        if isinstance(amount, tuple):
            return expression.constant(", ".join(amount), amount, Type("text", many=True))
        if not isinstance(amount, str):
            return own_amount(str(amount), side, item)
        kind = kind_of(item)
        if kind in ("choice", "text", "date", "photo", "check"):
            if not _SHEET_NAME.fullmatch(amount):
                return expression.constant(amount, amount, Type("text"))
            return self.parse(path, amount, values)
        if is_amount(amount):
            return own_amount(amount, side, item)
        if side == "equal" and isinstance(item, Derived):
            try:
                return expression.parse(amount, values)
            except BadInput:
                # What is no expression is the wanted word of a derived text.
                return expression.constant(amount, amount, Type("text"))
        return self.parse(path, amount, values)


def given(limit: Limit) -> Iterator[tuple[Purpose, Amount | bool | tuple[str, ...]]]:
    """The sides of a limit that were written."""
    for side in SIDES:
        amount = getattr(limit, side)
        if amount is not None:
            yield side, amount


def kind_of(item: Reading | Derived) -> Kind:
    """The kind of a reading; a derived value is taken as a number."""
    return item.kind if isinstance(item, Reading) else "number"


def is_amount(text: str) -> bool:
    """Whether a limit's text is a number with or without a unit, rather than an expression."""
    try:
        amount = parse_number.amount(text)
    except BadInput:
        return False
    return re.search(r"\s[+-]\s", amount.unit) is None


def own_unit(item: Reading | Derived) -> Unit:
    """The unit in which a value is stored and judged. Raises BadInput if it is unknown."""
    if isinstance(item, Reading) and item.kind == "timer":
        return units.unit("s")
    return units.unit(item.unit)


def is_percent(item: Derived) -> bool:
    """Whether a derived value is declared a percentage."""
    try:
        return own_unit(item).quantity_kind == "percent"
    except BadInput:
        return False  # The unknown unit itself is the problem that is said.


def own_amount(text: str, side: Purpose, item: Reading | Derived) -> Expression:
    """A limit's number in the value's own unit, or a quantity; units are asked late."""

    @cache
    def value() -> Quantity:
        unit = own_unit(item)
        return readings.quantity(text, difference_unit(unit) if side == "tolerance" else unit)

    def kind() -> Type:
        found = value()
        return Type("quantity", found.dimension, found.quantity_kind)

    return expression.deferred(text, value, kind)
