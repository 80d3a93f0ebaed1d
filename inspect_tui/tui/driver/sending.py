"""Events on their way from a driver's reading thread to the app, counted."""

from __future__ import annotations

import asyncio

from textual.app import ScreenStackError
from textual.driver import Driver
from textual.message import Message

SOON = 0.005
"""Seconds between two looks while something waits for the app to take it."""


class CountingDriver(Driver):
    """A driver that knows how many events the app has before it."""

    _on_the_way = 0

    def send_message(self, message: Message) -> None:
        """Hand an event to the app, from another thread than the app's."""
        self._on_the_way += 1
        sent = asyncio.run_coroutine_threadsafe(self._app._post_message(message), loop=self._loop)
        sent.add_done_callback(self._arrived)

    def _arrived(self, _: object) -> None:
        self._on_the_way -= 1

    def pending(self) -> int:
        """How many events wait: on the way, at the app, at its screen, at what has the keys."""
        count = self._on_the_way + self._app.message_queue_size
        try:
            screen = self._app.screen
        except ScreenStackError:
            return count
        count += screen.message_queue_size
        return count + (0 if screen.focused is None else screen.focused.message_queue_size)
