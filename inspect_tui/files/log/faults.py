"""What is wrong in a log, each named once, where it is: seals, order, what stands between entries.

For a log in which something is off; `reader` takes a sound one block by block and never asks here.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import datetime

from inspect_tui.core.model.log_entry import AFTER_SIGNED, KINDS, Entry
from inspect_tui.core.text.formatting import pluralize
from inspect_tui.files.log.block import HEADER, SEAL_LINE, entry_of, has_time, seal_of

_SEAL = re.compile(rb"[0-9a-f]{64}")
_EMPTY = (
    "NUL, which nobody types: a part never reached the disk, as after a power cut or a copy made "
    "in part"
)
_BOM = b"\xef\xbb\xbf"


@dataclass(slots=True)
class RawBlock:
    """A block as it was cut out, before its seal is checked."""

    block: bytes
    seal: bytes
    """The seal as written; empty where the block has no well-formed seal line."""
    line: int
    damaged_seal: bytes = b""
    """What stands where the seal line should be."""


def with_faults(complete: bytes, problems: list[str]) -> list[Entry]:
    """The entries of a log, those that don't hold marked.

    Args:
        complete: The log's bytes up to its last seal line.
        problems: Takes a sentence for each fault.
    """
    checker = _Checker(problems)
    checker.check(list(_pieces(complete, problems)))
    return checker.entries


def _pieces(complete: bytes, problems: list[str]) -> Iterator[RawBlock]:
    start, line = 0, 1
    for found in SEAL_LINE.finditer(complete):
        # Two seal lines one after the other share a newline.
        chunk = complete[start : max(start, found.start() + 1)]
        yield from _parts_of(chunk, found[1], line, problems)
        line += chunk.count(b"\n") + 1
        start = found.end() + 1


def _parts_of(chunk: bytes, seal: bytes, line: int, problems: list[str]) -> Iterator[RawBlock]:
    """A chunk is one block; more where a seal line was lost, and text where none should be."""
    if chunk.startswith(HEADER) and chunk.find(b"\n" + HEADER, len(HEADER) - 1) < 0:
        yield RawBlock(chunk, seal, line)
        return
    starts = [] if not chunk.startswith(HEADER) else [0]
    at = chunk.find(b"\n" + HEADER)
    while at >= 0:
        starts.append(at + 1)
        at = chunk.find(b"\n" + HEADER, at + 1)
    if chunk.startswith(_BOM + HEADER):
        starts.insert(0, len(_BOM))
    if not starts:
        if chunk:
            empty = f" ({_EMPTY})" if b"\0" in chunk else ""
            problems.append(f"Line {line}: the block doesn't begin with the line [[entry]]{empty}.")
            yield RawBlock(chunk, seal, line)
        else:
            problems.append(f"Line {line}: a seal line that closes no entry.")
        return
    if starts[0]:
        what = "a byte-order mark" if starts[0] == len(_BOM) else "text that belongs to no entry"
        problems.append(f"Line {line}: {what} stands before the line [[entry]].")
    for begin, end in zip(starts, [*starts[1:], len(chunk)], strict=True):
        piece = RawBlock(chunk[begin:end], seal, line + chunk.count(b"\n", 0, begin))
        if end != len(chunk):
            _take_off_damaged_seal(piece)
        yield piece


def _take_off_damaged_seal(piece: RawBlock) -> None:
    piece.seal = b""
    start = piece.block.rfind(b"\n", 0, -1) + 1
    piece.damaged_seal = piece.block[start:]
    if piece.damaged_seal.startswith(b"seal"):
        piece.block = piece.block[:start]


def _seals_to_follow(piece: RawBlock, computed: bytes, before: bytes) -> tuple[bytes, ...]:
    """What the next block may have been sealed on, where this one doesn't hold.

    As written first, then as it should have been: so the fault is named at this block only.
    """
    if piece.seal:
        return (piece.seal, computed)
    without = piece.block.removesuffix(piece.damaged_seal)
    as_written = _SEAL.findall(piece.damaged_seal)
    return (*as_written, computed, seal_of(before, without).encode())


@dataclass(slots=True)
class _Checker:
    """Goes along the blocks, building the entries and naming what is wrong."""

    problems: list[str]
    entries: list[Entry] = field(default_factory=list)
    due: int = 0
    latest: datetime | None = None
    signed: bool = False
    seals: dict[int, tuple[bytes, int]] = field(default_factory=dict)
    numbers: set[int] = field(default_factory=set)

    def check(self, pieces: list[RawBlock]) -> None:
        """Build the entries of all blocks and say what is wrong with them."""
        found = [entry_of(piece.block, piece.seal.decode()) for piece in pieces]
        for (entry, _), piece in zip(found, pieces, strict=True):
            self.numbers.add(entry.n)
            self.seals.setdefault(entry.n, (piece.seal, piece.line))
        before: tuple[bytes, ...] = (b"",)
        for at, ((entry, faults), piece) in enumerate(zip(found, pieces, strict=True)):
            following = found[at + 1][0].n if at + 1 < len(found) else -1
            right = [seal_of(seal, piece.block).encode() for seal in before]
            holds = piece.seal in right
            before = (piece.seal,) if holds else _seals_to_follow(piece, right[0], before[0])
            if entry.n < 0 or not holds:
                number = entry.n if entry.n >= 0 else self.due
                entry = replace(entry, n=number, sound=False)
            name = f"Entry {entry.n} (line {piece.line})"
            if holds or b"\0" not in piece.block:  # else one sentence says it all
                self.problems.extend(f"{name} {fault}." for fault in faults)
            order = self._order(entry, following)
            if not holds:
                self.problems.append(f"{name}: {self._why_broken(entry, piece, order)}.")
            elif order:
                self.problems.append(f"{name}: {order}.")
            self._check_place(entry, name)
            self.entries.append(entry)

    def _order(self, entry: Entry, following: int) -> str:
        due, self.due = self.due, entry.n + 1
        if entry.n == due:
            return ""
        if following == due + 1:
            # The rest goes on as if nothing were: it is this entry's n that is off.
            self.due = due + 1
            return f"it stands where entry {due} should"
        missing = range(due, entry.n)
        if missing and not (missing[0] in self.numbers or missing[-1] in self.numbers):
            if entry.n == due + 1:
                return f"entry {due} is missing before it"
            return f"entries {due} to {entry.n - 1} are missing before it"
        return f"it stands where entry {due} should"

    def _why_broken(self, entry: Entry, piece: RawBlock, order: str) -> str:
        if empty := piece.block.count(b"\0"):
            return (
                f"its seal doesn't hold: {pluralize(empty, 'byte')} in it "
                f"{'are' if empty > 1 else 'is'} {_EMPTY}"
            )
        if not piece.seal:
            return "its seal line is missing or damaged"
        seal, line = self.seals.get(entry.n - 1, (b"", 0))
        if entry.n == 0 or seal:
            moved = seal_of(seal, piece.block).encode() == piece.seal
            if moved and entry.n == 0:
                return "it was sealed as the first entry, so what stands before it was put in"
            if moved:
                return (
                    f"it was sealed right after entry {entry.n - 1} (line {line}), which doesn't "
                    "stand before it: entries were moved, copied or put in"
                )
        if order:
            return f"{order}, and its seal doesn't follow on from what stands before it"
        return "its seal doesn't hold: the entry or its seal was changed after it was written"

    def _check_place(self, entry: Entry, name: str) -> None:
        if not self.entries and entry.kind != "opened":
            self.problems.append(
                f"{name}: a log begins with an 'opened' entry, not '{entry.kind}'."
            )
        if self.entries and entry.kind == "opened":
            self.problems.append(f"{name}: a log is opened once, by its first entry.")
        if self.signed and entry.kind in KINDS and entry.kind not in AFTER_SIGNED:
            self.problems.append(f"{name}: '{entry.kind}' was recorded after the sign-off.")
        self.signed = self.signed or entry.kind == "signed"
        # A time that was changed is named by its seal already, and says nothing about the others.
        if not entry.sound or not has_time(entry):
            return
        if self.latest is not None and entry.at < self.latest:
            self.problems.append(
                f"{name}: its time {entry.at.isoformat()} is earlier than that of the entry "
                f"before it, {self.latest.isoformat()}."
            )
        self.latest = entry.at
