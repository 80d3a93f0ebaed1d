"""The sign-off: what was done, what stays open in plain sentences, who accepts it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Static

from inspect_tui.core.evaluation.job.plan import count_of
from inspect_tui.core.model.results import Results
from inspect_tui.core.presentation import wording
from inspect_tui.tui.base.actions import Action
from inspect_tui.tui.base.bindings import bindings
from inspect_tui.tui.base.entry_line import EntryOutcome
from inspect_tui.tui.base.error_guard import guarded
from inspect_tui.tui.base.styling import ASKED, DIM, FAIL, PASS, UNCERTAIN, one_line, words
from inspect_tui.tui.base.view_model import InspectionActions, Request, View
from inspect_tui.tui.screens.common.inspection_screen import Open
from inspect_tui.tui.screens.common.scrolling_screen import SCROLLING, ScrolledScreen
from inspect_tui.tui.widgets.entry_field import EntryField
from inspect_tui.tui.widgets.key_line import KeyLine
from inspect_tui.tui.widgets.question import Question
from inspect_tui.tui.widgets.title_block import TitleBlock

ACTIONS = (
    Action("escape", "back", "Back", "One question back, then back to the walk", True),
    Action("f7", "findings", "Findings", "Decide about what is open", True),
    Action("ctrl+o", "export", "Export", "Make the report: md, html, csv, json or pdf", True),
    Action("f1", "help", "Help", "What this screen is for, and its keys", True),
    *SCROLLING,
)
CONFIRMS = "sign"


class SignScreen(ScrolledScreen):
    """Asks who, then (where something is open) the words that accept it, then to confirm."""

    ACTIONS: ClassVar[tuple[Action, ...]] = ACTIONS
    BINDINGS = bindings(ACTIONS)
    SHEET = "#sign"
    HELP_TITLE = "Sign-off"
    HELP_TEXT = (
        "Above stands what was done and what is open. To sign with something open, say in your "
        "own words what you accept; the log and every report then name each open thing and those "
        "words. After signing nothing can be changed; words can still be added."
    )

    def __init__(self, desk: InspectionActions, view: View) -> None:
        super().__init__(desk, view)
        self.by = ""
        self.accepted = ""
        self._draft = ""
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
        super().on_mount()

    def draw(self, view: View) -> None:
        """The sheet and the question."""
        self.query_one(TitleBlock).fill(view, "sign-off")
        self.query_one("#sign-body", Static).update(summary(view))
        asks, hint = self._asks(view)
        self.question.ask(Text(asks, style=ASKED), hint, " SIGN-OFF ", UNCERTAIN)
        self.question.limit(None, (), shown=False)
        self.question.answer(self._said)

    def _asks(self, view: View) -> tuple[str, str]:
        if view.signed:
            return "Words added to the signed log (or Esc)", "what came up afterwards"
        if view.read_only:
            return "This session is open for reading only.", ""
        if not self.by:
            return "Who signs?", f"a name, such as {one_line(view.session.by)}"
        if view.results.signoff_blockers and not self.accepted:
            return (
                "What stays open, and that you accept it: in your own words",
                "the log keeps these words beside each open thing",
            )
        return (
            f"{one_line(self.by)} signs; nothing can be changed afterwards. Type  {CONFIRMS}",
            CONFIRMS,
        )

    @guarded("refused")
    def entered(self, text: str, seen: bool) -> EntryOutcome:
        """The next answer of who, words, confirmation."""
        view, said = self.view, text.strip()
        if view is None or not said:
            return "taken"
        if view.read_only and not view.signed:
            self.say("This session is open for reading only; nothing was written.")
            return "refused"
        if view.signed:
            return self._hand_in(lambda held: held.addendum(said), "Added.")
        if not self.by:
            self.by = said
            self.call_later(self._put_draft)  # behind the Enter, which clears the field
        elif view.results.signoff_blockers and not self.accepted:
            self.accepted = said
        elif said.casefold() != CONFIRMS:
            self.say(f"Type '{CONFIRMS}' to sign, or Esc to go back.")
            return "refused"
        else:
            by, accepted = self.by, self.accepted
            blockers = view.results.blockers
            unpassed = {each.id: accepted for each in blockers if each.kind == "safety"}
            sign = lambda held: held.sign(by, accepted, accept=unpassed)  # noqa: E731
            return self._hand_in(sign, "Signed.")
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

    def say(self, text: str) -> None:
        """One line under the field."""
        self._said = Text(one_line(text), style=FAIL)
        self.question.answer(self._said)

    def action_back(self) -> None:
        """One question back, then back to the walk."""
        field = self.question.field
        going = self.view is not None and not self.view.signed
        if going and self.accepted:
            field.put(self.accepted)
            self.accepted = ""
        elif going and self.by and self.view is not None and self.view.results.signoff_blockers:
            self._draft = field.value
            self.by = ""
            field.put("")
        elif field.value:
            field.put("")
        elif self.view is not None and not self.view.signed and self.by:
            self.by = ""
        else:
            self.dismiss()
            return
        self._said = Text("")
        self.draw_soon()

    def _put_draft(self) -> None:
        """The words typed before stand in the field again, unless others are there by now."""
        if not self.question.field.value and not self.accepted:
            self.question.field.put(self._draft)
        self._draft = ""

    def action_findings(self) -> None:
        """On to the findings."""
        self.dismiss()
        self.post_message(Open("findings"))

    def action_export(self) -> None:
        """Make a report."""
        self.post_message(Open("export"))


def summary(view: View) -> Text:
    """What was done, what is open or was accepted as open, the addenda."""
    results, signed = view.results, view.session.signed
    done = [Text("DONE", style=DIM), _done(results)]
    if signed is None:
        parts = [*_open([each.said or each.text for each in results.blockers]), *done]
    else:
        parts = [Text(f"Signed by {one_line(signed.by)} on {signed.at:%Y-%m-%d %H:%M}.", PASS)]
        parts.append(Text(f"Seal {wording.short_seal(signed.seal)}", style=DIM))
        for addendum in view.session.addenda:
            said = f"added {addendum.at:%Y-%m-%d %H:%M} by {addendum.by}: {addendum.text}"
            parts.append(words(said))
        if signed.open:
            parts.append(words(f"Accepted as open, in these words: {signed.accepted}", UNCERTAIN))
            steps = [each.step.id for each in results.steps]
            left = (wording.without_ids(each, steps) for each in signed.open)
            parts += [words(f"✗ {each}", FAIL) for each in left]
        parts += done
    parts.append(Text(f"\n{wording.SAFETY}", style=DIM))
    return Text("\n").join(parts)


def _open(blocks: Sequence[str]) -> list[Text]:
    if not blocks:
        return [Text("✓ Nothing is open.\n", style=PASS)]
    heading = Text(f"OPEN: {len(blocks)}", style=FAIL)
    return [heading, *(words(f"✗ {each}", FAIL) for each in blocks), Text("")]


def _done(results: Results) -> Text:
    count = count_of(results.steps)
    skipped = [result for result in results.steps if result.state == "skipped"]
    some = f" ({len(skipped)} of them skipped)" if skipped else ""
    text = Text(f"{count.done} of {count.of} steps done{some}, ")
    text.append(f"{len(results.readings)} readings, {len(results.findings)} findings.")
    for result in skipped:
        text.append(
            f"\n− {one_line(result.step.title)}: {one_line(result.why_skipped)}", style=UNCERTAIN
        )
    for finding in results.findings:
        if finding.decision:
            said = wording.decision_words(finding.decision, one_line(finding.until))
            text.append(
                f"\n● {one_line(finding.text)}: {said}", style="" if finding.counts else DIM
            )
    return text
