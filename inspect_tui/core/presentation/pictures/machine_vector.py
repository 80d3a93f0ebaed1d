"""The machine in line drawing as shapes: item numbers in balloons, each with its state in words.

Pure. In the manner of ISO 6433 (item references): a circle with the section's number in the list at
the end of a leader that ends in a dot on the part. Beside it its label, sign and state.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Final

from inspect_tui.core.model.drawing import DrawingPlace, MachineDrawing, Weight
from inspect_tui.core.presentation.pictures.polyline import Point
from inspect_tui.core.presentation.pictures.systems import SHAPES, SYSTEM_STATES, System
from inspect_tui.core.presentation.pictures.text_picture import safe, width
from inspect_tui.core.presentation.pictures.vector_picture import (
    Anchor,
    Disc,
    Path,
    Shape,
    Tone,
    VectorPicture,
    Words,
    extent,
    legend,
    sign,
)

UNITS: Final = 208.0
"""Every drawing is brought to this width, so that type and lines are of one size in all."""
EDGE: Final = 4.0
BALLOON: Final = 3.0
LETTER: Final = 3.9
"""Width that a letter of a label is given, as in the terminal; type is narrower."""
LABEL, STATE, ITEM = 4.0, 3.0, 3.2
"""Sizes of type."""
SIGN: Final = 1.5
BESIDE, WORDS = 6.0, 8.6
"""From a balloon's middle to the sign and to the words."""
ROW: Final = 9.0
COLUMN: Final = 66.0

SAFETY_WORDS: Final = "a safety step in it does not count as passed"

_LINES: Final[dict[Weight, tuple[float, Tone, tuple[float, float] | None]]] = {
    "outline": (0.6, "ink", None),
    "thin": (0.3, "ink", None),
    "hidden": (0.3, "ink", (1.6, 0.9)),
}
_LEADER: Final = 0.22


def vector(
    drawing: MachineDrawing, systems: Sequence[System], numbers: Mapping[str, int] | None = None
) -> VectorPicture:
    """The side view for a report.

    Args:
        drawing: The machine's side view.
        systems: The sections of the list in its order; those without a place stand underneath.
        numbers: Each section's number; without them their places in the order, from 1.
    """
    items = numbers or {one.section: number for number, one in enumerate(systems, 1)}
    known = {one.section: one for one in systems}
    factor = (UNITS - 2 * EDGE) / drawing.width
    places = [place for place in drawing.places if place.section in known]
    shapes: list[Shape] = []
    for line in drawing.lines:
        thick, tone, dash = _LINES[line.weight]
        shapes.append(Path(_scaled(line.points, factor), tone, thick, dash=dash))
    for place in places:
        shapes += _leader(place, factor)
    for place in places:
        x, y, after = _balloon(place, factor)
        system = known[place.section]
        shapes += _reference(system, place.label, items.get(place.section), (x, y), after)
    top = -(drawing.margin * factor + EDGE)
    height = (drawing.height + 2 * drawing.margin) * factor + 2 * EDGE
    elsewhere = [one for one in systems if drawing.place(one.section) is None]
    per_row = int((UNITS - 2 * EDGE) // COLUMN)
    for number, one in enumerate(elsewhere):
        row, column = divmod(number, per_row)
        at = (EDGE + COLUMN * column, top + height + ROW * row + ROW / 2)
        shapes += _reference(one, one.title, items.get(one.section), at, after=False)
    height += ROW * math.ceil(len(elsewhere) / per_row)
    if any(one.safety for one in systems):
        entry = (sign("triangle", (0, 0), SIGN, "fail"), SAFETY_WORDS)
        more, high = legend([entry], (EDGE, top + height), UNITS - 2 * EDGE, STATE)
        shapes += more
        height += high + 1
    spans = [extent(one) for one in shapes if isinstance(one, Words)]
    left = min([-EDGE, *(span[0] - 1 for span in spans)])
    right = max([UNITS - EDGE, *(span[2] + 1 for span in spans)])
    said = "; ".join(one.line() for one in systems)
    return VectorPicture(right - left, height, tuple(shapes), safe(drawing.name), said, left, top)


def _scaled(points: Sequence[Point], factor: float) -> tuple[Point, ...]:
    return tuple((x * factor, y * factor) for x, y in points)


def _balloon(place: DrawingPlace, factor: float) -> tuple[float, float, bool]:
    """Where the balloon stands, and whether after its label: at the end nearer to the place."""
    x, y = place.label_at[0] * factor, place.label_at[1] * factor
    wide = (width(safe(place.label)) + 2) * LETTER
    if place.at is None:
        return x + BALLOON, y, False
    to = (place.via or place.at)[0] * factor
    after = place.side == "left" or (place.side in ("up", "down") and to > x + wide / 2)
    return (x + wide if after else x + BALLOON), y, after


def _leader(place: DrawingPlace, factor: float) -> list[Shape]:
    if place.at is None:
        return []
    x, y, _ = _balloon(place, factor)
    points = _scaled([*([place.via] if place.via else []), place.at], factor)
    away = math.hypot(points[0][0] - x, points[0][1] - y) or 1.0
    share = BALLOON / away
    start = (x + (points[0][0] - x) * share, y + (points[0][1] - y) * share)
    return [Path((start, *points), "ink", _LEADER), Disc(points[-1], 0.7, None, 0, "ink")]


def _reference(
    system: System, label: str, number: int | None, at: Point, after: bool
) -> list[Shape]:
    """Balloon, sign, label and state; to the balloon's left where it stands after its label."""
    x, y = at
    side = -1 if after else 1
    anchor: Anchor = "end" if after else "start"
    shape, tone = SHAPES[system.state]
    word = SYSTEM_STATES[system.state].word
    state: Tone = "faint" if tone == "faint" else "ink"
    item = "" if number is None else str(number)
    shapes: list[Shape] = [
        Disc(at, BALLOON, "ink", 0.3, "paper"),
        Words((x, y + 0.36 * ITEM), item, ITEM, "middle", room=1.9 * BALLOON),
        *sign(shape, (x + side * BESIDE, y - (1.5 if system.safety else 0)), SIGN, tone),
    ]
    if system.safety:
        shapes += sign("triangle", (x + side * BESIDE, y + 2.2), SIGN, "fail")
    words = x + side * WORDS
    room = COLUMN - WORDS - BALLOON
    return [
        *shapes,
        Words((words, y), safe(label), LABEL, anchor, "ink", room=room),
        Words((words, y + STATE + 0.3), word, STATE, anchor, state, room=room),
    ]
