"""A screen whose table of actions is done by key, by a click on the line of keys, or by name."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.screen import Screen, ScreenResultType

from inspect_tui.tui.base.actions import Action
from inspect_tui.tui.widgets.key_line import KeyLine


class KeyedScreen(Screen[ScreenResultType]):
    """Each action is a method `action_NAME`, unless `run` knows better."""

    ACTIONS: ClassVar[tuple[Action, ...]] = ()

    def run(self, action: Action) -> None:
        """Do an action of the table: from the line of keys or the list of all actions."""
        getattr(self, f"action_{action.name}")()

    @on(KeyLine.Pressed)
    def _key_clicked(self, event: KeyLine.Pressed) -> None:
        event.stop()
        self.run(event.action)
