"""What the entries of a log add up to: one session, replayed; and which entry is allowed next."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Literal

from inspect_tui.core.model.log_entry import AFTER_SIGNED, BOOKKEEPING, KINDS, Entry, Phase
from inspect_tui.core.model.photo import hash_of
from inspect_tui.core.session.reading_history import (
    Key,
    ReadingHistory,
    ReadingKey,
    Recorded,
    SupersededReadings,
    Value,
)
from inspect_tui.errors import Refused

__all__ = [
    "AddedStep", "Caution", "Combined", "Decision", "Key", "Note", "PersonFinding", "Photo",
    "ReadingKey", "Recorded", "Replay", "Session", "Signed", "Skip", "replay",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Skip:
    """A step or a reading that was skipped, with the reason."""

    step: str
    reading: str | None
    cylinder: str | None
    why: str
    at: datetime
    by: str
    n: int


@dataclass(frozen=True, slots=True)
class Note:
    """Words at a step (or, for an addendum, at the session)."""

    step: str
    text: str
    at: datetime
    by: str
    n: int


@dataclass(frozen=True, slots=True)
class PersonFinding:
    """A finding in a person's own words: F1, F2 ..."""

    id: str
    step: str
    text: str
    cylinder: str | None
    at: datetime
    by: str
    n: int


@dataclass(frozen=True, slots=True)
class Decision:
    """What was decided about a finding, and on which values."""

    finding: str
    decision: str
    """`put-right`, `run-as-found`, `later` or `get-part`."""
    why: str
    until: str
    at: datetime
    by: str
    n: int
    basis: Mapping[ReadingKey, Value] = field(default_factory=dict, compare=False)
    """The readings that stood when it was made."""
    air: Mapping[str, str] = field(default_factory=dict, compare=False)
    """The session's air as typed when it was made."""


@dataclass(frozen=True, slots=True)
class Caution:
    """A caution that was confirmed; `step` is "" for the list's own."""

    step: str
    at: datetime
    by: str
    printed: bool = False
    """A command printed it; nobody confirmed it."""


@dataclass(frozen=True, slots=True)
class Signed:
    """The sign-off."""

    by: str
    at: datetime
    open: tuple[str, ...]
    accepted: str
    n: int
    seal: str


@dataclass(frozen=True, slots=True)
class AddedStep:
    """A step thought of on the spot; its reading is `value`."""

    id: str
    section: str
    title: str
    unit: str


@dataclass(frozen=True, slots=True)
class Photo:
    """A photo at a step."""

    step: str
    cylinder: str | None
    photo: str
    """Its file name in the store: the hash of its content and its kind."""
    name: str
    """What the file was called."""
    at: datetime
    by: str
    n: int


@dataclass(frozen=True, slots=True)
class Combined:
    """Another copy of this log that was carried on apart, and combined with this one."""

    common: int
    """The last entry that both have."""
    entries: int
    """How many of the other side's are carried."""
    last_seal: str
    at: datetime
    by: str
    n: int


@dataclass(frozen=True)
class Session:
    """What the entries add up to. Replaced, never changed."""

    id: str
    by: str
    """Who opened it."""
    opened: datetime
    last: datetime
    program: str
    checklist_text: str
    machine_text: str
    readings: Mapping[ReadingKey, Recorded]
    earlier: SupersededReadings
    """Values that were corrected, oldest first; they stay readable."""
    skips: Mapping[tuple[str, str | None, str | None], Skip]
    """Those that stand: a later reading lifts a skip."""
    notes: tuple[Note, ...]
    findings: tuple[PersonFinding, ...]
    decisions: Mapping[str, Decision]
    """The last one of each finding."""
    cautions: tuple[Caution, ...]
    added: tuple[AddedStep, ...]
    conditions: Mapping[str, str]
    """The air as typed; `evaluation` weighs it against readings that say a condition."""
    conditions_at: Mapping[str, int]
    """By condition: the number of the entry that says it."""
    signed: Signed | None
    addenda: tuple[Note, ...]
    unknown: tuple[Entry, ...]
    """Entries of kinds that this version doesn't know."""
    entries: int = 0
    photos: tuple[Photo, ...] = ()
    combined: tuple[Combined, ...] = ()

    def photos_at(self, step: str) -> tuple[Photo, ...]:
        """The photos of a step, those that stand as readings too, in the order of the log."""
        taken = (
            Photo(row.step, row.cylinder, row.photo, row.entered, row.at, row.by, row.n)
            for row in self.readings.values()
            if row.photo
        )
        found = (photo for photo in (*self.photos, *taken) if photo.step == step)
        return tuple(sorted(found, key=lambda photo: photo.n))

    @property
    def state(self) -> Literal["open", "signed"]:
        """Whether it may still be changed."""
        return "open" if self.signed is None else "signed"


class Replay:
    """The growing state while entries are read; `session` gives what they add up to so far.

    Raises:
        Refused: the first entry isn't `opened`.
    """

    def __init__(self, opened: Entry | None) -> None:
        if opened is None or opened.kind != "opened":
            raise Refused("The log does not begin with its 'opened' entry, so it is no session.")
        self.opened = opened
        self.last = opened.at
        self.standing = ReadingHistory()
        self.skips: dict[tuple[str, str | None, str | None], Skip] = {}
        self.notes: list[Note] = []
        self.findings: list[PersonFinding] = []
        self.decisions: dict[str, Decision] = {}
        self.cautions: list[Caution] = []
        self.added: list[AddedStep] = []
        self.conditions: dict[str, str] = {}
        self.conditions_at: dict[str, int] = {}
        self.signed: Signed | None = None
        self.addenda: list[Note] = []
        self.unknown: list[Entry] = []
        self.photos: list[Photo] = []
        self.combined: list[Combined] = []
        self.count = 1

    def take(self, entry: Entry) -> None:
        """Add one entry; what can't be understood is kept as unknown, never dropped."""
        self.count += 1
        if entry.at > self.last:
            self.last = entry.at
        act = _ACTS.get(entry.kind)
        late = self.signed is not None and entry.kind not in AFTER_SIGNED
        if act is None or late:
            if late or entry.kind not in KINDS:
                self.unknown.append(entry)
            return
        taken = entry.keys.get("taken")
        if isinstance(taken, datetime) and taken.utcoffset() is not None:
            entry = replace(entry, at=taken)  # from the other copy: it was taken then
        try:
            act(self, entry)
        except (KeyError, TypeError, ValueError, OverflowError):
            self.unknown.append(entry)

    def _reading(self, entry: Entry) -> None:
        keys = entry.keys
        phase: Phase = "as-left" if keys["phase"] == "as-left" else "as-found"
        step, reading = _text(keys["step"]), _text(keys["reading"])
        cylinder = _maybe(keys.get("cylinder"))
        _number_or_text(keys["value"])
        _text(keys["entered"])
        here = self.count - 1
        self.standing.take((step, reading, cylinder, phase), entry, here)
        moved = keys.get("moved_from")
        if moved in ("as-found", "as-left") and moved != phase:
            self.standing.end((step, reading, cylinder, moved), here)
        if self.skips:
            for lifted in ((step, None, None), (step, reading, cylinder)):
                self.skips.pop(lifted, None)

    def _skipped(self, entry: Entry) -> None:
        keys = entry.keys
        step = _text(keys["step"])
        reading, cylinder = _maybe(keys.get("reading")), _maybe(keys.get("cylinder"))
        self.skips[step, reading, cylinder] = Skip(
            step, reading, cylinder, str(keys.get("why", "")), entry.at, entry.by, entry.n
        )

    def _note(self, entry: Entry) -> None:
        self.notes.append(_note(entry))

    def _addendum(self, entry: Entry) -> None:
        self.addenda.append(_note(entry))

    def _finding(self, entry: Entry) -> None:
        keys = entry.keys
        self.findings.append(
            PersonFinding(
                str(keys.get("id", f"F{len(self.findings) + 1}")), _text(keys["step"]),
                _text(keys["text"]), _maybe(keys.get("cylinder")), entry.at, entry.by, entry.n,
            )
        )  # fmt: skip

    def _decision(self, entry: Entry) -> None:
        keys = entry.keys
        finding = _text(keys["finding"])
        self.decisions[finding] = Decision(
            finding, _text(keys["decision"]), str(keys.get("why", "")), str(keys.get("until", "")),
            entry.at, entry.by, entry.n, self.standing.basis(self.count - 1), dict(self.conditions),
        )  # fmt: skip

    def _caution(self, entry: Entry) -> None:
        printed = entry.get("printed") is True
        self.cautions.append(Caution(str(entry.get("step", "")), entry.at, entry.by, printed))

    def _step_added(self, entry: Entry) -> None:
        keys = entry.keys
        number = len(self.added) + 1
        self.added.append(
            AddedStep(
                str(keys.get("step", f"added-{number}")), _text(keys["section"]),
                _text(keys["title"]), str(keys.get("unit", "")),
            )
        )  # fmt: skip

    def _conditions_set(self, entry: Entry) -> None:
        said = {key: str(value) for key, value in entry.keys.items() if key not in BOOKKEEPING}
        self.conditions.update(said)
        self.conditions_at.update(dict.fromkeys(said, entry.n))

    def _sign(self, entry: Entry) -> None:
        if self.signed is None:
            left = tuple(str(text) for text in entry.get("open", []))
            accepted = str(entry.get("accepted", ""))
            self.signed = Signed(entry.by, entry.at, left, accepted, entry.n, entry.seal)

    def _photo(self, entry: Entry) -> None:
        keys = entry.keys
        if not hash_of(keys["photo"]):
            raise ValueError("a photo is called by its hash")
        self.photos.append(
            Photo(
                _text(keys["step"]), _maybe(keys.get("cylinder")), keys["photo"],
                str(keys.get("name", "")), entry.at, entry.by, entry.n,
            )
        )  # fmt: skip

    def _combine(self, entry: Entry) -> None:
        keys = entry.keys
        self.combined.append(
            Combined(
                int(keys["common"]), int(keys["entries"]), _text(keys["last_seal"]), entry.at,
                entry.by, entry.n,
            )
        )  # fmt: skip

    def session(self) -> Session:
        """What the entries so far add up to."""
        return Session(
            id=str(self.opened.get("session", "")),
            by=self.opened.by,
            opened=self.opened.at,
            last=self.last,
            program=str(self.opened.get("program", "")),
            checklist_text=str(self.opened.get("checklist", "")),
            machine_text=str(self.opened.get("machine", "")),
            readings=self.standing.readings(),
            earlier=self.standing.earlier(),
            skips=dict(self.skips),
            notes=tuple(self.notes),
            findings=tuple(self.findings),
            decisions=dict(self.decisions),
            cautions=tuple(self.cautions),
            added=tuple(self.added),
            conditions=dict(self.conditions),
            conditions_at=dict(self.conditions_at),
            signed=self.signed,
            addenda=tuple(self.addenda),
            unknown=tuple(self.unknown),
            entries=self.count,
            photos=tuple(self.photos),
            combined=tuple(self.combined),
        )


_ACTS = {
    "reading": Replay._reading,
    "skipped": Replay._skipped,
    "note": Replay._note,
    "addendum": Replay._addendum,
    "finding": Replay._finding,
    "decision": Replay._decision,
    "caution": Replay._caution,
    "step-added": Replay._step_added,
    "conditions": Replay._conditions_set,
    "signed": Replay._sign,
    "photo": Replay._photo,
    "combined": Replay._combine,
    "joined": Replay._combine,
}


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise TypeError("text is wanted")
    return value


def _number_or_text(value: object) -> None:
    kind = type(value)
    if kind not in (int, float, str, bool):
        raise TypeError("a reading's value is a number, true/false or text")
    if kind in (int, float) and not math.isfinite(value):  # type: ignore[arg-type]
        raise ValueError("a reading's value is finite")


def _maybe(value: object) -> str | None:
    return None if value is None else _text(value)


def _note(entry: Entry) -> Note:
    return Note(str(entry.get("step", "")), _text(entry.keys["text"]), entry.at, entry.by, entry.n)


def replay(entries: Iterable[Entry]) -> Session:
    """The session that these entries add up to.

    Broken entries (a seal that doesn't hold) count as they stand; the log says what is wrong
    with them. Entries after `signed` that would change something are kept apart as unknown.

    Raises:
        Refused: the first entry isn't `opened`.
    """
    stream = iter(entries)
    state = Replay(next(stream, None))
    for entry in stream:
        state.take(entry)
    return state.session()
