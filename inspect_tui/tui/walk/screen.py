"""The walk: the list beside the step, one question at a time, its verdict in words.

The screen stands before its session is there, with what it showed last (`first_sight`), and takes
keys. Nothing that a session needs is imported until it comes: then the controller and the drawing
take over.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, ClassVar

from rich.text import Text
from textual import events, on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.message import Message
from textual.widgets import Static

from inspect_tui.tui.base.actions import Action
from inspect_tui.tui.base.bindings import bindings
from inspect_tui.tui.base.error_guard import fault
from inspect_tui.tui.base.look import ASKED, UNCERTAIN
from inspect_tui.tui.base.screen_names import ScreenName
from inspect_tui.tui.base.title_cells import Cell
from inspect_tui.tui.screens.common.inspection_screen import InspectionScreen, Open
from inspect_tui.tui.walk.actions import ACTIONS
from inspect_tui.tui.walk.early_keys import EarlyKeys
from inspect_tui.tui.walk.first_sight import FirstSight
from inspect_tui.tui.widgets.caution_panel import Cautions
from inspect_tui.tui.widgets.entry_field import EntryField, now
from inspect_tui.tui.widgets.key_line import KeyLine
from inspect_tui.tui.widgets.picture import PictureWidget
from inspect_tui.tui.widgets.question import Question
from inspect_tui.tui.widgets.step_list import StepList
from inspect_tui.tui.widgets.title_block import TitleBlock

if TYPE_CHECKING:
    from inspect_tui.core.presentation.pictures.text_picture import TextPicture
    from inspect_tui.tui.base.view_model import InspectionActions, View
    from inspect_tui.tui.walk.controller import WalkController
    from inspect_tui.tui.walk.drawing import WalkDrawing

FINGER = 12
"""Columns beside a cell, in the row above or below, that a tap may be off."""


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

    def __init__(
        self,
        actions: InspectionActions,
        sight: FirstSight | None = None,
        drawn: Callable[[WalkScreen], object] | None = None,
    ) -> None:
        """A walk whose session is on its way.

        Args:
            actions: Does what is asked.
            sight: What it will show first, where that is known already.
            drawn: Called once, when the first picture is on the terminal.
        """
        super().__init__(actions)
        self.sight = sight
        self._first_drawn = drawn
        self.early = EarlyKeys(self, now)
        self.question = Question(EntryField(self.early.line))
        self.large = PictureWidget(self._draw_large, id="large")
        self._walk: WalkController | None = None
        self._drawing: WalkDrawing | None = None
        self._answer_due = False

    @property
    def walk(self) -> WalkController:
        """What does the keys; there from the moment that the session is."""
        assert self._walk is not None
        return self._walk

    @property
    def not_entered(self) -> list[str]:
        """Whatever was typed and is in no log."""
        return self.early.not_entered if self._walk is None else self._walk.not_entered

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
                    yield self.large
                yield self.question
            with VerticalScroll(id="aside", can_focus=False):
                yield Static("", id="background", markup=False)
        yield KeyLine(ACTIONS, waiting=self.view is None)

    def on_mount(self) -> None:
        """The field has the keys from the first picture on."""
        self.query_one(Cautions).display = False
        self.question.limit(None, (), shown=False)
        self._draw_first()
        self.question.field.focus()
        super().on_mount()
        if self._first_drawn is not None:
            # The first refresh lays the screen out; it is on the terminal after the second one.
            self.call_after_refresh(self.call_after_refresh, self._first_drawn, self)

    # Before the session is there

    def early_changed(self) -> None:
        """What was typed ahead, and what came of it."""
        if self._walk is None and self.is_attached:
            self.question.field.refresh()
            self.question.waiting(self.early.waiting)
            self.question.answer(self.early.said)

    def leave(self) -> None:
        """Back to the list of sessions."""
        self.open("sessions")

    def _draw_first(self) -> None:
        """What will be seen once the session is there, as far as that is known."""
        sight = self.sight
        hint, title = "what is typed now waits", " OPENING "
        if sight is None:
            asked = Text("The session is being opened.", style=ASKED)
            self.query_one(TitleBlock).set_cells(
                [Cell("program", "inspect-tui"), Cell("sheet", "walk")]
            )
        else:
            asked = Text(sight.asked, style=ASKED)
            self.query_one(TitleBlock).set_cells(sight.first, sight.then)
            self.query_one(StepList).fill(sight.sections, sight.step)
            self.query_one(Cautions).fill(sight.gate)
            self.query_one("#heading", Static).update(Text(sight.heading, style="bold"))
        self.question.ask(asked, hint, title, UNCERTAIN)
        self.early_changed()

    # What the controller asks for

    def changed(self) -> None:
        """Another state stands: draw it, once a burst."""
        self.question.field.refresh()
        self.draw_soon()

    def text_changed(self) -> None:
        """Judge what is typed after the keys of this burst, sooner than after the next picture."""
        if not self._answer_due:
            self._answer_due = True
            self.call_later(self._answer_now)

    def _answer_now(self) -> None:
        self._answer_due = False
        if self._drawing is not None:
            self._drawing.draw_answer()

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
        first = self._walk is None
        if first:
            self._take_over()
        super().show(view)
        self.walk.show(view)
        if first:
            for line in self.query(KeyLine):  # none where the app is being left
                line.wait(False)

    @staticmethod
    def load_what_takes_over() -> None:
        """Import what `show` needs, in whatever thread: the keys shouldn't wait for it."""
        from inspect_tui.tui.walk import controller, drawing  # noqa: F401

    def _take_over(self) -> None:
        """The session is there: from now on its controller does the keys."""
        from inspect_tui.tui.walk.controller import WalkController
        from inspect_tui.tui.walk.drawing import WalkDrawing

        self._walk = WalkController(self.desk, self, now, self.early.line)
        self._drawing = WalkDrawing(self, self._walk)

    def say(self, text: str) -> None:
        """One line to the person, below the field."""
        (self.early if self._walk is None else self._walk).say(text)

    def trouble(self, error: Exception) -> None:
        """Say an unexpected error at once: what failed may be the drawing itself."""
        if self._walk is None:
            self.early.say(fault(error))
        else:
            self._walk.state = self._walk.state.in_trouble(fault(error))
            self.question.answer(self._walk.state.said)

    @property
    def is_ready(self) -> bool:
        """Whether the session is open, so that its actions can be done."""
        return self.view is not None

    def quit(self) -> None:
        """End the program."""
        self.app.exit()

    def run(self, action: Action) -> None:
        """Do an action of the table, from a key, the palette or a click."""
        self.action_do(action.name)

    def action_do(self, name: str) -> None:
        """Do an action by its name; before the session is there leaving and quitting alone."""
        if self._walk is not None:
            self._walk.do(name)
        elif name in ("leave", "quit"):
            getattr(self.early, name)()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Until the session is open its actions are grey; their keys wait in the field."""
        return None if self.view is None and action == "do" and parameters != ("leave",) else True

    def post_message(self, message: Message) -> bool:
        """What is typed before the field has the focus goes to it at once: a queue of its own
        would let keys behind it overtake it."""
        field = self.question.field
        if isinstance(message, events.Key | events.Paste) and message is not field.handed_on:
            return field.post_message(message)
        return super().post_message(message)

    def draw(self, view: View) -> None:
        """Every part from the state that stands."""
        if self._drawing is not None:
            self._drawing.draw(view)

    def _draw_large(self, columns: int, rows: int) -> TextPicture:
        from inspect_tui.core.presentation.pictures.text_picture import TextPicture

        return (
            TextPicture(columns, ())
            if self._drawing is None
            else self._drawing.draw_large(columns, rows)
        )

    @on(StepList.Chosen)
    def _chosen(self, event: StepList.Chosen) -> None:
        if self._walk is not None:
            self._walk.go_to_step(event.step)

    def on_click(self, event: events.Click) -> None:
        """What is clicked or tapped is done: a reading, an answer, a letter of the menu, Enter. In
        the readings a place beside a cell is that cell: a finger is wider than one sign."""
        meta = event.style.meta or self._cell_beside(event)
        if self._walk is not None and "target" in meta:
            from inspect_tui.core.model.targets import Target

            self._walk.go_to_target(Target(*meta["target"]))
        elif self._walk is not None and "answer" in meta:
            self._walk.answer(meta["answer"])
        elif "action" in meta:
            self.action_do(meta["action"])
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
