"""What a report says, once, for every format: built from a session, its results and its log.

Pure. The format modules draw this and decide nothing. All texts stand as people and files wrote
them; each format makes them harmless in its own way.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from inspect_tui.core.model.checklist import Step
from inspect_tui.core.model.log_entry import Entry
from inspect_tui.core.model.results import Finding, JetChartAdvice, Results, StepResult
from inspect_tui.core.presentation import wording
from inspect_tui.core.presentation.entry_words import KINDS, entry_words
from inspect_tui.core.session.replay import Caution, Decision, Note, Photo, Session
from inspect_tui.core.text.formatting import pluralize
from inspect_tui.report.rows import Line, lines_of


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
class StepReport:
    """One step with all that was said at it."""

    result: StepResult
    lines: tuple[Line, ...]
    notes: tuple[Note, ...]
    confirmed: Caution | None
    """When its caution was confirmed."""
    moves: tuple[str, ...] = ()
    """The next move of each of its settings."""
    photos: tuple[Photo, ...] = ()

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
    def extras(self) -> tuple[str, ...]:
        """What else is to be said of its lines; what holds for every cylinder once."""
        sources: dict[str, dict[str, None]] = {}
        for line in self.lines:
            if line.source:
                sources.setdefault(line.source, {})[line.label] = None
        said = dict.fromkeys(extra for line in self.lines for extra in line.extras)
        limits = (f"Limits from {source}: {', '.join(of)}" for source, of in sources.items())
        moves = (f"Next move: {move}" for move in self.moves)
        return (*said, *moves, *limits)

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
    pictures: Mapping[str, bytes] = field(default_factory=dict)
    """By photo: a small JPEG of it, for the formats that can show one."""
    photo_metadata: bool = False
    """Whether those keep what the camera wrote."""

    @property
    def signed_words(self) -> str:
        """The sign-off in one sentence, and one more where the log does not verify."""
        signed = self.session.signed
        log = "" if self.log.whole else " The log does NOT verify."
        aside = self.session.set_aside
        if aside is not None:
            return f"Set aside by {aside.by}, {wording.when(aside.at)}: {aside.why}.{log}"
        if signed is None:
            return f"Not signed: this session is open.{log}"
        return f"Signed off by {signed.by}, {wording.when(signed.at)}.{log}"

    @property
    def accepted_words(self) -> tuple[str, ...]:
        """The words in which what is open was accepted, and what the job leaves out."""
        signed = self.session.signed
        if signed is None:
            return (self.results.left_out,) if self.results.left_out else ()
        titles = {result.step.id: result.step.title for result in self.results.steps}
        said = [f"Accepted with the words: {signed.accepted}"] if signed.accepted else []
        said += [
            f"Accepted, safety step '{titles.get(step, step)}' ({step}): {words}"
            for step, words in signed.accepted_steps.items()
        ]
        return (*said, *signed.left_out)

    @property
    def log_words(self) -> str:
        """Whether the log verifies, and its last seal to write on paper."""
        seal = f"last seal begins {wording.short_seal(self.last_seal)}" if self.last_seal else ""
        count = pluralize(len(self.history), "entry", "entries")
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
    said = "shown by a command to" if confirmed.printed else "confirmed by"
    return f"{said} {confirmed.by}, {wording.when(confirmed.at)}"


def photo_words(photo: Photo) -> str:
    """A photo as a line: what the file was called, its hash, and who put it there."""
    cylinder = "" if photo.cylinder is None else f", {photo.cylinder}"
    digest = photo.photo.partition(".")[0]
    return f"{photo.name}{cylinder}, sha256:{digest} ({photo.by}, {wording.when(photo.at)})"


def report(
    session: Session,
    results: Results,
    entries: Iterable[Entry],
    log: LogState,
    pictures: Mapping[str, bytes] | None = None,
    photo_metadata: bool = False,
) -> Report:
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
            verifies=log.whole,
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
        )
        + _chart(results.chart),
        gauges=tuple(dict.fromkeys(row.gauge for row in session.readings.values() if row.gauge)),
        still_open=results.signoff_blockers if signed is None else signed.open,
        broken=tuple(entry for entry in entries if not entry.sound),
        unknown=session.unknown,
        history=tuple(
            Event(entry.n, entry.at, entry.by, entry_words(entry), entry.sound) for entry in entries
        ),
        log=log,
        last_seal=entries[-1].seal if entries else "",
        pictures=pictures or {},
        photo_metadata=photo_metadata,
    )


def _confirmed(session: Session, step: str) -> Caution | None:
    here = [caution for caution in session.cautions if caution.step == step]
    return next((caution for caution in here if not caution.printed), here[0] if here else None)


def _carry(waiting: Iterable[FindingReport]) -> tuple[tuple[str, tuple[FindingReport, ...]], ...]:
    groups: dict[str, list[FindingReport]] = {}
    for one in waiting:
        if one.finding.decision == "later":
            groups.setdefault(one.finding.until, []).append(one)
    return tuple((until, tuple(group)) for until, group in sorted(groups.items()))


def _step(session: Session, results: Results, result: StepResult) -> StepReport:
    step = result.step
    lines = lines_of(session, results, result)
    # A step that nobody touched is named with its state; rows of nothing measured say no more.
    touched = any(line.values or line.skipped for line in lines)
    return StepReport(
        result,
        lines if touched or result.state == "done" else (),
        tuple(note for note in session.notes if note.step == step.id),
        _confirmed(session, step.id),
        tuple(
            row.words if row.cylinder is None else f"{row.cylinder}: {row.words}"
            for row in results.settings
            if row.step == step.id
        ),
        session.photos_at(step.id),
    )


def _chart(chart: JetChartAdvice | None) -> tuple[tuple[str, str], ...]:
    """The jet chart for the session's air, a line each."""
    if chart is None:
        return ()
    if not chart.band:
        return (("jet chart", chart.reason),)
    rows = [("jet chart band", chart.band)]
    rows += [("a band near the forecast", band) for band in chart.near]
    for line in chart.lines:
        parts = [f"chart {line.chart}"]
        parts += [f"near {line.near}"] if line.near else []
        parts += [f"sheet {line.sheet}"] if line.sheet else []
        parts += [f"found {line.found}"] if line.found else []
        words = f"{', '.join(parts)}: {line.words}"
        rows.append((f"{line.setting.replace('_', ' ')}, {line.cylinder}", words))
    return tuple(rows)


def broken_words(entries: Sequence[Entry]) -> tuple[str, ...]:
    """The broken entries, named."""
    return tuple(
        f"Entry {entry.n} ({KINDS.get(entry.kind, entry.kind)}, {entry.by}, "
        f"{wording.when(entry.at)}) is broken: its seal does not hold."
        for entry in entries
    )
