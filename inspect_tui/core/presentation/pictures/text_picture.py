"""A picture in characters: rows of runs, each with its role, and the regions that can be chosen.

Pure. What something means is its role; colours belong to whoever shows it, and none of them is
needed to read a picture. A canvas has a grid of dots (two across and four down in a cell, which is
about square) and signs over it. Whatever is drawn, a picture has exactly the size it was asked for.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final, Literal, NamedTuple

from inspect_tui.core.text.visible import one_line

Role = Literal[
    "plain", "faint", "strong", "chosen", "axis",
    "outline", "thin", "hidden", "leader",
    "failed", "again", "open", "begun", "skipped", "left-out", "done", "not-needed", "safety",
    "pass", "fail", "uncertain", "none",
    "zone", "limit", "uncertainty", "as-found", "as-left", "last", "line", "expected",
]  # fmt: skip
"""What a run of characters means."""

MAX_LABEL: Final = 200
"""Characters of a text that are looked at; no picture is wider."""


class Run(NamedTuple):
    """Characters of one role beside each other."""

    text: str
    role: Role


class Region(NamedTuple):
    """Where something that can be chosen lies: cells `first` to before `end` of a row."""

    name: str
    row: int
    first: int
    end: int


@dataclass(frozen=True, slots=True)
class TextPicture:
    """Rows of runs, every row exactly `columns` cells wide."""

    columns: int
    rows: tuple[tuple[Run, ...], ...]
    regions: tuple[Region, ...] = ()

    @property
    def lines(self) -> tuple[str, ...]:
        """The rows as plain text."""
        return tuple("".join(run.text for run in row) for row in self.rows)

    @property
    def text(self) -> str:
        """The whole picture as plain text, blanks at the line ends left out."""
        return "\n".join(line.rstrip() for line in self.lines)

    def region_at(self, column: int, row: int) -> str:
        """What can be chosen in a cell; "" where nothing is."""
        found = (one for one in self.regions if one.row == row and one.first <= column < one.end)
        return next((one.name for one in found), "")


_VARIANTS: Final = re.compile("[\ufe00-\ufe0f\U000e0100-\U000e01ef]")
"""Marks that only choose a character's face; terminals don't agree on what they do to its width."""


# --- widths ---------------------------------------------------------------------------------


def safe(text: str) -> str:
    """A text from a file or a person on one line, without what could steer a terminal."""
    return one_line(_VARIANTS.sub("", text[:MAX_LABEL]))


def width(text: str) -> int:
    """Cells that a text takes: wide characters two, marks over others none."""
    if text.isascii():
        return len(text)
    return sum(map(_width, text))


def _width(char: str) -> int:
    if unicodedata.category(char) in ("Mn", "Me", "Cf"):
        return 0
    return 2 if unicodedata.east_asian_width(char) in "WF" else 1


def fitted(text: str, columns: int) -> str:
    """A text cut with an ellipsis where it is wider than so many cells."""
    if width(text) <= columns:
        return text
    kept, used = "", 0
    for char in text:
        used += _width(char)
        if used > columns - 1:
            break
        kept += char
    return f"{kept.rstrip()}…" if columns > 0 else ""


def folded(text: str, columns: int, most: int) -> list[str]:
    """A text on at most so many lines, broken at blanks; the last is cut where it must be."""
    lines: list[str] = []
    words = text.split()
    while words and len(lines) < most:
        line = words.pop(0)
        while words and width(line) + 1 + width(words[0]) <= columns:
            line += f" {words.pop(0)}"
        lines.append(line)
    if words:
        lines[-1] = f"{lines[-1]} {' '.join(words)}"
    return [fitted(line, columns) for line in lines]


Line = list[tuple[str, Role]]
"""Texts beside each other, each with its role."""


def line_width(line: Line) -> int:
    """Cells that a line takes."""
    return sum(width(text) for text, _ in line)


def packed(entries: Iterable[Line], columns: int, gap: int = 2) -> list[Line]:
    """Entries of a legend beside each other, on as many lines as they need."""
    lines: list[Line] = []
    for entry in entries:
        if lines and line_width(lines[-1]) + gap + line_width(entry) <= columns:
            lines[-1] += [(" " * gap, "plain"), *entry]
        else:
            lines.append([*entry])
    return lines


# --- the canvas -----------------------------------------------------------------------------

_BITS: Final = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
"""The bits of a cell's dots, by row and column."""

_PLAIN: Final = str.maketrans({
    "✗": "x", "✓": "+", "↻": "~", "□": "o", "◧": "%", "−": "-", "╌": "=", "■": "#", "·": ".",
    "▲": "!", "○": "o", "●": "*", "◉": "@", "◊": "v", "◈": "w", "│": "|", "─": "-", "┄": "-",
    "━": "=", "┿": "#", "├": "|", "┤": "|", "◂": "<", "▸": ">", "█": "#", "▓": "#", "▒": "%",
    "░": ":", "▏": " ", "▎": " ", "▍": " ", "▌": "#", "▋": "#", "▊": "#", "▉": "#", "…": "~",
    "└": "+", "┴": "+", "┬": "+", "┼": "+", "╪": "#", "═": "=", "±": "~", "▀": '"', "▄": "_",
})  # fmt: skip
"""Signs of a picture where a console has no others than ASCII's."""


class Canvas:
    """A grid of cells to draw in.

    Args:
        columns: Cells across; none or more.
        rows: Cells down; none or more.
        order: Roles of dots; where two meet in a cell the first in this order is taken.
    """

    def __init__(self, columns: int, rows: int, order: Sequence[Role] = ("outline",)) -> None:
        self.columns, self.rows = max(columns, 0), max(rows, 0)
        self._order = tuple(order)
        self._rank = {role: rank for rank, role in enumerate(order)}
        self._bits = [bytearray(self.columns) for _ in range(self.rows)]
        self._ranks = [bytearray(b"\xff" * self.columns) for _ in range(self.rows)]
        self._over: list[dict[int, tuple[str, Role]]] = [{} for _ in range(self.rows)]
        self.regions: list[Region] = []

    # --- dots ---

    def dot(self, x: int, y: int, role: Role) -> None:
        """One dot, in dots from the upper left; outside nothing. Its role is one of the order."""
        if not (0 <= x < self.columns * 2 and 0 <= y < self.rows * 4):
            return
        row, column, rank = y >> 2, x >> 1, self._rank[role]
        self._bits[row][column] |= _BITS[y & 3][x & 1]
        if rank < self._ranks[row][column]:
            self._ranks[row][column] = rank

    def dots(self, dots: Iterable[tuple[int, int]], role: Role, dash: tuple[int, int]) -> None:
        """Dots in a row, so many drawn and so many left out."""
        drawn, whole = dash[0], sum(dash)
        for number, (x, y) in enumerate(dots):
            if number % whole < drawn:
                self.dot(x, y, role)

    def empty(self, row: int, column: int) -> bool:
        """Whether a cell has neither dots nor a sign."""
        return not self._bits[row][column] and column not in self._over[row]

    def clear_around(self, row: int, column: int) -> None:
        """No dots in a cell, nor in the half cells beside it."""
        if not 0 <= row < self.rows:
            return
        for beside, kept in ((column - 1, 0x47), (column, 0), (column + 1, 0xB8)):
            if 0 <= beside < self.columns:
                self._bits[row][beside] &= kept

    # --- signs over the dots ---

    def put(self, row: int, column: int, text: str, role: Role) -> None:
        """Text over the dots; what lies outside is left out."""
        if not 0 <= row < self.rows:
            return
        for char in text:
            wide = _width(char)
            if wide == 0:
                self._append(row, column - 1, char)
                continue
            if column >= 0 and column + wide <= self.columns:
                self._set(row, column, char, role)
                if wide == 2:
                    self._set(row, column + 1, "", role)
            column += wide

    def put_line(self, row: int, line: Line, column: int = 0) -> None:
        """Texts beside each other, over the dots."""
        for text, role in line:
            self.put(row, column, text, role)
            column += width(text)

    def _append(self, row: int, column: int, char: str) -> None:
        """A mark that belongs over the character before it."""
        under = self._over[row].get(column)
        if under is not None and under[0]:
            self._over[row][column] = (under[0] + char, under[1])

    def _set(self, row: int, column: int, char: str, role: Role) -> None:
        over = self._over[row]
        there = over.get(column)
        if there is not None:  # the other half of a wide character becomes a blank
            if not there[0] and char:
                over[column - 1] = (" ", there[1])
            elif there[0] and _width(there[0][0]) == 2:
                over[column + 1] = (" ", there[1])
        over[column] = (char, role)

    def region(self, name: str, row: int, first: int, end: int) -> None:
        """These cells are where something can be chosen; cut at the edge."""
        first, end = max(first, 0), min(end, self.columns)
        if 0 <= row < self.rows and first < end:
            self.regions.append(Region(name, row, first, end))

    # --- the result ---

    def picture(self, *, ascii: bool = False) -> TextPicture:  # noqa: A002
        """The picture; with `ascii` in plain characters (texts stay as they are)."""
        rows = tuple(tuple(self._runs(row, ascii)) for row in range(self.rows))
        return TextPicture(self.columns, rows, tuple(self.regions))

    def _runs(self, row: int, ascii: bool) -> Iterable[Run]:  # noqa: A002
        bits, over = self._bits[row], self._over[row]
        if not over and not any(bits):
            return [Run(" " * self.columns, "plain")] if self.columns else []
        runs: list[tuple[list[str], Role]] = []
        for column in range(self.columns):
            char, role = over.get(column) or self._dots(row, column, ascii)
            if ascii and column in over:
                char = char.translate(_PLAIN)
            if runs and runs[-1][1] == role:
                runs[-1][0].append(char)
            else:
                runs.append(([char], role))
        return [Run("".join(chars), role) for chars, role in runs]

    def _dots(self, row: int, column: int, ascii: bool) -> tuple[str, Role]:  # noqa: A002
        bits = self._bits[row][column]
        if not bits:
            return " ", "plain"
        char = _plain(bits) if ascii else chr(0x2800 + bits)
        return char, self._order[self._ranks[row][column]]


def _plain(bits: int) -> str:
    """A cell's dots as one plain character, by where they lie and how they lean."""
    dots = [(x, y) for y, row in enumerate(_BITS) for x, bit in enumerate(row) if bits & bit]
    left = [y for x, y in dots if x == 0]
    right = [y for x, y in dots if x == 1]
    if not left or not right:
        return "|" if len(dots) > 1 else "." if dots[0][1] > 1 else "'"
    lean = sum(left) / len(left) - sum(right) / len(right)
    if max(len(left), len(right)) > 1 and abs(lean) >= 0.5:
        return "/" if lean > 0 else "\\"
    height = sum(y for _, y in dots) / len(dots)
    return "|" if len(dots) > 5 else "_" if height > 2 else "-" if height > 0.6 else '"'
