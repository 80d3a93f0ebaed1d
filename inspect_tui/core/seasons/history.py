"""A machine's figures over its sessions: each reading's points, its trend, its last value."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from inspect_tui.core.evaluation.conclusions.trend import (
    Crossing,
    Trend,
    TrendPoint,
    crossing,
    fit_trend,
    too_few,
)
from inspect_tui.core.model.log_entry import AS_LEFT, Phase
from inspect_tui.core.seasons.summary import PastValue, SessionSummary, counted
from inspect_tui.core.seasons.units import converted, span_converted

Place = tuple[str, str, str | None]
"""Step, reading, cylinder."""
NUMBERS = ("number", "count", "timer")


@dataclass(frozen=True, slots=True)
class Point:
    """A value of one session."""

    session: str
    at: datetime
    meter: float | None
    """What the machine's meter read in that session."""
    value: float | bool | str
    uncertainty: float | None
    phase: Phase
    verdict: str
    piece: int


@dataclass(frozen=True, slots=True)
class FigureTrend:
    """Where a figure goes, or why that can't be told."""

    per: str
    """The meter's unit."""
    line: Trend | None
    reached: Crossing


@dataclass(frozen=True, slots=True)
class ReadingHistory:
    """One reading of a machine over its sessions, in the newest list's unit."""

    step: str
    reading: str
    cylinder: str | None
    label: str
    unit: str
    points: tuple[Point, ...]
    low: float | None
    high: float | None
    trend: FigureTrend | None
    """None for what is no number."""
    title: str = ""
    """Its step's, in the newest list."""
    kind: str = "number"
    meter: str = ""
    """`odometer` or `hours` where it reads one."""


@dataclass(frozen=True, slots=True)
class MeterReading:
    """What a meter read in one session."""

    value: float
    piece: int
    """Which meter: a lower reading than the one before it is another, or one turned back."""


@dataclass(frozen=True, slots=True)
class MeterReadings:
    """The readings of one meter by session, in the newest list's unit."""

    unit: str
    by_session: Mapping[str, MeterReading]


def _meter_of(counting: Sequence[SessionSummary], name: str) -> MeterReadings | None:
    rows: list[tuple[PastValue, str]] = []
    for summary in counting:
        taken = [value for value in summary.values if value.meter == name]
        if taken:
            rows.append((max(taken, key=lambda value: value.at), summary.session))
    if not rows:
        return None
    rows.sort(key=lambda row: row[0].at)
    unit = rows[-1][0].unit
    found: dict[str, MeterReading] = {}
    before: MeterReading | None = None
    for value, session in rows:
        number = converted(value.value, value.unit, unit)
        if number is not None:
            piece = 0 if before is None else before.piece + (number < before.value)
            before = found[session] = MeterReading(number, piece)
    return MeterReadings(unit, found)


def history_of(
    summaries: Iterable[SessionSummary], *, worked_out: bool = False
) -> tuple[ReadingHistory, ...]:
    """Every reading that a machine's sessions hold, in the order of the newest list.

    Args:
        summaries: The machine's sessions, in any order; those left open count.
        worked_out: With what follows from readings and has a limit: the narrowest of five widths.
            Without it such a value is a point only where a reading carries it on (`same_as`).
    """
    counting = counted(summaries)
    meter = _meter_of(counting, "odometer") or _meter_of(counting, "hours") or MeterReadings("", {})
    places: dict[Place, PastValue] = {}
    for summary in reversed(counting):
        for value in summary.values:
            places.setdefault(value.place, value)
        for value in summary.worked_out if worked_out else ():
            if value.low is not None or value.high is not None:
                places.setdefault(value.place, value)
    return tuple(_history(place, newest, counting, meter) for place, newest in places.items())


def _history(
    place: Place, newest: PastValue, counting: Sequence[SessionSummary], meter: MeterReadings
) -> ReadingHistory:
    points: list[Point] = []
    piece = 0
    meter_piece: int | None = None
    rows = sorted(
        (
            (value, summary)
            for summary in counting
            for value in (*summary.values, *summary.worked_out)
            if value.place == place
        ),
        key=lambda row: (row[0].at, row[0].phase == AS_LEFT),
    )
    replaced = sorted(at for each in counting for step, at in each.fitted if step == place[0])
    for value, summary in rows:
        read = meter.by_session.get(summary.session)
        if read is not None:
            piece += meter_piece is not None and read.piece != meter_piece
            meter_piece = read.piece
        new_part = bool(replaced) and replaced[0] <= value.at
        while replaced and replaced[0] <= value.at:
            replaced.pop(0)
        piece += bool(points) and (value.phase == AS_LEFT or new_part)
        number: float | bool | str = value.value
        uncertainty = value.uncertainty
        if newest.kind in NUMBERS:
            changed = converted(value.value, value.unit, newest.unit)
            if changed is None:
                continue  # another dimension under the same name: not the same figure
            uncertainty = span_converted(uncertainty, value.unit, newest.unit)
            number = changed
        points.append(
            Point(
                summary.session, value.at, None if read is None else read.value, number,
                uncertainty, value.phase, value.verdict, piece,
            )
        )  # fmt: skip
    trend = _trend(points, newest, meter.unit) if newest.kind in NUMBERS else None
    return ReadingHistory(
        *place,
        newest.label,
        newest.unit,
        tuple(points),
        newest.low,
        newest.high,
        trend,
        newest.title,
        newest.kind,
        newest.meter,
    )


def _trend(points: Sequence[Point], newest: PastValue, per: str) -> FigureTrend:
    usable = [
        TrendPoint(point.meter, float(point.value), point.uncertainty, point.piece)
        for point in points
        if point.meter is not None and not isinstance(point.value, bool | str)
    ]
    limit = newest.low if newest.low is not None else newest.high
    line = fit_trend(usable)
    if line is None:
        why = too_few(usable) if usable or not points else "no meter was read"
        return FigureTrend(per, None, Crossing(limit, why_not=why))
    return FigureTrend(per, line, crossing(line, newest.low, newest.high))
