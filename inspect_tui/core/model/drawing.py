"""A machine's side view as data: where its lines run and where each section of a list sits.

Positions are in the drawing's own units, x from its left edge, y from its upper edge downwards.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

Weight = Literal["outline", "thin", "hidden"]
"""Of a line: seen edges, fine detail, what lies behind (dashed)."""
Side = Literal["up", "down", "left", "right", "none"]
"""On which side of its place a label stands; `none`: a section without a place of its own."""

WEIGHTS: tuple[Weight, ...] = get_args(Weight)
SIDES: tuple[Side, ...] = get_args(Side)


@dataclass(frozen=True, slots=True)
class DrawingLine:
    """One line of a part."""

    weight: Weight
    points: tuple[tuple[float, float], ...]
    min_columns: int = 0
    """Terminal columns from which on it is drawn; narrower, it would only blot."""


@dataclass(frozen=True, slots=True)
class DrawingPlace:
    """Where a section sits on the machine and where its label stands."""

    section: str
    label: str
    label_at: tuple[float, float]
    """The label's first cell."""
    side: Side
    at: tuple[float, float] | None = None
    """On the machine; None for a section without a place of its own."""
    via: tuple[float, float] | None = None
    """Where the leader bends."""


@dataclass(frozen=True, slots=True)
class MachineDrawing:
    """A side view."""

    name: str
    width: float
    height: float
    margin: float
    """Room for labels above and below."""
    lines: tuple[DrawingLine, ...]
    places: tuple[DrawingPlace, ...]

    def place(self, section: str) -> DrawingPlace | None:
        """The place of a section; None where the drawing has none."""
        return next((one for one in self.places if one.section == section), None)
