"""The cylinders side by side, for a report."""

from __future__ import annotations

import math

from inspect_tui.core.model.checklist import Derived, Reading, Step
from inspect_tui.core.model.log_entry import AS_FOUND, AS_LEFT, Phase
from inspect_tui.core.model.results import DerivedRow, ReadingRow, Results
from inspect_tui.core.presentation.pictures.cylinder_bars import BarChart, BarValue, CylinderBar
from inspect_tui.core.presentation.row_words import row_words
from inspect_tui.core.text.unit_text import format_unit
from inspect_tui.report.content import value_words

PHASES: tuple[Phase, Phase] = (AS_FOUND, AS_LEFT)
Item = Reading | Derived


def charts(results: Results) -> tuple[BarChart, ...]:
    """The cylinders side by side, of each reading at which something was noticed.

    Noticed is what failed or was too close to call, as found or as left, and what is out of family:
    of the rest the figures say all.
    """
    if len(results.machine.cylinders) < 2:
        return ()
    odd = {
        (finding.step, finding.reading)
        for finding in results.findings
        if finding.kind == "out-of-family"
    }
    return tuple(
        chart
        for step in results.checklist.steps
        if step.per_cylinder
        for item in _items(step)
        if (chart := _chart(results, step, item, (step.id, item.id) in odd)) is not None
    )


def _items(step: Step) -> list[Item]:
    return [*step.readings, *step.derived]


def _chart(results: Results, step: Step, item: Item, odd: bool) -> BarChart | None:
    if isinstance(item, Derived):
        if item.across:
            return None
    elif item.kind != "number":
        return None
    if not item.unit:  # a stamp is a name: 45 is no more than 40
        return None
    rows = [
        [_row(results, step, item, cylinder, phase) for phase in PHASES]
        for cylinder in results.machine.cylinders
    ]
    there = [row for pair in rows for row in pair if row is not None]
    if not odd and all(row.judged.verdict not in ("fail", "uncertain") for row in there):
        return None
    bars = [
        _bar(cylinder, *pair)
        for cylinder, pair in zip(results.machine.cylinders, rows, strict=True)
    ]
    if sum(bar.standing is not None for bar in bars) < 2:
        return None
    zones = {(bar.low, bar.high) for bar in bars}
    zone = there[0].judged.zone
    words = value_words.limit_words(zone) if len(zones) == 1 else ""
    return BarChart(f"{step.title}: {item.label}", format_unit(there[0].unit), tuple(bars), words)


def _row(
    results: Results, step: Step, item: Item, cylinder: str, phase: Phase
) -> ReadingRow | DerivedRow | None:
    if isinstance(item, Derived):
        return results.derived_row(step.id, item.id, cylinder, phase)
    return results.row(step.id, item.id, cylinder, phase)


def _bar(
    cylinder: str, found: ReadingRow | DerivedRow | None, left: ReadingRow | DerivedRow | None
) -> CylinderBar:
    stands = left or found
    zone = None if stands is None else stands.judged.zone
    low, high = (None, None) if zone is None else (zone.low, zone.high)
    return CylinderBar(
        cylinder, _value(found), _value(left),
        None if low is None else float(low), None if high is None else float(high),
    )  # fmt: skip


def _value(row: ReadingRow | DerivedRow | None) -> BarValue | None:
    if row is None or row.value is None or isinstance(row.value, bool | str):
        return None
    number = float(row.value)
    if not math.isfinite(number):
        return None
    uncertainty = float(row.judged.uncertainty or 0)
    shown = row_words(row)
    typed = shown.partition(" (")[0]  # its own unit stands on the axis
    return BarValue(
        number, typed, row.judged.verdict, uncertainty if math.isfinite(uncertainty) else 0.0
    )
