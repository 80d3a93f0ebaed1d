"""A vector picture on a sheet of the PDF: lines, areas and type, no image."""

from __future__ import annotations

from typing import Any, Final

from inspect_tui.core.presentation.pictures.vector_picture import (
    Disc,
    Path,
    Shape,
    Tone,
    VectorPicture,
    Words,
)
from inspect_tui.report.pdf.layout import COLOURS, FAINT, INK, RULE, ZONE, Sheets

_TONES: Final[dict[Tone, tuple[int, int, int]]] = {
    "ink": INK, "faint": FAINT, "rule": RULE, "zone": ZONE, "paper": (255, 255, 255),
    "pass": COLOURS["pass"], "fail": COLOURS["fail"], "uncertain": COLOURS["uncertain"],
}  # fmt: skip
_POINTS_PER_MM: Final = 72 / 25.4


def height(picture: VectorPicture, width: float) -> float:
    """How high a picture is that is `width` mm wide, in mm."""
    return picture.height * width / picture.width


def draw(pdf: Sheets, picture: VectorPicture, x: float, y: float, width: float) -> float:
    """Draw a picture `width` mm wide, its upper left corner at `x`, `y` mm.

    The caller has seen to it that it fits on the sheet (`pdf.keep(height(...))`); the place where
    text goes on, the type and the lines' look are as they were before, where it matters.

    Returns:
        Its height in mm.
    """
    factor = width / picture.width
    placed = _Placed(pdf, factor, x - picture.left * factor, y - picture.top * factor)
    with pdf.local_context():
        for shape in picture.shapes:
            placed.draw(shape)
    pdf.type()
    return height(picture, width)


class _Placed:
    """A picture's units on a sheet."""

    def __init__(self, pdf: Sheets, factor: float, left: float, top: float) -> None:
        self.pdf, self.factor, self.left, self.top = pdf, factor, left, top

    def at(self, point: tuple[float, float]) -> tuple[float, float]:
        """A point in mm."""
        return self.left + point[0] * self.factor, self.top + point[1] * self.factor

    def draw(self, shape: Shape) -> None:
        """One shape."""
        match shape:
            case Path():
                self._path(shape)
            case Disc():
                style = self._look(shape.stroke, shape.width, shape.fill)
                x, y = self.at(shape.centre)
                self.pdf.circle(x, y, shape.radius * self.factor, style=style)
            case Words():
                self._words(shape)

    def _look(self, stroke: Tone | None, width: float, fill: Tone | None) -> Any:
        if stroke is not None:
            self.pdf.set_draw_color(*_TONES[stroke])
            self.pdf.set_line_width(max(width * self.factor, 0.1))
        if fill is not None:
            self.pdf.set_fill_color(*_TONES[fill])
        return ("D" if stroke is not None else "") + ("F" if fill is not None else "")

    def _path(self, path: Path) -> None:
        style = self._look(path.stroke, path.width, path.fill)
        if path.dash is not None:
            self.pdf.set_dash_pattern(*(length * self.factor for length in path.dash))
        points = [self.at(point) for point in path.points]
        self.pdf.polyline(points, style=style, polygon=path.closed)
        if path.dash is not None:
            self.pdf.set_dash_pattern()

    def _words(self, words: Words) -> None:
        pdf = self.pdf
        pdf.type(
            words.size * self.factor * _POINTS_PER_MM, bold=words.bold, colour=_TONES[words.tone]
        )
        room = float("inf") if words.room is None else words.room * self.factor
        text = pdf.fitted(words.text, room)
        if not text:
            return
        x, y = self.at(words.at)
        wide = pdf.get_string_width(text)
        back = {"start": 0.0, "middle": wide / 2, "end": wide}[words.anchor]
        pdf.text(x - back, y, text)
