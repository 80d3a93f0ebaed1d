"""Draws the walk's state on its screen: every part, once a burst."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.console import RenderableType
from textual.timer import Timer
from textual.widgets import Static

from inspect_tui.core.presentation.pictures.block_figures import Faces
from inspect_tui.core.presentation.pictures.text_picture import TextPicture
from inspect_tui.tui.base import reading_order
from inspect_tui.tui.base.error_guard import guarded
from inspect_tui.tui.base.step_lines import section_lines
from inspect_tui.tui.base.view_model import View
from inspect_tui.tui.walk import one_press, pictures, question_text, sheet, timing
from inspect_tui.tui.walk.controller import WalkController
from inspect_tui.tui.walk.pictures import LargePicture
from inspect_tui.tui.widgets.caution_panel import Cautions
from inspect_tui.tui.widgets.entry_field import now
from inspect_tui.tui.widgets.step_list import StepList
from inspect_tui.tui.widgets.title_block import TitleBlock

if TYPE_CHECKING:
    from inspect_tui.tui.walk.screen import WalkScreen

BESIDE_LARGE = 17
"""Rows that are kept for everything but a picture beside the readings."""
AROUND_ASKED = 2
"""Lines that the asked reading takes, as a rule: its value and the sheet's figure below it."""
SHORT_WITH_LARGE = 30
"""Rows of a terminal in which the method gives way to a picture beside the readings."""
TICK = 0.25
"""Seconds between two looks at a running timer."""


def _faces() -> Faces:
    """The block letters; late, because they are wanted seldom."""
    from inspect_tui.workflow.drawings import block_faces

    return block_faces()


class WalkDrawing:
    """The parts of one walk screen."""

    def __init__(self, screen: WalkScreen, walk: WalkController) -> None:
        """Of the screen that is drawn on, and the walk that is drawn."""
        self.screen = screen
        self.walk = walk
        screen.question.field.takes_unit = lambda text: one_press.takes_unit(
            text, walk.state.reading
        )
        self._large_picture: LargePicture | None = None
        self._clock: Timer | None = None

    def trouble(self, error: Exception) -> None:
        """Say an unexpected error."""
        self.screen.trouble(error)

    def draw(self, view: View) -> None:
        """Every part from the state that stands."""
        page = self.screen
        state = self.walk.state
        results = view.results
        cautions = page.query_one(Cautions)
        cautions.fill(state.gate)
        if state.is_menu_open and page.size.width < sheet.NARROW:
            cautions.display = False  # the letters need the lines
        self.walk.drawn()
        page.query_one(TitleBlock).fill(view, reading_order.sheet_of(results, state.step))
        page.query_one(StepList).fill(section_lines(results), state.step)
        self._draw_sheet()
        self._draw_asked()
        self.draw_waiting()
        self.draw_answer()

    def _draw_sheet(self) -> None:
        """The method and the readings, or the panel that was asked for in their place."""
        page = self.screen
        drawn = sheet.sheet(self.walk.state, page.desk, page.size.width, page.size.height)
        page.query_one("#table").display = drawn.readings is not None
        page.query_one("#how").set_class(drawn.readings is None, "-whole")
        page.query_one("#heading").display = drawn.heading is not None
        page.query_one("#heading", Static).update(drawn.heading or "")
        page.query_one("#background", Static).update(drawn.background)
        page.query_one("#method", Static).update(drawn.method)
        if drawn.readings is not None:
            page.query_one("#readings", Static).update(drawn.readings)
        elif drawn.heading is None and not self.walk.state.is_menu_open:
            page.query_one("#how").scroll_to(y=self.walk.state.pick - 3, animate=False)
        self._show_large()
        if drawn.readings is not None:
            page.call_after_refresh(self._bring_into_view, drawn.readings)

    def _show_large(self) -> None:
        """The picture of this place, in the room that it wants; the timer's clock runs with it."""
        page = self.screen
        state = self.walk.state
        self._large_picture = found = pictures.picture(state, page.desk, _faces, now())
        page.large.display = found is not None
        page.set_class(state.panel == "far" and found is not None, "-far")
        whole = found is not None and found.rows is None
        beside = found is not None and page.size.height <= SHORT_WITH_LARGE
        page.query_one("#how").display = not (whole or beside)
        if found is not None:
            room = max(found.least, page.size.height - BESIDE_LARGE)
            page.large.styles.height = "1fr" if found.rows is None else min(found.rows, room)
            for part in ("#table", "#heading"):
                page.query_one(part).display = page.query_one(part).display and not whole
            page.large.redraw()
        if state.timer is not None and self._clock is None:
            self._clock = page.set_interval(TICK, self._tick)
        elif state.timer is None and self._clock is not None:
            self._clock.stop()
            self._clock = None

    def draw_large(self, columns: int, rows: int) -> TextPicture:
        """What is drawn large at this place, in so many columns and rows."""
        found = self._large_picture
        return TextPicture(columns, ()) if found is None else found.draw(columns, rows)

    @guarded(None)
    def _tick(self) -> None:
        """A running timer goes on; the bell rings once, at the wanted time."""
        page = self.screen
        if timing.tick(self.walk):
            page.app.bell()
        self._show_large()
        self.draw_waiting()

    @guarded(None)
    def _bring_into_view(self, picture: RenderableType) -> None:
        """Scroll the readings so that the one that is asked is seen, the names above it too where
        both find room."""
        page = self.screen
        table, readings = (
            page.query_one("#table"),
            page.query_one("#readings", Static),
        )
        if table.max_scroll_y <= 0:
            return
        options = page.app.console.options.update(width=max(1, readings.size.width))
        for y, row in enumerate(page.app.console.render_lines(picture, options)):
            if any("▶" in segment.text for segment in row):
                high = table.size.height
                at = 0 if y + AROUND_ASKED <= high else max(0, y - high // 2)
                table.scroll_to(y=at, animate=False)
                return

    def _draw_asked(self) -> None:
        """What the field asks for."""
        page = self.screen
        asked = question_text.asked(self.walk.state)
        page.question.ask(
            asked.text, asked.hint, asked.title, asked.style, place=asked.place, unit=asked.unit
        )

    @guarded(None)
    def draw_answer(self) -> None:
        """The verdict of what is typed, marked as not entered yet; else what was said last."""
        page = self.screen
        state = self.walk.state
        if page.view is None or not page.question.is_attached:
            return
        if state.prompt is not None:
            if state.prompt.purpose == "goto":
                self._draw_sheet()
            page.question.answer(state.said)
            page.question.limit(None, (), shown=False)
            return
        found = question_text.answer(state, page.desk)
        asks = state.target is not None and state.gate is None and not state.is_menu_open
        page.question.limit(found.zone, found.marks, shown=asks)
        page.question.answer(found.answer)
        if pictures.follows_typing(state):
            self._show_large()

    def draw_waiting(self) -> None:
        """What was typed ahead, with the readings that will take it once a caution is confirmed."""
        page = self.screen
        page.question.waiting(question_text.waiting(self.walk.state, now()))
