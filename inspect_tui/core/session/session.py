"""What the entries of a log add up to, as frozen values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal

from inspect_tui.core.model.log_entry import Entry
from inspect_tui.core.session.reading_history import ReadingKey, Recorded, SupersededReadings, Value


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
    part: str = ""
    """The part to get."""
    quantity: int | float = 1
    number: str = ""
    """The part's number, as its maker writes it."""


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
    accepted_steps: Mapping[str, str] = field(default_factory=dict)
    """By safety step that has not passed: the words in which it was accepted."""
    left_out: tuple[str, ...] = ()
    """What the job did not take in, a sentence each."""


@dataclass(frozen=True, slots=True)
class Withdrawn:
    """A reading that was taken back."""

    of: int
    """The number of its entry."""
    at: datetime
    by: str
    n: int


@dataclass(frozen=True, slots=True)
class SetAside:
    """The session was begun by mistake."""

    why: str
    at: datetime
    by: str
    n: int


@dataclass(frozen=True, slots=True)
class SheetFigure:
    """A figure of the machine sheet that was entered, or corrected, in this session."""

    name: str
    cylinder: str | None
    """None: one value for all, or the whole list."""
    value: int | float | str | tuple[int | float | str, ...]
    """As in the sheet: a number, a quantity, words, or a list with one value per cylinder."""
    source: str
    at: datetime
    by: str
    n: int


@dataclass(frozen=True, slots=True)
class PartState:
    """How far a part is that was to be got: `got` or `fitted`."""

    part: str
    state: str
    at: datetime
    by: str
    n: int


@dataclass(frozen=True, slots=True)
class AddedStep:
    """A step thought of on the spot; its reading is `value`."""

    id: str
    section: str
    title: str
    unit: str
    item: str = ""
    """The line that it was typed as, where that says more than title and unit."""
    text: str = ""
    """The text of a list that holds it alone, where it was taken from another one."""


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
    only: tuple[str, ...] | None = None
    """The sections and steps that the job took in when it was opened; None: all."""
    widened: tuple[str, ...] = ()
    """Those that it takes in after all."""
    figures: tuple[SheetFigure, ...] = ()
    """Entered in this session, in the order of the log."""
    parts: tuple[PartState, ...] = ()
    """What was said of parts, in the order of the log."""
    withdrawn: tuple[Withdrawn, ...] = ()
    set_aside: SetAside | None = None

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
    def state(self) -> Literal["open", "signed", "set-aside"]:
        """Whether it may still be changed."""
        if self.set_aside is not None:
            return "set-aside"
        return "open" if self.signed is None else "signed"
