"""Copies of one log: which is longer, where they part, and what a `combined` entry carries.

A `combined` entry (`joined` in logs of earlier programs) holds the blocks of the other copy after
the last common entry, byte for byte with their seal lines, as the text `log`. The common entries
and that text are the other copy again, so its seals, and a signature over one of them, can be
checked for ever.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from inspect_tui.core.model.log_entry import COMBINED, Entry
from inspect_tui.core.text.formatting import pluralize
from inspect_tui.core.text.sanitize import sanitize
from inspect_tui.errors import BadInput, Refused
from inspect_tui.files.log.block import entry_of, seal_of
from inspect_tui.files.log.reader import Contents, contents_of

Relation = Literal["same", "longer here", "longer there", "carried here", "carried there", "fork"]
DEEPEST = 12
"""Copies within copies; the text doubles its escapes with each."""

_SEAL_LINE = re.compile(rb'^seal = "([0-9a-f]{64})"\n', re.MULTILINE)
_BOM = b"\xef\xbb\xbf"


@dataclass(frozen=True, slots=True)
class Copy:
    """A log that came from elsewhere, and verifies."""

    session: str
    """The id that it gives itself, whatever the file is called."""
    data: bytes
    contents: Contents
    said: str = ""
    """What was put right about its line ends; "" where nothing had to be."""

    @property
    def entries(self) -> tuple[Entry, ...]:
        """Its entries."""
        return self.contents.entries


def copy_of(data: bytes, name: str) -> Copy:
    """A log as it came, its line ends as they were sealed.

    What mail programs and other systems do to a text (CR before the line ends, a byte-order
    mark, blank lines or none at the end) is undone where every seal holds after it: that nothing
    else was touched is then proved.

    Raises:
        Refused: it doesn't verify, or is cut short.
    """
    restored = data.removeprefix(_BOM).replace(b"\r\n", b"\n").rstrip() + b"\n"
    try:
        contents = contents_of(restored, name)
    except BadInput as error:
        raise Refused(error.message, error.hint) from None
    if contents.problems:
        more = "" if restored == data else ", and not only by its line ends"
        raise Refused(
            f"{name} was changed after it was written{more}: {contents.problems[0]}",
            "Nothing is taken from it.",
        )
    if contents.torn:
        before = len(contents.entries)
        raise Refused(
            f"{name} is cut short, as by a copy or a sync that wasn't finished: "
            f"{contents.torn_in_words} The "
            f"{pluralize(before, 'entry', 'entries')} before {'holds' if before == 1 else 'hold'}.",
            "Copy it again.",
        )
    said = ""
    if restored != data:
        said = (
            f"The line ends of {name} were turned over on the way, as mail programs do. They were "
            "put back, and every seal holds: nothing else was changed."
        )
    session = str(contents.entries[0].get("session", ""))
    return Copy(session, restored, contents, said)


@dataclass(frozen=True, slots=True)
class Compared:
    """How two copies of one log stand to each other."""

    relation: Relation
    common: Entry
    """The last entry that both have."""
    here: tuple[Entry, ...]
    """The entries after it, here."""
    there: tuple[Entry, ...]


def compare(here: Sequence[Entry], there: Sequence[Entry]) -> Compared:
    """Find the last common entry and what follows on each side.

    Raises:
        Refused: the two have nothing in common; they only share the session's id.
    """
    common = 0
    for ours, theirs in zip(here, there, strict=False):
        if ours.seal != theirs.seal:
            break
        common += 1
    if not common:
        session = sanitize(str(here[0].get("session", "")))
        raise Refused(
            f"There is another session {session} here, opened by {here[0].by} on "
            f"{here[0].at:%Y-%m-%d %H:%M}: the two share nothing but the id.",
            "Nothing was received.",
        )
    ours_since, theirs_since = tuple(here[common:]), tuple(there[common:])
    relation: Relation = "fork"
    if not ours_since:
        relation = "longer there" if theirs_since else "same"
    elif not theirs_since:
        relation = "longer here"
    elif theirs_since[-1].seal in {entry.seal for entry in all_carried(ours_since)}:
        relation = "carried here"
    elif ours_since[-1].seal in {entry.seal for entry in all_carried(theirs_since)}:
        relation = "carried there"
    return Compared(relation, here[common - 1], ours_since, theirs_since)


def rest_after(data: bytes, entry: Entry) -> bytes:
    """The blocks of a log that verifies, after that entry."""
    line = b'\nseal = "%s"\n' % entry.seal.encode("ascii")
    return data[data.index(line) + len(line) :]


def carried(combined: Entry) -> tuple[Entry, ...]:
    """The entries that a `combined` entry carries, their seals checked from the common one on.

    Raises:
        BadInput: it carries none, or they don't hold; the end of a sentence about the entry.
    """
    text, seal = combined.get("log"), combined.get("common_seal")
    if not isinstance(text, str) or not isinstance(seal, str):
        raise BadInput("carries no other copy")
    data, start = text.encode("utf-8", "surrogatepass"), 0
    entries: list[Entry] = []
    due = combined.get("common")
    for found in _SEAL_LINE.finditer(data):
        block = data[start : found.start()]
        start = found.end()
        seal = seal_of(seal.encode(), block)
        entry, faults = entry_of(block, seal)
        due = due + 1 if isinstance(due, int) else -1
        if seal.encode() != found[1] or faults or entry.n != due:
            raise BadInput(f"carries another copy whose entry {due} doesn't hold")
        entries.append(entry)
    if start != len(data) or not entries:
        raise BadInput("carries another copy that is cut short")
    if combined.get("entries") != len(entries) or combined.get("last_seal") != entries[-1].seal:
        raise BadInput("says something else of the copy that it carries than that says")
    return tuple(entries)


def all_carried(entries: Sequence[Entry], depth: int = 0) -> Iterator[Entry]:
    """Every entry that these carry, copies within copies too; what doesn't hold is passed over."""
    for entry in entries:
        if entry.kind in COMBINED and depth < DEEPEST:
            try:
                others = carried(entry)
            except BadInput:
                continue
            yield from others
            yield from all_carried(others, depth + 1)


def copies(
    entries: Sequence[Entry], before: Sequence[Entry] = (), depth: int = 0
) -> Iterator[tuple[Entry, tuple[Entry, ...]]]:
    """Each `combined` entry with the whole copy that it stands for: the common entries and its own.

    Each once, however often two copies were combined; those inside of a copy come after it. What
    doesn't hold is passed over; `problems` names it.

    Args:
        entries: Entries that verify themselves.
        before: Those that stand before them.
        depth: How many copies they are inside of.
    """
    for entry in entries:
        if entry.kind not in COMBINED or depth >= DEEPEST:
            continue
        try:
            others = carried(entry)
        except BadInput:
            continue
        common = entry.get("common")
        shared = tuple(each for each in (*before, *entries) if each.n <= common)
        yield entry, (*shared, *others)
        yield from copies(others, shared, depth + 1)


def problems(entries: Sequence[Entry], before: Sequence[Entry] = (), depth: int = 0) -> list[str]:
    """What is wrong with the copies that these entries carry, one sentence each.

    Args:
        entries: Entries that verify themselves.
        before: Those that stand before them.
        depth: How many copies they are inside of.
    """
    found = []
    known = list(before)
    for entry in entries:
        known.append(entry)
        if entry.kind not in COMBINED:
            continue
        try:
            others = carried(entry)
        except BadInput as error:
            found.append(f"Entry {entry.n} {error.message}.")
            continue
        common = entry.get("common")
        shared = [each for each in known if each.n <= common]
        if not shared or shared[-1].n != common or shared[-1].seal != entry.get("common_seal"):
            found.append(f"Entry {entry.n} carries a copy that doesn't follow on entry {common}.")
        elif depth >= DEEPEST:
            found.append(f"Entry {entry.n} carries more copies within copies than are checked.")
        else:
            found += [
                f"In the copy that entry {entry.n} carries: {text}"
                for text in problems(others, shared, depth + 1)
            ]
    return found
