"""Tables on sheets of paper: heads on each sheet, a row whole on one, columns as wide as they need.

A text too long for a cell stands in full under its row, so that no text is ever cut.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from inspect_tui.core.text.visible import one_line
from inspect_tui.report.pages.blocks import Across, Band, Cell, Row, Shown, Table, TableRow
from inspect_tui.report.pdf.layout import BETWEEN, COLOURS, FAINT, INK, RULE, Sheets, shares
from inspect_tui.report.pdf.strip import strip

SIZE, HEAD_SIZE, NOTE_SIZE = 7.3, 6.3, 6.8
"""pt of rows, of heads, and of texts across."""
STRIP = 3.3
"""mm, the height of a limit strip."""
GAP = 2.0
"""mm between columns."""
BOX = 6.6
"""mm, the least height of a box to write in."""
AIR = 0.5
"""mm above and under a row's text together."""
LONGEST = 160
"""Characters that a cell takes; longer texts stand in full under the row."""
MAX_LINES = 4
BELOW = "… (in full below)"
ABOVE_BAND = 1.0
INDENT = 3.0
"""mm that texts across are set in."""


class TablePages:
    """One table, drawn where the last block ended."""

    def __init__(self, pdf: Sheets, table: Table) -> None:
        self.pdf = pdf
        self.table = table
        self.left = pdf.l_margin
        self.width = pdf.epw

    def draw(self) -> None:
        """All of it."""
        if self.table.halves and len(self.table.rows) > 2:
            self._halves()
            return
        self._begin(self.table.rows)
        self._rows(self.table.rows)

    def _halves(self) -> None:
        """Two halves beside each other; they stay on one sheet where they fit on one at all."""
        pdf, rows = self.pdf, self.table.rows
        self.width = (pdf.epw - BETWEEN) / 2
        middle = self._middle()
        parts = (rows[:middle], rows[middle:])
        high = max(self._heads_height() + sum(map(self._height, part)) for part in parts)
        if high > pdf.eph:
            self.width = pdf.epw
            self._begin(rows)
            self._rows(rows)
            return
        pdf.keep(high)
        top, ends = pdf.get_y(), []
        for place, part in enumerate(parts):
            self.left = pdf.l_margin + place * (self.width + BETWEEN)
            pdf.set_xy(self.left, top)
            self._heads()
            for row in part:
                self._row(row)
            ends.append(pdf.get_y())
        pdf.set_xy(pdf.l_margin, max(ends))

    def _middle(self) -> int:
        """How many rows stand in the first half, so that both are about as high."""
        heights = [self._height(row) for row in self.table.rows]
        return min(
            range(1, len(heights)),
            key=lambda middle: max(sum(heights[:middle]), sum(heights[middle:])),
        )

    @property
    def beginning(self) -> float:
        """The mm that its heads and its first rows take; of halves the whole."""
        if not self.table.halves:
            return self._heads_height() + self._with_next(self.table.rows, 0)
        self.width = (self.pdf.epw - BETWEEN) / 2
        high = self._heads_height() + sum(map(self._height, self.table.rows)) / 2
        self.width = self.pdf.epw
        return high

    def _begin(self, rows: Sequence[TableRow]) -> None:
        """The heads, on one sheet with what comes first."""
        self.pdf.keep(self._heads_height() + self._with_next(rows, 0))
        self._heads()

    def _rows(self, rows: Sequence[TableRow]) -> None:
        for number, row in enumerate(rows):
            if not self.pdf.room(self._with_next(rows, number)):
                self.pdf.add_page()
                self._heads()
            self._row(row)

    def _with_next(self, rows: Sequence[TableRow], number: int) -> float:
        """The height that must be left: a title never stands alone at the foot of a sheet."""
        high = 0.0
        for row in rows[number:]:
            high += self._height(row)
            if not _leads(row):
                break
        return float(min(high, self.pdf.eph - self._heads_height()))

    # --- heads --------------------------------------------------------------------------------

    def _widths(self) -> tuple[float, ...]:
        return shares(self.width, [column.share for column in self.table.columns])

    def _heads_height(self) -> float:
        self.pdf.type(HEAD_SIZE)
        return self.pdf.leading * (2 if self.table.over else 1) + 0.8

    def _heads(self) -> None:
        pdf = self.pdf
        y = pdf.get_y() + 0.4
        widths = self._widths()
        pdf.type(HEAD_SIZE, bold=True, colour=INK)
        x, first = self.left, 0
        for words, span in self.table.over:
            wide = sum(widths[first : first + span])
            if words:
                pdf.column(x, y, wide - GAP, pdf.fitted(words, wide - GAP))
                self._rule(x, wide - GAP, y + pdf.leading - 0.2)
            x, first = x + wide, first + span
        y += pdf.leading if self.table.over else 0
        pdf.type(HEAD_SIZE, colour=FAINT)
        x = self.left
        for column, width in zip(self.table.columns, widths, strict=True):
            pdf.column(x, y, width - GAP, pdf.fitted(column.head, width - GAP))
            x += width
        y += pdf.leading + 0.3
        self._rule(self.left, self.width, y, INK)
        pdf.set_xy(self.left, y)

    def _rule(self, x: float, width: float, y: float, colour: tuple[int, int, int] = RULE) -> None:
        self.pdf.set_draw_color(*colour)
        self.pdf.set_line_width(0.12)
        self.pdf.line(x, y, x + width, y)

    # --- rows ---------------------------------------------------------------------------------

    def _row(self, row: TableRow) -> None:
        match row:
            case Row():
                self._cells(row)
            case Band():
                self._band(row)
            case Across():
                self._across(row.words, row.kind)
            case Shown():
                self._across(row.words, "faint")

    def _height(self, row: TableRow) -> float:
        """How high a row is, in mm."""
        pdf = self.pdf
        match row:
            case Row():
                pdf.type(SIZE)
                placed = list(self._placed(row))
                texts = [pdf.height(_short(pdf.drawable(c.words)), w) for c, _, w in placed]
                strips = [STRIP * len(cell.strips) for cell, _, _ in placed]
                boxes = [BOX for cell, _, _ in placed if cell.box]
                return float(max([0.0, *texts, *strips, *boxes])) + AIR
            case Band():
                wide = sum(self._run_width(*run) for run in _band_runs(row))
                lines = 1 + int(wide / (self.width - 2 * INDENT))
                return float(lines * pdf.leading) + ABOVE_BAND + AIR / 2
            case Across() | Shown():
                pdf.type(NOTE_SIZE)
                words = pdf.drawable(row.words)
                return float(pdf.height(words, self.width - INDENT)) + AIR / 2
        raise AssertionError(row)

    def _run_width(
        self, size: float, bold: bool, colour: tuple[int, int, int], words: str
    ) -> float:
        self.pdf.type(size, bold=bold, colour=colour)
        return float(self.pdf.get_string_width(self.pdf.drawable(words)))

    def _placed(self, row: Row) -> Iterator[tuple[Cell, float, float]]:
        """(cell, x, width in mm) of each cell."""
        widths = self._widths()
        x, first = self.left, 0
        for cell in row.cells:
            wide = sum(widths[first : first + cell.span])
            yield cell, x, wide - GAP
            x, first = x + wide, first + cell.span

    def _cells(self, row: Row) -> None:
        """One row across the columns; it stays on one sheet."""
        pdf, height = self.pdf, self._height(row)
        y = pdf.get_y() + AIR / 2
        placed = list(self._placed(row))
        lower = (BOX - pdf.leading) / 2 if any(cell.box for cell, _, _ in placed) else 0.0
        for cell, x, width in placed:
            pdf.type(SIZE, colour=COLOURS[cell.verdict])
            words = _short(pdf.drawable(cell.words))
            pdf.column(x, y + (lower if len(pdf.lines(words, width)) < 2 else 0), width, words)
            if cell.box:
                self._box(x, y, width, height - AIR)
            for number, drawn in enumerate(cell.strips):
                strip(pdf, drawn, x, y - 0.3 + number * STRIP, width)
        y += height - AIR / 2
        if not row.joined and not any(cell.box for cell in row.cells):
            self._rule(self.left, self.width, y)
        pdf.set_xy(self.left, y)
        for cell, _, _ in placed:
            if _short(pdf.drawable(cell.words)).endswith(BELOW):
                self._across(cell.words, "plain")

    def _box(self, x: float, y: float, width: float, height: float) -> None:
        """Room to write in."""
        self.pdf.set_draw_color(*RULE)
        self.pdf.set_line_width(0.2)
        self.pdf.rect(x, y, width, height)

    def _band(self, band: Band) -> None:
        """The title, its state, and behind them the answers."""
        pdf = self.pdf
        pdf.set_xy(self.left, pdf.get_y() + ABOVE_BAND)
        pdf.begin_run()
        for size, bold, colour, words in _band_runs(band):
            pdf.type(size, bold=bold, colour=colour)
            pdf.run_on(words, INDENT)
        pdf.end_run()
        pdf.set_xy(self.left, pdf.get_y() + AIR / 2)

    def _across(self, words: str, kind: str) -> None:
        """A text across the table, over sheets where it must be."""
        pdf = self.pdf
        pdf.type(NOTE_SIZE, bold=kind == "caution", colour=FAINT if kind == "faint" else INK)
        pdf.paragraph(words, indent=INDENT)
        pdf.set_xy(self.left, pdf.get_y() + AIR / 2)


def _leads(row: TableRow) -> bool:
    """Whether a row belongs to what comes after it: a title does."""
    match row:
        case Band():
            return True
        case Across():
            return row.leads
        case Row():
            return row.joined
        case Shown():
            return False


def _band_runs(band: Band) -> Iterator[tuple[float, bool, tuple[int, int, int], str]]:
    """(pt, bold, colour, words) of what a title's line is made of."""
    yield SIZE, True, INK, f"{band.number}  {band.words}" if band.number else band.words
    if band.state:
        yield SIZE, True, COLOURS[band.verdict], f"  {band.state}"
    if band.answers:
        yield SIZE, False, INK, f"   {band.answers}"


def _short(words: str) -> str:
    """A text for a cell: on few lines, cut where the full text follows below."""
    if len(words) <= LONGEST and words.count("\n") <= MAX_LINES:
        return words
    return one_line(words)[: LONGEST - 20].rstrip() + BELOW
