"""The findings: each with what it rests on, and what is done about it. None is lost."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, VerticalScroll
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from inspect_tui.core.evaluation.conclusions.decisions import WantedPart, wanted_part
from inspect_tui.core.model.results import Finding
from inspect_tui.core.presentation import wording
from inspect_tui.tui.base.actions import Action
from inspect_tui.tui.base.bindings import bindings
from inspect_tui.tui.base.styling import (
    ASKED,
    DIM,
    FAIL,
    PASS,
    UNCERTAIN,
    finding_state,
    one_line,
    spanned,
    words,
)
from inspect_tui.tui.base.view_model import View
from inspect_tui.tui.screens.common.inspection_screen import GoToStep, InspectionScreen, Open
from inspect_tui.tui.screens.common.prompt_dialog import AskScreen
from inspect_tui.tui.widgets.choices import Choices
from inspect_tui.tui.widgets.key_line import KeyLine
from inspect_tui.tui.widgets.title_block import TitleBlock

ACTIONS = (
    Action("p", "put_right", "Put right", "Mended now; counts once the as-left value passes", True),
    Action("r", "run_as_found", "Run as found", "Left as it is, knowingly", True),
    Action("l", "later", "Later", "Put right later: until a date or a checklist", True),
    Action("g", "get_part", "Get part", "A part has to be got first", True),
    Action("escape", "back", "Back", "Back to the walk", True),
    Action("f1", "help", "Help", "What this screen is for, and its keys", True),
    Action("enter", "walk_there", "Go to step", "Back to the walk, at this finding's step"),
    Action("f9", "sign_off", "Sign", "What is open in plain sentences; sign off"),
)
KINDS = {
    "value": "a value out of its limits",
    "exchanged": "parts exchanged between cylinders",
    "out-of-family": "one cylinder apart from the others",
    "inference": "concluded from several readings",
    "person": "found and written down by a person",
}


class FindingsScreen(InspectionScreen):
    """The list of findings, the chosen one's evidence, the four decisions."""

    ACTIONS: ClassVar[tuple[Action, ...]] = ACTIONS
    BINDINGS = bindings(ACTIONS)
    HELP_TITLE = "Findings"
    HELP_TEXT = (
        "Every value that fails or is too close to call, every exchange of parts, every cylinder "
        "out of family and every finding in your own words stands here until it is decided. "
        "A decision holds for the value it was made on: a new failing value opens it again. A "
        "finding in your own words is written down in the walk, at its step: Ctrl+F."
    )

    _asked: tuple[str, str] | None = None
    """The finding and the decision that the person was asked about: it is decided already."""

    def compose(self) -> ComposeResult:
        """The findings, and beside them the evidence of the chosen one."""
        yield TitleBlock()
        with Horizontal(id="findings"):
            yield Choices(id="finding-list")
            with VerticalScroll(id="evidence-box", can_focus=False):
                yield Static("", id="evidence", markup=False)
        yield KeyLine(ACTIONS)

    def draw(self, view: View) -> None:
        """The list, keeping the place."""
        found = open_first(view)
        left = sum(each.open for each in found)
        self.query_one(TitleBlock).fill(view, f"findings, {left} of {len(found)} open")
        options = self.query_one(Choices)
        at = options.highlighted or 0
        options.clear_options()
        options.add_options(Option(spanned(_row(view, each))) for each in found)
        if found:
            options.highlighted = min(at, len(found) - 1)
        else:
            self.query_one("#evidence", Static).update("No findings so far.")
        options.focus()
        self._draw_evidence()

    @property
    def chosen(self) -> Finding | None:
        """The finding under the cursor."""
        at = self.query_one(Choices).highlighted
        found = open_first(self.view) if self.view is not None else []
        return found[at] if at is not None and at < len(found) else None

    @on(OptionList.OptionHighlighted)
    def _draw_evidence(self) -> None:
        finding, view = self.chosen, self.view
        if finding is None or view is None:
            return
        text = _evidence(view, finding)
        if self._asked is not None and self._asked[0] != finding.id:
            self._asked = None
        if self._asked is not None:
            again = next(a for a in ACTIONS if a.name == self._asked[1].replace("-", "_"))
            said = wording.decision_words(finding.decision, one_line(finding.until))
            asks = f"decided: {said}; {again.key} again to change it, Esc keeps it\n"
            text = Text.assemble((asks, FAIL), text)
        self.query_one("#evidence", Static).update(spanned(text))

    @on(OptionList.OptionSelected)
    def _selected(self) -> None:
        self.action_walk_there()

    def action_put_right(self) -> None:
        """Decide: put right."""
        self._decide("put-right")

    def action_run_as_found(self) -> None:
        """Decide: run as found."""
        self._decide("run-as-found")

    def action_get_part(self) -> None:
        """Decide: get a part."""
        self._decide("get-part")

    def action_later(self) -> None:
        """Decide: later, until when."""
        self._decide("later")

    def _decide(self, decision: str, trouble: str = "") -> None:
        """Ask for what the decision needs, then hand it in."""
        finding = self.chosen
        if finding is None:
            self.say("There is no finding to decide about.")
            return
        if self.view is not None and (self.view.signed or self.view.read_only):
            self.say("This session can only be read; nothing was decided.")
            return
        if finding.decision and finding.counts and self._asked != (finding.id, decision):
            self._asked = finding.id, decision
            self.query_one("#evidence-box").scroll_home(animate=False)
            self._draw_evidence()
            return
        self._asked = None
        title = f"{finding.id}: {wording.DECISIONS[decision]}"

        def why(until: str | None) -> None:
            if until is None:
                return
            self.app.push_screen(
                AskScreen(title, "Why?", needed=False),
                lambda said: (
                    None if said is None else self._hand_in(decision, finding, said, until)
                ),
            )

        if decision == "get-part":
            self._ask_part(title, finding)
        elif decision == "later":
            asks = "Until when? A date such as 2026-12-20, or a checklist's id such as first-ride."
            self.app.push_screen(AskScreen(title, asks, needed=True, trouble=trouble), why)
        else:
            why("")

    def _ask_part(self, title: str, finding: Finding) -> None:
        """Ask for the part to get, then for how many and its number."""

        def how_many(part: str | None) -> None:
            if part is None:
                return
            asks = "How many, and its number if you have it? For instance 2, 420-123"
            self.app.push_screen(
                AskScreen(title, asks, needed=False),
                lambda said: (
                    None
                    if said is None
                    else self._hand_in("get-part", finding, "", "", wanted_part(part, said))
                ),
            )

        self.app.push_screen(AskScreen(title, "Which part?", needed=True), how_many)

    def _hand_in(
        self,
        decision: str,
        finding: Finding,
        why: str,
        until: str,
        part: WantedPart | None = None,
    ) -> None:
        outcome = self.desk.submit(
            lambda held: held.decide(finding.id, decision, why, until, part=part)
        )
        if outcome.ok:
            self.say(f"{finding.id}: {wording.decision_words(decision, until)}.")
        elif decision == "later":
            self._decide(decision, outcome.error)
        else:
            self.say(outcome.error)

    def action_walk_there(self) -> None:
        """Back to the walk at this finding's step."""
        finding = self.chosen
        if finding is not None:
            self.dismiss()
            self.post_message(GoToStep(finding.step))

    def action_back(self) -> None:
        """Back to the walk; first of all keep a decision that a key would have changed."""
        if self._asked is not None:
            self._asked = None
            self._draw_evidence()
            return
        self.dismiss()

    def action_help(self) -> None:
        """The keys of this screen."""
        self.post_message(Open("help"))

    def action_sign_off(self) -> None:
        """On to the sign-off."""
        self.dismiss()
        self.post_message(Open("sign"))


def open_first(view: View) -> list[Finding]:
    """What wants a decision first, the rest after it, each in the list's order."""
    return sorted(view.results.findings, key=lambda finding: not finding.open)


def _row(view: View, finding: Finding) -> Text:
    mark, said, colour = finding_state(finding)
    text = Text(f"{mark} ", style=colour)
    text.append(one_line(finding.text), style="" if finding.open else DIM)
    text.append(f"\n  {said}", style=colour)
    return text


def _evidence(view: View, finding: Finding) -> Text:
    mark, said, colour = finding_state(finding)
    step = view.results.step(finding.step).step
    parts = [
        Text(one_line(finding.text), style="bold"),
        Text(f"{mark} {said}", style=colour),
    ]
    if finding.why:
        parts.append(words(f"because: {finding.why}"))
    parts.append(
        Text(f"{finding.id}: {KINDS[finding.kind]}, at '{one_line(step.title)}'", style=DIM)
    )
    if finding.sure:
        sure = wording.SURE.get(finding.sure, finding.sure)
        parts.append(Text(f"sure: {sure}", style=UNCERTAIN))
    if finding.evidence:
        parts += [
            Text("\nWHAT IT RESTS ON", style=DIM),
            *(words(each) for each in finding.evidence),
        ]
    if finding.look_at:
        titles = [_title(view, each) for each in finding.look_at]
        parts += [Text("\nWOULD SETTLE IT", style=DIM), *(words(f"- {each}") for each in titles)]
    if finding.open:
        parts.append(Text("\np put right   r run as found   l later   g get a part", style=ASKED))
        if finding.decision == "put-right":
            parts.append(Text("It counts once the as-left value passes.", style=FAIL))
    else:
        parts.append(Text("\nSettled; it stays listed.", style=PASS))
    return Text("\n").join(parts)


def _title(view: View, step: str) -> str:
    titles = {each.step.id: each.step.title for each in view.results.steps}
    return titles.get(step, step)
