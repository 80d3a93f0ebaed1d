"""The walk: the list beside the step, one question at a time, its verdict in words."""

from __future__ import annotations

from typing import Any, ClassVar

from rich.console import RenderableType
from textual import events, on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.timer import Timer
from textual.widgets import Static

from inspect_tui.core.model.results import Results
from inspect_tui.core.model.targets import Target
from inspect_tui.core.presentation.pictures.block_figures import Faces
from inspect_tui.core.presentation.pictures.text_picture import TextPicture
from inspect_tui.tui.base import reading_order
from inspect_tui.tui.base.actions import Action
from inspect_tui.tui.base.bindings import bindings
from inspect_tui.tui.base.error_guard import fault, guarded
from inspect_tui.tui.base.screen_names import ScreenName
from inspect_tui.tui.base.view_model import InspectionActions, View
from inspect_tui.tui.screens.common.inspection_screen import InspectionScreen, Open
from inspect_tui.tui.walk import one_press, pictures, question_text, sheet, timing
from inspect_tui.tui.walk.actions import ACTIONS
from inspect_tui.tui.walk.controller import WalkController
from inspect_tui.tui.walk.pictures import LargePicture
from inspect_tui.tui.widgets.caution_panel import Cautions
from inspect_tui.tui.widgets.entry_field import EntryField, now
from inspect_tui.tui.widgets.key_line import KeyLine
from inspect_tui.tui.widgets.picture import PictureWidget
from inspect_tui.tui.widgets.question import Question
from inspect_tui.tui.widgets.step_list import StepList
from inspect_tui.tui.widgets.title_block import Cell, TitleBlock

MIN_LARGE, BESIDE_LARGE = 5, 17
"""Rows of a picture beside the readings, and the rows that are kept for everything else."""
AROUND_ASKED = 2
"""Lines that the asked reading takes, as a rule: its value and the sheet's figure below it."""
SHORT_WITH_LARGE = 30
"""Rows of a terminal in which the method gives way to a picture beside the readings."""
FINGER = 12
"""Columns beside a cell, in the row above or below, that a tap may be off."""
TICK = 0.25
"""Seconds between two looks at a running timer."""


def _faces() -> Faces:
    """The block letters; late, because they are wanted seldom."""
    from inspect_tui.workflow.drawings import block_faces

    return block_faces()


def _sheet_number(results: Results, step: str) -> str:
    """The place of a step among those of the job."""
    return reading_order.number_of(results, step) or "not of this job"


class WalkScreen(InspectionScreen):
    """One session being walked."""

    ACTIONS: ClassVar[tuple[Action, ...]] = ACTIONS
    BINDINGS = bindings(ACTIONS, "do")
    HELP_TITLE = "Walking the list"
    HELP_TEXT = (
        "Type the reading as it is on the gauge (1-1/4, 31,7 mm, 9 1/2 turns) and press Enter: it "
        "is judged, saved and the next open one is asked. Several readings of one quantity: "
        "a; b; c. Enter on an empty field changes nothing. In a grid Left and Right on an empty "
        "field go across the cylinders. To correct a value go to it and type the right one; the "
        "old one stays in the log. What you see and no reading asks for is a finding of your own: "
        "Ctrl+F writes it down at this step, and it wants a decision as the others do."
    )

    def __init__(self, actions: InspectionActions, opening: str = "") -> None:
        """A walk whose session is on its way.

        Args:
            actions: Does what is asked.
            opening: What is being opened, in words.
        """
        super().__init__(actions)
        self.opening = opening
        self.walk = WalkController(actions, self, now)
        self.question = Question(EntryField(self.walk.line))
        self.question.field.takes_unit = lambda text: one_press.takes_unit(
            text, self.walk.state.reading
        )
        self._answer_due = False
        self._large = PictureWidget(self._draw_large, id="large")
        self._large_picture: LargePicture | None = None
        self._clock: Timer | None = None

    def compose(self) -> ComposeResult:
        """Title block; the list, the step and its background; the keys."""
        yield TitleBlock()
        with Horizontal(id="work"):
            yield StepList()
            with Vertical(id="sheet"):
                with Vertical(id="page"):
                    yield Static("Opening the session …", id="heading", markup=False)
                    yield Cautions()
                    with VerticalScroll(id="how", can_focus=False):
                        yield Static("", id="method", markup=False)
                    with VerticalScroll(id="table", can_focus=False):
                        yield Static("", id="readings", markup=False)
                    yield self._large
                yield self.question
            with VerticalScroll(id="aside", can_focus=False):
                yield Static("", id="background", markup=False)
        yield KeyLine(ACTIONS, waiting=self.view is None)

    def on_mount(self) -> None:
        """The field has the keys from the first picture on."""
        self.query_one(Cautions).display = False
        self.query_one(TitleBlock).set_cells(
            [Cell("program", "inspect-tui"), Cell("sheet", "walk")]
        )
        self._draw_asked()
        self.question.limit(None, (), shown=False)
        self._draw_waiting()
        self.question.field.focus()
        super().on_mount()

    # What the controller asks for

    def changed(self) -> None:
        """Another state stands: draw it, once a burst."""
        self.question.field.refresh()
        self.draw_soon()
        if self.view is None and self.is_attached:
            self._draw_asked()
            self._draw_waiting()
            self.question.answer(self.walk.state.said)

    def text_changed(self) -> None:
        """Judge what is typed after the keys of this burst, sooner than after the next picture."""
        if self.view is None:
            self._draw_waiting()
        if not self._answer_due:
            self._answer_due = True
            self.call_later(self._answer_now)

    def _answer_now(self) -> None:
        self._answer_due = False
        self._draw_answer()

    def read_on(self) -> bool:
        """Scroll on in the cautions; True as long as their end has not been shown."""
        return self.query_one(Cautions).read_on()

    def scroll_cautions(self, lines: int) -> None:
        """Read on in cautions that are longer than their panel."""
        self.query_one(Cautions).scroll_relative(y=lines, animate=False)

    def scroll_panel(self, lines: int) -> None:
        """Read on in the open panel."""
        self.query_one("#how").scroll_relative(y=lines, animate=False)

    def fold(self, step: str) -> None:
        """Fold or unfold the group of a step in the list."""
        self.query_one(StepList).fold(step)
        self.draw_soon()

    def open(self, name: ScreenName) -> None:
        """Ask the app for another screen."""
        self.post_message(Open(name))

    # What the app and the framework ask for

    def show(self, view: View) -> None:
        """Take the inspection as it now stands."""
        first = self.view is None
        super().show(view)
        self.walk.show(view)
        if first:
            self.query_one(KeyLine).wait(False)

    def say(self, text: str) -> None:
        """One line to the person, below the field."""
        self.walk.say(text)

    def trouble(self, error: Exception) -> None:
        """Say an unexpected error at once: what failed may be the drawing itself."""
        self.walk.state = self.walk.state.in_trouble(fault(error))
        self.question.answer(self.walk.state.said)

    @property
    def is_ready(self) -> bool:
        """Whether the session is open, so that its actions can be done."""
        return self.view is not None

    def quit(self) -> None:
        """End the program."""
        self.app.exit()

    def run(self, action: Action) -> None:
        """Do an action of the table, from a key, the palette or a click."""
        self.walk.do(action.name)

    def action_do(self, name: str) -> None:
        """Do an action by its name."""
        self.walk.do(name)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Until the session is open its actions are grey; their keys wait in the field."""
        return None if self.view is None and action == "do" and parameters != ("leave",) else True

    def on_key(self, event: events.Key) -> None:
        """A key that came before the field had the focus."""
        field = self.question.field
        if not field.has_focus and self.is_current:
            field.focus()
            field.post_message(event)
            event.stop()

    # Drawing

    def draw(self, view: View) -> None:
        """Every part from the state that stands."""
        state = self.walk.state
        results = view.results
        cautions = self.query_one(Cautions)
        cautions.fill(state.gate)
        if state.is_menu_open and self.size.width < sheet.NARROW:
            cautions.display = False  # the letters need the lines
        self.walk.drawn()
        self.query_one(TitleBlock).fill(view, _sheet_number(results, state.step))
        self.query_one(StepList).fill(results, state.step)
        self._draw_sheet()
        self._draw_asked()
        self._draw_waiting()
        self._draw_answer()

    def _draw_sheet(self) -> None:
        """The method and the readings, or the panel that was asked for in their place."""
        drawn = sheet.sheet(self.walk.state, self.desk, self.size.width, self.size.height)
        self.query_one("#table").display = drawn.readings is not None
        how = self.query_one("#how")
        how.set_class(drawn.readings is None, "-whole")
        self.query_one("#heading").display = drawn.heading is not None
        self.query_one("#heading", Static).update(drawn.heading or "")
        self.query_one("#background", Static).update(drawn.background)
        self.query_one("#method", Static).update(drawn.method)
        if drawn.readings is not None:
            self.query_one("#readings", Static).update(drawn.readings)
        elif drawn.heading is None and not self.walk.state.is_menu_open:
            self.query_one("#how").scroll_to(y=self.walk.state.pick - 3, animate=False)
        self._show_large()
        if drawn.readings is not None:
            self.call_after_refresh(self._bring_into_view, drawn.readings)

    def _show_large(self) -> None:
        """The picture of this place, in the room that it wants; the timer's clock runs with it."""
        state = self.walk.state
        self._large_picture = found = pictures.picture(state, self.desk, _faces, now())
        self._large.display = found is not None
        self.set_class(state.panel == "far", "-far")
        whole = found is not None and found.rows is None
        beside = found is not None and self.size.height <= SHORT_WITH_LARGE
        self.query_one("#how").display = not (whole or beside)
        if found is not None:
            room = max(MIN_LARGE, self.size.height - BESIDE_LARGE)
            self._large.styles.height = "1fr" if found.rows is None else min(found.rows, room)
            for part in ("#table", "#heading"):
                self.query_one(part).display = self.query_one(part).display and not whole
            self._large.redraw()
        if state.timer is not None and self._clock is None:
            self._clock = self.set_interval(TICK, self._tick)
        elif state.timer is None and self._clock is not None:
            self._clock.stop()
            self._clock = None

    def _draw_large(self, columns: int, rows: int) -> TextPicture:
        found = self._large_picture
        return TextPicture(columns, ()) if found is None else found.draw(columns, rows)

    @guarded(None)
    def _tick(self) -> None:
        """A running timer goes on; the bell rings once, at the wanted time."""
        if timing.tick(self.walk):
            self.app.bell()
        self._show_large()
        self._draw_waiting()

    @guarded(None)
    def _bring_into_view(self, picture: RenderableType) -> None:
        """Scroll the readings so that the one that is asked is seen, the names above it too where
        both find room."""
        table, readings = self.query_one("#table"), self.query_one("#readings", Static)
        if table.max_scroll_y <= 0:
            return
        options = self.app.console.options.update(width=max(1, readings.size.width))
        for y, row in enumerate(self.app.console.render_lines(picture, options)):
            if any("▶" in segment.text for segment in row):
                high = table.size.height
                at = 0 if y + AROUND_ASKED <= high else max(0, y - high // 2)
                table.scroll_to(y=at, animate=False)
                return

    def _draw_asked(self) -> None:
        """What the field asks for."""
        asked = question_text.asked(self.walk.state)
        self.question.ask(
            asked.text, asked.hint, asked.title, asked.style, place=asked.place, unit=asked.unit
        )

    @guarded(None)
    def _draw_answer(self) -> None:
        """The verdict of what is typed, marked as not entered yet; else what was said last."""
        state = self.walk.state
        if self.view is None or not self.question.is_attached:
            return
        if state.prompt is not None:
            if state.prompt.purpose == "goto":
                self._draw_sheet()
            self.question.answer(state.said)
            self.question.limit(None, (), shown=False)
            return
        found = question_text.answer(state, self.desk)
        asks = state.target is not None and state.gate is None and not state.is_menu_open
        self.question.limit(found.zone, found.marks, shown=asks)
        self.question.answer(found.answer)
        if pictures.follows_typing(state):
            self._show_large()

    def _draw_waiting(self) -> None:
        """What was typed ahead, with the readings that will take it once a caution is confirmed."""
        self.question.waiting(question_text.waiting(self.walk.state, self.walk.line, now()))

    @on(StepList.Chosen)
    def _chosen(self, event: StepList.Chosen) -> None:
        self.walk.go_to_step(event.step)

    def on_click(self, event: events.Click) -> None:
        """What is clicked or tapped is done: a reading, an answer, a letter of the menu, Enter. In
        the readings a place beside a cell is that cell: a finger is wider than one sign."""
        meta = event.style.meta
        if not meta:
            meta = self._cell_beside(event)
        if "target" in meta:
            self.walk.go_to_target(Target(*meta["target"]))
        elif "answer" in meta:
            self.walk.answer(meta["answer"])
        elif "action" in meta:
            self.walk.do(meta["action"])
        self.question.field.focus()

    def _cell_beside(self, event: events.Click) -> dict[str, Any]:
        """What the nearest cell of the readings stands for; nothing where none is near."""
        room = self.query_one("#table").content_region
        if not room.contains(event.screen_x, event.screen_y):
            return {}
        for down in (0, -1, 1):
            y = event.screen_y + down
            for across in range(FINGER if down else room.width):
                for x in {event.screen_x - across, event.screen_x + across}:
                    if room.contains(x, y):
                        meta = self.get_style_at(x, y).meta
                        if "target" in meta:
                            return meta
        return {}
