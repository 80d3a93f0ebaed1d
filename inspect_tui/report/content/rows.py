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
)
from inspect_tui.core.presentation import limit_strip, row_words, wording
from inspect_tui.core.presentation.figures import format_quantity
from inspect_tui.core.quantities.units import Number
from inspect_tui.core.session.replay import Recorded, Session
from inspect_tui.report.content import value_words

PHASES: tuple[Phase, Phase] = ("as-found", "as-left")


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
    unknown: bool = False
    paper: str = ""
    """When it was taken and by whom, where it was typed in from paper."""

    @property
    def shown(self) -> str:
        """The value as people read it, or why there is none."""
        if self.unknown or self.entered:
            value = None if self.unknown else self.value
            return row_words.entered_words(self.entered, value, self.unit, self.judged)
        if self.value is None:
            return row_words.missing(self.reason)
        ends = row_words.edges(self.judged.zone)
        return format_quantity(self.value, self.unit, self.judged.uncertainty, ends)

    @property
    def brief(self) -> str:
        """The verdict in a few words."""
        return value_words.verdict_brief(self.value, self.unit, self.judged)

    @property
    def marked(self) -> str:
        """The value behind the sign of its verdict; a value that nobody judges has none."""
        if self.judged.zone is None:
            return self.shown
        return f"{wording.VERDICTS[self.judged.verdict].sign} {self.shown}"

    @property
    def circumstances(self) -> str:
        """State of the machine and gauge, where they were given."""
        parts = (("state", self.state), ("gauge", self.gauge), ("from paper", self.paper))
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
    """Values that were corrected, in the order in which they were entered: the log's alone."""
    skipped: str = ""
    """Why it was skipped; "" where it wasn't."""
    formula: str = ""
    source: str = ""
    """Where the limit comes from."""
    optional: bool = False

    def stood(self, phase: Phase) -> Stood | None:
        """The value in a phase."""
        return next((value for value in self.values if value.phase == phase), None)

    @property
    def name(self) -> str:
        """Label and cylinder."""
        return self.label if self.cylinder is None else f"{self.label}, {self.cylinder}"

    @property
    def missing(self) -> str:
        """Why there is no value at all; "" where there is one."""
        if self.skipped:
            return f"skipped: {self.skipped}"
        if self.values:
            return ""
        return "not measured (optional)" if self.optional else "not measured"

    @property
    def standing(self) -> Stood | None:
        """As left, else as found."""
        return self.stood("as-left") or self.stood("as-found")

    @property
    def verdict(self) -> str:
        """The verdict of what stands, and before it that of what was found where it differs.

        It stands beside the limit, which says what was wanted.
        """
        found, left = self.stood("as-found"), self.stood("as-left")
        if left is None or found is None or found.judged.verdict == left.judged.verdict:
            stands = self.standing
            return "" if stands is None else _beside_limit(stands)
        return f"{_beside_limit(found) or 'not judged'} → {_beside_limit(left) or 'not judged'}"

    @property
    def uncertainty(self) -> str:
        """`±0.5 mm` of what stands, where it was judged by it."""
        stands = self.standing
        return "" if stands is None else value_words.uncertainty_brief(stands.judged, stands.unit)

    @property
    def circumstances(self) -> Iterator[str]:
        """State of the machine and gauge, a line for each phase where they differ."""
        said = [value.circumstances for value in self.values]
        for value, words in zip(self.values, said, strict=True):
            if words:
                phase = f"{wording.PHASES[value.phase].word}, " if len(set(said)) > 1 else ""
                yield f"{self.name}: {phase}{words}"

    @property
    def remarks(self) -> tuple[str, ...]:
        """What is to be said of its uncertainty."""
        said = (remark for value in self.values for remark in value.judged.remarks)
        return tuple(dict.fromkeys(said))

    @property
    def limit(self) -> str:
        """The limit in words; both where what follows from readings moved it."""
        zones = {value.phase: value_words.limit_words(value.judged.zone) for value in self.values}
        if len(set(zones.values())) > 1:
            return "; ".join(
                f"{wording.PHASES[phase].word}: {words or 'no limit'}"
                for phase, words in zones.items()
            )
        return next(iter(zones.values()), "")

    @property
    def strips(self) -> tuple[limit_strip.Geometry, ...]:
        """The limit strip; two where the limit itself moved between as found and as left."""
        grouped: list[tuple[ToleranceInterval, list[limit_strip.StripMark]]] = []
        for value in self.values:
            zone, mark = value.judged.zone, limit_strip.mark(value.phase, value.value, value.judged)
            if zone is None or mark is None or (zone.low is not None and zone.low == zone.high):
                continue  # of a single good value there is nothing to draw
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
        return f"{self.name}: limit {self.limit}; {marks}"


def _beside_limit(value: Stood) -> str:
    return "fail" if value.brief.startswith("wanted: ") else value.brief


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
        phase, None if row.unknown else row.value, row.unit, row.judged, row.entered, "",
        None if recorded is None else recorded.at,
        "" if recorded is None else recorded.by,
        row.state, row.gauge, row.unknown, "" if recorded is None else recorded.paper,
    )  # fmt: skip


def _derived(
    session: Session, results: Results, step: str, derived: str, cylinder: str | None, phase: Phase
) -> Stood | None:
    row = results.derived_row(step, derived, cylinder, phase)
    if row is None:
        return None
    return Stood(phase, row.value, row.unit, row.judged, reason=row.reason)
