"""The parts of an expression that are yes or no: `and or not`, and comparisons."""

from __future__ import annotations

import operator
from collections.abc import Callable, Sequence
from typing import Literal

from inspect_tui.core.expressions import arithmetic, columns
from inspect_tui.core.expressions.answer_columns import (
    NOT_AN_ANSWER,
    Side,
    all_held,
    both_or_either_in_rows,
    folded,
    opposite_in_rows,
)
from inspect_tui.core.expressions.arithmetic import worse
from inspect_tui.core.expressions.columns import Rows, Sampled, lifted
from inspect_tui.core.expressions.nodes import Node, ruled, wanted_number, what, written_type
from inspect_tui.core.expressions.quoted import read_quantity
from inspect_tui.core.expressions.values import (
    ANY,
    BOOL,
    TEXT,
    Lookup,
    Missing,
    Type,
    TypeOf,
    Value,
)
from inspect_tui.core.quantities.units import Quantity
from inspect_tui.core.text.sanitize import ellipsize
from inspect_tui.errors import BadInput

# --- yes and no -----------------------------------------------------------------------------


def wanted_answer(node: Node, kind: Type) -> None:
    """Raises BadInput where a type can't be yes or no."""
    if kind.many:
        raise BadInput(f"'{node.text}' is a list, and one yes or no is wanted here.")
    if kind.what not in ("bool", "any"):
        raise BadInput(
            f"'{node.text}' is {what(kind)}, and yes or no is wanted here;", "compare it."
        )


def both_or_either(parts: Sequence[Node], decides: bool, source: str) -> Node:
    """`and` (decided by false) or `or` (decided by true)."""
    nodes = tuple(parts)

    def run(lookup: Lookup) -> Value | Missing:
        missing: Missing | None = None
        for node in nodes:
            value = node.run(lookup)
            if value is decides:
                return decides
            if not isinstance(value, bool):
                reason = value if isinstance(value, Missing) else NOT_AN_ANSWER
                missing = reason if missing is None else worse(missing, reason)
        return (not decides) if missing is None else missing

    def check(typeof: TypeOf) -> Type:
        for node in nodes:
            wanted_answer(node, node.check(typeof))
        return BOOL

    def in_rows(rows: Rows) -> Sampled | Missing:
        return both_or_either_in_rows(rows, (node.columns(rows) for node in nodes), decides)

    kind: Literal["or", "and"] = "or" if decides else "and"
    return Node(run, check, in_rows, source, answers=(kind, nodes))


def opposite(inner: Node, source: str) -> Node:
    """`not a`."""

    def run(lookup: Lookup) -> Value | Missing:
        value = inner.run(lookup)
        if isinstance(value, bool):
            return not value
        return value if isinstance(value, Missing) else NOT_AN_ANSWER

    def check(typeof: TypeOf) -> Type:
        wanted_answer(inner, inner.check(typeof))
        return BOOL

    def in_rows(rows: Rows) -> Sampled | Missing:
        return opposite_in_rows(rows, inner.columns(rows))

    return Node(run, check, in_rows, source, answers=("not", (inner,)))


# --- comparison -----------------------------------------------------------------------------

_ORDERS: dict[str, Callable[[int, int], bool]] = {
    "<": operator.lt,
    "<=": operator.le,
    ">": operator.gt,
    ">=": operator.ge,
    "==": operator.eq,
    "!=": operator.ne,
}


def compared(parts: Sequence[Node], signs: Sequence[str], source: str) -> Node:
    """`a < b`, also in a row: `a < b <= c`. Every part is worked out once."""
    nodes = tuple(parts)
    words = [node.literal for node in nodes]
    steps = [
        (place, _ORDERS[sign], sign in ("==", "!="), words[place], words[place + 1])
        for place, sign in enumerate(signs)
    ]

    def run(lookup: Lookup) -> Value | Missing:
        values = [node.run(lookup) for node in nodes]
        missing: Missing | None = None
        for place, order, equality, a_word, b_word in steps:
            a, b = values[place], values[place + 1]
            if a_word is not None and isinstance(b, Quantity):
                a = read_quantity(a_word, b.dimension, b.quantity_kind)
            elif b_word is not None and isinstance(a, Quantity):
                b = read_quantity(b_word, a.dimension, a.quantity_kind)
            result = held(a, order, b, equality)
            if result is False:
                return False
            if isinstance(result, Missing):
                missing = result if missing is None else worse(missing, result)
        return True if missing is None else missing

    def check(typeof: TypeOf) -> Type:
        kinds = [node.check(typeof) for node in nodes]
        for place, sign in enumerate(signs):
            pair = (nodes[place], kinds[place]), (nodes[place + 1], kinds[place + 1])
            _compare_types(*pair, sign, source)
        return BOOL

    def sides(rows: Rows) -> list[Side]:
        return _sides(rows, nodes, signs)

    return Node(run, check, lambda rows: all_held(rows, sides(rows)), source, sides=sides)


def _sides(rows: Rows, nodes: Sequence[Node], signs: Sequence[str]) -> list[Side]:
    """What is compared in every row; a quoted quantity is read in the light of the other side."""
    values = [node.columns(rows) for node in nodes]
    found: list[Side] = []
    for place, sign in enumerate(signs):
        a, b = values[place], values[place + 1]
        a_word, b_word = nodes[place].literal, nodes[place + 1].literal
        if a_word is not None and columns.is_number(b):
            a = lifted(read_quantity(a_word, *columns.light(b)))
        elif b_word is not None and columns.is_number(a):
            b = lifted(read_quantity(b_word, *columns.light(a)))
        found.append((a, sign, b))
    return found


def held(
    a: Value | Missing, order: Callable[[int, int], bool], b: Value | Missing, equality: bool
) -> bool | Missing:
    """Whether two values stand in this order."""
    if isinstance(a, Quantity) and isinstance(b, Quantity):
        return order(arithmetic.compare(a, b), 0)
    if isinstance(a, Missing):
        return worse(a, b) if isinstance(b, Missing) else a
    if isinstance(b, Missing):
        return b
    if not equality:
        return Missing("only numbers can be smaller or larger", measured=True)
    if isinstance(a, tuple) and isinstance(b, tuple):
        same = _same_lists(a, b)
        return same if isinstance(same, Missing) else order(0 if same else 1, 0)
    if isinstance(a, bool) and isinstance(b, bool):
        return order(int(a) - int(b), 0)
    if isinstance(a, str) and isinstance(b, str):
        return order(0 if folded(a) == folded(b) else 1, 0)
    return Missing("values of two kinds can't be compared", measured=True)


def _same_lists(a: tuple[object, ...], b: tuple[object, ...]) -> bool | Missing:
    if len(a) != len(b):
        return False
    for one, two in zip(a, b, strict=True):
        if isinstance(one, str) and isinstance(two, Quantity):
            one = read_quantity(one, two.dimension, two.quantity_kind)
        elif isinstance(two, str) and isinstance(one, Quantity):
            two = read_quantity(two, one.dimension, one.quantity_kind)
        same = held(one, operator.eq, two, True)  # type: ignore[arg-type]
        if isinstance(same, Missing):
            return same
        if not same:
            return False
    return True


def _compare_types(one: tuple[Node, Type], two: tuple[Node, Type], sign: str, source: str) -> None:
    (left, a), (right, b) = one, two
    if left.literal is not None and right.literal is None:
        a = _literal_type(left.literal, b, sign)
    elif right.literal is not None and left.literal is None:
        b = _literal_type(right.literal, a, sign)
    if a.many != b.many and ANY.what not in (a.what, b.what):
        longer = left if a.many else right
        raise BadInput(
            f"'{longer.text}' is a list, and in '{source}' one value is wanted;",
            "take min(), max(), mean() or spread() of it.",
        )
    if sign not in ("==", "!="):
        if a.many or b.many:
            raise BadInput(f"'{source}' orders lists;", "only == and != work on whole lists.")
        wanted_number(left, a)
        wanted_number(right, b)
    if ANY.what in (a.what, b.what):
        return
    if a.what != b.what:
        if left.parts is not None or right.parts is not None:
            return
        raise BadInput(f"'{source}' compares {what(a)} with {what(b)}.")
    if a.what == "quantity":
        ruled(arithmetic.together, a, b, source)


def _literal_type(text: str, beside: Type, sign: str) -> Type:
    """What a quoted text is beside the other side of a comparison."""
    if beside.what == "quantity" or (beside.what == "any" and sign not in ("==", "!=")):
        return written_type(text, beside)
    if beside.what == "any":
        return ANY
    known = beside.options if sign in ("==", "!=") else ()
    if known and folded(text) not in map(folded, known):
        raise BadInput(
            f"'{ellipsize(text)}' is none of the options,",
            f"which are {', '.join(map(ellipsize, known))}.",
        )
    return TEXT
