"""Changes to the text of a machine's sheet; comments, order and line ends stay as they are.

A value that is there is changed by tomlkit, which keeps what stands around it. A new key goes
behind the last one of its table as text of ours, since tomlkit would put it behind the comments
that belong to the next table. Whatever was done, the result is read again by `tomllib`, and has to
hold the old data with that one change.
"""

from __future__ import annotations

import copy
import re
import tomllib
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import Any

from inspect_tui.core.definitions.sheets.write_toml import key_text, value_text
from inspect_tui.core.definitions.sheets.write_toml import tables as as_tables
from inspect_tui.core.definitions.toml_positions import Lines
from inspect_tui.core.model.machine import UNKNOWN
from inspect_tui.core.text.sanitize import ellipsize
from inspect_tui.errors import Refused

Scalar = int | float | str
Table = dict[str, Any]
WORDS = ("spec", "text")
NUMBERS = ("spec",)


def set_figure(
    text: str,
    name: str,
    value: Scalar | Sequence[Scalar],
    *,
    words: bool = False,
    place: tuple[int, int] | None = None,
) -> str:
    """A sheet with a figure.

    Args:
        text: The sheet's.
        name: As the sheet writes it.
        value: A number, a quantity in its words, or a list with one for each cylinder.
        words: It is a word or a list of words, for `[spec.text]`.
        place: Of one cylinder: its number from 0, and how many there are. A figure that was the
            same for all becomes a list; those that aren't known are `?`.

    Raises:
        Refused: the sheet is written so that it can't be changed here.
    """
    data = _read(text)
    table = WORDS if words else NUMBERS
    given: Any = list(value) if isinstance(value, list | tuple) else value
    if place is not None:
        at, count = place
        old = _at(data, table).get(name, UNKNOWN)
        found = list(old) if isinstance(old, list) else [old] * count
        if len(found) != count:
            raise Refused(
                f"{ellipsize(name)} has {len(found)} values in the sheet, and the machine {count} "
                "cylinders.",
                "Change it in an editor.",
            )
        found[at] = given
        if isinstance(old, list):
            return _changed(text, data, (*table, name, at), given)
        given = found
    return _changed(text, data, (*table, name), given)


def set_source(text: str, name: str, source: str) -> str:
    """A sheet that says where a figure comes from. Raises Refused."""
    return _changed(text, _read(text), ("source", name), source)


def set_fact(text: str, name: str, fact: Scalar | bool) -> str:
    """A sheet with a fact of the machine. Raises Refused."""
    return _changed(text, _read(text), ("machine", name), fact)


def add_band(
    text: str,
    temperature: tuple[str, str],
    altitude: tuple[str, str],
    settings: Mapping[str, Scalar | Sequence[Scalar]],
) -> str:
    """A sheet with one more band of its jet chart, behind those that it has. Raises Refused."""
    data = _read(text)
    band: Table = {
        "temperature": list(temperature), "altitude": list(altitude),
        **{name: list(one) if isinstance(one, list | tuple) else one
           for name, one in settings.items()},
    }  # fmt: skip
    wanted = {**data, "jet_chart": [*data.get("jet_chart", []), band]}
    ended, end = _ended(text), _line_end(text)
    band_text = as_tables("jet_chart", band).replace("\n", end)
    return _sound(text, wanted, lambda: f"{ended}{end}{band_text}")


def set_band(text: str, number: int, name: str, value: Scalar | Sequence[Scalar]) -> str:
    """A sheet with a setting of one band of its jet chart, counted from 0. Raises Refused."""
    given: Any = list(value) if isinstance(value, list | tuple) else value
    return _changed(text, _read(text), ("jet_chart", number, name), given)


def set_edges(text: str, numbers: Sequence[int], key: str, edges: tuple[str, str]) -> str:
    """A sheet with other edges of some bands of its jet chart.

    Args:
        text: The sheet's.
        numbers: The bands, counted from 0.
        key: `temperature` or `altitude`.
        edges: The lower and the upper one, as the sheet writes them.

    Raises:
        Refused: the sheet is written so that it can't be changed here.
    """
    for number in numbers:
        text = _changed(text, _read(text), ("jet_chart", number, key), list(edges))
    return text


def without_bands(text: str, numbers: Sequence[int]) -> str:
    """A sheet without some bands of its jet chart, counted from 0. Raises Refused."""
    for number in sorted(numbers, reverse=True):
        data = _read(text)
        rest = [band for at, band in enumerate(data["jet_chart"]) if at != number]
        wanted = {name: one for name, one in data.items() if name != "jet_chart"}
        wanted |= {"jet_chart": rest} if rest else {}
        text = _sound(text, wanted, partial(_cut_band, text, number))
    return text


# --- how a change is made -------------------------------------------------------------------


def _changed(text: str, data: Table, path: tuple[str | int, ...], value: Any) -> str:
    """The text with one value set."""
    wanted = copy.deepcopy(data)
    inner: Any = wanted
    there = True
    for key in path[:-1]:
        if isinstance(inner, dict) and key not in inner:
            inner[key] = {}
        if not (isinstance(inner, dict) or (isinstance(inner, list) and isinstance(key, int))):
            raise _written_oddly(path)
        inner = inner[key]  # type: ignore[index]
    if not (isinstance(inner, dict) or (isinstance(inner, list) and isinstance(path[-1], int))):
        raise _written_oddly(path)
    there = isinstance(inner, list) or path[-1] in inner
    inner[path[-1]] = value  # type: ignore[index]
    if there:
        return _sound(text, wanted, lambda: _by_tomlkit(text, path, value))
    return _sound(
        text,
        wanted,
        lambda: _inserted(text, data, path, value),
        lambda: _by_tomlkit(text, path, value),
    )


def _sound(text: str, wanted: Table, *ways: Callable[[], str]) -> str:
    """What the first way makes that reads back as what is wanted; with the text's line ends."""
    for way in ways:
        try:
            made = way()
            if tomllib.loads(made) != wanted:
                continue
        except (ValueError, KeyError, TypeError, IndexError):
            continue
        return made
    raise _written_oddly(())


def _written_oddly(path: tuple[str | int, ...]) -> Refused:
    where = f" at {ellipsize('.'.join(map(str, path)))}" if path else ""
    return Refused(
        f"The sheet is written so that it can't be changed here{where}.", "Change it in an editor."
    )


def _inserted(text: str, data: Table, path: tuple[str | int, ...], value: Any) -> str:
    """A new key behind the last of its table, or in a table of its own at the end."""
    table = tuple(map(str, path[:-1]))
    line = f"{key_text(str(path[-1]))} = {value_text(value)}{_line_end(text)}"
    rows = re.split(r"(?<=\n)", text)
    lines = Lines(text)
    own = [
        at
        for key, one in _at(data, table).items()
        if not isinstance(one, dict) and (at := lines.of((*table, key))) is not None
    ]
    header = lines.of(table)
    if own:
        after = _end_of(rows, max(own))
    elif header is not None and _is_header(rows[header - 1], table):
        after = header
    else:
        end = _line_end(text)
        return f"{_ended(text)}{end}[{'.'.join(table)}]{end}{line}"
    before = rows[after - 1]
    if not before.endswith("\n"):
        rows[after - 1] = before + _line_end(text)
    return "".join([*rows[:after], line, *rows[after:]])


def _is_header(row: str, table: Sequence[str]) -> bool:
    """Whether a line is the header of just this table."""
    wanted: Table = {}
    for key in reversed(table):
        wanted = {key: wanted}
    try:
        return tomllib.loads(row) == wanted
    except tomllib.TOMLDecodeError:
        return False


def _end_of(rows: Sequence[str], start: int) -> int:
    """The last line of the key that begins on a line (1-based): a value may have several."""
    for end in range(start, len(rows) + 1):
        try:
            tomllib.loads("".join(rows[start - 1 : end]))
        except tomllib.TOMLDecodeError:
            continue
        return end
    return start


def _by_tomlkit(text: str, path: tuple[str | int, ...], value: Any) -> str:
    # Late: only who changes a sheet needs it.
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    try:
        document = tomlkit.parse(text)
        inner: Any = document
        for key in path[:-1]:
            inner = inner[key]
        inner[path[-1]] = value
        return tomlkit.dumps(document)
    except TOMLKitError as error:
        raise ValueError(str(error)) from error


def _cut_band(text: str, number: int) -> str:
    """The text without the lines of one band: its header to its last key; comments behind stay."""
    rows = re.split(r"(?<=\n)", text)
    headers = [at for at, row in enumerate(rows) if re.match(r"\s*\[\[\s*jet_chart\s*\]\]", row)]
    start = headers[number]
    later = (at for at in range(start + 1, len(rows)) if re.match(r"\s*\[", rows[at]))
    end = next(later, len(rows))
    while end > start + 1 and re.fullmatch(r"\s*(#.*)?\s*", rows[end - 1]):
        end -= 1
    if end < len(rows) and not rows[end].strip():
        end += 1  # the blank line that parted it from the next one
    return "".join(rows[:start] + rows[end:])


def _read(text: str) -> Table:
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError):
        raise Refused("The sheet is no TOML.", "`inspect-tui check` says where.") from None


def _at(data: Any, table: Sequence[str]) -> Table:
    for key in table:
        data = data.get(key) if isinstance(data, dict) else None
    return data if isinstance(data, dict) else {}


def _line_end(text: str) -> str:
    return "\r\n" if "\r\n" in text else "\n"


def _ended(text: str) -> str:
    return text if not text or text.endswith("\n") else f"{text}{_line_end(text)}"
