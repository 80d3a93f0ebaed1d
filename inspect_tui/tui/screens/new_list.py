"""A list of one's own, a line an item; steps of other lists are offered while one types."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING, ClassVar, Final

from rich.text import Text
from textual.widget import Widget
from textual.widgets import Static

from inspect_tui.core.text.visible import one_line
from inspect_tui.errors import BadInput, InspectError
from inspect_tui.tui.base.actions import Action
from inspect_tui.tui.base.bindings import bindings
from inspect_tui.tui.base.entry_line import EntryOutcome
from inspect_tui.tui.base.error_guard import guarded
from inspect_tui.tui.base.look import DIM, spanned, whole_words
from inspect_tui.tui.base.title_cells import Cell
from inspect_tui.tui.base.tones import TONES
from inspect_tui.tui.screens.common.keyed_screen import KeyedScreen
from inspect_tui.tui.screens.common.offers_page import OffersPage, offer_line
from inspect_tui.tui.screens.list_state import ListState, Offer, offers_of
from inspect_tui.tui.screens.new_job import ITEMS
from inspect_tui.tui.widgets.entry_field import EntryField
from inspect_tui.tui.widgets.title_block import TitleBlock

if TYPE_CHECKING:
    from inspect_tui.workflow.catalogue import DefinitionLine

ACTIONS: Final = (
    Action("tab", "take", "Take step", "The offered step, with its how, limits and cautions", True,
           "Record"),
    Action("ctrl+z", "take_back", "Take back", "The last line goes again", True, "Record"),
    Action("escape", "back", "Back", "Clear the line; leave the list unsaved", True, "Go"),
    Action("f1", "help", "Help", "What this page is for, and its keys", True),
    Action("down", "down", "Down", "The next offered step", job="Go"),
    Action("up", "up", "Up", "The offered step before", job="Go"),
)  # fmt: skip
HELP: Final = (
    f"{ITEMS} While you type, steps of the shipped lists and of your own are offered: Tab takes "
    "the marked one with its how, limits and cautions. Enter takes the line as it was typed; Enter "
    "on the empty line saves the list, and asks whether to begin it. It is an ordinary checklist "
    "file afterwards, in the store's folder 'checklists'."
)
Save = Callable[[str, Sequence[tuple[str, str]]], "DefinitionLine"]


class NewListScreen(OffersPage, KeyedScreen["DefinitionLine | None"]):
    """Gives back the list that is to be begun at once, or None."""

    ACTIONS: ClassVar[tuple[Action, ...]] = ACTIONS
    BINDINGS = bindings(ACTIONS)

    def __init__(self, lists: Callable[[], Sequence[DefinitionLine]], save: Save) -> None:
        """An empty list.

        Args:
            lists: The lists whose steps are offered, as far as they were read.
            save: Writes the list; raises InspectError.
        """
        super().__init__()
        self._lists, self._save = lists, save
        self._known: tuple[int, tuple[Offer, ...]] = (-1, ())
        self._made: DefinitionLine | None = None
        self._warned = False
        self.state = ListState()
        self.field = EntryField.of(self)

    def below_the_field(self) -> Iterable[Widget]:
        """The steps that are offered."""
        yield Static("", id="list-offers", markup=False)

    def _picture(self) -> None:
        state = self.state
        cells = [Cell("program", "inspect-tui"), Cell("sheet", "new list")]
        cells += [Cell("checklist", state.title)] if state.title else []
        self.query_one(TitleBlock).set_cells(cells)
        rows = self.query_one("#figure-rows", Static)
        rows.update(_lines(state, max(20, rows.size.width - 2), max(2, rows.size.height)))
        asks = "What is the list called?"
        hint = "such as  Every Saturday"
        if state.is_saved:
            asks, hint = "Saved. Begin it now?", "Enter: begin   Esc: not now"
        elif state.title:
            asks = f"Line {len(state.lines) + 1}: what is looked at?"
            done = "Enter: done" if state.lines else "title | unit | min 33"
            hint = f"{done} · F1 how a line is typed"
        self.query_one("#figure-asked", Static).update(spanned(Text(asks, style="bold")))
        self.field.hint(hint)
        offers = self.query_one("#list-offers", Static)
        offers.display = bool(state.offers)
        offers.update(_offers(state, max(20, offers.size.width or rows.size.width - 4)))
        said = Text(one_line(state.said), style=TONES[state.tone])
        self.query_one("#figure-said", Static).update(spanned(said))

    # What the entry field asks of its owner

    @guarded("refused")
    def entered(self, text: str, seen: bool) -> EntryOutcome:
        """Enter: the title, a line, or done."""
        state, text = self.state, text.strip()
        self._warned = False
        try:
            if state.is_saved:
                self.dismiss(self._made)
            elif not state.title:
                if not text:
                    raise BadInput("Type what the list is called.")
                self._set(state.titled(text))
            elif text:
                self._set(state.entered(text))
            else:
                self._made = self._save(state.title, state.to_write)
                self._set(
                    state.saved().saying(f"✓ {state.title}: {len(state.lines)} lines.", "good")
                )
        except (InspectError, OSError) as error:
            self.say(f"✗ {error}")
            return "refused"
        return "taken"

    @guarded(None)
    def typed(self, text: str) -> None:
        """Steps that fit are offered."""
        lists = self._lists()
        if self._known[0] != len(lists):
            self._known = len(lists), offers_of(lists)
        if not self.state.is_saved:
            self.state = self.state.typed(text, self._known[1])
            self._picture()

    # Actions

    def action_take(self) -> None:
        """The marked step becomes a line."""
        state = self.state
        try:
            taken = state.taking()
        except InspectError as error:
            self.say(f"✗ {error}")
            return
        self._set(taken, "" if taken.lines != state.lines else self.field.value)

    def action_take_back(self) -> None:
        """The last line goes again."""
        if not self.state.is_saved:
            self._set(self.state.taken_back(), self.field.value)

    def action_back(self) -> None:
        """Clear the line; then leave, which is asked once where lines would be lost."""
        if self.field.value:
            self._set(self.state.typed("", ()))
        elif self.state.lines and not self.state.is_saved and not self._warned:
            self._warned = True
            self.say("The list is not saved: Enter saves it. Esc once more leaves without it.")
        else:
            self.dismiss(None)

    def action_help(self) -> None:
        """How a line is typed, and the keys."""
        from inspect_tui.tui.screens.help import HelpScreen

        self.app.push_screen(HelpScreen("New list", HELP, ACTIONS))


def _lines(state: ListState, width: int, height: int) -> Text:
    """The list so far, its end in sight."""
    if not state.lines:
        return Text("A list of your own: a line an item.", style=DIM)
    rows = []
    for number, line in list(enumerate(state.lines, 1))[-height:]:
        text = Text.assemble((f"{number:>3} ", DIM))
        text.append(whole_words(one_line(line.text), width * 2 // 3), style="bold")
        text.append(f"  {one_line(line.about)}", style=DIM)
        text.truncate(width, overflow="ellipsis")
        rows.append(text)
    return Text("\n").join(rows)


def _offers(state: ListState, width: int) -> Text:
    """The offered steps, the one that Tab takes marked."""
    return Text("\n").join(
        offer_line(offer, width, marked=at == state.at, key="Tab ")
        for at, offer in enumerate(state.offers)
    )
