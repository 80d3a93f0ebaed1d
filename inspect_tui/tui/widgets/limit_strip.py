"""The limit strip in the terminal: the zone, the value's mark and the width of its uncertainty."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.text import Text
from textual.widgets import Static

from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base.look import DIM, FAIL, PASS, PHASE_STYLE, UNCERTAIN, whole_words

if TYPE_CHECKING:
    from inspect_tui.core.model.results import ToleranceInterval
    from inspect_tui.core.presentation.limit_strip import StripMark

STYLES = {
    "outside": DIM,
    "zone": PASS,
    "limit": "bold",
    "uncertainty": UNCERTAIN,
    "both": "bold",
    "arrow": FAIL,
    **PHASE_STYLE,
}
WIDEST = 60


def drawn(zone: ToleranceInterval | None, marks: Sequence[StripMark], width: int) -> Text:
    """The strip alone, in so many cells; nothing where it can't be drawn."""
    # Late: there is a zone only where a session is, and its words and drawing are there by then.
    from inspect_tui.core.presentation.limit_strip import limit_strip

    strip = limit_strip(zone, marks, width)
    text = Text(strip.text, no_wrap=True)
    for span in strip.spans:
        text.stylize(STYLES[span.meaning], span.start, span.end)
    return text


class LimitStrip(Static):
    """One line that draws where a value lies in its zone; the zone's words beside it."""

    def __init__(self) -> None:
        super().__init__("", id="limit-strip", markup=False)
        self._zone: ToleranceInterval | None = None
        self._marks: tuple[StripMark, ...] = ()

    def fill(self, zone: ToleranceInterval | None, marks: tuple[StripMark, ...]) -> None:
        """Show this zone and these values."""
        if (zone, marks) != (self._zone, self._marks):
            self._zone, self._marks = zone, marks
            self.refresh()

    def render(self) -> Text:
        """The words first; the strip in what is left of the line."""
        from inspect_tui.core.presentation.wording import zone_words

        said = one_line(zone_words(self._zone))
        if not said:
            return Text("no limit on this one", style=DIM)
        text = Text(whole_words(said, self.size.width), no_wrap=True, overflow="ellipsis")
        room = min(self.size.width - len(said) - 2, WIDEST)
        strip = drawn(self._zone, self._marks, room)
        return Text.assemble(text, "  ", strip, no_wrap=True) if strip else text
