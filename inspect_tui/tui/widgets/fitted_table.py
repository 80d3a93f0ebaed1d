"""A table whose columns are at least as wide as their longest word, so that none is broken.

Where the columns find no room side by side, each row's label has a line of its own with the cells
below it; where even the cells find none, each has a line, with its column's name.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rich.cells import cell_len
from rich.console import Console, ConsoleOptions, RenderResult
from rich.table import Table
from rich.text import Text

MARK = 2
"""Cells of the mark before a row, with the gap behind it."""
GAP = 1
LEAST_LABEL = 8
UNBROKEN = 11
"""Cells of a text that stays on one line though it has several words: `· no limit`."""


@dataclass(frozen=True, slots=True)
class Row:
    """A mark of one cell, what the row is about, and its cells."""

    mark: Text
    label: Text
    cells: tuple[Text, ...]


@dataclass(frozen=True, slots=True)
class FittedTable:
    """A renderable; it takes its widths from its texts and the room that it is drawn in."""

    rows: tuple[Row, ...]
    names: tuple[Text, ...] = ()
    """The names of the columns; none where the cells say what they are."""
    alike: bool = False
    """Whether all columns of cells want one width, as cylinders do."""

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        """Beside each other, below each other, or one by one: the first that breaks no word."""
        if not self.rows:
            return
        room = options.max_width
        needs, wants = self._cell_widths()
        labels = [row.label for row in self.rows]
        need = max(LEAST_LABEL, *(_need(each) for each in labels))
        want = max(need, *(_want(each) for each in labels))
        beside = room - MARK - GAP * (1 + len(needs))
        widths = shares(beside, (need, *needs), (want, *wants))
        if widths is not None:
            yield self._beside(widths)
            return
        widths = shares(room - MARK - GAP * len(needs), needs, wants)
        yield from self._one_by_one() if widths is None else self._below(widths)

    def _cell_widths(self) -> tuple[list[int], list[int]]:
        """What each column of cells needs, and what it would take."""
        many = max(len(row.cells) for row in self.rows)
        needs, wants = [1] * many, [1] * many
        heads = [Row(Text(), Text(), self.names)] if self.names else []
        for row in (*heads, *self.rows):
            for place, cell in enumerate(row.cells):
                needs[place] = max(needs[place], _need(cell))
                wants[place] = max(wants[place], _want(cell))
        if self.alike:
            return needs, [max(wants)] * many
        return needs, wants

    def _beside(self, widths: Sequence[int]) -> Table:
        table = _grid((MARK - GAP, *widths))
        if self.names:
            table.add_row(Text(), Text(), *self.names)
        for row in self.rows:
            table.add_row(row.mark, row.label, *row.cells)
        return table

    def _below(self, widths: Sequence[int]) -> RenderResult:
        if self.names:
            table = _grid((MARK - GAP, *widths))
            table.add_row(Text(), *self.names)
            yield table
        for row in self.rows:
            yield _labelled(row)
            table = _grid((MARK - GAP, *widths))
            table.add_row(Text(), *row.cells)
            yield table

    def _one_by_one(self) -> RenderResult:
        for row in self.rows:
            yield _labelled(row)
            for place, cell in enumerate(row.cells):
                if cell.plain:
                    name = self.names[place].copy() if self.names else Text()
                    name.append("  " if name else "")
                    table = Table.grid(padding=(0, GAP, 0, 0))
                    table.add_column(width=MARK - GAP)
                    table.add_column()
                    table.add_row(Text(), name.append_text(cell))
                    yield table


def shares(room: int, needs: Sequence[int], wants: Sequence[int]) -> list[int] | None:
    """How many cells each column has; None where their needs alone don't fit.

    What is left over the needs goes to the columns by what they still want; what nobody wants goes
    to all alike.

    Args:
        room: Cells for all of them together.
        needs: The least that each takes.
        wants: What each would take, not less than its need.
    """
    spare = room - sum(needs)
    if spare < 0:
        return None
    missing = [want - need for want, need in zip(wants, needs, strict=True)]
    wanted = sum(missing)
    if wanted > spare:
        widths = [need + spare * less // wanted for need, less in zip(needs, missing, strict=True)]
        widths[missing.index(max(missing))] += room - sum(widths)
        return widths
    left = (spare - wanted) // len(needs)
    widths = [need + less + left for need, less in zip(needs, missing, strict=True)]
    widths[0] += room - sum(widths)
    return widths


def _grid(widths: Sequence[int]) -> Table:
    table = Table.grid(padding=(0, GAP, 0, 0), pad_edge=False)
    for width in widths:
        table.add_column(width=width, overflow="fold")
    return table


def _labelled(row: Row) -> Text:
    return Text.assemble(row.mark or Text(" "), " ", row.label)


def _need(cell: Text) -> int:
    """The longest piece of a cell that may not be broken: a word, with a sign behind it."""
    whole = _want(cell)
    if cell.no_wrap or whole <= UNBROKEN:
        return whole
    longest = 1
    for line in cell.plain.split("\n"):
        piece = 0
        for word in line.split():
            wide = cell_len(word)
            piece = piece + 1 + wide if piece and wide == 1 else wide
            longest = max(longest, piece)
    return longest


def _want(cell: Text) -> int:
    return max(1, *(cell_len(line.rstrip()) for line in cell.plain.split("\n")))
