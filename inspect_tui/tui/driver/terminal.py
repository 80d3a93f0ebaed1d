"""The terminal under the app: whether there is one, and noticing when it goes.

A terminal may go with a signal (closed window, SIGTERM) or without one (a lost line where no
signal is delivered); either way the program ends and, where it still can, leaves the screen sane.
"""

from __future__ import annotations

import asyncio
import contextlib
import os
import select
import signal
import sys
import threading
from collections.abc import Callable

from inspect_tui.errors import BadInput

INSTEAD = (
    "Use the commands instead: inspect-tui sessions, new, record, skip, note, decide, status, "
    "sign, export; 'inspect-tui --help' names them all."
)
HANGUP = 128 + 1
GRACE = 2.0
"""Seconds that an orderly end may take once the program was told to end."""


BROWSER = "textual.drivers.web_driver:WebDriver"
"""What the server of a browser's tab says in TEXTUAL_DRIVER."""


def in_browser() -> bool:
    """Whether the app is drawn in a browser, over pipes to its server."""
    return os.environ.get("TEXTUAL_DRIVER") == BROWSER


def check() -> None:
    """Refuse to start where there is no terminal that screens could be drawn on.

    Raises:
        BadInput: one sentence, and the commands to use instead.
    """
    if in_browser():
        return
    if not (sys.stdin is not None and sys.stdin.isatty()):
        raise BadInput("The app needs a terminal to read keys from, and there is none.", INSTEAD)
    shown = sys.__stderr__ is not None and sys.__stderr__.isatty()
    if not (shown and sys.stdout is not None and sys.stdout.isatty()):
        raise BadInput("The app needs a terminal to draw on, and there is none.", INSTEAD)
    if os.environ.get("TERM", "") == "dumb":
        raise BadInput("This terminal (TERM=dumb) can't draw screens.", INSTEAD)


def end_on_signals(leave: Callable[[int], None]) -> None:
    """Leave in order, with status 128 + signal, when the program is told to end."""
    loop = asyncio.get_running_loop()
    for name in ("SIGTERM", "SIGHUP", "SIGINT"):
        number = getattr(signal, name, None)
        if number is not None:
            with contextlib.suppress(NotImplementedError, RuntimeError, ValueError):
                loop.add_signal_handler(number, leave, 128 + int(number))


def end_at_the_latest(status: int) -> None:
    """End the process soon, even if the orderly end hangs on a terminal that is gone.

    Nothing can be lost by it: every entry was flushed to the disk before it was shown.
    """
    watch = threading.Timer(GRACE, os._exit, [status])
    watch.daemon = True
    watch.start()


class Line:
    """The line to the terminal, asked once a second whether it still holds."""

    def __init__(self) -> None:
        self._poll: select.poll | None = None
        if hasattr(select, "poll") and sys.__stdin__ is not None:
            with contextlib.suppress(OSError, ValueError):
                self._poll = select.poll()
                self._poll.register(sys.__stdin__.fileno(), 0)

    def spare_a_lost_terminal(self) -> None:
        """A hangup is followed by a continue signal: it must not start drawing again."""
        number = getattr(signal, "SIGCONT", None)
        if number is None:
            return
        usual = signal.getsignal(number)

        def carry_on(*about: object) -> None:
            if not self.gone() and callable(usual):
                usual(*about)  # type: ignore[arg-type]

        signal.signal(number, carry_on)

    def gone(self) -> bool:
        """Whether the other end has hung up without a signal."""
        if self._poll is None:
            return False
        lost = select.POLLHUP | select.POLLERR | select.POLLNVAL
        return any(state & lost for _, state in self._poll.poll(0))
