"""A reading over the years: values with their uncertainty, the zone between the limits, the trend.

Pure. Against the meter (km, hours) or the date. What was found and what was left differ in shape;
the zone is dotted, its limits are lines with their figures. A mark never contradicts its verdict:
what lies inside a limit stands inside, however near it is.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal

from inspect_tui.core.model.log_entry import Phase
from inspect_tui.core.model.results import Verdict
from inspect_tui.core.presentation.pictures.axis import Tick, beyond, date_ticks, placed, ticks
from inspect_tui.core.presentation.pictures.polyline import Point, dots_along
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
from inspect_tui.core.presentation.wording import PHASES

MIN_COLUMNS: Final = 20
MIN_ROWS: Final = 6
"""Below this there is a sentence instead of a plot."""
BOTH: Final = "◉"
"""Found and left in one cell."""
MAX_AHEAD: Final = 1.0
"""How far past the last point the axis may reach for an expected crossing, by the points' own
length."""
_ORDER: Final[tuple[Role, ...]] = ("uncertainty", "line", "limit", "zone")


@dataclass(frozen=True, slots=True)
class TrendPoint:
    """One reading."""

    at: float
    """The meter in the plot's `across_unit`; of a date its day (`date.toordinal`)."""
    value: float
    phase: Phase = "as-found"
    uncertainty: float = 0.0
    """Expanded (k = 2); 0 where none is stated."""
    verdict: Verdict = "none"


@dataclass(frozen=True, slots=True)
class TrendPlot:
    """What is plotted; every number finite."""

    label: str
    unit: str
    points: tuple[TrendPoint, ...]
    across: Literal["meter", "date"] = "meter"
    across_unit: str = "km"
    """The meter's unit; not used for dates."""
    low: float | None = None
    """The lower limit; None where the zone is open below."""
    high: float | None = None
    pieces: tuple[tuple[Point, Point], ...] = ()
    """The fitted line, from (at, value) to (at, value), one for each piece. Without any the points
    are joined."""
    crossing: tuple[float, float] | None = None
    """Where the trend is expected to reach a limit: from, to (95 %)."""
    crossing_limit: Literal["low", "high"] = "low"
    fractions: bool = False
    """Whether figures are fractions (`1-1/4`)."""

    def lines(self) -> tuple[tuple[Point, ...], ...]:
        """The fitted pieces, else the points joined in the order in which they were taken."""
        if self.pieces:
            return self.pieces
        order = sorted(self.points, key=lambda one: (one.at, one.phase))
        return (tuple((one.at, one.value) for one in order),) if len(order) > 1 else ()

    def across_window(self) -> tuple[float, float]:
        """From where to where the axis across reaches."""
        at = [one.at for one in self.points]
        least, most = min(at), max(at)
        length = most - least or (30.0 if self.across == "date" else max(abs(most) / 10, 10.0))
        beside = length / (20 if most > least else 2)
        start = least - beside
        if self.across == "meter" and least >= 0:
            start = max(start, 0.0)  # no meter stands below nought
        end = most + beside
        if self.crossing is not None:
            end = min(max(end, self.crossing[1] + length / 20), most + MAX_AHEAD * length)
        return start, end

    def shared(self) -> frozenset[float]:
        """Where something was found and something left at the same place."""
        found, left = ({one.at for one in self.points if one.phase == phase} for phase in PHASES)
        return frozenset(found & left)

    def value_window(self) -> tuple[float, float]:
        """From where to where the axis up reaches: all values, their uncertainty, the limits."""
        known = [each for each in (self.low, self.high) if each is not None]
        for one in self.points:
            known += [one.value - one.uncertainty, one.value + one.uncertainty]
        least, most = min(known), max(known)
        more = (most - least or abs(most) or 1.0) / 12
        return least - more, most + more

    def across_ticks(self, most: int) -> tuple[Tick, ...]:
        """Round figures or dates along the axis across."""
        start, end = self.across_window()
        if self.across == "date":
            return date_ticks(start, end, most)
        return ticks(start, end, most)

    def value_ticks(self, most: int) -> tuple[Tick, ...]:
        """Round figures up the other axis."""
        return ticks(*self.value_window(), most, fractions=self.fractions)

    def limits(self) -> tuple[tuple[Literal["min", "max"], float], ...]:
        """The limits there are, the upper one first."""
        found: list[tuple[Literal["min", "max"], float]] = []
        found += [("max", self.high)] if self.high is not None else []
        found += [("min", self.low)] if self.low is not None else []
        return tuple(found)


def limit_figure(value: float) -> str:
    """A limit at the axis: at most six digits."""
    return f"{value:.6g}"


def draw(
    plot: TrendPlot,
    columns: int,
    rows: int,
    *,
    ascii: bool = False,  # noqa: A002
) -> TextPicture:
    """The plot in so many cells; a sentence where there is nothing to plot or no room."""
    canvas = Canvas(columns, rows, _ORDER)
    if not plot.points or columns < MIN_COLUMNS or rows < MIN_ROWS:
        said = "too small for a plot" if plot.points else "nothing measured yet"
        canvas.put(rows // 2, 0, fitted(said, columns), "faint")
        return canvas.picture(ascii=ascii)
    _Plotter(plot, canvas).draw()
    return canvas.picture(ascii=ascii)


class _Plotter:
    """A plot on a canvas: the room for its axes, and where values lie."""

    def __init__(self, plot: TrendPlot, canvas: Canvas) -> None:
        self.plot, self.canvas = plot, canvas
        self.legend = _legend(plot, canvas.columns)
        if canvas.rows - 3 - len(self.legend) < MIN_ROWS:
            self.legend = []
        self.top = 1
        self.high = canvas.rows - self.top - 2 - len(self.legend)
        self.scale = plot.value_ticks(max(self.high // 3, 2))
        named = [f"{word} {limit_figure(value)}" for word, value in plot.limits()]
        texts = [*(tick.text for tick in self.scale), *named]
        self.left = min(max(map(len, texts), default=0), canvas.columns // 3) + 1
        self.wide = canvas.columns - self.left
        self.start, self.end = plot.across_window()
        self.least, self.most = plot.value_window()
        self.limit_rows = self._limit_rows()

    # --- positions ---

    def x(self, at: float) -> float:
        """In dots from the canvas's left edge; what lies outside at the edge."""
        share = (at - self.start) / (self.end - self.start)
        return self.left * 2 + min(max(share, 0.0), 1.0) * (self.wide * 2 - 1)

    def y(self, value: float) -> float:
        """In dots from the canvas's upper edge."""
        share = (value - self.least) / (self.most - self.least)
        return self.top * 4 + (1 - min(max(share, 0.0), 1.0)) * (self.high * 4 - 1)

    def column(self, at: float) -> int:
        """The cell across."""
        return int(self.x(at) / 2)

    def _limit_rows(self) -> dict[Literal["min", "max"], int]:
        """The row of each limit; two limits always with a row between, where there is room."""
        found: dict[Literal["min", "max"], int] = {
            word: int(self.y(value) / 4) for word, value in self.plot.limits()
        }
        low, high = self.plot.low, self.plot.high
        if low is not None and high is not None and low < high and found["min"] - found["max"] < 2:
            upper = min(found["max"], self.top + self.high - 3)
            found = {"max": upper, "min": upper + 2}
        return found

    def row(self, value: float) -> int:
        """A mark's row, on the side of each limit on which its value lies."""
        row = int(self.y(value) / 4)
        for word, limit in self.plot.limits():
            at, side = self.limit_rows[word], beyond(value, limit)
            row = at if side == 0 else min(row, at - 1) if side > 0 else max(row, at + 1)
        return min(max(row, self.top), self.top + self.high - 1)

    # --- drawing ---

    def draw(self) -> None:
        """All of it, what is behind first."""
        self._lines()
        self._whiskers()
        self._zone()
        self._limits()
        self._crossing()
        self._axes()
        self._marks()
        for number, line in enumerate(self.legend):
            self.canvas.put_line(self.top + self.high + 2 + number, line)

    def _lines(self) -> None:
        for line in self.plot.lines():
            self.canvas.dots(
                dots_along([(self.x(at), self.y(value)) for at, value in line]), "line", (1, 0)
            )

    def _whiskers(self) -> None:
        for one in self.plot.points:
            if one.uncertainty > 0:
                # Of two at one place each has its own half of the cell.
                x = self.column(one.at) * 2 + (one.phase == "as-left")
                ends = [(x, self.y(one.value + sign * one.uncertainty)) for sign in (1, -1)]
                self.canvas.dots(dots_along(ends), "uncertainty", (1, 0))

    def _zone(self) -> None:
        """A light pattern of dots between the limits, where nothing else is."""
        if not self.limit_rows:
            return
        first = self.limit_rows.get("max", self.top - 1) + 1
        last = self.limit_rows.get("min", self.top + self.high)
        for row in range(max(first, self.top), min(last, self.top + self.high)):
            for column in range(self.left, self.canvas.columns):
                if (column + 2 * (row % 2)) % 4 == 0 and self.canvas.empty(row, column):
                    self.canvas.dot(column * 2, row * 4 + 1, "zone")

    def _limits(self) -> None:
        for word, value in self.plot.limits():
            row = self.limit_rows[word]
            for column in range(self.left, self.canvas.columns):
                self.canvas.put(row, column, "┄", "limit")
            text = fitted(f"{word} {limit_figure(value)}", self.left - 1)
            self.canvas.put(row, self.left - 1 - width(text), text, "limit")

    def _crossing(self) -> None:
        """Where the trend is expected to reach the limit, on the limit's line."""
        word: Literal["min", "max"] = "min" if self.plot.crossing_limit == "low" else "max"
        if self.plot.crossing is None or word not in self.limit_rows:
            return
        begin, finish = self.plot.crossing
        row = self.limit_rows[word]
        first, last = self.column(begin), self.column(finish)
        self.canvas.put(row, first, "═" * (last + 1 - first), "expected")
        if finish > self.end:
            self.canvas.put(row, self.canvas.columns - 1, "▸", "expected")

    def _axes(self) -> None:
        canvas, plot = self.canvas, self.plot
        unit = fitted(safe(plot.unit), canvas.columns)
        canvas.put(0, max(self.left - width(unit), 0), unit, "axis")
        at = max(self.left, width(unit)) + 2
        canvas.put(0, at, fitted(safe(plot.label), canvas.columns - at), "strong")
        taken = set(self.limit_rows.values())
        for tick in self.scale:
            row = int(self.y(tick.at) / 4)
            if row not in taken:
                text = fitted(tick.text, self.left - 1)
                canvas.put(row, self.left - 1 - width(text), text, "axis")
        for row in range(self.top, self.top + self.high):
            canvas.put(row, self.left - 1, "┤" if row in taken else "│", "axis")
        foot = self.top + self.high
        canvas.put(foot, self.left - 1, "└" + "─" * self.wide, "axis")
        across = fitted(safe(plot.across_unit), self.wide // 2) if plot.across == "meter" else ""
        end = canvas.columns - (width(across) + 1 if across else 0)
        longest = 7 if plot.across == "date" else len(limit_figure(self.end))
        found = plot.across_ticks(max(self.wide // (longest + 3), 2))
        for tick, column in placed(found, self.column, end):
            canvas.put(foot, min(self.column(tick.at), canvas.columns - 1), "┴", "axis")
            canvas.put(foot + 1, column, tick.text, "axis")
        canvas.put(foot + 1, canvas.columns - width(across), across, "axis")

    def _marks(self) -> None:
        """The values, what was left over what was found; both in one cell are one sign."""
        there: dict[tuple[int, int], set[Phase]] = {}
        for one in self.plot.points:
            there.setdefault((self.row(one.value), self.column(one.at)), set()).add(one.phase)
        for (row, column), phases in there.items():
            phase: Phase = "as-left" if "as-left" in phases else "as-found"
            char = BOTH if len(phases) == 2 else PHASES[phase].sign
            self.canvas.put(row, column, char, phase)


def _legend(plot: TrendPlot, columns: int) -> list[Line]:
    """What the marks mean: those that occur."""
    entries: list[Line] = [
        [(char, role), (f" {word}", "faint")] for char, role, word in _meanings(plot)
    ]
    return packed(entries, columns)


def _meanings(plot: TrendPlot) -> Iterator[tuple[str, Role, str]]:
    for phase, mark in PHASES.items():
        if any(one.phase == phase for one in plot.points):
            yield mark.sign, phase, mark.word
    if any(one.uncertainty > 0 for one in plot.points):
        yield "│", "uncertainty", "how far it may be off"
    if plot.limits():
        yield "┄", "limit", "limit"
        yield "·", "zone", "within limits"
    if plot.crossing is not None:
        yield "═", "expected", "expected to reach it (95 %)"
