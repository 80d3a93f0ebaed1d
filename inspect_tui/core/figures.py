"""Figures of a machine sheet as the values that expressions see."""

from __future__ import annotations

from inspect_tui.core import readings
from inspect_tui.core.machine import Figure, Machine, Words
from inspect_tui.core.values import Value
from inspect_tui.errors import InspectError


def figures(machine: Machine) -> dict[str, Value]:
    """Everything that `spec.NAME` finds: numbers, quantities, words, lists of them."""
    found: dict[str, Value] = {}
    for name, figure in machine.spec.items():
        value = parsed(figure)
        if value is not None:
            found[name] = value
    for name, words in machine.spec_text.items():
        found[name] = _words(words)
    return found


def _words(words: Words) -> Value:
    return tuple(words) if isinstance(words, list | tuple) else words


def parsed(figure: Figure) -> Value | None:
    """A number, a quantity or a list of them; None where it can't be read."""
    if isinstance(figure, list | tuple):
        parts = [parsed(part) for part in figure]
        return None if any(part is None for part in parts) else tuple(parts)
    try:
        return readings.quantity(figure if isinstance(figure, str) else str(figure))
    except InspectError:
        return None
