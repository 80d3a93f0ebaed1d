"""A picture as shapes: what HTML draws as SVG and the PDF as lines, from one description.

Pure. Positions and sizes are in the picture's own units, x to the right and y down; tones are
meanings that the report's look turns into colours, and no meaning rests on them alone.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal, get_args

from inspect_tui.core.model.log_entry import Phase
from inspect_tui.core.model.results import Verdict
from inspect_tui.core.presentation.pictures.polyline import Point, arc
from inspect_tui.core.presentation.pictures.text_picture import fitted, safe
from inspect_tui.core.presentation.pictures.text_picture import width as cells
from inspect_tui.core.presentation.wording import PHASES

Tone = Literal["ink", "faint", "rule", "zone", "paper", "pass", "fail", "uncertain"]
Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True, slots=True)
class Path:
    """A line through points, or an area."""

    points: tuple[Point, ...]
    stroke: Tone | None = "ink"
    width: float = 0.3
    fill: Tone | None = None
    closed: bool = False
    dash: tuple[float, float] | None = None
    """Lengths drawn and left out."""


@dataclass(frozen=True, slots=True)
class Disc:
    """A ring or a full disc."""

    centre: Point
    radius: float
    stroke: Tone | None = "ink"
    width: float = 0.3
    fill: Tone | None = None


@dataclass(frozen=True, slots=True)
class Words:
    """One line of text, its baseline at `y`."""

    at: Point
    text: str
    size: float
    anchor: Anchor = "start"
    tone: Tone = "ink"
    bold: bool = False
    room: float | None = None
    """The width that it may take; longer text is cut with an ellipsis."""


Shape = Path | Disc | Words


@dataclass(frozen=True, slots=True)
class VectorPicture:
    """Shapes in a frame of `width` by `height`, its upper left corner at `left`, `top`."""

    width: float
    height: float
    shapes: tuple[Shape, ...]
    title: str
    """What the picture is of."""
    description: str
    """What it shows, for who can't see it."""
    left: float = 0.0
    top: float = 0.0


LETTER: Final = 0.56
"""Width of a character by its size in the reports' condensed face, reckoned a little high."""


def text_width(text: str, size: float) -> float:
    """About how wide a text is; nothing here can measure type."""
    return cells(text) * LETTER * size


def shortened(words: Words) -> str:
    """The text as it can be shown, cut with an ellipsis where it would take more than its room."""
    text = safe(words.text)
    return text if words.room is None else fitted(text, int(words.room / (LETTER * words.size)))


def extent(words: Words) -> tuple[float, float, float, float]:
    """About where a text lies: left, top, right, bottom."""
    (x, y), wide = words.at, text_width(shortened(words), words.size)
    left = x - {"start": 0.0, "middle": wide / 2, "end": wide}[words.anchor]
    return left, y - 0.75 * words.size, left + wide, y + 0.22 * words.size


Meaning = tuple[tuple[Shape, ...], str]
"""A row of a legend: a sign, drawn about 0, 0, and its words."""


def phases_meant(phases: Collection[Phase], size: float) -> list[Meaning]:
    """The rows of a legend for the phases that occur."""
    return [
        (sign(PHASE_SIGNS[phase], (0, 0), size, "ink"), mark.word)
        for phase, mark in PHASES.items()
        if phase in phases
    ]


def legend(
    entries: Sequence[Meaning], at: Point, room: float, size: float
) -> tuple[list[Shape], float]:
    """Signs (drawn about 0, 0) with their words, beside each other, on as many lines as it takes.

    Returns:
        The shapes, and how high they are.
    """
    shapes: list[Shape] = []
    x, y, line = at[0], at[1], 1.7 * size
    for signs, text in entries:
        wide = 4.2 * size / 2 + text_width(text, size) + 1.6 * size
        if x > at[0] and x + wide > at[0] + room:
            x, y = at[0], y + line
        shapes += [moved(one, (x + size, y + line / 2)) for one in signs]
        shapes.append(Words((x + 2.1 * size, y + line / 2 + 0.35 * size), text, size, tone="faint"))
        x += wide
    return shapes, y + line - at[1] if entries else 0.0


def moved(shape: Shape, by: Point) -> Shape:
    """The same shape elsewhere."""
    match shape:
        case Path():
            points = tuple((x + by[0], y + by[1]) for x, y in shape.points)
            return replace(shape, points=points)
        case Disc():
            return replace(shape, centre=(shape.centre[0] + by[0], shape.centre[1] + by[1]))
        case Words():
            return replace(shape, at=(shape.at[0] + by[0], shape.at[1] + by[1]))


def whisker(start: Point, end: Point, half: float, tone: Tone = "uncertain") -> tuple[Shape, ...]:
    """A bar of uncertainty with a stroke across each end, lying or standing."""
    flat = start[1] == end[1]
    across = (0.0, half) if flat else (half, 0.0)
    ends = (
        Path(((x - across[0], y - across[1]), (x + across[0], y + across[1])), tone, 0.45)
        for x, y in (start, end)
    )
    return (Path((start, end), tone, 0.45), *ends)


def rectangle(
    x: float, y: float, width: float, height: float, *,
    stroke: Tone | None = "ink", fill: Tone | None = None, line: float = 0.3,
) -> Path:  # fmt: skip
    """A rectangle from its upper left corner."""
    points = ((x, y), (x + width, y), (x + width, y + height), (x, y + height))
    return Path(points, stroke, line, fill, closed=True)


# --- signs ----------------------------------------------------------------------------------
# Drawn, not typed: a reader's fonts may lack them, and they shall look the same everywhere.

SignShape = Literal[
    "cross", "tick", "question", "again", "square", "half-square", "full-square", "bar",
    "dashes", "point", "triangle", "ring", "disc", "diamond",
]  # fmt: skip

SHAPE_NAMES: Final[tuple[SignShape, ...]] = get_args(SignShape)

_OPEN_LINES: Final[dict[SignShape, tuple[tuple[Point, ...], ...]]] = {
    "cross": (((-0.8, -0.8), (0.8, 0.8)), ((-0.8, 0.8), (0.8, -0.8))),
    "tick": (((-0.9, 0.1), (-0.3, 0.8), (0.9, -0.8)),),
    "question": (
        ((-0.6, -0.5), (-0.4, -0.9), (0.2, -1.0), (0.6, -0.6), (0.5, -0.2), (0.0, 0.1), (0.0, 0.4)),
        ((0.0, 0.8), (0.0, 1.0)),
    ),
    "again": (arc(0.0, 0.0, 0.85, -60, 210), ((0.95, -1.2), (0.42, -0.74), (1.05, -0.38))),
    "bar": (((-0.9, 0.0), (0.9, 0.0)),),
    "dashes": (((-1.0, 0.0), (-0.3, 0.0)), ((0.3, 0.0), (1.0, 0.0))),
}
_SQUARE: Final = ((-0.8, -0.8), (0.8, -0.8), (0.8, 0.8), (-0.8, 0.8))
_LEFT_HALF: Final = ((-0.8, -0.8), (0.0, -0.8), (0.0, 0.8), (-0.8, 0.8))


VERDICT_SIGNS: Final[dict[Verdict, tuple[SignShape, Tone]]] = {
    "pass": ("tick", "pass"),
    "fail": ("cross", "fail"),
    "uncertain": ("question", "uncertain"),
    "none": ("point", "faint"),
}
PHASE_SIGNS: Final[dict[Phase, SignShape]] = {"as-found": "ring", "as-left": "disc"}


def sign(shape: SignShape, at: Point, size: float, tone: Tone) -> tuple[Shape, ...]:
    """A sign around a point.

    Args:
        shape: Which.
        at: Its middle.
        size: Half of its height.
        tone: Its tone.
    """

    def placed(points: Sequence[Point]) -> tuple[Point, ...]:
        return tuple((at[0] + x * size, at[1] + y * size) for x, y in points)

    line = 0.42 * size
    match shape:
        case "square":
            return (Path(placed(_SQUARE), tone, line, closed=True),)
        case "half-square":
            return (
                Path(placed(_LEFT_HALF), None, 0, tone, closed=True),
                Path(placed(_SQUARE), tone, line, closed=True),
            )
        case "full-square":
            return (Path(placed(_SQUARE), tone, line, tone, closed=True),)
        case "point":
            return (Disc(at, 0.35 * size, None, 0, tone),)
        case "ring":
            return (Disc(at, 0.8 * size, tone, line, "paper"),)
        case "disc":
            return (Disc(at, 0.8 * size, None, 0, tone),)
        case "diamond":
            points = placed(((0, -1), (0.8, 0), (0, 1), (-0.8, 0)))
            return (Path(points, tone, 0.3 * size, "paper", closed=True),)
        case "triangle":
            points = placed(((0, -1), (1.1, 0.9), (-1.1, 0.9)))
            return (Path(points, None, 0, tone, closed=True),)
        case _:
            return tuple(Path(placed(each), tone, line) for each in _OPEN_LINES[shape])
