"""The arithmetic of the TOML files: parsed once, dimension-checked at load, evaluated on quantities.

A subset of Python's expressions, read through `ast` with a whitelist of our own; never `eval`.
Bounded in length, depth and exponent.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Literal

from inspect_tui.core.units import Dimension, Quantity

Value = Quantity | str | bool | tuple[object, ...]
"""What an expression sees and gives; a tuple is a list, one element per cylinder."""

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


@dataclass(frozen=True, slots=True)
class Name:
    """A reference in an expression, with ids as they are written in the file."""

    where: Literal["value", "spec", "machine"]
    """"value" is a reading or a derived value of a step."""
    step: str = ""
    id: str = ""


@dataclass(frozen=True, slots=True)
class Missing:
    """No value, and why."""

    reason: str
    measured: bool = False
    """True where everything was measured and something else is in the way: a figure that the
    sheet lacks, a division by zero, an input out of a calculation's range."""


NOT_MEASURED = Missing("not measured")


@dataclass(frozen=True, slots=True)
class Type:
    """What is known of a value before there is one."""

    what: Literal["quantity", "text", "bool", "any"]
    dimension: Dimension = ()
    nature: str = ""
    many: bool = False
    """A list, one element per cylinder."""


class Expression:
    """One parsed expression."""

    text: str
    names: frozenset[Name]
    """Everything that it refers to."""

    def evaluate(self, lookup: Callable[[Name], Value | Missing]) -> Value | Missing:
        """The value now. Never raises for anything that a file or person can cause.

        `and`/`or` of something missing: missing, unless the other side decides alone.
        """
        raise NotImplementedError

    def check(self, typeof: Callable[[Name], Type]) -> Type:
        """The type that comes out.

        Raises:
            BadInput: one sentence; a wrong dimension, a list where one value is wanted ...
        """
        raise NotImplementedError


def parse(text: str, values: Mapping[str, Name]) -> Expression:
    """Parse once.

    `values` maps what may be written (`width`, `track_tension.deflection`: ids with `-` as `_`)
    to the name that it means; `spec.NAME` and `machine.NAME` are always known here.

    Raises:
        BadInput: one sentence that says what is wrong, with the near word for an unknown name.
    """
    raise NotImplementedError
