"""What the entries of a log add up to: one session, replayed; and which entry is allowed next."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal

from inspect_tui.core.entries import Entry, Phase
from inspect_tui.core.units import Number

Key = tuple[str, str, str | None]
"""(step, reading, cylinder or None)."""
ReadingKey = tuple[str, str, str | None, Phase]


@dataclass(frozen=True, slots=True)
class Recorded:
    """One reading as it stands."""

    step: str
    reading: str
    cylinder: str | None
    phase: Phase
    entered: str
    value: Number | bool | str
    """Re-read from `entered` where that is possible (exact), else the logged value."""
    unit: str
    at: datetime
    by: str
    n: int
    uncertainty: Number | None = None
    """Expanded (k = 2), own unit, as typed or from repeats; None: the checklist's counts."""
    state: str = ""
    gauge: str = ""


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
    basis: Mapping[ReadingKey, Number | bool | str] = field(default_factory=dict, compare=False)
    """The readings that stood when it was made."""


@dataclass(frozen=True, slots=True)
class Caution:
    """A caution that was confirmed; `step` is "" for the list's own."""

    step: str
    at: datetime
    by: str


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
    earlier: Mapping[ReadingKey, tuple[Recorded, ...]]
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
    signed: Signed | None
    addenda: tuple[Note, ...]
    unknown: tuple[Entry, ...]
    """Entries of kinds that this version doesn't know."""
    entries: int = 0

    @property
    def state(self) -> Literal["open", "signed"]:
        """Whether it may still be changed."""
        return "open" if self.signed is None else "signed"


def replay(entries: Iterable[Entry]) -> Session:
    """The session that these entries add up to. Raises Refused if the first isn't `opened`."""
    raise NotImplementedError
