"""The lock of a log, and beside it a line about who holds it.

The operating system gives its lock back when the owner ends, however that happens, so that a
lock file left behind means nothing. Where a disk has no locks (some network folders and sticks) a
file `NAME.held` stands for one: made in one step, with its owner's name; one that was left by a
program that runs no more on this computer is recognised and taken over.
"""

from __future__ import annotations

import contextlib
import errno
import getpass
import os
import platform
import re
import stat
import time
from datetime import UTC, datetime
from pathlib import Path

from inspect_tui.errors import AlreadyThere, NotSaved, Refused
from inspect_tui.files.disk import (
    NOT_THERE,
    companion,
    kind_in_words,
    open_flags,
    open_plain,
    reason_in_words,
)
from inspect_tui.files.log.file_ops import folder_for
from inspect_tui.files.log.system_lock import system_lock
from inspect_tui.files.new_file import sweep

_LONGEST_OWNER = 300
_LONGEST_NAME = 100
_NO_LOCKS = NOT_THERE | {errno.ENOLCK, errno.EPERM}
_OWNER = re.compile(r"process (\d+) of .* on (.*) since \S+")
_THERE = "Close it there first: F10 does it."
_PAUSE = 0.05
"""Seconds between two looks at a file that stands for a lock."""
_NAMELESS = 1.0
"""Seconds that one may be empty: its owner's name is written as soon as it is made."""
_held_here: set[Path] = set()
"""Files that stand for a lock and that this process made; its number may have been another's."""


def lock_for_new(path: Path) -> LogLock:
    """The lock of a log that is about to be made, taken; its folder made and swept.

    Raises:
        AlreadyThere: another program is making it.
        NotSaved: the disk did not take the folder.
    """
    folder_for(path.parent)
    sweep(path.parent)
    lock = LogLock(path)
    try:
        lock.acquire(0.0)
    except Refused as error:
        raise AlreadyThere(error.message, error.hint) from None
    return lock


class LogLock:
    """The lock of one log, held from `take` until `give_back`."""

    note: str
    """What a person should know about the lock, one sentence; empty when it is an ordinary one."""

    def __init__(self, log: Path) -> None:
        """Name the files; nothing is taken yet."""
        self.note = ""
        self._log = log
        self._owner = companion(log, ".owner")
        self._held = companion(log, ".held").absolute()
        self._made_at = datetime.now(UTC)
        # Taken in one thread and given back in another: the app saves beside its event loop.
        self._lock = system_lock(companion(log, ".lock"))

    def acquire(self, wait: float) -> None:
        """Take the lock, waiting at most that many seconds.

        Raises:
            Refused: another program holds it.
            NotSaved: no lock can be made there.
        """
        self._wants_plain()
        try:
            taken = self._lock.acquire(wait)
        except OSError as error:
            if error.errno not in _NO_LOCKS:
                raise self._not_locked(error) from error
            self._take_by_a_file(wait)
        else:
            if not taken:
                raise Refused(
                    f"{self._log.name} is being written by another program.",
                    f"{_THERE}{_known(_said(self._owner))}",
                )
            self._look_at_others()
        with contextlib.suppress(OSError):  # the name is a courtesy; the lock itself holds
            self._say_who()

    def _say_who(self) -> None:
        """Put this program's line beside the log; a link that stands there is never followed."""
        fresh = companion(self._log, ".owner-new")  # by the lock, nobody else makes one
        fresh.unlink(missing_ok=True)
        line = _this_program(datetime.now(UTC)).encode("utf-8", "replace")
        descriptor = os.open(fresh, open_flags() | os.O_CREAT | os.O_EXCL, 0o600)
        try:
            with os.fdopen(descriptor, "wb") as file:
                file.write(line)
            fresh.replace(self._owner)
        except BaseException:
            fresh.unlink(missing_ok=True)
            raise

    def _wants_plain(self) -> None:
        """A lock on a pipe or behind a link would be no lock on this log."""
        path = companion(self._log, ".lock")
        with contextlib.suppress(OSError):
            mode = path.lstat().st_mode
            if not stat.S_ISREG(mode):
                raise NotSaved(
                    f"{self._log.name} can't be locked for writing: {path} is "
                    f"{kind_in_words(mode)}, and no plain file.",
                    "Move it away.",
                )

    def release(self) -> None:
        """Give the lock back. Safe to call twice."""
        stands_for_it = self._held in _held_here
        if not self._lock.is_held and not stands_for_it:
            return
        with contextlib.suppress(OSError):
            self._owner.unlink()
        if stands_for_it:
            _held_here.discard(self._held)
            with contextlib.suppress(OSError):
                self._held.unlink()
            return
        with contextlib.suppress(OSError):  # then it goes with the process
            self._lock.release()

    def _not_locked(self, error: OSError) -> NotSaved:
        return NotSaved(
            f"{self._log.name} can't be locked for writing in {self._log.parent}: "
            f"{reason_in_words(error)}."
        )

    def _look_at_others(self) -> None:
        """A program on another computer may hold what this computer's lock doesn't see."""
        for file, left in ((self._held, "delete"), (self._owner, "")):
            said = _said(file)
            if not said or _on_this_computer(said):
                continue
            self.note = (
                f"{self._log.name} may be open on another computer: {file.name} names "
                f"{_shown(said)}. If it is, close it there before anything is recorded here."
            )
            if left:
                self.note += f" If it isn't, delete {file.name}."
            return

    def _take_by_a_file(self, wait: float) -> None:
        """Make `NAME.held`, or wait until its owner has taken it away."""
        begun = time.monotonic()
        nameless_since: float | None = None
        taken_over = ""
        while not (self._made() and (not taken_over or self._still_ours())):
            said = _said(self._held)
            looked = time.monotonic()
            waited = looked - begun
            if not _is_empty(self._held):
                nameless_since = None
            elif nameless_since is None:
                nameless_since = looked
            nameless = nameless_since is not None and looked - nameless_since >= _NAMELESS
            if nameless or _left_behind(said, self._held):
                nameless_since = None
                taken_over = f" It was left by {_shown(said)}, which runs no more."
                with contextlib.suppress(OSError):
                    self._held.unlink()
                continue
            if waited >= wait:
                raise Refused(
                    f"{self._log.name} is being written by another program.",
                    f"{_THERE}{_known(said)} If no program has it open, delete {self._held}.",
                )
            time.sleep(_PAUSE)
        self.note = (
            f"The disk of {self._log.parent} has no locks, so the file {self._held.name} stands "
            "for one: before this log is opened on another computer, close it here." + taken_over
        )

    def _still_ours(self) -> bool:
        """Whether nobody who found the same file left behind took away the one made since."""
        time.sleep(2 * _PAUSE)
        if _said(self._held) == _this_program(self._made_at):
            return True
        _held_here.discard(self._held)
        return False

    def _made(self) -> bool:
        self._made_at = datetime.now(UTC)
        line = _this_program(self._made_at)
        try:
            descriptor = os.open(self._held, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        except FileExistsError:
            return False
        except OSError as error:
            raise self._not_locked(error) from error
        try:
            with os.fdopen(descriptor, "wb") as file:
                file.write(line.encode("utf-8"))
        except OSError as error:
            with contextlib.suppress(OSError):
                self._held.unlink()
            raise self._not_locked(error) from error
        _held_here.add(self._held)
        return True


def _said(file: Path) -> str:
    """The line about who holds a log; "" where there is none."""
    try:
        with os.fdopen(open_plain(file, os.O_RDONLY), "rb") as opened:
            return opened.read(_LONGEST_OWNER).decode("utf-8", "replace")
    except OSError:
        return ""


def _is_empty(file: Path) -> bool:
    """Whether it is there without a name in it; one that may not be read has an owner."""
    try:
        found = file.lstat()
        return stat.S_ISREG(found.st_mode) and found.st_size == 0
    except OSError:
        return False


def _known(said: str) -> str:
    """Which program it is, as a sentence behind another; "" where that isn't known."""
    return f" It is {_shown(said)}." if said else ""


def _shown(said: str) -> str:
    shown = "".join(sign if sign.isprintable() else " " for sign in said).strip()
    return shown or "another program"


def _on_this_computer(said: str) -> bool:
    """Whether the line names this computer; one that names none counts as its own."""
    found = _OWNER.match(said)
    return found is None or found[2] == _computer()


def _left_behind(said: str, held: Path) -> bool:
    """Whether the program that the line names runs no more, as far as can be known here."""
    found = _OWNER.match(said)
    if found is None or found[2] != _computer():
        return False
    number = int(found[1])
    if number == os.getpid():
        return held not in _held_here
    try:
        os.kill(number, 0)
    except (ProcessLookupError, OverflowError):
        return True
    except OSError:  # it runs, as somebody else's
        return False
    return False


def _computer() -> str:
    return _name(platform.node()) or "this computer"


def _this_program(since: datetime) -> str:
    try:
        user = _name(getpass.getuser())
    except (OSError, KeyError, ImportError):  # no name for this user number, as in containers
        user = "unknown"
    begun = since.isoformat(timespec="seconds")
    return f"process {os.getpid()} of {user} on {_computer()} since {begun}"


def _name(name: str) -> str:
    """A name as it can stand in one line and be read back as it was written."""
    return "".join(sign if sign.isprintable() else "?" for sign in name[:_LONGEST_NAME])
