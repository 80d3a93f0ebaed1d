"""The title block of a drawing (in the manner of ISO 7200) instead of a banner."""

from __future__ import annotations

from rich.table import Table
from rich.text import Text
from textual.widgets import Static

from inspect_tui.tui.base.styling import DIM, one_line
from inspect_tui.tui.base.view_model import View

WIDE = 110
"""Columns from which each text stands under its name."""


class TitleBlock(Static):
    """Machine, checklist and revision, date, by, sheet n of N, state."""

    def __init__(self) -> None:
        super().__init__("", id="title-block", markup=False)
        self._cells: list[tuple[str, str, int]] = []

    def fill(self, view: View, sheet: str) -> None:
        """Show the inspection's own cells; `sheet` is this screen's number or name."""
        results, session = view.results, view.session
        state = "signed" if view.signed else "read-only" if view.read_only else "open"
        if view.broken:
            state = f"✗ broken log, {state}"
        if view.demo:
            state = "demonstration" if state == "open" else f"demonstration, {state}"
        self.set_cells(
            [
                ("machine", results.machine.name or results.machine.id, 5),
                ("checklist", f"{results.checklist.title}  rev {results.checklist.revision}", 5),
                ("date", session.opened.date().isoformat(), 0),
                ("by", session.by, 2),
                ("sheet", sheet, 0),
                ("state", state, 0),
            ]
        )

    def set_cells(self, cells: list[tuple[str, str, int]]) -> None:
        """Cells of (name, text, share of the width; 0 = as wide as the text)."""
        self._cells = cells
        self.refresh(layout=True)

    def render(self) -> Table | Text:
        """A line of names over a line of texts; two lines of both where it is narrow; or one."""
        if self.size.height < 2:
            return self._short()
        if self.size.width < WIDE:
            half = 2 if len(self._cells) > 3 else 1
            # Who it was may be cut off; the sheet and the state may not.
            below = sorted(self._cells[half:], key=lambda cell: cell[0] == "by")
            return Text("\n").join([self._row(self._cells[:half]), self._row(below)])
        table = Table.grid(padding=(0, 1), expand=True)
        names, texts = [], []
        for place, (name, text, share) in enumerate(self._cells):
            if place:
                table.add_column(width=1, style=DIM)
                names.append(Text("│"))
                texts.append(Text("│"))
            table.add_column(
                ratio=share or None, no_wrap=True, overflow="ellipsis", min_width=len(name)
            )
            names.append(Text(name, style=DIM))
            texts.append(Text(one_line(text), style="bold"))
        table.add_row(*names)
        table.add_row(*texts)
        return table

    def _row(self, cells: list[tuple[str, str, int]]) -> Text:
        text = Text(no_wrap=True, overflow="ellipsis")
        for place, (name, said, _) in enumerate(cells):
            text.append(f" │ {name} " if place else f"{name} ", style=DIM)
            text.append(one_line(said), style="bold")
        return text

    def _short(self) -> Text:
        wanted = {name: one_line(text) for name, text, _ in self._cells}
        parts = [wanted.get(name, "") for name in ("sheet", "state", "machine", "checklist")]
        return Text(" │ ".join(part for part in parts if part), no_wrap=True, overflow="ellipsis")
