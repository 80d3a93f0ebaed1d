"""The parts of an expression: each works out its value and, before there is one, its type.

Made by `parser` from the text; a part is three closures (the value, its type, its value in many
rows of draws), so that working a value out costs no more than its arithmetic. A quoted text stays
undecided until its neighbour says whether a quantity or a word is meant.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Literal

from inspect_tui.core.expressions import arithmetic, columns
from inspect_tui.core.expressions.arithmetic import Rule, pairwise, worse
from inspect_tui.core.expressions.columns import Rows, Sampled, Samples, lifted
from inspect_tui.core.expressions.quoted import read_quantity
from inspect_tui.core.expressions.values import (
    BOOL,
    TEXT,
    Lookup,
    Missing,
    Name,
    Type,
    TypeOf,
    Value,
)
from inspect_tui.core.quantities.dimensions import Dimension, with_article
from inspect_tui.core.quantities.units import Quantity
from inspect_tui.core.text.sanitize import ellipsize
from inspect_tui.errors import BadInput


@dataclass(frozen=True, slots=True, eq=False)
class Node:
    """One part of an expression."""

    run: Callable[[Lookup], Value | Missing]
    check: Callable[[TypeOf], Type]
    """Raises BadInput."""
    columns: Callable[[Rows], Sampled | Missing]
    """The value in every row of a set of draws; raises BadInput."""
    text: str
    """The part's own words, for a message."""
    literal: str | None = None
    """What stands in the quotes, if this is a quoted text."""
    parts: tuple[Node, ...] | None = None
    """The elements of a list in brackets."""
    name: Name | None = None
    """What it refers to, if it is a bare name."""
    answers: tuple[Literal["and", "or", "not"], tuple[Node, ...]] | None = None
    """How it is put together, if it is `and`, `or` or `not`."""
    sides: Callable[[Rows], list[tuple[Sampled | Missing, str, Sampled | Missing]]] | None = None
    """What it compares in every row (left, sign, right), if it is a comparison."""


def quoted(text: str, source: str) -> Node:
    """A quoted text, as a word."""
    return Node(lambda _: text, lambda _: TEXT, lambda _: text, source, literal=text)


def number(value: Fraction, source: str) -> Node:
    """A plain number."""
    known = Quantity(value)
    sampled = lifted(known)
    return Node(lambda _: known, lambda _: Type("quantity"), lambda _: sampled, source)


def answer(value: bool, source: str) -> Node:
    """True or false."""
    return Node(lambda _: value, lambda _: BOOL, lambda _: value, source)


def named(name: Name, source: str) -> Node:
    """A reading, a derived value, a figure or a fact."""

    def run(lookup: Lookup) -> Value | Missing:
        value = lookup(name)
        return _sound_list(value) if type(value) is tuple else value

    def in_rows(rows: Rows) -> Sampled | Missing:
        value = rows.find(name)
        return _sound_list(value) if type(value) is tuple else value

    return Node(run, lambda typeof: typeof(name), in_rows, source, name=name)


def _sound_list(value: tuple[Any, ...]) -> tuple[Any, ...] | Missing:
    """A list of ordinary length with all its values, or why not."""
    if len(value) > arithmetic.LONGEST_LIST:
        return Missing("the list is too long", measured=True)
    for part in value:
        if type(part) is Missing:
            return part
    return value


def as_quantity(node: Node) -> Node:
    """The node where a number is wanted: a quoted text counts as a quantity there."""
    if node.literal is not None:
        text = node.literal

        def check(_: TypeOf) -> Type:
            found = read_quantity(text)
            return Type("quantity", found.dimension, found.quantity_kind)

        return Node(
            lambda _: read_quantity(text), check, lambda _: lifted(read_quantity(text)), node.text
        )
    if node.parts is not None:
        return listed([as_quantity(part) for part in node.parts], node.text)
    return node


def listed(parts: Sequence[Node], source: str) -> Node:
    """A list in brackets."""
    nodes = tuple(parts)

    def run(lookup: Lookup) -> Value | Missing:
        values: list[Value] = []
        missing: Missing | None = None
        for node in nodes:
            value = node.run(lookup)
            if isinstance(value, Missing):
                missing = value if missing is None else worse(missing, value)
            elif isinstance(value, tuple):
                return Missing("a list in a list", measured=True)
            else:
                values.append(value)
        return tuple(values) if missing is None else missing

    def check(typeof: TypeOf) -> Type:
        return common([(node, node.check(typeof)) for node in nodes], source, many=True)

    def in_rows(rows: Rows) -> Sampled | Missing:
        values = tuple(node.columns(rows) for node in nodes)
        if any(isinstance(value, tuple) for value in values):
            return Missing("a list in a list", measured=True)
        return _sound_list(values)

    return Node(run, check, in_rows, source, parts=nodes)


def common(typed: Sequence[tuple[Node, Type]], source: str, *, many: bool) -> Type:
    """The type that several values share. Raises BadInput where they don't go together."""
    found: Type | None = None
    for node, kind in typed:
        if many and kind.many:
            raise BadInput(f"'{node.text}' is a list, and in '{source}' one value is wanted.")
        if kind.what == "any":
            continue
        if found is None:
            found = kind
        elif found.what != kind.what:
            raise BadInput(f"'{source}' mixes {what(found)} and {what(kind)}.")
        elif found.what == "quantity":
            quantity_kind = ruled(arithmetic.together, found, kind, source)
            found = Type("quantity", found.dimension, quantity_kind)
    if found is None:
        return Type("any", many=many)
    return Type(found.what, found.dimension, found.quantity_kind, many=many)


def what(kind: Type) -> str:
    """A type in words: `a length`, `a text`, `yes or no`."""
    if kind.what == "text":
        return "a text"
    if kind.what == "bool":
        return "yes or no"
    return with_article(kind.dimension, kind.quantity_kind)


def wanted_number(node: Node, kind: Type) -> Type:
    """The type, if it can be a number. Raises BadInput."""
    if kind.what in ("text", "bool"):
        raise BadInput(f"'{node.text}' is {what(kind)}, and a number is wanted here.")
    return kind


def ruled(rule: Rule, a: Type, b: Type, source: str) -> str:
    """The nature by a rule; its refusal names the part of the expression."""
    try:
        return rule(a.dimension, a.quantity_kind, b.dimension, b.quantity_kind)
    except BadInput as error:
        raise named_part(error, source) from None


def named_part(error: BadInput, source: str) -> BadInput:
    """The same refusal, with the words that it is about."""
    message = error.message.rstrip(":;.")
    tail = ";" if error.hint else "."
    return BadInput(f"'{ellipsize(source)}': {message}{tail}", error.hint)


# --- arithmetic -----------------------------------------------------------------------------

InRows = Callable[[Rows, Samples, Samples], Samples | Missing]
_SUMS: dict[str, tuple[Callable[[Quantity, Quantity], Value | Missing], Rule, InRows]] = {
    "+": (arithmetic.add, arithmetic.plus, columns.add),
    "-": (arithmetic.subtract, arithmetic.minus, columns.subtract),
}
_PRODUCTS: dict[
    str,
    tuple[
        Callable[[Quantity, Quantity], Value | Missing],
        Callable[[Dimension, str, Dimension, str], tuple[Dimension, str]],
        InRows,
    ],
] = {
    "*": (arithmetic.multiply, arithmetic.product, columns.multiply),
    "/": (arithmetic.divide, arithmetic.quotient, columns.divide),
}


def summed(sign: str, left: Node, right: Node, source: str) -> Node:
    """a + b or a - b; a quoted quantity is read in the light of the other side."""
    operation, rule, many_rows = _SUMS[sign]
    a_word, b_word = left.literal, right.literal
    if a_word is not None and b_word is not None:
        a_word = b_word = None
    a = left if a_word is not None else as_quantity(left)
    b = right if b_word is not None else as_quantity(right)

    def run(lookup: Lookup) -> Value | Missing:
        one, two = a.run(lookup), b.run(lookup)
        if a_word is not None:
            one = read_quantity(a_word, *_light(two))
        elif b_word is not None:
            two = read_quantity(b_word, *_light(one))
        return pairwise(operation, one, two)

    def check(typeof: TypeOf) -> Type:
        one, two = a.check(typeof), b.check(typeof)
        if a_word is not None:
            one = written_type(a_word, two)
        elif b_word is not None:
            two = written_type(b_word, one)
        wanted_number(a, one)
        wanted_number(b, two)
        many = one.many or two.many
        if one.what == "any" or two.what == "any":
            known = two if one.what == "any" else one
            if known.what == "any" or known.quantity_kind in ("temperature", "difference"):
                return Type("any", many=many)
            return Type("quantity", known.dimension, known.quantity_kind, many)
        return Type("quantity", one.dimension, ruled(rule, one, two, source), many)

    def in_rows(rows: Rows) -> Sampled | Missing:
        one, two = a.columns(rows), b.columns(rows)
        if a_word is not None:
            one = lifted(read_quantity(a_word, *columns.light(two)))
        elif b_word is not None:
            two = lifted(read_quantity(b_word, *columns.light(one)))
        return columns.pairwise(rows, many_rows, one, two)

    return Node(run, check, in_rows, source)


def _light(beside: Value | Missing) -> tuple[Dimension, str]:
    """Dimension and nature of what stands beside a quoted quantity."""
    first = beside[0] if isinstance(beside, tuple) and beside else beside
    return (first.dimension, first.quantity_kind) if isinstance(first, Quantity) else ((), "")


def written_type(text: str, beside: Type) -> Type:
    """The type of a quoted quantity beside another value."""
    found = read_quantity(text, beside.dimension, beside.quantity_kind)
    return Type("quantity", found.dimension, found.quantity_kind)


def multiplied(sign: str, left: Node, right: Node, source: str) -> Node:
    """a * b or a / b."""
    operation, rule, many_rows = _PRODUCTS[sign]
    a, b = as_quantity(left), as_quantity(right)

    def run(lookup: Lookup) -> Value | Missing:
        return pairwise(operation, a.run(lookup), b.run(lookup))

    def check(typeof: TypeOf) -> Type:
        one, two = wanted_number(a, a.check(typeof)), wanted_number(b, b.check(typeof))
        many = one.many or two.many
        try:
            dimension, quantity_kind = rule(
                one.dimension, one.quantity_kind, two.dimension, two.quantity_kind
            )
        except BadInput as error:
            raise named_part(error, source) from None
        if one.what == "any" or two.what == "any":
            return Type("any", many=many)
        return Type("quantity", dimension, quantity_kind, many)

    def in_rows(rows: Rows) -> Sampled | Missing:
        return columns.pairwise(rows, many_rows, a.columns(rows), b.columns(rows))

    return Node(run, check, in_rows, source)


def raised(base: Node, exponent: Fraction, source: str) -> Node:
    """A small power."""
    a = as_quantity(base)

    def run(lookup: Lookup) -> Value | Missing:
        return arithmetic.each(lambda value: arithmetic.power(value, exponent), a.run(lookup))

    def check(typeof: TypeOf) -> Type:
        one = wanted_number(a, a.check(typeof))
        try:
            dimension, quantity_kind = arithmetic.to_power(
                one.dimension, one.quantity_kind, exponent
            )
        except BadInput as error:
            raise named_part(error, source) from None
        return one if one.what == "any" else Type("quantity", dimension, quantity_kind, one.many)

    def in_rows(rows: Rows) -> Sampled | Missing:
        return columns.each(
            rows, lambda rows, value: columns.power(rows, value, exponent), a.columns(rows)
        )

    return Node(run, check, in_rows, source)


def signed(inner: Node, source: str) -> Node:
    """-a."""
    a = as_quantity(inner)

    def check(typeof: TypeOf) -> Type:
        one = wanted_number(a, a.check(typeof))
        if one.quantity_kind == "temperature":
            raise BadInput(f"'{source}' negates a temperature in degC or degF;", "write it in K.")
        return one

    return Node(
        lambda lookup: arithmetic.each(arithmetic.negative, a.run(lookup)),
        check,
        lambda rows: columns.each(rows, columns.negative, a.columns(rows)),
        source,
    )


def unsigned(inner: Node, source: str) -> Node:
    """+a."""
    a = as_quantity(inner)
    return Node(a.run, lambda typeof: wanted_number(a, a.check(typeof)), a.columns, source)
