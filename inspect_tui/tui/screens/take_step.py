"""A step of another list for this session: found by its words while one types, taken by one key."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, ClassVar, Final

from rich.text import Text
from textual import events, on, work
from textual.message import Message
from textual.widgets import Static

from inspect_tui.core.text.visible import one_line
from inspect_tui.errors import InspectError
from inspect_tui.tui.base.actions import Action
from inspect_tui.tui.base.bindings import bindings
from inspect_tui.tui.base.entry_line import EntryOutcome
from inspect_tui.tui.base.error_guard import guarded
from inspect_tui.tui.base.look import DIM, spanned
from inspect_tui.tui.base.tones import TONES
from inspect_tui.tui.base.view_model import InspectionActions, View
from inspect_tui.tui.screens.common.inspection_screen import InspectionScreen, Open
from inspect_tui.tui.screens.common.offers_page import OffersPage, offer_line
from inspect_tui.tui.screens.list_state import ListState, Offer, offers_of
from inspect_tui.tui.widgets.entry_field import EntryField
from inspect_tui.tui.widgets.title_block import TitleBlock

if TYPE_CHECKING:
    from inspect_tui.workflow.catalogue import DefinitionLine
    from inspect_tui.workflow.inspection import Inspection

ACTIONS: Final = (
    Action("enter", "take", "Take step", "The marked step belongs to this session now", True,
           "Record"),
    Action("down", "down", "Down", "The next offered step", True, "Go"),
    Action("up", "up", "Up", "The offered step before", job="Go"),
    Action("escape", "back", "Back", "Clear the words, or back to the walk", True, "Go"),
    Action("f1", "help", "Help", "What this page is for, and its keys", True),
)  # fmt: skip
MAX_OFFERS: Final = 12


class TakeStepScreen(OffersPage, InspectionScreen):
    """Offers the steps of all lists; the one that is taken is walked at once."""

    ACTIONS: ClassVar[tuple[Action, ...]] = ACTIONS
    BINDINGS = bindings(ACTIONS)
    HELP_TITLE = "A step of another list"
    HELP_TEXT = (
        "Type words of a step: those of the shipped lists and of your own are offered. Enter takes "
        "the marked one into this session, with its how, limits and cautions, at the end of the "
        "section that the walk is in. What is concluded from several steps stays with their list."
    )

    class Read(Message):
        """The lists were read."""

        def __init__(self, offers: tuple[Offer, ...], trouble: str = "") -> None:
            super().__init__()
            self.offers = offers
            self.trouble = trouble

    def __init__(
        self,
        desk: InspectionActions,
        view: View | None,
        section: str,
        lists: Callable[[], Sequence[DefinitionLine]],
        took: Callable[[str], None],
        words: str = "",
    ) -> None:
        """Nothing typed yet.

        Args:
            desk: The app.
            view: The session.
            section: The group that takes the step.
            lists: Reads the lists whose steps are offered; called in a thread.
            took: Told the id of the step that was taken.
            words: What was typed before.
        """
        super().__init__(desk, view)
        self._section, self._lists, self._took = section, lists, took
        self.known: tuple[Offer, ...] | None = None
        """The steps of all lists that the walk has not; None until they were read."""
        self.state = ListState("a step", most=MAX_OFFERS)
        self.field = EntryField.of(self)
        self.field.put(words)

    def on_mount(self) -> None:
        """The first picture; the lists are read beside it."""
        super().on_mount()
        self._read()

    @work(thread=True, exit_on_error=False, exclusive=True)
    def _read(self) -> None:
        try:
            self.post_message(self.Read(offers_of(self._lists())))
        except (InspectError, OSError) as error:
            self.post_message(self.Read((), str(error)))

    @on(Read)
    def _was_read(self, event: Read) -> None:
        there = set()
        if self.view is not None:  # what the walk has already need not be taken
            steps = (each for each in self.view.results.steps if each.state != "left-out")
            there = {(each.step.id, each.step.title) for each in steps}
        self.known = tuple(each for each in event.offers if (each.step, each.title) not in there)
        self.typed(self.field.value)
        if event.trouble:
            self.say(event.trouble)

    def draw(self, view: View) -> None:
        """The session's head, and what is offered."""
        self._picture()

    def _picture(self) -> None:
        if self.view is not None:
            self.query_one(TitleBlock).fill(self.view, "take a step")
        rows = self.query_one("#figure-rows", Static)
        rows.update(self._offers(max(20, rows.size.width - 2), max(2, rows.size.height)))
        asks = Text("Which step of another list? Words of it", style="bold")
        self.query_one("#figure-asked", Static).update(spanned(asks))
        self.field.hint("such as  pressure")
        said = Text(one_line(self.state.said), style=TONES[self.state.tone])
        self.query_one("#figure-said", Static).update(spanned(said))

    def _offers(self, width: int, height: int) -> Text:
        state = self.state
        if not state.offers:
            words = "The lists are being read …" if self.known is None else (
                "No step has these words." if self.field.value.strip() else
                "The steps of all lists, found by their words."
            )  # fmt: skip
            return Text(words, style=DIM)
        rows = []
        for at, offer in list(enumerate(state.offers))[:height]:
            text = offer_line(offer, width, marked=at == state.at)
            text.apply_meta({"offer": at})
            rows.append(text)
        return Text("\n").join(rows)

    # What the entry field asks of its owner

    @guarded("refused")
    def entered(self, text: str, seen: bool) -> EntryOutcome:
        """Enter takes the marked step."""
        if not self.state.offers:
            self.say("Type words of the step, until one is marked.")
            return "refused" if text else "taken"
        return "taken" if self._take(self.state.offers[self.state.at]) else "refused"

    def _take(self, offer: Offer) -> bool:
        taken: list[str] = []

        def take(held: Inspection) -> tuple[str, ...]:
            from inspect_tui.workflow.take_step import take_step

            taken.append(take_step(held, self._section, offer.place))
            return ()

        outcome = self.desk.submit(take)
        if not outcome.ok:
            self.say(f"✗ {outcome.error}")
            return False
        self.dismiss()
        self._took(taken[0])
        return True

    @guarded(None)
    def typed(self, text: str) -> None:
        """Steps that fit are offered."""
        self.state = self.state.saying("").typed(text, self.known or ())
        self._picture()

    # Actions

    def action_take(self) -> None:
        """The marked step, by a click on the key."""
        self.entered(self.field.value, seen=True)

    def action_back(self) -> None:
        """Clear the words, else back to the walk."""
        if self.field.value:
            self.field.put("")
            self.typed("")
        else:
            self.dismiss()

    def action_help(self) -> None:
        """The keys of this page."""
        self.post_message(Open("help"))

    @on(events.Click, "#figure-rows")
    def _offer_clicked(self, event: events.Click) -> None:
        at = event.style.meta.get("offer")
        if isinstance(at, int) and at < len(self.state.offers):
            self._take(self.state.offers[at])
