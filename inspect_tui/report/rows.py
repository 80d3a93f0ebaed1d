"""The lines of a report: each reading and derived value, as found and as left.

Pure. What every format draws in its tables, with the words and the limit strip of each.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime

from inspect_tui.core.model.checklist import Derived, Reading, Step
from inspect_tui.core.model.log_entry import Phase
from inspect_tui.core.model.results import (
    ConformityResult,
    DerivedRow,
    ReadingRow,
    Results,
    StepResult,
    ToleranceInterval,
    Verdict,
)
from inspect_tui.core.presentation import limit_strip, wording
from inspect_tui.core.quantities.units import Number
from inspect_tui.core.session.replay import Recorded, Session
from inspect_tui.core.text.formatting import format_value

PHASES: tuple[Phase, Phase] = ("as-found", "as-left")


_UNKNOWN = "not known"


@dataclass(frozen=True, slots=True)
class Stood:
    """One value in one phase."""

    phase: Phase
    value: Number | bool | str | None
    unit: str
    judged: ConformityResult
    entered: str = ""
    """As typed; "" for a derived value."""
    reason: str = ""
    """Why there is no value: a derived one can't be worked out, or nobody knows it."""
    at: datetime | None = None
    by: str = ""
    state: str = ""
    gauge: str = ""

    @property
    def shown(self) -> str:
        """The value as people read it, or why there is none."""
        if self.value is None:
            if not self.reason or self.reason.startswith(("not measured", _UNKNOWN)):
                return self.reason or "not worked out"
            return f"not worked out: {self.reason}"
        return format_value(self.value, self.unit)

    @property
    def shown_as_entered(self) -> str:
        """The value with what was typed for it where that reads otherwise."""
        entered = " ".join(self.entered.split())
        alone = "" if self.value is None else format_value(self.value)
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
    def extras(self) -> Iterator[str]:
        """What else is to be said of it, one line each: formula, gauge, corrections."""
        if self.formula:
            yield f"{self.label} = {self.formula}"
        for value in self.values:
            if value.circumstances:
                phase = wording.PHASES[value.phase].word
                yield f"{self.name}, {phase}: {value.circumstances}"
        for row in self.earlier:
            phase = wording.PHASES[row.phase].word
            said = f"was {row.entered} ({row.by}, {wording.when(row.at)})"
            yield f"{self.name}, {phase}, corrected: {said}"

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
    def strips(self) -> tuple[limit_strip.Geometry, ...]:
        """The limit strip; two where the limit itself moved between as found and as left."""
        grouped: list[tuple[ToleranceInterval, list[limit_strip.StripMark]]] = []
        for value in self.values:
            zone, mark = value.judged.zone, limit_strip.mark(value.phase, value.value, value.judged)
            if zone is None or mark is None:
                continue
            if grouped and (grouped[-1][0].low, grouped[-1][0].high) == (zone.low, zone.high):
                grouped[-1][1].append(mark)
            else:
                grouped.append((zone, [mark]))
        drawn = (limit_strip.geometry(zone, marks) for zone, marks in grouped)
        return tuple(geometry for geometry in drawn if geometry is not None)

    @property
    def strip_words(self) -> str:
        """What the strip shows, for who can't see it."""
        marks = "; ".join(
            f"{wording.PHASES[value.phase].word} {value.shown}" for value in self.values
        )
        return f"limit {self.limit}; {marks}"


def lines_of(session: Session, results: Results, result: StepResult) -> tuple[Line, ...]:
    """A step's lines in the list's order: its readings, then what follows from them."""
    items: tuple[Reading | Derived, ...] = (*result.step.readings, *result.step.derived)
    return tuple(line for item in items for line in _lines(session, results, result, item))


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
        if not values and (derived or (result.state in _NOT_ASKED and not skipped)):
            continue
        yield Line(
            step.id, item.id, item.label, cylinder, derived, values,
            earlier=() if derived else _earlier(session, step.id, item.id, cylinder),
            skipped=skipped,
            formula=item.value if isinstance(item, Derived) else "",
            source=item.source,
            optional=isinstance(item, Reading) and item.optional,
        )  # fmt: skip


_NOT_ASKED = ("skipped", "not-needed", "left-out")


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
        phase, None if row.unknown else row.value, row.unit, row.judged, row.entered,
        _UNKNOWN if row.unknown else "",
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
