"""The lock of a log, and beside it a line about who holds it.

The operating system gives the lock back when its owner ends, however that happens, so that a
lock file left behind means nothing.
"""

from __future__ import annotations

import contextlib
import getpass
import os
import platform
from datetime import UTC, datetime
from pathlib import Path

from inspect_tui.errors import NotSaved, Refused
from inspect_tui.files.disk import companion, reason_in_words

_LONGEST_OWNER = 300


class LogLock:
    """The lock of one log, held from `take` until `give_back`."""

    def __init__(self, log: Path) -> None:
        """Name the files; nothing is taken yet."""
        # Late: a tenth of the program's start, and whoever only reads needs no lock.
        from filelock import FileLock

        self._log = log
        self._owner = companion(log, ".owner")
        # Taken in one thread and given back in another: the app saves beside its event loop.
        self._lock = FileLock(companion(log, ".lock"), mode=0o600, thread_local=False)

    def take(self, wait: float) -> None:
        """Take the lock, waiting at most that many seconds.

        Raises:
            Refused: another program holds it.
            NotSaved: no lock can be made there.
        """
        from filelock import Timeout

        try:
            self._lock.acquire(timeout=wait)
        except Timeout:
            raise Refused(
                f"{self._log.name} is being written by {self._who()}.",
                "Close it there first.",
            ) from None
        except OSError as error:
            raise NotSaved(
                f"{self._log.name} can't be locked for writing in {self._log.parent}: "
                f"{reason_in_words(error)}."
            ) from error
        with contextlib.suppress(OSError):  # the name is a courtesy; the lock itself holds
            self._owner.write_text(_this_program(), encoding="utf-8")
            self._owner.chmod(0o600)

    def give_back(self) -> None:
        """Give the lock back. Safe to call twice."""
        if not self._lock.is_locked:
            return
        with contextlib.suppress(OSError):
            self._owner.unlink()
        self._lock.release()

    def _who(self) -> str:
        try:
            with self._owner.open(encoding="utf-8", errors="replace") as file:
                said = file.read(_LONGEST_OWNER)
        except OSError:
            said = ""
        shown = "".join(sign if sign.isprintable() else " " for sign in said).strip()
        return shown or "another program"


def _this_program() -> str:
    try:
        user = getpass.getuser()
    except (OSError, KeyError, ImportError):  # no name for this user number, as in containers
        user = "unknown"
    since = datetime.now(UTC).isoformat(timespec="seconds")
    return f"process {os.getpid()} of {user} on {platform.node() or 'this computer'} since {since}"
