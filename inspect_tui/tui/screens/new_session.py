"""A new session: which list, which machine, who; one question after the other."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, Final

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from inspect_tui.tui.base.actions import Action
from inspect_tui.tui.base.bindings import bindings
from inspect_tui.tui.base.styling import ASKED, DIM, FAIL, one_line, spanned
from inspect_tui.tui.base.view_model import Catalogue
from inspect_tui.tui.widgets.choices import Choices
from inspect_tui.tui.widgets.key_line import KeyLine
from inspect_tui.tui.widgets.title_block import Cell, TitleBlock

if TYPE_CHECKING:
    from inspect_tui.workflow.catalogue import DefinitionLine

ACTIONS: Final = (
    Action("enter", "next", "Choose", "Take the chosen answer", True, "Session"),
    Action("escape", "back", "Back", "The question before; from the first one the start", True),
)
QUESTIONS = ("Which checklist?", "Which machine?", "Who does the inspection?")


class NewSessionScreen(Screen[None]):
    """Chooses what a session needs and asks the app to begin it."""

    ACTIONS: ClassVar[tuple[Action, ...]] = ACTIONS
    BINDINGS = bindings(ACTIONS)

    class Wanted(Message):
        """A session is to be begun."""

        def __init__(self, screen: NewSessionScreen, checklist: str, machine: str, by: str) -> None:
            super().__init__()
            self.screen = screen
            self.checklist = checklist
            self.machine = machine
            self.by = by

    def __init__(self, stock: Catalogue, by: str) -> None:
        super().__init__()
        self._stock = stock
        self._by = by
        self._chosen: list[str] = []

    def compose(self) -> ComposeResult:
        """The question, its answers, and the field for the name."""
        yield TitleBlock()
        with Vertical(id="new-session"):
            yield Static("", id="new-question", markup=False)
            yield Choices(id="new-answers")
            yield Input(self._by, placeholder="your name", id="new-by", max_length=80, compact=True)
            yield Static("", id="new-trouble", markup=False)
            hint = "Up and Down move, Enter chooses, Esc goes back."
            yield Static(spanned(Text(hint, style=DIM)), markup=False)
        yield KeyLine(ACTIONS)

    def on_mount(self) -> None:
        """Ask the first question."""
        self._ask()

    def show_stock(self, stock: Catalogue) -> None:
        """The store was read meanwhile."""
        self._stock = stock
        self._ask()

    def say(self, text: str) -> None:
        """Why the session can't be begun."""
        self.query_one("#new-trouble", Static).update(Text(one_line(text), style=FAIL))

    def _ask(self) -> None:
        place = len(self._chosen)
        self.query_one(TitleBlock).set_cells(
            [
                Cell("program", "inspect-tui"),
                Cell("sheet", "new session"),
                *map(Cell, ("checklist", "machine"), self._chosen),
            ]
        )
        self.query_one("#new-question", Static).update(
            spanned(Text(f"{place + 1} of 3   {QUESTIONS[place]}", style=ASKED))
        )
        answers, field = self.query_one(Choices), self.query_one(Input)
        answers.display = place < 2
        field.display = place == 2
        if place == 2:
            field.focus()
            return
        known = self._stock.checklists if place == 0 else self._stock.machines
        at = answers.highlighted
        before = answers.options[at].id if at is not None else None
        answers.clear_options()
        answers.add_options(
            Option(spanned(_definition(each)), id=each.id, disabled=bool(each.trouble))
            for each in known
        )
        if not known:
            answers.add_option(Option(Text("Looking into the store …", style=DIM), disabled=True))
        answers.focus()
        usable = [i for i, each in enumerate(known) if not each.trouble]
        if usable:
            # What was pointed at while the store was read stays so.
            named = [i for i in usable if known[i].id == before]
            answers.highlighted = (named or usable)[0]

    @on(OptionList.OptionSelected)
    def _answered(self, event: OptionList.OptionSelected) -> None:
        if event.option.id is not None and len(self._chosen) < 2:
            self._chosen.append(event.option.id)
            self._ask()

    @on(Input.Submitted)
    def _named(self, event: Input.Submitted) -> None:
        if not event.value.strip():
            self.say("Type who does the inspection; the log names them.")
            return
        self.post_message(self.Wanted(self, self._chosen[0], self._chosen[1], event.value.strip()))

    def run(self, action: Action) -> None:
        """Do an action of the table."""
        getattr(self, f"action_{action.name}")()

    @on(KeyLine.Pressed)
    def _key_clicked(self, event: KeyLine.Pressed) -> None:
        self.run(event.action)

    def action_next(self) -> None:
        """Enter where neither the list nor the field has the focus."""
        if len(self._chosen) < 2:
            self.query_one(Choices).action_select()

    def action_back(self) -> None:
        """The question before; from the first one back to the start."""
        if self._chosen:
            self._chosen.pop()
            self._ask()
        else:
            self.dismiss()


def _definition(each: DefinitionLine) -> Text:
    text = Text(one_line(each.title or each.id), style="bold")
    if each.trouble:
        text.append(f"\n  ✗ {one_line(each.trouble)}", style=FAIL)
        return text
    parts = [each.id]
    if each.steps:
        parts.append(f"{each.steps} steps, {each.readings} readings")
    if each.cylinders:
        parts.append("cylinders " + ", ".join(each.cylinders))
    parts.append("own" if each.own else "ships with the program")
    text.append(f"\n  {one_line('; '.join(parts))}", style=DIM)
    return text
