"""Reading a session log and checking it: one pass over the bytes, nothing written.

A log is cut at its seal lines. What is wrong is named once, where it is: after an entry whose
seal doesn't hold, the next one is checked against that seal as it is written.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, NamedTuple

from inspect_tui.core.model.log_entry import AFTER_SIGNED, KINDS, Entry
from inspect_tui.core.text.formatting import pluralize
from inspect_tui.errors import BadInput
from inspect_tui.files.disk import opened
from inspect_tui.files.log.block import HEADER, SEAL_LINE, entry_of, seal_of
from inspect_tui.files.log.faults import with_faults

_SEAL_LINE_ANY_END = re.compile(rb'\nseal = "([0-9a-f]{64})"(?=\r?\n)')
_PART = 1 << 18
"""Bytes of a log that are read at once."""


@dataclass(frozen=True, slots=True)
class Contents:
    """What was read from a log file."""

    entries: tuple[Entry, ...]
    torn: bytes
    """What follows the last complete seal line; empty when the file is whole."""
    problems: tuple[str, ...]
    """One sentence a fault: a seal that doesn't hold (entry number and line), n or time running
    backwards, a CR, a missing last LF, a form that is off. Empty when it verifies."""
    torn_line: int = 0
    """The line where the torn part begins; 0 when there is none."""

    @property
    def whole(self) -> bool:
        """Whether `verify` says yes."""
        return not self.problems and not self.torn

    @property
    def torn_in_words(self) -> str:
        """One sentence about the torn part, for stderr; empty when there is none."""
        if not self.torn:
            return ""
        count = len(self.torn)
        are = "is" if count == 1 else "are"
        if not self.torn.strip(b"\0"):
            what = (
                f"{are} NUL: room that was never filled, as a power cut "
                "or a copy made in part leaves it"
            )
        elif SEAL_LINE.search(self.torn + b"\n"):
            what = f"{are} a last entry whose seal line lacks its line end"
        else:
            what = f"{are} no complete entry: the writing of one was cut short there"
        return f"Line {self.torn_line}: the last {pluralize(count, 'byte')} {what}."


def read(path: Path) -> Contents:
    """All entries of a log; broken ones are kept and marked. Writes nothing.

    Raises:
        BadInput: there is no such file, or it holds no complete first entry (no session).
    """
    with opened(path, "log") as file:
        return read_through(file, path.name).contents


def first_entry(path: Path) -> Entry:
    """The `opened` entry of a log, without reading what follows it.

    Raises:
        BadInput: there is no such file, or its first entry doesn't hold.
    """
    with opened(path, "log") as file:
        data = b""
        while more := file.read(_PART):
            looked = max(0, len(data) - 100)  # a seal line is shorter
            data += more
            if found := SEAL_LINE.search(data, looked):
                block, seal = data[: found.start() + 1], found[1].decode()
                entry, faults = entry_of(block, seal)
                if faults or seal_of(b"", block) != seal:
                    break
                return entry
    raise BadInput(f"{path.name} is no session log: its first entry doesn't hold.")


def first_seal(path: Path) -> str:
    """The seal of a log's first entry as it is written, by which a session is known; "" if none.

    Raises:
        BadInput: there is no such file.
    """
    with opened(path, "log") as file:
        data = b""
        while more := file.read(_PART):
            looked = max(0, len(data) - 100)
            data += more
            if found := SEAL_LINE.search(data, looked):
                return found[1].decode()
    return ""


class ReadResult(NamedTuple):
    """A log that was read from its file."""

    contents: Contents
    length: int
    """How many bytes stand before the torn part."""
    digest: hashlib._Hash
    """SHA-256 of those bytes, to be gone on with."""


def read_through(file: BinaryIO, name: str) -> ReadResult:
    """The same for a file that is open at its start.

    A part of it at a time, so that the bytes of a long log never stand in memory beside its
    entries. Where anything is off, all of it is read again, to say what and where.

    Raises:
        BadInput: no complete first entry.
        OSError: as the system says it.
    """
    parts = _Parts(file)
    entries = _sound(parts)
    # A seal line at the very start of the rest has lost the line end that it is known by.
    if entries and not parts.has_cr and not parts.rest.startswith(b"seal = "):
        line = parts.lines + 1 if parts.rest else 0
        return ReadResult(
            Contents(tuple(entries), parts.rest, (), line), parts.length, parts.digest
        )
    file.seek(0)
    data = file.read()
    contents = contents_of(data, name)
    complete = data[: len(data) - len(contents.torn)]
    return ReadResult(contents, len(complete), hashlib.sha256(complete))


class _Parts:
    """The parts of a file, each up to a seal line's end; `rest` is what stands behind the last."""

    def __init__(self, file: BinaryIO) -> None:
        self.file = file
        self.rest = b""
        self.has_cr = False
        self.length = self.lines = 0
        self.digest = hashlib.sha256()

    def __iter__(self) -> Iterator[bytes]:
        # More each time where no seal line comes, so that a file without any is read in no time.
        while more := self.file.read(max(_PART, len(self.rest))):
            self.has_cr = self.has_cr or b"\r" in more
            data = self.rest + more
            end = _end_of_last_seal(data, SEAL_LINE)
            part, self.rest = data[:end], data[end:]
            self.length += end
            self.lines += part.count(b"\n")
            self.digest.update(part)
            yield part


def contents_of(data: bytes, name: str) -> Contents:
    """The same for bytes already in memory; `name` is for the error's sentence.

    Raises:
        BadInput: no complete first entry.
    """
    has_cr = b"\r" in data
    end = _end_of_last_seal(data, _SEAL_LINE_ANY_END if has_cr else SEAL_LINE)
    if end == 0:
        said = "it is empty" if not data else "its first entry is not complete"
        raise BadInput(f"{name} is no session log: {said}.")
    complete = data[:end]
    problems = []
    if has_cr and b"\r" in complete:
        problems.append(_about_cr(complete))
        # Another program has turned the line ends over; what was sealed is what stood there before.
        complete = complete.replace(b"\r\n", b"\n")
    entries = None if problems else _sound([complete])
    if entries is None:
        entries = with_faults(complete, problems)
    if has_cr and len(problems) == 1:
        problems[0] += (
            " Put back to LF, every seal holds: it is the work of a mail program or another "
            "system, not of someone who changed an entry."
        )
    torn = data[end:]
    return Contents(
        tuple(entries),
        torn,
        tuple(problems),
        complete.count(b"\n") + 1 if torn else 0,
    )


def _end_of_last_seal(data: bytes, line: re.Pattern[bytes]) -> int:
    # From the back: a seal line is found within a few bytes of a whole file's end.
    before = len(data)
    while (start := data.rfind(b'\nseal = "', 0, before)) >= 0:
        if found := line.match(data, start):
            return data.index(b"\n", found.end()) + 1
        before = start + 1
    return 0


def _about_cr(complete: bytes) -> str:
    lines = sum(b"\r" in line for line in complete.split(b"\n"))
    first = complete.count(b"\n", 0, complete.index(b"\r")) + 1
    also = "" if lines == 1 else f", and {pluralize(lines - 1, 'more line')} too"
    return f"Line {first}: holds a CR{also}; the lines of a log end in LF alone."


def _sound(parts: Iterable[bytes]) -> list[Entry] | None:
    """The entries of a log where nothing is off; None as soon as something is.

    One block at a time, so that beside the file's bytes there are only the entries. What is
    wrong, and where, is then `faults`' to say, which sees all blocks at once.

    Args:
        parts: The log's bytes, cut behind seal lines.
    """
    entries: list[Entry] = []
    before, signed = b"", False
    for block, found in _blocks(parts):
        if not block.startswith(HEADER) or block.find(b"\n" + HEADER, len(HEADER) - 1) >= 0:
            return None
        seal = found[1].decode()
        if seal_of(before, block) != seal:
            return None
        entry, faults = entry_of(block, seal)
        if faults or entry.n != len(entries) or (entry.kind == "opened") != (not entries):
            return None
        if entries and entry.at < entries[-1].at:
            return None
        if signed and entry.kind in KINDS and entry.kind not in AFTER_SIGNED:
            return None
        signed = signed or entry.kind == "signed"
        before = found[1]
        entries.append(entry)
    return entries


def _blocks(parts: Iterable[bytes]) -> Iterator[tuple[bytes, re.Match[bytes]]]:
    for part in parts:
        start = 0
        for found in SEAL_LINE.finditer(part):
            yield part[start : found.start() + 1], found
            start = found.end() + 1
