"""A hold test: pumped up, held for a time, read again: one gauge, one unit, its fall drawn."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from inspect_tui.core.model.checklist import Reading, Step
from inspect_tui.core.presentation.pictures.trend_plot import TrendPlot, TrendPoint
from inspect_tui.core.quantities import units
from inspect_tui.core.text.unit_text import format_unit
from inspect_tui.errors import BadInput
from inspect_tui.tui.base.view_model import InspectionActions
from inspect_tui.tui.walk import one_press

if TYPE_CHECKING:
    from inspect_tui.tui.walk.state import WalkState

_SECONDS: Final = 60


@dataclass(frozen=True, slots=True)
class HoldTest:
    """The readings of a hold test."""

    before: Reading
    timer: Reading
    after: Reading
    alike: frozenset[str]
    """Every reading that is read off the same gauge."""


def of_step(step: Step) -> HoldTest | None:
    """A step with a timer and two readings of one dimension, the first and the last of them; None
    where it is none."""
    timers = [each for each in step.readings if each.kind == "timer"]
    numbers = [each for each in step.readings if each.kind == "number" and each.unit]
    if len(timers) != 1 or len(numbers) < 2:
        return None
    try:
        first = units.unit(numbers[0].unit)
        alike = [each for each in numbers if units.unit(each.unit).dimension == first.dimension]
    except BadInput:
        return None
    if len(alike) < 2:
        return None
    return HoldTest(alike[0], timers[0], alike[-1], frozenset(each.id for each in alike))


def row_of(step: Step, reading: str) -> str:
    """The reading whose row the unit typed last stays in: in a hold test all its readings are one
    row, since one gauge is read before and after."""
    test = of_step(step)
    return reading if test is None else test.before.id


def shares_gauge(step: Step, reading: str) -> bool:
    """Whether a row's unit is this reading's too."""
    test = of_step(step)
    return test is None or reading in test.alike


def fall_of(state: WalkState, desk: InspectionActions) -> TrendPlot | None:
    """The fall of pressure in the gauge's unit: before the time and after it, that as it is typed.

    Drawn once all three have a value.
    """
    results, target = state.results, state.target
    step = results.step(state.step).step
    test = of_step(step)
    if test is None:
        return None
    cylinder = target.cylinder if target is not None and step.per_cylinder else None
    values: list[Fraction] = []
    typed_in = ""
    for reading in (test.before, test.timer, test.after):
        row = results.row(step.id, reading.id, cylinder, state.phase)
        value: object = None if row is None else row.value
        if target is not None and reading.id == target.reading and state.draft.text.strip():
            value = desk.preview(target, state.entry, state.phase).value
        elif row is not None and reading is test.before:
            typed_in = one_press.written_unit(row.entered, reading) or ""
        if not isinstance(value, int | float | Fraction):
            return None
        values.append(Fraction(str(value)))
    seconds, gauge = float(values[1]), units.unit(typed_in or test.before.unit)
    start, end = (
        float(units.number_in(units.of(value, units.unit(reading.unit)), gauge))
        for value, reading in ((values[0], test.before), (values[2], test.after))
    )
    in_minutes = seconds >= 2 * _SECONDS
    points = (
        TrendPoint(0.0, start, state.phase),
        TrendPoint(seconds / _SECONDS if in_minutes else seconds, end, state.phase),
    )
    label = f"Fall: {test.before.label}, {test.after.label}"
    shown, across = format_unit(typed_in or test.before.unit), "min" if in_minutes else "s"
    return TrendPlot(label, shown, points, "meter", across)
