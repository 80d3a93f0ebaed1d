"""What a screen asks the app to do with the inspection, one frozen request an action.

A screen never holds the inspection: it hands a request to `InspectionActions.submit` (see
`view_model.py`), the app applies it, and every screen is drawn from the new frozen results.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from inspect_tui.core.model.log_entry import Phase
from inspect_tui.core.model.photo import typed_file
from inspect_tui.core.model.targets import Target
from inspect_tui.files.store import typed_path

if TYPE_CHECKING:
    from inspect_tui.workflow.inspection import Inspection


class Request(Protocol):
    """One thing to do; what has to be said about it comes back."""

    def apply(self, inspection: Inspection) -> tuple[str, ...]:
        """Do it. Raises InspectError where it can't be done; nothing is written then."""
        ...


@dataclass(frozen=True, slots=True)
class Record:
    """A typed reading."""

    target: Target
    text: str
    phase: Phase
    state: str = ""
    gauge: str = ""

    def apply(self, inspection: Inspection) -> tuple[str, ...]:
        """Record it in its phase."""
        return inspection.record(
            [(self.target, self.text)], self.phase, state=self.state, gauge=self.gauge
        )


@dataclass(frozen=True, slots=True)
class RecordAll:
    """Several readings of one phase, all or none: the rest of a step left as found."""

    values: tuple[tuple[Target, str], ...]
    phase: Phase

    def apply(self, inspection: Inspection) -> tuple[str, ...]:
        """Record them in one write."""
        return inspection.record(self.values, self.phase)


@dataclass(frozen=True, slots=True)
class Skip:
    """A step, or one reading of it, that can't be done, with the reason."""

    step: str
    why: str
    reading: str | None = None
    cylinder: str | None = None

    def apply(self, inspection: Inspection) -> tuple[str, ...]:
        """Skip it."""
        inspection.skip(self.step, self.why, self.reading, self.cylinder)
        return ()


@dataclass(frozen=True, slots=True)
class NoteAt:
    """Words at a step."""

    step: str
    text: str

    def apply(self, inspection: Inspection) -> tuple[str, ...]:
        """Write them down."""
        inspection.note(self.step, self.text)
        return ()


@dataclass(frozen=True, slots=True)
class Find:
    """A finding in a person's own words."""

    step: str
    text: str
    cylinder: str | None = None

    def apply(self, inspection: Inspection) -> tuple[str, ...]:
        """Write it down and say its id."""
        return (f"Finding {inspection.add_finding(self.step, self.text, self.cylinder)}.",)


@dataclass(frozen=True, slots=True)
class AddStep:
    """A step thought of on the spot."""

    section: str
    title: str
    unit: str = ""

    def apply(self, inspection: Inspection) -> tuple[str, ...]:
        """Add it and say its id."""
        return (f"Added as {inspection.add_step(self.section, self.title, self.unit)}.",)


@dataclass(frozen=True, slots=True)
class Decide:
    """What is done about a finding."""

    finding: str
    decision: str
    why: str = ""
    until: str = ""

    def apply(self, inspection: Inspection) -> tuple[str, ...]:
        """Write the decision down."""
        inspection.decide(self.finding, self.decision, self.why, self.until)
        return ()


@dataclass(frozen=True, slots=True)
class ConfirmCaution:
    """A caution was read; the list's own has step ""."""

    step: str = ""

    def apply(self, inspection: Inspection) -> tuple[str, ...]:
        """Log it, once a session."""
        inspection.confirm_caution(self.step)
        return ()


@dataclass(frozen=True, slots=True)
class ConfirmBegin:
    """Go on at a step that starts the engine or moves the machine."""

    step: str

    def apply(self, inspection: Inspection) -> tuple[str, ...]:
        """Log what the person was told before it."""
        inspection.confirm_begin(self.step)
        return ()


@dataclass(frozen=True, slots=True)
class KeepCopy:
    """The session into a folder on another disk, with what could not be saved."""

    folder: str
    unsaved: tuple[str, ...] = ()

    def apply(self, inspection: Inspection) -> tuple[str, ...]:
        """Write it and say where."""
        return inspection.log.keep_copy(typed_path(self.folder.strip()), self.unsaved)


@dataclass(frozen=True, slots=True)
class AttachPhoto:
    """A picture's file to a step."""

    step: str
    path: str
    cylinder: str | None = None

    def apply(self, inspection: Inspection) -> tuple[str, ...]:
        """Take it into the store."""
        path = typed_file(self.path)
        file = typed_path(self.path.strip() if path is None else path)
        return inspection.photo(self.step, file, self.cylinder)


@dataclass(frozen=True, slots=True)
class Move:
    """A value that was put in the wrong phase goes to the other one."""

    target: Target
    from_phase: Phase

    def apply(self, inspection: Inspection) -> tuple[str, ...]:
        """Move it."""
        inspection.move(self.target, self.from_phase)
        return ()


@dataclass(frozen=True, slots=True)
class SetConditions:
    """One figure of the air of the day, as typed."""

    name: str
    text: str

    def apply(self, inspection: Inspection) -> tuple[str, ...]:
        """Write it down."""
        return inspection.set_conditions(**{self.name: self.text})


@dataclass(frozen=True, slots=True)
class Sign:
    """The sign-off, with the words that accept what is open."""

    by: str
    accept_open: str = ""

    def apply(self, inspection: Inspection) -> tuple[str, ...]:
        """Sign."""
        unpassed = (each.id for each in inspection.results.blockers if each.kind == "safety")
        inspection.sign(self.by, self.accept_open, accept=dict.fromkeys(unpassed, self.accept_open))
        return ()


@dataclass(frozen=True, slots=True)
class Addendum:
    """Words added after the sign-off."""

    text: str

    def apply(self, inspection: Inspection) -> tuple[str, ...]:
        """Add them."""
        inspection.addendum(self.text)
        return ()


@dataclass(frozen=True, slots=True)
class Export:
    """The report in one form, written into the store's reports."""

    form: str

    def apply(self, inspection: Inspection) -> tuple[str, ...]:
        """Write it and say where."""
        return (f"Written to {inspection.save_report(self.form)}",)
