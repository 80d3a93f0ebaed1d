"""The operating system's own lock on a file: it goes with the process, however that ends."""

from __future__ import annotations

import contextlib
import errno
import os
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any

from inspect_tui.files.disk import open_plain

if TYPE_CHECKING:
    from filelock import BaseFileLock

fcntl: Any = None
with contextlib.suppress(ImportError):  # Windows has none
    import fcntl

_PAUSE = 0.05
"""Seconds between two tries."""
_HELD = frozenset({errno.EACCES, errno.EAGAIN, errno.EWOULDBLOCK})


class SystemLock:
    """A lock on one file, which stays where it is; taken in one thread, given back in any."""

    def __init__(self, path: Path) -> None:
        """Name the file; nothing is taken yet."""
        self._path = path
        self._descriptor: int | None = None
        self._process = 0

    def __del__(self) -> None:
        """Give back what nobody can give back any more."""
        self.release()

    @property
    def is_held(self) -> bool:
        """Whether it is taken, by this object."""
        return self._descriptor is not None

    def acquire(self, wait: float) -> bool:
        """Take it, waiting at most that many seconds; whether it could be had.

        Raises:
            OSError: as the system says it, where there are no locks too.
        """
        until = time.monotonic() + wait
        while not self._take():
            if time.monotonic() >= until:
                return False
            time.sleep(_PAUSE)
        return True

    def _take(self) -> bool:
        descriptor = open_plain(self._path, os.O_RDWR | os.O_CREAT)
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
            if not _is_at(descriptor, self._path):
                os.close(descriptor)  # it was deleted meanwhile: another file is the lock now
                return False
        except OSError as error:
            os.close(descriptor)
            if error.errno in _HELD:
                return False
            raise
        self._descriptor, self._process = descriptor, os.getpid()
        return True

    def release(self) -> None:
        """Give it back; safe to call twice. Raises OSError."""
        descriptor, self._descriptor = self._descriptor, None
        if descriptor is None:
            return
        try:
            # A process that was split off has the same lock: it only puts its copy away.
            if self._process == os.getpid():
                fcntl.flock(descriptor, fcntl.LOCK_UN)
        finally:
            os.close(descriptor)


class PortableLock:
    """The same where the system has other locks, by a library that knows them."""

    def __init__(self, path: Path) -> None:
        """Name the file; nothing is taken yet."""
        # Late: a tenth of the program's start, and of no use where the system has `flock`.
        from filelock import FileLock

        self._lock: BaseFileLock = FileLock(
            path, mode=0o600, thread_local=False, fallback_to_soft=False
        )

    @property
    def is_held(self) -> bool:
        """Whether it is taken, by this object."""
        return bool(self._lock.is_locked)

    def acquire(self, wait: float) -> bool:
        """As of `SystemLock`."""
        from filelock import Timeout

        try:
            self._lock.acquire(timeout=wait)
        except Timeout:
            return False
        except NotImplementedError as error:  # what the library makes of ENOSYS
            raise OSError(errno.ENOSYS, os.strerror(errno.ENOSYS)) from error
        return True

    def release(self) -> None:
        """As of `SystemLock`."""
        self._lock.release()


def system_lock(path: Path) -> SystemLock | PortableLock:
    """The lock that this system has; both kinds know each other's."""
    return PortableLock(path) if fcntl is None else SystemLock(path)


def _is_at(descriptor: int, path: Path) -> bool:
    try:
        return os.path.samestat(os.fstat(descriptor), os.lstat(path))
    except FileNotFoundError:
        return False
