"""The page of the jet chart as a state: the cell that is asked, bands that wait for one."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from inspect_tui.core.definitions.sheets.chart_table import Edges, troubles
from inspect_tui.core.model.machine import Figure
from inspect_tui.tui.base.tones import Tone
from inspect_tui.workflow.jet_charts import ChartPage, Direction

Asks = Literal["cell", "temperature", "altitude", "source"]


@dataclass(frozen=True, slots=True)
class ChartState:
    """The chart, and the place in it."""

    page: ChartPage
    row: int = 0
    column: int = 0
    setting: int = 0
    """Which of the settings is shown."""
    asks: Asks = "cell"
    held: str = ""
    """The setting that waits for its source."""
    source: str = ""
    changing: Edges | None = None
    """The band whose edges are asked anew; None where a new band is asked."""
    is_leaving: bool = False
    """Whether the person was asked if that band goes."""
    more_temperatures: frozenset[Edges] = frozenset()
    """Bands that were added and have no setting yet."""
    more_altitudes: frozenset[Edges] = frozenset()
    said: str = ""
    tone: Tone = ""

    @classmethod
    def begun(cls, page: ChartPage, source: str = "") -> ChartState:
        """At the first cell; of an empty chart its first band is asked."""
        state = cls(page, source=page.source or source)
        return replace(state, asks="cell" if state.rows else "temperature")

    @property
    def rows(self) -> tuple[Edges, ...]:
        """The bands of temperature, the coldest first."""
        return tuple(sorted({*self.page.table.temperatures, *self.more_temperatures}))

    @property
    def columns(self) -> tuple[Edges, ...]:
        """The bands of altitude, the lowest first."""
        return tuple(sorted({*self.page.table.altitudes, *self.more_altitudes}))

    @property
    def name(self) -> str:
        """The shown setting's name in the sheet; "" where nobody names one."""
        return self.page.settings[self.setting][0] if self.page.settings else ""

    @property
    def label(self) -> str:
        """What manuals call it."""
        return self.page.settings[self.setting][1] if self.page.settings else "no setting"

    @property
    def place(self) -> tuple[Edges, Edges] | None:
        """The asked cell's bands; None where there is no cell yet."""
        rows, columns = self.rows, self.columns
        return (rows[self.row], columns[self.column]) if rows and columns else None

    def value(self, row: Edges, column: Edges) -> Figure | None:
        """What a cell has of the shown setting."""
        return self.page.table.value(row, column, self.name)

    @property
    def here(self) -> str:
        """The asked cell as it could be typed; "" where it is empty."""
        return "" if self.place is None else cell_words(self.value(*self.place), "; ")

    @property
    def before(self) -> str:
        """The cell before this one as it could be typed: to the left, else above."""
        if self.place is None:
            return ""
        rows, columns = self.rows, self.columns
        if self.column:
            return cell_words(self.value(rows[self.row], columns[self.column - 1]), "; ")
        if self.row:
            return cell_words(self.value(rows[self.row - 1], columns[0]), "; ")
        return ""

    @property
    def troubles(self) -> tuple[str, ...]:
        """Bands that overlap or leave a gap, those that have no setting yet among them."""
        table = replace(self.page.table, temperatures=self.rows, altitudes=self.columns)
        return troubles(table)

    def moved(self, down: int, across: int) -> ChartState:
        """Another cell."""
        row = max(0, min(self.row + down, len(self.rows) - 1))
        column = max(0, min(self.column + across, len(self.columns) - 1))
        return replace(self, row=row, column=column, asks="cell", held="")

    def next(self) -> ChartState:
        """The next cell, row by row."""
        if self.column + 1 < len(self.columns):
            return self.moved(0, 1)
        return replace(self.moved(1, 0), column=0) if self.row + 1 < len(self.rows) else self

    def other_setting(self) -> ChartState:
        """The next setting."""
        return replace(self, setting=(self.setting + 1) % max(1, len(self.page.settings)))

    def asking(self, asks: Asks, held: str = "") -> ChartState:
        """A band or a source is asked, or the cell again."""
        return replace(self, asks=asks, held=held, changing=None, is_leaving=False)

    def changing_edges(self, which: Direction) -> ChartState:
        """Other edges of the row, or of the column, that one is at."""
        if self.place is None:
            return self.saying("There is no band yet: F3 and F4 add one.", "doubt")
        state = self.asking(which)
        return replace(state, changing=self.place[0 if which == "temperature" else 1])

    @property
    def settings_of_changing(self) -> int:
        """How many settings the band has, whose edges are asked."""
        return sum(
            len(self.page.table.values[number])
            for places, number in self.page.table.bands.items()
            if self.changing in places
        )

    @property
    def is_in_sheet(self) -> bool:
        """Whether the sheet has the band whose edges are asked."""
        return any(self.changing in places for places in self.page.table.bands)

    def without(self, edges: Edges) -> ChartState:
        """A band that has no setting yet goes, or one that the sheet has no more."""
        return replace(
            self,
            more_temperatures=self.more_temperatures - {edges},
            more_altitudes=self.more_altitudes - {edges},
        )

    def sourced(self, source: str) -> ChartState:
        """Where the chart comes from; the cell is asked again."""
        return replace(self, source=source, asks="cell", held="")

    def with_band(self, edges: Edges) -> ChartState:
        """One more band; at its first cell. What it overlaps is said."""
        if self.asks == "temperature":
            state = replace(self, more_temperatures=self.more_temperatures | {edges})
            row, known = state.rows.index(edges), self.rows
            state = replace(state, row=row, column=0)
        else:
            state = replace(self, more_altitudes=self.more_altitudes | {edges})
            column, known = state.columns.index(edges), self.columns
            state = replace(state, row=0, column=column)
        over = [one.words for one in known if one != edges and one.overlaps(edges)]
        asks: Asks = "cell" if state.columns and state.rows else (
            "altitude" if self.asks == "temperature" else "temperature"
        )  # fmt: skip
        if over:
            return replace(state, asks=asks).saying(
                f"{edges.words} overlaps {', '.join(over)}: only one of them can be right.", "bad"
            )
        return replace(state, asks=asks).saying("")

    def with_page(self, page: ChartPage) -> ChartState:
        """The chart as it is by now; at the same cell."""
        place = self.place
        name = self.name
        state = replace(self, page=page)
        names = [each for each, _ in page.settings]
        state = replace(state, setting=names.index(name) if name in names else 0)
        if place is not None and place[0] in state.rows and place[1] in state.columns:
            at = state.rows.index(place[0]), state.columns.index(place[1])
            return replace(state, row=at[0], column=at[1])
        return state.moved(0, 0)

    def saying(self, said: str, tone: Tone = "") -> ChartState:
        """With a line to the person."""
        return replace(self, said=said, tone=tone)


def cell_words(value: Figure | None, between: str) -> str:
    """A band's setting: one value, or one for each cylinder."""
    if value is None:
        return ""
    return between.join(map(str, value)) if isinstance(value, tuple) else str(value)
