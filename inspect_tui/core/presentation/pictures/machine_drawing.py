"""The machine in line drawing, in characters: each system's state at its place; else a table.

Pure. One drawing serves every size: it is scaled into a grid of dots, signs and labels are laid
over it, and where the labels would touch each other the systems stand as a table instead, as they
do without a drawing. Places of sections that the list lacks are left out, sections without a place
stand under the drawing. Refused: pictures of several sizes (they drift apart), signs without labels
(nobody knows what they mean).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final, Literal, NamedTuple, cast

from inspect_tui.core.model.drawing import DrawingPlace, MachineDrawing
from inspect_tui.core.presentation.pictures.polyline import Point, dots_along
from inspect_tui.core.presentation.pictures.systems import SAFETY, SYSTEM_STATES, System, marks_used
from inspect_tui.core.presentation.pictures.text_picture import (
    Canvas,
    Line,
    Region,
    Role,
    TextPicture,
    fitted,
    packed,
    safe,
    width,
)

MIN_COLUMNS: Final = 46
MIN_ROWS: Final = 14
"""The least size of the drawing itself, without legend; a drawing that ships has room there."""
BOLD_FROM: Final = 100
"""Columns from which an outline is two dots wide, so that it is told from a thin line."""
TABLE_COLUMNS: Final = 36
"""Columns from which on a table may stand in two halves beside each other."""

_DASHES: Final[dict[Role, tuple[int, int]]] = {"hidden": (3, 2), "leader": (1, 1)}
_ORDER: Final[tuple[Role, ...]] = ("outline", "thin", "hidden", "leader")

Direction = Literal["up", "down", "left", "right"]


class Scale(NamedTuple):
    """From a drawing's units to dots."""

    factor: float
    left: float
    top: float

    def dots(self, point: Point) -> Point:
        """A point in dots."""
        return point[0] * self.factor + self.left, point[1] * self.factor + self.top

    def cell(self, point: Point) -> tuple[int, int]:
        """The row and column of a point."""
        x, y = self.dots(point)
        return math.floor(y / 4), math.floor(x / 2)


def scale(drawing: MachineDrawing, columns: int, rows: int) -> Scale:
    """The largest scale at which the drawing and its labels' margin fit, centred."""
    high = drawing.height + 2 * drawing.margin
    factor = min(columns * 2 / drawing.width, rows * 4 / high)
    left = (columns * 2 - drawing.width * factor) / 2
    return Scale(factor, left, drawing.margin * factor + (rows * 4 - high * factor) / 2)


def collisions(drawing: MachineDrawing, columns: int, rows: int) -> tuple[tuple[str, str], ...]:
    """What touches at a size: two sections' labels or signs, or one and the edge (with "")."""
    return _collisions(drawing.places, scale(drawing, columns, rows), columns, rows)


def _collisions(
    places: Sequence[DrawingPlace], to: Scale, columns: int, rows: int
) -> tuple[tuple[str, str], ...]:
    taken: dict[tuple[int, int], str] = {}
    found: set[tuple[str, str]] = set()
    for place in places:
        spans = [(to.cell(place.label_at), width(safe(place.label)) + 2)]
        spans += [(to.cell(place.at), 1)] if place.at is not None else []
        for (row, column), wide in spans:
            if not (0 <= row < rows and column >= 0 and column + wide <= columns):
                found.add((place.section, ""))
            near = (taken.get((row, at), "") for at in range(column - 1, column + wide + 1))
            found |= {(place.section, other) for other in near if other not in ("", place.section)}
            taken |= {(row, at): place.section for at in range(column, column + wide)}
    return tuple(sorted(found))


# --- the picture ----------------------------------------------------------------------------


def draw(
    drawing: MachineDrawing | None,
    systems: Sequence[System],
    columns: int,
    rows: int,
    *,
    chosen: str = "",
    ascii: bool = False,  # noqa: A002
) -> TextPicture:
    """Each system's state at its place, with a legend; a table where that finds no room.

    Args:
        drawing: The machine's side view; None for a table.
        systems: The sections of the list in its order; each is marked and can be chosen.
        columns: Cells across.
        rows: Cells down, the legend among them.
        chosen: The section that is pointed at.
        ascii: Plain characters, for consoles that have no others.
    """
    if drawing is not None:
        drawn = _drawn(drawing, systems, columns, rows, chosen, ascii)
        if drawn is not None:
            return drawn
    return _table(drawing, systems, columns, rows, chosen, ascii)


def _drawn(
    drawing: MachineDrawing,
    systems: Sequence[System],
    columns: int,
    rows: int,
    chosen: str,
    ascii: bool,  # noqa: A002
) -> TextPicture | None:
    known = {one.section: one for one in systems}
    places = [place for place in drawing.places if place.section in known]
    elsewhere = [one for one in systems if drawing.place(one.section) is None]
    legend = _legend(systems, columns, ascii)
    under = _in_lines([_entry(one, one.title, ascii) for one in elsewhere], columns)
    high = rows - len(legend) - len(under)
    if not places or columns < MIN_COLUMNS or high < MIN_ROWS or len(under) > rows // 5:
        return None
    to = scale(drawing, columns, high)
    if _collisions(places, to, columns, high):
        return None
    canvas = Canvas(columns, rows, _ORDER)
    _lines(canvas, drawing, places, to)
    for place in places:
        _mark(canvas, place, known[place.section], to, chosen)
    for number, entries in enumerate(under):
        _put_entries(canvas, high + number, entries, chosen)
    for number, line in enumerate(legend):
        canvas.put_line(high + len(under) + number, line)
    return canvas.picture(ascii=ascii)


def _lines(
    canvas: Canvas, drawing: MachineDrawing, places: Sequence[DrawingPlace], to: Scale
) -> None:
    for line in drawing.lines:
        if canvas.columns < line.min_columns:
            continue
        points = [to.dots(point) for point in line.points]
        canvas.dots(dots_along(points), line.weight, _DASHES.get(line.weight, (1, 0)))
        if line.weight == "outline" and canvas.columns >= BOLD_FROM:
            beside = [(x + 1, y) for x, y in points]
            canvas.dots(dots_along(beside), line.weight, (1, 0))
    for place in places:
        canvas.dots(dots_along(_leader(place, to)), "leader", _DASHES["leader"])


def _leader(place: DrawingPlace, to: Scale) -> list[Point]:
    """From the label's edge (by `via`) to just before the sign, in dots."""
    if place.at is None or place.side == "none":
        return []
    row, column = to.cell(place.label_at)
    last = column + 1 + width(safe(place.label))
    end = to.dots(place.at)
    bend = to.dots(place.via) if place.via else end
    if place.side in ("up", "down"):
        x = min(max(bend[0], column * 2), last * 2 + 1)
        start = (x, row * 4 + (4.0 if place.side == "up" else -1.0))
    else:
        start = ((column * 2 - 2) if place.side == "right" else last * 2 + 3, row * 4 + 1.5)
    points = [start, *([bend] if place.via else [])]
    x, y = points[-1]
    away = math.hypot(end[0] - x, end[1] - y)
    short = max(0.0, 1 - 2.2 / away) if away else 0.0
    return [*points, (x + (end[0] - x) * short, y + (end[1] - y) * short)]


def _mark(canvas: Canvas, place: DrawingPlace, system: System, to: Scale, chosen: str) -> None:
    """The sign at the place, and sign and label beside."""
    mark, here = SYSTEM_STATES[system.state].sign, system.section == chosen
    role: Role = system.state
    if place.at is not None:
        row, column = to.cell(place.at)
        canvas.clear_around(row, column)
        canvas.put(row, column, mark, "chosen" if here else role)
        canvas.region(system.section, row, column - 1, column + 2)
    row, column = to.cell(place.label_at)
    label = safe(place.label)
    canvas.put(row, column, mark, role)
    canvas.put(row, column + 1, SAFETY.sign if system.safety else " ", "safety")
    quiet: Role = "not-needed" if system.state == "not-needed" else "plain"
    canvas.put(row, column + 2, label, "chosen" if here else quiet)
    canvas.region(system.section, row, column, column + 2 + width(label))


# --- lines of entries: the legend, and what has no place on the machine ---------------------


class _Entry(NamedTuple):
    section: str
    runs: tuple[tuple[str, Role], ...]

    @property
    def cells(self) -> int:
        return sum(width(text) for text, _ in self.runs)


def _entry(system: System, title: str, ascii: bool) -> _Entry:  # noqa: A002
    mark = SYSTEM_STATES[system.state]
    safety = SAFETY.ascii if ascii else SAFETY.sign
    runs: list[tuple[str, Role]] = [
        (mark.ascii if ascii else mark.sign, system.state),
        (safety if system.safety else " ", "safety"),
        (safe(title), "plain"),
    ]
    return _Entry(system.section, tuple(runs))


def _legend(systems: Sequence[System], columns: int, ascii: bool) -> list[Line]:  # noqa: A002
    """What the signs mean: those that occur, each with its word."""
    entries: list[Line] = [
        [(mark.ascii if ascii else mark.sign, cast(Role, role)), (f" {mark.word}", "faint")]
        for role, mark in marks_used(systems)
    ]
    return packed(entries, columns)


def _in_lines(entries: Sequence[_Entry], columns: int, gap: int = 2) -> list[list[_Entry]]:
    """Entries beside each other, on as many lines as they need."""
    lines: list[list[_Entry]] = []
    used = 0
    for entry in entries:
        if lines and used + gap + entry.cells <= columns:
            lines[-1].append(entry)
            used += gap + entry.cells
        else:
            lines.append([entry])
            used = entry.cells
    return lines


def _put_entries(
    canvas: Canvas, row: int, entries: Sequence[_Entry], chosen: str, column: int = 0, gap: int = 2
) -> None:
    for entry in entries:
        start = column
        for text, role in entry.runs:
            here = bool(chosen) and entry.section == chosen and role == "plain"
            canvas.put(row, column, text, "chosen" if here else role)
            column += width(text)
        if entry.section:
            canvas.region(entry.section, row, start, column)
        column += gap


# --- the table ------------------------------------------------------------------------------


def _table(
    drawing: MachineDrawing | None,
    systems: Sequence[System],
    columns: int,
    rows: int,
    chosen: str,
    ascii: bool,  # noqa: A002
) -> TextPicture:
    """A row for each system with its words; two beside each other with a legend where rows lack.

    Where that lacks room too, the rows about the chosen one, and how many more there are.
    """
    canvas = Canvas(columns, rows)
    legend = _legend(systems, columns, ascii)
    half = -(-len(systems) // 2)
    if len(systems) > rows and columns >= TABLE_COLUMNS and half + len(legend) <= rows:
        wide = columns // 2
        for number, one in enumerate(systems):
            place = drawing.place(one.section) if drawing is not None else None
            long = safe(one.title)
            name = place.label if place is not None and width(long) > wide - 4 else long
            entry = _entry(one, fitted(safe(name), wide - 4), ascii)
            _put_entries(canvas, number % half, [entry], chosen, wide * (number // half))
        for number, line in enumerate(legend):
            canvas.put_line(rows - len(legend) + number, line)
        return canvas.picture(ascii=ascii)
    shown, before, after = _window(systems, rows, chosen)
    if before:
        canvas.put(0, 2, fitted(f"… {before} more above", columns - 2), "faint")
    for number, one in enumerate(shown):
        _table_row(canvas, number + bool(before), one, chosen, ascii)
    if after:
        canvas.put(rows - 1, 2, fitted(f"… {after} more below", columns - 2), "faint")
    return canvas.picture(ascii=ascii)


def _window(systems: Sequence[System], rows: int, chosen: str) -> tuple[Sequence[System], int, int]:
    """The systems that find room, the chosen one among them; how many come before and after."""
    if len(systems) <= rows:
        return systems, 0, 0
    names = [one.section for one in systems]
    at = names.index(chosen) if chosen in names else 0
    first = min(max(at - rows // 2, 0), max(len(systems) - rows, 0))
    last = first + rows
    if rows >= 4:  # rows that say how many more there are take a system's row
        first += first > 0
        last -= last < len(systems)
    before = first if rows >= 4 else 0
    after = len(systems) - last if rows >= 4 else 0
    return systems[first:last], before, after


def _table_row(canvas: Canvas, row: int, system: System, chosen: str, ascii: bool) -> None:  # noqa: A002
    entry = _entry(system, system.title, ascii)
    words = safe(system.words().removeprefix(f"{SAFETY.word}, "))
    room = max(canvas.columns - 2, 0)
    title = safe(system.title)
    beside = min(width(words), room)
    if width(title) + 2 + width(words) > room:
        beside = width(safe(SYSTEM_STATES[system.state].word))
        words = SYSTEM_STATES[system.state].word
    name = fitted(title, max(room - beside - 2, min(room, 8)))
    _put_entries(canvas, row, [_Entry(system.section, (*entry.runs[:2], (name, "plain")))], chosen)
    start = max(canvas.columns - beside, 2 + width(name) + 2)
    canvas.put(row, start, fitted(words, canvas.columns - start), "faint")
    canvas.region(system.section, row, 0, canvas.columns)


# --- moving about ---------------------------------------------------------------------------


def neighbour(picture: TextPicture, chosen: str, direction: Direction) -> str:
    """The section whose label is next in a direction; the first one where none is chosen.

    Where nothing lies that way the one before (up, left) or after it (down, right) in the
    picture's order is taken, as far as there is one.
    """
    labels: dict[str, Region] = {}
    for one in picture.regions:  # a section's widest region is its label
        there = labels.get(one.name)
        if there is None or one.end - one.first > there.end - there.first:
            labels[one.name] = one
    names = list(labels)
    if not names:
        return ""
    here = labels.get(chosen)
    if here is None:
        return names[0]
    lying = {name: _away(here, one, direction) for name, one in labels.items() if name != chosen}
    that_way = [(away, name) for name, away in lying.items() if away is not None]
    if that_way:
        return min(that_way)[1]
    step = -1 if direction in ("up", "left") else 1
    return names[min(max(names.index(chosen) + step, 0), len(names) - 1)]


def _away(here: Region, other: Region, direction: Direction) -> float | None:
    """How far another label lies in a direction; None where it doesn't lie that way."""
    down = 2.0 * (other.row - here.row)  # a cell is twice as high as wide
    across = (other.first + other.end - here.first - here.end) / 2
    if direction in ("up", "down"):
        ahead, aside = (down if direction == "down" else -down), abs(across)
        overlap = other.first < here.end and here.first < other.end
        return ahead + (0 if overlap else aside / 2) if ahead > 0 else None
    ahead, aside = (across if direction == "right" else -across), abs(down)
    if ahead <= 0 or aside > max(ahead, 2):
        return None
    return ahead + 2 * aside
