"""The session log: append, read, verify. The only module that writes session files.

Format: see `core/entries.py` and DEVELOPERS.md. A block begins with the line `[[entry]]` and ends
with the newline before its own seal line; seal = SHA-256 hex of (previous seal's 64 hex
characters, nothing for the first) + the block's bytes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType

from inspect_tui.core.entries import Entry


@dataclass(frozen=True, slots=True)
class Contents:
    """What was read from a log file."""

    entries: tuple[Entry, ...]
    torn: bytes
    """What follows the last complete seal line; empty when the file is whole."""
    problems: tuple[str, ...]
    """One sentence a fault: a seal that doesn't hold (entry number and line), n or time running
    backwards, a CR, a missing last LF, a form that is off. Empty when it verifies."""

    @property
    def whole(self) -> bool:
        """Whether `verify` says yes."""
        return not self.problems and not self.torn


def read(path: Path) -> Contents:
    """All entries of a log; broken ones are kept and marked. Writes nothing.

    Raises:
        BadInput: there is no such file, or it holds no complete first entry (no session).
    """
    raise NotImplementedError


def block(entry: Entry) -> bytes:
    """The bytes of an entry's block, without its seal line."""
    raise NotImplementedError


class Writer:
    """The one writer of a log, holding its lock from `open` until `close`.

    Opening moves a torn tail to the end of `NAME.torn` (fsynced before the log is cut back) and
    keeps what it did in `mended` for the person to be told.
    """

    mended: str = ""
    contents: Contents

    @classmethod
    def create(cls, path: Path, first: Entry) -> Writer:
        """A new log with its `opened` entry; never over an existing file."""
        raise NotImplementedError

    @classmethod
    def open(cls, path: Path, wait: float = 2.0) -> Writer:
        """An existing log for appending.

        Raises:
            Refused: another program holds the lock (its owner named), or the log is broken.
            BadInput: no such session.
        """
        raise NotImplementedError

    def append(self, entries: Sequence[Entry]) -> tuple[Entry, ...]:
        """Write the entries in one write and flush them to the disk, then return them sealed.

        Their `n` is set here. Raises NotSaved when the disk did not take them; the file is then
        cut back to where it was if that can be done.
        """
        raise NotImplementedError

    def close(self) -> None:
        """Give the lock back. Safe to call twice."""
        raise NotImplementedError

    def __enter__(self) -> Writer:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()
