"""The view for two metres: question, cylinder and answer in block letters and figures.

Pure. A letter is a picture of dots, read from the faces' file by the caller; words, built-up
fractions and whole lines are such pictures beside each other. Two rows of dots make one row of
characters (half blocks), so that a dot is about square; in the narrow type a character holds two by
two (quadrants). Everything grows as far as the rest leaves room, the answer first. Units stay in
plain type: a face of capitals would make MM of mm.
"""

from __future__ import annotations

import re
import tomllib
import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from inspect_tui.core.model.results import Verdict
from inspect_tui.core.presentation.pictures.text_picture import (
    Canvas,
    Role,
    TextPicture,
    fitted,
    folded,
    safe,
    width,
)
from inspect_tui.core.presentation.wording import VERDICTS

Dots = tuple[tuple[bool, ...], ...]
"""Rows from the top, all equally long."""
Face = Mapping[str, Dots]
FaceName = Literal["small", "large"]
Faces = Mapping[FaceName, Face]

MAX_SCALE: Final = 6
"""How many times the large face may be enlarged for an answer."""
MAX_TEXT: Final = 60
"""Characters up to which an answer is tried in blocks."""
BLANKS: Final = 3
BLANKS_FROM: Final = 22
"""Blank rows that are kept between the parts, and the rows from which on they are."""
GAP: Final = 3
"""Columns between a figure and its unit."""

_HALVES: Final = " ▀▄█"
_QUADRANTS: Final = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"
_FRACTION: Final = re.compile(r"(?:(\d+)[ -])?(\d+)/(\d+)")
_VULGAR: Final = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
    "⅓": "1/3", "⅔": "2/3",
}  # fmt: skip
_PLAIN_MINUS: Final = str.maketrans({"−": "-", "–": "-", "’": "'", "×": "X", "…": "."})


@dataclass(frozen=True, slots=True)
class LargeView:
    """What stands in the view."""

    question: str
    cylinder: str = ""
    answer: str = ""
    """As typed, without its unit; "" while there is none."""
    unit: str = ""
    verdict: Verdict = "none"
    said: str = ""
    """More about the verdict: `20 psi under`."""


def read_faces(text: str) -> Faces:
    """The faces from their TOML file: `[small]` and `[large]`, a key for each character.

    Raises:
        ValueError: a letter's rows are uneven, or not as many as the others'.
    """
    data = tomllib.loads(text)
    return {"small": _face(data["small"]), "large": _face(data["large"])}


def _face(data: Mapping[str, str]) -> Face:
    face = {
        char: tuple(tuple(dot == "#" for dot in row) for row in rows.split())
        for char, rows in data.items()
    }
    heights = {len(dots) for dots in face.values()}
    uneven = [char for char, dots in face.items() if len({len(row) for row in dots}) != 1]
    if len(heights) != 1 or uneven:
        raise ValueError(f"a face with letters of heights {heights}, uneven {uneven}")
    return face


# --- pictures of dots -----------------------------------------------------------------------


def capitals(text: str) -> str:
    """Text as the faces have it: capitals without accents, fractions written out."""
    for char, written in _VULGAR.items():
        text = re.sub(rf"(?<=\d){char}", f"-{written}", text).replace(char, written)
    spread = unicodedata.normalize("NFD", text.translate(_PLAIN_MINUS).upper())
    return "".join(char for char in spread if not unicodedata.combining(char))


def word(text: str, face: Face, scale: int = 1) -> Dots | None:
    """A word or a line of words; None where a character is missing from the face."""
    high = len(next(iter(face.values())))
    space = tuple((False, False) for _ in range(high))
    if not text.strip() or any(char != " " and char not in face for char in text):
        return None
    return enlarged(beside([space if char == " " else face[char] for char in text]), scale)


def beside(pictures: Sequence[Dots], gap: int = 1) -> Dots:
    """Pictures in a row, centred on each other."""
    high = max((len(each) for each in pictures), default=0)
    rows: list[list[bool]] = [[] for _ in range(high)]
    for index, picture in enumerate(pictures):
        above = (high - len(picture)) // 2
        blank = (False,) * len(picture[0])
        for row in range(high):
            inside = 0 <= row - above < len(picture)
            rows[row] += [False] * (gap if index else 0)
            rows[row] += picture[row - above] if inside else blank
    return tuple(map(tuple, rows))


def enlarged(picture: Dots, scale: int) -> Dots:
    """So many times as large."""
    return tuple(
        tuple(dot for dot in row for _ in range(scale)) for row in picture for _ in range(scale)
    )


def fraction(over: str, under: str, face: Face, scale: int = 1) -> Dots | None:
    """A built-up fraction: one number, a bar, the other."""
    top, bottom = word(over, face), word(under, face)
    if top is None or bottom is None:
        return None
    wide = max(len(top[0]), len(bottom[0])) + 2
    empty, bar = (False,) * wide, (True,) * wide
    return enlarged((*_centred(top, wide), empty, bar, empty, *_centred(bottom, wide)), scale)


def _centred(picture: Dots, wide: int) -> Dots:
    spare = wide - len(picture[0])
    left, right = (False,) * (spare // 2), (False,) * (spare - spare // 2)
    return tuple((*left, *row, *right) for row in picture)


def figure(text: str, faces: Faces, scale: int) -> Dots | None:
    """A value: whole numbers with a fraction built up beside them, or any other word.

    Args:
        text: As typed.
        faces: Both.
        scale: How many times the large face is enlarged for the whole number; its fraction takes
            half of that, at scale 1 the small face.
    """
    text = capitals(text)
    pieces: list[Dots | None] = []
    at = 0
    for found in _FRACTION.finditer(text):
        before = (text[at : found.start()] + (found[1] or "")).strip()
        pieces += [word(before, faces["large"], scale)] if before else []
        part, size = (faces["small"], 1) if scale == 1 else (faces["large"], scale // 2)
        pieces.append(fraction(found[2], found[3], part, size))
        at = found.end()
    rest = text[at:].strip()
    pieces += [word(rest, faces["large"], scale)] if rest else []
    whole = [each for each in pieces if each is not None]
    return beside(whole, gap=1 + scale) if whole and len(whole) == len(pieces) else None


def half_blocks(picture: Dots) -> tuple[str, ...]:
    """A picture as lines of half blocks."""
    blank = (False,) * len(picture[0])
    rows = [*picture, blank] if len(picture) % 2 else [*picture]
    return tuple(
        "".join(_HALVES[upper + 2 * lower] for upper, lower in zip(*pair, strict=True))
        for pair in zip(rows[::2], rows[1::2], strict=True)
    )


def quadrants(picture: Dots) -> tuple[str, ...]:
    """A picture as lines of quadrants, half as wide."""
    wide = len(picture[0]) + len(picture[0]) % 2
    rows = [(*row, False)[:wide] for row in picture]
    rows += [(False,) * wide] if len(rows) % 2 else []
    return tuple(
        "".join(
            _QUADRANTS[upper[x] + 2 * upper[x + 1] + 4 * lower[x] + 8 * lower[x + 1]]
            for x in range(0, wide, 2)
        )
        for upper, lower in zip(rows[::2], rows[1::2], strict=True)
    )


# --- the view -------------------------------------------------------------------------------

Lines = tuple[str, ...]


def draw(
    view: LargeView,
    faces: Faces,
    columns: int,
    rows: int,
    *,
    ascii: bool = False,  # noqa: A002
) -> TextPicture:
    """The view in so many cells.

    Args:
        view: What stands in it.
        faces: The block letters.
        columns: Cells across.
        rows: Cells down.
        ascii: Plain characters, for consoles that have no others.
    """
    canvas = Canvas(columns, rows)
    if columns < 1 or rows < 1:
        return canvas.picture(ascii=ascii)
    parts = _parts(view, faces, columns, ascii)
    _grow(parts, rows)
    shown = [part for part in parts if part.lines]
    spare = rows - sum(len(part.lines) for part in shown)
    row = 0
    for part in shown:
        for line in part.lines[: max(rows - row, 0)]:
            canvas.put(row, 0, line, part.role)
            row += 1
        if spare > 0:
            spare -= 1
            row += 1
    return canvas.picture(ascii=ascii)


def draw_figure(text: str, faces: Faces, columns: int, rows: int) -> TextPicture:
    """One value alone as large as it fits, centred: a running timer's `1:23`."""
    canvas = Canvas(columns, rows)
    sizes = [size for size in _answers(safe(text), "", faces, columns, False) if len(size) <= rows]
    lines: Lines = max(sizes, key=len, default=())
    wide = max(map(width, lines), default=0)
    for number, line in enumerate(lines):
        canvas.put((rows - len(lines)) // 2 + number, (columns - wide) // 2, line, "strong")
    return canvas.picture()


class _Part:
    """One text of the view and the sizes in which it fits across.

    Args:
        role: Of its characters.
        sizes: From small to large; of those that take equally many rows the last is kept.
    """

    def __init__(self, role: Role, sizes: Iterable[Lines]) -> None:
        self.role = role
        by_rows = {len(size): size for size in sizes if size}
        self.sizes = [by_rows[rows] for rows in sorted(by_rows)]
        self.size = 0

    @property
    def lines(self) -> Lines:
        """In the size that was settled on."""
        return self.sizes[self.size] if self.sizes and self.size >= 0 else ()


def _parts(view: LargeView, faces: Faces, columns: int, ascii: bool) -> list[_Part]:  # noqa: A002
    role: Role = "strong" if view.verdict == "none" else view.verdict
    answer, unit = safe(view.answer), safe(view.unit)
    parts = [
        _Part("strong", _texts(view.question, faces, columns, ascii)),
        _Part("plain", _texts(view.cylinder, faces, columns, ascii)),
    ]
    if answer:
        parts.append(_Part(role, _answers(answer, unit, faces, columns, ascii)))
    else:
        parts.append(_Part("faint", [(fitted("no answer yet", columns),)]))
    if view.verdict != "none":
        mark = VERDICTS[view.verdict]
        parts.append(_Part(role, _texts(f"{mark.sign} {mark.word}", faces, columns, ascii)))
    parts.append(_Part("plain", _texts(view.said, faces, columns, ascii)))
    return parts


def _grow(parts: Sequence[_Part], rows: int) -> None:
    """Give each part the largest size that the others leave room for, the answer first.

    Where even the smallest don't fit, what comes last goes first.
    """
    high = sum(len(part.lines) for part in parts)
    for part in reversed(parts):
        if high > rows and part is not parts[0] and part is not parts[2]:
            high -= len(part.lines)
            part.size = -1
    question, cylinder, answer, *rest = parts
    verdict = rest[:1] if len(rest) > 1 else []
    air = BLANKS if rows >= BLANKS_FROM else 0
    most = {id(answer): rows, id(question): rows // 3, id(cylinder): rows // 4}
    # All legible first, then the answer as large as it goes, then the others.
    once = [answer, question, cylinder, *verdict]
    again = [answer] * (2 * MAX_SCALE) + once[1:] * 3 + rest[-1:] * 2
    for part in [*once, *again]:
        if part.size < 0 or part.size + 1 >= len(part.sizes):
            continue
        more = len(part.sizes[part.size + 1])
        grown = high - len(part.lines) + more
        if more <= most.get(id(part), rows // 5) and grown <= rows - air:
            high = grown
            part.size += 1


def _plain(text: str, columns: int, most: int) -> Lines:
    return tuple(folded(text, columns, most))


def _texts(text: str, faces: Faces, columns: int, ascii: bool) -> Iterator[Lines]:  # noqa: A002
    """A text in plain type and in each size of blocks in which its words fit across."""
    text = safe(text)
    if not text:
        return
    yield _plain(text, columns, 2)
    shown = capitals(text)
    sizes: list[tuple[FaceName, int, bool]] = [] if ascii else [("small", 1, True)]
    sizes += [("small", 1, False), ("large", 1, False), ("large", 2, False)]
    for name, scale, narrow in sizes:
        yield _block_text(shown, faces[name], scale, narrow, columns)


def _block_text(text: str, face: Face, scale: int, narrow: bool, columns: int) -> Lines:
    """Words in blocks, broken over lines where they must be; nothing where one doesn't fit."""
    lines: list[str] = []
    for piece in text.split():
        joined = f"{lines[-1]} {piece}" if lines else piece
        if lines and _block_width(joined, face, scale, narrow) <= columns:
            lines[-1] = joined
        else:
            lines.append(piece)
    out: list[str] = []
    for line in lines:
        dots = word(line, face, scale)
        if dots is None or _block_width(line, face, scale, narrow) > columns:
            return ()
        out += quadrants(dots) if narrow else half_blocks(dots)
    return tuple(out)


def _block_width(text: str, face: Face, scale: int, narrow: bool) -> int:
    dots = sum(2 if char == " " else len(face[char][0]) if char in face else 0 for char in text)
    wide = (dots + len(text) - 1) * scale
    return -(-wide // 2) if narrow else wide


def _answers(
    answer: str,
    unit: str,
    faces: Faces,
    columns: int,
    ascii: bool,  # noqa: A002
) -> Iterator[Lines]:
    """A value in each size that fits across, from small to large, its unit at its foot."""
    yield _plain(f"{answer} {unit}".strip(), columns, 3)
    if len(answer) > MAX_TEXT:
        return
    figures = [word(capitals(answer), faces["small"])]
    figures += [figure(answer, faces, scale) for scale in range(1, MAX_SCALE + 1)]
    fitting = [dots for dots in figures if dots is not None and len(dots[0]) <= columns]
    for dots in fitting:
        yield _with_unit(half_blocks(dots), unit, columns)
    if not fitting:  # words rather than a figure
        yield from _texts(f"{answer} {unit}", faces, columns, ascii)


def _with_unit(lines: Lines, unit: str, columns: int) -> Lines:
    if not unit:
        return lines
    wide = width(lines[0])
    if wide + GAP + width(unit) <= columns:
        return (*lines[:-1], lines[-1] + " " * GAP + unit)
    return (*lines, fitted(unit, columns))
