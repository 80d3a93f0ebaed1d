"""The walk: the list beside the step, one question at a time, its verdict in words."""

from __future__ import annotations

from typing import ClassVar

from rich.console import Group, RenderableType
from rich.text import Text
from textual import events, on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widgets import Footer, Static

from inspect_tui.core.model.results import StepResult
from inspect_tui.core.model.targets import Target
from inspect_tui.tui.base import reading_order
from inspect_tui.tui.base.actions import Action, bindings
from inspect_tui.tui.base.error_guard import guarded
from inspect_tui.tui.base.styling import one_line
from inspect_tui.tui.base.view_model import View
from inspect_tui.tui.walk import question_text, type_ahead
from inspect_tui.tui.walk.actions import ACTIONS
from inspect_tui.tui.walk.commands import WalkCommands
from inspect_tui.tui.walk.prompts import section_title
from inspect_tui.tui.walk.recording import SCROLLS
from inspect_tui.tui.widgets import ambient_panel, step_panel
from inspect_tui.tui.widgets.caution_panel import Cautions
from inspect_tui.tui.widgets.step_list import StepList
from inspect_tui.tui.widgets.title_block import TitleBlock
from inspect_tui.tui.widgets.upcoming_steps import coming

NARROW = 60
"""Columns below which a grid leaves out what the question says anyway."""

WIDE = 150
"""Columns from which every reading has its limit strip beside it."""


TALL = 40
"""Lines from which there is room for what comes next."""


class WalkScreen(WalkCommands):
    """One session being walked."""

    ACTIONS: ClassVar[tuple[Action, ...]] = ACTIONS
    BINDINGS = bindings(ACTIONS)
    HELP_TITLE = "Walking the list"
    HELP_TEXT = (
        "Type the reading as it is on the gauge (1-1/4, 31,7 mm, 9 1/2 turns) and press Enter: it "
        "is judged, saved and the next open one is asked. Several readings of one quantity: "
        "a; b; c. Enter on an empty field changes nothing. In a grid Left and Right on an empty "
        "field go across the cylinders. To correct a value go to it and type the right one; the "
        "old one stays in the log. What you see and no reading asks for is a finding of your own: "
        "^f writes it down at this step, and it wants a decision as the others do."
    )

    def compose(self) -> ComposeResult:
        """Title block; the list, the step and its background; the keys."""
        yield TitleBlock()
        with Horizontal(id="work"):
            yield StepList()
            with Vertical(id="sheet"):
                with Vertical(id="page"):
                    opening = f"Opening {one_line(self.opening or 'the session')} …"
                    yield Static(opening, id="heading", markup=False)
                    yield Cautions()
                    with VerticalScroll(id="how", can_focus=False):
                        yield Static("", id="method", markup=False)
                    with VerticalScroll(id="table", can_focus=False):
                        yield Static("", id="readings", markup=False)
                yield self.question
            with VerticalScroll(id="aside", can_focus=False):
                yield Static("", id="background", markup=False)
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """The field has the keys from the first picture on."""
        self.query_one(Cautions).display = False
        self.query_one(TitleBlock).set_cells([("program", "inspect-tui", 0), ("sheet", "walk", 0)])
        asked = question_text.opening()
        self.question.ask(asked.text, asked.hint, asked.title, asked.style)
        self.question.limit(None, (), shown=False)
        self.draw_waiting()
        self.question.field.focus()
        super().on_mount()

    # Drawing

    def draw(self, view: View) -> None:
        """Every part from the view and from where the person is."""
        results = view.results
        result = results.step(self.at)
        self._look_for_gate()
        self.query_one(Cautions).fill(self._gate)
        self.question.field.drawn()
        self.asked_again_drawn()
        place = [each.step.id for each in results.steps].index(self.at) + 1
        self.query_one(TitleBlock).fill(view, f"{place} of {len(results.steps)}")
        self.query_one(StepList).fill(results, self.at)
        title = section_title(results, result.section)
        self.query_one("#heading", Static).update(step_panel.heading(result, title))
        self._draw_sheet(view, result)
        parts = [step_panel.background(result), step_panel.details(view, result)]
        aside = Text("\n\n").join([*parts, ambient_panel.panel(results, self.changed)])
        self.query_one("#background", Static).update(aside)
        self.draw_question()

    def _draw_sheet(self, view: View, result: StepResult) -> None:
        """The method and the readings, or the panel that was asked for in their place."""
        method, readings = self.query_one("#method", Static), self.query_one("#readings", Static)
        going = self.mode is not None and self.mode.name == "goto"
        self.query_one("#table").display = not self.panel and not going
        self.query_one("#how").set_class(bool(self.panel) or going, "-whole")
        self.query_one("#heading").display = not going
        if going:
            self.draw_matches()
        elif self.panel == "why":
            both = (step_panel.method(result), step_panel.background(result))
            method.update(Text("\n\n").join(both))
        elif self.panel == "air":
            method.update(ambient_panel.panel(view.results, self.changed))
        elif self.panel == "details":
            method.update(step_panel.details(view, result))
        else:
            method.update(step_panel.method(result, cautioned=self._gate is not None))
            narrow, wide = self.size.width < NARROW, self.size.width >= WIDE
            picture = step_panel.readings(view, self.desk, result, self.target, narrow, wide)
            roomy = wide and self.size.height >= TALL
            readings.update(Group(picture, coming(view.results, self.at)) if roomy else picture)
            self.call_after_refresh(self._bring_into_view, picture)

    @guarded(None)
    def _bring_into_view(self, picture: RenderableType) -> None:
        """Scroll the readings so that the one that is asked is seen."""
        table, readings = self.query_one("#table"), self.query_one("#readings", Static)
        if table.max_scroll_y <= 0:
            return
        options = self.app.console.options.update(width=max(1, readings.size.width))
        for y, row in enumerate(self.app.console.render_lines(picture, options)):
            if any("▶" in segment.text for segment in row):
                table.scroll_to(y=max(0, y - table.size.height // 2), animate=False)
                return

    def draw_question(self) -> None:
        """What the field asks for, with the limit strip of that reading."""
        asked = question_text.asked(self.known, self.target, self.phase, self.mode, self._gate)
        self.question.ask(asked.text, asked.hint, asked.title, asked.style)
        self.draw_waiting()
        self.draw_answer()

    @guarded(None)
    def draw_answer(self) -> None:
        """The verdict of what is typed, marked as not entered yet; else what was said last."""
        if self.view is None or not self.question.is_attached:
            return
        text = self.question.field.value
        if self.mode is not None:
            if self.mode.name == "goto":
                self.draw_matches()
            self.question.limit(None, (), shown=False)
            return
        live = question_text.live(self.view, self.desk, self.target, text, self.phase)
        asks = self.target is not None and self._gate is None
        self.question.limit(live.zone, live.marks, shown=asks)
        keep = not text.strip() or self.question.field.is_refused or self.said_stands
        self.question.answer(self._said if keep else live.answer)

    def draw_waiting(self) -> None:
        """What was typed ahead, with the readings that will take it once a caution is confirmed."""
        goes: list[str] = []
        elsewhere: list[tuple[str, list[str]]] = []
        if self.view is not None:
            results = self.view.results
            if self._gate is not None:
                most = len(self.held)
                ahead = reading_order.ahead(results, self.target, self.phase, most)
                goes = [question_text.name_of(results, each) for each in ahead]
            elsewhere = [
                (question_text.place_name(results, step, target), texts)
                for (step, target, _), texts in self.waiting.elsewhere
            ]
        early = self.question.field.early
        held = [*self.held, *([(early, False)] if early else [])]
        self.question.waiting(type_ahead.shown(held, goes, elsewhere))

    def draw_matches(self) -> None:
        """The steps that the typed letters fit, in place of the step."""
        hits = reading_order.matching(self.known.results, self.question.field.value)
        self.pick = max(0, min(self.pick, len(hits) - 1))
        self.query_one("#method", Static).update(
            question_text.matches(self.known.results, hits, self.pick)
        )
        self.query_one("#how").scroll_to(y=self.pick - 3, animate=False)

    def turn_over(self, key: str) -> None:
        """Read on in the open panel, or close it."""
        if key == "escape":
            self.panel = ""
            self.draw_soon()
        else:
            self.query_one("#how").scroll_relative(y=SCROLLS[key], animate=False)

    def scroll_cautions(self, lines: int) -> None:
        """Read on in cautions that are longer than their panel."""
        self.query_one(Cautions).scroll_relative(y=lines, animate=False)

    def read_on(self) -> bool:
        """Scroll on in the cautions; True as long as their end has not been shown."""
        return self.query_one(Cautions).read_on()

    @on(StepList.Chosen)
    def _chosen(self, event: StepList.Chosen) -> None:
        self.go_to_step(event.step)

    def on_click(self, event: events.Click) -> None:
        """A click on a reading goes there; wherever it was, the field keeps the keys."""
        place = event.style.meta.get("target")
        if place is not None:
            self.go_to_target(Target(*place))
        self.question.field.focus()
