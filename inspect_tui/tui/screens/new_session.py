"""A new session: which list, which machine, how much of it, who; one question after the other.

A machine without a sheet is named here and gets one.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, Final

from rich.text import Text
from textual import events, on
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.message import Message
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from inspect_tui.core.text.formatting import pluralize
from inspect_tui.core.text.visible import one_line
from inspect_tui.errors import BadInput
from inspect_tui.tui.base.actions import Action
from inspect_tui.tui.base.bindings import bindings
from inspect_tui.tui.base.look import ASKED, DIM, FAIL, PASS, spanned
from inspect_tui.tui.base.title_cells import Cell
from inspect_tui.tui.base.view_model import Catalogue, own_first
from inspect_tui.tui.screens.common.inspection_screen import OpenFigures
from inspect_tui.tui.screens.common.keyed_screen import KeyedScreen
from inspect_tui.tui.screens.common.stock_screen import StockScreen
from inspect_tui.tui.screens.definition_text import definition_text
from inspect_tui.tui.screens.new_job import (
    ASKS,
    HINTS,
    ITEMS,
    NewJob,
    by_letter,
    section_words,
    step_words,
    usual_name,
    why_words,
)
from inspect_tui.tui.widgets.choices import Choices
from inspect_tui.tui.widgets.key_line import KeyLine
from inspect_tui.tui.widgets.title_block import TitleBlock

if TYPE_CHECKING:
    from inspect_tui.workflow.catalogue import DefinitionLine

ACTIONS: Final = (
    Action("enter", "next", "Choose", "Take the chosen answer; at a section: in or out", True,
           "Session"),
    Action("space", "in_or_out", "In or out", "At a section: the job takes it in, or leaves it out",
           job="Session"),
    Action("right", "unfold", "Steps", "A section's steps, one by one", job="Session"),
    Action("left", "fold", "Fold", "The section alone again", job="Session"),
    Action("f4", "figures", "Figures", "All figures of the chosen machine, with the manual",
           job="Session"),
    Action("escape", "back", "Back", "The question before; from the first one the start", True),
    Action("f1", "help", "Help", "What this page is for, and its keys", True),
)  # fmt: skip
HELP: Final = (
    "Which list, which machine, what of the list today's job takes in, and who does it. At the "
    "sections Space takes one in or leaves it out, Right shows its steps one by one; what is of "
    "safety and left out is named. A machine that has no sheet yet needs its name and its "
    "cylinders; figures are asked for at the steps that miss them, or all at once with F4."
)
NEW_MACHINE, GO_ON, OWN_LINE = "/new-machine", "/go-on", "/own-line"
"""Options that are no ids: an id has no `/`."""
OF_ITEM: Final = "/item-"
LISTS = ("checklist", "machine", "scope", "without")
MOVES: Final = "Up, Down or a first letter move, Enter chooses, Esc goes back."
TOGGLES: Final = "Enter or Space: in or out. Right: its steps. Esc goes back."
TYPED: Final = "Enter goes on, Esc goes back."
ITEM_DONE: Final = "Enter takes the line; Enter alone is done. Esc goes back."


class NewSessionScreen(StockScreen, KeyedScreen[None]):
    """Chooses what a session needs and asks the app to begin it."""

    ACTIONS: ClassVar[tuple[Action, ...]] = ACTIONS
    BINDINGS = bindings(ACTIONS)

    class Wanted(Message):
        """A session is to be begun."""

        def __init__(self, screen: NewSessionScreen, job: NewJob, by: str) -> None:
            super().__init__()
            self.screen = screen
            self.checklist = job.checklist
            self.machine = job.machine
            self.only = job.only
            self.items = job.items
            self.by = by

    class NewMachine(Message):
        """A machine's sheet is to be made."""

        def __init__(self, screen: NewSessionScreen, name: str, cylinders: str) -> None:
            super().__init__()
            self.screen = screen
            self.name = name
            self.cylinders = cylinders

    def __init__(
        self,
        stock: Catalogue,
        by: str,
        *,
        machine_first: bool = False,
        checklist: DefinitionLine | None = None,
    ) -> None:
        super().__init__()
        self._stock = stock
        self._by = by
        self._asked_twice = ""
        """What was asked back about an answer; the same answer again is meant."""
        self.job = NewJob.begun(machine_first=machine_first)
        if checklist is not None:
            self.job = self.job.with_checklist(checklist)

    def compose(self) -> ComposeResult:
        """The question, its answers, and the field for the name."""
        yield TitleBlock()
        with Vertical(id="new-session"):
            yield Static("", id="new-question", markup=False)
            yield Choices(id="new-answers")
            yield Input(self._by, id="new-by", max_length=80, compact=True)
            yield Static("", id="new-trouble", markup=False)
            yield Static("", id="new-hint", markup=False)
        yield KeyLine(ACTIONS)

    def on_mount(self) -> None:
        """Ask the first question."""
        self._ask()

    def show_stock(self, stock: Catalogue) -> None:
        """The store was read meanwhile; what is being typed or chosen stays."""
        known = self._stock.where
        self._stock = stock
        if stock.reading and known:
            return
        if self.job.question in ("checklist", "machine"):
            self._ask()

    def say(self, text: str) -> None:
        """Why it can't be gone on."""
        self.query_one("#new-trouble", Static).update(Text(one_line(text), style=FAIL))

    def made(self, machine: str) -> None:
        """The new machine has its sheet."""
        self._go_on(self.job.made(machine))

    def _go_on(self, job: NewJob) -> None:
        self.job = job
        self._asked_twice = ""
        self.say("")
        self._ask()

    def _ask(self) -> None:
        job = self.job
        question = job.question
        titles = {each.id: each.title for each in (*self._stock.checklists, *self._stock.machines)}
        machine = titles.get(job.machine, "") or job.name or job.machine
        chosen = [("checklist", titles.get(job.checklist, job.checklist)), ("machine", machine)]
        self.query_one(TitleBlock).set_cells(
            [
                Cell("program", "inspect-tui"),
                Cell("sheet", "new session"),
                *(Cell(name, what) for name, what in chosen if what),
            ]
        )
        place = f"{job.at + 1} of {len(job.questions)}"
        self.query_one("#new-question", Static).update(
            spanned(Text(f"{place}   {ASKS[question]}", style=ASKED))
        )
        self._hint()
        answers, field = self.query_one(Choices), self.query_one(Input)
        answers.display = question in LISTS
        field.display = not answers.display
        if question == "scope":
            self._offer_sections()
        elif question == "without":
            self._offer_to_go_on_without()
        elif question in LISTS:
            self._offer_definitions()
        else:
            field.placeholder = HINTS[question]
            by = self._by or usual_name(self._stock.sessions, machine)
            field.value = by if question == "by" else job.name if question == "name" else ""
            field.cursor_position = len(field.value)
        (answers if answers.display else field).focus()

    def _offer_definitions(self) -> None:
        """The lists, or the machines and one that has no sheet yet."""
        job, answers = self.job, self.query_one(Choices)
        lists = job.question == "checklist"
        known = self._stock.checklists if lists else own_first(self._stock)
        at = answers.highlighted_option
        answers.clear_options()
        answers.add_options(
            Option(spanned(definition_text(each)), id=each.id, disabled=bool(each.trouble))
            for each in known
        )
        if not known and not self._stock.where:
            answers.add_option(Option(Text("Looking into the store …", style=DIM), disabled=True))
        if not lists:
            answers.add_option(Option(Text("New machine: its name will do"), id=NEW_MACHINE))
        usable = [each.id for each in known if not each.trouble]
        before = (at.id if at is not None else "", job.checklist if lists else job.machine)
        first = next((each for each in before if each in usable), None) or next(iter(usable), None)
        if first is not None:
            answers.highlighted = answers.get_option_index(first)

    def _hint(self, about: str = "") -> None:
        """What the keys do; above it what is to be known of the highlighted one."""
        question = self.job.question
        keys = {"scope": TOGGLES, "item": ITEM_DONE}.get(
            question, MOVES if question in LISTS else TYPED
        )
        if question == "item":
            about = " ".join((ITEMS, *(f"✓ {each}" for each in self.job.items)))
        text = Text(f"{one_line(about)}\n" if about else "")
        text.append(keys, style=DIM)
        self.query_one("#new-hint", Static).update(spanned(text))

    def _offer_to_go_on_without(self) -> None:
        """Back, on, and each safety step that is left out by its name."""
        left, answers = self.job.safety_left, self.query_one(Choices)
        answers.clear_options()
        answers.add_option(Option(Text("No: back to what the job takes in"), id="/back"))
        yes = "Yes: begin without them; the sign-off names them"
        answers.add_option(Option(Text(yes), id=GO_ON))
        heading = f"Left out, {pluralize(len(left), 'safety step')}: Enter takes one in".upper()
        answers.add_option(Option(spanned(Text(heading, style=DIM)), disabled=True))
        for section, step in left:
            line = Text.assemble((one_line(step.title), "bold"))
            line.append(f"  {one_line(section.title)}", style=DIM)
            answers.add_option(Option(spanned(line), id=step.id))
        answers.highlighted = 0

    def _offer_sections(self, at: int = 0) -> None:
        """Going on with what is chosen, and below it each section and step, in or out."""
        job, answers = self.job, self.query_one(Choices)
        answers.clear_options()
        go_on = Text.assemble(("Go on: ", ASKED), (job.scope_words, "bold"))
        answers.add_option(Option(spanned(go_on), id=GO_ON))
        signs = {"all": "[x] ", "some": "[-] ", "none": "[ ] "}
        for each in job.sections:
            line = Text.assemble(signs[job.share(each)], (one_line(each.title), "bold"))
            line.append(f"  {section_words(each)}", style=DIM)
            answers.add_option(Option(spanned(line), id=each.id))
            for step in each.lines if each.id in job.unfolded else ():
                sign = "[x]" if job.takes_in(step.id) else "[ ]"
                line = Text(f"    {sign} {one_line(step.title)}")
                line.append(f"  {step_words(step)}", style=DIM)
                answers.add_option(Option(spanned(line), id=step.id))
        for number, item in enumerate(job.items):
            line = Text.assemble("[x] ", (one_line(item), "bold"), ("  your own", DIM))
            answers.add_option(Option(spanned(line), id=f"{OF_ITEM}{number}"))
        answers.add_option(Option(Text("Add a line of your own"), id=OWN_LINE))
        answers.highlighted = at

    @on(OptionList.OptionHighlighted)
    def _looked_at(self, event: OptionList.OptionHighlighted) -> None:
        """Why the section or step matters."""
        if self.job.question == "scope":
            chosen = event.option.id or ""
            steps = [
                step
                for section in self.job.sections
                for step in section.lines
                if chosen in (section.id, step.id)
            ]
            self._hint(why_words(steps))

    @on(OptionList.OptionSelected)
    def _answered(self, event: OptionList.OptionSelected) -> None:
        chosen, job = event.option.id, self.job
        if chosen is None:
            return
        if job.question == "without":
            before = job.back()
            if chosen == GO_ON or before is None:
                self._go_on(job.scoped())
            elif chosen == "/back":
                self._go_on(before)
            else:  # on to who does it, where that was the last one
                self._go_on(job.toggled(chosen))
        elif job.question == "scope":
            if chosen == GO_ON:
                self._go_on(job.scoped())
            elif chosen == OWN_LINE:
                self._go_on(job.typing_item(typing=True))
            elif chosen.startswith(OF_ITEM):
                self.job = job.without_item(int(chosen.removeprefix(OF_ITEM)))
                self._offer_sections()
            else:
                self.job = job.toggled(chosen)
                self._offer_sections(event.option_index)
        elif job.question == "checklist":
            line = next((each for each in self._stock.checklists if each.id == chosen), None)
            if line is not None:
                self._go_on(job.with_checklist(line))
        elif job.question == "machine":
            new = chosen == NEW_MACHINE
            self._go_on(job.with_new_machine() if new else job.with_machine(chosen))

    def on_key(self, event: events.Key) -> None:
        """A letter goes to the next list or machine that begins with it."""
        known = {"checklist": self._stock.checklists, "machine": self._stock.machines}.get(
            self.job.question
        )
        if known is None or event.character is None or not event.character.isalnum():
            return
        event.stop()
        usable = [each for each in known if not each.trouble]
        answers = self.query_one(Choices)
        option = answers.highlighted_option
        ids = [each.id for each in usable]
        at = ids.index(option.id) if option is not None and option.id in ids else -1
        found = by_letter([each.title or each.id for each in usable], at, event.character)
        if found is not None:
            answers.highlighted = answers.get_option_index(ids[found])

    @on(Input.Submitted)
    def _typed(self, event: Input.Submitted) -> None:
        event.stop()
        typed, job = event.value.strip(), self.job
        if job.question == "cylinders":
            if typed or self._meant("no cylinders"):
                self.post_message(self.NewMachine(self, job.name, typed))
            else:
                self.say("Most machines have one or more. Enter again: this one has none.")
        elif job.question == "item":
            self._item_typed(typed)
        elif not typed:
            by = "Type who does the inspection; the log names them."
            self.say(by if job.question == "by" else "Type what you call the machine.")
        elif job.question == "name":
            self._named(typed)
        elif job.question == "by":
            self._by = typed
            self.post_message(self.Wanted(self, job, typed))

    def _named(self, typed: str) -> None:
        """A new machine's name; one that has its sheet is gone on with, if that is meant."""
        names = {typed.casefold(), "-".join(typed.casefold().split())}
        known = next(
            (each for each in self._stock.machines
             if not each.trouble and {each.id.casefold(), each.title.casefold()} & names),
            None,
        )  # fmt: skip
        if known is None:
            self._go_on(self.job.named(typed))
        elif self._meant(f"machine {known.id}"):
            self._go_on(self.job.with_known(known.id))
        else:
            name = known.title or known.id
            self.say(f"{name} is there already. Enter again goes on with it; or another name.")

    def _meant(self, asked: str) -> bool:
        """Whether this was asked back just before, so that Enter again means it."""
        before, self._asked_twice = self._asked_twice, asked
        return before == asked

    def _item_typed(self, typed: str) -> None:
        """A line of one's own; an empty one goes back to what the job takes in."""
        from inspect_tui.core.definitions.own_items import words_of

        if not typed:
            self._go_on(self.job.typing_item(typing=False))
            return
        try:
            words = words_of(typed)
        except BadInput as error:
            self.say(str(error))
            return
        self._go_on(self.job.with_item(typed))
        said = Text(f"✓ {one_line(typed)}: {words}.", style=PASS)
        self.query_one("#new-trouble", Static).update(said)

    def action_next(self) -> None:
        """Enter where neither the list nor the field has the focus."""
        if self.job.question in LISTS:
            self.query_one(Choices).action_select()

    def action_in_or_out(self) -> None:
        """Space: a section in or out; it never goes on."""
        answers = self.query_one(Choices)
        if self.job.question == "scope" and answers.highlighted:
            answers.action_select()

    def action_figures(self) -> None:
        """The figures of the machine, once it is chosen; the questions stay."""
        if self.job.machine:
            self.post_message(OpenFigures(self.job.machine, self.job.checklist))
        else:
            self.say("Choose the machine first.")

    def action_unfold(self) -> None:
        """A section's steps."""
        self._turn(unfold=True)

    def action_fold(self) -> None:
        """The section alone."""
        self._turn(unfold=False)

    def _turn(self, *, unfold: bool) -> None:
        job, answers = self.job, self.query_one(Choices)
        option = answers.highlighted_option
        if job.question != "scope" or option is None:
            return
        section = next(
            (
                each
                for each in job.sections
                if option.id == each.id or any(step.id == option.id for step in each.lines)
            ),
            None,
        )
        if section is not None and (section.id in job.unfolded) is not unfold:
            self.job = job.turned(section.id)
            self._offer_sections()
            answers.highlighted = answers.get_option_index(section.id)

    def action_help(self) -> None:
        """What is asked here, and the keys."""
        from inspect_tui.tui.screens.help import HelpScreen

        self.app.push_screen(HelpScreen("New session", HELP, ACTIONS))

    def action_back(self) -> None:
        """The question before; from the first one back to the start."""
        before = self.job.back()
        if before is None:
            self.dismiss()
        else:
            self._go_on(before)
