"""Cylinders as bars: one reading's values side by side, with limits, uncertainty, found and left.

Pure. Lying bars, since a terminal's cells give eight steps each across. Where the axis doesn't
begin at nought every bar is broken off at its foot. A bar never contradicts its verdict: what lies
inside a limit is drawn inside, however near it is. Limits are each cylinder's own; where all have
the same, their zone is named on top.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from inspect_tui.core.model.log_entry import Phase
from inspect_tui.core.model.results import Verdict
from inspect_tui.core.presentation.pictures.axis import beyond, placed, ticks
from inspect_tui.core.presentation.pictures.text_picture import (
    Canvas,
    Line,
    Role,
    TextPicture,
    fitted,
    packed,
    safe,
    width,
)
from inspect_tui.core.presentation.wording import PHASES, VERDICTS

MIN_BAR: Final = 16
"""Cells of a bar; where fewer are left, names and values stand over the bars."""
FROM_NOUGHT: Final = 0.5
"""The axis begins at nought where the lowest figure is under this share of the highest."""
LAST: Final = "◊"
FOUND_AND_LAST: Final = "◈"
LAST_WORDS: Final = "last season"

_EIGHTHS: Final = " ▏▎▍▌▋▊▉"


@dataclass(frozen=True, slots=True)
class BarValue:
    """What one cylinder read in one phase."""

    value: float
    """In the chart's unit, finite."""
    shown: str
    """As it was typed: `95 psi`, `1-1/4 turns`."""
    verdict: Verdict = "none"
    uncertainty: float = 0.0
    """Expanded (k = 2), in the same unit; 0 where none is stated."""


@dataclass(frozen=True, slots=True)
class CylinderBar:
    """One cylinder."""

    cylinder: str
    found: BarValue | None = None
    left: BarValue | None = None
    low: float | None = None
    """Its lower limit; None where the zone is open below."""
    high: float | None = None
    last: float | None = None
    """Last season's value as left."""

    @property
    def standing(self) -> tuple[Phase, BarValue] | None:
        """The value that stands: as left where there is one."""
        if self.left is not None:
            return "as-left", self.left
        return None if self.found is None else ("as-found", self.found)


@dataclass(frozen=True, slots=True)
class BarChart:
    """The cylinders of one reading."""

    label: str
    unit: str
    bars: tuple[CylinderBar, ...]
    limit_words: str = ""
    """The zone in words where it is one for all: `110 psi or more`."""

    @property
    def zone(self) -> tuple[float | None, float | None] | None:
        """The limits where every cylinder has the same; None where they differ or none has any."""
        zones = {(bar.low, bar.high) for bar in self.bars}
        low, high = zones.pop() if len(zones) == 1 else (None, None)
        nothing_fits = low is not None and high is not None and low > high
        return None if nothing_fits or low is high is None else (low, high)

    @property
    def fractions(self) -> bool:
        """Whether any value was typed as a fraction, so that the axis is in fractions too."""
        values = [v for bar in self.bars for v in (bar.found, bar.left) if v is not None]
        return any(_has_fraction(one.shown) for one in values)

    def window(self) -> tuple[float, float, bool]:
        """From where to where the axis reaches, and whether it begins at nought."""
        known: list[float] = []
        for bar in self.bars:
            known += [each for each in (bar.low, bar.high, bar.last) if each is not None]
            for one in (bar.found, bar.left):
                if one is not None:
                    known += [one.value - one.uncertainty, one.value + one.uncertainty]
        least, most = min(known, default=0.0), max(known, default=1.0)
        more = (most - least or abs(most) or 1.0) / 12
        if 0 <= least <= FROM_NOUGHT * most:
            return 0.0, most + more, True
        return least - more, most + more, False


def _has_fraction(text: str) -> bool:
    before, slash, after = text.partition("/")
    return bool(slash) and before[-1:].isdigit() and after[:1].isdigit()


# --- the picture ----------------------------------------------------------------------------


def draw(
    chart: BarChart,
    columns: int,
    rows: int,
    *,
    ascii: bool = False,  # noqa: A002
) -> TextPicture:
    """The bars in so many cells.

    The zone, a bar for each cylinder with a line under it for its uncertainty and other marks, the
    axis, a legend. Where rows lack, the legend goes, then the lines under the bars (their marks
    move into the bars); where they lack even then, the last cylinders, which is said.
    """
    canvas = Canvas(columns, rows)
    if columns < 8 or rows < 1:
        return canvas.picture(ascii=ascii)
    plan = _Plan(chart, columns, rows)
    row = 0
    if plan.header:
        _zone(canvas, row, plan, chart)
        row += 1
    for bar in chart.bars[: plan.shown]:
        plan.bar(canvas, row, bar)
        row += plan.per
    if plan.shown < len(chart.bars):
        missing = f"… {len(chart.bars) - plan.shown} more"
        canvas.put(row, 0, fitted(missing, columns), "faint")
        row += 1
    if plan.axis:
        _axis(canvas, row, plan, chart)
        row += 1
    for number, line in enumerate(plan.legend):
        canvas.put_line(row + number, line)
    return canvas.picture(ascii=ascii)


class _Plan:
    """What finds room, and where."""

    def __init__(self, chart: BarChart, columns: int, rows: int) -> None:
        names = max((width(safe(bar.cylinder)) for bar in chart.bars), default=0)
        self.name = min(names, columns // 3)
        said = max((width(each) for bar in chart.bars for each in _said(bar)), default=0)
        self.beside = columns - self.name - 1 - said - 1 >= MIN_BAR
        self.left = self.name + 1 if self.beside else 0
        self.wide = columns - self.left - (said + 1 if self.beside else 0)
        self.columns = columns
        self.start, self.end, self.from_nought = chart.window()
        legend = _legend(chart, columns)
        count = len(chart.bars)
        extra = 0 if self.beside else 1
        zone, axis = int(chart.zone is not None), 1
        for full, header, ruler, lines in (
            (True, zone, axis, legend), (True, zone, axis, []), (False, zone, axis, []),
            (False, 0, axis, []), (False, 0, 0, []),
        ):  # fmt: skip
            self.full, self.header, self.axis, self.legend = full, header, ruler, lines
            self.per = extra + (2 if full else 1)
            self.shown = count
            if header + count * self.per + ruler + len(lines) <= rows:
                return
        self.shown = max((rows - 1) // self.per, 0)

    def position(self, value: float) -> float:
        """A value's place in cells from the bar's foot, kept inside."""
        share = (value - self.start) / (self.end - self.start)
        return min(max(share, 0.0), 1.0) * (self.wide - 1)

    def cell(self, value: float) -> int:
        """The cell of a value."""
        return round(self.position(value))

    def limits(self, bar: CylinderBar) -> list[tuple[float, int]]:
        """Its limits with their cells, two limits never in one cell unless they are one."""
        cells = [(limit, self.cell(limit)) for limit in (bar.low, bar.high) if limit is not None]
        if len(cells) == 2 and cells[0][0] < cells[1][0] and cells[1][1] - cells[0][1] < 2:
            low = min(cells[0][1], self.wide - 3)
            cells = [(cells[0][0], max(low, 0)), (cells[1][0], max(low, 0) + 2)]
        return cells

    def marked(self, value: float, bar: CylinderBar) -> int:
        """The cell of a value, on the side of each limit on which it lies."""
        cell = self.cell(value)
        for limit, at in self.limits(bar):
            side = beyond(value, limit)
            cell = at if side == 0 else max(cell, at + 1) if side > 0 else min(cell, at - 1)
        return min(max(cell, 0), self.wide - 1)

    def bar(self, canvas: Canvas, row: int, bar: CylinderBar) -> None:
        """One cylinder: its name, its value, its bar, what belongs to it."""
        name = fitted(safe(bar.cylinder), self.name if self.beside else self.columns // 2)
        canvas.put(row, 0, name, "strong")
        said = _said(bar)
        if self.beside:
            for number, text in enumerate(said[: self.per]):
                canvas.put(row + number, self.left + self.wide + 1, text, _role(bar, number))
        else:
            column = width(name) + 2
            for number, text in enumerate(said):
                text = fitted(text, self.columns - column)
                canvas.put(row, column, text, _role(bar, number))
                column += width(text) + 2
            row += 1
        cells = _full(self, bar) if self.full else [_compact(self, bar)]
        for number, line in enumerate(cells):
            for column, (char, role) in enumerate(line):
                if char != " ":
                    canvas.put(row + number, self.left + column, char, role)


def _said(bar: CylinderBar) -> list[str]:
    """Verdict, phase and value as typed: of what stands, then of what was found before it."""
    values: list[tuple[Phase, BarValue]] = []
    if bar.left is not None:
        values.append(("as-left", bar.left))
    if bar.found is not None:
        values.append(("as-found", bar.found))
    if not values:
        return ["not measured"]
    return [
        f"{VERDICTS[one.verdict].sign} {PHASES[phase].sign} {safe(one.shown)}"
        for phase, one in values
    ]


def _role(bar: CylinderBar, number: int) -> Role:
    values = [one for one in (bar.left, bar.found) if one is not None]
    if not values:
        return "faint"
    return values[number].verdict


def _full(plan: _Plan, bar: CylinderBar) -> list[Line]:
    """The bar, and under it its uncertainty, the value as found and last season's."""
    upper: Line = [(" ", "plain")] * plan.wide
    under = list(upper)
    limits = plan.limits(bar)
    for _, at in limits:
        upper[at] = under[at] = ("│", "limit")
    standing = bar.standing
    if standing is not None:
        _, one = standing
        _fill(upper, plan, bar, one)
        _whisker(under, plan, bar, one)
    if bar.left is not None and bar.found is not None:
        under[plan.marked(bar.found.value, bar)] = (PHASES["as-found"].sign, "as-found")
    _last(under, plan, bar)
    return [upper, under]


def _fill(line: Line, plan: _Plan, bar: CylinderBar, one: BarValue) -> None:
    """The bar itself, ending on the side of each limit on which its value is."""
    eighths = round((plan.position(one.value) + 0.5) * 8)
    for limit, at in plan.limits(bar):
        side = beyond(one.value, limit)
        inside = side > 0 or (side == 0 and limit == bar.low)
        eighths = max(eighths, (at + 1) * 8) if inside else min(eighths, at * 8)
    for cell in range(eighths // 8):
        if line[cell][0] == " ":
            line[cell] = ("█", one.verdict)
        else:  # a limit that the bar has passed stays to be seen in it
            line[cell] = ("┃", one.verdict)
    if eighths // 8 < plan.wide and eighths % 8 and line[eighths // 8][0] == " ":
        line[eighths // 8] = (_EIGHTHS[eighths % 8], one.verdict)
    if not plan.from_nought and eighths >= 16:
        line[0] = ("▒", one.verdict)


def _whisker(line: Line, plan: _Plan, bar: CylinderBar, one: BarValue) -> None:
    if one.uncertainty > 0:
        first = plan.marked(one.value - one.uncertainty, bar)
        last = plan.marked(one.value + one.uncertainty, bar)
        for cell in range(first, last + 1):
            crossed = line[cell][0] in "│┿"
            line[cell] = ("┿" if crossed else "━", "uncertainty")


def _last(line: Line, plan: _Plan, bar: CylinderBar) -> None:
    if bar.last is None:
        return
    cell = plan.marked(bar.last, bar)
    found = line[cell][0] == PHASES["as-found"].sign
    line[cell] = (FOUND_AND_LAST if found else LAST, "last")


def _compact(plan: _Plan, bar: CylinderBar) -> Line:
    """All of it on one line: a thin bar with the marks on it."""
    line: Line = [(" ", "plain")] * plan.wide
    standing = bar.standing
    if standing is not None:
        for cell in range(plan.marked(standing[1].value, bar)):
            line[cell] = ("─", standing[1].verdict)
    for _, at in plan.limits(bar):
        line[at] = ("│", "limit")
    if standing is not None:
        _whisker(line, plan, bar, standing[1])
    if bar.left is not None and bar.found is not None:
        line[plan.marked(bar.found.value, bar)] = (PHASES["as-found"].sign, "as-found")
    _last(line, plan, bar)
    if standing is not None:
        phase, one = standing
        line[plan.marked(one.value, bar)] = (PHASES[phase].sign, phase)
    return line


# --- around the bars ------------------------------------------------------------------------


def _zone(canvas: Canvas, row: int, plan: _Plan, chart: BarChart) -> None:
    """The zone between the limits, an arrow where it is open, its words in it or beside it."""
    low, high = chart.zone or (None, None)
    cells = dict(plan.limits(chart.bars[0]))
    first = 0 if low is None else cells[low]
    last = plan.wide - 1 if high is None else cells[high]
    line = ["─"] * (last + 1 - first)
    line[0] = "◂" if low is None else "├"
    line[-1] = "▸" if high is None else "┤"
    canvas.put(row, plan.left + first, "".join(line), "zone")
    words = f" {safe(chart.limit_words or 'within limits')} "
    if width(words) + 2 <= last + 1 - first:
        canvas.put(row, plan.left + (first + last + 1 - width(words)) // 2, words, "zone")
        return
    before, after = plan.left + first, plan.columns - plan.left - last - 1
    if width(words) <= max(before, after):
        at = plan.left + last + 1 if after >= before else before - width(words)
        canvas.put(row, at, words, "zone")


def _axis(canvas: Canvas, row: int, plan: _Plan, chart: BarChart) -> None:
    """Round figures along the bottom, each under its place, and the unit."""
    unit = fitted(safe(chart.unit), plan.wide // 2)
    end = plan.wide - (width(unit) + 1 if unit else 0)
    for tick, column in placed(
        ticks(plan.start, plan.end, max(plan.wide // 8, 2), fractions=chart.fractions),
        plan.cell,
        end,
    ):
        canvas.put(row, plan.left + column, tick.text, "axis")
    canvas.put(row, plan.left + plan.wide - width(unit), unit, "axis")


def _legend(chart: BarChart, columns: int) -> list[Line]:
    """What the marks mean: those that occur."""
    entries: list[Line] = []
    bars = chart.bars
    phases: list[Phase] = []
    phases += ["as-found"] if any(bar.found for bar in bars) else []
    phases += ["as-left"] if any(bar.left for bar in bars) else []
    for phase in phases:
        entries.append([(PHASES[phase].sign, phase), (f" {PHASES[phase].word}", "faint")])
    if any(bar.last is not None for bar in bars):
        entries.append([(LAST, "last"), (f" {LAST_WORDS}", "faint")])
    standing = [bar.standing for bar in bars]
    if any(one is not None and one[1].uncertainty > 0 for one in standing):
        entries.append([("━", "uncertainty"), (" how far it may be off", "faint")])
    if any(bar.low is not None or bar.high is not None for bar in bars):
        entries.append([("│", "limit"), (" limit", "faint")])
    return packed(entries, columns)
