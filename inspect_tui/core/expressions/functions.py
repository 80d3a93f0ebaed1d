"""Calls in expressions: `min max abs round sqrt mean spread`, and every registered calculation."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from fractions import Fraction
from typing import Any

from inspect_tui.core.expressions import arithmetic, calculation_rows, calculations, columns
from inspect_tui.core.expressions.arithmetic import worse
from inspect_tui.core.expressions.columns import Rows, Sampled, Samples, lifted
from inspect_tui.core.expressions.nodes import (
    Node,
    as_quantity,
    common,
    listed,
    named_part,
    wanted_number,
    what,
)
from inspect_tui.core.expressions.quoted import read_quantity
from inspect_tui.core.expressions.signatures import Side, signature, slope_of
from inspect_tui.core.expressions.values import Lookup, Missing, Type, TypeOf, Value
from inspect_tui.core.quantities import units
from inspect_tui.core.quantities.dimensions import TEMPERATURE, Dimension, with_article
from inspect_tui.core.quantities.units import Quantity, Unit
from inspect_tui.core.text.sanitize import ellipsize
from inspect_tui.core.text.suggestions import suggest
from inspect_tui.errors import BadInput

_OF_MANY: dict[
    str,
    tuple[
        Callable[[tuple[Quantity, ...]], Quantity | Missing],
        Callable[[Rows, Sequence[Samples]], Samples | Missing],
    ],
] = {
    "min": (arithmetic.lowest, columns.lowest),
    "max": (arithmetic.highest, columns.highest),
    "mean": (arithmetic.mean, columns.mean),
    "spread": (arithmetic.spread, columns.spread),
}
BUILT_IN = (*_OF_MANY, "abs", "round", "sqrt")
EMPTY = Missing("an empty list", measured=True)


def built_in(name: str, arguments: Sequence[Node], source: str) -> Node:
    """A function of the language. Raises BadInput where it is called wrongly."""
    if name in _OF_MANY:
        if not arguments:
            raise BadInput(f"'{source}' is empty;", f"write {name}(a, b) or {name}(list).")
        return _of_many(name, [as_quantity(node) for node in arguments], source)
    if name == "round":
        return _round(arguments, source)
    if len(arguments) != 1:
        raise BadInput(f"'{source}' has {len(arguments)} values;", f"{name} takes one.")
    inner = as_quantity(arguments[0])
    return _sqrt(inner, source) if name == "sqrt" else _abs(inner, source)


def _of_many(name: str, nodes: Sequence[Node], source: str) -> Node:
    operation, many_rows = _OF_MANY[name]

    def run(lookup: Lookup) -> Value | Missing:
        values: list[Quantity] = []
        missing: Missing | None = None
        for node in nodes:
            value = node.run(lookup)
            for part in value if isinstance(value, tuple) else (value,):
                if isinstance(part, Quantity):
                    values.append(part)
                else:
                    reason = arithmetic.no_number(part)
                    missing = reason if missing is None else worse(missing, reason)
        if missing is not None:
            return missing
        return operation(tuple(values)) if values else EMPTY

    def check(typeof: TypeOf) -> Type:
        found: list[tuple[Node, Type]] = []
        for node in nodes:
            kind = wanted_number(node, node.check(typeof))
            found.append((node, Type(kind.what, kind.dimension, kind.quantity_kind)))
        kind = common(found, source, many=False)
        if name == "spread" and kind.quantity_kind == "temperature":
            return Type("quantity", kind.dimension, "difference")
        return Type(kind.what, kind.dimension, kind.quantity_kind)

    def in_rows(rows: Rows) -> Sampled | Missing:
        values: list[Samples] = []
        missing: Missing | None = None
        for node in nodes:
            value = node.columns(rows)
            for part in value if isinstance(value, tuple) else (value,):
                if isinstance(part, Samples) and columns.is_number(part):
                    values.append(part)
                else:
                    reason = part if isinstance(part, Missing) else columns.no_number(part)
                    missing = reason if missing is None else worse(missing, reason)
        if missing is not None:
            return missing
        return many_rows(rows, values) if values else EMPTY

    return Node(run, check, in_rows, source)


def _abs(inner: Node, source: str) -> Node:
    def check(typeof: TypeOf) -> Type:
        kind = wanted_number(inner, inner.check(typeof))
        if kind.quantity_kind == "temperature":
            raise BadInput(
                f"'{source}' takes a temperature in degC or degF;",
                "take a difference of two temperatures.",
            )
        return kind

    return Node(
        lambda lookup: arithmetic.each(arithmetic.absolute, inner.run(lookup)),
        check,
        lambda rows: columns.each(rows, columns.absolute, inner.columns(rows)),
        source,
    )


def _sqrt(inner: Node, source: str) -> Node:
    half = Fraction(1, 2)

    def run(lookup: Lookup) -> Value | Missing:
        return arithmetic.each(lambda value: arithmetic.power(value, half), inner.run(lookup))

    def check(typeof: TypeOf) -> Type:
        kind = wanted_number(inner, inner.check(typeof))
        try:
            dimension, quantity_kind = arithmetic.to_power(kind.dimension, kind.quantity_kind, half)
        except BadInput as error:
            raise named_part(error, source) from None
        return kind if kind.what == "any" else Type("quantity", dimension, quantity_kind, kind.many)

    def in_rows(rows: Rows) -> Sampled | Missing:
        return columns.each(
            rows, lambda rows, value: columns.power(rows, value, half), inner.columns(rows)
        )

    return Node(run, check, in_rows, source)


def _round(arguments: Sequence[Node], source: str) -> Node:
    """`round(x)` of a plain number, `round(x, 'mm')` to whole units."""
    if len(arguments) not in (1, 2) or (len(arguments) == 2 and arguments[1].literal is None):
        raise BadInput(
            f"'{source}' is no way to round;", "write round(x) or, with a unit, round(x, 'mm')."
        )
    inner = as_quantity(arguments[0])
    unit_text = (arguments[1].literal or "") if len(arguments) == 2 else ""

    def run(lookup: Lookup) -> Value | Missing:
        unit = units.unit(unit_text)

        def one(value: Quantity) -> Value | Missing:
            _fits(value.dimension, value.quantity_kind, unit)
            return arithmetic.rounded(value, unit)

        return arithmetic.each(one, inner.run(lookup))

    def check(typeof: TypeOf) -> Type:
        kind = wanted_number(inner, inner.check(typeof))
        unit = units.unit(unit_text)
        if kind.what != "any":
            _fits(kind.dimension, kind.quantity_kind, unit)
        return kind

    def in_rows(rows: Rows) -> Sampled | Missing:
        unit = units.unit(unit_text)

        def one(rows: Rows, value: Samples) -> Samples | Missing:
            _fits(value.dimension, value.quantity_kind, unit)
            return columns.rounded(rows, value, unit)

        return columns.each(rows, one, inner.columns(rows))

    return Node(run, check, in_rows, source)


def _fits(dimension: Dimension, quantity_kind: str, unit: Unit) -> None:
    """Whether a value can be rounded to whole such units. Raises BadInput."""
    quantity_kinds = {quantity_kind, unit.quantity_kind}
    same = len(quantity_kinds) == 1 or ("" in quantity_kinds and "percent" not in quantity_kinds)
    if dimension == unit.dimension and same:
        return
    usual = units.near(dimension)
    hint = f"write round(x, '{usual[0]}')." if usual else "write round(x)."
    if quantity_kind == "percent":
        hint = "write round(x, '%')."
    shown = f"to whole '{ellipsize(unit.text)}'" if unit.text else "without a unit"
    raise BadInput(f"{with_article(dimension, quantity_kind)} can't be rounded {shown};", hint)


# --- registered calculations ----------------------------------------------------------------


def calculation(function: str, keywords: Mapping[str, Node], source: str) -> Node | None:
    """A registered calculation, called with keywords; None if there is none so named.

    Raises:
        BadInput: an unknown or missing input.
    """
    resolved = calculations.resolve(function)
    if resolved is None:
        return None
    found, key = resolved
    name = found.name
    known = [entry.name for entry in found.inputs]
    for word in keywords:
        if word not in known:
            raise BadInput(
                f"{name} has no input '{ellipsize(word)}';",
                suggest(word, known) or f"its inputs are {', '.join(known)}.",
            )
    for entry in found.inputs:
        if entry.name not in keywords and not entry.optional:
            raise BadInput(
                f"{name} needs {entry.name};", f"write {function}({entry.name}=..., ...)."
            )
    sides = {entry.name: _Given(name, entry.name, entry.choices) for entry in found.inputs}
    nodes = {word: sides[word].node(node) for word, node in keywords.items()}

    def run(lookup: Lookup) -> Value | Missing:
        arguments = _gathered((word, node.run(lookup)) for word, node in nodes.items())
        if isinstance(arguments, Missing):
            return arguments
        try:
            outcome = calculations.call(name, arguments)[key]
        except BadInput as refusal:
            return Missing(str(refusal), measured=True)
        return Missing(f"{name} gives no {key}", measured=True) if outcome is None else outcome

    def check(typeof: TypeOf) -> Type:
        groups: dict[str, Type] = {}
        for word, node in nodes.items():
            sides[word].check(node, node.check(typeof), groups)
        return _result(signature(found).result(key), groups)

    def in_rows(rows: Rows) -> Sampled | Missing:
        arguments = _gathered((word, node.columns(rows)) for word, node in nodes.items())
        if isinstance(arguments, Missing):
            return arguments
        return calculation_rows.call(rows, found, key, arguments)

    return Node(run, check, in_rows, source)


def _gathered(values: Iterable[tuple[str, Any]]) -> dict[str, Any] | Missing:
    """The arguments by name, or of the reasons why one is missing the one to say."""
    arguments: dict[str, Any] = {}
    missing: Missing | None = None
    for word, value in values:
        if isinstance(value, Missing):
            missing = value if missing is None else worse(missing, value)
        else:
            arguments[word] = value
    return arguments if missing is None else missing


class _Given:
    """One input of a calculation, as an expression gives it."""

    def __init__(self, calculation: str, name: str, choices: tuple[str, ...]) -> None:
        self.calculation = calculation
        self.name = name
        self.choices = choices

    @property
    def side(self) -> Side:
        """What the calculation wants; asked late, since it imports the units."""
        side = signature(calculations.calculation(self.calculation)).input(self.name)
        assert side is not None
        return side

    def node(self, node: Node) -> Node:
        """The argument with its quoted texts read as what is wanted."""
        entry = calculations.calculation(self.calculation)
        unit = next(one.unit for one in entry.inputs if one.name == self.name)
        if unit is None:
            return node
        if node.parts is not None:
            return listed([self.node(part) for part in node.parts], node.text)
        if node.literal is None:
            return node
        text = node.literal

        def quantity() -> Quantity:
            return read_quantity(text, self.side.dimension, self.side.quantity_kind)

        def check(_: TypeOf) -> Type:
            found = quantity()
            return Type("quantity", found.dimension, found.quantity_kind)

        return Node(lambda _: quantity(), check, lambda _: lifted(quantity()), node.text)

    def check(self, node: Node, kind: Type, groups: dict[str, Type]) -> None:
        """Whether the argument can be what is wanted. Raises BadInput."""
        side = self.side
        if kind.many and not side.many:
            raise BadInput(
                f"{self.calculation}: {self.name} takes one value, and '{node.text}' is a list."
            )
        if side.sort == "word":
            self._check_word(node, kind, side)
            return
        if kind.what in ("text", "bool"):
            raise BadInput(
                f"{self.calculation}: {self.name} is a number, and '{node.text}' is {what(kind)}."
            )
        if kind.what == "any":
            return
        if side.sort == "like":
            self._check_group(node, kind, side, groups)
            return
        quantity_kind = side.quantity_kind
        clash = {kind.quantity_kind, quantity_kind} == {"temperature", "difference"}
        if side.sort == "quantity" and not kind.dimension:
            clash = (kind.quantity_kind == "percent") != (quantity_kind == "percent")
        if kind.dimension == side.dimension and not clash:
            return
        such = next(
            entry.example
            for entry in calculations.calculation(self.calculation).inputs
            if entry.name == self.name
        )
        wanted = with_article(side.dimension, quantity_kind)
        raise BadInput(
            f"{self.calculation}: {self.name} is {wanted}, and '{node.text}' is {what(kind)};",
            f"write one such as '{such}'.",
        )

    def _check_word(self, node: Node, kind: Type, side: Side) -> None:
        number = not kind.dimension and self.choices
        if kind.what == "quantity" and not side.many and not number:
            raise BadInput(
                f"{self.calculation}: {self.name} is a word, and '{node.text}' is {what(kind)}."
            )
        word = node.literal
        if word is None or not self.choices:
            return
        if word.casefold() not in [choice.casefold() for choice in self.choices]:
            raise BadInput(
                f"{self.calculation}: {self.name} can't be '{ellipsize(word)}';",
                f"choose from {', '.join(self.choices)}.",
            )

    def _check_group(self, node: Node, kind: Type, side: Side, groups: dict[str, Type]) -> None:
        quantity_kind = (
            "" if side.difference and kind.quantity_kind == "difference" else kind.quantity_kind
        )
        if side.difference and quantity_kind == "temperature":
            raise BadInput(
                f"{self.calculation}: {self.name} is a difference, and '{node.text}' "
                "is a temperature."
            )
        first = groups.setdefault(side.group, Type("quantity", kind.dimension, quantity_kind))
        percents = {first.quantity_kind == "percent", quantity_kind == "percent"}
        clash = {first.quantity_kind, quantity_kind} == {"temperature", "difference"} or len(
            percents
        ) > 1
        if first.dimension != kind.dimension or clash:
            raise BadInput(
                f"{self.calculation}: {self.name} is {what(kind)}, and {what(first)} is wanted, "
                "like the values before it."
            )


def _result(side: Side | None, groups: Mapping[str, Type]) -> Type:
    if side is None or side.sort == "word":
        return Type("any")
    if side.sort != "like":
        return Type("quantity", side.dimension, side.quantity_kind)
    like = groups.get(side.group)
    if like is None:
        return Type("any")
    if side.per:
        below = groups.get(side.per)
        if below is None:
            return Type("any")
        return Type("quantity", *slope_of(like, below))
    difference = side.difference and like.dimension == TEMPERATURE
    return Type("quantity", like.dimension, "difference" if difference else like.quantity_kind)
