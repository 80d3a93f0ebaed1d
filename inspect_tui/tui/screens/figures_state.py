"""The page of all figures as a state: where one is, what is asked, what was said. No terminal."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final, Literal

from inspect_tui.tui.base.tones import Tone
from inspect_tui.workflow.machine_figures import FigurePage, PageRow

Key = tuple[bool, str]
Order = Literal["missing", "section"]
SEARCH: Final = "/"
"""What begins a search in the one field."""
SAME: Final = "="
"""Typed for a cylinder: the same as the one before."""


@dataclass(frozen=True, slots=True)
class FiguresState:
    """The page, and the place on it."""

    page: FigurePage
    order: Order = "missing"
    keys: tuple[Key, ...] = ()
    """The rows as they stand below each other; what is entered moves none."""
    at: int = 0
    """Which of the shown ones is asked."""
    cell: int = 0
    """Which cylinder's."""
    source: str = ""
    """Where the figures come from, kept for those that follow."""
    asks: Literal["value", "source"] = "value"
    held: str = ""
    """The value that waits for its source; "" where only the source is edited."""
    search: str = ""
    """Words of the rows that are shown; "" for all."""
    not_known: frozenset[Key] = frozenset()
    said: str = ""
    tone: Tone = ""

    @classmethod
    def begun(cls, page: FigurePage, order: Order = "missing") -> FiguresState:
        """At the first row."""
        return cls(page).ordered(order)

    # What is there

    @property
    def rows(self) -> tuple[PageRow, ...]:
        """The shown rows."""
        known = {row.key: row for row in self.page.rows}
        words = self.search.casefold().split()
        return tuple(
            row for key in self.keys if (row := known.get(key)) is not None and _matches(row, words)
        )

    @property
    def row(self) -> PageRow | None:
        """The one that is asked; None where nothing is shown."""
        rows = self.rows
        return rows[self.at] if self.at < len(rows) else None

    @property
    def cylinder(self) -> str | None:
        """Whose value is asked; None for all."""
        row = self.row
        return row.cylinders[self.cell] if row is not None and row.cylinders else None

    @property
    def value(self) -> str:
        """What the sheet has at this place."""
        row = self.row
        return row.values[self.cell] if row is not None else ""

    def is_open(self, row: PageRow) -> bool:
        """Whether the sheet lacks it, and nobody said that it isn't known."""
        return row.is_missing and not self.is_unknown(row)

    def is_unknown(self, row: PageRow) -> bool:
        """Whether somebody said that it isn't known, here or in the sheet."""
        return row.is_missing and (row.is_not_known or row.key in self.not_known)

    @property
    def missing(self) -> int:
        """How many rows lack something."""
        return sum(self.is_open(row) for row in self.page.rows)

    # Moves

    def ordered(self, order: Order) -> FiguresState:
        """What lacks first, or as the list goes; at the first row that lacks."""
        rows = list(self.page.rows)
        if order == "missing":
            rows.sort(key=lambda row: not self.is_open(row))
        state = replace(self, order=order, keys=tuple(row.key for row in rows), search="", at=0)
        first = (at for at, row in enumerate(state.rows) if self.is_open(row))
        return state.to(next(first, 0))

    def with_page(self, page: FigurePage) -> FiguresState:
        """The page as it is by now; new rows come last."""
        known = set(self.keys)
        more = tuple(row.key for row in page.rows if row.key not in known)
        return replace(self, page=page, keys=(*self.keys, *more))

    def to(self, at: int) -> FiguresState:
        """Another row; at its first cylinder that lacks."""
        rows = self.rows
        at = max(0, min(at, len(rows) - 1))
        cell = rows[at].values.index("") if rows and "" in rows[at].values else 0
        return replace(self, at=at, cell=cell, asks="value", held="")

    def beside(self, by: int) -> FiguresState:
        """The cylinder beside this one."""
        count = len(self.row.values) if self.row is not None else 1
        return replace(self, cell=max(0, min(self.cell + by, count - 1)))

    def next(self) -> FiguresState:
        """After an answer: the row's next cylinder that lacks, else the next row that does.

        Where the list is gone through as it stands, simply the next row.
        """
        rows, row = self.rows, self.row
        if row is not None and self.is_open(row):
            later = [at for at, one in enumerate(row.values) if at > self.cell and not one]
            if later:
                return replace(self, cell=later[0], asks="value", held="")
        return self.past() if rows else self

    def past(self) -> FiguresState:
        """Enter on an empty field: the next row."""
        rows = self.rows
        if self.order == "missing" and self.missing:
            order = [*range(self.at + 1, len(rows)), *range(self.at)]
            found = next((at for at in order if self.is_open(rows[at])), None)
            if found is not None:
                return self.to(found)
        return self.to(self.at + 1)

    def searching(self, words: str) -> FiguresState:
        """Only the rows with these words."""
        return replace(self, search=words, at=0, cell=0, asks="value", held="")

    def found(self) -> FiguresState:
        """The search is over: the row that it was at among all."""
        row = self.row
        state = replace(self, search="")
        places = [each.key for each in state.rows]
        return state if row is None else state.to(places.index(row.key))

    def unknown(self) -> FiguresState:
        """Nobody knows this one; the next."""
        row = self.row
        if row is None:
            return self
        state = replace(self, not_known=self.not_known | {row.key})
        return state.past().saying(f"Not known: {row.label}.", "doubt")

    def asking_source(self, held: str) -> FiguresState:
        """Where it comes from is asked."""
        return replace(self, asks="source", held=held)

    def sourced(self, source: str) -> FiguresState:
        """Where the figures come from, for this one and those that follow."""
        return replace(self, source=source, asks="value", held="")

    def answered(self) -> FiguresState:
        """An answer was taken: what was not known is."""
        row = self.row
        return self if row is None else replace(self, not_known=self.not_known - {row.key})

    def same(self) -> str:
        """What the cylinder before has; "" where there is none."""
        row = self.row
        return row.values[self.cell - 1] if row is not None and self.cell else ""

    def saying(self, said: str, tone: Tone = "") -> FiguresState:
        """With a line to the person."""
        return replace(self, said=said, tone=tone)


def one_key(state: FiguresState, character: str) -> str:
    """What one key in the empty field answers by itself; "" for most."""
    row = state.row
    if row is None or row.about is None or state.asks != "value":
        return ""
    if row.about.kind == "check" and character in "10":
        return "yes" if character == "1" else "no"
    options = row.about.options
    if options and len(options) < 10 and character in "123456789"[: len(options)]:
        return options[int(character) - 1]
    return ""


def _matches(row: PageRow, words: list[str]) -> bool:
    text = f"{row.label} {row.section} {row.where} {' '.join(row.values)}".casefold()
    return all(word in text for word in words)
