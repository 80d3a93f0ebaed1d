"""The form of a line drawing's file: which keys there are and what each must be, once, in a table.

What goes beyond a key is checked here too: pairs of coordinates, a line that is neither points nor
a circle, a section named twice, a label without a place. Every problem of a file is said in one
pass, each at its place.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, cast

from inspect_tui.core.definitions.checks.check_ids import ID
from inspect_tui.core.definitions.problems import ProblemCollector
from inspect_tui.core.definitions.toml_positions import Path
from inspect_tui.core.model.drawing import SIDES, WEIGHTS
from inspect_tui.core.text.formatting import pluralize
from inspect_tui.core.text.sanitize import ellipsize, sanitize
from inspect_tui.core.text.suggestions import suggest

Table = Mapping[str, Any]

MAX_SIZE: Final = 10_000
"""Units; a drawing's width and height, and how far outside a coordinate may lie."""
MAX_LABEL: Final = 24
"""Characters of a label."""


@dataclass(frozen=True, slots=True)
class Key:
    """One key of a table."""

    wanted: str
    """What it must be, in words."""
    fits: Callable[[Any], bool]
    required: bool = False
    words: tuple[str, ...] = ()
    """The words that it can be."""


def _numbers(value: Any, count: int) -> bool:
    return isinstance(value, list) and len(value) == count and all(map(_is_place, value))


def _is_place(value: Any) -> bool:
    number = isinstance(value, int | float) and not isinstance(value, bool)
    return number and abs(value) <= MAX_SIZE  # nan and inf are not


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


def _one_of(words: Sequence[str]) -> Key:
    def fits(value: Any) -> bool:
        return isinstance(value, str) and value in words

    return Key(f"one of {', '.join(words)}", fits, required=True, words=tuple(words))


_NAME: Final = Key(
    "a text in quotes, not empty",
    lambda value: isinstance(value, str) and bool(value.strip()),
    required=True,
)
_ANSWER: Final = Key("true or false", lambda value: isinstance(value, bool))
_POINT: Final = Key("two numbers, such as [28, 4.5]", lambda value: _numbers(value, 2))

TOP: Final = {"drawing": Key("a table, headed [drawing]", _is_table, required=True)}
DRAWING: Final = {
    "name": _NAME,
    "size": Key("width and height, such as [200, 80]", _is_size, required=True),
    "margin": Key("a number, 0 or more", lambda value: _is_place(value) and value >= 0),
    "part": Key("a list of tables, each headed [[drawing.part]]", _is_tables, required=True),
    "place": Key("a list of tables, each headed [[drawing.place]]", _is_tables, required=True),
}  # fmt: skip
PART: Final = {
    "name": _NAME,
    "lines": Key(
        'a list of lines, such as [{ weight = "thin", points = [0, 0, 9, 4] }]',
        _is_tables,
        required=True,
    ),
}
LINE: Final = {
    "weight": _one_of(WEIGHTS),
    "points": Key(
        "a list of numbers, x and y in turn, such as [0, 0, 9, 4]",
        lambda value: isinstance(value, list) and all(map(_is_place, value)),
    ),
    "smooth": _ANSWER,
    "closed": _ANSWER,
    "centre": _POINT,
    "radius": Key("a number above 0", lambda value: _is_place(value) and value > 0),
    "arc": Key("two angles in degrees, such as [-35, 130]", lambda value: _numbers(value, 2)),
    "least": Key("a whole number of columns, 0 or more", _is_columns),
}  # fmt: skip
PLACE: Final = {
    "section": _NAME,
    "label": Key(f"a text in quotes, at most {MAX_LABEL} characters", _is_label, required=True),
    "at": Key("two numbers, such as [28, 4.5]", _POINT.fits, required=True),
    "leader": _one_of(SIDES),
    "x": Key("a number", _is_place),
    "y": Key("a number", _is_place),
    "via": _POINT,
}


def check_drawing_form(data: Table, problems: ProblemCollector) -> None:
    """Whether a file has the form of a drawing, all the way down.

    Args:
        data: What TOML says is in it.
        problems: Takes what is wrong.
    """
    _check_keys(data, TOP, (), problems)
    drawing = data.get("drawing")
    if not isinstance(drawing, dict):
        return
    _check_keys(drawing, DRAWING, ("drawing",), problems)
    for path, part in _tables(drawing, "part", ("drawing",)):
        _check_keys(part, PART, path, problems)
        for place, line in _tables(part, "lines", path):
            _check_line(line, place, problems)
    seen: set[str] = set()
    for path, place_data in _tables(drawing, "place", ("drawing",)):
        _check_place(place_data, path, seen, problems)


def _check_keys(
    data: Table, keys: Mapping[str, Key], path: Path, problems: ProblemCollector
) -> None:
    """Unknown, missing and wrong keys of one table."""
    for name, value in data.items():
        if problems.full:
            return
        key = keys.get(name)
        if key is None:
            known = suggest(name, keys) or f"known are {', '.join(keys)}."
            problems.add((*path, name), f"'{ellipsize(name)}' is no key here; {known}")
        elif not key.fits(value):
            problems.add((*path, name), _wrong(name, value, key))
    for name, key in keys.items():
        if key.required and name not in data:
            problems.add((*path, name), f"{name} is missing; write {key.wanted}.")


def _wrong(name: str, value: Any, key: Key) -> str:
    if isinstance(value, str) and key.words:
        hint = suggest(value, key.words) or f"{name} is {key.wanted}."
        return f"'{ellipsize(value)}' is no {name}; {hint}"
    if isinstance(value, str) and not value.strip():
        return f"{name} is empty; write {key.wanted}."
    return f"{name} is {_said(value)}; write {key.wanted}."


def _said(value: Any) -> str:
    """A value of the file in its own words."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return f"the list {ellipsize(str(value))}" if value else "an empty list"
    return f"'{ellipsize(value)}'" if isinstance(value, str) else ellipsize(str(value))


def _tables(data: Table, key: str, path: Path) -> list[tuple[Path, Table]]:
    found = data.get(key)
    if not _is_tables(found):
        return []
    return [((*path, key, number), one) for number, one in enumerate(cast(list[Table], found))]


def _check_line(line: Table, path: Path, problems: ProblemCollector) -> None:
    _check_keys(line, LINE, path, problems)
    round_keys = [key for key in ("centre", "radius", "arc") if key in line]
    if "points" in line and round_keys:
        problems.add(
            path,
            f"A line has points and {round_keys[0]}; write points, or centre and radius.",
        )
    elif "points" in line:
        _check_points(line["points"], line, (*path, "points"), problems)
    elif not round_keys:
        problems.add(path, "A line has no points; write points, or centre and radius.")
    else:
        for key in ("centre", "radius"):
            if key not in line:
                problems.add(path, f"A circle without {key}; write {LINE[key].wanted}.")
        for key in ("smooth", "closed"):
            if key in line:
                problems.add((*path, key), f"A circle takes no {key}; leave it out.")


def _check_points(points: Any, line: Table, path: Path, problems: ProblemCollector) -> None:
    if not problems.sound(*path):
        return
    least = 3 if line.get("closed") is True else 2
    if len(points) % 2:
        problems.add(
            path, f"points has {len(points)} numbers, an odd count; write x and y of each point."
        )
    elif len(points) < 2 * least:
        problems.add(
            path,
            f"points has {pluralize(len(points) // 2, 'point')}; the line needs {least} at least.",
        )


def _check_place(place: Table, path: Path, seen: set[str], problems: ProblemCollector) -> None:
    _check_keys(place, PLACE, path, problems)
    section, label = place.get("section"), place.get("label")
    if isinstance(section, str) and section.strip():
        if not ID.fullmatch(section):
            problems.add(
                (*path, "section"),
                f"'{ellipsize(section)}' is no id; write a letter, then letters, digits, - or _.",
            )
        elif section in seen:
            problems.add(
                (*path, "section"), f"'{section}' has a place already; give each section one."
            )
        seen.add(section)
    if isinstance(label, str) and sanitize(label) != label:
        problems.add(
            (*path, "label"),
            f"The label '{ellipsize(label)}' has blanks around it or signs that can't be shown; "
            "write it plainly.",
        )
    side = place.get("leader")
    lacking = [key for key in ("x", "y") if key not in place]
    if side == "none":
        for key in ("x", "y", "via"):
            if key in place:
                problems.add(
                    (*path, key),
                    f'A label with leader = "none" has no place on the machine; leave {key} out, '
                    "or name the leader's side.",
                )
    elif side in SIDES and lacking:
        problems.add(
            path,
            f"{' and '.join(lacking)} of the place on the machine "
            f"{'is' if len(lacking) == 1 else 'are'} missing; write a number for each, or "
            'leader = "none".',
        )
