"""What the walk draws large: a running timer, the view for two metres, the cylinders as bars, the
fall of pressure in a hold test. No terminal; the widget beside the readings shows what comes out.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from inspect_tui.core.model.checklist import Reading
from inspect_tui.core.model.log_entry import AS_FOUND, AS_LEFT
from inspect_tui.core.model.results import ConformityResult, ReadingRow, Results
from inspect_tui.core.model.targets import Preview, Target
from inspect_tui.core.presentation import wording
from inspect_tui.core.presentation.pictures import block_figures, cylinder_bars, trend_plot
from inspect_tui.core.presentation.pictures.block_figures import Faces, LargeView
from inspect_tui.core.presentation.pictures.cylinder_bars import BarChart, BarValue, CylinderBar
from inspect_tui.core.presentation.pictures.text_picture import TextPicture
from inspect_tui.core.text.formatting import clock_words
from inspect_tui.core.text.unit_text import format_unit
from inspect_tui.tui.base.styling import shown_value
from inspect_tui.tui.base.view_model import InspectionActions
from inspect_tui.tui.walk import hold_test, one_press
from inspect_tui.tui.walk.state import WalkState

TIMER_ROWS = 5
FALL_ROWS = 9


@dataclass(frozen=True, slots=True)
class LargePicture:
    """A picture and the room it wants."""

    draw: Callable[[int, int], TextPicture]
    """For so many columns and rows."""
    rows: int | None = None
    """Rows beside the readings; None where it takes their whole room."""
    least: int = TIMER_ROWS
    """Rows below which it can't be drawn."""


def picture(
    state: WalkState, desk: InspectionActions, faces: Callable[[], Faces], now: float
) -> LargePicture | None:
    """What is drawn large at this place; None where nothing is.

    Args:
        state: What stands.
        desk: Tells the limits and what is typed.
        faces: The block letters; read when they are wanted.
        now: By the clock of the keys [s].
    """
    if state.gate is not None or state.is_menu_open:
        return None
    timer = state.timer
    if state.panel == "far":
        view = far_view(state, desk, now)
        return LargePicture(lambda columns, rows: block_figures.draw(view, faces(), columns, rows))
    if state.panel == "bars":
        chart = bars(state, desk)
        if chart is None:
            return None
        return LargePicture(lambda columns, rows: cylinder_bars.draw(chart, columns, rows))
    if state.panel or state.prompt is not None:
        return None
    if timer is not None and timer.target == state.target:
        shown = clock_words(now - timer.started)
        return LargePicture(
            lambda columns, rows: block_figures.draw_figure(shown, faces(), columns, rows),
            TIMER_ROWS,
        )
    fall = hold_test.fall_of(state, desk)
    if fall is None:
        return None
    return LargePicture(
        lambda columns, rows: trend_plot.draw(fall, columns, rows), FALL_ROWS, trend_plot.MIN_ROWS
    )


def follows_typing(state: WalkState) -> bool:
    """Whether the picture shows what is typed: the view for two metres, a hold test's fall."""
    return (
        state.panel == "far" or hold_test.of_step(state.results.step(state.step).step) is not None
    )


def far_view(state: WalkState, desk: InspectionActions, now: float) -> LargeView:
    """The question, the cylinder and the answer, for two metres away."""
    if state.prompt is not None:
        return LargeView(state.prompt.asks, answer=state.draft.text)
    reading, target = state.reading, state.target
    if reading is None or target is None:
        return LargeView("No reading is asked here")
    cylinder, timer = target.cylinder or "", state.timer
    if timer is not None and timer.target == target:
        return LargeView(reading.label, cylinder, clock_words(now - timer.started))
    if state.draft.text.strip():
        preview = desk.preview(target, state.entry, state.phase)
        answer, unit = _parts(state.draft.text, state.unit, reading)
        return _with_verdict(reading.label, cylinder, answer, unit, preview)
    row = state.results.row(target.step, target.reading, target.cylinder, state.phase)
    if row is None:
        return LargeView(reading.label, cylinder, unit=format_unit(state.unit or reading.unit))
    answer, unit = _parts(row.entered, "", reading)
    return _judged_view(reading.label, cylinder, answer, unit, row.judged)


def _with_verdict(label: str, cylinder: str, answer: str, unit: str, preview: Preview) -> LargeView:
    if preview.error or preview.judged is None:
        return LargeView(label, cylinder, answer, unit)
    return _judged_view(label, cylinder, answer, unit, preview.judged)


def _judged_view(
    label: str, cylinder: str, answer: str, unit: str, judged: ConformityResult
) -> LargeView:
    """What is said more than the verdict itself stands below it."""
    said = "" if judged.words == wording.VERDICTS[judged.verdict].word else judged.words
    return LargeView(label, cylinder, answer, unit, judged.verdict, said)


def _parts(text: str, unit: str, reading: Reading) -> tuple[str, str]:
    """A typed text as the number and its unit, as far as they can be told apart."""
    written = one_press.written_unit(text, reading)
    if written is None:
        return text, ""
    number = text.strip().removesuffix(written).rstrip() if written else text.strip()
    return number, format_unit(written or unit or reading.unit)


# Cylinders side by side


def bars(state: WalkState, desk: InspectionActions) -> BarChart | None:
    """The asked reading's cylinders; None where it has none or is no number."""
    reading, target = state.reading, state.target
    if reading is None or target is None:
        return None
    return bar_chart(state.results, desk, state.step, reading)


def bar_chart(
    results: Results, desk: InspectionActions, step: str, reading: Reading
) -> BarChart | None:
    """One per-cylinder reading of numbers, with limits and uncertainty."""
    names = results.machine.cylinders
    if not results.step(step).step.per_cylinder or reading.kind not in ("number", "count"):
        return None
    zones = {name: desk.zone(Target(step, reading.id, name), AS_FOUND) for name in names}
    found = []
    for name in names:
        zone = zones[name]
        rows = {phase: results.row(step, reading.id, name, phase) for phase in (AS_FOUND, AS_LEFT)}
        found.append(
            CylinderBar(
                name, _bar(rows[AS_FOUND]), _bar(rows[AS_LEFT]),
                None if zone is None or zone.low is None else float(zone.low),
                None if zone is None or zone.high is None else float(zone.high),
            )
        )  # fmt: skip
    words = {wording.zone_words(zone) for zone in zones.values()}
    said = words.pop() if len(words) == 1 else ""
    return BarChart(reading.label, format_unit(reading.unit), tuple(found), said)


def _bar(row: ReadingRow | None) -> BarValue | None:
    if row is None or isinstance(row.value, bool | str) or row.value is None:
        return None
    uncertainty = float(row.judged.uncertainty or 0)
    return BarValue(float(row.value), shown_value(row), row.judged.verdict, uncertainty)
