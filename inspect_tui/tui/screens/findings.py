"""The findings: each with what it rests on, and what is done about it. None is lost."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, VerticalScroll
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from inspect_tui.core.evaluation.conclusions.decisions import Decided
from inspect_tui.tui.base.actions import Action
from inspect_tui.tui.base.bindings import bindings
from inspect_tui.tui.base.look import spanned
from inspect_tui.tui.base.view_model import InspectionActions, View
from inspect_tui.tui.screens import findings_text
from inspect_tui.tui.screens.common.choose_dialog import ChooseScreen
from inspect_tui.tui.screens.common.inspection_screen import GoToStep, InspectionScreen, Open
from inspect_tui.tui.screens.common.prompt_dialog import AskScreen
from inspect_tui.tui.screens.findings_state import FindingsState, Question
from inspect_tui.tui.widgets.key_line import KeyLine
from inspect_tui.tui.widgets.marked_list import MarkedList
from inspect_tui.tui.widgets.title_block import TitleBlock

ACTIONS = (
    Action("space", "mark", "Mark", "Mark it, for one decision about several; a tap does too",
           True, "Decide and sign"),
    Action("p", "put_right", "Put right", "Mended now; counts once the value as left passes",
           True, "Decide and sign"),
    Action("g", "get_part", "Get part", "A part has to be got first", True, "Decide and sign"),
    Action("l", "later", "Later", "Put right later: until a list or a date", True,
           "Decide and sign"),
    Action("r", "run_as_found", "As found", "Left and run as it is, knowingly", True,
           "Decide and sign"),
    Action("escape", "back", "Back", "Back to where you came from", True),
    Action("f1", "help", "Help", "What this screen is for, and its keys", True),
    Action("a", "mark_all", "Mark all", "Mark all that want a decision, or none", False,
           "Decide and sign"),
    Action("enter", "walk_there", "Go to step", "To the walk, at this finding's step"),
    Action("f9", "sign_off", "Sign", "What is open, in three short lists; sign off"),
)  # fmt: skip


class FindingsScreen(InspectionScreen):
    """The list of findings, the evidence of the one under the sign, the four decisions."""

    ACTIONS: ClassVar[tuple[Action, ...]] = ACTIONS
    BINDINGS = bindings(ACTIONS)
    HELP_TITLE = "Findings"
    HELP_TEXT = (
        "Every value that fails or is too close to call, every exchange of parts, every cylinder "
        "out of family and every finding in your own words stands here until it is decided; what "
        "another one explains stands under it and is decided with it. Mark several with Space or "
        "a tap for one decision about all. A decision holds for the value it was made on: a new "
        "failing value opens it again. A finding in your own words is written down in the walk, "
        "at its step: Ctrl+F."
    )

    def __init__(self, desk: InspectionActions, view: View | None = None) -> None:
        super().__init__(desk, view)
        self.state = FindingsState()
        self._filling = False

    def compose(self) -> ComposeResult:
        """The findings, and beside them the evidence of the one under the sign."""
        yield TitleBlock()
        with Horizontal(id="findings"):
            yield MarkedList(id="finding-list")
            with VerticalScroll(id="evidence-box", can_focus=False):
                yield Static("", id="evidence", markup=False)
        yield Static("", id="findings-said", markup=False)
        yield KeyLine(ACTIONS)

    def draw(self, view: View) -> None:
        """The list, keeping the place."""
        state = self.state
        state.show(view, self.desk.carried())
        left = len(state.undecided)
        self.query_one(TitleBlock).fill(view, f"findings, {left} to decide")
        options = self.query_one(MarkedList)
        top = options.scroll_offset.y
        self._filling = True
        options.clear_options()
        for place, line in enumerate(state.lines):
            if place == 0 or state.lines[place - 1].part != line.part:
                own = [each for each in state.lines if each.part == line.part and not each.under]
                options.add_option(
                    Option(spanned(findings_text.heading(line.part, len(own))), disabled=True)
                )
            options.add_option(Option(spanned(findings_text.row(state, line)), id=line.id))
        if state.line is not None:
            options.highlighted = options.get_option_index(state.at)
        self._filling = False
        options.scroll_to(y=top, animate=False)
        self.call_after_refresh(options.scroll_to_highlight)
        options.focus()
        self._draw_evidence(view)

    def _draw_evidence(self, view: View) -> None:
        self.query_one("#evidence", Static).update(
            spanned(findings_text.evidence(view, self.state))
        )
        said = self.query_one("#findings-said", Static)
        foot = findings_text.foot(self.state)
        said.display = bool(foot)
        said.update(spanned(foot))

    @on(OptionList.OptionHighlighted)
    def _at(self, event: OptionList.OptionHighlighted) -> None:
        event.stop()
        if self._filling or event.option_id is None or self.view is None:
            return
        if event.option_id != self.state.at:
            self.state.go(event.option_id)
            self.query_one("#evidence-box").scroll_home(animate=False)
            self._draw_evidence(self.view)

    @on(OptionList.OptionSelected)
    def _selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.action_walk_there()

    @on(MarkedList.Tapped)
    def _tapped(self, event: MarkedList.Tapped) -> None:
        event.stop()
        self.state.go(event.option)
        self.state.mark(event.option)
        self.draw_soon()

    def action_mark(self) -> None:
        """Mark the line under the sign, which stays there."""
        self.state.mark()
        self.draw_soon()

    def action_mark_all(self) -> None:
        """Mark all that want a decision, or none."""
        self.state.mark_all()
        self.draw_soon()

    def action_put_right(self) -> None:
        """Decide: put right."""
        self._go_on(self.state.decide("put-right"))

    def action_run_as_found(self) -> None:
        """Decide: run as found."""
        self._go_on(self.state.decide("run-as-found"))

    def action_get_part(self) -> None:
        """Decide: get a part."""
        self._go_on(self.state.decide("get-part"))

    def action_later(self) -> None:
        """Decide: later, until when."""
        self._go_on(self.state.decide("later"))

    def _go_on(self, next_: Question | tuple[Decided, ...] | None) -> None:
        """Ask what the decision needs, or hand it in."""
        if isinstance(next_, Question):
            self._ask(next_)
        elif next_ is not None:
            self._hand_in(next_)
        elif self.view is not None:
            self._draw_evidence(self.view)

    def _ask(self, asked: Question) -> None:
        def answered(text: str | None) -> None:
            if text is None:
                self.state.leave()
                self.draw_soon()
            else:
                self._go_on(self.state.answer(text))

        if asked.offers:
            self.app.push_screen(ChooseScreen(asked.title, asked.words, asked.offers), answered)
            return
        dialog = AskScreen(
            asked.title, asked.words, needed=asked.needed, trouble=asked.trouble,
            filled=asked.filled,
        )  # fmt: skip
        self.app.push_screen(dialog, answered)

    def _hand_in(self, decided: tuple[Decided, ...]) -> None:
        before = [line.id for line in self.state.lines]
        outcome = self.desk.submit(lambda held: held.decide_all(decided))
        if not outcome.ok:
            self.state.leave()
            self.state.said = outcome.error
        elif self.view is not None:
            self.state.show(self.view, self.desk.carried())
            self.state.done()
            self.state.place_after(before)
        self.draw_soon()

    def action_walk_there(self) -> None:
        """To the walk, at this finding's step."""
        line = self.state.line
        if line is not None and line.step:
            self.dismiss()
            self.post_message(GoToStep(line.step))

    def action_back(self) -> None:
        """Keep what a key would have changed; else take the marks away; else back."""
        if self.state.asks_twice is not None:
            self.state.leave()
            self.draw_soon()
        elif self.state.marked:
            self.state.marked.clear()
            self.state.said = ""
            self.draw_soon()
        else:
            self.dismiss()

    def action_help(self) -> None:
        """The keys of this screen."""
        self.post_message(Open("help"))

    def action_sign_off(self) -> None:
        """On to the sign-off."""
        self.dismiss()
        self.post_message(Open("sign"))
