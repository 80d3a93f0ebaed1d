"""What a terminal sends, read so that nothing it may send ends the program or lets it run on.

Textual's own reading thread ends, and the app with it, at bytes that are no UTF-8 (a terminal set
to another character set) and at some reports that its parser does not expect. Here an odd report is
passed over, a byte that is no sign is shown as U+FFFD, and what comes is taken as the app has room
for it (`input_queue`).
"""

from __future__ import annotations

import codecs
import os
import selectors
import time
from collections.abc import Callable

from textual._xterm_parser import XTermParser
from textual.drivers.linux_driver import LinuxDriver
from textual.message import Message

from inspect_tui.tui.driver.input_queue import Intake
from inspect_tui.tui.driver.resilient_parser import Reports
from inspect_tui.tui.driver.sending import SOON, CountingDriver

WAIT = 0.1
"""Seconds between two looks at whether the app ends, and at keys that begin longer ones (Esc)."""
AT_ONCE = 4096
"""Bytes."""


class TerminalDriver(CountingDriver, LinuxDriver):
    """The terminal's driver, with a reading thread of our own."""

    def run_input_thread(self) -> None:
        """Read until the app ends or the terminal is gone; `terminal.Line` notices the latter."""
        decode = codecs.getincrementaldecoder("utf-8")(errors="replace").decode
        intake = intake_of(self._debug, self.process_message, self.pending)
        with selectors.SelectSelector() as selector:
            selector.register(self.fileno, selectors.EVENT_READ)
            while not self.exit_event.is_set():
                ready = selector.select(SOON if intake.waits else WAIT)
                if ready:
                    try:
                        data = os.read(self.fileno, AT_ONCE)
                    except OSError:
                        return
                    if not data:  # nothing at the other end; not asked again at once
                        self.exit_event.wait(WAIT)
                    intake.arrived(decode(data))
                intake.work()


def intake_of(
    debug: bool, deliver: Callable[[Message], object], pending: Callable[[], int]
) -> Intake:
    """An intake that reads with Textual's parser."""
    reports = Reports(lambda: XTermParser(debug), deliver)
    return Intake(reports, pending, deliver, time.monotonic)
