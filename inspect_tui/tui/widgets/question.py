"""The question that is asked now: what, its limit, the field, the answer's verdict in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.style import Style
from rich.text import Text
from textual import events
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.widgets import Static

from inspect_tui.tui.base.entry_line import KeyPress
from inspect_tui.tui.base.look import spanned
from inspect_tui.tui.widgets.entry_field import EntryField
from inspect_tui.tui.widgets.limit_strip import LimitStrip

if TYPE_CHECKING:
    from inspect_tui.core.model.results import ToleranceInterval
    from inspect_tui.core.presentation.limit_strip import StripMark


class Answer(Static):
    """What changes at every key: the screen is laid out anew only where its height changes."""

    _lines = -1

    def say(self, text: Text) -> None:
        """Show this."""
        self.update(text, layout=False)
        width = self.content_size.width
        lines = self.visual.get_height(self.styles.get_rules(), width) if width else -1
        if width == 0 or lines != self._lines:
            self.refresh(layout=True)
        self._lines = lines


class Question(Vertical):
    """The panel at the foot of the sheet that holds the one entry field."""

    def __init__(self, field: EntryField) -> None:
        super().__init__(id="question")
        self.field = field
        self._asked = Static("", id="asked", markup=False)
        self._prompt = Static("▸", id="prompt", markup=False)
        self._strip = LimitStrip()
        self._answer = Answer("", id="answer", markup=False)
        self._queue = Static("", id="queue", markup=False)

    def compose(self) -> ComposeResult:
        """From the top: what is asked, its limit, the field, what was understood."""
        yield self._asked
        yield self._strip
        with Horizontal(id="entry-line"):
            yield self._prompt
            yield self.field
            yield Static(Text(" Enter ", style=Style(meta={"key": "enter"})), id="enter-key")
        yield self._answer
        yield self._queue

    def on_click(self, event: events.Click) -> None:
        """The drawn Enter key, for whoever has none at hand."""
        key = event.style.meta.get("key")
        if key is not None:
            event.stop()
            self.field.line.press(KeyPress(key, None, event.time))
            self.field.focus()

    def ask(
        self, asked: Text, hint: str, title: str, style: str, *, place: str = "", unit: str = ""
    ) -> None:
        """What the field is for now.

        Args:
            asked: The question.
            hint: What the empty field says.
            title: The phase, or what is asked instead of a reading.
            style: Its colour.
            place: The cylinder, before the field.
            unit: What stands behind the text that is typed.
        """
        self._asked.update(spanned(asked))
        self._prompt.update(Text.assemble((f" {place} ", "bold reverse"), " ") if place else "▸ ")
        self.field.hint(hint, unit)
        self.border_title = spanned(Text(title, style=style))

    def limit(
        self,
        zone: ToleranceInterval | None,
        marks: tuple[StripMark, ...],
        *,
        shown: bool,
    ) -> None:
        """The zone and the values in it; not shown where the field asks for words."""
        # On a short screen the line is the readings': that there is no limit is said on saving.
        self._strip.display = shown and (zone is not None or not self.screen.has_class("-short"))
        self._strip.fill(zone, marks)

    def answer(self, text: Text) -> None:
        """What was understood of the answer, or what came of the last one."""
        self._answer.say(spanned(text))

    def waiting(self, text: Text) -> None:
        """What was typed ahead and waits in order; nothing where the text is empty."""
        self._queue.display = bool(text)
        self._queue.update(spanned(text))
