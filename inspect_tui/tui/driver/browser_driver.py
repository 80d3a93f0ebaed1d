"""What a browser's tab sends, read so that nothing it may send ends the program or lets it run on.

Textual's web driver ignores the end of its input (the app lived on after its server was killed),
goes deaf at a report that it doesn't expect, and takes any size that a tab claims to have.
"""

from __future__ import annotations

import codecs
from typing import Any

from textual import events, messages
from textual.drivers._byte_stream import ByteStream
from textual.drivers.web_driver import WebDriver, _ExitInput
from textual.message import Message

from inspect_tui.tui.base.camera import PhotoTaken
from inspect_tui.tui.driver import terminal
from inspect_tui.tui.driver.input_driver import WAIT, intake_of
from inspect_tui.tui.driver.sending import SOON, CountingDriver

LARGEST = 500
"""Columns or rows."""


class BrowserDriver(CountingDriver, WebDriver):
    """The driver of an app that a server runs for one tab."""

    def run_input_thread(self) -> None:
        """Read until the app ends, the tab is closed or the server is gone."""
        decode = codecs.getincrementaldecoder("utf-8")(errors="replace").decode
        intake = intake_of(self._debug, self.process_message, self.pending)
        packets = ByteStream()
        try:
            for data in self._input_reader:
                for kind, payload in packets.feed(data) if data else ():
                    if kind == "D":
                        intake.arrived(decode(payload))
                    else:
                        self._on_meta(kind, payload)
                intake.work()
                self._input_reader.timeout = SOON if intake.waits else WAIT
        except _ExitInput:
            return
        finally:
            self._input_reader.close()
            if not self.exit_event.is_set():  # the server is gone
                terminal.end_at_the_latest(terminal.HANGUP)
                self._app.post_message(messages.ExitApp())

    def process_message(self, message: Message) -> None:
        """Hand an event on; a size that no screen has is passed over."""
        if isinstance(message, events.Resize) and max(message.size) > LARGEST:
            return
        super().process_message(message)

    def on_meta(self, kind: str, payload: dict[str, Any]) -> None:
        """What the server says beside the keys: the size, a photo, the end."""
        if kind == "resize":
            sizes = payload.get("width"), payload.get("height")
            if not all(isinstance(each, int) and 1 <= each <= LARGEST for each in sizes):
                return
        if kind == "picture":
            self._app.post_message(PhotoTaken(str(payload.get("path", ""))))
            return
        if kind == "quit":
            terminal.end_at_the_latest(terminal.HANGUP)
        super().on_meta(kind, payload)
