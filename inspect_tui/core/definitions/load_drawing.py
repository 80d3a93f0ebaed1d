"""Text of a machine's line drawing -> the frozen drawing and every problem in one pass.

Pure. The form stands in one table of keys, as for the other definition files; what goes beyond it
(pairs of coordinates, a line that is neither points nor a circle, sections named twice, labels that
touch at the least size) is checked here.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, cast

from inspect_tui.core.definitions import toml as definition_text
from inspect_tui.core.definitions.check_ids import ID
from inspect_tui.core.definitions.problems import Complaints, Problem
from inspect_tui.core.definitions.schema import Key, check_keys, is_number
from inspect_tui.core.definitions.toml_positions import Path
from inspect_tui.core.model.drawing import (
    SIDES,
    WEIGHTS,
    DrawingLine,
    DrawingPlace,
    MachineDrawing,
    Side,
    Weight,
)
from inspect_tui.core.presentation.pictures.machine_drawing import (
    MIN_COLUMNS,
    MIN_ROWS,
    collisions,
)
from inspect_tui.core.presentation.pictures.polyline import arc, smoothed
from inspect_tui.core.quantities.parse_number import clean, shortened
from inspect_tui.core.text.suggestions import meant

Table = Mapping[str, Any]

MAX_SIZE: Final = 10_000
"""Units; a drawing's width and height, and how far outside a coordinate may lie."""
MAX_LABEL: Final = 24
"""Characters of a label."""


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
    complaints = Complaints()
    _check(data, complaints)
    problems = complaints.problems(text, file)
    if any(not problem.note for problem in problems):
        return LoadedDrawing(None, problems)
    drawing = _decode(data["drawing"])
    _check_room(drawing, data["drawing"], complaints)
    return LoadedDrawing(drawing, complaints.problems(text, file))


# --- form -----------------------------------------------------------------------------------


def _numbers(value: Any, count: int) -> bool:
    return isinstance(value, list) and len(value) == count and all(map(_is_place, value))


def _is_place(value: Any) -> bool:
    return is_number(value) and abs(value) <= MAX_SIZE


def _is_size(value: Any) -> bool:
    return _numbers(value, 2) and all(each > 0 for each in value)


def _is_columns(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and 0 <= value <= MAX_SIZE


def _is_label(value: Any) -> bool:
    return isinstance(value, str) and bool(value.strip()) and len(value) <= MAX_LABEL


def _is_table(value: Any) -> bool:
    return isinstance(value, dict)


def _is_tables(value: Any) -> bool:
    return isinstance(value, list) and all(map(_is_table, value))


def _key(wanted: str, fits: Any, *, required: bool = False, words: Sequence[str] = ()) -> Key:
    return Key(wanted, fits, required, words=tuple(words))


def _one_of(words: Sequence[str]) -> Key:
    return _key(f"one of {', '.join(words)}", words.__contains__, required=True, words=words)


_NAME: Final = _key(
    "a text in quotes, not empty",
    lambda value: isinstance(value, str) and bool(value.strip()),
    required=True,
)
_ANSWER: Final = _key("true or false", lambda value: isinstance(value, bool))
_POINT: Final = _key("two numbers, such as [28, 4.5]", lambda value: _numbers(value, 2))

TOP: Final = {"drawing": _key("a table, headed [drawing]", _is_table, required=True)}
DRAWING: Final = {
    "name": _NAME,
    "size": _key("width and height, such as [200, 80]", _is_size, required=True),
    "margin": _key("a number, 0 or more", lambda value: _is_place(value) and value >= 0),
    "part": _key("a list of tables, each headed [[drawing.part]]", _is_tables, required=True),
    "place": _key("a list of tables, each headed [[drawing.place]]", _is_tables, required=True),
}  # fmt: skip
PART: Final = {
    "name": _NAME,
    "lines": _key(
        'a list of lines, such as [{ weight = "thin", points = [0, 0, 9, 4] }]',
        _is_tables,
        required=True,
    ),
}
LINE: Final = {
    "weight": _one_of(WEIGHTS),
    "points": _key(
        "a list of numbers, x and y in turn, such as [0, 0, 9, 4]",
        lambda value: isinstance(value, list) and all(map(_is_place, value)),
    ),
    "smooth": _ANSWER,
    "closed": _ANSWER,
    "centre": _POINT,
    "radius": _key("a number above 0", lambda value: _is_place(value) and value > 0),
    "arc": _key("two angles in degrees, such as [-35, 130]", lambda value: _numbers(value, 2)),
    "least": _key("a whole number of columns, 0 or more", _is_columns),
}  # fmt: skip
PLACE: Final = {
    "section": _NAME,
    "label": _key(f"a text in quotes, at most {MAX_LABEL} characters", _is_label, required=True),
    "at": _key("two numbers, such as [28, 4.5]", _POINT.fits, required=True),
    "leader": _one_of(SIDES),
    "x": _key("a number", _is_place),
    "y": _key("a number", _is_place),
    "via": _POINT,
}


def _check(data: Table, complaints: Complaints) -> None:
    check_keys(data, TOP, (), complaints)
    drawing = data.get("drawing")
    if not isinstance(drawing, dict):
        return
    check_keys(drawing, DRAWING, ("drawing",), complaints)
    for path, part in _tables(drawing, "part", ("drawing",)):
        check_keys(part, PART, path, complaints)
        for place, line in _tables(part, "lines", path):
            _check_line(line, place, complaints)
    seen: set[str] = set()
    for path, place_data in _tables(drawing, "place", ("drawing",)):
        _check_place(place_data, path, seen, complaints)


def _tables(data: Table, key: str, path: Path) -> list[tuple[Path, Table]]:
    found = data.get(key)
    if not _is_tables(found):
        return []
    return [((*path, key, number), one) for number, one in enumerate(cast(list[Table], found))]


def _check_line(line: Table, path: Path, complaints: Complaints) -> None:
    check_keys(line, LINE, path, complaints)
    round_keys = [key for key in ("centre", "radius", "arc") if key in line]
    if "points" in line and round_keys:
        complaints.add(
            path,
            f"A line has points and {round_keys[0]}; write points, or centre and radius.",
        )
    elif "points" in line:
        _check_points(line["points"], line, (*path, "points"), complaints)
    elif not round_keys:
        complaints.add(path, "A line has no points; write points, or centre and radius.")
    else:
        for key in ("centre", "radius"):
            if key not in line:
                complaints.add(path, f"A circle without {key}; write {LINE[key].wanted}.")
        for key in ("smooth", "closed"):
            if key in line:
                complaints.add((*path, key), f"A circle takes no {key}; leave it out.")


def _check_points(points: Any, line: Table, path: Path, complaints: Complaints) -> None:
    if not complaints.sound(*path):
        return
    least = 3 if line.get("closed") is True else 2
    if len(points) % 2:
        complaints.add(
            path, f"points has {len(points)} numbers, an odd count; write x and y of each point."
        )
    elif len(points) < 2 * least:
        complaints.add(
            path,
            f"points has {len(points) // 2} of the {least} points that the line needs at least.",
        )


def _check_place(place: Table, path: Path, seen: set[str], complaints: Complaints) -> None:
    check_keys(place, PLACE, path, complaints)
    section, label = place.get("section"), place.get("label")
    if isinstance(section, str) and section.strip():
        if not ID.fullmatch(section):
            complaints.add(
                (*path, "section"),
                f"'{shortened(section)}' is no id; write a letter, then letters, digits, - or _.",
            )
        elif section in seen:
            complaints.add(
                (*path, "section"), f"'{section}' has a place already; give each section one."
            )
        seen.add(section)
    if isinstance(label, str) and clean(label) != label:
        complaints.add(
            (*path, "label"),
            f"The label '{shortened(label)}' has blanks around it or signs that can't be shown; "
            "write it plainly.",
        )
    side = place.get("leader")
    lacking = [key for key in ("x", "y") if key not in place]
    if side == "none":
        for key in ("x", "y", "via"):
            if key in place:
                complaints.add(
                    (*path, key),
                    f'A label with leader = "none" has no place on the machine; leave {key} out, '
                    "or name the leader's side.",
                )
    elif side in SIDES and lacking:
        complaints.add(
            path,
            f"{' and '.join(lacking)} of the place on the machine "
            f"{'is' if len(lacking) == 1 else 'are'} missing; write a number for each, or "
            'leader = "none".',
        )


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


def _check_room(drawing: MachineDrawing, data: Table, complaints: Complaints) -> None:
    """Labels and signs that touch at the least size, or the edge."""
    numbers = {place.section: number for number, place in enumerate(drawing.places)}
    labels = {place.section: place.label for place in drawing.places}
    size = f"{MIN_COLUMNS} columns and {MIN_ROWS} rows"
    for section, other in collisions(drawing, MIN_COLUMNS, MIN_ROWS):
        path: Path = ("drawing", "place", numbers[section])
        if other:
            complaints.add(
                path,
                f"'{labels[section]}' touches '{labels[other]}' at {size}; move at, or x and y.",
            )
        else:
            complaints.add(
                path, f"'{labels[section]}' lies over the edge at {size}; move at, or widen margin."
            )


def nearest_drawing(name: str, known: Sequence[str]) -> str:
    """`did you mean sled?` for a drawing that isn't there, else the names there are."""
    if near := meant(name, known):
        return near
    return f"known are {', '.join(known)}." if known else "there is no drawing yet."
