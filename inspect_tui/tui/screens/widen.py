"""What the job leaves out, to be taken in after all: a section, or one step of it."""

from __future__ import annotations

from typing import ClassVar, Final

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from inspect_tui.core.model.results import Results, StepResult
from inspect_tui.core.text.formatting import duration, pluralize
from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base.actions import Action
from inspect_tui.tui.base.bindings import bindings
from inspect_tui.tui.base.look import DIM, FAIL, PASS, spanned
from inspect_tui.tui.base.view_model import View
from inspect_tui.tui.screens.common.inspection_screen import InspectionScreen, Open
from inspect_tui.tui.widgets.choices import Choices
from inspect_tui.tui.widgets.key_line import KeyLine
from inspect_tui.tui.widgets.title_block import TitleBlock

ACTIONS: Final = (
    Action("enter", "take_in", "Take in", "The section or step belongs to the job now", True,
           "Session"),
    Action("escape", "back", "Back", "To the screen before", True, "Go"),
    Action("f1", "help", "Help", "What this page is for, and its keys", True),
)  # fmt: skip
WHOLE: Final = "/whole/"
"""Before a section's id: an id has no `/`."""


def left_out(results: Results) -> tuple[tuple[str, str, tuple[StepResult, ...]], ...]:
    """Each section with something left out: its id, title and those steps."""
    found = []
    for section in results.checklist.section:
        steps = tuple(
            each
            for each in results.steps
            if each.section == section.id and each.state == "left-out"
        )
        if steps:
            found.append((section.id, section.title, steps))
    return tuple(found)


def amount(steps: tuple[StepResult, ...]) -> str:
    """`4 steps, 25 min, 2 for safety`."""
    minutes = sum(each.step.minutes or 0 for each in steps)
    safety = sum(each.step.is_safety for each in steps)
    parts = [pluralize(len(steps), "step")] if len(steps) > 1 else []
    parts += [duration(minutes)] if minutes else []
    parts += [f"{safety} for safety" if len(steps) > 1 else "for safety"] if safety else []
    return ", ".join(parts)


class WidenScreen(InspectionScreen):
    """Sections and steps that are left out; Enter takes one in at once."""

    ACTIONS: ClassVar[tuple[Action, ...]] = ACTIONS
    BINDINGS = bindings(ACTIONS)
    HELP_TITLE = "Take in after all"
    HELP_TEXT = (
        "What this job leaves out. Enter takes the section or the step in: it is walked, counted "
        "and signed like the others from now on. What was taken in by mistake can be skipped with "
        "a reason."
    )

    def compose(self) -> ComposeResult:
        """The list, and why the highlighted one matters."""
        yield TitleBlock()
        with Vertical(id="new-session"):
            yield Static("", id="widen-words", markup=False)
            yield Choices(id="new-answers")
            yield Static("", id="new-trouble", markup=False)
            yield Static("", id="new-hint", markup=False)
        yield KeyLine(ACTIONS)

    def on_mount(self) -> None:
        """The keys go to the list."""
        self.query_one(Choices).focus()
        super().on_mount()

    def draw(self, view: View) -> None:
        """What is left out by now."""
        self.query_one(TitleBlock).fill(view, "left out")
        answers = self.query_one(Choices)
        at = answers.highlighted or 0
        answers.clear_options()
        found = left_out(view.results)
        words = "This job leaves out:" if found else "This job takes in the whole list."
        self.query_one("#widen-words", Static).update(words)
        for section, title, steps in found:
            line = Text.assemble((one_line(title), "bold"), (f"  {amount(steps)}", DIM))
            answers.add_option(Option(spanned(line), id=f"{WHOLE}{section}"))
            for each in steps:
                line = Text(f"    {one_line(each.step.title)}")
                line.append(f"  {amount((each,))}", style=DIM)
                answers.add_option(Option(spanned(line), id=each.step.id))
        if answers.option_count:
            answers.highlighted = min(at, answers.option_count - 1)

    @on(OptionList.OptionHighlighted)
    def _looked_at(self, event: OptionList.OptionHighlighted) -> None:
        """Why the step matters."""
        chosen = event.option.id or ""
        why = ""
        if self.view is not None and not chosen.startswith(WHOLE):
            why = self.view.results.step(chosen).step.why
        self.query_one("#new-hint", Static).update(spanned(Text(one_line(why))))

    @on(OptionList.OptionSelected)
    def _chosen(self, event: OptionList.OptionSelected) -> None:
        chosen = event.option.id or ""
        name = chosen.removeprefix(WHOLE)
        if self.view is None or not name:
            return
        words = next(
            (title for section, title, _ in left_out(self.view.results) if section == name), ""
        )
        words = words or self.view.results.step(name).step.title

        outcome = self.desk.submit(lambda held: held.job.widen((name,)) and None)
        said = Text(f"✗ {one_line(outcome.error)}", style=FAIL)
        if outcome.ok:
            said = Text(f"✓ Taken in: {one_line(words)}.", style=PASS)
        self.query_one("#new-trouble", Static).update(said)

    def action_take_in(self) -> None:
        """Enter where the list has no focus."""
        self.query_one(Choices).action_select()

    def action_back(self) -> None:
        """To the screen before."""
        self.dismiss()

    def action_help(self) -> None:
        """The keys of this page."""
        self.post_message(Open("help"))
