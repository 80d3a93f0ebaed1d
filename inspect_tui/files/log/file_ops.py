"""The file under a session log: made, opened, read, closed, each fault of the disk in words.

`log` alone uses it.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

from inspect_tui.errors import AlreadyThere, NotSaved
from inspect_tui.files.disk import (
    flush_folder,
    make_folder,
    open_flags,
    open_plain,
    reason_in_words,
    write_all,
)
from inspect_tui.files.log.reader import ReadResult, read_through
from inspect_tui.files.new_file import NewFile, put_aside


def folder_for(folder: Path) -> None:
    """The folder of a log, private to its owner. Raises NotSaved."""
    try:
        make_folder(folder)
    except OSError as error:
        raise NotSaved(f"The folder {folder} can't be made: {reason_in_words(error)}.") from error


def new_file(path: Path, data: bytes) -> int:
    """A new log that holds these bytes, lasting; its descriptor. Raises AlreadyThere, NotSaved."""
    try:
        file = NewFile(path)
    except OSError as error:
        raise NotSaved(f"{path} can't be made: {reason_in_words(error)}.") from error
    try:
        file.write(data)
        file.put(replace=False)
    except BaseException as error:
        file.discard()
        if isinstance(error, FileExistsError):
            raise AlreadyThere(
                f"There is a log {path.name} already; it is never written over."
            ) from None
        if not isinstance(error, OSError):
            raise
        raise NotSaved(f"{path.name} was not saved: {reason_in_words(error)}.") from error
    return file.descriptor


def let_go(descriptor: int) -> OSError | None:
    """Close a file; what the disk said against it. The system has closed it all the same."""
    try:
        os.close(descriptor)
    except OSError as error:
        return error
    return None


def existing_file(path: Path) -> int:
    """The descriptor of a log that is there, for appending. Raises NotSaved."""
    try:
        return open_plain(path, open_flags())
    except OSError as error:
        raise NotSaved(f"{path} can't be written: {reason_in_words(error)}.") from error


def all_of(descriptor: int, path: Path) -> bytes:
    """Every byte of an open log. Raises NotSaved."""
    with _from_its_start(descriptor, path) as file:
        return file.read()


def through(descriptor: int, path: Path) -> ReadResult:
    """What an open log holds. Raises NotSaved; BadInput where it is no session log."""
    with _from_its_start(descriptor, path) as file:
        return read_through(file, path.name)


@contextlib.contextmanager
def _from_its_start(descriptor: int, path: Path) -> Iterator[BinaryIO]:
    try:
        with os.fdopen(os.dup(descriptor), "rb") as file:
            file.seek(0)
            yield file
    except OSError as error:
        raise NotSaved(f"{path} can't be read: {reason_in_words(error)}.") from error


def add_to(aside: Path, torn: bytes) -> str:
    """Put bytes at the end of the file beside a log, lasting.

    What stands there and is no plain file (a link, a pipe, a folder) is renamed, never written.

    Returns:
        The name that it was given, if anything was in the way.

    Raises:
        OSError: as the system says it.
    """
    was_there = put_aside(aside)
    descriptor = open_plain(aside, open_flags() | os.O_CREAT)
    try:
        length = os.fstat(descriptor).st_size
        try:
            write_all(descriptor, torn)
            os.fsync(descriptor)
        except OSError:
            os.ftruncate(descriptor, length)
            raise
        flush_folder(aside.parent)
    finally:
        os.close(descriptor)
    return was_there
