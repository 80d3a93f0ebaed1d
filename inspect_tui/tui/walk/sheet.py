"""What stands above the question: the step with its readings, or the panel that was asked for."""

from __future__ import annotations

from dataclasses import dataclass

from rich.console import Group, RenderableType
from rich.text import Text

from inspect_tui.tui.base import reading_order
from inspect_tui.tui.base.view_model import InspectionActions
from inspect_tui.tui.walk import question_text
from inspect_tui.tui.walk.prompts import section_title
from inspect_tui.tui.walk.state import WalkState
from inspect_tui.tui.widgets import ambient_panel, step_panel
from inspect_tui.tui.widgets.upcoming_steps import coming

NARROW = 60
"""Columns below which a grid leaves out what the question says anyway."""
WIDE = 150
"""Columns from which every reading has its limit strip beside it."""
TALL = 40
"""Lines from which there is room for what comes next."""


@dataclass(frozen=True, slots=True)
class WalkSheet:
    """The parts of the sheet, from the top."""

    heading: Text | None
    """None where the list of found steps takes its place."""
    method: Text
    readings: RenderableType | None
    """None where the method, or the panel in its place, has the whole room."""
    background: Text
    """Why, tools, formulas and the air, where there is room beside."""


def sheet(state: WalkState, desk: InspectionActions, columns: int, lines: int) -> WalkSheet:
    """The sheet of the step that the person is at.

    Args:
        state: What stands.
        desk: Tells the limits.
        columns: Of the whole screen.
        lines: Of the whole screen.
    """
    results, view = state.results, state.known
    result = results.step(state.step)
    air = ambient_panel.panel(results, state.changed)
    why, details = step_panel.background(result), step_panel.details(view, result)
    beside = Text("\n\n").join([why, details, air])
    heading = step_panel.heading(result, section_title(results, result.section))
    if state.prompt is not None and state.prompt.purpose == "goto":
        return WalkSheet(None, matches(state), None, beside)
    if state.panel == "why":
        method = Text("\n\n").join((step_panel.method(result), why))
        return WalkSheet(heading, method, None, beside)
    if state.panel:
        return WalkSheet(heading, air if state.panel == "air" else details, None, beside)
    method = step_panel.method(result, cautioned=state.gate is not None)
    narrow, wide = columns < NARROW, columns >= WIDE
    picture = step_panel.readings(view, desk, result, state.target, narrow, wide)
    roomy = wide and lines >= TALL
    readings = Group(picture, coming(results, state.step)) if roomy else picture
    return WalkSheet(heading, method, readings, beside)


def matches(state: WalkState) -> Text:
    """The steps that the typed letters fit, the picked one marked."""
    hits = reading_order.matching(state.results, state.draft.text)
    return question_text.matches(state.results, hits, picked(state, len(hits)))


def picked(state: WalkState, of: int) -> int:
    """Which of so many found steps Enter goes to."""
    return max(0, min(state.pick, of - 1))
