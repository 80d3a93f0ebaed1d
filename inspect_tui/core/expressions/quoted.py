"""A quoted quantity of an expression, its short unit read in the light of what stands beside it."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from inspect_tui.core.quantities.dimensions import Dimension
from inspect_tui.core.quantities.units import Quantity, Unit
from inspect_tui.core.readings import parse as readings
from inspect_tui.errors import BadInput


@lru_cache(maxsize=4096)
def read_quantity(text: str, dimension: Dimension = (), quantity_kind: str = "") -> Quantity:
    """A quoted quantity, its short unit read in the light of what stands beside it."""
    try:
        found = readings.quantity(text, bare=False)
        if found.dimension == dimension or not dimension:
            return found
    except BadInput:
        if not dimension:
            raise
    wanted = Unit("", "", dimension, Fraction(1), quantity_kind=quantity_kind)
    try:
        return readings.quantity(text, wanted, bare=False)
    except BadInput:
        return readings.quantity(text, bare=False)
