"""One question in words, over the screen that asks it."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalGroup
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base.look import ASKED, DIM, FAIL, spanned


class AskScreen(ModalScreen[str | None]):
    """Gives back what was typed (maybe nothing), or None on Escape."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", "Back")]

    def __init__(
        self, title: str, asks: str, *, needed: bool, trouble: str = "", filled: str = ""
    ) -> None:
        """A question.

        Args:
            title: What it is about.
            asks: The question.
            needed: Whether it wants words.
            trouble: Why the last answer was not taken.
            filled: What the field holds already: Enter takes it, typing replaces it.
        """
        super().__init__()
        self._filled = filled
        self._title = title
        self._asks = asks
        self._needed = needed
        self._trouble = trouble

    def compose(self) -> ComposeResult:
        """The question, the field, what Enter and Escape do."""
        with VerticalGroup(id="ask") as box:
            box.border_title = spanned(Text(f" {one_line(self._title)} ", style=ASKED))
            yield Static(one_line(self._asks), id="ask-words", markup=False)
            yield Input(self._filled, id="ask-field", max_length=400, compact=True)
            may = "" if self._needed else " (may stay empty)"
            yield Static(Text(f"Enter: done{may}   Esc: leave it", style=DIM), markup=False)
            yield Static(Text(one_line(self._trouble), style=FAIL), id="ask-trouble", markup=False)

    @on(Input.Submitted)
    def _done(self, event: Input.Submitted) -> None:
        event.stop()
        if self._needed and not event.value.strip():
            self.query_one("#ask-trouble", Static).update(Text("This needs words.", style=FAIL))
            return
        self.dismiss(event.value.strip())

    def action_leave(self) -> None:
        """Give nothing back."""
        self.dismiss(None)
