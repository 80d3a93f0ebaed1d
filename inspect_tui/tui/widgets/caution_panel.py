"""What has to be read before anything is recorded: it lies over the sheet until confirmed.

It is no screen of its own, so the one entry field keeps the keys: Enter on the empty field
confirms, and readings that were typed ahead wait instead of confirming what nobody has read.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Static

from inspect_tui.tui.base.look import FAIL, UNCERTAIN, spanned, words

if TYPE_CHECKING:
    from inspect_tui.tui.walk.gate import Gate


class Cautions(VerticalScroll, can_focus=False):
    """The panel over the sheet."""

    def __init__(self) -> None:
        super().__init__(id="cautions")
        self._text = Static("", id="caution-text", markup=False)
        self._gate: Gate | None = None
        self.end_shown = False
        """Whether the last line of what waits has been on the screen."""

    def compose(self) -> ComposeResult:
        """The texts, then what is asked."""
        yield self._text

    def on_mount(self) -> None:
        """How far it reaches is looked at whenever its room or its text is another."""
        self.watch(self, "virtual_size", self._look_later, init=False)

    def on_resize(self) -> None:
        """The end may be in sight now."""
        self._look_later()

    def _look_later(self) -> None:
        self.call_after_refresh(self._look_how_far)

    def fill(self, gate: Gate | None) -> None:
        """Show what waits, or nothing."""
        self.display = gate is not None
        if gate != self._gate:
            self._gate, self.end_shown = gate, False
            self.scroll_home(animate=False)
        if gate is None:
            return
        self.border_title = spanned(Text(f" ! {gate.title} ", style=FAIL))
        self._text.update(Text("\n\n").join(words(f"! {text}") for text in gate.texts))
        self.set_class(gate.is_whole_list, "-whole")
        self._look_later()

    def read_on(self) -> bool:
        """Scroll on to the end; True as long as the end has not been shown."""
        if self.end_shown or (self.size.height and self.scroll_y >= self.max_scroll_y):
            self.end_shown = True
            return False
        self.scroll_page_down(animate=False)
        return True

    def on_click(self) -> None:
        """A tap reads on; it confirms nothing."""
        self.read_on()

    def watch_scroll_y(self, old_value: float, new_value: float) -> None:
        """The end may be in sight now."""
        super().watch_scroll_y(old_value, new_value)
        self._look_later()

    def _look_how_far(self) -> None:
        """Say whether there is more, and how it is reached."""
        if self._gate is None or not self.size.height:
            return
        self.end_shown = self.end_shown or self.scroll_y >= self.max_scroll_y
        more = " Up and Down scroll " if self.end_shown else " more below: Enter reads on "
        self.border_subtitle = Text(more, style=UNCERTAIN) if self.max_scroll_y > 0 else ""
