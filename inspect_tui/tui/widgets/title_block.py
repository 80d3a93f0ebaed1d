"""The title block of a drawing (in the manner of ISO 7200) instead of a banner."""

from __future__ import annotations

from typing import NamedTuple

from rich.text import Text
from textual.widgets import Static

from inspect_tui.core.text.formatting import duration
from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base.look import DIM, FAIL, whole_words
from inspect_tui.tui.base.view_model import View

LONG = ("machine", "checklist", "program")
"""Cells whose text may be cut, at a word."""
MAX_NAME = 80


class Cell(NamedTuple):
    """One cell of the block."""

    name: str
    text: str


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
        results, session = view.results, view.session
        done = view.progress
        first = [Cell("done", f"{done.done} of {done.of}")]
        if done.failed:
            first.append(Cell("failed", f"✗ {done.failed}"))
        if done.minutes:
            first.append(Cell("left", f"about {duration(done.minutes)}"))
        self._first = [*first, Cell("state", _state(view))]
        self._then = [
            Cell("sheet", sheet),
            Cell("machine", results.machine.name or results.machine.id),
            Cell("checklist", f"{results.checklist.title} rev {results.checklist.revision}"),
            Cell("by", session.by),
            Cell("date", session.opened.date().isoformat()),
        ]
        self.refresh(layout=True)

    def set_cells(self, cells: list[Cell]) -> None:
        """Cells of a screen without an inspection."""
        self._first, self._then = cells, []
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


def _state(view: View) -> str:
    state = "signed" if view.signed else "read-only" if view.read_only else "open"
    if view.broken:
        state = f"✗ broken log, {state}"
    if view.demo:
        state = "demonstration" if state == "open" else f"demonstration, {state}"
    return state
