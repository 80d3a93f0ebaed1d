"""The arithmetic of the TOML files: parsed once, checked for dimensions, worked out.

A subset of Python's expressions, read through `ast` with a whitelist of our own; never `eval`.
Bounded in length, depth and exponent.

`arithmetic` holds the rules of dimensions, `expression_tree` the whitelist, `expression_nodes`
and `expression_functions` the parts.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping

from inspect_tui.core.expressions import arithmetic, parser
from inspect_tui.core.expressions.columns import Rows, Sampled, Samples, lifted
from inspect_tui.core.expressions.nodes import Node
from inspect_tui.core.expressions.values import (
    NOT_MEASURED,
    Lookup,
    Missing,
    Name,
    Type,
    TypeOf,
    Value,
)
from inspect_tui.core.quantities.units import Quantity
from inspect_tui.errors import InspectError

__all__ = [
    "NOT_MEASURED",
    "WORDS",
    "Expression",
    "Missing",
    "Name",
    "Type",
    "Value",
    "constant",
    "deferred",
    "in_percent",
    "parse",
]

WORDS = frozenset(
    {
        "spec",
        "machine",
        "min",
        "max",
        "abs",
        "round",
        "sqrt",
        "mean",
        "spread",
        "and",
        "or",
        "not",
        "true",
        "false",
        "True",
        "False",
        "None",
    }
)
"""Words of the expression language; no id may be one (nor a registered calculation's name)."""


class Expression:
    """One parsed expression."""

    text: str
    names: frozenset[Name]
    """Everything that it refers to."""
    uses: tuple[Name, ...]
    """The same, each as often as it is looked up."""

    needs_all: bool
    """Whether it has no value while one that it names is missing."""
    needs_one: bool
    """Whether it can't be true while every reading and derived value that it names is missing."""

    __slots__ = ("_make", "_node", "names", "needs_all", "needs_one", "text", "uses")

    def __init__(
        self,
        text: str,
        uses: tuple[Name, ...],
        node: Node | Callable[[], Node],
        *,
        needs_all: bool = False,
        needs_one: bool = False,
    ) -> None:
        """Take its parts.

        Args:
            text: As written.
            uses: What it refers to.
            node: Its outermost part, or what makes that when it is first wanted.
            needs_all: See there; False where nobody knows.
            needs_one: The same.
        """
        self.text = text
        self.names = frozenset(uses)
        self.uses = uses
        self.needs_all = needs_all
        self.needs_one = needs_one
        self._node = node if isinstance(node, Node) else None
        self._make = node

    @property
    def bare_name(self) -> Name | None:
        """The name, if the expression is nothing but one."""
        return self.node.name

    def evaluate(self, lookup: Callable[[Name], Value | Missing]) -> Value | Missing:
        """The value now. Never raises for anything that a file or person can cause.

        `and`/`or` of something missing: missing, unless the other side decides alone.
        """
        return answer_of(self._node or self.node, lookup)

    def in_rows(self, rows: Rows) -> Sampled | Missing:
        """The value in every row of a set of draws; never raises, as `evaluate`."""
        return in_rows(self.node, rows)

    @property
    def node(self) -> Node:
        """Its outermost part."""
        if self._node is None:
            assert not isinstance(self._make, Node)
            self._node = self._make()
        return self._node

    def check(self, typeof: Callable[[Name], Type]) -> Type:
        """The type that comes out.

        Raises:
            BadInput: one sentence; a wrong dimension, a list where one value is wanted ...
        """
        return self.node.check(typeof)

    def __repr__(self) -> str:
        return f"Expression({self.text!r})"


def answer_of(node: Node, lookup: Callable[[Name], Value | Missing]) -> Value | Missing:
    """A part's value now; never raises for anything that a file or person can cause."""
    try:
        return node.run(lookup)
    except InspectError as error:
        return Missing(str(error), measured=True)
    except (ArithmeticError, ValueError):
        return arithmetic.TOO_LARGE
    except RecursionError:
        return Missing("too many values rest on each other", measured=True)


def in_rows(node: Node, rows: Rows) -> Sampled | Missing:
    """A part's value in every row; never raises for anything that a file or person can cause."""
    try:
        return node.columns(rows)
    except InspectError as error:
        return Missing(str(error), measured=True)
    except (ArithmeticError, ValueError):
        return arithmetic.TOO_LARGE
    except RecursionError:
        return Missing("too many values rest on each other", measured=True)


def parse(text: str, values: Mapping[str, Name]) -> Expression:
    """Parse once.

    `values` maps what may be written (`width`, `track_tension.deflection`: ids with `-` as `_`)
    to the name that it means; `spec.NAME` and `machine.NAME` are always known here.

    Raises:
        BadInput: one sentence that says what is wrong, with the near word for an unknown name.
    """
    builder = parser.Builder(text, values)
    tree = parser.tree(text)
    node = builder.node(tree)
    return Expression(
        text, tuple(builder.names), node,
        needs_all=builder.needs_all(tree), needs_one=builder.needs_one(tree),
    )  # fmt: skip


def in_percent(inner: Expression) -> Expression:
    """The same, where a plain ratio counts as a percentage: what is declared in `%` is one.

    So a share that a list works out as `(best - this) / best` compares with `'10 %'` wherever it is
    named, as `check` takes it.
    """
    node = inner.node

    def run(lookup: Lookup) -> Value | Missing:
        value = node.run(lookup)
        if isinstance(value, Quantity) and not value.dimension and not value.quantity_kind:
            return Quantity(value.si, quantity_kind="percent")
        return value

    def check(typeof: TypeOf) -> Type:
        kind = node.check(typeof)
        plain = kind.what == "quantity" and not kind.dimension and not kind.quantity_kind
        return dataclasses.replace(kind, quantity_kind="percent") if plain else kind

    def in_rows(rows: Rows) -> Sampled | Missing:
        value = node.columns(rows)
        if isinstance(value, Samples) and not value.dimension and not value.quantity_kind:
            return Samples(value.si, (), "percent")
        return value

    return Expression(
        inner.text, inner.uses, Node(run, check, in_rows, inner.text), needs_all=inner.needs_all
    )


def constant(text: str, value: Value, kind: Type) -> Expression:
    """An expression that is one known value, such as an answer or a word."""
    return Expression(
        text, (), Node(lambda _: value, lambda _: kind, lambda _: lifted(value), text)
    )


def deferred(
    text: str, value: Callable[[], Value | Missing], kind: Callable[[], Type]
) -> Expression:
    """A constant that is worked out when it is first asked for, since units are imported late."""
    node = Node(lambda _: value(), lambda _: kind(), lambda _: lifted(value()), text)
    return Expression(text, (), node)
