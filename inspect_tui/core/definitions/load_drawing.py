"""Text of a machine's line drawing -> the frozen drawing and every problem in one pass.

Pure. What the file must look like stands in `check_drawing`; that labels find room at the least
size is looked at here, once the drawing can be drawn.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, cast

from inspect_tui.core.definitions import toml as definition_text
from inspect_tui.core.definitions.checks.check_drawing import check_drawing_form
from inspect_tui.core.definitions.problems import Problem, ProblemCollector
from inspect_tui.core.definitions.toml_positions import Path
from inspect_tui.core.model.drawing import DrawingLine, DrawingPlace, MachineDrawing, Side, Weight
from inspect_tui.core.presentation.pictures.machine_drawing import MIN_COLUMNS, MIN_ROWS, collisions
from inspect_tui.core.presentation.pictures.polyline import arc, smoothed

Table = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class LoadedDrawing:
    """What came of a drawing's file."""

    drawing: MachineDrawing | None
    """There where the form is sound; with labels that touch it can be drawn at larger sizes."""
    problems: tuple[Problem, ...]

    @property
    def sound(self) -> bool:
        """Whether there is no problem but notes."""
        return all(problem.note for problem in self.problems)


def is_drawing(text: str) -> bool:
    """Whether a file wants to be a drawing, sound or not: it has a table `drawing`."""
    found = definition_text.read(text, "")
    if isinstance(found, dict):
        # A list may name its drawing (`drawing = "sled"`) and is no drawing for that.
        return "drawing" in found and not isinstance(found["drawing"], str)
    lines = (line.strip() for line in text.splitlines())
    return any(line.startswith(("[drawing", "[[drawing")) for line in lines)


def load_drawing(text: str, file: str) -> LoadedDrawing:
    """A drawing, or every problem of its file.

    Args:
        text: The file's text.
        file: As the person named it.
    """
    data = definition_text.read(text, file)
    if isinstance(data, Problem):
        return LoadedDrawing(None, (data,))
    collector = ProblemCollector()
    check_drawing_form(data, collector)
    problems = collector.problems(text, file)
    if any(not problem.note for problem in problems):
        return LoadedDrawing(None, problems)
    drawing = _decode(data["drawing"])
    _check_room(drawing, collector)
    return LoadedDrawing(drawing, collector.problems(text, file))


# --- decoding -------------------------------------------------------------------------------


def _decode(data: Table) -> MachineDrawing:
    width, height = data["size"]
    lines = [_line(line) for part in data["part"] for line in part["lines"]]
    places = [_place(place) for place in data["place"]]
    margin = float(data.get("margin", 0))
    return MachineDrawing(
        data["name"], float(width), float(height), margin, tuple(lines), tuple(places)
    )


def _line(data: Table) -> DrawingLine:
    weight, least = cast(Weight, data["weight"]), data.get("least", 0)
    if "centre" in data:
        x, y = data["centre"]
        start, end = data.get("arc", (0, 360))
        return DrawingLine(weight, arc(x, y, data["radius"], start, end), least)
    flat = [float(each) for each in data["points"]]
    points = tuple(zip(flat[::2], flat[1::2], strict=True))
    closed = data.get("closed") is True
    if closed and points[0] == points[-1]:
        points = points[:-1]
    if data.get("smooth") is True:
        return DrawingLine(weight, smoothed(points, closed=closed), least)
    return DrawingLine(weight, (*points, points[0]) if closed else points, least)


def _place(data: Table) -> DrawingPlace:
    x, y = data["at"]
    side = cast(Side, data["leader"])
    at = None if side == "none" else (float(data["x"]), float(data["y"]))
    via = (float(data["via"][0]), float(data["via"][1])) if "via" in data else None
    return DrawingPlace(data["section"], data["label"], (float(x), float(y)), side, at, via)


# --- room -----------------------------------------------------------------------------------


def _check_room(drawing: MachineDrawing, collector: ProblemCollector) -> None:
    """Labels and signs that touch at the least size, or the edge."""
    numbers = {place.section: number for number, place in enumerate(drawing.places)}
    labels = {place.section: place.label for place in drawing.places}
    size = f"{MIN_COLUMNS} columns and {MIN_ROWS} rows"
    for section, other in collisions(drawing, MIN_COLUMNS, MIN_ROWS):
        path: Path = ("drawing", "place", numbers[section], "at")
        if other:
            collector.add(
                path,
                f"'{labels[section]}' touches '{labels[other]}' at {size}; move at, or x and y.",
            )
        else:
            collector.add(
                path, f"'{labels[section]}' lies over the edge at {size}; move at, or widen margin."
            )
