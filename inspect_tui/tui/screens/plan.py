"""The plan: the machine with each system's state, what stops the ride, what comes next."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, VerticalScroll
from textual.widgets import Static

from inspect_tui.core.evaluation.job.plan import plan_of
from inspect_tui.core.evaluation.job.plan_fits import BUDGETS, fits, tools_wanted
from inspect_tui.core.evaluation.job.systems import systems_of
from inspect_tui.core.model.results import NOT_OF_THE_JOB
from inspect_tui.tui.base.actions import Action
from inspect_tui.tui.base.bindings import bindings
from inspect_tui.tui.base.look import spanned
from inspect_tui.tui.base.view_model import InspectionActions, View
from inspect_tui.tui.screens.common.inspection_screen import GoToStep, Open, OpenMachine
from inspect_tui.tui.screens.common.scrolling_screen import SCROLLING, ScrolledScreen
from inspect_tui.tui.screens.plan_text import fitting_text, plan_text
from inspect_tui.tui.widgets.key_line import KeyLine
from inspect_tui.tui.widgets.machine_drawing import MachineView
from inspect_tui.tui.widgets.title_block import TitleBlock

ACTIONS = (
    Action("enter", "go_on", "Go on", "Go on at what comes next", True, "Go"),
    Action("f1", "help", "Help", "What this screen is for, and its keys", True),
    Action("h", "help", "Help", "The same"),
    Action("t", "time", "Time", "Half an hour, one hour, two: what fits", True, "Go"),
    Action("g", "tool", "Tool", "With one tool in hand: what fits", True, "Go"),
    Action("tab", "machine", "Machine", "Walk over the machine by the arrow keys", True, "Go"),
    Action("ctrl+g", "go_to", "Go to", "Go to a step by a part of its name", True, "Go"),
    Action("w", "widen", "Take in", "A section or step that this job leaves out", False, "Go"),
    Action("s", "seasons", "Seasons", "The machine over its seasons: what is due, how it wears",
           False, "Look"),
    Action("f7", "findings", "Findings", "Every finding, and what is done about it", True,
           "Decide and sign"),
    Action("f9", "sign_off", "Sign", "What is open; sign off", False, "Decide and sign"),
    Action("escape", "back", "Walk", "To the walk, where it was left", True, "Go"),
    *SCROLLING,
)  # fmt: skip


class PlanScreen(ScrolledScreen):
    """Where a session that was left opens."""

    ACTIONS: ClassVar[tuple[Action, ...]] = ACTIONS
    BINDINGS = bindings(ACTIONS)
    SHEET = "#plan"
    AUTO_FOCUS = ""  # the arrow keys scroll the page; Tab gives them to the machine
    HELP_TITLE = "The plan"
    HELP_TEXT = (
        "What stops the engine's start and the first move, what is to be measured again, what "
        "waits for parts or a decision, what is left, how long it takes and what to fetch. Enter "
        "goes on at what comes next. t and g show what fits the time, or the tool in hand. On the "
        "machine, Tab and the arrow keys point at a system; Enter goes to its first open step."
    )

    def __init__(self, desk: InspectionActions, view: View | None = None) -> None:
        super().__init__(desk, view)
        self._budget = 0
        self._tool = ""

    def compose(self) -> ComposeResult:
        """The machine beside the plan; above it where there is no room beside."""
        yield TitleBlock()
        with Horizontal(id="plan-work"):
            yield MachineView(id="plan-machine")
            with VerticalScroll(id="plan", can_focus=False):
                yield Static("", id="plan-fits", markup=False)
                yield Static("", id="plan-body", markup=False)
        yield KeyLine(ACTIONS)

    def on_mount(self) -> None:
        """The machine's drawing is looked up once."""
        self._drawing = self.desk.drawing()
        super().on_mount()

    def draw(self, view: View) -> None:
        """The plan as it stands."""
        self.query_one(TitleBlock).fill(view, "plan")
        self.query_one(MachineView).fill(self._drawing, systems_of(view.results))
        body = plan_text(view, view.carried)
        self.query_one("#plan-body", Static).update(spanned(body))
        shown = self.query_one("#plan-fits", Static)
        minutes = BUDGETS[self._budget]
        shown.display = minutes is not None or bool(self._tool)
        if shown.display:
            fitting = fits(view.results, minutes, self._tool)
            shown.update(spanned(fitting_text(view, fitting, minutes, self._tool)))

    def action_go_on(self) -> None:
        """On to what comes next."""
        step = None if self.view is None else plan_of(self.view.session, self.view.results).next
        self._leave_for(step)

    def _leave_for(self, step: str | None) -> None:
        self.dismiss()
        if step is not None:
            self.app.post_message(GoToStep(step))

    @on(MachineView.Chosen)
    def _system_chosen(self, event: MachineView.Chosen) -> None:
        """To the first open step of a system, else to its first."""
        if self.view is None:
            return
        steps = [step for step in self.view.results.steps if step.section == event.section]
        wanted = [step for step in steps if step.state in ("again", "open")]
        shown = [step for step in steps if step.state not in NOT_OF_THE_JOB]
        if wanted or shown:
            self._leave_for((wanted or shown)[0].step.id)

    def action_time(self) -> None:
        """The next budget of time."""
        self._budget = (self._budget + 1) % len(BUDGETS)
        self._to_top()

    def action_tool(self) -> None:
        """The next tool, or any."""
        if self.view is not None:
            tools = ["", *tools_wanted(self.view.results)]
            at = tools.index(self._tool) if self._tool in tools else 0
            self._tool = tools[(at + 1) % len(tools)]
            self._to_top()

    def _to_top(self) -> None:
        self._sheet.scroll_home(animate=False)
        self.draw_soon()

    def action_machine(self) -> None:
        """To the machine, or back to the page."""
        machine = self.query_one(MachineView)
        self.set_focus(None if machine.has_focus else machine)

    def action_go_to(self) -> None:
        """To the walk, which asks for a part of a step's name."""
        self.dismiss()
        self.app.post_message(GoToStep(""))

    def action_widen(self) -> None:
        """What the job leaves out."""
        self.post_message(Open("widen"))

    def action_seasons(self) -> None:
        """The machine over its seasons."""
        self.post_message(OpenMachine())

    def action_findings(self) -> None:
        """The findings."""
        self.post_message(Open("findings"))

    def action_sign_off(self) -> None:
        """The sign-off."""
        self.post_message(Open("sign"))

    def action_back(self) -> None:
        """To the walk."""
        self.dismiss()
