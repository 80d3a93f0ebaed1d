"""A machine after its sessions so far: what is put off, what was left, its meters, what was done.

Sessions are folded in one by one, oldest first, so that a bench with thousands of them keeps the
state of each machine and never goes through all of them again.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime

import msgspec

from inspect_tui.core.seasons.pace import MOST_STRETCHES, Span, Stretch, span_of
from inspect_tui.core.seasons.summary import (
    CARRIED,
    JUDGED,
    PastFinding,
    PastValue,
    SessionSummary,
    as_left,
    comes_up,
    counted,
)
from inspect_tui.core.seasons.units import converted

_DAY = 86_400


class LastValue(msgspec.Struct, frozen=True):
    """What the newest session left of a reading."""

    value: PastValue
    session: str


class PutOff(msgspec.Struct, frozen=True):
    """A finding that waits."""

    origin: str
    """The session of a person's own finding; "" of a worked-out one, which all sessions share."""
    session: str
    """The newest session in which it stood or was decided again."""
    finding: PastFinding
    at: datetime
    """When that session was used last."""


class Meter(msgspec.Struct, frozen=True):
    """One meter (`odometer`, `hours`) as far as it was read, in the newest list's unit."""

    name: str
    unit: str
    value: float
    first: datetime
    last: datetime
    driven: float = 0.0
    """Since the first reading, as far as it is known; a lower reading is another meter."""
    readings: int = 1
    stretches: tuple[Stretch, ...] = ()
    """Between the newest readings, oldest first; not where another meter came in between."""

    def pace(self) -> float | None:
        """How much a day; None with fewer than two readings, or all of them within a day."""
        days = (self.last - self.first).total_seconds() / _DAY
        return self.driven / days if self.readings > 1 and days >= 1 and self.driven > 0 else None

    def day_of(self, more: float) -> date | None:
        """The day on which so much more will have been driven, at the usual pace."""
        pace = self.pace()
        if pace is None or not -36_500 < more / pace < 36_500:
            return None
        return date.fromordinal(self.last.date().toordinal() + round(more / pace))

    def span_of(self, more: float) -> Span:
        """Between which days so much more will have been driven, four times of five."""
        if self.readings < 2:
            return Span(why_not="the meter was read only once")
        found, about = span_of(self.stretches, more, self.last.date()), self.day_of(more)
        if found.soonest is None or about is None:
            return found
        latest = None if found.latest is None else max(found.latest, about)
        return Span(min(found.soonest, about), latest)

    def read_again(self, unit: str, number: float, at: datetime) -> Meter:
        """The meter after one more reading; a lower number is another meter's."""
        was, driven = (converted(each, self.unit, unit) for each in (self.value, self.driven))
        if was is None or driven is None:
            return Meter(self.name, unit, number, at, at)
        stretches = tuple(
            Stretch(each.begun, each.days, converted(each.driven, self.unit, unit) or 0.0)
            for each in self.stretches
        )
        days = (at - self.last).total_seconds() / _DAY
        if number >= was and days > 0:
            more = Stretch(self.last.date().toordinal(), days, number - was)
            stretches = (*stretches, more)[-MOST_STRETCHES:]
        return Meter(
            self.name, unit, number, self.first, max(self.last, at),
            driven + max(number - was, 0.0), self.readings + 1, stretches,
        )  # fmt: skip


class LastDone(msgspec.Struct, frozen=True):
    """When a step with intervals was last done."""

    step: str
    title: str
    every: tuple[str, ...]
    checklist: str
    at: datetime
    driven: dict[str, tuple[float, str]]
    """By meter, what had been driven by then, and in which unit."""


class OpenStep(msgspec.Struct, frozen=True):
    """A safety step that did not pass in the last session that took it in."""

    step: str
    title: str
    gate: str
    """`start`, `move` or ""."""
    session: str
    checklist: str
    """Its title."""
    at: datetime
    """When that session was used last."""
    signed: bool


class MachineState(msgspec.Struct):
    """A machine after its sessions so far."""

    put_off: list[PutOff] = msgspec.field(default_factory=list)
    values: dict[str, list[LastValue]] = msgspec.field(default_factory=dict)
    """By `key_of` the reading's place: the newest of each kind and unit."""
    meters: dict[str, Meter] = msgspec.field(default_factory=dict)
    done: dict[str, LastDone] = msgspec.field(default_factory=dict)
    """By step."""
    open_safety: dict[str, OpenStep] = msgspec.field(default_factory=dict)
    """By step, those that no session passed since."""

    def take(self, summary: SessionSummary) -> None:
        """Fold the next session in; they come in the order in which they were begun."""
        if summary.state == "set-aside":
            return
        self._decide_again(summary)
        measured = {
            place
            for value in summary.values
            if value.verdict in JUDGED
            for place in ((value.step, value.reading, value.cylinder), value.place)
        }
        self.put_off = [
            each for each in self.put_off if each.origin or each.finding.place not in measured
        ]
        for finding in summary.findings:
            if not finding.finding.startswith(CARRIED):
                self._stands(summary, finding)
        for place, value in as_left((*summary.values, *summary.worked_out)).items():
            kept = self.values.setdefault(key_of(*place), [])
            alike = (value.kind, value.unit)
            kept[:] = [each for each in kept if (each.value.kind, each.value.unit) != alike]
            kept.append(LastValue(value, summary.session))
        for safety in summary.safety:
            self.open_safety.pop(safety.step, None)
            if not safety.passed:
                self.open_safety[safety.step] = OpenStep(
                    safety.step, safety.title, safety.gate, summary.session,
                    summary.title or summary.checklist, summary.last, summary.state == "signed",
                )  # fmt: skip
        self._read_meters(summary)
        for step in summary.done:
            driven = {name: (meter.driven, meter.unit) for name, meter in self.meters.items()}
            self.done[step.step] = LastDone(
                step.step, step.title, step.every, summary.checklist, step.at, driven
            )

    def lasts(self, step: str, reading: str, cylinder: str | None) -> list[LastValue]:
        """What the newest sessions left of a reading: one of each kind and unit."""
        return self.values.get(key_of(step, reading, cylinder), [])

    def _stands(self, summary: SessionSummary, finding: PastFinding) -> None:
        origin = summary.session if finding.own else ""
        self.put_off = [
            each
            for each in self.put_off
            if (each.origin, each.finding.finding) != (origin, finding.finding)
        ]
        if finding.put_off:
            self.put_off.append(PutOff(origin, summary.session, finding, summary.last))

    def _decide_again(self, summary: SessionSummary) -> None:
        """Decisions that this session took on carried findings."""
        for decided in summary.findings:
            if not decided.finding.startswith(CARRIED):
                continue
            kept = []
            for each in self.put_off:
                if not _names(decided.finding, each, summary.checklist):
                    kept.append(each)
                elif decided.put_off:
                    again = _redecided(each, decided)
                    kept.append(PutOff(each.origin, summary.session, again, summary.last))
                elif decided.decision == "put-right":
                    self.open_safety.pop(each.finding.step, None)
            self.put_off = kept

    def _read_meters(self, summary: SessionSummary) -> None:
        for name in ("odometer", "hours"):
            taken = [value for value in summary.values if value.meter == name]
            if not taken:
                continue
            newest = max(taken, key=lambda value: value.at)
            number = converted(newest.value, newest.unit, newest.unit)
            if number is None:
                continue
            before = self.meters.get(name)
            self.meters[name] = (
                Meter(name, newest.unit, number, newest.at, newest.at)
                if before is None
                else before.read_again(newest.unit, number, newest.at)
            )


def state_after(summaries: Iterable[SessionSummary]) -> MachineState:
    """The machine after these sessions of it, which come in any order."""
    state = MachineState()
    for summary in counted(summaries):
        state.take(summary)
    return state


def key_of(step: str, reading: str, cylinder: str | None) -> str:
    """A reading's place as one word; cylinder names hold anything but come last."""
    return f"{step}.{reading}" + ("" if cylinder is None else f"@{cylinder}")


def _names(carried: str, each: PutOff, checklist: str) -> bool:
    name = carried.removeprefix(CARRIED)
    if name == f"{each.origin or each.session}:{each.finding.finding}":
        return True
    return name == each.finding.finding and comes_up(each.finding, checklist)


def _redecided(each: PutOff, decided: PastFinding) -> PastFinding:
    return msgspec.structs.replace(
        each.finding, decision=decided.decision, why=decided.why, until=decided.until,
        part=decided.part or each.finding.part,
        part_state=decided.part_state if decided.part else each.finding.part_state,
    )  # fmt: skip
