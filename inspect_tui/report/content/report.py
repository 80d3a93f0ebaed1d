"""What a report says, once, for every format: built from a session, its results and its log.

Pure. The format modules draw this and decide nothing. All texts stand as people and files wrote
them; each format makes them harmless in its own way.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from inspect_tui.core.evaluation.job.parts import Part, parts_of
from inspect_tui.core.model.drawing import MachineDrawing
from inspect_tui.core.model.log_entry import Entry
from inspect_tui.core.model.results import JetChartAdvice, Results
from inspect_tui.core.presentation import wording
from inspect_tui.core.presentation.entry_words import KINDS, entry_words
from inspect_tui.core.seasons.carried import CarriedNow
from inspect_tui.core.seasons.history import ReadingHistory
from inspect_tui.core.seasons.open_before import EarlierStop
from inspect_tui.core.session.replay import Caution, Photo, Session
from inspect_tui.core.text.formatting import join_words, pluralize
from inspect_tui.report.content.found import (
    FindingGroup,
    FindingReport,
    carried_reports,
    finding_reports,
    grouped,
)
from inspect_tui.report.content.page_one import PageOne, page_one
from inspect_tui.report.content.set_up import CardLine, card
from inspect_tui.report.content.steps import SectionReport, confirmed_caution, section_reports
from inspect_tui.report.content.times import Times, days


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
class Extras:
    """What a report takes beside the session."""

    pictures: Mapping[str, bytes] = field(default_factory=dict)
    """By photo: a small JPEG of it, for the formats that can show one."""
    photo_metadata: bool = False
    """Whether those keep what the camera wrote."""
    with_log: bool = False
    """Whether the log stands at its end, entry by entry."""
    drawing: MachineDrawing | None = None
    """The machine's side view."""
    earlier: tuple[CarriedNow, ...] = ()
    """What earlier sessions of the machine put off."""
    seasons: Sequence[ReadingHistory] = ()
    """Readings over this session and the machine's earlier ones, those that reach a limit
    soonest first."""
    earlier_stops: tuple[EarlierStop, ...] = ()
    """What earlier sessions left in the way of a run."""


NOTHING = Extras()


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
    times: Times
    page_one: PageOne
    card: tuple[CardLine, ...]
    parts: tuple[Part, ...]
    cautions: tuple[str, ...]
    """The list's own."""
    cautions_confirmed: Caution | None
    sections: tuple[SectionReport, ...]
    findings: tuple[FindingReport, ...]
    groups: tuple[FindingGroup, ...]
    """The same, under what explains them."""
    conditions: tuple[tuple[str, str], ...]
    still_open: tuple[str, ...]
    """What stays open: the texts that were signed, else what stands in the way of signing."""
    broken: tuple[Entry, ...]
    unknown: tuple[Entry, ...]
    history: tuple[Event, ...]
    log: LogState
    last_seal: str
    extras: Extras = NOTHING

    @property
    def fields(self) -> tuple[tuple[str, str], ...]:
        """What stands in the title block of a report that is no paper: it has no sheets."""
        return tuple(field for field in self.title.fields() if field[0] != "Sheet")

    @property
    def signed_words(self) -> str:
        """The sign-off in one sentence, and one more where the log does not verify."""
        signed = self.session.signed
        log = "" if self.log.whole else " The log does NOT verify."
        aside = self.session.set_aside
        if aside is not None:
            return f"Set aside by {aside.by}, {self.times.when(aside.at)}: {aside.why}.{log}"
        if signed is None:
            return f"Not signed: this session is open.{log}"
        seal = f" Seal {wording.short_seal(signed.seal)}." if signed.seal else ""
        return f"Signed off by {signed.by}, {self.times.when(signed.at)}.{seal}{log}"

    @property
    def accepted_words(self) -> str:
        """The words in which what is open was accepted; those of safety steps stand with them."""
        signed = self.session.signed
        if signed is None or not signed.accepted:
            return ""
        return f"Accepted with the words: {signed.accepted}"

    @property
    def days(self) -> str:
        """From when to when it was worked on."""
        return days(self.session.opened.date(), self.date.date())

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

    def stamp(self, by: str, at: datetime) -> str:
        """When, and by whom where it wasn't the one whom the title block names."""
        at_words = self.times.short(at)
        return at_words if by == self.title.by else f"{by}, {at_words}"

    def confirmed_words(self, confirmed: Caution | None) -> str:
        """Whether a caution was confirmed."""
        if confirmed is None:
            return "not confirmed"
        said = "shown by a command" if confirmed.printed else "confirmed"
        return f"{said} {self.stamp(confirmed.by, confirmed.at)}"

    def photo_words(self, photo: Photo) -> str:
        """A photo as a line: what the file was called, its hash, and who put it there."""
        cylinder = "" if photo.cylinder is None else f", {photo.cylinder}"
        digest = photo.photo.partition(".")[0]
        return f"{photo.name}{cylinder}, sha256:{digest} ({self.stamp(photo.by, photo.at)})"


def report(
    session: Session,
    results: Results,
    entries: Iterable[Entry],
    log: LogState,
    extras: Extras = NOTHING,
) -> Report:
    """The report of a session as it stands."""
    entries = tuple(entries)
    signed = session.signed
    date = session.last if signed is None else signed.at
    findings = (
        *finding_reports(results, session.decisions),
        *carried_reports(results, session.decisions, extras.earlier),
    )
    groups = grouped(findings)
    return Report(
        title=wording.TitleBlock(
            machine=results.machine.name,
            checklist=results.checklist.title,
            revision=results.checklist.revision,
            date=date.date().isoformat(),
            by=session.by if signed is None else signed.by,
            state=session.state,
            session=session.id,
            verifies=log.whole,
        ),
        session=session,
        results=results,
        times=Times(entry.at for entry in entries),
        page_one=page_one(session, results, groups, extras.earlier, extras.earlier_stops),
        card=card(results),
        parts=parts_of(session),
        cautions=results.checklist.cautions,
        cautions_confirmed=confirmed_caution(session, ""),
        sections=section_reports(session, results),
        findings=findings,
        groups=groups,
        conditions=tuple(
            (wording.CONDITIONS.get(key, key), text) for key, text in session.conditions.items()
        )
        + _chart(results.chart),
        still_open=results.signoff_blockers if signed is None else signed.open,
        broken=tuple(entry for entry in entries if not entry.sound),
        unknown=session.unknown,
        history=tuple(
            Event(entry.n, entry.at, entry.by, entry_words(entry), entry.sound) for entry in entries
        ),
        log=log,
        last_seal=entries[-1].seal if entries else "",
        extras=extras,
    )


def _chart(chart: JetChartAdvice | None) -> tuple[tuple[str, str], ...]:
    """The jet chart for the session's air, a line each setting."""
    if chart is None:
        return ()
    if not chart.band:
        return (("jet chart", chart.reason),)
    rows = [("jet chart band", _degrees(chart.band))]
    rows += [("a band near the forecast", _degrees(band)) for band in chart.near]
    for setting in dict.fromkeys(line.setting for line in chart.lines):
        lines = [line for line in chart.lines if line.setting == setting]
        said = []
        for line in lines:
            near = f" (near {line.near})" if line.near else ""
            said.append(f"{line.cylinder} {line.chart}{near}, {line.words}")
        rows.append((f"{setting.replace('_', ' ')} by the chart", "; ".join(said)))
    return tuple(rows)


def _degrees(band: str) -> str:
    """A band as people write it: `-25 °C to -10 °C, 0 m to 600 m`."""
    return re.sub(r"(?<=\d )deg([CF])\b", r"°\1", band)


def broken_words(report: Report) -> tuple[str, ...]:
    """The broken entries, named."""
    return tuple(
        f"Entry {entry.n} ({KINDS.get(entry.kind, entry.kind)}, {entry.by}, "
        f"{report.times.when(entry.at)}) is broken: its seal does not hold."
        for entry in report.broken
    )


def unknown_words(entries: Sequence[Entry]) -> tuple[str, ...]:
    """The entries of a kind that is not known, named."""
    return tuple(f"Entry {one.n} of the unknown kind '{one.kind}' is kept." for one in entries)


def part_for(report: Report, part: Part) -> str:
    """What a part is for, in the words of its findings."""
    words = {one.finding.id: one.words.partition(": ")[0] for one in report.findings}
    named = dict.fromkeys(words.get(finding, finding) for finding in part.findings)
    return join_words(list(named), most=4)
