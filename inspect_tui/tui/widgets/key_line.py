"""The keys of a screen on its last line; each can be clicked or tapped."""

from __future__ import annotations

from collections.abc import Sequence

from rich.text import Text
from textual import events
from textual.message import Message
from textual.widgets import Static

from inspect_tui.tui.base.actions import Action
from inspect_tui.tui.base.legend import legend


class KeyLine(Static):
    """One line, drawn for its width. A framework footer makes a widget of each key: ten to lay out
    at each change, and cut in a word where it is narrow."""

    DEFAULT_CSS = "KeyLine { dock: bottom; height: 1; padding: 0 0 0 1; }"

    class Pressed(Message):
        """A key of the line was clicked."""

        def __init__(self, action: Action) -> None:
            super().__init__()
            self.action = action

    def __init__(self, actions: Sequence[Action], *, waiting: bool = False) -> None:
        super().__init__("", id="key-line", markup=False)
        self._actions = tuple(actions)
        self._waiting = waiting

    def wait(self, waiting: bool) -> None:
        """Whether the keys wait for the session."""
        if waiting != self._waiting:
            self._waiting = waiting
            self.refresh()

    def render(self) -> Text:
        """The keys that there is room for."""
        return legend(self._actions, self.size.width, waiting=self._waiting)

    def on_click(self, event: events.Click) -> None:
        """Do what was clicked."""
        name = event.style.meta.get("action")
        chosen = next((each for each in self._actions if each.name == name), None)
        if chosen is not None:
            event.stop()
            self.post_message(self.Pressed(chosen))
