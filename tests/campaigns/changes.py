"""A campaign against the seals: logs are changed in every way there is, and each must be noticed.

    python -m tests.campaigns.changes --cases 100000

Most changes a log shows by itself; it must also point at the right place. A log that was rebuilt
or cut at its end is sound in itself: there the seal that was noted before must tell. The small
verifier of the README has to say the same.
"""

from __future__ import annotations

import argparse
import hashlib
import random
import re
import sys
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

from inspect_tui.core.model.log_entry import Entry
from inspect_tui.errors import BadInput
from inspect_tui.files.log.block import block
from inspect_tui.files.log.reader import Contents, contents_of
from inspect_tui.workflow.verification import compared

Random = random.Random
START = datetime(2026, 10, 3, 8, 0, tzinfo=UTC)
SEAL_LINE = re.compile(rb'(?m)^seal = "([0-9a-f]{64})"\n')
WORDS = (
    "belt", "31,7 mm", "Nåla står på 6K", 'seal = "', "[[entry]]", "ends\n[[entry]]\nn = 3", "",
    'x\nseal = "' + "a1" * 32 + '"\n', "tab\tand \\ and \"", "\u2028\x85", "0", "été 🛠",
)  # fmt: skip


@dataclass(frozen=True)
class Log:
    """A sound log, in one piece and in blocks."""

    blocks: tuple[bytes, ...]

    @property
    def data(self) -> bytes:
        return sealed(self.blocks)


@dataclass(frozen=True)
class Change:
    """A changed log, and what has to notice it."""

    data: bytes
    by: str = "log"
    """`log`: the log itself; `seal`: only the seal that was noted of its last entry."""
    says: str = ""
    """A pattern that the first sentence has to hold."""


def sealed(blocks: tuple[bytes, ...]) -> bytes:
    """A log of these blocks, sealed one after the other without the program's own code."""
    data, seal = b"", b""
    for each in blocks:
        seal = hashlib.sha256(seal + each).hexdigest().encode()
        data += each + b'seal = "' + seal + b'"\n'
    return data


def pieces(log: Log) -> list[bytes]:
    """The blocks with their seal lines, as they stand in the file."""
    data, ends = log.data, [found.end() for found in SEAL_LINE.finditer(log.data)]
    return [data[a:b] for a, b in zip([0, *ends], ends, strict=False)]


def make_log(rng: Random) -> Log:
    """A log of one to nine entries of all kinds, signed or not."""
    kinds = [
        lambda: ("reading", {
            "step": "belt", "reading": "width", "phase": rng.choice(["as-found", "as-left"]),
            "entered": text(rng), "value": rng.choice([0, 31.7, -1e-7, True, "none"]),
            "unit": "mm", "verdict": "pass",
        }),
        lambda: ("note", {"step": "belt", "text": text(rng)}),
        lambda: ("skipped", {"step": text(rng), "why": text(rng)}),
        lambda: ("polished", {"with": [text(rng), text(rng)], "shine": rng.randrange(9)}),
        lambda: ("resumed", {}),
    ]  # fmt: skip
    made = [("opened", {
        "format": 1, "program": "inspect-tui", "session": "s", "checklist": text(rng),
        "machine": text(rng),
    })]  # fmt: skip
    made += [rng.choice(kinds)() for _ in range(rng.randrange(6))]
    if rng.random() < 0.4:
        made.append(("signed", {"open": [text(rng)], "accepted": text(rng)}))
        made += [("addendum", {"text": text(rng)}) for _ in range(rng.randrange(3))]
    at = START
    blocks = []
    for n, (kind, keys) in enumerate(made):
        at += timedelta(seconds=rng.choice([0, 1, 60, 86_400]))
        blocks.append(block(Entry(n, kind, at, "A. Tester", keys)))
    return Log(tuple(blocks))


def text(rng: Random) -> str:
    """Words, and what could be taken for a log's own lines."""
    return "".join(rng.choice(WORDS) for _ in range(rng.randrange(1, 4)))


# --- bytes -------------------------------------------------------------------------------------


def changed_byte(log: Log, rng: Random) -> Change:
    data = bytearray(log.data)
    data[rng.randrange(len(data))] = rng.randrange(256)
    return Change(bytes(data))


def flipped_bit(log: Log, rng: Random) -> Change:
    data = bytearray(log.data)
    data[rng.randrange(len(data))] ^= 1 << rng.randrange(8)
    return Change(bytes(data))


def deleted_byte(log: Log, rng: Random) -> Change:
    at = rng.randrange(len(log.data))
    return Change(log.data[:at] + log.data[at + 1 :])


def inserted_byte(log: Log, rng: Random) -> Change:
    at = rng.randrange(len(log.data) + 1)
    return Change(log.data[:at] + bytes([rng.randrange(256)]) + log.data[at:])


def inserted_likely_byte(log: Log, rng: Random) -> Change:
    at = rng.randrange(len(log.data) + 1)
    return Change(
        log.data[:at] + rng.choice([b"\n", b"\r", b" ", b"0", b'"', b"#"]) + log.data[at:]
    )


def changed_structure(log: Log, rng: Random) -> Change:
    """A byte of a header, a seal line or a line end."""
    places = [
        at
        for found in re.finditer(
            rb'\n|(?m:^)(?:\[\[entry\]\]|n = \d+|seal = "[0-9a-f]+")', log.data
        )
        for at in range(found.start(), found.end())
    ]
    data = bytearray(log.data)
    data[rng.choice(places)] = rng.choice(b'\n\r "[]=0aAf')
    return Change(bytes(data))


def changed_digit(log: Log, rng: Random) -> Change:
    data = bytearray(log.data)
    at = rng.choice([at for at, value in enumerate(data) if 48 <= value <= 57])
    data[at] = 48 + (data[at] - 48 + rng.randrange(1, 10)) % 10
    return Change(bytes(data))


def swapped_bytes(log: Log, rng: Random) -> Change:
    data = bytearray(log.data)
    at = rng.randrange(len(data) - 1)
    data[at], data[at + 1] = data[at + 1], data[at]
    return Change(bytes(data))


def deleted_stretch(log: Log, rng: Random) -> Change:
    """Many bytes out of the middle; whole entries off the end are another matter."""
    begin = rng.randrange(len(log.data) - 1)
    return Change(log.data[:begin] + log.data[rng.randrange(begin + 1, len(log.data)) :])


def torn(log: Log, rng: Random) -> Change:
    length = rng.randrange(len(log.data))
    ends = {found.end() for found in SEAL_LINE.finditer(log.data)}
    return Change(log.data[: length - (length in ends)])


def added_at_the_end(log: Log, rng: Random) -> Change:
    return Change(log.data + rng.choice([b"\n", b" ", b"x", b"[[entry]]\n", log.blocks[-1]]))


def other_line_ends(log: Log, rng: Random) -> Change:
    return Change(log.data.replace(b"\n", b"\r\n"), says="CR")


# --- entries -----------------------------------------------------------------------------------


def cut(log: Log, rng: Random) -> Change:
    parts = pieces(log)
    begin = rng.randrange(len(parts) - 1)
    end = rng.randrange(begin + 1, len(parts))
    says = "missing before|begins with an 'opened'" if begin else ""
    return Change(b"".join(parts[:begin] + parts[end:]), says=says)


def doubled(log: Log, rng: Random) -> Change:
    parts = pieces(log)
    at = rng.randrange(len(parts))
    where = rng.randrange(len(parts) + 1)
    return Change(b"".join([*parts[:where], parts[at], *parts[where:]]), says="put in|stands where")


def reordered(log: Log, rng: Random) -> Change:
    parts = pieces(log)
    rng.shuffle(parts)
    return Change(b"".join(parts))


def neighbours_swapped(log: Log, rng: Random) -> Change:
    parts = pieces(log)
    at = rng.randrange(len(parts) - 1)
    parts[at], parts[at + 1] = parts[at + 1], parts[at]
    return Change(b"".join(parts), says="stands where|stand before|begins with an 'opened'")


def foreign(log: Log, rng: Random) -> Change:
    """An entry of another log, seal and all, before one of this one or at its end."""
    parts, strange = pieces(log), pieces(make_log(rng))
    at = rng.randrange(len(parts) + 1)
    return Change(b"".join([*parts[:at], rng.choice(strange), *parts[at:]]))


def forged(log: Log, rng: Random) -> Change:
    """A new entry, sealed rightly on the one before; those behind it stay as they are."""
    at = rng.randrange(1, len(log.blocks))
    entry = block(Entry(at, "note", time_of(log.blocks[at]), "A. Tester", {"text": text(rng)}))
    grown = sealed((*log.blocks[:at], entry))
    return Change(grown + b"".join(pieces(log)[at:]), says="put in|stands where")


def resealed(log: Log, rng: Random) -> Change:
    """An entry edited and sealed anew; those behind it stay as they are."""
    at = rng.randrange(len(log.blocks) - 1)
    edited = (*log.blocks[:at], edit(log.blocks[at], rng))
    return Change(sealed(edited) + b"".join(pieces(log)[at + 1 :]))


# --- rebuilt: sound in itself ------------------------------------------------------------------


def rebuilt(log: Log, rng: Random) -> Change:
    at = rng.randrange(len(log.blocks))
    blocks = (*log.blocks[:at], edit(log.blocks[at], rng), *log.blocks[at + 1 :])
    return Change(sealed(blocks), by="seal")


def rebuilt_without(log: Log, rng: Random) -> Change:
    """An entry left out, the rest numbered and sealed anew."""
    at = rng.randrange(1, len(log.blocks))
    left = log.blocks[:at] + log.blocks[at + 1 :]
    return Change(sealed(tuple(numbered(each, n) for n, each in enumerate(left))), by="seal")


def cut_at_the_end(log: Log, rng: Random) -> Change:
    return Change(sealed(log.blocks[: rng.randrange(1, len(log.blocks))]), by="seal")


def numbers_backwards(log: Log, rng: Random) -> Change:
    """Sealed anew, with a number that doesn't follow: an owner's own log, wrong in its order."""
    at = rng.randrange(len(log.blocks))
    wrong = rng.choice([n for n in range(len(log.blocks) + 3) if n != at])
    blocks = (*log.blocks[:at], numbered(log.blocks[at], wrong), *log.blocks[at + 1 :])
    return Change(sealed(blocks), says="missing before|stands where")


def time_backwards(log: Log, rng: Random) -> Change:
    at = rng.randrange(1, len(log.blocks))
    before = time_of(log.blocks[at - 1]) - timedelta(seconds=rng.randrange(1, 10**7))
    changed = re.sub(rb"(?m)^at = .*$", b"at = " + before.isoformat().encode(), log.blocks[at])
    return Change(sealed((*log.blocks[:at], changed, *log.blocks[at + 1 :])), says="is earlier")


def edit(one: bytes, rng: Random) -> bytes:
    return one.replace(b'by = "A. Tester"', b'by = "B. %d"' % rng.randrange(99))


def numbered(one: bytes, n: int) -> bytes:
    return re.sub(rb"\nn = \d+\n", b"\nn = %d\n" % n, one, count=1)


def time_of(one: bytes) -> datetime:
    found = re.search(rb"(?m)^at = (.*)$", one)
    assert found
    return datetime.fromisoformat(found[1].decode())


CHANGES: tuple[Callable[[Log, Random], Change], ...] = (
    changed_byte, flipped_bit, deleted_byte, inserted_byte, inserted_likely_byte,
    changed_structure, changed_digit, swapped_bytes, deleted_stretch, torn, added_at_the_end,
    other_line_ends, cut, doubled, reordered, neighbours_swapped, foreign, forged, resealed,
    rebuilt, rebuilt_without, cut_at_the_end, numbers_backwards, time_backwards,
)  # fmt: skip
ONE_BYTE = (
    changed_byte, flipped_bit, deleted_byte, inserted_byte, inserted_likely_byte,
    changed_structure, changed_digit,
)  # fmt: skip


@dataclass
class Outcome:
    """What a run of the campaign found."""

    cases: int = 0
    of: Counter[str] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)


def run(cases: int, seed: int, small: Callable[[bytes], str]) -> Outcome:
    """That many changes, one-byte ones in half of them; `small` is the README's verifier."""
    rng = Random(seed)
    outcome = Outcome()
    log = make_log(rng)
    while outcome.cases < cases:
        if outcome.cases % 20 == 0:
            log = make_log(rng)
            fault = wrongly_refused(log, small)
            outcome.faults += [fault] if fault else []
        kind = rng.choice(ONE_BYTE if rng.random() < 0.5 else CHANGES)
        try:
            change = kind(log, rng)
        except (ValueError, IndexError):  # the log is too short for this one: take a new one
            log = make_log(rng)
            continue
        if change.data == log.data or (change.data in prefixes(log) and change.by == "log"):
            continue
        outcome.cases += 1
        outcome.of[kind.__name__] += 1
        fault = unnoticed(log, change, small)
        if fault:
            outcome.faults.append(f"{kind.__name__}, case {outcome.cases}: {fault}")
    return outcome


def prefixes(log: Log) -> set[bytes]:
    """The log cut after each entry: whole in itself, and `cut_at_the_end`'s matter."""
    return {log.data[: found.end()] for found in SEAL_LINE.finditer(log.data)}


def wrongly_refused(log: Log, small: Callable[[bytes], str]) -> str:
    """What is said against a sound log; "" when nothing is, as it should be."""
    contents = contents_of(log.data, "x")
    said = [*contents.problems, contents.torn_in_words, small(log.data)]
    return "a sound log is refused: " + "; ".join(filter(None, said)) if any(said) else ""


def unnoticed(log: Log, change: Change, small: Callable[[bytes], str]) -> str:
    """How the program, or the small verifier, fails at a change; "" when neither does."""
    contents: Contents | None
    try:
        contents = contents_of(change.data, "x")
    except BadInput:  # not even a first entry is left: refused as no session
        contents = None
    alone = "" if contents is None or not contents.whole else "whole"
    if change.by == "seal":
        if contents is None or not contents.whole or small(change.data):
            return "a log that is sound in itself is refused"
        signed = next((each for each in contents.entries if each.kind == "signed"), None)
        noted = hashlib.sha256(log_head(log)).hexdigest()
        holds, words = compared(contents.entries, signed, noted)
        return f"the noted seal says yes: {words}" if holds else ""
    if alone:
        return "the program finds it whole"
    if not small(change.data):
        return "the small verifier finds it sound"
    return "" if contents is None else wrong_place(log, change, contents)


def log_head(log: Log) -> bytes:
    """What the last entry's seal is a SHA-256 of."""
    before = SEAL_LINE.findall(log.data)
    return (before[-2] if len(before) > 1 else b"") + log.blocks[-1]


def wrong_place(log: Log, change: Change, contents: Contents) -> str:
    """Whether the first sentence points beside the change: "" when it points at it."""
    first = (*contents.problems, contents.torn_in_words)[0]
    if change.says and not any(re.search(change.says, text) for text in contents.problems):
        return f"not said in its words ({change.says}): {contents.problems}"
    line = re.search(r"[Ll]ine (\d+)", first)
    assert line, first
    old, new = log.data, change.data
    differ = next(
        (at for at, (a, b) in enumerate(zip(old, new, strict=False)) if a != b),
        min(len(old), len(new)),
    )
    ends = [0, *(found.end() for found in SEAL_LINE.finditer(old))]
    earliest = old.count(b"\n", 0, max(end for end in ends if end <= differ)) + 1
    # An entry that was put in whole holds by itself; the one behind it is the first that doesn't.
    latest = max(lines_to_next_seal(old, differ), lines_to_next_seal(new, differ))
    if earliest <= int(line[1]) <= latest:
        return ""
    return f"changed in lines {earliest} to {latest}, and the first thing said is: {first}"


def lines_to_next_seal(data: bytes, at: int) -> int:
    """The line after the entry that holds this byte."""
    after = (found.end() for found in SEAL_LINE.finditer(data) if found.end() > at)
    return data.count(b"\n", 0, next(after, len(data))) + 1


def main() -> int:
    from tests.readme_verifier import first_fault

    given = argparse.ArgumentParser(description=__doc__)
    given.add_argument("--cases", type=int, default=100_000)
    given.add_argument("--seed", type=int, default=1)
    asked = given.parse_args()
    outcome = run(asked.cases, asked.seed, first_fault)
    for fault in outcome.faults[:20]:
        print(fault, file=sys.stderr)
    print(f"changes: {outcome.cases} cases, {len(outcome.faults)} faults found")
    return 1 if outcome.faults else 0


if __name__ == "__main__":
    sys.exit(main())
