"""What expressions see and give: values, names, reasons why there is none, and their types."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from inspect_tui.core.quantities.units import Dimension, Quantity

Value = Quantity | str | bool | tuple[object, ...]
"""What an expression sees and gives; a tuple is a list, one element per cylinder."""


@dataclass(frozen=True, slots=True)
class Name:
    """A reference in an expression, with ids as they are written in the file."""

    where: Literal["value", "spec", "machine", "conditions", "chart"]
    """"value" is a reading or a derived value of a step; "conditions" the session's air; "chart"
    a setting of the jet chart's band for that air."""
    step: str = ""
    id: str = ""
    """Of a figure or fact: as the expression writes it, so with `_` for `-`."""


@dataclass(frozen=True, slots=True)
class Missing:
    """No value, and why."""

    reason: str
    measured: bool = False
    """True where everything was measured and something else is in the way: a figure that the
    sheet lacks, a division by zero, an input out of a calculation's range."""
    is_figure: bool = False
    """True where it is a figure that the sheet lacks."""


NOT_MEASURED = Missing("not measured")


@dataclass(frozen=True, slots=True)
class Type:
    """What is known of a value before there is one."""

    what: Literal["quantity", "text", "bool", "any"]
    dimension: Dimension = ()
    quantity_kind: str = ""
    many: bool = False
    """A list, one element per cylinder."""
    options: tuple[str, ...] = ()
    """The texts that it can be, where they are known (a choice)."""


Lookup = Callable[[Name], Value | Missing]
"""The value of a name now."""
TypeOf = Callable[[Name], Type]
"""The type of a name, before there is a value."""

ANY = Type("any")
BOOL = Type("bool")
TEXT = Type("text")
PLAIN_NUMBER = Type("quantity")
