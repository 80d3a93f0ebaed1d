"""What screens get from the app and the one way in which they ask it for something.

Everything here is frozen; after each entry the app hands every screen a new `View`. What the fields
are made of is not imported: screens know these before a session is there.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from inspect_tui.core.model.drawing import MachineDrawing
    from inspect_tui.core.model.figures import MissingFigure
    from inspect_tui.core.model.log_entry import Phase
    from inspect_tui.core.model.photo import Thumbnail
    from inspect_tui.core.model.results import Results, ToleranceInterval
    from inspect_tui.core.model.targets import Preview, Target
    from inspect_tui.core.seasons.carried import Carried
    from inspect_tui.core.seasons.machine_state import LastValue
    from inspect_tui.core.seasons.open_before import EarlierStop
    from inspect_tui.core.session.replay import Session
    from inspect_tui.workflow.at_start import DueLine
    from inspect_tui.workflow.catalogue import DefinitionLine, SessionLine
    from inspect_tui.workflow.inspection import Inspection

Request = Callable[["Inspection"], "tuple[str, ...] | None"]
"""One thing to do with the inspection; what has to be said about it comes back.

A screen never holds the inspection: it hands a request to `InspectionActions.submit`, the app does
it, and every screen is drawn from the new frozen results.
"""


@dataclass(frozen=True, slots=True)
class Progress:
    """The one count that every screen shows."""

    done: int
    """Steps that are done or skipped."""
    of: int
    """Steps of the job."""
    failed: int
    """Steps with something out of its limits."""
    minutes: float
    """About how long the rest takes, as far as the list says."""


@dataclass(frozen=True)
class View:
    """The inspection as it stands."""

    results: Results
    session: Session
    read_only: bool = False
    said: tuple[str, ...] = ()
    """What has to be said on opening: a torn tail that was moved, broken entries."""
    demo: bool = False
    """Whether this is the demonstration, in a store of its own."""
    broken: bool = False
    """Whether the log has entries that don't verify; said as long as it is open."""
    own_units: Mapping[tuple[str, str], str] = field(default_factory=dict)
    """By (step, reading): the unit that the person reads such figures in, by their settings."""
    lasts: Mapping[tuple[str, str, str | None], LastValue] = field(default_factory=dict)
    """By step, reading and cylinder: what the machine's last sessions left."""
    carried: tuple[Carried, ...] = ()
    """What earlier sessions put off, and this one has not settled."""
    earlier_stops: tuple[EarlierStop, ...] = ()
    """What earlier sessions left in the way of the engine running or the machine moving."""
    missing: Mapping[str, tuple[MissingFigure, ...]] = field(default_factory=dict)
    """By step: the figures that it asks for and the machine's sheet lacks."""
    not_known: frozenset[str] = frozenset()
    """The figures of which the sheet says that nobody knows them."""
    put_off: Mapping[str, str] = field(default_factory=dict)
    """By a list's id: what one says who puts something off until it, as the lists say it."""

    @cached_property
    def progress(self) -> Progress:
        """How far the job is, worked out once a view."""
        # Late: it belongs to what works results out, and there is one of those by now.
        from inspect_tui.core.evaluation.job.plan import failed_of, plan_of

        plan = plan_of(self.session, self.results)
        failed = failed_of(self.results.steps)
        return Progress(plan.done, plan.of, failed, plan.minutes_left)

    @property
    def signed(self) -> bool:
        """Whether only addenda may follow."""
        return self.session.signed is not None

    def caution_confirmed(self, step: str) -> bool:
        """Whether the step's caution (the list's: "") was confirmed in this session."""
        return any(one.step == step and not one.printed for one in self.session.cautions)


@dataclass(frozen=True)
class Catalogue:
    """What lies in the store: sessions, checklists, machine sheets."""

    sessions: tuple[SessionLine, ...] = ()
    checklists: tuple[DefinitionLine, ...] = ()
    machines: tuple[DefinitionLine, ...] = ()
    trouble: str = ""
    """Why the store can't be read."""
    where: str = ""
    """The store's folder, for showing."""
    more_sessions: int = 0
    """Further ones, which aren't in `sessions`."""
    due: tuple[DueLine, ...] = ()
    """What is due first, the late ones before the others."""
    reading: str = ""
    """How far the reading of changed logs is; what stands here is of before."""


def own_first(stock: Catalogue) -> tuple[DefinitionLine, ...]:
    """The machines: the one used last, the person's own, then the others."""
    used = [each.machine for each in stock.sessions]

    def rank(line: DefinitionLine) -> tuple[int, bool]:
        place = used.index(line.title) if line.title in used else len(used)
        return place, not line.own

    return tuple(sorted(stock.machines, key=rank))


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of a request. It is on the disk when `error` is empty."""

    said: tuple[str, ...] = ()
    error: str = ""

    @property
    def ok(self) -> bool:
        """Whether it was done."""
        return not self.error


class InspectionActions(Protocol):
    """What the app does for a screen while the screen waits.

    These are calls and not messages because type-ahead must hold: a reading has to be on the disk
    and the field moved on before the next key of a burst is looked at.
    """

    def submit(self, request: Request, *, unsaved: str = "") -> Outcome:
        """Do it now; every screen is handed the new view.

        Args:
            request: What to do.
            unsaved: What to do next where the disk doesn't take it, instead of the usual advice.
        """
        ...

    def preview(self, target: Target, text: str, phase: Phase) -> Preview:
        """What a typed text would be; writes nothing."""
        ...

    def zone(self, target: Target, phase: Phase) -> ToleranceInterval | None:
        """The limits that a reading is held against; None where it has none."""
        ...

    def figure_trouble(self, name: str, text: str) -> str:
        """Why a text can't be this figure of the machine's sheet; "" where it can. Writes nothing.

        Args:
            name: The figure's.
            text: What was typed.
        """
        ...

    def drawing(self) -> MachineDrawing | None:
        """The machine's side view; None where the list names none, or it can't be read."""
        ...

    def carried(self) -> tuple[Carried, ...]:
        """What earlier sessions of the machine put off, and this one has not settled."""
        ...

    def picture(self, photo: str, width: int, height: int) -> Thumbnail:
        """A photo of this session, small enough for so many pixels.

        Raises:
            BadInput: it is missing, was changed, or can't be shown.
        """
        ...
