"""The help of a screen: what it is for, and every key."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from rich.table import Table
from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from inspect_tui.core.presentation import limit_strip, wording
from inspect_tui.tui.base.actions import Action
from inspect_tui.tui.base.key_names import key_name
from inspect_tui.tui.base.look import ASKED, DIM, spanned
from inspect_tui.tui.base.styling import NOT_PASSED


class HelpScreen(ModalScreen[None]):
    """Closed by Escape, Enter or F1."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,f1,enter", "dismiss", "Close", key_display="Esc"),
    ]

    def __init__(self, title: str, text: str, actions: Sequence[Action]) -> None:
        super().__init__()
        self._title = title
        self._words = text
        self._actions = actions

    def compose(self) -> ComposeResult:
        """Words, then the keys."""
        with VerticalScroll(id="help") as box:
            box.border_title = spanned(Text(f" {self._title} ", style=ASKED))
            box.border_subtitle = spanned(Text(" Esc closes, arrows scroll ", style=DIM))
            yield Static(Text(self._words), classes="help-words", markup=False)
            yield Static(self._keys(), markup=False)
            yield Static(Text(_signs(), style=DIM), classes="help-words", markup=False)

    def _keys(self) -> Table:
        table = Table.grid(padding=(0, 2, 0, 0))
        table.add_column(style=ASKED, no_wrap=True)
        table.add_column(overflow="fold")
        for action in self._actions:
            table.add_row(key_name(action.key) or "Ctrl+P", _says(action))
        table.add_row("Ctrl+P", "Every action by typing a part of its name")
        table.add_row("Ctrl+Q", "Quit; everything recorded is saved")
        return table


def _says(action: Action) -> str:
    """The action's name and what it does, without a word twice: `Go to a step by its name`."""
    once = action.label in (key_name(action.key), "Page up", "Page down")
    if once or action.words.casefold().startswith(action.label.casefold()):
        return action.words
    return f"{action.label}: {action.words}"


def _signs() -> str:
    states = "  ".join(f"{mark.sign} {mark.word}" for mark in wording.STEP_STATES.values())
    verdicts = "  ".join(f"{mark.sign} {mark.word}" for mark in wording.VERDICTS.values())
    safety = f"▲ safety  {NOT_PASSED} safety, not passed"
    return f"Steps: {states}  {safety}\nVerdicts: {verdicts}\nLimit strip: {limit_strip.legend()}"
