"""The title block of a drawing (in the manner of ISO 7200) instead of a banner."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.text import Text
from textual.widgets import Static

from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base.look import DIM, FAIL, whole_words
from inspect_tui.tui.base.title_cells import Cell, cells_of

if TYPE_CHECKING:
    from inspect_tui.tui.base.view_model import View

LONG = ("machine", "checklist", "program")
"""Cells whose text may be cut, at a word."""
MAX_NAME = 80


class TitleBlock(Static):
    """The count, what failed, how long, the state; machine, checklist, date, by, sheet.

    The count and the state come first at every size: they are never lost to a long name.
    """

    def __init__(self) -> None:
        super().__init__("", id="title-block", markup=False)
        self._first: list[Cell] = []
        self._then: list[Cell] = []

    def fill(self, view: View, sheet: str) -> None:
        """Show the inspection's own cells; `sheet` is this screen's number or name."""
        self.set_cells(*cells_of(view, sheet))

    def set_cells(self, first: Sequence[Cell], then: Sequence[Cell] = ()) -> None:
        """These cells, on the first line and on the second one."""
        self._first, self._then = list(first), list(then)
        self.refresh(layout=True)

    def render(self) -> Text:
        """Two lines; one of the count, the state and the sheet where it is narrow."""
        width = self.content_size.width
        if self.size.height < 2:
            return _row(self._first_and_place(), width, named=False)
        rows = [_row(cells, width) for cells in (self._first, self._then) if cells]
        return Text("\n").join(rows)

    def _first_and_place(self) -> list[Cell]:
        known = {each.name: each for each in (*self._first, *self._then)}
        wanted = ("done", "failed", "state", "sheet", "program", "machine")
        return [known[name] for name in wanted if name in known]


def _row(cells: list[Cell], width: int, *, named: bool = True) -> Text:
    """As many cells as there is room for, whole; long names give way before a cell is left out."""
    for most in (MAX_NAME, 40, 28, 20):
        short = [
            Cell(each.name, whole_words(one_line(each.text), most)) if each.name in LONG else each
            for each in cells
        ]
        row = _cells(short, named)
        if row.cell_len <= width:
            return row
    return _row(cells[:-1], width, named=named) if len(cells) > 1 else row


def _cells(cells: list[Cell], named: bool) -> Text:
    text = Text(no_wrap=True, overflow="ellipsis")
    for place, each in enumerate(cells):
        text.append(" │ " if place else "", style=DIM)
        text.append(f"{each.name} " if named else "", style=DIM)
        text.append(one_line(each.text), style=FAIL if each.name == "failed" else "bold")
    return text
