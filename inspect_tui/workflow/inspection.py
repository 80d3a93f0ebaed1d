"""One inspection being done: the only joiner of core and files.

Commands and the app hold one `Inspection`; screens get its `results` and `session`, both frozen
and replaced after every entry. Written first, shown second.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, Self

from inspect_tui.core.definitions.of_log import Compiled
from inspect_tui.core.evaluation.conclusions import decisions
from inspect_tui.core.evaluation.conclusions.decisions import Decided, WantedPart
from inspect_tui.core.evaluation.diff import changed_verdicts
from inspect_tui.core.evaluation.evaluate_entries import Evaluated
from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.evaluation.job import acts
from inspect_tui.core.evaluation.job.sign_off import sign_off
from inspect_tui.core.evaluation.validate import Preview, ReadingValidator, Target
from inspect_tui.core.model.log_entry import Entry, Phase
from inspect_tui.core.model.machine import Machine
from inspect_tui.core.model.results import Results
from inspect_tui.core.seasons.carried import Carried, CarriedNow
from inspect_tui.core.seasons.open_before import EarlierStop, before
from inspect_tui.core.seasons.summary import CARRIED
from inspect_tui.core.session.replay import Session
from inspect_tui.core.text.sanitize import required_text, sanitize
from inspect_tui.errors import Refused
from inspect_tui.files import definition_files
from inspect_tui.files.store import Store
from inspect_tui.workflow import readings, reports, signing
from inspect_tui.workflow.cautions import Cautions
from inspect_tui.workflow.job import Job
from inspect_tui.workflow.open_session import OpenSession
from inspect_tui.workflow.photo_store import PhotoStore
from inspect_tui.workflow.session_log import SessionLog, closed_on_error

if TYPE_CHECKING:
    from inspect_tui.workflow.earlier_sessions import EarlierSessions

__all__ = ["Inspection", "Target", "WantedPart"]


class Inspection:
    """A session that is open for writing or for reading, and what a person does in it.

    It has a `log` (the file), `photos` (the store's), and what the log's entries come to. `said`
    holds what has to be told on opening: a torn tail that was moved, broken entries, figures that
    the sheet lacks.
    """

    def __init__(
        self, places: Store, log: SessionLog, by: str = "", said: tuple[str, ...] = ()
    ) -> None:
        self.places = places
        self.log = log
        self.photos = PhotoStore(places.photos)
        self.said = said
        self._open = OpenSession(log, by)
        self.by = self._open.by
        self.job = Job(self._open)
        self.cautions = Cautions(self._open, self._before)

    @classmethod
    def new(
        cls,
        places: Store,
        checklist: str,
        machine: str,
        by: str,
        now: Callable[[], datetime],
        *,
        only: Sequence[str] = (),
        items: Sequence[str] = (),
    ) -> Inspection:
        """Begin a session.

        Args:
            places: The store.
            checklist: An id, or a file's path.
            machine: The same of a sheet.
            by: Who does it.
            now: The clock.
            only: The sections and steps that the job takes in; without one, all.
            items: Steps of one's own, a line each.

        Raises:
            BadInput: no such checklist, sheet, section or step, an item that can't be read, or
                nobody named.
            Refused: problems in a file, each on a line.
            NotSaved: the disk did not take it.
        """
        from inspect_tui.workflow.begin import begin

        log, notes = begin(places, checklist, machine, by, now, only, items)
        with closed_on_error(log):
            return cls(places, log, said=log.notices + notes)

    @classmethod
    def open(
        cls,
        places: Store,
        session: str,
        now: Callable[[], datetime],
        *,
        write: bool = True,
        by: str = "",
        despite_broken: bool = False,
    ) -> Inspection:
        """Open a session by its id, or by the path of a log that ends in `.toml`.

        Raises:
            BadInput: there is no such session.
            Refused: another program has it open, or the log is broken (and `write`).
        """
        path = Path(session) if session.endswith(".toml") else places.log(session)
        log = SessionLog.open(path, now, write=write, despite_broken=despite_broken)
        with closed_on_error(log):
            return cls(places, log, by, log.notices)

    def close(self) -> None:
        """Give the log back. Safe to call twice."""
        self.log.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *about: object) -> None:
        self.close()

    @property
    def id(self) -> str:
        """What the session is called in this store: its file's name.

        Its own id, in `session.id`, is another one where it was received beside a session that
        had that id already, or where its file was renamed.
        """
        return self.log.path.stem

    # --- what stands ------------------------------------------------------------------------

    @property
    def _evaluated(self) -> Evaluated:
        return self._open.evaluated

    @property
    def session(self) -> Session:
        """What the entries add up to; replaced after each."""
        return self._evaluated.session

    @property
    def results(self) -> Results:
        """What follows from the session; replaced after each entry."""
        return self._evaluated.results

    @cached_property
    def earlier(self) -> EarlierSessions:
        """What the machine's earlier sessions leave to this one; looked up when first asked for."""
        # Late: it asks the store's index, and the first question should not wait for SQLite.
        from inspect_tui.workflow.earlier_sessions import EarlierSessions

        return EarlierSessions.of(self.places, self.id, self._evaluated)

    def look_back(self) -> None:
        """Read what earlier sessions leave now: a screen that asks later doesn't wait for it."""
        _ = self.earlier

    @property
    def carried(self) -> tuple[Carried, ...]:
        """What earlier sessions put off and this one has not settled."""
        return self.earlier.carried(self._evaluated)

    @property
    def carried_now(self) -> tuple[CarriedNow, ...]:
        """All that earlier sessions put off, with what became of it in this one."""
        return self.earlier.now(self._evaluated)

    @property
    def earlier_stops(self) -> tuple[EarlierStop, ...]:
        """What earlier sessions left in the way of the engine running or the machine moving."""
        return self.earlier.stops(self._evaluated)

    def _before(self, step: str) -> tuple[str, ...]:
        """What of it is said before a step; looked up only for one that begins something."""
        found = self.evaluator.compiled.steps.get(step)
        begins = "" if found is None else found.begins
        return before(begins, self.earlier_stops) if begins else ()

    def status(self) -> dict[str, Any]:
        """The session as `status --json` shows it, with what earlier sessions say."""
        return self.earlier.status(self.id, self._evaluated)

    @property
    def results_to_sign(self) -> Results:
        """The results, with what is carried and undecided in the way of the sign-off."""
        return self.earlier.with_blockers(self._evaluated, self.log.now().date())

    @property
    def evaluator(self) -> Evaluator:
        """The values of the session as it stands."""
        return self._evaluated.evaluator

    @property
    def validator(self) -> ReadingValidator:
        """What may be asked of the session as it stands."""
        return self._evaluated.validator

    @property
    def compiled(self) -> Compiled:
        """The checklist, with the steps that were added."""
        return self.evaluator.compiled

    @property
    def machine(self) -> Machine:
        """The machine sheet."""
        return self.evaluator.machine

    @property
    def entries(self) -> tuple[Entry, ...]:
        """The log's."""
        return self.log.entries

    @property
    def read_only(self) -> bool:
        """Whether nothing can be written: opened so, signed, or set aside."""
        return not self.log.writable or self.session.state != "open"

    # --- readings ---------------------------------------------------------------------------

    def preview(self, target: Target, text: str, phase: Phase) -> Preview:
        """What this text would be as that reading; writes nothing, raises nothing."""
        shown = self.validator.preview(target, text, phase)
        if shown.error or shown.question:
            return shown
        asked = self._asks(target, text)
        return replace(shown, question=asked) if asked else shown

    def record(
        self,
        values: Sequence[tuple[Target, str]],
        phase: Phase = "as-found",
        *,
        state: str = "",
        gauge: str = "",
        with_cautions: bool = False,
        paper: str = "",
    ) -> tuple[str, ...]:
        """Record readings, all or none; returns what has to be said (questions, advice).

        Args:
            values: Which reading, and what was typed; `file:PATH` takes a photo's file.
            phase: As found or as left.
            state: In what state it was taken (cold, loaded ...).
            gauge: Which gauge.
            with_cautions: Log the cautions of the steps as printed by a command.
            paper: When they were taken and by whom, where they are typed in from paper.

        Raises:
            BadInput: something can't be taken; nothing was written.
            Refused: signed, or open for reading only.
            NotSaved: the disk did not take it.
        """
        self._open.refuse_unless_open()
        self.look_back()  # before anything is written: what can't be read is said first
        said = readings.record(
            self._open, self.photos, values, phase, state, gauge, with_cautions, paper,
            self._before,
        )  # fmt: skip
        questioned = {text.partition(": ")[0] for text in said}
        asked = [self._asks(at, text) for at, text in values if str(at) not in questioned]
        return (*filter(None, asked), *said)

    def _asks(self, target: Target, text: str) -> str:
        """What is asked in the light of earlier sessions; "" where nothing is."""
        reading = self.evaluator.readings.get((target.step, target.reading))
        return "" if reading is None else self.earlier.asks(self._evaluated, target, reading, text)

    def take_back(self) -> str:
        """Take the last reading back: it stays readable, and what stood before stands again.

        Returns:
            Which it was, in a sentence.

        Raises:
            Refused: there is none; signed, set aside, or open for reading only.
        """
        self._open.refuse_unless_open()
        entry, words = acts.taken_back(self._evaluated)
        self._open.write(entry)
        return words

    def photo(self, step: str, path: Path, cylinder: str | None = None) -> tuple[str, ...]:
        """Put a photo at a step; returns what has to be said about it.

        Raises:
            BadInput: no such step, cylinder or file; or the file is no picture that can be taken.
            Refused: signed, or open for reading only.
            NotSaved: the disk did not take it.
        """
        self._open.refuse_unless_open()
        return readings.photo(self._open, self.photos, step, path, cylinder)

    def move(self, target: Target, from_phase: Phase) -> None:
        """Move a value that was put in the wrong phase to the other one."""
        self._open.refuse_unless_open()
        self._open.write(acts.moved(self._evaluated, target, from_phase))

    def set_conditions(self, /, **said: str) -> tuple[str, ...]:
        """Air of the day, as typed: temperature, qnh, altitude, relative_humidity.

        Everything that rests on it is worked out again; returns what changed its verdict.
        """
        self._open.refuse_unless_open()
        before = self.results
        self._open.write(acts.conditions(said))
        return changed_verdicts(before, self.results)

    # --- steps and findings -----------------------------------------------------------------

    def skip(
        self, step: str, why: str, reading: str | None = None, cylinder: str | None = None
    ) -> None:
        """Skip a step or one reading, with the reason.

        Raises:
            BadInput: no such step, reading or cylinder; no reason.
            Refused: the reading has a value, which would go on to stand.
        """
        self._open.refuse_unless_open()
        self._open.write(acts.skip(self._evaluated, step, why, reading, cylinder))

    def note(self, step: str, text: str) -> None:
        """Words at a step."""
        self._open.refuse_unless_open()
        self._open.write(acts.note(self._evaluated, step, text))

    def add_finding(self, step: str, text: str, cylinder: str | None = None) -> str:
        """A finding in a person's own words; returns its id (F1, F2 ...)."""
        self._open.refuse_unless_open()
        entry = acts.finding(self._evaluated, step, text, cylinder)
        self._open.write(entry)
        return str(entry[1]["id"])

    def add_step(self, section: str, title: str, unit: str = "") -> str:
        """A step thought of on the spot; returns its id (added-1 ...)."""
        self._open.refuse_unless_open()
        entry = acts.added_step(self._evaluated, section, title, unit)
        self._open.write(entry)
        return str(entry[1]["step"])

    def decide(
        self,
        finding: str,
        decision: str,
        why: str = "",
        until: str = "",
        *,
        part: WantedPart | None = None,
    ) -> None:
        """What is done about a finding.

        Raises:
            BadInput: no such finding or decision; `later` without a date or a checklist's id;
                `get-part` without a part.
            Refused: signed, set aside, or open for reading only.
        """
        self.decide_all([Decided(finding, decision, why, until, part)])

    def decide_all(self, decided: Sequence[Decided]) -> None:
        """What is done about several findings, all or none; raises what `decide` does."""
        self._open.refuse_unless_open()
        lists = definition_files.list_all("checklist", self.places)
        events = tuple(map(definition_files.id_of, lists))
        from_earlier = any(each.finding.startswith(CARRIED) for each in decided)
        carried = tuple(each.id for each in self.earlier.into) if from_earlier else ()
        self._open.write(
            *(decisions.decision(self._evaluated, each, events, carried) for each in decided)
        )

    # --- the sign-off -----------------------------------------------------------------------

    def sign(
        self,
        by: str,
        accept_open: str = "",
        key: Path | None = None,
        accept: Mapping[str, str] | None = None,
    ) -> None:
        """Sign off; with an SSH key, a signature over the sign-off's seal goes right after it.

        Args:
            by: Who signs.
            accept_open: The words in which open steps and undecided findings are accepted.
            key: An SSH key that signs too.
            accept: By safety step that has not passed: the words in which it is accepted.

        Raises:
            Refused: something is open and not accepted, each named; or the key did not sign, and
                then nothing is written.
            BadInput: nobody named, a key that can't sign here, or a step that needs no words.
        """
        self._open.refuse_unless_open()
        by = required_text("who signs", by)
        keys = sign_off(self.results_to_sign, accept_open, accept or {})
        self._open.write(
            ("signed", keys), by=by, following=None if key is None else signing.signer(by, key)
        )

    def add_signature(self, by: str, key: Path) -> None:
        """Put an SSH signature over the seal of the sign-off that is there already.

        Raises:
            Refused: the session is not signed off, or the key did not sign.
            BadInput: nobody named, or a key that can't sign here.
        """
        by = required_text("who signs", by)
        self._open.write(signing.signature(self.id, self.entries, key), by=by)

    def addendum(self, text: str, by: str = "") -> None:
        """Words added after the sign-off. Raises Refused while the session is open."""
        if self.session.signed is None:
            raise Refused(
                f"Session {self.id} is not signed yet, so it takes no addendum.",
                "Use 'note'.",
            )
        self._open.write(
            ("addendum", {"text": required_text("the addendum", text)}), by=sanitize(by)
        )

    def export(self, form: str, photo_metadata: bool = False, with_log: bool = False) -> bytes:
        """The report in one form (`reports.Wanted` says what can be asked for)."""
        wanted = reports.Wanted(form, photo_metadata, with_log)
        return reports.export(
            self.log, self._evaluated, self.places, wanted, self.carried_now, self.earlier_stops
        )

    def save_report(self, form: str) -> str:
        """Write the report into the store's folder `reports`; returns the file's path.

        Raises:
            NotSaved: the disk did not take it.
        """
        return str(reports.save(self.places, self.id, form, self.export(form)))

    def resume(self) -> None:
        """Log that the app goes on with this session; nothing where it can't be written."""
        if not self.read_only:
            self._open.write(("resumed", {}))
