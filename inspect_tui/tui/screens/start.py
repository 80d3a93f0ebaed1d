"""The start: sessions left open, a new one, the machines, the demonstration."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar, Final

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.message import Message
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from inspect_tui.core.text.formatting import duration, pluralize
from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base.actions import Action
from inspect_tui.tui.base.bindings import bindings
from inspect_tui.tui.base.look import ASKED, DIM, FAIL, UNCERTAIN, spanned
from inspect_tui.tui.base.title_cells import Cell
from inspect_tui.tui.base.view_model import Catalogue
from inspect_tui.tui.screens.common.inspection_screen import Open, OpenFigures, OpenMachine
from inspect_tui.tui.screens.common.keyed_screen import KeyedScreen
from inspect_tui.tui.screens.common.stock_screen import StockScreen
from inspect_tui.tui.widgets.choices import Choices
from inspect_tui.tui.widgets.key_line import KeyLine
from inspect_tui.tui.widgets.title_block import TitleBlock

if TYPE_CHECKING:
    from inspect_tui.workflow.catalogue import DefinitionLine, SessionLine

NEW, MACHINE, LIST, DEMO = "new", "machine", "list", "demo"
ACTIONS: Final = (
    Action("enter", "choose", "Open", "Open what is chosen", True, "Session"),
    Action("n", "new", "New session", "A checklist, a machine, how much of it, and who", True,
           "Session"),
    Action("m", "machine", "New machine", "Your own machine by its name; walking begins at once",
           True, "Session"),
    Action("l", "new_list", "New list", "A checklist of your own, a line an item", True, "Session"),
    Action("d", "demo", "Demonstration", "An invented machine in a store of its own", True,
           "Session"),
    Action("s", "seasons", "Seasons", "What the chosen machine needs, and how it wore so far", True,
           "Look"),
    Action("b", "bench", "Bench", "Every calculation by subject, worked out while it is filled in",
           True, "Look"),
    Action("f12", "bench", "Bench", "The same", job="Look"),
    Action("f1", "help", "Help", "What to do here", True, "Look"),
    Action("h", "help", "Help", "The same", job="Look"),
    Action("ctrl+q", "quit", "Quit", "End the program", True, "Session"),
    Action("q", "quit", "Quit", "The same", job="Session"),
)  # fmt: skip


class StartScreen(StockScreen, KeyedScreen[None]):
    """What can be gone on with, and what can be begun."""

    ACTIONS: ClassVar[tuple[Action, ...]] = ACTIONS
    BINDINGS = bindings(ACTIONS)

    class Chosen(Message):
        """A session is to be opened."""

        def __init__(self, session: str) -> None:
            super().__init__()
            self.session = session

    class Begin(Message):
        """A new session is wanted."""

        def __init__(self, stock: Catalogue, *, machine_first: bool = False) -> None:
            super().__init__()
            self.stock = stock
            self.machine_first = machine_first

    class Demo(Message):
        """The demonstration is wanted."""

    def __init__(self) -> None:
        super().__init__()
        self._stock: Catalogue | None = None
        self._so_far = Catalogue()
        """While logs are read: lists and sheets are there before the sessions."""

    def compose(self) -> ComposeResult:
        """The list of sessions, and beside it the machines."""
        yield TitleBlock()
        with VerticalScroll(id="start", can_focus=False):
            yield Static("", id="start-words", markup=False)
            yield Static("", id="start-due", markup=False)
            yield Choices(id="sessions")
            hint = "Up and Down move ▶, Enter opens."
            yield Static(spanned(Text(hint, style=DIM)), markup=False)
            yield Static("", id="machines", markup=False)
        yield KeyLine(ACTIONS)

    def on_mount(self) -> None:
        """Until the store is read there is a new session and the demonstration."""
        self.query_one(TitleBlock).set_cells(
            [Cell("program", "inspect-tui"), Cell("sheet", "start")]
        )
        self._draw(Catalogue(), "Looking into the store …")
        self.query_one(Choices).focus()

    def show_stock(self, stock: Catalogue) -> None:
        """Show what lies in the store, as far as it was read."""
        if stock.reading:
            self._so_far = stock
            if self._stock is None:
                self.query_one("#start-words", Static).update(stock.reading)
            return
        self._stock = stock
        words = ""
        if stock.trouble:
            words = f"The store can't be read: {stock.trouble}"
        elif not stock.sessions:
            words = (
                "Nothing here yet. m begins with your own machine: its name will do, say which "
                "checklist and who does it, and the first step is asked. Or look at the "
                "demonstration first."
            )
        self._draw(stock, words)

    def _draw(self, stock: Catalogue, words: str) -> None:
        self.query_one("#start-words", Static).update(words)
        self.query_one("#start-words").display = bool(words)
        due = self.query_one("#start-due", Static)
        due.update(spanned(_due(stock)))
        due.display = bool(stock.due)
        options = self.query_one(Choices)
        at = options.highlighted_option
        options.clear_options()
        left = [each for each in stock.sessions if each.state == "open"]
        rest = [each for each in stock.sessions if each.state != "open"]
        for heading, lines in (("LEFT OPEN", left), (closed_heading(rest), rest)):
            if lines:
                options.add_option(Option(spanned(Text(heading, style=DIM)), disabled=True))
                options.add_options(
                    Option(spanned(_session_line(each)), id=f"session:{each.id}") for each in lines
                )
                options.add_option(None)
        if stock.more_sessions:
            more = f"and {stock.more_sessions:,} more: 'inspect-tui sessions' lists them"
            options.add_option(Option(spanned(Text(more, style=DIM)), disabled=True))
            options.add_option(None)
        options.add_option(Option(spanned(Text("BEGIN", style=DIM)), disabled=True))
        entries = [Option(Text("New session"), id=NEW)]
        new = Option(Text("New machine: your own, by its name"), id=MACHINE)
        own = any(each.own for each in stock.machines)
        entries.insert(1 if own else 0, new)  # who has none begins with it
        entries.append(Option(Text("New list: lines of your own"), id=LIST))
        options.add_options(entries)
        options.add_option(Option(Text("The demonstration: an invented machine"), id=DEMO))
        if stock.machines:
            options.add_option(None)
            title = Text("MACHINES: THEIR FIGURES", style=DIM)
            options.add_option(Option(spanned(title), disabled=True))
            options.add_options(
                Option(
                    spanned(_machine_line(each)), id=f"machine:{each.id}",
                    disabled=bool(each.trouble),
                )
                for each in sorted(stock.machines, key=lambda each: not each.own)
            )  # fmt: skip
        first = next(i for i, each in enumerate(options.options) if not each.disabled)
        # Until the store was read, Enter opens nothing: it may be meant for a session left open.
        options.highlighted = None if self._stock is None else first
        if at is not None and at.id and at.id in {each.id for each in options.options}:
            options.highlighted = options.get_option_index(at.id)  # read on: the choice stays
        where = f"The store: {one_line(stock.where)}" if stock.where else ""
        self.query_one("#machines", Static).update(spanned(Text(where, style=DIM)))

    @on(OptionList.OptionSelected)
    def _selected(self, event: OptionList.OptionSelected) -> None:
        chosen = event.option.id or ""
        if chosen == NEW:
            self.action_new()
        elif chosen == MACHINE:
            self.action_machine()
        elif chosen == LIST:
            self.action_new_list()
        elif chosen == DEMO:
            self.action_demo()
        elif chosen.startswith("machine:"):
            self.post_message(OpenFigures(chosen.removeprefix("machine:")))
        elif chosen.startswith("session:"):
            self.post_message(self.Chosen(chosen.removeprefix("session:")))

    def action_choose(self) -> None:
        """Enter where the list has no focus."""
        self.query_one(Choices).action_select()

    def action_new(self) -> None:
        """Begin a session."""
        self.post_message(self.Begin(self._stock or self._so_far))

    def action_machine(self) -> None:
        """Begin with a machine that has no sheet yet."""
        self.post_message(self.Begin(self._stock or self._so_far, machine_first=True))

    def action_new_list(self) -> None:
        """A checklist of one's own."""
        self.post_message(Open("new_list"))

    @property
    def stock(self) -> Catalogue:
        """What lies in the store, as far as it was read."""
        return self._stock or Catalogue()

    def action_demo(self) -> None:
        """Open the demonstration."""
        self.post_message(self.Demo())

    def action_seasons(self) -> None:
        """The page of the machine that is chosen, or of the chosen session's."""
        at = self.query_one(Choices).highlighted
        option = None if at is None else self.query_one(Choices).get_option_at_index(at)
        chosen = "" if option is None else option.id or ""
        stock = self._stock or Catalogue()
        names = {f"session:{each.id}": each.machine for each in stock.sessions}
        named = names.get(chosen)
        for each in stock.machines:
            if chosen == f"machine:{each.id}" or (named is not None and each.title == named):
                self.post_message(OpenMachine(each.id, each.title))
                return
        self.notify("Choose a session or a machine first, then s.", markup=False, timeout=6)

    def action_bench(self) -> None:
        """The calculations."""
        self.post_message(Open("bench"))

    def action_quit(self) -> None:
        """End the program."""
        self.app.exit()

    def action_help(self) -> None:
        """What to do here."""
        from inspect_tui.tui.screens.help import HelpScreen

        self.app.push_screen(HelpScreen("Start", HELP, ()))


HELP = (
    "Choose a session with Up and Down and open it with Enter: it goes on at its first open "
    "reading. n begins a new session: a checklist, a machine's sheet, what of the list today's "
    "job takes in, and who does it. m begins with a machine of your own: its name and the names "
    "of its cylinders will do; figures are asked for at the steps that miss them. l makes a list "
    "of your own, a line an item, with steps of other lists offered while you type. A "
    "machine's name opens all its figures, to be gone through with the manual; s shows what the "
    "chosen machine needs and how its readings went over the years. b opens the "
    "bench with every calculation. d opens the demonstration in a store of its own, where "
    "anything may be tried. Signed sessions open for reading; words can be added to them. Own "
    "checklists and machine sheets are plain text in the store's folders 'checklists' and "
    "'machines'."
)


def _session_line(each: SessionLine) -> Text:
    if each.state == "broken":
        return Text.assemble(
            (f"✗ {one_line(each.id)}", FAIL), (f"\n  broken: {one_line(each.trouble)}", FAIL)
        )
    text = Text(f"{one_line(each.machine)}", style="bold")
    text.append(f"  {one_line(each.checklist)}", style=ASKED)
    text.append(f"\n  {each.done} of {each.steps} steps", style=DIM)
    if each.state == "open" and each.minutes:
        text.append(f"  about {duration(each.minutes)} left", style=DIM)
    if each.failed:
        text.append(f"  ✗ {each.failed} failed", style=FAIL)
    if each.undecided:
        text.append(f"  ✗ {each.undecided} to decide", style=UNCERTAIN)
    if each.state == "signed":
        text.append("  signed", style="green")
    when = f"saved last {each.last:%Y-%m-%d %H:%M}  " if each.last else ""
    text.append(f"\n  {when}{one_line(each.by)}", style=DIM)
    return text


_CLOSED: Final = {"signed": "SIGNED", "set-aside": "SET ASIDE", "broken": "BROKEN"}


def closed_heading(lines: Sequence[SessionLine]) -> str:
    """What they are: a log that is broken is named only where there is one."""
    there = {each.state for each in lines}
    said = [words for state, words in _CLOSED.items() if state in there]
    return f"{' OR '.join(said)}, TO READ"


def _due(stock: Catalogue) -> Text:
    text = Text("DUE", style=DIM)
    before = ""
    for each in stock.due:
        if each.machine != before:
            text.append("\n     " if before else "  ", style="not dim")
            text.append(one_line(each.machine), style="bold not dim")
        before = each.machine
        mark, style = ("✗ ", FAIL) if each.late else ("  ", "not dim")
        text.append(f"\n{mark}{one_line(each.words)}", style=style)
    return text


def _machine_line(each: DefinitionLine) -> Text:
    text = Text(one_line(each.title or each.id), style="bold")
    if each.trouble:
        text.append(f"  ✗ {one_line(each.trouble)}", style=FAIL)
        return text
    whose = "own sheet" if each.own else "ships with the program"
    cylinders = pluralize(len(each.cylinders), "cylinder") if each.cylinders else "no cylinder"
    text.append(f"  {cylinders}, {whose}", style=DIM)
    return text
