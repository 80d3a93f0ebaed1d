"""One question with its answers to choose from, over the screen that asks it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from rich.text import Text
from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalGroup
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base.look import ASKED, DIM, spanned
from inspect_tui.tui.widgets.choices import Choices


class ChooseScreen(ModalScreen[str | None]):
    """Gives back the value that was chosen (by its digit, Enter or a tap), or None on Escape."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", "Back")]

    def __init__(self, title: str, asks: str, offers: Sequence[tuple[str, str]]) -> None:
        super().__init__()
        self._title = title
        self._asks = asks
        self._offers = tuple(offers)

    def compose(self) -> ComposeResult:
        """The question, the answers with their digits."""
        with VerticalGroup(id="ask") as box:
            box.border_title = spanned(Text(f" {one_line(self._title)} ", style=ASKED))
            yield Static(one_line(self._asks), id="ask-words", markup=False)
            yield Choices(
                *(
                    Option(spanned(Text.assemble((f"{place} ", ASKED), one_line(words))))
                    for place, (_, words) in enumerate(self._offers, 1)
                ),
                id="ask-offers",
            )
            yield Static(Text("A digit or Enter: choose   Esc: leave it", style=DIM), markup=False)

    def on_mount(self) -> None:
        """The list has the keys."""
        self.query_one(Choices).focus()

    def on_key(self, event: events.Key) -> None:
        """A digit is the place of an answer."""
        if event.character is not None and event.character in "123456789":
            event.stop()
            self._choose(int(event.character) - 1)

    @on(OptionList.OptionSelected)
    def _selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self._choose(event.option_index)

    def _choose(self, place: int) -> None:
        if place < len(self._offers):
            self.dismiss(self._offers[place][0])

    def action_leave(self) -> None:
        """Give nothing back."""
        self.dismiss(None)
