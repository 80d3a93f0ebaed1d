"""Whole logs: kept elsewhere, brought in from elsewhere, or giving way to a copy that holds more.

None is ever written over: what stood in a place is kept beside it.
"""

from __future__ import annotations

import contextlib
from collections.abc import Sequence
from pathlib import Path

from inspect_tui.core.model.log_entry import Entry
from inspect_tui.errors import BadInput, NotSaved, Refused
from inspect_tui.files.disk import bytes_of, companion, is_plain_file, reason_in_words
from inspect_tui.files.log.block import block, seal_line
from inspect_tui.files.log.file_ops import let_go, new_file
from inspect_tui.files.log.lock import lock_for_new
from inspect_tui.files.log.reader import contents_of
from inspect_tui.files.log.writer import Writer
from inspect_tui.files.new_file import put_aside, write_new


def bytes_held(path: Path, entries: Sequence[Entry]) -> bytes:
    """The bytes of these entries: of the log where it still holds them, else made of them anew.

    Raises:
        NotSaved: neither is what was sealed.
    """
    with contextlib.suppress(BadInput):  # the file is gone or can't be read
        data = bytes_of(path, "log")
        found = contents_of(data, path.name)
        if [each.seal for each in found.entries] == [each.seal for each in entries]:
            return data[: len(data) - len(found.torn)]
    made = b"".join(block(each) + seal_line(each.seal) for each in entries)
    if not contents_of(made, path.name).whole:
        raise NotSaved(f"{path} can't be read any more, and what is in memory is no whole log.")
    return made


def import_log(path: Path, whole: bytes) -> None:
    """A log that came from elsewhere, as it is; never over an existing file.

    Raises:
        Refused: it doesn't verify.
        AlreadyThere: a file of that name exists, or another program is making it.
        NotSaved: the disk did not take it; nothing is left behind.
    """
    if not contents_of(whole, path.name).whole:
        raise Refused(f"{path.name} doesn't verify, so it is not received.")
    lock = lock_for_new(path)
    try:
        let_go(new_file(path, whole))
    finally:
        lock.release()


def replace_with_superset(path: Path, known: bytes, whole: bytes) -> Path:
    """Put a copy that carries this log whole in its place; this one is kept beside it.

    Args:
        path: The log.
        known: Its bytes as they were compared with the copy.
        whole: The copy.

    Returns:
        The file that now holds what stood here.

    Raises:
        Refused: another program holds the log or has changed it, or the copy doesn't verify.
        NotSaved: the disk did not take it; the log is then as it was, or where the disk can't
            rename and failed half-way, in the file that the sentence names.
    """
    if not contents_of(whole, path.name).whole:
        raise Refused(f"{path.name} doesn't verify, so it is not received.")
    with Writer.open(path) as writer:
        path = writer.path
        if writer.on_disk() != known:
            raise Refused(f"{path.name} was written meanwhile.", "Do it again.")
        aside = companion(path, f".before-{writer.last_seal[:16]}")
        kept = ""
        try:
            _keep_aside(aside, known)
            kept = f"What stood here is whole in {aside.name}."
            write_new(path, whole, replace=True)
        except OSError as error:
            raise NotSaved(f"{path.name} was not saved: {reason_in_words(error)}.", kept) from error
    return aside


def _keep_aside(aside: Path, known: bytes) -> None:
    """Keep a log's bytes in a file beside it; one that a power cut left in part is made anew."""
    put_aside(aside)
    if is_plain_file(aside):
        there = bytes_of(aside, "log")
        if there == known:
            return
        if known.startswith(there):
            aside.unlink()
    let_go(new_file(aside, known))
