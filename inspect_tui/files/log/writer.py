"""The session log: append, read, verify. With `replace`, all that writes session files.

Format: see `core/model/log_entry.py` and DEVELOPERS.md. A block begins with the line `[[entry]]`
and ends with the newline before its own seal line; seal = SHA-256 hex of (previous seal's 64 hex
characters, nothing for the first) + the block's bytes.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import threading
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from types import TracebackType

from inspect_tui.core.model.log_entry import AFTER_SIGNED, Entry
from inspect_tui.core.text.formatting import pluralize
from inspect_tui.errors import BadInput, NotSaved, Refused
from inspect_tui.files.disk import companion, is_file, reason_in_words, write_all
from inspect_tui.files.log.block import block, entry_of, has_time, seal_line, seal_of
from inspect_tui.files.log.file_ops import (
    add_to,
    all_of,
    existing_file,
    let_go,
    new_file,
    through,
)
from inspect_tui.files.log.lock import LogLock, lock_for_new
from inspect_tui.files.log.names import check_name
from inspect_tui.files.log.reader import Contents, contents_of, read

__all__ = ["Contents", "Writer", "block", "read"]

_CHANGED = "Not saved: another program has changed {name} while it was open here."
_OPEN_AGAIN = "Close the session and open it again."
_AFTER_FAILURE = "the disk failed before, and what it holds can't be made sure of"


class Writer:
    """The one writer of a log, holding its lock from `open` until `close`.

    Opening moves a torn tail to the end of `NAME.torn` (fsynced before the log is cut back) and
    keeps what it did in `mended` for the person to be told.
    """

    mended: str
    """What opening did with a torn tail, one sentence; empty when there was none."""
    clock_note: str
    """Said when this computer's clock is behind the log; empty otherwise."""
    close_note: str
    """Said when the disk complained at closing; empty otherwise. What was saved stays saved."""
    name_note: str
    """Said when the same log lies here under its own name too; empty otherwise."""
    contents: Contents
    """The log as it was read at opening, without what was appended since."""

    def __init__(self, path: Path, lock: LogLock, descriptor: int, contents: Contents) -> None:
        """Of `create` and `open`; the lock is held already."""
        self.path = path
        self.contents = contents
        self.mended = ""
        self.clock_note = ""
        self.close_note = ""
        self.name_note = ""
        self._lock = lock
        self._descriptor = descriptor
        self._length = 0
        self._count = 0
        self._seal = b""
        self._latest: datetime | None = None
        self._signed = False
        self._digest = hashlib.sha256()
        self._failed: bytes | None = None
        self._one_at_a_time = threading.Lock()
        for entry in contents.entries:
            self._count_in(entry)

    @classmethod
    def create(cls, path: Path, first: Entry) -> Writer:
        """A new log with its `opened` entry; never over an existing file.

        Raises:
            AlreadyThere: a file of that name exists, or another program is making it.
            NotSaved: the disk did not take it; nothing is left behind.
        """
        data, sealed = _sealed(replace(first, n=0), b"")
        if first.kind != "opened":
            raise BadInput(f"A log begins with an 'opened' entry, not '{first.kind}'.")
        lock = lock_for_new(path)
        try:
            descriptor = new_file(path, data)
        except BaseException:
            lock.release()
            raise
        writer = cls(path, lock, descriptor, Contents((sealed,), b"", ()))
        writer._count_bytes(data)
        return writer

    @classmethod
    def open(cls, path: Path, wait: float = 2.0, despite_broken: bool = False) -> Writer:
        """An existing log for appending.

        Args:
            path: The log.
            wait: How long another program may still hold the lock, in seconds.
            despite_broken: Go on after entries that don't verify; the person was asked.

        Raises:
            Refused: another program holds the lock (its owner named), the log is broken, or the
                names of two logs were exchanged.
            BadInput: no such session.
            NotSaved: it can't be opened for writing, or its torn tail can't be put aside.
        """
        if not is_file(path):
            raise BadInput(f"There is no log {path}.")
        # A log has one lock, by whatever link it is reached.
        path = path.resolve()
        lock = LogLock(path)
        lock.acquire(wait)
        descriptor = -1
        try:
            descriptor = existing_file(path)
            contents, length, digest = through(descriptor, path)
            if contents.problems and not despite_broken:
                more = len(contents.problems) - 1
                raise Refused(
                    f"{path.name} doesn't verify, so nothing is added to it: "
                    f"{contents.problems[0]}",
                    (f"There {'is' if more == 1 else 'are'} {more} more. " if more else "")
                    + "To go on all the same, say --despite-broken.",
                )
            name = check_name(path, contents.entries)
            if name.exchanged:
                raise Refused(f"{name.exchanged} Nothing is written.", "Give each its own name.")
            writer = cls(path, lock, descriptor, contents)
            writer.name_note = name.doubled
            writer._length, writer._digest = length, digest
            if contents.torn:
                writer._put_torn_aside(contents.torn)
            return writer
        except BaseException:
            if descriptor >= 0:
                let_go(descriptor)
            lock.release()
            raise

    def on_disk(self) -> bytes:
        """The log's bytes as they are on the disk now. Raises NotSaved."""
        return all_of(self._descriptor, self.path)

    @property
    def last_seal(self) -> str:
        """The seal of the last entry."""
        return self._seal.decode()

    @property
    def lock_note(self) -> str:
        """Said when the lock is less than a lock, or another computer may have the log open."""
        return self._lock.note

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
            here = all_of(self._descriptor, self.path)
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
                if error := let_go(self._descriptor):
                    self.close_note = (
                        f"The disk complained when {self.path.name} was closed "
                        f"({reason_in_words(error)}). What was said to be saved had been flushed "
                        f"before; 'inspect-tui verify {self.path.stem}' reads it again."
                    )
                self._descriptor = -1
            self._lock.release()

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
        if self._descriptor < 0:
            raise NotSaved(f"{self.path.name} is closed; nothing can be saved in it.")
        if self._failed is not None:
            self._take_up_again(self._failed)
        here = self._size_if_ours()
        if here != self._length:
            raise NotSaved(_CHANGED.format(name=self.path.name), _OPEN_AGAIN)

    def _size_if_ours(self) -> int:
        """The bytes of the file that stands under the log's name; -1 where it is another one."""
        try:
            here, there = os.fstat(self._descriptor), self.path.stat()
        except OSError as error:
            raise NotSaved(
                f"Not saved in {self.path.name}, which can't be reached any more: "
                f"{reason_in_words(error)}."
            ) from error
        same = (here.st_dev, here.st_ino) == (there.st_dev, there.st_ino)
        return here.st_size if same else -1

    def _take_up_again(self, failed: bytes) -> None:
        """After a failure: cut the file back to what was acknowledged, flush, and read it again.

        A failed flush may leave the system in a wrong belief about what the disk holds, so only
        bytes that come back as they were acknowledged are built upon.
        """
        name = self.path.name
        if self._size_if_ours() < self._length:
            raise NotSaved(_CHANGED.format(name=name), _OPEN_AGAIN)
        try:
            data = all_of(self._descriptor, self.path)
            if not failed.startswith(data[self._length :]):
                raise NotSaved(_CHANGED.format(name=name), _OPEN_AGAIN)
            os.ftruncate(self._descriptor, self._length)
            os.fsync(self._descriptor)
            data = all_of(self._descriptor, self.path)
        except OSError as error:
            raise NotSaved(
                f"Not saved in {name}: {_AFTER_FAILURE} ({reason_in_words(error)})."
            ) from error
        if hashlib.sha256(data).digest() != self._digest.digest():
            raise NotSaved(f"Not saved in {name}: {_AFTER_FAILURE}.", _OPEN_AGAIN)
        self._failed = None

    def _write(self, data: bytes) -> None:
        # Until it is flushed it counts as failed: whatever comes in between, an interrupt too.
        self._failed = data
        try:
            write_all(self._descriptor, data)
            os.fsync(self._descriptor)
        except BaseException as error:
            # At once, so that nobody reads what was not acknowledged; made sure of before the
            # next write.
            with contextlib.suppress(OSError):
                os.ftruncate(self._descriptor, self._length)
                os.fsync(self._descriptor)
            if not isinstance(error, OSError):
                raise
            raise NotSaved(f"Not saved in {self.path.name}: {reason_in_words(error)}.") from error
        self._failed = None
        self._count_bytes(data)

    def _count_bytes(self, data: bytes) -> None:
        """These bytes are in the file and flushed."""
        self._length += len(data)
        self._digest.update(data)

    def _put_torn_aside(self, torn: bytes) -> None:
        aside = companion(self.path, ".torn")
        try:
            was_there = add_to(aside, torn)
            os.ftruncate(self._descriptor, self._length)
            os.fsync(self._descriptor)
        except OSError as error:
            raise NotSaved(
                f"The torn end of {self.path.name} can't be moved to {aside.name}: "
                f"{reason_in_words(error)}."
            ) from error
        self.mended = (
            f"The end of {self.path.name} was torn in the middle of an entry; what was torn "
            f"({pluralize(len(torn), 'byte')}) was moved to {aside.name}. Nothing else was lost."
        )
        if was_there:
            self.mended += f" What stood there was no plain file; it is {was_there} now."


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
