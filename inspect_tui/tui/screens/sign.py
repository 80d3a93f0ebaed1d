"""The sign-off: what stays open as three short lists, who signs, who accepts what in words."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual import events
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Static

from inspect_tui.core.presentation import wording
from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base.actions import Action
from inspect_tui.tui.base.bindings import bindings
from inspect_tui.tui.base.entry_line import EntryOutcome
from inspect_tui.tui.base.error_guard import guarded
from inspect_tui.tui.base.look import ASKED, FAIL, PASS, UNCERTAIN, spanned
from inspect_tui.tui.base.view_model import InspectionActions, Request, View
from inspect_tui.tui.screens import sign_text
from inspect_tui.tui.screens.common.inspection_screen import Open
from inspect_tui.tui.screens.common.scrolling_screen import SCROLLING, ScrolledScreen
from inspect_tui.tui.screens.sign_state import CONFIRMS, SignState
from inspect_tui.tui.widgets.entry_field import EntryField
from inspect_tui.tui.widgets.key_line import KeyLine
from inspect_tui.tui.widgets.question import Question
from inspect_tui.tui.widgets.title_block import TitleBlock

ACTIONS = (
    Action("escape", "back", "Back", "One question back, then back to the walk", True),
    Action("f6", "for_all", "For all left", "The same words for each safety step that is left"),
    Action("f7", "findings", "Findings", "Decide about what is open", True),
    Action("ctrl+o", "export", "Export", "Make the report, to print, keep or send", True),
    Action("f1", "help", "Help", "What this screen is for, and its keys", True),
    *SCROLLING,
)


class SignScreen(ScrolledScreen):
    """Asks who, the words for each safety step that has not passed, those for the rest, to sign."""

    ACTIONS: ClassVar[tuple[Action, ...]] = ACTIONS
    BINDINGS = bindings(ACTIONS)
    SHEET = "#sign"
    HELP_TITLE = "Sign-off"
    HELP_TEXT = (
        "Above stands what is open: safety steps that have not passed, findings without a "
        "decision, steps not done; Page down shows all of it. To sign with something open, each "
        "such safety step is accepted by itself in your own words, then the rest; the log and "
        "every report name each open thing and those words. After signing nothing can be changed; "
        "words can still be added."
    )

    def __init__(self, desk: InspectionActions, view: View) -> None:
        super().__init__(desk, view)
        self.state = SignState()
        self._whole = False
        self._drafts: list[str] = []
        """What was said to questions that were gone back from, the last one first."""
        self._said = Text("")
        self.question = Question(EntryField.of(self))

    def compose(self) -> ComposeResult:
        """What is done and open; the question below."""
        yield TitleBlock()
        with VerticalScroll(id="sign", can_focus=False):
            yield Static("", id="sign-body", markup=False)
        yield self.question
        yield KeyLine(ACTIONS)

    def on_mount(self) -> None:
        """The field has the keys."""
        self.question.field.focus()
        self.question.waiting(Text(""))
        if self.view is not None:  # what is typed ahead meets the questions that there are
            self.state.show(self.view, self.desk.carried())
        super().on_mount()

    def draw(self, view: View) -> None:
        """The sheet and the question."""
        self.state.show(view, self.desk.carried())
        self.query_one(TitleBlock).fill(view, "sign-off")
        asks, hint = self._asks(view)
        self.question.ask(Text(asks, style=ASKED), hint, " SIGN-OFF ", UNCERTAIN)
        self.question.limit(None, (), shown=False)
        self.question.answer(self._said)
        self._draw_sheet()
        self.call_after_refresh(self._draw_sheet)  # the question's height is known by then

    def _draw_sheet(self) -> None:
        """The lists, in the room that the question leaves."""
        if self.view is None:
            return
        size = self._sheet.scrollable_content_region
        body = sign_text.sheet(self.view, self.state, size.width, size.height, whole=self._whole)
        self.query_one("#sign-body", Static).update(spanned(body))

    def on_resize(self, event: events.Resize) -> None:
        """The lists are cut to another room."""
        self.draw_soon()

    def _asks(self, view: View) -> tuple[str, str]:
        if view.signed:
            return "Words added to the signed log (or Esc)", "what came up afterwards"
        if view.read_only:
            return "This session is open for reading only.", ""
        return self.state.asks(one_line(view.session.by))

    @guarded("refused")
    def entered(self, text: str, seen: bool) -> EntryOutcome:
        """The next answer of who, words, confirmation."""
        view, said = self.view, text.strip()
        if view is None:
            return "taken"
        if not said:
            self.say("Words are wanted." if view.signed else self.state.wanted)
            return "taken"
        if view.read_only and not view.signed:
            self.say("This session is open for reading only; nothing was written.")
            return "refused"
        if view.signed:
            return self._hand_in(lambda held: held.addendum(said), "Added.")
        if self.state.ready:
            if not self.state.take(said):
                self.say(f"Type '{CONFIRMS}' to sign, or Esc to go back.")
                return "refused"
            by, accepted, accept = self.state.by, self.state.accepted, dict(self.state.words)
            sign = lambda held: held.sign(by, accepted, accept=accept)  # noqa: E731
            return self._hand_in(sign, "Signed.")
        self.state.take(said)
        self.call_later(self._put_draft)  # behind the Enter, which clears the field
        self._said = Text("")
        self.draw_soon()
        return "taken"

    def _hand_in(self, request: Request, done: str) -> EntryOutcome:
        was_signed = self.view is not None and self.view.signed
        outcome = self.desk.submit(request)
        signed = self.view.session.signed if self.view is not None else None
        if outcome.ok and signed is not None and not was_signed:
            seal = wording.short_seal(signed.seal)
            done = f"Signed. Seal: {seal}: write it on the paper copy."
            self._sheet.scroll_home(animate=False)
        self._said = Text(one_line(outcome.error) or done, style=PASS if outcome.ok else FAIL)
        self.question.answer(self._said)
        return "taken" if outcome.ok else "refused"

    def answers(self, character: str, seen: bool) -> bool:
        """Every answer here takes Enter."""
        return False

    def typed(self, text: str) -> None:
        """Nothing is judged here."""

    @guarded(True)
    def command(self, key: str) -> bool:
        """A key that is no text, in its turn."""
        for action in self.ACTIONS:
            if action.key == key:
                getattr(self, f"action_{action.name}")()
                return True
        return key in ("tab", "shift+tab")

    def enqueue(self, text: str, *, complete: bool) -> None:
        """What was typed behind a refusal is said, not taken: signing wants a fresh answer."""
        self.say(f"Not taken, because the answer before was not: {one_line(text)}")

    def enter_not_needed(self) -> None:
        """No answer takes one press here."""

    def say(self, text: str) -> None:
        """One line under the field."""
        self._said = Text(one_line(text), style=FAIL)
        self.question.answer(self._said)

    def action_page_down(self) -> None:
        """All of the lists, where they are cut; else a page down."""
        if self.view is not None and not self._whole and not self.view.signed:
            self._whole = True
            self._draw_sheet()
        else:
            super().action_page_down()

    def action_page_up(self) -> None:
        """A page up; from the top back to the short lists."""
        if self._whole and self._sheet.scroll_offset.y == 0:
            self._whole = False
            self._draw_sheet()
        else:
            super().action_page_up()

    def action_back(self) -> None:
        """One question back, then back to the walk."""
        field = self.question.field
        going = self.view is not None and not self.view.signed
        if going and field.value and self.state.by and not self.state.ready:
            self._drafts.insert(0, field.value)
            field.put("")
        said = self.state.back() if going else None
        if said is not None:
            field.put(said)
        elif field.value:
            field.put("")
        else:
            self.dismiss()
            return
        self._said = Text("")
        self.draw_soon()

    def _put_draft(self) -> None:
        """The words typed before stand in the field again, unless others are there by now."""
        if self._drafts and not self.question.field.value and not self.state.ready:
            self.question.field.put(self._drafts.pop(0))

    def action_for_all(self) -> None:
        """What is typed, or was said of the step before, for each safety step that is left."""
        field = self.question.field
        if self.view is None or self.view.signed or self.view.read_only or not self.state.step:
            return
        if not self.state.take_for_all(field.value.strip()):
            self.say(self.state.wanted)
            return
        field.put("")
        self._said = Text("")
        self.draw_soon()

    def action_findings(self) -> None:
        """On to the findings."""
        self.dismiss()
        self.post_message(Open("findings"))

    def action_export(self) -> None:
        """Make a report."""
        self.post_message(Open("export"))
