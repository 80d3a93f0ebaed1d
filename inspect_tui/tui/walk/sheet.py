"""What stands above the question: the step with its readings, or the panel that was asked for."""

from __future__ import annotations

from dataclasses import dataclass

from rich.console import Group, RenderableType
from rich.text import Text

from inspect_tui.core.model.targets import Target
from inspect_tui.core.presentation import wording
from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base import reading_order
from inspect_tui.tui.base.look import DIM
from inspect_tui.tui.base.styling import brief_verdict, shown_value
from inspect_tui.tui.base.view_model import InspectionActions
from inspect_tui.tui.walk import menu, question_text
from inspect_tui.tui.walk.prompts import section_title
from inspect_tui.tui.walk.state import WalkState
from inspect_tui.tui.widgets import ambient_panel, step_panel
from inspect_tui.tui.widgets.upcoming_steps import coming

NARROW = 60
"""Columns below which a grid leaves out what the question says anyway."""
WIDE = 150
"""Columns from which every reading has its limit strip beside it."""
LIST_COLUMNS = 32
"""What the list beside the sheet takes."""
MAX_SAVED = 10
ROOMY = 30
"""Lines from which the whole method stays above the readings, and what was noticed below them."""
TALL = 40
"""Lines from which there is room for what comes next."""


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
    air = ambient_panel.panel(results, state.changed)
    why, details = step_panel.background(result), step_panel.details(view, result)
    beside = Text("\n\n").join([why, details, air])
    narrow, wide = columns < NARROW, columns >= WIDE
    section = section_title(results, result.section) if narrow or lines >= ROOMY else ""
    heading = step_panel.heading(result, section)
    if state.is_menu_open:
        return WalkSheet(heading, menu.table(_sheet_columns(columns) - 2), None, beside)
    if state.prompt is not None and state.prompt.purpose == "goto":
        return WalkSheet(None, matches(state), None, beside)
    if state.panel == "why":
        method = Text("\n\n").join((step_panel.method(view, result), why))
        return WalkSheet(heading, method, None, beside)
    if state.panel == "saved":
        return WalkSheet(heading, last_saved(state), None, beside)
    if state.panel:
        return WalkSheet(heading, air if state.panel == "air" else details, None, beside)
    begun = any(row.step == state.step for row in results.readings)
    if begun and lines < ROOMY and state.gate is None and not result.advice:
        folded = step_panel.folded(result, _sheet_columns(columns) - 4)
        method = Text("\n").join([*step_panel.put_off(view, result), folded])
    else:
        method = step_panel.method(view, result, cautioned=state.gate is not None)
    picture = step_panel.readings(view, desk, result, state.target, narrow, wide)
    below: list[RenderableType] = [picture]
    if lines >= ROOMY and not narrow:
        below.append(step_panel.noticed(view, result))
    if wide and lines >= TALL:
        below.append(coming(results, state.step))
    readings = Group(*below)
    return WalkSheet(heading, method, readings, beside)


def _sheet_columns(columns: int) -> int:
    """Columns of the sheet beside the list."""
    return columns if columns < NARROW else columns - LIST_COLUMNS


def last_saved(state: WalkState) -> Text:
    """The readings that were saved last, the newest first."""
    rows = sorted(state.results.readings, key=lambda row: -row.n)[:MAX_SAVED]
    lines = [Text("LAST SAVED", style=DIM)]
    recorded = state.known.session.readings
    for row in rows:
        target = Target(row.step, row.reading, row.cylinder)
        at = recorded[row.step, row.reading, row.cylinder, row.phase].at
        name = question_text.place_name(state.results, row.step, target)
        line = Text(f"{at:%m-%d %H:%M}  ", style=DIM)
        line.append(f"{wording.PHASES[row.phase].sign} {one_line(name)}  ")
        line.append(f"{shown_value(row)}  ", style="bold")
        line.append_text(brief_verdict(row.judged))
        lines.append(line)
    return Text("\n").join(lines) if rows else Text("Nothing is saved yet.", style=DIM)


def matches(state: WalkState) -> Text:
    """The steps that the typed letters fit, the picked one marked."""
    hits = reading_order.matching(state.results, state.draft.text)
    return question_text.matches(state.results, hits, picked(state, len(hits)))


def picked(state: WalkState, of: int) -> int:
    """Which of so many found steps Enter goes to."""
    return max(0, min(state.pick, of - 1))
