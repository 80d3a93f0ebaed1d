"""The page of a machine: what it needs, its sessions, and how its readings went over the years."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, ClassVar, Final

from rich.text import Text
from textual import on, work
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.message import Message
from textual.widgets import Static

from inspect_tui.core.seasons.trend_picture import plot_of, words_of
from inspect_tui.core.text.visible import one_line
from inspect_tui.errors import InspectError
from inspect_tui.tui.base.actions import Action
from inspect_tui.tui.base.bindings import bindings
from inspect_tui.tui.base.look import DIM, spanned
from inspect_tui.tui.base.title_cells import Cell
from inspect_tui.tui.base.view_model import InspectionActions, View
from inspect_tui.tui.screens.common.scrolling_screen import SCROLLING, ScrolledScreen
from inspect_tui.tui.screens.machine_text import machine_text
from inspect_tui.tui.widgets.key_line import KeyLine
from inspect_tui.tui.widgets.title_block import TitleBlock
from inspect_tui.tui.widgets.trend_plot import TrendView

if TYPE_CHECKING:
    from inspect_tui.workflow.machine_page import MachinePage

ACTIONS: Final = (
    Action("right", "next_trend", "Next reading", "The next reading over the years", True, "Look"),
    Action("left", "trend_before", "Reading before", "The reading before this one", False, "Look"),
    Action("escape", "back", "Back", "Leave the page", True, "Go"),
    Action("f1", "help", "Help", "What this page is for, and its keys", True),
    *SCROLLING,
)


FEW: Final = "No number was taken in two sessions so far: nothing to draw yet."


class MachineScreen(ScrolledScreen):
    """One machine over its sessions."""

    ACTIONS: ClassVar[tuple[Action, ...]] = ACTIONS
    BINDINGS = bindings(ACTIONS)
    SHEET = "#machine-needs"
    HELP_TITLE = "A machine over the seasons"
    HELP_TEXT = (
        "What the machine needs: what is late and what comes due at its usual pace, what was put "
        "off, the parts to get and to fit; then its sessions. The plot is one reading over the "
        "years, the ones that reach a limit soonest first: Right and Left choose another. The zone "
        "between the limits is dotted, bars are the gauge's uncertainty; a new part, or a value as "
        "left, begins a line of its own. Where the limit is expected to be reached is marked on "
        "it, or it is said why that can't be told."
    )

    class Loaded(Message):
        """The machine's sessions were read."""

        def __init__(self, page: MachinePage | None, trouble: str = "") -> None:
            super().__init__()
            self.page = page
            self.trouble = trouble

    def __init__(self, desk: InspectionActions, name: str, load: Callable[[], MachinePage]) -> None:
        """The page.

        Args:
            desk: The app.
            name: The machine's.
            load: Reads what is known of it; called in a thread.
        """
        super().__init__(desk, None)
        self._machine = name
        self._load = load
        self.page: MachinePage | None = None
        self.at = 0
        """Which of the readings is drawn."""

    def compose(self) -> ComposeResult:
        """What it needs beside the plot; above it where there is no room beside."""
        yield TitleBlock()
        with Horizontal(id="machine-work"):
            with VerticalScroll(id="machine-needs", can_focus=False):
                yield Static("Reading its sessions …", id="machine-body", markup=False)
            with Vertical(id="machine-trend"):
                yield Static("", id="trend-words", markup=False)
                yield TrendView(id="trend-plot")
        yield KeyLine(ACTIONS)

    def on_mount(self) -> None:
        """The first picture; the sessions are read beside it."""
        cells = [Cell("sheet", "seasons"), Cell("machine", self._machine)]
        self.query_one(TitleBlock).set_cells(cells)
        self.set_focus(None)
        self._read()

    @work(thread=True, exit_on_error=False, exclusive=True)
    def _read(self) -> None:
        try:
            self.post_message(self.Loaded(self._load()))
        except (InspectError, OSError) as error:
            self.post_message(self.Loaded(None, str(error)))

    @on(Loaded)
    def _loaded(self, event: Loaded) -> None:
        if event.page is not None or self.page is None:
            self.page = event.page
            trends = () if self.page is None else self.page.trends
            self.at = min(self.at, max(0, len(trends) - 1))
        self._picture(event.trouble)

    def draw(self, view: View) -> None:
        """A session of it went on: what it needs is read anew."""
        self._read()

    def _picture(self, trouble: str = "") -> None:
        page = self.page
        if page is None:
            self.query_one("#machine-body", Static).update(one_line(trouble))
            return
        body = machine_text(page)
        if not page.trends:
            body.append(f"\n{FEW}\n", style=DIM)
        self.query_one("#machine-body", Static).update(spanned(body))
        said = self.query_one("#trend-words", Static)
        plot = self.query_one(TrendView)
        self.set_class(bool(page.trends), "-drawn")
        if not page.trends:
            return
        each = page.trends[self.at]
        text = Text(f"{self.at + 1} of {len(page.trends)}", style=DIM)
        text.append(f"  {one_line(' '.join(words_of(each)))}", "default")
        said.update(spanned(text))
        plot.fill(plot_of(each))

    def action_next_trend(self) -> None:
        """The next reading over the years."""
        self._turn(1)

    def action_trend_before(self) -> None:
        """The reading before."""
        self._turn(-1)

    def _turn(self, by: int) -> None:
        if self.page is not None and self.page.trends:
            self.at = (self.at + by) % len(self.page.trends)
            self._picture()

    def action_back(self) -> None:
        """Leave the page."""
        self.dismiss()
