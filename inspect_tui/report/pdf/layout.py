"""Sheets of paper: A4 with frame and title block, text in a Unicode font, limit strips as lines.

What the PDF report is drawn with; knows nothing of inspections but the title block and the strip.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Final, Literal

from fpdf import FPDF
from fpdf.fonts import TTFFont

from inspect_tui.core.presentation import wording
from inspect_tui.core.text.visible import one_line, visible

FONTS: Final = Path(__file__).with_name("fonts")
FAMILY: Final = "sheet"
REGULAR: Final = FONTS / "DejaVuSansCondensed.ttf"
BOLD: Final = FONTS / "DejaVuSansCondensed-Bold.ttf"
PAPERS: Final[dict[str, tuple[float, float]]] = {"A4": (210.0, 297.0), "A5": (148.0, 210.0)}
"""ISO 216, mm."""
EDGE: Final = 10.0
"""mm from the paper's edge to the frame."""
INSET: Final = 3.5
"""mm from the frame to the text."""
BLOCK: Final = 15.0
"""mm, the title block's height."""
BETWEEN: Final = 5.0
"""mm between two columns, or between two texts on one line."""
LINE: Final = 4.3
"""mm, a line of body text."""
LEADING: Final = 1.23
"""From line to line, by the size of the type."""
BODY, SMALL = 9.0, 7.0
"""pt."""
INK = (0, 0, 0)
FAINT = (95, 95, 95)
RULE = (150, 150, 150)
ZONE = (214, 227, 234)
COLOURS: Final[dict[str, tuple[int, int, int]]] = {
    "pass": (18, 105, 47),
    "fail": (179, 18, 29),
    "uncertain": (138, 90, 0),
    "none": INK,
}


Broken = dict[tuple[str, float, float, str], list[str]]
"""Texts that were broken into lines already, by type, width and text: one report is drawn twice."""
_WORD = re.compile(r"[^ ]+ *| +")


class Sheets(FPDF):
    """The document. Every text from elsewhere goes through `drawable`."""

    def __init__(
        self, title: wording.TitleBlock, at: datetime, sheets: int, broken: Broken | None = None,
        paper: Literal["A4", "A5"] = "A4",
    ) -> None:  # fmt: skip
        super().__init__(format=PAPERS[paper])
        self._frame: Frame | None = None
        self.block = dataclasses.replace(title, sheets=sheets)
        self.add_font(FAMILY, "", REGULAR)
        self.add_font(FAMILY, "B", BOLD)
        self.alias_nb_pages("")
        self.written = 0.0
        """mm from the left margin to the end of the line written last."""
        self._broken: Broken = {} if broken is None else broken
        self._advances: dict[tuple[str, str], float] = {}
        self.known = frozenset.intersection(*(frozenset(self._cmap(key)) for key in self.fonts))
        self.set_creation_date(at.astimezone(UTC))
        self.set_producer("inspect-tui")
        self.set_title(self.drawable(f"{title.machine}: {title.checklist}"))
        self.set_author(self.drawable(title.by))
        self.set_lang("en")
        self.set_margins(EDGE + INSET, EDGE + INSET, EDGE + INSET)
        self.c_margin = 0
        self.set_auto_page_break(True, EDGE + BLOCK + INSET)
        self.add_page()
        self.type()

    def close(self) -> None:
        """Close the files of the fonts, which are read as long as letters come."""
        for font in self.fonts.values():
            if isinstance(font, TTFFont):
                font.close()

    def _cmap(self, key: str) -> Iterable[int]:
        """The characters that a face has."""
        face = self.fonts[key]
        assert isinstance(face, TTFFont)
        return face.cmap

    def drawable(self, words: str) -> str:
        """A text with each character that the faces lack written as `<U+1F600>`."""
        return "".join(
            sign if ord(sign) in self.known or sign == "\n" else f"<U+{ord(sign):04X}>"
            for sign in visible(words).replace("\t", "    ")
        )

    def type(self, size: float = BODY, *, bold: bool = False, colour: Any = INK) -> None:
        """The type that follows."""
        self.set_font(FAMILY, "B" if bold else "", size)
        self.set_text_color(*colour)

    def header(self) -> None:
        """The frame."""
        self.set_draw_color(*INK)
        self.set_line_width(0.35)
        self.rect(EDGE, EDGE, self.w - 2 * EDGE, self.h - 2 * EDGE)

    def add_page(self, *given: Any, **more: Any) -> None:
        """The next sheet; a frame that isn't closed is closed on this one and goes on there."""
        frame = self._frame
        if frame is not None:
            frame.draw()
        super().add_page(*given, **more)
        if frame is not None:
            frame.top = self.get_y()

    def footer(self) -> None:
        """The title block, in the manner of ISO 7200, at the sheet's foot."""
        fields = dataclasses.replace(self.block, sheet=self.page_no()).fields()
        top, width = self.h - EDGE - BLOCK, self.w - 2 * EDGE
        # That the log does not verify is said whole, at the cost of the others' room.
        shares = (4, 2, 3, 1.4, 1.6) if self.block.verifies else (4, 1.6, 1.8, 3.8, 0.8)
        rows: tuple[tuple[float, Sequence[tuple[str, str]], tuple[float, ...]], ...] = (
            (top, fields[:2], (1, 1)),
            (top + BLOCK / 2, fields[2:], shares),
        )
        self.set_draw_color(*INK)
        self.set_line_width(0.2)
        for y, row, parts in rows:
            x = EDGE
            for (label, words), share in zip(row, parts, strict=True):
                cell = width * share / sum(parts)
                self.rect(x, y, cell, BLOCK / 2)
                self._field(x + 1.2, y, cell - 2.4, label, words)
                x += cell

    def _field(self, x: float, y: float, width: float, label: str, words: str) -> None:
        self.type(5.5, colour=FAINT)
        self.text(x, y + 2.4, label)
        self.type(8.5)
        self.text(x, y + 6.1, self.fitted(words, width))

    def fitted(self, words: str, width: float) -> str:
        """A text on one line, cut with an ellipsis where it is too long for `width` mm."""
        words = self.drawable(one_line(words))
        if self.get_string_width(words) <= width:
            return words
        low, high = 0, len(words)
        while low < high:
            middle = (low + high + 1) // 2
            if self.get_string_width(words[:middle] + "…") <= width:
                low = middle
            else:
                high = middle - 1
        return words[:low] + "…"

    def room(self, height: float) -> bool:
        """Whether so much still fits on this sheet."""
        return bool(self.get_y() + height <= self.page_break_trigger)

    def keep(self, height: float) -> None:
        """Turn to the next sheet unless so much fits on this one."""
        if not self.room(height):
            self.add_page()

    def lines(self, words: str, width: float) -> list[str]:
        """A text broken into lines no wider than `width` mm; a word that is too long is cut."""
        key = (self.font_style, self.font_size_pt, round(width, 3), words)
        if key not in self._broken:
            self._broken[key] = [
                line for part in words.split("\n") for line in self._wrapped(part, width)
            ]
        return self._broken[key]

    def _wrapped(self, part: str, width: float) -> Iterator[str]:
        line, used = "", 0.0
        for word in _WORD.findall(part):
            size = sum(map(self._advance, word.rstrip()))
            if line and used + size > width:
                yield line.rstrip()
                line, used = "", 0.0
            if size <= width:
                line, used = line + word, used + sum(map(self._advance, word))
                continue
            for sign in word:
                if line and used + self._advance(sign) > width:
                    yield line
                    line, used = "", 0.0
                line, used = line + sign, used + self._advance(sign)
        yield line.rstrip()

    def _advance(self, sign: str) -> float:
        """The width of one character in the type that is set, in mm."""
        key = (self.font_style, sign)
        if key not in self._advances:
            self._advances[key] = self.get_string_width(sign) / self.font_size
        return self._advances[key] * self.font_size

    def paragraph(self, words: str, indent: float = 0, right: float = 0) -> None:
        """A text over the whole width, broken where it must be, over sheets too."""
        left = self.l_margin + indent
        for line in self.lines(self.drawable(words), self.w - self.r_margin - left - right):
            self.keep(self.leading)
            self.written = indent + self.get_string_width(line)
            self._line(left, self.get_y(), line)
            self.set_xy(self.l_margin, self.get_y() + self.leading)

    def begin_run(self) -> None:
        """A line of several texts, each in its own type: `run_on` for each, then `end_run`."""
        self.written = 0.0

    def run_on(self, words: str, indent: float) -> None:
        """A text that goes on where the last one on this line ended; later lines are set in."""
        full = self.w - self.r_margin - self.l_margin
        for word in _WORD.findall(" ".join(self.drawable(words).split("\n"))):
            for piece in self._pieces(word, full - indent):
                size = sum(map(self._advance, piece.rstrip()))
                if self.written > indent and self.written + size > full:
                    self._next_line(indent)
                    piece = piece.lstrip()
                if piece:
                    self._line(self.l_margin + self.written, self.get_y(), piece)
                    self.written += sum(map(self._advance, piece))

    def end_run(self) -> None:
        """What follows begins a line."""
        self._next_line(0)

    def _next_line(self, indent: float) -> None:
        self.set_xy(self.l_margin, self.get_y() + self.leading)
        self.written = indent
        if indent:
            self.keep(self.leading)

    def _pieces(self, word: str, width: float) -> Iterator[str]:
        """A word, in pieces where it is wider than a line."""
        if sum(map(self._advance, word)) <= width:
            yield word
        else:
            yield from self._wrapped(word, width)

    def beside(self, words: str) -> None:
        """A text at the right end of the line just written, or under it where it has no room."""
        words = self.drawable(words)
        width, full = self.get_string_width(words), self.w - self.r_margin - self.l_margin
        if self.written + width + BETWEEN > full:
            self.paragraph(words)
            return
        self._line(self.w - self.r_margin - width, self.get_y() - self.leading, words)

    def in_columns(
        self, paragraphs: Iterable[str], indent: float, heads: Collection[int] = ()
    ) -> None:
        """Texts down two columns, sheet by sheet; what a text has beyond a line is set in.

        Args:
            paragraphs: The texts.
            indent: How far, in mm.
            heads: The places of those that stay with what follows them.
        """
        half = (self.w - self.r_margin - self.l_margin - BETWEEN) / 2
        lines: list[tuple[float, str]] = []
        first_half = []
        for place, words in enumerate(paragraphs):
            if place in heads:
                first_half.append(len(lines))
            lines += self._set_in(words, half, indent)
        if (last := -(-len(lines) // 2) - 1) in first_half:  # it would end the first column
            while -(-len(lines) // 2) > last:
                lines.insert(last, (0.0, ""))
                last += 1
        while lines:
            self.keep(self.leading)
            room = max(int((self.page_break_trigger - self.get_y()) / self.leading), 1)
            rows = min(room, -(-len(lines) // 2))
            top, here = self.get_y(), lines[: 2 * rows]
            for number, (left, line) in enumerate(here):
                x = self.l_margin + left + (half + BETWEEN) * (number // rows)
                self._line(x, top + self.leading * (number % rows), line)
            self.set_xy(self.l_margin, top + self.leading * rows)
            del lines[: 2 * rows]

    def _set_in(self, words: str, width: float, indent: float) -> list[tuple[float, str]]:
        """(mm from the left, line): the first line of a text to the left, the others set in."""
        first, *rest = self.lines(self.drawable(words), width - indent)
        return [(0.0, first), *((indent, line) for line in rest)]

    @property
    def leading(self) -> float:
        """The height of a line in the type that is set, in mm."""
        return LEADING * self.font_size

    def _line(self, x: float, y: float, line: str) -> None:
        if line:
            self.text(x, y + self.leading / 2 + 0.35 * self.font_size, line)

    def heading(self, words: str, follows: float = 12, size: float = 11) -> None:
        """A heading with a thin rule under it, on one sheet with the mm that follow."""
        self.keep(9 + follows)
        self.ln(2.2 if size > 10 else 1.6)
        self.type(size, bold=True)
        self.paragraph(words)
        self.rule()
        self.ln(0.8)
        self.type()

    def framed(self, colour: tuple[int, int, int]) -> Frame:
        """A frame that begins here, and goes on from sheet to sheet until it is closed."""
        self._frame = Frame(self, colour)
        return self._frame

    def end_frame(self) -> None:
        """No frame goes on from here."""
        self._frame = None

    def rule(self, colour: tuple[int, int, int] = INK) -> None:
        """A thin rule from margin to margin."""
        self.set_draw_color(*colour)
        self.set_line_width(0.15)
        self.line(self.l_margin, self.get_y(), self.w - self.r_margin, self.get_y())

    def height(self, words: str, width: float) -> float:
        """How high a text is in a column of that width, in mm."""
        return self.leading * len(self.lines(words, width))

    def column(self, x: float, y: float, width: float, words: str) -> None:
        """A text in a column; the caller has seen to it that it fits on the sheet."""
        for line in self.lines(words, width):
            self._line(x, y, line)
            y += self.leading
        self.set_xy(x, y)


def drawn_twice(draw: Callable[[int], Sheets]) -> bytes:
    """A document as a file: drawn for its count of sheets, then with it on each of them.

    Args:
        draw: Draws all of it, given how many sheets there are.
    """
    with closing(draw(1)) as first:
        sheets = first.page_no()
    with closing(draw(sheets)) as whole:
        return bytes(whole.output())


class Frame:
    """A frame around what is written from now on."""

    def __init__(self, sheets: Sheets, colour: tuple[int, int, int]) -> None:
        self.sheets = sheets
        self.colour = colour
        self.top = sheets.get_y()

    def draw(self) -> None:
        """The frame on this sheet, down to where it is written."""
        sheets = self.sheets
        high = sheets.get_y() - self.top + 2.4
        sheets.set_draw_color(*self.colour)
        sheets.set_line_width(0.9)
        sheets.rect(sheets.l_margin, self.top - 1.2, sheets.epw, high)

    def close(self) -> None:
        """It ends here."""
        self.draw()
        self.sheets.end_frame()
        self.sheets.set_xy(self.sheets.l_margin, self.sheets.get_y() + 1.8)


def shares(width: float, parts: Sequence[float]) -> tuple[float, ...]:
    """A width shared out."""
    return tuple(width * part / sum(parts) for part in parts)
