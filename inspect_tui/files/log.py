"""The session log: append, read, verify. The only module that writes session files.

Format: see `core/entries.py` and DEVELOPERS.md. A block begins with the line `[[entry]]` and ends
with the newline before its own seal line; seal = SHA-256 hex of (previous seal's 64 hex
characters, nothing for the first) + the block's bytes.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from types import TracebackType

from inspect_tui.core.entries import AFTER_SIGNED, Entry
from inspect_tui.errors import BadInput, NotSaved, Refused
from inspect_tui.files.disk import (
    companion,
    flush_folder,
    is_file,
    open_flags,
    reason_in_words,
    write_all,
)
from inspect_tui.files.lock import LogLock
from inspect_tui.files.log_blocks import block, entry_of, has_time, seal_line, seal_of
from inspect_tui.files.log_reading import Contents, contents_of, read

__all__ = ["Contents", "Writer", "block", "read"]

_AFTER_FAILURE = "the disk failed before; close the session and open it again"


class Writer:
    """The one writer of a log, holding its lock from `open` until `close`.

    Opening moves a torn tail to the end of `NAME.torn` (fsynced before the log is cut back) and
    keeps what it did in `mended` for the person to be told.
    """

    mended: str
    """What opening did with a torn tail, one sentence; empty when there was none."""
    clock_note: str
    """Said when this computer's clock is behind the log; empty otherwise."""
    contents: Contents
    """The log as it was read at opening, without what was appended since."""

    def __init__(self, path: Path, lock: LogLock, descriptor: int, contents: Contents) -> None:
        """Of `create` and `open`; the lock is held already."""
        self.path = path
        self.contents = contents
        self.mended = ""
        self.clock_note = ""
        self._lock = lock
        self._descriptor = descriptor
        self._length = 0
        self._count = 0
        self._seal = b""
        self._latest: datetime | None = None
        self._signed = False
        self._unusable = ""
        self._one_at_a_time = threading.Lock()
        for entry in contents.entries:
            self._count_in(entry)

    @classmethod
    def create(cls, path: Path, first: Entry) -> Writer:
        """A new log with its `opened` entry; never over an existing file.

        Raises:
            Refused: a file of that name exists, or another program is making it.
            NotSaved: the disk did not take it; nothing is left behind.
        """
        data, sealed = _sealed(replace(first, n=0), b"")
        if first.kind != "opened":
            raise BadInput(f"A log begins with an 'opened' entry, not '{first.kind}'.")
        _make_folder(path.parent)
        lock = LogLock(path)
        lock.take(0.0)
        try:
            descriptor = _new_file(path, data)
        except BaseException:
            lock.give_back()
            raise
        writer = cls(path, lock, descriptor, Contents((sealed,), b"", ()))
        writer._length = len(data)
        return writer

    @classmethod
    def open(cls, path: Path, wait: float = 2.0, despite_broken: bool = False) -> Writer:
        """An existing log for appending.

        Args:
            path: The log.
            wait: How long another program may still hold the lock, in seconds.
            despite_broken: Go on after entries that don't verify; the person was asked.

        Raises:
            Refused: another program holds the lock (its owner named), or the log is broken.
            BadInput: no such session.
            NotSaved: it can't be opened for writing, or its torn tail can't be put aside.
        """
        if not is_file(path):
            raise BadInput(f"There is no log {path}.")
        # A log has one lock, by whatever link it is reached.
        path = path.resolve()
        lock = LogLock(path)
        lock.take(wait)
        descriptor = -1
        try:
            descriptor = _existing_file(path)
            data = _all_of(descriptor, path)
            contents = contents_of(data, path.name)
            if contents.problems and not despite_broken:
                more = len(contents.problems) - 1
                raise Refused(
                    f"{path.name} doesn't verify, so nothing is added to it: "
                    f"{contents.problems[0]}",
                    f"There {'is' if more == 1 else 'are'} {more} more." if more else "",
                )
            writer = cls(path, lock, descriptor, contents)
            writer._length = len(data)
            if contents.torn:
                writer._put_torn_aside()
            return writer
        except BaseException:
            if descriptor >= 0:
                os.close(descriptor)
            lock.give_back()
            raise

    def append(
        self, entries: Sequence[Entry], following: Callable[[Entry], Entry] | None = None
    ) -> tuple[Entry, ...]:
        """Write the entries in one write and flush them to the disk, then return them sealed.

        Their `n` is set here. An `at` earlier than the entry before gets that one's time, with
        the clock's own in the key `clock`, so that time never runs backwards in a log.

        Args:
            entries: What is recorded, in order.
            following: Makes one more entry of the last one as it is sealed (a signature over its
                seal), for the same write; what it raises leaves the log as it was.

        Raises:
            NotSaved: the disk did not take them; the file is then cut back to where it was if
                that can be done.
            Refused: the log is signed, and the entry is none that may follow.
            BadInput: a value that a log can't hold.
        """
        with self._one_at_a_time:
            self._check_usable()
            chunks: list[bytes] = []
            done: list[Entry] = []
            seal, latest, signed = self._seal, self._latest, self._signed
            for entry in _due(entries, following, done):
                if signed and entry.kind not in AFTER_SIGNED:
                    raise Refused(
                        f"{self.path.name} is signed; '{entry.kind}' can't be recorded in it.",
                        "An addendum can.",
                    )
                entry = self._in_time(replace(entry, n=self._count + len(done)), latest)
                data, sealed = _sealed(entry, seal)
                chunks.append(data)
                done.append(sealed)
                seal, latest = sealed.seal.encode(), sealed.at
                signed = signed or entry.kind == "signed"
            if chunks:
                self._write(b"".join(chunks))
            for entry in done:
                self._count_in(entry)
            return tuple(done)

    def extend(self, whole: bytes) -> int:
        """Take over what a longer copy of this log has after these entries; how many entries.

        Args:
            whole: The bytes of that copy.

        Raises:
            Refused: it doesn't verify, or doesn't begin with this log, byte for byte.
            NotSaved: the disk did not take it; the log is then as it was.
        """
        with self._one_at_a_time:
            self._check_usable()
            contents = contents_of(whole, self.path.name)
            here = _all_of(self._descriptor, self.path)
            if not contents.whole or not whole.startswith(here):
                raise Refused(f"{self.path.name} is not the beginning of the other copy.")
            if len(whole) > len(here):
                self._write(whole[len(here) :])
            fresh = contents.entries[self._count :]
            for entry in fresh:
                self._count_in(entry)
            return len(fresh)

    def close(self) -> None:
        """Give the lock back. Safe to call twice."""
        with self._one_at_a_time:
            if self._descriptor >= 0:
                os.close(self._descriptor)
                self._descriptor = -1
            self._lock.give_back()

    def __enter__(self) -> Writer:
        """The open log."""
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Give the lock back."""
        self.close()

    def _count_in(self, entry: Entry) -> None:
        self._count = max(self._count, entry.n + 1)  # of a broken log, no number twice
        self._seal = entry.seal.encode() or self._seal
        self._signed = self._signed or entry.kind == "signed"
        if entry.sound and has_time(entry):
            self._latest = entry.at

    def _in_time(self, entry: Entry, latest: datetime | None) -> Entry:
        if latest is None or entry.at.utcoffset() is None:
            return entry
        if entry.at.replace(microsecond=0) >= latest:
            return entry
        self.clock_note = (
            f"This computer's clock says {entry.at.isoformat(timespec='seconds')}, earlier than "
            f"the last entry of {self.path.name} ({latest.isoformat()}); set the clock. The entry "
            "gets the later time, with the clock's own beside it."
        )
        return replace(entry, at=latest, keys={**entry.keys, "clock": entry.at})

    def _check_usable(self) -> None:
        if self._unusable:
            raise NotSaved(f"Nothing more is saved in {self.path.name}: {self._unusable}.")
        if self._descriptor < 0:
            raise NotSaved(f"{self.path.name} is closed; nothing can be saved in it.")
        try:
            here, there = os.fstat(self._descriptor), self.path.stat()
        except OSError as error:
            raise NotSaved(
                f"Not saved: {self.path} can't be found any more: {reason_in_words(error)}."
            ) from error
        same = (here.st_dev, here.st_ino) == (there.st_dev, there.st_ino)
        if not same or here.st_size != self._length:
            raise NotSaved(
                f"Not saved: another program has changed {self.path.name} while it was open here.",
                "Close the session and open it again.",
            )

    def _write(self, data: bytes) -> None:
        flushing = False
        try:
            write_all(self._descriptor, data)
            flushing = True
            os.fsync(self._descriptor)
        except BaseException as error:
            self._cut_back()
            if not isinstance(error, OSError):
                raise
            if flushing:
                # After a failed flush the system may have dropped what it held of the file; only
                # reading it again tells what is there.
                self._unusable = _AFTER_FAILURE
            raise NotSaved(f"Not saved in {self.path.name}: {reason_in_words(error)}.") from error
        self._length += len(data)

    def _cut_back(self) -> None:
        try:
            os.ftruncate(self._descriptor, self._length)
            os.fsync(self._descriptor)
        except OSError:
            self._unusable = _AFTER_FAILURE

    def _put_torn_aside(self) -> None:
        torn = self.contents.torn
        aside = companion(self.path, ".torn")
        kept = self._length - len(torn)
        try:
            _add_to(aside, torn)
            os.ftruncate(self._descriptor, kept)
            os.fsync(self._descriptor)
        except OSError as error:
            raise NotSaved(
                f"The torn end of {self.path.name} can't be moved to {aside.name}: "
                f"{reason_in_words(error)}."
            ) from error
        self._length = kept
        self.mended = (
            f"The end of {self.path.name} was torn in the middle of an entry; those {len(torn)} "
            f"bytes were moved to {aside.name}. Nothing else was lost."
        )


def bring_in(path: Path, whole: bytes) -> None:
    """A log that came from elsewhere, as it is; never over an existing file.

    Raises:
        Refused: it doesn't verify, or a file of that name exists.
        NotSaved: the disk did not take it; nothing is left behind.
    """
    if not contents_of(whole, path.name).whole:
        raise Refused(f"{path.name} doesn't verify, so it is not taken.")
    _make_folder(path.parent)
    lock = LogLock(path)
    lock.take(0.0)
    try:
        os.close(_new_file(path, whole))
    finally:
        lock.give_back()


def give_way(path: Path, known: bytes, whole: bytes) -> Path:
    """Put a copy that carries this log whole in its place; this one is kept beside it.

    Args:
        path: The log.
        known: Its bytes as they were compared with the copy.
        whole: The copy.

    Returns:
        The file that now holds what stood here.

    Raises:
        Refused: another program holds the log or has changed it, or the copy doesn't verify.
        NotSaved: the disk did not take it; the log is then as it was.
    """
    if not contents_of(whole, path.name).whole:
        raise Refused(f"{path.name} doesn't verify, so it is not taken.")
    with Writer.open(path) as writer:
        path = writer.path
        if _all_of(writer._descriptor, path) != known:
            raise Refused(f"{path.name} was written meanwhile.", "Do it again.")
        aside = companion(path, f".before-{writer._seal.decode()[:16]}")
        fresh = companion(path, ".joining")
        fresh.unlink(missing_ok=True)
        try:
            if not is_file(aside):
                os.close(_new_file(aside, known))
            os.close(_new_file(fresh, whole))
            fresh.replace(path)
            flush_folder(path.parent)
        except OSError as error:
            raise NotSaved(f"{path.name} was not saved: {reason_in_words(error)}.") from error
        finally:
            fresh.unlink(missing_ok=True)
    return aside


def _due(
    entries: Sequence[Entry], following: Callable[[Entry], Entry] | None, done: Sequence[Entry]
) -> Iterator[Entry]:
    """The entries to write; the one that follows is made once the last of them is sealed."""
    yield from entries
    if following is not None:
        yield following(done[-1])


def _sealed(entry: Entry, previous: bytes) -> tuple[bytes, Entry]:
    """The bytes of an entry with its seal line, and the entry as they will be read back."""
    data = block(entry)
    back, faults = entry_of(data)
    if faults:
        raise BadInput(f"This '{entry.kind}' entry can't be recorded: it {faults[0]}.")
    seal = seal_of(previous, data)
    return data + seal_line(seal), replace(back, seal=seal)


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise NotSaved(f"The folder {folder} can't be made: {reason_in_words(error)}.") from error


def _new_file(path: Path, data: bytes) -> int:
    try:
        descriptor = os.open(path, open_flags() | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        raise Refused(f"There is a log {path.name} already; it is never written over.") from None
    except OSError as error:
        raise NotSaved(f"{path} can't be made: {reason_in_words(error)}.") from error
    try:
        write_all(descriptor, data)
        os.fsync(descriptor)
        flush_folder(path.parent)
    except BaseException as error:
        os.close(descriptor)
        path.unlink(missing_ok=True)
        if not isinstance(error, OSError):
            raise
        raise NotSaved(f"{path.name} was not saved: {reason_in_words(error)}.") from error
    return descriptor


def _existing_file(path: Path) -> int:
    try:
        return os.open(path, open_flags())
    except OSError as error:
        raise NotSaved(f"{path} can't be written: {reason_in_words(error)}.") from error


def _all_of(descriptor: int, path: Path) -> bytes:
    try:
        with os.fdopen(os.dup(descriptor), "rb") as file:
            file.seek(0)
            return file.read()
    except OSError as error:
        raise NotSaved(f"{path} can't be read: {reason_in_words(error)}.") from error


def _add_to(aside: Path, torn: bytes) -> None:
    descriptor = os.open(aside, open_flags() | os.O_CREAT, 0o600)
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
