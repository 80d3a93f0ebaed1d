"""Two copies of one log that went on apart: what is written to make one log of them.

Pure. The log here stays as it is. After its last entry comes one `combined` entry, which
carries the other side's blocks as they stand, and then the other side's entries again, so that
every reader of a log sees what follows without knowing of copies.

The rule: of one thing (a reading in its phase, a skip, a decision, a condition) the one that was
taken last stands, by the clocks of both sides; at the same second this log's. Ids that both sides
gave out on their own (`F2`, `added-1`) are given out anew for the other side's. A sign-off is never
taken over: who signed, signed that side's log, which is carried whole.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from inspect_tui.core.model.log_entry import BOOKKEEPING, Entry, is_time
from inspect_tui.core.presentation import wording
from inspect_tui.core.presentation.entry_words import entry_words
from inspect_tui.core.session.replay import Session, replay

TAKEN_OVER = (
    "reading", "note", "skipped", "step-added", "finding", "decision", "caution", "conditions",
    "photo", "withdrawn", "widened", "sheet", "part",
)  # fmt: skip
_NOT_AGAIN = ("taken", "combined_from", "joined_from", "clock")
"""Keys of an entry that are made anew when it is written once more."""
_OWN_NAME = {"finding": "id", "step-added": "step"}


@dataclass(frozen=True, slots=True)
class ReplayedEntry:
    """An entry that is written once more after that."""

    kind: str
    by: str
    """Who took it, not who combined."""
    keys: dict[str, Any]
    """With `taken`, when that was, and `combined_from`, its number on its own side."""


@dataclass(frozen=True, slots=True)
class MergePlan:
    """What follows the `combined` entry."""

    entries: tuple[ReplayedEntry, ...]
    said: tuple[str, ...]
    """Where both sides say something else of one thing: a sentence each."""


def taken(entry: Entry) -> datetime:
    """When it was taken; for an entry from another copy that is earlier than its own time."""
    at = entry.get("taken")
    return at if is_time(at) else entry.at


def plan_merge(here: Sequence[Entry], common: int, there: Sequence[Entry]) -> MergePlan:
    """What is written after the `combined` entry.

    Args:
        here: All entries of the log here, which verify.
        common: The number of the last entry that both have.
        there: The other side's entries after that one.
    """
    session = replay(here)
    if session.signed is not None:
        return MergePlan((), ())
    side = _OtherSide(session, tuple(here[common + 1 :]))
    for entry in _without_withdrawn(there, common):
        side.take(entry)
    ours, said = _standing_here(here, common, session, side.entries)
    return MergePlan((*(_again(entry) for entry in side.entries), *ours), said)


def _without_withdrawn(there: Sequence[Entry], common: int) -> Iterator[Entry]:
    """The other side's entries without the readings that it took back itself.

    Written once more they would have other numbers, and their withdrawal would name none of them.
    """
    gone = {entry.get("of") for entry in there if entry.kind == "withdrawn"}
    for entry in there:
        if entry.kind == "reading" and entry.n in gone:
            continue
        of = entry.get("of")
        if entry.kind == "withdrawn" and not (type(of) is int and of <= common):
            continue
        yield entry


@dataclass
class _OtherSide:
    """The other side's entries as they are written here: renamed, without what is here already."""

    session: Session
    since: tuple[Entry, ...]
    entries: list[Entry] = field(default_factory=list)
    steps: dict[str, str] = field(default_factory=dict)
    findings: dict[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.known = {_identity(entry): entry for entry in self.since}
        self.cautions = {caution.step for caution in self.session.cautions}
        self.free = {
            "step-added": (self.steps, "added-", len(self.session.added) + 1),
            "finding": (self.findings, "F", len(self.session.findings) + 1),
        }

    def take(self, entry: Entry) -> None:
        """Take one over, if it is of a kind that counts and not here yet."""
        if entry.kind not in TAKEN_OVER:
            return
        if entry.kind == "caution" and str(entry.get("step", "")) in self.cautions:
            return
        keys = self._renamed(entry.keys)
        own = _OWN_NAME.get(entry.kind)
        # A name given by this very entry is the other side's; it may not be one that is known.
        if own is not None:
            keys[own] = entry.get(own)
        entry = Entry(entry.n, entry.kind, entry.at, entry.by, keys, entry.seal)
        same = self.known.get(_identity(entry))
        if own is not None:
            self._name(entry, own, same)
        if same is None:
            self.entries.append(entry)

    def _name(self, entry: Entry, own: str, same: Entry | None) -> None:
        names, stem, free = self.free[entry.kind]
        theirs = str(entry.keys.get(own, ""))
        if same is not None:
            names[theirs] = str(same.get(own, theirs))
            return
        self.free[entry.kind] = names, stem, free + 1
        names[theirs] = f"{stem}{free}"
        if names[theirs] != theirs:
            entry.keys[own], entry.keys["was"] = names[theirs], theirs

    def _renamed(self, keys: dict[str, Any]) -> dict[str, Any]:
        keys = dict(keys)
        if keys.get("step") in self.steps:
            keys["step"] = self.steps[keys["step"]]
        if isinstance(finding := keys.get("finding"), str):
            keys["finding"] = self.findings.get(finding) or re.sub(
                r"(?<![\w-])added-\d+(?=[.@]|$)",
                lambda found: self.steps.get(found[0], found[0]),
                finding,
            )
        return keys


def _identity(entry: Entry) -> tuple[object, ...]:
    """What makes an entry the same one on both sides, whatever it is numbered or called."""
    left_out = (*BOOKKEEPING, _OWN_NAME.get(entry.kind, ""))
    content = (f"{key}={value!r}" for key, value in entry.keys.items() if key not in left_out)
    return (entry.kind, entry.by, taken(entry), *sorted(content))


def _again(entry: Entry) -> ReplayedEntry:
    keys = {key: value for key, value in entry.keys.items() if key not in _NOT_AGAIN}
    return ReplayedEntry(
        entry.kind, entry.by, {**keys, "taken": taken(entry), "combined_from": entry.n}
    )


def _standing_here(
    here: Sequence[Entry], common: int, session: Session, theirs: Sequence[Entry]
) -> tuple[list[ReplayedEntry], tuple[str, ...]]:
    """What stands here, was taken later than the other side's, and so is said once more."""
    standing = sorted(
        {
            *(row.n for row in session.readings.values()),
            *(skip.n for skip in session.skips.values()),
            *(decision.n for decision in session.decisions.values()),
            *session.conditions_at.values(),
            *{(each.name, each.cylinder): each.n for each in session.figures}.values(),
            *{each.part: each.n for each in session.parts}.values(),
        }
    )
    again: list[ReplayedEntry] = []
    said: list[str] = []
    for n in standing:
        if n <= common:
            continue
        ours = here[n]
        rivals = [entry for entry in theirs if _of_one_thing(ours, entry)]
        if not rivals:
            continue
        stays = max(map(taken, rivals)) <= taken(ours)
        if stays:
            again.append(_again(ours))
        said.extend(_both(ours, rivals[-1], stays))
    return again, tuple(said)


def _of_one_thing(ours: Entry, theirs: Entry) -> bool:
    kinds = {ours.kind, theirs.kind}
    if kinds == {"reading"}:
        phases = {theirs.get("phase"), theirs.get("moved_from")}
        return _place(ours) == _place(theirs) and ours.get("phase") in phases
    if kinds == {"skipped"}:
        return _place(ours) == _place(theirs)
    if kinds == {"reading", "skipped"}:
        skip, reading = (ours, theirs) if ours.kind == "skipped" else (theirs, ours)
        pairs = zip(_place(skip), _place(reading), strict=True)
        return all(said is None or said == at for said, at in pairs)
    if kinds == {"decision"}:
        return bool(ours.get("finding") == theirs.get("finding"))
    if kinds == {"sheet"}:
        return bool(_figure(ours) == _figure(theirs))
    if kinds == {"part"}:
        return bool(ours.get("part") == theirs.get("part"))
    return kinds == {"conditions"} and bool(set(_conditions(ours)) & set(_conditions(theirs)))


def _conditions(entry: Entry) -> Iterator[str]:
    return (key for key in entry.keys if key not in BOOKKEEPING)


def _figure(entry: Entry) -> tuple[object, object]:
    return entry.get("name"), entry.get("cylinder")


def _place(entry: Entry) -> tuple[object, object, object]:
    return entry.get("step"), entry.get("reading"), entry.get("cylinder")


def _both(ours: Entry, theirs: Entry, stays: bool) -> Iterator[str]:
    said = [_said(entry) for entry in (ours, theirs)]
    if said[0] == said[1]:
        return
    here, there = (
        f"{words} ({entry.by}, {wording.when(taken(entry))})"
        for words, entry in zip(said, (ours, theirs), strict=True)
    )
    if taken(ours) == taken(theirs):
        yield f"Here: {here}. There: {there}. Two copies differed at one second; here stands."
        return
    side = "here" if stays else "there"
    yield f"Here: {here}. There: {there}. What was taken later stands, that is {side}."


def _said(entry: Entry) -> str:
    keys = {key: value for key, value in entry.keys.items() if key not in BOOKKEEPING}
    return entry_words(Entry(entry.n, entry.kind, entry.at, entry.by, keys))
