"""What stands above the question: the step with its readings, or the panel that was asked for."""

from __future__ import annotations

from dataclasses import dataclass

from rich.console import Group, RenderableType
from rich.text import Text

from inspect_tui.tui.base import reading_order
from inspect_tui.tui.base.look import DIM
from inspect_tui.tui.base.view_model import InspectionActions
from inspect_tui.tui.walk import menu, question_text, surroundings
from inspect_tui.tui.walk.prompts import section_title
from inspect_tui.tui.walk.state import WalkState
from inspect_tui.tui.widgets import ambient_panel, step_panel

NARROW = 60
"""Columns below which the group stands in the heading, since no list stands beside."""
WIDE = 150
"""Columns from which every reading has its limit strip beside it, and the aside is there."""
BESIDE_SHEET = {0: 0, NARROW: 30, 100: 34, WIDE: 40 + 64}
"""Columns that the list and the aside take, by the columns of the screen from which they do."""
PADDING = 2
SCROLL_BAR = 1
ROOMY = 30
"""Lines from which the whole method stays above the readings, and what was noticed below them."""


@dataclass(frozen=True, slots=True)
class WalkSheet:
    """The parts of the sheet, from the top."""

    heading: Text | None
    """None where the list of found steps takes its place."""
    method: RenderableType
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
    narrow, wide = columns < NARROW, columns >= WIDE
    beside = Text("")
    if wide:
        air = ambient_panel.panel(results, state.changed)
        beside = Text("\n\n").join([surroundings.aside(view, result), air])
    section = section_title(results, result.section) if narrow or lines >= ROOMY else ""
    room = sheet_columns(columns)
    heading = step_panel.heading(result, section, room)
    if state.is_menu_open:
        return WalkSheet(None if narrow else heading, menu.table(room), None, beside)
    if state.prompt is not None and state.prompt.purpose == "goto":
        return WalkSheet(None, matches(state), None, beside)
    if state.panel == "why":
        parts = (step_panel.method(view, result), step_panel.background(result))
        method = Text("\n\n").join(parts)
        return WalkSheet(heading, method, None, beside)
    if state.panel == "saved":
        saved = surroundings.last_saved(view) or Text("Nothing is saved yet.", style=DIM)
        return WalkSheet(heading, saved, None, beside)
    if state.panel == "air":
        return WalkSheet(heading, ambient_panel.panel(results, state.changed), None, beside)
    if state.panel == "details":
        return WalkSheet(heading, step_panel.details(view, result), None, beside)
    begun = any(row.step == state.step for row in results.readings)
    if begun and lines < ROOMY and state.gate is None and not result.advice:
        folded = step_panel.folded(result, room - SCROLL_BAR)
        method = Text("\n").join([*step_panel.put_off(view, result), folded])
    else:
        method = step_panel.method(view, result, cautioned=state.gate is not None)
    picture = step_panel.readings(view, desk, result, state.target, wide)
    if lines >= ROOMY and not narrow:
        picture = Group(picture, surroundings.below(view, result, beside=wide))
    return WalkSheet(heading, method, picture, beside)


def sheet_columns(columns: int) -> int:
    """Columns of text that the sheet has, of so many of the whole screen."""
    taken = max(beside for least, beside in BESIDE_SHEET.items() if columns >= least)
    return columns - taken - PADDING


def matches(state: WalkState) -> Text:
    """The steps that the typed letters fit, the picked one marked."""
    hits = reading_order.matching(state.results, state.draft.text)
    return question_text.matches(state.results, hits, picked(state, len(hits)))


def picked(state: WalkState, of: int) -> int:
    """Which of so many found steps Enter goes to."""
    return max(0, min(state.pick, of - 1))
