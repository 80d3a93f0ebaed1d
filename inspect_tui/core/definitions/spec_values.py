"""Figures of a machine sheet as the values that expressions see."""

from __future__ import annotations

from fractions import Fraction

from inspect_tui.core.expressions.values import Value
from inspect_tui.core.model.machine import Figure, Machine, Words
from inspect_tui.core.quantities.units import Quantity
from inspect_tui.core.readings import parse as readings
from inspect_tui.errors import InspectError


def written(name: str) -> str:
    """A name as expressions write it: `-` as `_`."""
    return name.replace("-", "_")


def facts(machine: Machine) -> dict[str, Value]:
    """Everything that `machine.NAME` finds."""
    return {
        written(name): fact if isinstance(fact, bool | str) else Quantity(Fraction(str(fact)))
        for name, fact in machine.machine.items()
    }


def figures(machine: Machine) -> dict[str, Value]:
    """Everything that `spec.NAME` finds: numbers, quantities, words, lists of them."""
    found: dict[str, Value] = {}
    for name, figure in machine.spec.items():
        value = parsed_figure(figure)
        if value is not None:
            found[written(name)] = value
    for name, words in machine.spec_text.items():
        found[written(name)] = _words(words)
    return found


def _words(words: Words) -> Value:
    return tuple(words) if isinstance(words, list | tuple) else words


def parsed_figure(figure: Figure) -> Value | None:
    """A number, a quantity or a list of them; None where it can't be read."""
    if isinstance(figure, list | tuple):
        parts = [parsed_figure(part) for part in figure]
        return None if any(part is None for part in parts) else tuple(parts)
    try:
        return readings.quantity(figure if isinstance(figure, str) else str(figure))
    except InspectError:
        return None
