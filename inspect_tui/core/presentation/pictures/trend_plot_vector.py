"""A reading over the years, as shapes for HTML and PDF; data and rules as in characters."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Final

from inspect_tui.core.presentation.pictures.axis import clear_of
from inspect_tui.core.presentation.pictures.text_picture import safe
from inspect_tui.core.presentation.pictures.trend_plot import TrendPlot, TrendPoint, limit_figure
from inspect_tui.core.presentation.pictures.vector_picture import (
    PHASE_SIGNS,
    Path,
    Shape,
    VectorPicture,
    Words,
    legend,
    phases_meant,
    rectangle,
    sign,
    text_width,
    whisker,
)
from inspect_tui.core.presentation.wording import PHASES, VERDICTS

WIDTH: Final = 170.0
HIGH: Final = 58.0
"""Of the plot itself."""
SIZE: Final = 3.2
SIGN: Final = 1.35
NEAREST: Final = 1.8
"""How near a limit a mark that isn't on it may stand."""
ASIDE: Final = 0.7
"""How far the whiskers of found and left stand apart at one place."""


def vector(plot: TrendPlot) -> VectorPicture:
    """The plot for a report, 170 units wide; a sentence where nothing is measured."""
    if not plot.points:
        words = Words((0.0, SIZE), "nothing measured yet", SIZE, tone="faint")
        return VectorPicture(WIDTH, 2 * SIZE, (words,), safe(plot.label), "nothing measured yet")
    return _Plot(plot).picture()


class _Plot:
    def __init__(self, plot: TrendPlot) -> None:
        self.plot = plot
        self.start, self.end = plot.across_window()
        self.least, self.most = plot.value_window()
        self.scale = plot.value_ticks(6)
        texts = [tick.text for tick in self.scale]
        texts += [f"{word} {limit_figure(value)}" for word, value in plot.limits()]
        self.left = max(text_width(text, SIZE) for text in ["", *texts]) + 4
        self.right = WIDTH - 2
        self.top = SIZE + 3
        self.foot = self.top + HIGH

    def picture(self) -> VectorPicture:
        """All of it."""
        shapes = [*self.zone(), *self.axes(), *self.trend()]
        for one in self.plot.points:
            shapes += self.whisker(one)
        for one in sorted(self.plot.points, key=lambda point: (point.at, point.phase)):
            place = (self.x(one.at), self.marked(one.value))
            shapes += sign(PHASE_SIGNS[one.phase], place, SIGN, "ink")
        shapes += self.crossing()
        under = self.foot + SIZE + 4
        more, high = legend(self.meanings(), (self.left, under), WIDTH - self.left, 0.9 * SIZE)
        said = "; ".join(map(self.words, self.plot.points))
        title = safe(self.plot.label)
        return VectorPicture(WIDTH, under + high + 1, (*shapes, *more), title, said)

    def x(self, at: float) -> float:
        """A place across; what lies outside at the edge."""
        share = (at - self.start) / (self.end - self.start)
        return self.left + min(max(share, 0.0), 1.0) * (self.right - self.left)

    def y(self, value: float) -> float:
        """A place up; what lies outside at the edge."""
        share = (value - self.least) / (self.most - self.least)
        return self.foot - min(max(share, 0.0), 1.0) * HIGH

    def marked(self, value: float) -> float:
        """A mark's height, on the side of each limit on which its value lies."""
        return clear_of([limit for _, limit in self.plot.limits()], value, self.y, -NEAREST)

    def zone(self) -> Iterator[Shape]:
        """The zone as a band, its limits as lines with their figures."""
        limits = self.plot.limits()
        if not limits:
            return
        low, high = self.plot.low, self.plot.high
        upper = self.top if high is None else self.y(high)
        lower = self.foot if low is None else self.y(low)
        wide = self.right - self.left
        if lower > upper:
            yield rectangle(self.left, upper, wide, lower - upper, stroke=None, fill="zone")
        for word, value in limits:
            y = self.y(value)
            yield Path(((self.left, y), (self.right, y)), "ink", 0.5)
            text = f"{word} {limit_figure(value)}"
            yield Words((self.left - 1.5, y + 0.35 * SIZE), text, SIZE, "end", bold=True)

    def axes(self) -> Iterator[Shape]:
        """Round figures up and across, the label and the units."""
        plot, corner = self.plot, (self.left, self.foot)
        yield Path(((self.left, self.top), corner, (self.right, self.foot)), "ink", 0.25)
        limits = [self.y(value) for _, value in plot.limits()]
        for tick in self.scale:
            y = self.y(tick.at)
            if all(abs(y - each) >= 1.1 * SIZE for each in limits):
                yield Path(((self.left - 1, y), (self.left, y)), "ink", 0.25)
                yield Words((self.left - 1.5, y + 0.35 * SIZE), tick.text, SIZE, "end", "faint")
        unit = plot.across_unit if plot.across == "meter" else ""
        for tick in plot.across_ticks(7):
            x = self.x(tick.at)
            yield Path(((x, self.foot), (x, self.foot + 1)), "ink", 0.25)
            half = text_width(tick.text, SIZE) / 2
            if not unit or x + half < self.right - text_width(unit, SIZE) - 2:
                yield Words((x, self.foot + 1.5 + SIZE), tick.text, SIZE, "middle", "faint")
        yield Words((self.right, self.foot + 1.5 + SIZE), unit, SIZE, "end", "faint", room=40)
        yield Words((self.left - 1.5, SIZE), plot.unit, SIZE, "end", "faint", room=self.left)
        room = self.right - self.left
        yield Words((self.left, SIZE), plot.label, 1.1 * SIZE, bold=True, room=room)

    def trend(self) -> Iterator[Shape]:
        """The fitted pieces, or the points joined, thinner."""
        width = 0.5 if self.plot.pieces else 0.25
        for line in self.plot.lines():
            yield Path(tuple((self.x(at), self.y(value)) for at, value in line), "ink", width)

    def whisker(self, one: TrendPoint) -> Iterator[Shape]:
        """What a value's uncertainty covers."""
        if one.uncertainty > 0:
            aside = ASIDE if one.at in self.plot.shared() else 0.0
            x = self.x(one.at) + (aside if one.phase == "as-left" else -aside)
            upper, lower = self.y(one.value + one.uncertainty), self.y(one.value - one.uncertainty)
            yield from whisker((x, upper), (x, lower), 0.9)

    def crossing(self) -> Iterator[Shape]:
        """Where the trend is expected to reach the limit, as a thick piece of its line."""
        limit = self.plot.low if self.plot.crossing_limit == "low" else self.plot.high
        if self.plot.crossing is None or limit is None:
            return
        begin, finish = self.plot.crossing
        first, last, y = self.x(begin), self.x(finish), self.y(limit)
        yield Path(((first, y), (max(last, first + 0.5), y)), "uncertain", 1.3)
        if finish > self.end:
            tip = ((last + 2, y), (last, y - 1.4), (last, y + 1.4))
            yield Path(tip, None, 0, "uncertain", closed=True)

    def meanings(self) -> list[tuple[tuple[Shape, ...], str]]:
        """The legend: the marks that occur."""
        plot = self.plot
        out = phases_meant({one.phase for one in plot.points}, SIGN)
        if any(one.uncertainty > 0 for one in plot.points):
            out.append((whisker((0, -1.4), (0, 1.4), 0.9), "uncertainty (k = 2)"))
        if plot.limits():
            band = rectangle(-2, -1.4, 4, 2.8, stroke=None, fill="zone")
            out.append(((band, Path(((-2, 1.4), (2, 1.4)), "ink", 0.5)), "limit, zone"))
        if plot.pieces:
            out.append(((Path(((-2, -0.5), (2, 0.5)), "ink", 0.5),), "trend"))
        if plot.crossing is not None:
            thick = Path(((-2, 0), (2, 0)), "uncertain", 1.3)
            out.append(((thick,), "expected to reach the limit (95 %)"))
        return out

    def words(self, one: TrendPoint) -> str:
        """One reading for who can't see the picture."""
        if self.plot.across == "date":
            day = min(max(int(one.at), 1), date.max.toordinal())
            where = date.fromordinal(day).isoformat()
        else:
            where = f"{one.at:.6g} {self.plot.across_unit}"
        phase, verdict = PHASES[one.phase].word, VERDICTS[one.verdict].word
        return safe(f"{where}: {one.value:.6g} {self.plot.unit} {phase}, {verdict}")
