"""A session's log on the disk, held open: its entries, what it has to say of itself, appending.

It knows nothing of checklists; `inspection` has one of these, and makes readings of its entries.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from itertools import chain, count
from pathlib import Path
from typing import Any

from inspect_tui.core.model.log_entry import Entry, NewEntry
from inspect_tui.core.text.sanitize import sanitize
from inspect_tui.errors import BadInput, Refused
from inspect_tui.files.log import writer as log
from inspect_tui.files.log.names import check_name


class SessionLog:
    """A session's log, open for writing or, without a writer, for reading alone."""

    def __init__(
        self,
        path: Path,
        contents: log.Contents,
        writer: log.Writer | None,
        now: Callable[[], datetime],
    ) -> None:
        self.path = path
        self.entries: tuple[Entry, ...] = contents.entries
        self.problems = contents.problems
        """Broken entries, a sentence each."""
        torn = contents.torn if writer is None else b""
        self.torn = contents.torn_in_words if torn else ""
        self.torn_bytes = len(torn)
        self.now = now
        self._writer = writer

    @classmethod
    def create(cls, path: Path, opened: Entry, now: Callable[[], datetime]) -> SessionLog:
        """A new log with its first entry, open for writing. Raises Refused, NotSaved."""
        writer = log.Writer.create(path, opened)
        return cls(path, writer.contents, writer, now)

    @classmethod
    def open(
        cls,
        path: Path,
        now: Callable[[], datetime],
        *,
        write: bool = True,
        despite_broken: bool = False,
    ) -> SessionLog:
        """The log at this path.

        Raises:
            BadInput: there is no such session.
            Refused: another program has it open, or the log is broken (and `write`).
        """
        if not write:
            return cls(path, log.read(path), None, now)
        writer = log.Writer.open(path, despite_broken=despite_broken)
        return cls(path, writer.contents, writer, now)

    def close(self) -> None:
        """Give the log back. Safe to call twice."""
        if self._writer is not None:
            self._writer.close()

    # --- what it has to say -----------------------------------------------------------------

    @property
    def whole(self) -> bool:
        """Whether every seal holds and nothing is torn."""
        return not self.problems and not self.torn_bytes

    @property
    def writable(self) -> bool:
        """Whether it was opened for writing."""
        return self._writer is not None

    @property
    def notices(self) -> tuple[str, ...]:
        """What has to be told on opening: a lock by hand, a torn tail, broken entries."""
        if self._writer is None:
            name = check_name(self.path, self.entries)
            first = (name.exchanged, name.doubled, self.torn)
        else:
            first = (self._writer.lock_note, self._writer.name_note, self._writer.mended)
        return tuple(text for text in first if text) + self.problems

    @property
    def clock_note(self) -> str:
        """Said when this computer's clock is behind the log; "" otherwise."""
        return "" if self._writer is None else self._writer.clock_note

    @property
    def close_note(self) -> str:
        """Said when the disk complained at closing; "" otherwise. What was saved stays saved."""
        return "" if self._writer is None else self._writer.close_note

    # --- writing ----------------------------------------------------------------------------

    def append(
        self, kinds: Sequence[NewEntry], by: str, following: Callable[[Entry], Entry] | None = None
    ) -> tuple[Entry, ...]:
        """Append entries in one write, flushed to the disk; returns them as they stand there.

        Args:
            kinds: What is written, in this order.
            by: Whose entries they are.
            following: Makes one more entry of the last one, seal and all.

        Raises:
            Refused: open for reading only.
            NotSaved: the disk did not take it, and nothing counts as written.
        """
        if self._writer is None:
            raise Refused("This session is open for reading only.")
        at = self.now()
        fresh = self._writer.append(
            [Entry(-1, kind, at, by, _given(keys)) for kind, keys in kinds], following
        )
        self.entries += fresh
        return fresh

    def keep_copy(self, folder: Path, unsaved: Sequence[str] = ()) -> tuple[str, ...]:
        """Write the log into another folder, and beside it what could not be saved in it.

        For when the log's own disk takes no more, or is gone: what was acknowledged is then still
        in memory, and is written from there.

        Args:
            folder: A folder that is there, on another disk.
            unsaved: What was typed and is in no log, a line each.

        Returns:
            Where it was written, a sentence each.

        Raises:
            BadInput: there is no such folder, or the log lies in it.
            NotSaved: that disk did not take it either, or what is left doesn't verify.
        """
        # Late: it brings tempfile, which no start of the program should wait for.
        from inspect_tui.files import atomic_write
        from inspect_tui.files.log import replace

        if not folder.is_dir():
            raise BadInput(f"There is no folder {folder}.", "Name one on another disk.")
        name = self.path.stem
        if folder.resolve() == self.path.resolve().parent:
            raise BadInput(f"{folder} is where the log lies.", "Name a folder on another disk.")
        ends = chain([""], (f"-{number}" for number in count(2)))
        named = (folder / f"{name}{end}.toml" for end in ends)
        path = next(each for each in named if not os.path.lexists(each))
        data = replace.bytes_held(self.path, self.entries)
        atomic_write.write(path, data, atomic_write.anything)
        said = [f"The session's {len(self.entries)} entries are in {path} too."]
        if unsaved:
            beside = path.with_suffix(".unsaved.txt")
            head = f"Typed at {self.now().isoformat(timespec='seconds')} and not saved in {name}:"
            lines = [head, *(sanitize(text) for text in unsaved), ""]
            text = "\n".join(lines).encode("utf-8", "replace")
            atomic_write.write(beside, text, atomic_write.anything)
            said.append(f"What is not saved is in {beside.name} beside it, as text.")
        return tuple(said)


def _given(keys: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in keys.items() if value is not None}


@contextmanager
def closed_on_error(log: SessionLog) -> Iterator[None]:
    """Give the log back where what its entries say can't be used."""
    try:
        yield
    except BaseException:
        log.close()
        raise
