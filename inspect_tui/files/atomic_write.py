"""Writing a file that a person named, whole or not at all, and never over what isn't ours."""

from __future__ import annotations

import errno
import os
import stat
import time
from collections.abc import Callable
from pathlib import Path

from inspect_tui.errors import BadInput, NotSaved
from inspect_tui.files.disk import (
    bytes_of,
    is_folder,
    kind_in_words,
    reason_in_words,
    write_all,
)
from inspect_tui.files.new_file import sweep, write_new

WAIT_FOR_READER = 10.0
"""Seconds for which a pipe may have nobody who reads it."""
_PAUSE = 0.02
_LOG = b"[[entry]]"


def anything(_: bytes) -> bool:
    """For a place that is ours: whatever stands there may be written over."""
    return True


def write(path: Path, data: bytes, may_replace: Callable[[bytes], bool]) -> None:
    """Write the file by way of a new one beside it, so that a full disk leaves the old one.

    A pipe or a device is written to; a link is followed to its file.

    Args:
        path: Where.
        data: What.
        may_replace: Whether a file with this content may be written over; an empty one always, a
            session log never.

    Raises:
        BadInput: the place can't be a file, or holds one that stays.
        NotSaved: the disk did not take it, or nobody reads the pipe.
    """
    linked = False
    try:
        linked = path.is_symlink()
        mode = path.stat().st_mode
    except FileNotFoundError:
        mode = stat.S_IFREG
    except (OSError, ValueError) as error:
        why = reason_in_words(error) if isinstance(error, OSError) else "it is no name"
        raise BadInput(f"'{path}' can't be written: {why}.") from None
    if stat.S_ISFIFO(mode) or stat.S_ISCHR(mode):
        _write_to(path, data)
        return
    place = Path(os.path.realpath(path)) if linked else path
    if stat.S_ISDIR(mode) or not is_folder(place.parent):
        raise BadInput(f"'{path}' can't be written: its folder is missing or it is a folder.")
    if not stat.S_ISREG(mode):
        raise BadInput(f"'{path}' can't be written: it is {kind_in_words(mode)}.")
    _spare(place, may_replace)
    try:
        sweep(place.parent, place)
        write_new(place, data, replace=True)
    except OSError as error:
        raise NotSaved(f"'{path}' was not written: {reason_in_words(error)}.") from error


def _spare(path: Path, may_replace: Callable[[bytes], bool]) -> None:
    if not os.path.lexists(path):
        return
    there = bytes_of(path, "file")
    if there.startswith(_LOG):
        raise BadInput(f"'{path}' is a session log; name another file.")
    if there and not may_replace(there):
        raise BadInput(
            f"'{path}' holds something that this program did not export, so it stays.",
            "Name another file, or move it away.",
        )


def _write_to(path: Path, data: bytes) -> None:
    """Write to a pipe or a device, as it is."""
    try:
        descriptor = _open_for(path)
        try:
            os.set_blocking(descriptor, True)
            write_all(descriptor, data)
        finally:
            os.close(descriptor)
    except OSError as error:
        raise NotSaved(f"'{path}' was not written: {reason_in_words(error)}.") from error


def _open_for(path: Path) -> int:
    """Open it, and wait a little for whoever reads the pipe."""
    begun = time.monotonic()
    while True:
        try:
            return os.open(path, os.O_WRONLY | os.O_NONBLOCK | os.O_NOCTTY | os.O_CLOEXEC)
        except OSError as error:
            if error.errno != errno.ENXIO:
                raise
        if time.monotonic() - begun >= WAIT_FOR_READER:
            raise OSError(errno.EPIPE, os.strerror(errno.EPIPE))
        time.sleep(_PAUSE)
