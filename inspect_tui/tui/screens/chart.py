"""The factory's jet chart as a table: bands added, cells typed, what doesn't meet is said."""

from __future__ import annotations

from dataclasses import replace
from typing import ClassVar, Final

from rich.text import Text
from textual import events, on
from textual.widgets import Static

from inspect_tui.core.definitions.sheets.chart_table import (
    ALTITUDE,
    TEMPERATURE,
    Edges,
    typed_edges,
)
from inspect_tui.core.text.formatting import pluralize
from inspect_tui.core.text.visible import one_line
from inspect_tui.errors import InspectError
from inspect_tui.tui.base.actions import Action
from inspect_tui.tui.base.bindings import bindings
from inspect_tui.tui.base.entry_line import EntryOutcome
from inspect_tui.tui.base.error_guard import guarded
from inspect_tui.tui.base.look import ASKED, spanned
from inspect_tui.tui.base.sheet_desk import SheetDesk
from inspect_tui.tui.base.title_cells import Cell
from inspect_tui.tui.base.view_model import InspectionActions, View
from inspect_tui.tui.screens import chart_text
from inspect_tui.tui.screens.chart_state import ChartState
from inspect_tui.tui.screens.common.field_page import FieldPage
from inspect_tui.tui.screens.common.inspection_screen import InspectionScreen, Open
from inspect_tui.tui.widgets.entry_field import EntryField
from inspect_tui.tui.widgets.title_block import TitleBlock
from inspect_tui.workflow.jet_charts import Direction

ACTIONS: Final = (
    Action("f3", "temperature", "Temperature", "Add a band of temperature", True, "Record"),
    Action("f4", "altitude", "Altitude", "Add a band of altitude", True, "Record"),
    Action("f2", "setting", "Setting", "The chart's next setting", True, "Look"),
    Action("f6", "source", "Source", "Where the chart comes from", True, "Record"),
    Action("f7", "change_row", "Change row", "Other edges of this band of temperature, or none",
           job="Record"),
    Action("f8", "change_column", "Change column", "Other edges of this band of altitude, or none",
           job="Record"),
    Action("escape", "back", "Back", "Leave what is asked, or the chart", True, "Go"),
    Action("f1", "help", "Help", "What this page is for, and its keys", True),
    Action("down", "down", "Down", "The cell below", job="Go"),
    Action("up", "up", "Up", "The cell above", job="Go"),
)  # fmt: skip
SESSION: Final = "This session goes on with the chart that it began with; the next one takes this."
ACROSS: Final = {"left": -1, "right": 1, "shift+tab": -1, "tab": 1}


class ChartScreen(FieldPage[ChartState], InspectionScreen):
    """The table, and the one field into which its bands and cells are typed."""

    ACTIONS: ClassVar[tuple[Action, ...]] = ACTIONS
    BINDINGS = bindings(ACTIONS)
    TABLE = "chart-table"
    HELP_TITLE = "The jet chart"
    HELP_TEXT = (
        "The factory's chart: temperature down, altitude across, the chosen setting in the cells, "
        "one for all cylinders or one for each (250; 240; 250). F3 and F4 add a band; the arrows "
        "walk over the cells; what is typed goes into the machine's sheet with Enter, and = takes "
        "what the cell before has. F7 and F8 change the edges of the band that one is at, or take "
        "it out. Bands that overlap or leave a gap are said below the field."
    )

    def __init__(
        self, desk: InspectionActions, view: View | None, sheet: SheetDesk, source: str = ""
    ) -> None:
        """The chart of a machine.

        Args:
            desk: The app.
            view: The session; None where none is open.
            sheet: The machine's sheet.
            source: Where figures were said to come from last.

        Raises:
            InspectError: the sheet can't be read.
        """
        super().__init__(desk, view)
        self.chart = sheet.chart()
        self.state = ChartState.begun(self.chart.page(), source)
        if sheet.in_session:
            self.state = self.state.saying(SESSION)
        self.field = EntryField.of(self)

    def draw(self, view: View) -> None:
        """The chart is the sheet's, not the session's."""
        self._picture()

    def _picture(self) -> None:
        state = self.state
        block = self.query_one(TitleBlock)
        if self.view is None:
            cells = [Cell("sheet", "jet chart"), Cell("machine", state.page.machine)]
            block.set_cells([*cells, Cell("setting", state.label)])
        else:
            block.fill(self.view, f"jet chart, {one_line(state.label)}")
        shown = self.query_one("#chart-table", Static)
        width, height = max(24, shown.size.width - 2), max(3, shown.size.height)
        shown.update(chart_text.table(state, width, height))
        asks = self.query_one("#figure-asks")
        band = "NEW BAND" if state.changing is None else "CHANGE BAND"
        title = {"cell": "SETTING", "source": "WHERE FROM"}.get(state.asks, band)
        asks.border_title = spanned(Text(f" {title} ", style=ASKED))
        source = f" source: {one_line(state.source)} " if state.source else ""
        asks.border_subtitle = Text(source)
        self.query_one("#figure-asked", Static).update(chart_text.asked(state))
        self.field.hint(chart_text.hint(state))
        self.query_one("#figure-said", Static).update(chart_text.said(state, width))

    # What the entry field asks of its owner

    @guarded("refused")
    def entered(self, text: str, seen: bool) -> EntryOutcome:
        """Enter on a band, a cell, a source, or nothing."""
        state, text = self.state.saying(""), text.strip()
        try:
            if state.asks in ("temperature", "altitude"):
                unit = TEMPERATURE if state.asks == "temperature" else ALTITUDE
                if state.changing is not None:
                    self._band_changed(state, state.asks, state.changing, text)
                elif not text and state.place is not None:
                    self._set(state.asking("cell"))
                else:
                    self._set(state.with_band(typed_edges(text, unit)))
            elif state.asks == "source":
                return self._source_entered(state, text)
            elif not text:
                self._set(state.next())
            else:
                self._cell_entered(state, state.before if text == "=" else text)
        except (InspectError, OSError) as error:
            said = str(error).replace(state.name, state.label) if state.name else str(error)
            self.state = self.state.saying(f"✗ {said}", "bad")
            self._picture()
            return "refused"
        return "taken"

    def _band_changed(self, state: ChartState, which: Direction, old: Edges, text: str) -> None:
        """Other edges, or none: then the band goes, once that is confirmed."""
        if not text and not state.is_leaving:
            count = state.settings_of_changing
            has = f" with {pluralize(count, 'setting')}" if count else ""
            asked = state.saying(f"Enter again takes out {old.words}{has}; Esc keeps it.", "doubt")
            self._set(replace(asked, is_leaving=True))
            return
        if text:
            new = typed_edges(text, TEMPERATURE if which == "temperature" else ALTITUDE)
            if state.is_in_sheet:
                self.chart.change_edges(which, old, new)
                said = f"✓ In the sheet: {new.words} instead of {old.words}."
            else:
                state = state.without(old).asking(which).with_band(new)
                said = f"✓ {new.words} instead of {old.words}."
        else:
            if state.is_in_sheet:
                self.chart.take_out(which, old)
            said = f"✓ Taken out: {old.words}."
        state = state.without(old).asking("cell").with_page(self.chart.page())
        begun = state if state.rows and state.columns else state.asking("temperature")
        self._set(begun.saying(said, "good"))

    def _source_entered(self, state: ChartState, text: str) -> EntryOutcome:
        if not any(sign.isalnum() for sign in text or state.source):
            self._set(state.saying("Say where it comes from: manual, or a decal.", "doubt"), text)
            return "refused"
        held, state = state.held, state.asking("cell")
        state = state.sourced(text or state.source)
        self.state = state.saying(f"From: {state.source}.", "good")
        if held:
            self._cell_entered(state, held)
        else:
            self._set(self.state)
        return "taken"

    def _cell_entered(self, state: ChartState, text: str) -> None:
        place = state.place
        if place is None or not state.name:
            self._set(state.saying("There is no cell yet: F3 and F4 add a band.", "doubt"))
            return
        self.chart.trouble(state.name, text)
        if not state.source:
            self._set(state.asking("source", text))
            return
        self.chart.enter(*place, state.name, text, state.source)
        state = state.with_page(self.chart.page())
        words = f"✓ In the sheet: {state.label} {text} for {place[0].words}, {place[1].words}."
        self._set(state.next().saying(words, "good"))

    def typed(self, text: str) -> None:
        """Nothing is looked up while one types."""

    @guarded(True)
    def command(self, key: str) -> bool:
        """A key that is no text, done at once and in its turn."""
        if key in ACROSS and not self.field.value:
            self._set(self.state.moved(0, ACROSS[key]).saying(""))
            return True
        return self._do_key(key)

    # Actions

    def action_down(self) -> None:
        """The cell below."""
        self._set(self.state.moved(1, 0).saying(""))

    def action_up(self) -> None:
        """The cell above."""
        self._set(self.state.moved(-1, 0).saying(""))

    def action_temperature(self) -> None:
        """A band of temperature."""
        self._set(self.state.asking("temperature").saying(""))

    def action_altitude(self) -> None:
        """A band of altitude."""
        self._set(self.state.asking("altitude").saying(""))

    def action_change_row(self) -> None:
        """Other edges of this band of temperature, or none."""
        self._set(self.state.saying("").changing_edges("temperature"))

    def action_change_column(self) -> None:
        """Other edges of this band of altitude, or none."""
        self._set(self.state.saying("").changing_edges("altitude"))

    def action_setting(self) -> None:
        """The next setting."""
        state = self.state.other_setting()
        self._set(state.saying(f"Now: {state.label}."))

    def action_source(self) -> None:
        """Where the chart comes from."""
        self._set(self.state.asking("source").saying(""), self.state.source)

    def action_back(self) -> None:
        """Leave what is asked, or the chart."""
        state = self.state
        if self.field.value:
            self._set(state.asking("cell").saying(f"Cleared: {self.field.value}", "doubt"))
        elif state.asks != "cell" and state.place is not None:
            self._set(state.asking("cell").saying(""))
        else:
            self.dismiss()

    def action_help(self) -> None:
        """The keys of this page."""
        self.post_message(Open("help"))

    @on(events.Click, "#chart-table")
    def _cell_clicked(self, event: events.Click) -> None:
        cell = event.style.meta.get("cell")
        if isinstance(cell, tuple):
            state = self.state
            self._set(state.moved(cell[0] - state.row, cell[1] - state.column).saying(""))
