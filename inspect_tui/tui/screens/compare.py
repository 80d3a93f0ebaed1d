"""The cylinders side by side: values against the sheet, the spread, what is out of family."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import ClassVar

from rich.console import Group, RenderableType
from rich.text import Text
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Static

from inspect_tui.core.model.checklist import Reading
from inspect_tui.core.model.log_entry import AS_FOUND, AS_LEFT
from inspect_tui.core.model.results import ReadingRow, Results, StepResult
from inspect_tui.core.presentation import wording
from inspect_tui.core.presentation.figures import format_difference, format_quantity
from inspect_tui.core.presentation.pictures import cylinder_bars
from inspect_tui.core.text.visible import one_line, without_fail
from inspect_tui.tui.base.actions import Action
from inspect_tui.tui.base.bindings import bindings
from inspect_tui.tui.base.look import DIM, UNCERTAIN, words
from inspect_tui.tui.base.styling import finding_state, shown_value, verdict_sign
from inspect_tui.tui.base.view_model import View
from inspect_tui.tui.screens.common.scrolling_screen import SCROLLING, ScrolledScreen
from inspect_tui.tui.walk.pictures import bar_chart
from inspect_tui.tui.widgets.ambient_panel import air_line, band, chart_table
from inspect_tui.tui.widgets.fitted_table import FittedTable, Row
from inspect_tui.tui.widgets.key_line import KeyLine
from inspect_tui.tui.widgets.picture import picture_text
from inspect_tui.tui.widgets.step_panel import out_of_family, zones_in_words
from inspect_tui.tui.widgets.title_block import TitleBlock

ACTIONS = (
    Action("escape", "back", "Back", "Back to the walk", True),
    Action("f2", "phase", "Found/left", "Show as found, or as left where there is one", True),
    Action("b", "bars", "Bars", "Draw each reading's cylinders as bars, or tables again", True),
    Action("f1", "help", "Help", "What this screen is for, and its keys", True),
    *SCROLLING,
)


BESIDE = 6
"""Cells beside a drawing."""
ROWS, AROUND = 2, 4
"""Rows of a cylinder's bar, and of the axis and the legend."""


class CompareScreen(ScrolledScreen):
    """Every per-cylinder reading of the list that has a value."""

    ACTIONS: ClassVar[tuple[Action, ...]] = ACTIONS
    BINDINGS = bindings(ACTIONS)
    SHEET = "#compare"
    HELP_TITLE = "The cylinders compared"
    HELP_TEXT = (
        "Each reading that is taken per cylinder, with the sheet's limits and the spread. Parts "
        "that seem to be exchanged between two cylinders, and a cylinder apart from the others, "
        "are named above. One gauge's own error is the same at each cylinder: what counts is how "
        "well its readings repeat."
    )

    def compose(self) -> ComposeResult:
        """What was noticed, then the tables."""
        yield TitleBlock()
        with VerticalScroll(id="compare", can_focus=False):
            yield Static("", id="compare-body", markup=False)
        yield KeyLine(ACTIONS)

    def on_mount(self) -> None:
        """As left first where there is one."""
        self.as_left = True
        self.as_bars = False
        super().on_mount()

    def draw(self, view: View) -> None:
        """One table a step."""
        phase = "as left" if self.as_left else "as found"
        self.query_one(TitleBlock).fill(view, f"cylinders, {phase}")
        results = view.results
        parts: list[RenderableType] = []
        noticed = [each for each in results.findings if each.kind in ("exchanged", "out-of-family")]
        for finding in noticed:
            mark, said, colour = finding_state(finding, view.put_off)
            text = without_fail(one_line(finding.text))
            parts.append(Text(f"{mark} {text} ({said})", style=colour))
            parts += [Text("    ").append_text(words(each, DIM)) for each in finding.evidence]
        per_cylinder = [result for result in results.steps if result.step.per_cylinder]
        if self.as_bars:
            drawn = list(self._bars(results, per_cylinder))
            many = "two cylinders" if len(results.machine.cylinders) > 1 else "the cylinder"
            none = Text(f"No number was taken at {many} so far.")
            self.query_one("#compare-body", Static).update(Group(*(drawn or [none])))
            return
        tables = [self._table(results, result) for result in per_cylinder]
        shown: list[RenderableType] = [table for table in tables if table is not None]
        if not noticed and shown and len(results.machine.cylinders) > 1:
            parts.append(Text("No parts seem exchanged; no cylinder is out of family.", "green"))
        if not shown:
            parts.append(Text("No reading was taken per cylinder so far."))
        if results.chart is not None:
            parts += [Text("\nJet chart", style="bold"), air_line(results.air)]
            parts += band(results.chart)
            parts += [table for table in (chart_table(results.chart),) if table is not None]
        self.query_one("#compare-body", Static).update(Group(*parts, *shown))

    def _table(self, results: Results, result: StepResult) -> RenderableType | None:
        step, names = result.step, results.machine.cylinders
        odd = out_of_family(results, step.id)
        lines = []
        for reading in step.readings:
            rows = [self._row(results, step.id, reading.id, name) for name in names]
            if any(row is not None for row in rows):
                cells = [
                    _cell(row, (reading.id, name) in odd)
                    for row, name in zip(rows, names, strict=True)
                ]
                cells += [_spread(reading, rows)] if len(names) > 1 else []
                zone = zones_in_words(results, self.desk, step.id, reading)
                label = Text(one_line(reading.label))
                lines.append(Row(Text(" "), label, (*cells, zone)))
        if not lines:
            return None
        last = ("spread", "sheet") if len(names) > 1 else ("sheet",)
        heads = tuple(Text(one_line(name), style=DIM) for name in (*names, *last))
        title = Text(f"\n{one_line(step.title)}", style="bold")
        return Group(title, FittedTable(tuple(lines), heads))

    def _row(self, results: Results, step: str, reading: str, name: str) -> ReadingRow | None:
        left = results.row(step, reading, name, AS_LEFT) if self.as_left else None
        return left or results.row(step, reading, name, AS_FOUND)

    def _bars(self, results: Results, steps: list[StepResult]) -> Iterator[RenderableType]:
        """Each reading of numbers that two cylinders have, or the only one, drawn."""
        width = max(20, self.size.width - BESIDE)
        for result in steps:
            for reading in result.step.readings:
                chart = bar_chart(results, self.desk, result.step.id, reading)
                taken = 0 if chart is None else sum(bar.standing is not None for bar in chart.bars)
                told = reading.kind == "number" or reading.limit is not None  # `7 pulls` says none
                if chart is not None and told and taken >= min(2, len(chart.bars)):
                    title, label = one_line(result.step.title), one_line(reading.label)
                    yield Text(f"\n{title if title == label else f'{title}: {label}'}", "bold")
                    rows = ROWS * len(chart.bars) + AROUND
                    yield picture_text(cylinder_bars.draw(chart, width, rows))

    def action_bars(self) -> None:
        """Bars in place of the tables, or the tables again."""
        self.as_bars = not self.as_bars
        self.draw_soon()

    def action_phase(self) -> None:
        """As found, or as left where there is one."""
        self.as_left = not self.as_left
        self.draw_soon()

    def action_back(self) -> None:
        """Back to the walk."""
        self.dismiss()


def _cell(row: ReadingRow | None, odd: bool) -> Text:
    if row is None:
        return Text("—", style=DIM)
    text = Text(f"{shown_value(row)} ") + verdict_sign(row.judged)
    if row.phase == AS_LEFT:
        text.append(f" {wording.PHASES[AS_LEFT].sign}", style="magenta")
    if odd:
        text.append("\n≠ family", style=UNCERTAIN)
    return text


def _spread(reading: Reading, rows: list[ReadingRow | None]) -> Text:
    """Highest less lowest of what was measured; for words, how many different ones."""
    values = [row.value for row in rows if row is not None]
    if len(values) < 2:
        return Text("")
    numbers = [each for each in values if isinstance(each, int | float | Fraction)]
    if len(numbers) == len(values) and reading.kind in ("number", "count", "timer"):
        spread = max(numbers) - min(numbers)
        known = [row.judged.uncertainty for row in rows if row is not None]
        least = max((each for each in known if each is not None), default=None)
        own = format_quantity(spread, wording.difference_unit(reading.unit), least)
        typed = [row.entered for row in rows if row is not None]
        return Text(format_difference(typed, spread, reading.unit, own))
    same = len(set(map(str, values))) == 1
    return Text("all alike" if same else "differ", style=DIM if same else UNCERTAIN)
