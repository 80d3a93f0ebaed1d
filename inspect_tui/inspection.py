"""One inspection being done: the only joiner of core and files.

Commands and the app hold one `Inspection`; screens get its `results` and `session`, both frozen
and replaced after every entry. Written first, shown second.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

from inspect_tui.core.definitions import Compiled
from inspect_tui.core.entries import Entry, Phase
from inspect_tui.core.machine import Machine
from inspect_tui.core.results import Judged, Results
from inspect_tui.core.session import Session
from inspect_tui.files.places import Places


@dataclass(frozen=True, slots=True)
class Target:
    """Which reading: step, reading, cylinder (None where the step is not per cylinder)."""

    step: str
    reading: str
    cylinder: str | None = None


@dataclass(frozen=True, slots=True)
class Preview:
    """What a typed text would be, not entered yet. `error` is set where it can't be taken."""

    shown: str = ""
    """As understood: `31.75 mm`, `yes`."""
    value: object = None
    judged: Judged | None = None
    question: str = ""
    """A probable slip of the unit or the decimal point."""
    error: str = ""


@dataclass(frozen=True, slots=True)
class SessionLine:
    """One session in a list."""

    id: str
    checklist: str
    machine: str
    by: str
    state: str
    """`open`, `signed`, or `broken` with the reason in `trouble`."""
    done: int
    steps: int
    last: datetime | None
    open_findings: int = 0
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class DefinitionLine:
    """One checklist or machine sheet in a list."""

    id: str
    title: str
    path: str
    own: bool
    """The person's own rather than shipped."""
    steps: int = 0
    readings: int = 0
    cylinders: tuple[str, ...] = ()
    trouble: str = ""


class Inspection:
    """A session that is open for writing or for reading."""

    session: Session
    results: Results
    compiled: Compiled
    machine: Machine
    entries: tuple[Entry, ...]
    said: tuple[str, ...]
    """What has to be said on opening: a torn tail that was moved, broken entries."""
    read_only: bool

    @classmethod
    def new(
        cls, places: Places, checklist: str, machine: str, by: str, now: Callable[[], datetime]
    ) -> Inspection:
        """Begin a session. Raises BadInput (unknown id), Refused (problems in a file)."""
        raise NotImplementedError

    @classmethod
    def open(
        cls,
        places: Places,
        session: str,
        now: Callable[[], datetime],
        *,
        write: bool = True,
        by: str = "",
    ) -> Inspection:
        """Open a session by its id (or the path of a log, for reading)."""
        raise NotImplementedError

    def close(self) -> None:
        """Give the log back. Safe to call twice."""
        raise NotImplementedError

    def preview(self, target: Target, text: str, phase: Phase) -> Preview:
        """What this text would be as that reading; writes nothing, raises nothing."""
        raise NotImplementedError

    def record(
        self,
        values: Sequence[tuple[Target, str]],
        phase: Phase = "as-found",
        *,
        state: str = "",
        gauge: str = "",
    ) -> tuple[str, ...]:
        """Record readings, all or none; returns what has to be said (questions, advice).

        Raises BadInput (nothing written), Refused (signed, read-only), NotSaved.
        """
        raise NotImplementedError

    def skip(
        self, step: str, why: str, reading: str | None = None, cylinder: str | None = None
    ) -> None:
        """Skip a step or one reading, with the reason."""
        raise NotImplementedError

    def note(self, step: str, text: str) -> None:
        """Words at a step."""
        raise NotImplementedError

    def find(self, step: str, text: str, cylinder: str | None = None) -> str:
        """A finding in a person's own words; returns its id (F1, F2 ...)."""
        raise NotImplementedError

    def add_step(self, section: str, title: str, unit: str = "") -> str:
        """A step thought of on the spot; returns its id (added-1 ...)."""
        raise NotImplementedError

    def decide(self, finding: str, decision: str, why: str = "", until: str = "") -> None:
        """What is done about a finding. `later` wants `until`: a date or a checklist's id."""
        raise NotImplementedError

    def confirm_caution(self, step: str = "") -> None:
        """The caution of a step (or of the list, "") was read. Written once a session."""
        raise NotImplementedError

    def caution_confirmed(self, step: str = "") -> bool:
        """Whether it was confirmed in this session."""
        raise NotImplementedError

    def set_conditions(self, **typed: str) -> tuple[str, ...]:
        """Air of the day, as typed: temperature, qnh, altitude, relative_humidity."""
        raise NotImplementedError

    def move(self, target: Target, from_phase: Phase) -> None:
        """Move a value that was put in the wrong phase to the other one."""
        raise NotImplementedError

    def sign(self, by: str, accept_open: str = "") -> None:
        """Sign off. Raises Refused, saying each open thing, unless `accept_open` has words."""
        raise NotImplementedError

    def addendum(self, text: str) -> None:
        """Words added after the sign-off."""
        raise NotImplementedError

    def export(self, form: str) -> bytes:
        """The report: md, html, csv, json or pdf."""
        raise NotImplementedError


def sessions(places: Places) -> list[SessionLine]:
    """Every session in the store, the last used first."""
    raise NotImplementedError


def checklists(places: Places) -> list[DefinitionLine]:
    """Every checklist: the person's own, then the shipped ones."""
    raise NotImplementedError


def machines(places: Places) -> list[DefinitionLine]:
    """Every machine sheet."""
    raise NotImplementedError
