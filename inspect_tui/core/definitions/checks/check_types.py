"""Dimensions of a checklist's expressions, with a machine sheet or without one.

Without a sheet `spec.NAME` and `machine.NAME` fit anything; with one their dimension is known.
"""

from __future__ import annotations

from collections.abc import Callable

from inspect_tui.core.definitions.checks.check_checklist import MAX_OPTIONS
from inspect_tui.core.definitions.compile import Parsed, Placed, items, own_unit
from inspect_tui.core.definitions.problems import ProblemCollector
from inspect_tui.core.definitions.spec_values import facts, figures, parsed_figure, written
from inspect_tui.core.expressions import ambient
from inspect_tui.core.expressions.nodes import what
from inspect_tui.core.expressions.values import ANY, BOOL, TEXT, Name, Type, Value
from inspect_tui.core.model.checklist import Derived, Inference, Reading, Step
from inspect_tui.core.model.machine import Machine
from inspect_tui.core.quantities import units
from inspect_tui.core.quantities.dimensions import TEMPERATURE, TIME, with_article
from inspect_tui.core.quantities.units import Quantity
from inspect_tui.core.text.sanitize import ellipsize
from inspect_tui.errors import BadInput

DEEPEST = 50
"""Derived values without a unit that may rest on each other; beyond, any dimension is taken."""


class Types:
    """The types of the names of one checklist."""

    def __init__(self, parsed: Parsed, machine: Machine | None = None) -> None:
        self._parsed = parsed
        self._machine = machine
        self._items: dict[tuple[str, str], tuple[Step, Reading | Derived]] = {}
        for step in parsed.checklist.steps:
            for item in items(step):
                self._items.setdefault((step.id, item.id), (step, item))
        self._single: dict[tuple[str, str], Type] = {}
        self._depth = 0
        self._figures = {} if machine is None else figures(machine)
        self._facts = {} if machine is None else facts(machine)
        self._charted = {} if machine is None else charted_of(machine)

    def seen_from(self, per_cylinder: bool) -> Callable[[Name], Type]:
        """The type of each name in an expression for one cylinder, or for all."""

        def typeof(name: Name) -> Type:
            if name.where == "value":
                return self._value(name, per_cylinder)
            if name.where == "conditions":
                return air_type(name.id)
            if self._machine is None:
                return ANY
            value = self.figure(name)
            return ANY if value is None else type_of(value, per_cylinder)

        return typeof

    def figure(self, name: Name) -> Value | None:
        """A figure or fact of the sheet; None where there is none."""
        if name.where in ("value", "conditions"):
            return None
        if name.where == "chart":
            return self._charted.get(name.id)
        return (self._figures if name.where == "spec" else self._facts).get(name.id)

    def _value(self, name: Name, per_cylinder: bool) -> Type:
        found = self._items.get((name.step, name.id))
        if found is None:
            return ANY
        step, item = found
        key = (name.step, name.id)
        kind = self._single.get(key)
        if kind is None:
            kind = self._single[key] = self._type(step, item)
        across = isinstance(item, Derived) and item.across
        many = step.per_cylinder and not across and not per_cylinder
        return (
            Type(kind.what, kind.dimension, kind.quantity_kind, many, kind.options)
            if many
            else kind
        )

    def _type(self, step: Step, item: Reading | Derived) -> Type:
        if isinstance(item, Reading):
            return reading_type(item)
        if item.unit:
            return unit_type(item)
        expression = self._parsed.value.get((step.id, item.id))
        if expression is None or self._depth > DEEPEST:
            return ANY
        self._depth += 1
        try:
            kind = expression.check(self.seen_from(step.per_cylinder and not item.across))
        except BadInput:
            return ANY  # It is said where the value itself is checked.
        finally:
            self._depth -= 1
        return kind


def reading_type(reading: Reading) -> Type:
    """What a reading's value is."""
    match reading.kind:
        case "number":
            return unit_type(reading)
        case "count":
            return Type("quantity")
        case "timer":
            return Type("quantity", TIME)
        case "check":
            return BOOL
        case "choice":
            known = reading.options if len(reading.options) <= MAX_OPTIONS else ()
            return Type("text", options=known)
    return TEXT


def unit_type(item: Reading | Derived) -> Type:
    """The type of a value in its own unit; anything where the unit is unknown."""
    try:
        unit = own_unit(item)
    except BadInput:
        return ANY
    return Type("quantity", unit.dimension, unit.quantity_kind)


def air_type(name: str) -> Type:
    """The type of `conditions.NAME`."""
    unit = units.unit({**ambient.UNITS, "pressure": "Pa", "density": "kg/m**3"}[name])
    return Type("quantity", unit.dimension, unit.quantity_kind)


def charted_of(machine: Machine) -> dict[str, Value]:
    """The settings of the jet chart, each as one of its bands has it."""
    return {
        written(name): value
        for band in machine.jet_chart
        for name, figure in band.settings.items()
        if (value := parsed_figure(figure)) is not None
    }


def type_of(value: Value, per_cylinder: bool) -> Type:
    """The type of a figure; a list is one value where cylinders are seen singly."""
    if isinstance(value, tuple):
        if not value:
            return ANY
        first = type_of(value[0], True)  # type: ignore[arg-type]
        return Type(first.what, first.dimension, first.quantity_kind, many=not per_cylinder)
    if isinstance(value, Quantity):
        return Type("quantity", value.dimension, value.quantity_kind)
    return BOOL if isinstance(value, bool) else TEXT


# --- checks ---------------------------------------------------------------------------------


def check_types(parsed: Parsed, types: Types, complaints: ProblemCollector) -> None:
    """Whether every expression has the dimension that its place wants."""
    for placed in parsed.placed:
        if not complaints.sound(*placed.path) or complaints.full:
            continue
        try:
            kind = placed.expression.check(types.seen_from(placed.per_cylinder))
            _check_place(placed, kind)
        except BadInput as error:
            complaints.add(placed.path, error)


def _check_place(placed: Placed, kind: Type) -> None:
    """Whether a type fits its place. Raises BadInput."""
    item, text = placed.item, ellipsize(placed.expression.text)
    if placed.purpose in ("only_if", "inference"):
        _one(kind, text, "a yes or no")
        if kind.what not in ("bool", "any"):
            raise BadInput(f"'{text}' is {what(kind)};", "write a comparison, which is yes or no.")
        return
    assert item is not None and not isinstance(item, Inference)
    if placed.purpose == "value":
        assert isinstance(item, Derived)
        _check_derived(item, kind, text)
    elif placed.purpose == "equal":
        _check_equal(placed, item, kind, text)
    else:
        _check_side(placed, item, kind, text)


def _one(kind: Type, text: str, wanted: str) -> None:
    if kind.many:
        raise BadInput(
            f"'{text}' is a list with one value per cylinder, and {wanted} is wanted;",
            'write per = "cylinder", or take min(), max(), mean() or spread() of it.',
        )


def _check_derived(derived: Derived, kind: Type, text: str) -> None:
    _one(kind, text, "one value")
    if kind.what == "any":
        return
    if kind.what != "quantity":
        if derived.unit:
            raise BadInput(f"'{text}' is {what(kind)};", "leave the unit out.")
        return
    wanted = unit_type(derived)
    if wanted.what == "any":
        return
    ratio = wanted.quantity_kind == "percent" and not kind.dimension
    clash = {kind.quantity_kind, wanted.quantity_kind} == {"temperature", "difference"}
    lost = kind.quantity_kind == "percent" and wanted.quantity_kind != "percent"
    if not ratio and (kind.dimension != wanted.dimension or clash or lost):
        raise BadInput(
            f"'{text}' is {what(kind)}, and its unit {_unit_words(derived)}, {what(wanted)};",
            f"write a unit such as {_usual(kind)}.",
        )


def _unit_words(item: Derived | Reading) -> str:
    return f"is '{ellipsize(item.unit)}'" if item.unit else "is left out"


def _usual(kind: Type) -> str:
    if kind.quantity_kind == "percent":
        return '"%"'
    if kind.quantity_kind == "difference":
        return '"delta_degC"'
    usual = units.near(kind.dimension)
    return f'"{usual[0]}"' if usual else '"" (none)'


def _check_equal(placed: Placed, item: Reading | Derived, kind: Type, text: str) -> None:
    if isinstance(item, Derived):
        if kind.what == "quantity" or item.unit:
            _check_side(placed, item, kind, text)
        return
    if item.kind in ("number", "count", "timer"):
        _check_side(placed, item, kind, text)
        return
    wanted = "bool" if item.kind == "check" else "text"
    if kind.what not in (wanted, "any"):
        raise BadInput(
            f"'{text}' is {what(kind)}, and '{ellipsize(item.label)}' is "
            f"{what(reading_type(item))};",
            "compare like with like.",
        )
    if kind.many and placed.expression.names:
        _one(kind, text, "one value")


def _check_side(placed: Placed, item: Reading | Derived, kind: Type, text: str) -> None:
    """A number's limit has the dimension of the number."""
    _one(kind, text, "one value")
    if kind.what == "any":
        return
    own = unit_type(item) if isinstance(item, Derived) else reading_type(item)
    if own.what != "quantity":
        return
    if kind.what != "quantity":
        raise BadInput(f"'{text}' is {what(kind)};", f"{what(own)} is wanted.")
    if placed.purpose == "tolerance":
        _check_tolerance(own, kind, text)
        return
    clash = {kind.quantity_kind, own.quantity_kind} == {"temperature", "difference"}
    bare = placed.expression.bare_name is not None
    mixed = {kind.quantity_kind, own.quantity_kind} == {"", "percent"} and not kind.dimension
    if own.quantity_kind == "percent" and not bare:
        mixed = False  # A ratio of two values is a percentage, as in a derived value.
    if kind.dimension != own.dimension or clash or mixed:
        raise BadInput(
            f"'{text}' is {what(kind)}, and '{ellipsize(item.label or item.id)}' is {what(own)};",
            f"write a limit such as {_such_as(own, item)}.",
        )


def _such_as(own: Type, item: Reading | Derived) -> str:
    if own.quantity_kind == "percent":
        return "'12 %'"
    unit = item.unit or ("s" if own.dimension else "")
    return f"'12 {ellipsize(unit)}'" if unit else "12"


def _check_tolerance(own: Type, kind: Type, text: str) -> None:
    if kind.quantity_kind == "percent":
        if own.dimension == TEMPERATURE and own.quantity_kind == "temperature":
            raise BadInput(f"'{text}' of a temperature means nothing;", "write '2 delta_degC'.")
        return
    if kind.quantity_kind == "temperature":
        raise BadInput(f"'{text}' is a temperature;", "write a difference, such as '2 delta_degC'.")
    if kind.dimension != own.dimension:
        raise BadInput(
            f"'{text}' is {what(kind)}, and "
            f"{with_article(own.dimension, own.quantity_kind)} is wanted."
        )
