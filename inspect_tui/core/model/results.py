"""What follows from a session: derived values, verdicts, what is open. Frozen; replaced whole.

Screens, commands and reports all show this and nothing else.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final, Literal

from inspect_tui.core.model.checklist import Checklist, Derived, Reading, Step
from inspect_tui.core.model.log_entry import Phase
from inspect_tui.core.model.machine import Machine
from inspect_tui.core.quantities.units import Number

Verdict = Literal["pass", "fail", "uncertain", "none"]


@dataclass(frozen=True, slots=True)
class ToleranceInterval:
    """The limits of a value, worked out, in the value's own unit."""

    low: Number | None = None
    high: Number | None = None
    equal: tuple[object, ...] = ()
    """Good answers, for what is no number."""
    text: str = ""
    """The zone in words: `31.5 mm or more`, `30 to 35 mm`, `6K`."""
    reason: str = ""
    """Why there is none although the checklist has a limit: a figure that the sheet lacks."""


@dataclass(frozen=True, slots=True)
class ConformityResult:
    """A value's verdict and what it rests on."""

    verdict: Verdict
    zone: ToleranceInterval | None = None
    """None where the checklist has no limit."""
    uncertainty: Number | None = None
    """Expanded (k = 2), own unit; None where none is stated."""
    probability: float | None = None
    """That the true value lies inside; None without an uncertainty."""
    signed_margin: Number | None = None
    """How far outside the nearest limit (positive) or inside it (negative), own unit."""
    words: str = ""
    """The verdict in words: `pass`, `fail: 0.3 mm under`, `too close to call: ...`."""
    coverage: str = "k = 2"
    """How the uncertainty is meant; where it rests on few repeats, the 95 % of Student's t."""
    remarks: tuple[str, ...] = ()
    """What is to be said of its uncertainty: repeats that scatter more than is stated, a reading of
    which none is stated, a gauge whose own word can't be used."""


@dataclass(frozen=True, slots=True)
class ReadingRow:
    """A reading that has a value, in one phase; the one that stands."""

    step: str
    reading: str
    cylinder: str | None
    phase: Phase
    entered: str
    value: Number | bool | str
    unit: str
    judged: ConformityResult
    n: int
    corrected: int = 0
    """How many earlier values stay in the log."""
    state: str = ""
    gauge: str = ""
    unknown: bool = False
    """Whether the answer was that nobody knows; `value` is then the word."""
    upset_by: str = ""
    """The step whose work upset it since, so that its verdict counts as not made; "" for none."""


@dataclass(frozen=True, slots=True)
class DerivedRow:
    """A derived value in one phase. `value` is None where it can't be worked out (`reason`)."""

    step: str
    id: str
    cylinder: str | None
    phase: Phase
    value: Number | bool | str | None
    unit: str
    judged: ConformityResult
    reason: str = ""
    upset_by: str = ""
    """As in a reading's row."""


@dataclass(frozen=True, slots=True)
class SettingRow:
    """The next move of a setting, by the value as it stands."""

    step: str
    id: str
    reading: str
    """What is measured again as left."""
    cylinder: str | None
    move: Number | None
    """In `unit`; None where it is in place or can't be worked out."""
    unit: str
    words: str
    """The move in words, or why there is none."""
    suggested: bool = False
    """Whether a move is to be made now, and the reading taken again as left after it; or what
    moved with one is to be measured."""
    rests_on: tuple[str, ...] = ()
    """The readings of this step that the move rests on, in the step's order: each of them wants to
    be taken again as left once it is made."""
    waits_for: tuple[str, ...] = ()
    """Those that a move changed and that are not measured again yet: till then nothing that rests
    on one of them exists as left."""


@dataclass(frozen=True, slots=True)
class Finding:
    """Something that wants a decision."""

    id: str
    step: str
    reading: str | None
    """The reading or derived value; None for a person's own, inferences and exchanges."""
    cylinder: str | None
    text: str
    """What was found, in one sentence."""
    evidence: tuple[str, ...]
    """What it rests on, one line each: `belt.width 31.2 mm as found, limit 31.5 mm or more`."""
    decision: str | None
    """The decision that was made, whether or not it still counts."""
    counts: bool
    """Whether that decision counts for the sign-off."""
    open: bool
    why: str = ""
    until: str = ""
    sure: str = ""
    """Of an inference: high, medium, low."""
    look_at: tuple[str, ...] = ()
    under: str | None = None
    """The finding that explains it: a decision on that one is its decision too."""
    part: str = ""
    """The part to get; "" where none was decided."""
    quantity: int | float = 1
    number: str = ""
    kind: Literal["value", "exchanged", "out-of-family", "inference", "person"] = "value"
    superseded_by: Literal["", "value", "air", "sheet"] = ""
    """What has changed since the decision, so that it no longer holds: a value, else the air."""
    remark: bool = False
    """Said, and wants no decision: out of family inside the limits, what is the chart's setting."""
    is_active: bool = True
    """Whether it still holds, open or not."""


@dataclass(frozen=True, slots=True)
class ChartLine:
    """One setting of the jet chart for one cylinder."""

    setting: str
    cylinder: str
    chart: str
    """What the band says."""
    near: str
    """What a neighbour within reach of the forecast says where it differs; else ""."""
    sheet: str
    """The machine sheet's own figure; "" where it has none."""
    found: str
    """What is in the machine now; "" where it wasn't recorded."""
    words: str
    """How what was found stands to the chart: `as the chart`, `10 leaner than the chart` ..."""


@dataclass(frozen=True, slots=True)
class JetChartAdvice:
    """The jet chart for the session's air."""

    band: str
    """The band's edges, or "" where none holds."""
    near: tuple[str, ...]
    """Neighbouring bands within 3 K or 100 m of the forecast."""
    lines: tuple[ChartLine, ...]
    reason: str = ""
    """Why there is no band: the air isn't entered, or lies outside the chart."""


@dataclass(frozen=True, slots=True)
class AirLine:
    """One figure of the air that the session reckons with."""

    name: str
    """`temperature`, `qnh`, `altitude`, `relative_humidity`, `pressure`, `density`."""
    shown: str
    worked_out: bool = False
    """Whether it follows from the others rather than being typed."""


@dataclass(frozen=True, slots=True)
class Air:
    """The air that the session reckons with."""

    lines: tuple[AirLine, ...] = ()
    """Only what is known."""
    steps: frozenset[str] = frozenset()
    """The steps that say the air or rest on it."""


StepState = Literal["open", "done", "again", "skipped", "left-out", "not-needed"]
"""`again`: what was recorded was upset since, and is to be measured again as left."""
NOT_OF_THE_JOB: Final[tuple[StepState, ...]] = ("not-needed", "left-out")
"""States of steps that this machine or this job does without."""


@dataclass(frozen=True, slots=True)
class StepResult:
    """How far one step is."""

    step: Step
    section: str
    state: StepState
    why_skipped: str = ""
    failed: bool = False
    """A reading or derived value fails, by as left where there is one."""
    uncertain: bool = False
    not_made: bool = False
    """Nothing in it has a value, or all that was said is that it is not done."""
    waiting: tuple[tuple[str, str | None], ...] = ()
    """(reading, cylinder) that still want a value."""
    skipped_readings: Mapping[tuple[str, str | None], str] = field(default_factory=dict)
    advice: tuple[str, ...] = ()
    """Advice that was or would be not followed: `after`, `disturbed_by`, gates that are open."""
    upset_by: str = ""
    """The step whose work upset readings of this one since; "" for none."""
    stale: tuple[tuple[str, str | None], ...] = ()
    """(reading, cylinder) that are to be measured again as left for that."""
    unjudged: tuple[str, ...] = ()
    """What was answered and has no verdict: unknown, or a limit that can't be worked out."""
    failed_before: bool = False
    """A value that was upset since failed when it was measured."""

    @property
    def is_untouched(self) -> bool:
        """Done for want of anything to do: all its readings are optional, and nothing was said."""
        asks_nothing = all(reading.optional for reading in self.step.readings)
        said = self.skipped_readings or not self.not_made
        return self.state == "done" and asks_nothing and not said


@dataclass(frozen=True, slots=True)
class SignoffBlocker:
    """One thing that stands in the way of the sign-off."""

    kind: Literal["safety", "step", "finding"]
    id: str
    """The step's, or the finding's."""
    text: str
    """In one plain sentence."""
    is_open: bool = True
    """Whether it is an open step or an undecided finding, which `accept_open` may cover; a safety
    step wants its own words beside that."""


@dataclass(frozen=True)
class Results:
    """Everything that follows from the session as it stands."""

    checklist: Checklist
    """With the steps that were added in this session."""
    machine: Machine
    steps: tuple[StepResult, ...]
    readings: tuple[ReadingRow, ...]
    """In the list's order; as found before as left."""
    derived: tuple[DerivedRow, ...]
    findings: tuple[Finding, ...]
    signoff_blockers: tuple[str, ...]
    """What stands in the way of the sign-off, one plain sentence each."""

    def step(self, step_id: str) -> StepResult:
        """The result of one step."""
        return self._by_step[step_id]

    @cached_property
    def _by_step(self) -> dict[str, StepResult]:
        return {result.step.id: result for result in reversed(self.steps)}

    def row(self, step: str, reading: str, cylinder: str | None, phase: Phase) -> ReadingRow | None:
        """The value that stands for a reading, if there is one."""
        return self._rows.get((step, reading, cylinder, phase))

    def derived_row(
        self, step: str, derived: str, cylinder: str | None, phase: Phase
    ) -> DerivedRow | None:
        """A derived value in a phase, if it exists there."""
        return self._derived.get((step, derived, cylinder, phase))

    _rows: Mapping[tuple[str, str, str | None, Phase], ReadingRow] = field(default_factory=dict)
    _derived: Mapping[tuple[str, str, str | None, Phase], DerivedRow] = field(default_factory=dict)
    settings: tuple[SettingRow, ...] = ()
    """The next move of every setting that has a value."""
    chart: JetChartAdvice | None = None
    """What the jet chart says for the session's air; None where the sheet has no chart."""
    blockers: tuple[SignoffBlocker, ...] = ()
    """The same, by what they are about."""
    left_out: str = ""
    """What the job leaves out, in one line; "" where it takes all in."""
    air: Air = field(default_factory=Air)
    """The air in force."""


__all__ = ["Derived", "Reading"]
