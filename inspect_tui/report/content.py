"""What a report says, once, for every format: built from a session, its results and its log.

Pure. The format modules draw this and decide nothing. All texts stand as people and files wrote
them; each format makes them harmless in its own way.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from inspect_tui.core import strip, wording
from inspect_tui.core.checklist import Derived, Reading, Step
from inspect_tui.core.entries import Entry, Phase
from inspect_tui.core.results import (
    DerivedRow,
    Finding,
    Judged,
    ReadingRow,
    Results,
    StepResult,
    Verdict,
    Zone,
)
from inspect_tui.core.session import Caution, Decision, Note, Recorded, Session
from inspect_tui.core.shown import show
from inspect_tui.core.units import Number

PHASES: tuple[Phase, Phase] = ("as-found", "as-left")


@dataclass(frozen=True, slots=True)
class LogState:
    """Whether the log verifies, as its reader found it."""

    problems: tuple[str, ...] = ()
    """One sentence a fault: a seal that doesn't hold, time running backwards."""
    torn: int = 0
    """Bytes after the last complete seal line."""

    @property
    def whole(self) -> bool:
        """Whether every seal holds and nothing is torn."""
        return not self.problems and not self.torn


@dataclass(frozen=True, slots=True)
class Stood:
    """One value in one phase."""

    phase: Phase
    value: Number | bool | str | None
    unit: str
    judged: Judged
    entered: str = ""
    """As typed; "" for a derived value."""
    reason: str = ""
    """Why a derived value can't be worked out."""
    at: datetime | None = None
    by: str = ""
    state: str = ""
    gauge: str = ""

    @property
    def shown(self) -> str:
        """The value as people read it, or why there is none."""
        if self.value is None:
            if not self.reason or self.reason.startswith("not measured"):
                return self.reason or "not worked out"
            return f"not worked out: {self.reason}"
        return show(self.value, self.unit)

    @property
    def shown_as_entered(self) -> str:
        """The value with what was typed for it where that reads otherwise."""
        entered = " ".join(self.entered.split())
        alone = "" if self.value is None else show(self.value)
        if not entered or entered in (self.shown, alone):
            return self.shown
        return f"{self.shown} (entered {self.entered})"

    @property
    def words(self) -> str:
        """The verdict in words with what it rests on."""
        return wording.verdict_words(self.judged, self.unit)

    @property
    def circumstances(self) -> str:
        """State of the machine and gauge, where they were given."""
        parts = (("state", self.state), ("gauge", self.gauge))
        return ", ".join(f"{name}: {text}" for name, text in parts if text)


@dataclass(frozen=True, slots=True)
class Line:
    """One reading or derived value (of one cylinder), as found and as left."""

    step: str
    id: str
    label: str
    cylinder: str | None
    derived: bool
    values: tuple[Stood, ...]
    earlier: tuple[Recorded, ...] = ()
    """Values that were corrected, in the order in which they were entered."""
    skipped: str = ""
    """Why it was skipped; "" where it wasn't."""
    formula: str = ""
    source: str = ""
    """Where the limit comes from."""
    optional: bool = False

    @property
    def place(self) -> str:
        """`belt.width@PTO`, as commands name it."""
        return wording.place(self.step, self.id, self.cylinder)

    def stood(self, phase: Phase) -> Stood | None:
        """The value in a phase."""
        return next((value for value in self.values if value.phase == phase), None)

    @property
    def name(self) -> str:
        """Label and cylinder."""
        return self.label if self.cylinder is None else f"{self.label}, {self.cylinder}"

    @property
    def shown(self) -> tuple[str, str]:
        """What stands under as found and as left."""
        found, left = self.stood("as-found"), self.stood("as-left")
        missing = ""
        if self.skipped:
            missing = f"skipped: {self.skipped}"
        elif not self.values:
            missing = "not measured (optional)" if self.optional else "not measured"
        return (
            missing if found is None else found.shown_as_entered,
            "" if left is None else left.shown_as_entered,
        )

    @property
    def verdicts(self) -> tuple[tuple[Verdict, str], ...]:
        """(verdict, sign and words with what it rests on), a phase each where there are both."""
        judged = [value for value in self.values if value.judged.zone is not None]
        return tuple(
            (
                value.judged.verdict,
                (f"{wording.PHASES[value.phase].word}: " if len(judged) > 1 else "")
                + f"{wording.VERDICTS[value.judged.verdict].sign} {value.words}",
            )
            for value in judged
        )

    @property
    def verdict(self) -> str:
        """The verdicts as one text, a line each."""
        return "\n".join(words for _, words in self.verdicts)

    @property
    def extras(self) -> tuple[str, ...]:
        """What else is to be said of it, one line each: formula, gauge, corrected values."""
        lines: list[str] = []
        if self.formula:
            lines.append(f"{self.name} = {self.formula}")
        if self.source:
            lines.append(f"{self.name}: limit from {self.source}")
        for value in self.values:
            if value.circumstances:
                phase = wording.PHASES[value.phase].word
                lines.append(f"{self.name}, {phase}: {value.circumstances}")
        for row in self.earlier:
            phase = wording.PHASES[row.phase].word
            lines.append(
                f"{self.name}, {phase}, corrected: was {row.entered} "
                f"({row.by}, {wording.when(row.at)})"
            )
        return tuple(lines)

    @property
    def limit(self) -> str:
        """The limit in words; both where what follows from readings moved it."""
        zones = [(value.phase, wording.zone_words(value.judged.zone)) for value in self.values]
        if len({words for _, words in zones}) > 1:
            return "; ".join(
                f"{wording.PHASES[phase].word}: {words or 'no limit'}" for phase, words in zones
            )
        return zones[0][1] if zones else ""

    @property
    def strips(self) -> tuple[strip.Geometry, ...]:
        """The limit strip; two where the limit itself moved between as found and as left."""
        grouped: list[tuple[Zone, list[strip.StripMark]]] = []
        for value in self.values:
            zone, mark = value.judged.zone, strip.mark(value.phase, value.value, value.judged)
            if zone is None or mark is None:
                continue
            if grouped and (grouped[-1][0].low, grouped[-1][0].high) == (zone.low, zone.high):
                grouped[-1][1].append(mark)
            else:
                grouped.append((zone, [mark]))
        drawn = (strip.geometry(zone, marks) for zone, marks in grouped)
        return tuple(geometry for geometry in drawn if geometry is not None)

    @property
    def strip_words(self) -> str:
        """What the strip shows, for who can't see it."""
        marks = "; ".join(
            f"{wording.PHASES[value.phase].word} {value.shown}" for value in self.values
        )
        return f"limit {self.limit}; {marks}"


@dataclass(frozen=True, slots=True)
class StepReport:
    """One step with all that was said at it."""

    result: StepResult
    lines: tuple[Line, ...]
    notes: tuple[Note, ...]
    confirmed: Caution | None
    """When its caution was confirmed."""

    @property
    def step(self) -> Step:
        """The step of the list."""
        return self.result.step

    @property
    def state_words(self) -> str:
        """Sign and word of the state, the verdict's beside it where one failed."""
        mark = wording.STEP_STATES[self.result.state]
        words = f"{mark.sign} {mark.word}"
        if self.result.failed:
            words += f", {wording.verdict_mark('fail')}"
        elif self.result.uncertain:
            words += f", {wording.verdict_mark('uncertain')}"
        return words

    @property
    def caution_words(self) -> str:
        """Whether the step's caution was confirmed, and by whom."""
        return confirmed_words(self.confirmed)


@dataclass(frozen=True, slots=True)
class SectionReport:
    """A section of the list."""

    id: str
    title: str
    steps: tuple[StepReport, ...]


@dataclass(frozen=True, slots=True)
class FindingReport:
    """A finding with who decided what about it."""

    finding: Finding
    made: Decision | None

    @property
    def decision_words(self) -> str:
        """The decision, and whether it still counts."""
        finding = self.finding
        if finding.decision is None:
            return "not decided" if finding.open else "nothing to decide"
        words = wording.decision_words(finding.decision, finding.until)
        if finding.why:
            words += f": {finding.why}"
        if self.made is not None:
            words += f" ({self.made.by}, {wording.when(self.made.at)})"
        if not finding.counts and finding.open:
            words += " - does not count yet"
        return words

    @property
    def state(self) -> str:
        """`open` or `closed`."""
        return "open" if self.finding.open else "closed"


@dataclass(frozen=True, slots=True)
class Event:
    """Who did what, when: one entry of the log."""

    n: int
    at: datetime
    by: str
    words: str
    sound: bool


@dataclass(frozen=True)
class Report:
    """A whole report."""

    title: wording.TitleBlock
    session: Session
    results: Results
    cautions: tuple[str, ...]
    """The list's own."""
    cautions_confirmed: Caution | None
    sections: tuple[SectionReport, ...]
    findings: tuple[FindingReport, ...]
    parts: tuple[FindingReport, ...]
    """Findings that wait for a part."""
    carry: tuple[tuple[str, tuple[FindingReport, ...]], ...]
    """What is put right later, by date or by the checklist that it waits for."""
    conditions: tuple[tuple[str, str], ...]
    gauges: tuple[str, ...]
    still_open: tuple[str, ...]
    """What stays open: the texts that were signed, else what stands in the way of signing."""
    broken: tuple[Entry, ...]
    unknown: tuple[Entry, ...]
    history: tuple[Event, ...]
    log: LogState
    last_seal: str

    @property
    def signed_words(self) -> str:
        """The sign-off in one sentence."""
        signed = self.session.signed
        if signed is None:
            return "Not signed: this session is open."
        return f"Signed off by {signed.by}, {wording.when(signed.at)}."

    @property
    def log_words(self) -> str:
        """Whether the log verifies, and its last seal to write on paper."""
        seal = f"last seal begins {wording.short_seal(self.last_seal)}" if self.last_seal else ""
        count = f"{len(self.history)} entries"
        if self.log.whole:
            return f"The log verifies: {count}, {seal or 'no seal'}."
        return f"The log does NOT verify: {count}, {seal or 'no seal'}."

    @property
    def log_faults(self) -> tuple[str, ...]:
        """What is wrong with the log, one sentence each."""
        torn = (f"{self.log.torn} bytes after the last seal line are torn.",)
        return self.log.problems + (torn if self.log.torn else ())

    @property
    def date(self) -> datetime:
        """The report's date: the sign-off's, else the last entry's. Never today's."""
        signed = self.session.signed
        return self.session.last if signed is None else signed.at


def confirmed_words(confirmed: Caution | None) -> str:
    """Whether a caution was confirmed."""
    if confirmed is None:
        return "not confirmed"
    return f"confirmed by {confirmed.by}, {wording.when(confirmed.at)}"


def report(session: Session, results: Results, entries: Iterable[Entry], log: LogState) -> Report:
    """The report of a session as it stands."""
    entries = tuple(entries)
    signed = session.signed
    date = session.last if signed is None else signed.at
    findings = tuple(
        FindingReport(finding, session.decisions.get(finding.id)) for finding in results.findings
    )
    waiting = [one for one in findings if one.finding.open]
    return Report(
        title=wording.TitleBlock(
            machine=f"{results.machine.name} ({results.machine.id})",
            checklist=f"{results.checklist.title} ({results.checklist.id})",
            revision=results.checklist.revision,
            date=date.date().isoformat(),
            by=session.by if signed is None else signed.by,
            state=session.state,
            session=session.id,
        ),
        session=session,
        results=results,
        cautions=results.checklist.cautions,
        cautions_confirmed=_confirmed(session, ""),
        sections=tuple(
            SectionReport(
                section.id,
                section.title,
                tuple(_step(session, results, results.step(step.id)) for step in section.step),
            )
            for section in results.checklist.section
        ),
        findings=findings,
        parts=tuple(one for one in waiting if one.finding.decision == "get-part"),
        carry=_carry(waiting),
        conditions=tuple(
            (wording.CONDITIONS.get(key, key), text) for key, text in session.conditions.items()
        ),
        gauges=tuple(dict.fromkeys(row.gauge for row in session.readings.values() if row.gauge)),
        still_open=results.blocks if signed is None else signed.open,
        broken=tuple(entry for entry in entries if not entry.sound),
        unknown=session.unknown,
        history=tuple(
            Event(entry.n, entry.at, entry.by, wording.entry_words(entry), entry.sound)
            for entry in entries
        ),
        log=log,
        last_seal=entries[-1].seal if entries else "",
    )


def _confirmed(session: Session, step: str) -> Caution | None:
    return next((caution for caution in session.cautions if caution.step == step), None)


def _carry(waiting: Iterable[FindingReport]) -> tuple[tuple[str, tuple[FindingReport, ...]], ...]:
    groups: dict[str, list[FindingReport]] = {}
    for one in waiting:
        if one.finding.decision == "later":
            groups.setdefault(one.finding.until, []).append(one)
    return tuple((until, tuple(group)) for until, group in sorted(groups.items()))


def _step(session: Session, results: Results, result: StepResult) -> StepReport:
    step = result.step
    lines = [
        line for reading in step.readings for line in _lines(session, results, result, reading)
    ]
    lines += [
        line for derived in step.derived for line in _lines(session, results, result, derived)
    ]
    return StepReport(
        result,
        tuple(lines),
        tuple(note for note in session.notes if note.step == step.id),
        _confirmed(session, step.id),
    )


def _cylinders(results: Results, step: Step, item: Reading | Derived) -> list[str | None]:
    """Those that the list asks for, and any that a log names beside them."""
    across = isinstance(item, Derived) and item.across
    asked: list[str | None] = [None]
    if step.per_cylinder and not across:
        asked = list(results.machine.cylinders)
    rows = results.derived if isinstance(item, Derived) else results.readings
    named = [row.cylinder for row in rows if row.step == step.id and _id(row) == item.id]
    return list(dict.fromkeys([*asked, *named]))


def _id(row: ReadingRow | DerivedRow) -> str:
    return row.reading if isinstance(row, ReadingRow) else row.id


def _lines(
    session: Session, results: Results, result: StepResult, item: Reading | Derived
) -> Iterable[Line]:
    step = result.step
    for cylinder in _cylinders(results, step, item):
        derived = isinstance(item, Derived)
        stood = _derived if derived else _reading
        found = (stood(session, results, step.id, item.id, cylinder, phase) for phase in PHASES)
        values = tuple(value for value in found if value is not None)
        skipped = "" if derived else _skipped(result, item.id, cylinder)
        if not values and (derived or (result.state in ("skipped", "not-needed") and not skipped)):
            continue
        yield Line(
            step.id, item.id, item.label, cylinder, derived, values,
            earlier=() if derived else _earlier(session, step.id, item.id, cylinder),
            skipped=skipped,
            formula=item.value if isinstance(item, Derived) else "",
            source=item.source,
            optional=isinstance(item, Reading) and item.optional,
        )  # fmt: skip


def _skipped(result: StepResult, reading: str, cylinder: str | None) -> str:
    skips = result.skipped_readings
    return skips.get((reading, cylinder)) or skips.get((reading, None)) or ""


def _earlier(
    session: Session, step: str, reading: str, cylinder: str | None
) -> tuple[Recorded, ...]:
    rows = [
        row for phase in PHASES for row in session.earlier.get((step, reading, cylinder, phase), ())
    ]
    return tuple(sorted(rows, key=lambda row: row.n))


def _reading(
    session: Session, results: Results, step: str, reading: str, cylinder: str | None, phase: Phase
) -> Stood | None:
    row = results.row(step, reading, cylinder, phase)
    if row is None:
        return None
    key = (step, reading, cylinder, phase)
    recorded = session.readings.get(key)
    return Stood(
        phase, row.value, row.unit, row.judged, row.entered, "",
        None if recorded is None else recorded.at,
        "" if recorded is None else recorded.by,
        row.state, row.gauge,
    )  # fmt: skip


def _derived(
    session: Session, results: Results, step: str, derived: str, cylinder: str | None, phase: Phase
) -> Stood | None:
    row = results.derived_row(step, derived, cylinder, phase)
    if row is None:
        return None
    return Stood(phase, row.value, row.unit, row.judged, reason=row.reason)


def broken_words(entries: Sequence[Entry]) -> tuple[str, ...]:
    """The broken entries, named."""
    return tuple(
        f"Entry {entry.n} ({wording.KINDS.get(entry.kind, entry.kind)}, {entry.by}, "
        f"{wording.when(entry.at)}) is broken: its seal does not hold."
        for entry in entries
    )
