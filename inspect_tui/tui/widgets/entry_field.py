"""The one lasting field into which everything is typed: draws the line of entry, hands it keys.

It is no framework input: those do editing keys and Enter by bindings that act later than the
characters behind them. Its order and its editing are `base/entry_line.py`, which knows no
terminal.
"""

from __future__ import annotations

from collections.abc import Callable

from rich.cells import cell_len
from rich.text import Text
from textual import events
from textual.message import Message
from textual.widget import Widget

from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base.entry_line import (
    EntryLine,
    EntryLineOwner,
    EntryOutcome,
    KeyPress,
    Pasted,
)
from inspect_tui.tui.base.look import DIM

__all__ = ["EntryField", "EntryOutcome", "now"]

CURSOR = "reverse"


def now() -> float:
    """The clock by which the times of keys are taken [s]."""
    return Message().time


class EntryField(Widget, can_focus=True):
    """One line of text with a cursor, drawn from an `EntryLine`."""

    DEFAULT_CSS = "EntryField { height: 1; text-wrap: nowrap; text-overflow: clip; }"
    ALLOW_SELECT = False

    def __init__(self, line: EntryLine, *, id: str = "entry") -> None:  # noqa: A002
        super().__init__(id=id)
        self.line = line
        self.placeholder = ""
        self.unit = ""
        self.handed_on: events.Key | None = None
        """The last key that was none of the field's: it goes up to the screen."""
        self.takes_unit: Callable[[str], bool] = bool
        """Whether the unit stands behind such a text."""
        self._left = 0

    @classmethod
    def of(cls, owner: EntryLineOwner) -> EntryField:
        """A field with a line of its own for this owner."""
        return cls(EntryLine(owner, now))

    @property
    def value(self) -> str:
        """What stands in the field."""
        return self.line.text

    def put(self, text: str) -> None:
        """Put a text into the field, the cursor behind it."""
        self.line.put(text)
        self.refresh()

    def select_all(self) -> None:
        """The next character takes the place of the whole text."""
        self.line.select_all()
        self.refresh()

    def hint(self, text: str, unit: str = "") -> None:
        """What the empty field says, and the unit that stands behind what is typed."""
        self.placeholder, self.unit = one_line(text), one_line(unit)
        self.refresh()

    def render(self) -> Text:
        """The text as far as it has room, with its cursor; the hint where it is empty."""
        text, cursor = self.line.text, self.line.cursor
        shown = Text(f"{text} ", no_wrap=True)
        if self.line.is_selected:
            shown.stylize("underline", 0, len(text))
        if not text or self.takes_unit(text):
            shown.append(self.unit, style="bold")
        if not text:
            shown.append(f"  {self.placeholder}" if self.unit else self.placeholder, style=DIM)
            shown = shown if self.unit else shown[1:] or Text(" ")
        if self.has_focus:
            shown.stylize(CURSOR, cursor, cursor + 1)
        room = max(1, self.content_size.width)
        before = cell_len(text[:cursor])
        most = max(0, cell_len(text) + 1 - room)  # never more hidden than there is no room for
        self._left = max(min(self._left, before, most), before - room + 1)
        if self._left:
            shown = shown[_characters(text, self._left) :]
        return shown

    async def _on_key(self, event: events.Key) -> None:
        character = event.character if event.is_printable else None
        if self.line.press(KeyPress(event.key, character, event.time)):
            event.stop()
            event.prevent_default()
        else:
            self.handed_on = event
        self.refresh()

    def _on_paste(self, event: events.Paste) -> None:
        event.stop()
        event.prevent_default()
        self.line.paste(Pasted(event.text, event.time))
        self.refresh()

    async def _on_click(self, event: events.Click) -> None:
        if self.line.text:
            self.line.place_cursor(_characters(self.line.text, self._left + event.x))
            self.refresh()

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Characters are typed, not bound."""
        return character is not None and character.isprintable()


def _characters(text: str, cells: int) -> int:
    """How many characters stand whole in the first so many cells."""
    taken = 0
    for place, char in enumerate(text):
        taken += cell_len(char)
        if taken > cells:
            return place
    return len(text)
