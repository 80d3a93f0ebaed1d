"""What later sessions want to know of one: its values, its meters, what it put off, what it did.

Made from a session that was worked out, and small enough to be kept in an index; everything about
seasons is worked out from a machine's summaries, oldest first.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from typing import TYPE_CHECKING, Literal

import msgspec

from inspect_tui.core.evaluation.job.parts import parts_of
from inspect_tui.core.evaluation.job.safety import safety_trouble
from inspect_tui.core.model.checklist import Reading, Step
from inspect_tui.core.model.log_entry import AS_LEFT, TAKEN_OVER, Phase
from inspect_tui.core.model.results import NOT_OF_THE_JOB, Finding, ReadingRow
from inspect_tui.core.text.formatting import format_value

if TYPE_CHECKING:
    from inspect_tui.core.evaluation.evaluate_entries import Evaluated

State = Literal["open", "signed", "set-aside"]
CARRIED = "carried:"
"""What the ids of carried findings begin with."""
JUDGED = ("pass", "fail", "uncertain")
"""Verdicts that settle a carried finding of the same reading: it passes, or is a finding anew."""


class PastValue(msgspec.Struct, frozen=True):
    """A reading that stands in a session."""

    step: str
    reading: str
    cylinder: str | None
    phase: Phase
    kind: str
    unit: str
    value: float | bool | str
    entered: str
    verdict: str
    at: datetime
    uncertainty: float | None = None
    """Expanded (k = 2), in `unit`."""
    low: float | None = None
    high: float | None = None
    """The limits that held, in `unit`."""
    meter: str = ""
    """`odometer` or `hours` where it reads one."""
    label: str = ""
    same_as: str = ""
    """`LIST:STEP.READING`, the reading that this one carries on."""
    title: str = ""
    """Its step's."""

    @property
    def place(self) -> tuple[str, str, str | None]:
        """The reading that it counts as: another list's where it carries that one on."""
        if self.same_as:
            step, _, reading = self.same_as.partition(":")[2].partition(".")
            return step, reading, self.cylinder
        return self.step, self.reading, self.cylinder


class PastFinding(msgspec.Struct, frozen=True):
    """A finding of a session, as it stood at the end."""

    finding: str
    step: str
    reading: str | None
    cylinder: str | None
    text: str
    decision: str | None
    why: str
    until: str
    part: str
    put_off: bool
    """Whether it waits: decided `later` or `get-part` and not put right since, or signed over."""
    own: bool
    """A person's own: its id says nothing outside its session."""
    title: str = ""
    """Its step's."""
    safety: bool = False
    """Whether its step is a safety step that had not passed."""
    gate: str = ""
    """Of a safety step: `start`, `move` or ""."""
    part_state: str = ""
    """`got` or `fitted` where that was said of its part."""

    @property
    def place(self) -> tuple[str, str | None, str | None]:
        """Step, reading and cylinder."""
        return self.step, self.reading, self.cylinder


class DoneStep(msgspec.Struct, frozen=True):
    """A step that was done, and how often it wants to be."""

    step: str
    title: str
    every: tuple[str, ...]
    at: datetime


class SafetyStep(msgspec.Struct, frozen=True):
    """A safety step of a session's job, and whether it passed."""

    step: str
    title: str
    gate: str
    """`start`, `move` or ""."""
    passed: bool


class SessionSummary(msgspec.Struct, frozen=True):
    """One session, for the ones after it."""

    session: str
    checklist: str
    machine: str
    state: State
    opened: datetime
    last: datetime
    values: tuple[PastValue, ...]
    findings: tuple[PastFinding, ...]
    done: tuple[DoneStep, ...]
    fitted: tuple[tuple[str, datetime], ...] = ()
    """Steps whose part was replaced, and when."""
    title: str = ""
    """The checklist's."""
    worked_out: tuple[PastValue, ...] = ()
    """What followed from the readings of one step, such as the narrowest of five widths."""
    safety: tuple[SafetyStep, ...] = ()
    """Of its job: not what was left out, or what the machine doesn't need."""


def summarize(evaluated: Evaluated) -> SessionSummary:
    """The summary of a session as it stands."""
    session, results = evaluated.session, evaluated.results
    steps = {each.step.id: each.step for each in results.steps}
    values = tuple(
        _value(
            row,
            reading,
            session.readings[row.step, row.reading, row.cylinder, row.phase].at,
            steps[row.step].title,
        )
        for row in results.readings
        if row.value is not None
        and not row.state.startswith(TAKEN_OVER)
        and (reading := _reading(steps.get(row.step), row.reading))
    )
    done = tuple(
        DoneStep(each.step.id, each.step.title, each.step.every, max(times))
        for each in results.steps
        if each.state == "done"
        and each.step.every
        and (times := [value.at for value in values if value.step == each.step.id])
    )
    machine = evaluated.evaluator.machine
    return SessionSummary(
        session.id, results.checklist.id, machine.id, session.state, session.opened, session.last,
        values, tuple(_findings(evaluated)), done, tuple(_fitted(evaluated)),
        results.checklist.title, tuple(_worked_out(evaluated)),
        tuple(
            SafetyStep(each.step.id, each.step.title, each.step.gate, not safety_trouble(each))
            for each in results.steps
            if each.step.is_safety and each.state not in NOT_OF_THE_JOB
        ),
    )  # fmt: skip


def _reading(step: Step | None, reading: str) -> Reading | None:
    if step is None:
        return None
    return next((each for each in step.readings if each.id == reading), None)


def _value(row: ReadingRow, reading: Reading, at: datetime, title: str) -> PastValue:
    zone = row.judged.zone
    value = row.value
    return PastValue(
        row.step, row.reading, row.cylinder, row.phase, reading.kind, row.unit,
        value if isinstance(value, bool | str) else float(value), row.entered,
        row.judged.verdict, at,
        _float(row.judged.uncertainty), _float(zone and zone.low), _float(zone and zone.high),
        reading.meter, reading.label, reading.same_as, title,
    )  # fmt: skip


def _worked_out(evaluated: Evaluated) -> Iterable[PastValue]:
    """Numbers that follow from readings, taken when the last reading of their step was."""
    session, results = evaluated.session, evaluated.results
    times: dict[str, datetime] = {}
    taken_over = set()
    for row in results.readings:
        at = session.readings[row.step, row.reading, row.cylinder, row.phase].at
        times[row.step] = max(at, times.get(row.step, at))
        if row.state.startswith(TAKEN_OVER):
            taken_over.add(row.step)
    steps = {each.step.id: each.step for each in results.steps}
    for value in results.derived:
        at_step = steps.get(value.step)
        number = value.value
        if at_step is None or value.step not in times or value.step in taken_over:
            continue
        if number is None or isinstance(number, bool | str):
            continue
        label = next((each.label for each in at_step.derived if each.id == value.id), value.id)
        zone = value.judged.zone
        yield PastValue(
            value.step, value.id, value.cylinder, value.phase, "number", value.unit,
            float(number), format_value(number, value.unit), value.judged.verdict,
            times[value.step], _float(value.judged.uncertainty),
            _float(zone and zone.low), _float(zone and zone.high), label=label,
            title=at_step.title,
        )  # fmt: skip


def _float(number: object) -> float | None:
    return None if number is None else float(number)  # type: ignore[arg-type]


def _findings(evaluated: Evaluated) -> Iterable[PastFinding]:
    signed = evaluated.session.signed
    steps = {each.step.id: each for each in evaluated.results.steps}
    states = {each.part: each.state for each in evaluated.session.parts}
    for finding in evaluated.results.findings:
        result = steps.get(finding.step)
        safety = result is not None and result.step.is_safety and bool(safety_trouble(result))
        waits = finding.open and (
            finding.decision in ("later", "get-part") or (signed is not None and not finding.counts)
        )
        yield PastFinding(
            finding.id, finding.step, finding.reading, finding.cylinder, finding.text,
            finding.decision, finding.why, finding.until, _part(evaluated, finding), waits,
            finding.kind == "person", "" if result is None else result.step.title, safety,
            result.step.gate if result is not None and safety else "",
            states.get(_part(evaluated, finding), ""),
        )  # fmt: skip
    for name, decision in evaluated.session.decisions.items():
        if name.startswith(CARRIED):
            yield PastFinding(
                name, "", None, None, "", decision.decision, decision.why, decision.until,
                decision.part, decision.decision in ("later", "get-part"), False,
                part_state=states.get(decision.part, ""),
            )  # fmt: skip


def _part(evaluated: Evaluated, finding: Finding) -> str:
    decision = evaluated.session.decisions.get(finding.id)
    return "" if decision is None else decision.part


def _fitted(evaluated: Evaluated) -> Iterable[tuple[str, datetime]]:
    """Steps at which a part was fitted, by the log's own entries."""
    by_finding = {each.id: each.step for each in evaluated.results.findings}
    wanted = {part.part: part.findings for part in parts_of(evaluated.session)}
    for said in evaluated.session.parts:
        for finding in wanted.get(said.part, ()) if said.state == "fitted" else ():
            if finding in by_finding:
                yield by_finding[finding], said.at


def counted(summaries: Iterable[SessionSummary]) -> list[SessionSummary]:
    """Those that count, oldest first: not the ones begun by mistake."""
    return sorted(
        (each for each in summaries if each.state != "set-aside"),
        key=lambda each: (each.opened, each.session),
    )


def as_left(values: Iterable[PastValue]) -> dict[tuple[str, str, str | None], PastValue]:
    """By place, the value that a session left: as left, else as found."""
    found: dict[tuple[str, str, str | None], PastValue] = {}
    for value in values:
        if value.place not in found or value.phase == AS_LEFT:
            found[value.place] = value
    return found


def comes_up(finding: PastFinding, checklist: str) -> bool:
    """Whether a finding that waits is shown in a session of this list.

    Put off until another list it is not shown, and stays put off.
    """
    if finding.decision != "later" or not finding.until:
        return True
    return finding.until == checklist or as_date(finding.until) is not None


def as_date(text: str) -> date | None:
    """An ISO date; None where the text is none."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None
