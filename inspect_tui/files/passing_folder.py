"""A private folder for files in passing, gone at the end.

What a program that was killed left is known by the lock on its folder, which the system gave back,
and is swept by the next one that wants such a folder.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import stat
import tempfile
from collections.abc import Iterator
from pathlib import Path

try:
    import fcntl
except ImportError:  # Windows, where what was left stays
    fcntl = None  # type: ignore[assignment]

_BEGINS = "inspect-tui-passing-"
_OPENS = os.O_RDONLY | getattr(os, "O_DIRECTORY", 0) | getattr(os, "O_NOFOLLOW", 0)


@contextlib.contextmanager
def passing_folder() -> Iterator[Path]:
    """A new folder where this computer keeps such, for this user alone (0700).

    Raises:
        OSError: as the system says it.
    """
    _sweep()
    with contextlib.ExitStack() as held:
        yield _made(held)


def _made(held: contextlib.ExitStack) -> Path:
    while True:
        folder = Path(held.enter_context(tempfile.TemporaryDirectory("", _BEGINS)))
        if fcntl is None:
            return folder
        with contextlib.suppress(FileNotFoundError):  # swept before it was locked: another one
            descriptor = os.open(folder, _OPENS)
            held.callback(os.close, descriptor)
            fcntl.flock(descriptor, fcntl.LOCK_EX)
            if os.path.samestat(os.fstat(descriptor), folder.lstat()):
                return folder


def _sweep() -> None:
    """Delete those of this user that no program holds; silent."""
    if fcntl is None:
        return
    for folder in Path(tempfile.gettempdir()).glob(f"{_BEGINS}*"):
        with contextlib.suppress(OSError):
            descriptor = os.open(folder, _OPENS)
            try:
                found = os.fstat(descriptor)
                if found.st_uid == os.getuid() and stat.S_IMODE(found.st_mode) == stat.S_IRWXU:
                    fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
                    shutil.rmtree(folder)
            finally:
                os.close(descriptor)
