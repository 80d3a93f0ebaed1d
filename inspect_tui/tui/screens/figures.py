"""All figures of a machine on one page, to be gone through with the manual on the knees."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar, Final

from rich.text import Text
from textual import events, on
from textual.widgets import Static

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
from inspect_tui.tui.screens import figures_text
from inspect_tui.tui.screens.common.field_page import FieldPage
from inspect_tui.tui.screens.common.inspection_screen import InspectionScreen, Open
from inspect_tui.tui.screens.figures_state import SAME, SEARCH, FiguresState, one_key
from inspect_tui.tui.widgets.entry_field import EntryField
from inspect_tui.tui.widgets.title_block import TitleBlock

ACTIONS: Final = (
    Action("f6", "source", "Source", "Where the next figures come from: manual and page", True,
           "Record"),
    Action("f2", "order", "Order", "What is missing first, or as the list goes", True, "Look"),
    Action("f4", "chart", "Jet chart", "The factory's jet chart as a table", True, "Go"),
    Action("f3", "list", "Other list", "The figures that another list asks for", True, "Look"),
    Action("escape", "back", "Back", "Leave the search, the source, or the page", True, "Go"),
    Action("f1", "help", "Help", "What this page is for, and its keys", True),
    Action("down", "down", "Down", "The next figure; what is typed is not saved", job="Go"),
    Action("up", "up", "Up", "The figure before", job="Go"),
    Action("pagedown", "page_down", "Page down", "Ten figures on", job="Go"),
    Action("pageup", "page_up", "Page up", "Ten figures back", job="Go"),
)  # fmt: skip
PAGE: Final = 10


class FiguresScreen(FieldPage[FiguresState], InspectionScreen):
    """The table of figures, and the one field into which they are typed."""

    ACTIONS: ClassVar[tuple[Action, ...]] = ACTIONS
    BINDINGS = bindings(ACTIONS)
    HELP_TITLE = "All figures"
    HELP_TEXT = (
        "Every figure and fact that the machine's sheet has or that the list asks for. Type what "
        "the manual says and press Enter: the next one that is missing is asked. Enter alone goes "
        "on, ? says that it is not known, = takes what the cylinder before has, and 240; 230 gives "
        "every cylinder its own. / and words find a figure. Where the figures come from is asked "
        "once; F6 changes it. Everything goes into the machine's sheet at once, and into the "
        "session's log where one is open."
    )

    def __init__(
        self,
        desk: InspectionActions,
        view: View | None,
        sheet: SheetDesk,
        left: Callable[[], object] | None = None,
    ) -> None:
        """The page.

        Args:
            desk: The app.
            view: The session; None where none is open.
            sheet: The machine's sheet.
            left: Done when the page is left.
        """
        super().__init__(desk, view)
        self.sheet = sheet
        self._left = left
        self.state = FiguresState.begun(sheet.page())
        self.field = EntryField.of(self)

    def draw(self, view: View) -> None:
        """The session went on: the page as it is by now."""
        self._reread()
        self._picture()

    def _reread(self) -> None:
        try:
            self.state = self.state.with_page(self.sheet.page())
        except InspectError as error:
            self.state = self.state.saying(str(error), "bad")

    def _picture(self) -> None:
        state = self.state
        block = self.query_one(TitleBlock)
        if self.view is None:
            cells = [Cell("sheet", "figures"), Cell("missing", str(state.missing))]
            cells += [Cell("machine", state.page.machine), Cell("checklist", state.page.checklist)]
            block.set_cells(cells)
        else:
            block.fill(self.view, f"figures, {state.missing} missing")
        rows = self.query_one("#figure-rows", Static)
        table = figures_text.table(state, max(20, rows.size.width - 2), max(3, rows.size.height))
        rows.update(table)
        asks = self.query_one("#figure-asks")
        title = "WHERE FROM" if state.asks == "source" else "FIGURE"
        asks.border_title = spanned(Text(f" {title} ", style=ASKED))
        source = f" source: {one_line(state.source)} " if state.source else ""
        asks.border_subtitle = Text(source)
        self.query_one("#figure-asked", Static).update(spanned(figures_text.asked(state)))
        self.field.hint(figures_text.hint(state))
        self.query_one("#figure-said", Static).update(spanned(figures_text.said(state)))

    # What the entry field asks of its owner

    @guarded("refused")
    def entered(self, text: str, seen: bool) -> EntryOutcome:
        """Enter on a figure, a source, a search, or nothing."""
        state, text = self.state.saying(""), text.strip()
        if text.startswith(SEARCH):
            self._set(state.found())
        elif state.asks == "source":
            return self._source_entered(state, text)
        elif state.search and not text:
            self._set(state.found())
        elif not text:
            self._set(state.past())
        elif state.row is None:
            self._set(state.saying("No figure is asked here.", "doubt"), text)
            return "refused"
        elif text == "?":
            trouble = self.sheet.mark_not_known(state.row)
            state = state.unknown()
            self._set(state.saying(f"{state.said} {trouble}", "doubt") if trouble else state)
        else:
            return self._value_entered(state, state.same() if text == SAME else text)
        return "taken"

    def _source_entered(self, state: FiguresState, text: str) -> EntryOutcome:
        if not any(sign.isalpha() for sign in text or state.source):
            said = "Say where it comes from: manual, decal, measured."
            if any(sign.isdigit() for sign in text):
                said = f"A number alone does not say where. Name it: manual, page {text}"
            self._set(state.saying(one_line(said), "doubt"), text)
            return "refused"
        held, state = state.held, state.sourced(text or state.source)
        if held:
            return self._write(state, held)
        self._set(state.saying(f"From now on: {state.source}.", "good"))
        return "taken"

    def _value_entered(self, state: FiguresState, text: str) -> EntryOutcome:
        row = state.row
        assert row is not None
        if trouble := self.sheet.trouble(row, self._whose(state, text), text):
            self.state = state.saying(f"✗ {trouble}", "bad")
            self._picture()
            return "refused"
        if not state.source and not row.is_fact:
            self._set(state.asking_source(text))
            return "taken"
        return self._write(state, text)

    @staticmethod
    def _whose(state: FiguresState, text: str) -> str | None:
        """The asked cylinder; None where a value for each was typed."""
        return None if ";" in text or text.startswith("[") else state.cylinder

    def _write(self, state: FiguresState, text: str) -> EntryOutcome:
        row = state.row
        assert row is not None
        cylinder = self._whose(state, text)
        outcome = self.sheet.enter(row, cylinder, text, state.source)
        if not outcome.ok:
            self._set(state.saying(f"✗ {outcome.error}", "bad"), text)
            return "refused"
        self.state = state.answered()
        self._reread()
        state = self.state
        if cylinder is None and row.cylinders:
            state = state.beside(len(row.cylinders))
        whose = f", {cylinder}" if cylinder is not None else ""
        words = " ".join((f"✓ In the sheet: {row.label}{whose} {text}.", *outcome.said))
        self._set(state.next().saying(words, "doubt" if outcome.said else "good"))
        return "taken"

    @guarded(False)
    def answers(self, character: str, seen: bool) -> bool:
        """One key answers a choice or a check."""
        answer = one_key(self.state, character)
        return bool(answer) and self._write(self.state.saying(""), answer) == "taken"

    @guarded(None)
    def typed(self, text: str) -> None:
        """A search shows what it finds while it is typed."""
        if text.startswith(SEARCH):
            self.state = self.state.searching(text[1:])
            self._picture()
        elif self.state.search and not text:
            self.state = self.state.found()
            self._picture()

    @guarded(True)
    def command(self, key: str) -> bool:
        """A key that is no text, done at once and in its turn."""
        if key in ("tab", "shift+tab"):
            self._set(self.state.beside(1 if key == "tab" else -1).saying(""))
            return True
        if key in ("left", "right") and not self.field.value:
            self._set(self.state.beside(1 if key == "right" else -1).saying(""))
            return True
        return self._do_key(key)

    # Actions

    def _move(self, by: int) -> None:
        state = self.state
        text = self.field.value if self.field.value.startswith(SEARCH) else ""
        self._set(state.to(state.at + by).saying(""), text)

    def action_down(self) -> None:
        """The next figure."""
        self._move(1)

    def action_up(self) -> None:
        """The figure before."""
        self._move(-1)

    def action_page_down(self) -> None:
        """Ten on."""
        self._move(PAGE)

    def action_page_up(self) -> None:
        """Ten back."""
        self._move(-PAGE)

    def action_source(self) -> None:
        """Where the next figures come from."""
        self._set(self.state.asking_source("").saying(""), self.state.source)

    def action_order(self) -> None:
        """What is missing first, or as the list goes."""
        order = self.state.order
        state = self.state.ordered("section" if order == "missing" else "missing")
        words = "As the list goes." if order == "missing" else "What is missing comes first."
        self._set(state.saying(words))

    def action_list(self) -> None:
        """Another list's figures."""
        if self.sheet.other_list():
            old = self.state
            state = FiguresState.begun(self.sheet.page(), old.order)
            self._set(state.sourced(old.source).saying(f"For: {state.page.checklist}"))
        else:
            self.say("This session's list asks; no other one.")

    def action_chart(self) -> None:
        """The jet chart."""
        from inspect_tui.tui.screens.chart import ChartScreen

        try:
            chart = ChartScreen(self.desk, self.view, self.sheet, self.state.source)
        except InspectError as error:
            self.say(str(error))
        else:
            self.app.push_screen(chart)

    def action_back(self) -> None:
        """Leave the search, the source, or the page."""
        state = self.state
        if state.search or self.field.value.startswith(SEARCH):
            self._set(state.found().saying(""))
        elif state.asks == "source":
            self._set(state.sourced(state.source).saying(""), state.held)
        elif self.field.value:
            self._set(state.saying(f"Cleared: {self.field.value}", "doubt"))
        else:
            self.dismiss()
            if self._left is not None:
                self._left()

    def action_help(self) -> None:
        """The keys of this page."""
        self.post_message(Open("help"))

    @on(events.Click, "#figure-rows")
    def _row_clicked(self, event: events.Click) -> None:
        row = event.style.meta.get("row")
        if isinstance(row, int):
            self._set(self.state.to(row).saying(""))
