"""A list to choose from in which a tap marks a line instead of choosing it."""

from __future__ import annotations

from textual import events
from textual.message import Message

from inspect_tui.tui.widgets.choices import Choices


class MarkedList(Choices):
    """Enter chooses, a tap marks."""

    class Tapped(Message):
        """A line was tapped."""

        def __init__(self, option: str) -> None:
            super().__init__()
            self.option = option

    async def _on_click(self, event: events.Click) -> None:
        """Mark what was tapped; the framework's own way would choose it."""
        event.prevent_default()
        place = event.style.meta.get("option")
        if isinstance(place, int) and place < self.option_count:
            option = self.get_option_at_index(place)
            if not option.disabled and option.id is not None:
                self.highlighted = place
                self.post_message(self.Tapped(option.id))
