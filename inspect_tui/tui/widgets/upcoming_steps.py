"""What comes after a step, for a screen with room below its readings: prepare the tools for it."""

from __future__ import annotations

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from inspect_tui.core.model.results import Results, StepResult
from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base.look import DIM, UNCERTAIN
from inspect_tui.tui.base.styling import step_state

MOST = 8
"""Steps that are named."""


def coming(results: Results, at: str) -> RenderableType:
    """The steps behind this one that the machine needs: mark, what is read, tools, caution."""
    ids = [each.step.id for each in results.steps]
    behind = results.steps[ids.index(at) + 1 :]
    wanted = [each for each in behind if each.state != "not-needed"][:MOST]
    if not wanted:
        return Text("")
    table = Table.grid(padding=(0, 2, 0, 0), expand=True)
    table.add_column()
    table.add_column(style=DIM)
    table.add_column(style=DIM)
    for each in wanted:
        table.add_row(_name(each), _read(each), Text(one_line(", ".join(each.step.tools))))
    return Group(Text("\nWHAT COMES NEXT, WHAT IS READ THERE, THE TOOLS FOR IT", style=DIM), table)


def _name(result: StepResult) -> Text:
    mark, _, colour = step_state(result)
    text = Text(f"{mark} ", style=colour)
    text.append(one_line(result.step.title))
    if result.step.is_safety:
        text.append(" ▲", style=DIM)
    if result.step.caution:
        text.append(" !", style=UNCERTAIN)
    return text


def _read(result: StepResult) -> Text:
    labels = one_line(", ".join(reading.label for reading in result.step.readings))
    return Text(f"{labels}, each cylinder" if result.step.per_cylinder else labels)
