"""Cylinders as bars, as shapes for HTML and PDF; the same data and rules as in characters."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from inspect_tui.core.model.log_entry import Phase
from inspect_tui.core.presentation.pictures.axis import clear_of, ticks
from inspect_tui.core.presentation.pictures.cylinder_bars import (
    LAST_WORDS,
    BarChart,
    BarValue,
    CylinderBar,
)
from inspect_tui.core.presentation.pictures.text_picture import safe
from inspect_tui.core.presentation.pictures.vector_picture import (
    PHASE_SIGNS,
    VERDICT_SIGNS,
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
SMALL_WIDTH: Final = 104.0
"""Of one of two that stand beside each other, so that their type is as large as elsewhere."""
SIZE: Final = 3.4
ROW: Final = 8.0
BAR: Final = 2.8
SIGN: Final = 1.25
NEAREST: Final = 1.6
"""How near a limit a mark that isn't on it may stand."""
MAX_NAME: Final = 40.0
MAX_SHOWN: Final = 50.0


def vector(chart: BarChart, wide: float = WIDTH, *, explained: bool = True) -> VectorPicture:
    """The bars for a report.

    Args:
        chart: What each cylinder reads.
        wide: The picture's width in units; type and bars are as large at every width.
        explained: Whether a legend stands under them.
    """
    return _Bars(chart, wide, explained).picture()


class _Bars:
    def __init__(self, chart: BarChart, wide: float, explained: bool) -> None:
        self.chart = chart
        self.wide = wide
        self.explained = explained
        self.start, self.end, self.from_nought = chart.window()
        names = [text_width(safe(bar.cylinder), SIZE) for bar in chart.bars]
        said = [text_width(safe(one.shown), SIZE) for bar in chart.bars for _, one in _values(bar)]
        self.left = min(max(names, default=0.0), MAX_NAME * wide / WIDTH) + 3
        self.shown = min(max(said, default=0.0), MAX_SHOWN * wide / WIDTH)
        self.right = wide - self.shown - 8
        self.top = SIZE + 2 if chart.zone is not None else 1.0
        self.foot = self.top + ROW * len(chart.bars)

    def picture(self) -> VectorPicture:
        """All of it."""
        shapes: list[Shape] = []
        bars = self.chart.bars
        if self.chart.zone is not None:
            shapes += self.limits(bars[0], self.top, self.foot)
        else:
            for row, bar in enumerate(bars):
                shapes += self.limits(bar, self.top + ROW * row, self.top + ROW * (row + 1))
        for row, bar in enumerate(bars):
            shapes += self.bar(row, bar)
        shapes += [*self.zone_words(), *self.axis()]
        under = self.foot + SIZE + 3.5
        meanings = self.meanings() if self.explained else []
        more, high = legend(meanings, (self.left, under), self.wide - self.left, 0.85 * SIZE)
        said = "; ".join(map(_words, self.chart.bars))
        title = safe(self.chart.label)
        return VectorPicture(self.wide, under + high + 1, (*shapes, *more), title, said)

    def at(self, value: float) -> float:
        """A value's x, kept inside."""
        share = (value - self.start) / (self.end - self.start)
        return self.left + min(max(share, 0.0), 1.0) * (self.right - self.left)

    def marked(self, value: float, bar: CylinderBar) -> float:
        """A mark's x, on the side of each limit on which its value lies."""
        limits = [limit for limit in (bar.low, bar.high) if limit is not None]
        return clear_of(limits, value, self.at, NEAREST)

    def limits(self, bar: CylinderBar, y: float, end: float) -> Iterator[Shape]:
        """The zone as a band, its limits as lines, from one height to another."""
        if bar.low is not None or bar.high is not None:
            low = self.left if bar.low is None else self.at(bar.low)
            high = self.right if bar.high is None else self.at(bar.high)
            if high > low:
                yield rectangle(low, y, high - low, end - y, stroke=None, fill="zone")
        for limit in (bar.low, bar.high):
            if limit is not None:
                yield Path(((self.at(limit), y), (self.at(limit), end)), "ink", 0.5)

    def bar(self, row: int, bar: CylinderBar) -> Iterator[Shape]:
        """One cylinder's name, bar, marks and values."""
        y = self.top + ROW * (row + 0.5)
        yield Words((0.0, y + 0.35 * SIZE), bar.cylinder, SIZE, bold=True, room=self.left - 2)
        standing = bar.standing
        if standing is None:
            yield Words((self.right + 3, y + 0.35 * SIZE), "not measured", SIZE, tone="faint")
        else:
            end = self.marked(standing[1].value, bar)
            yield rectangle(
                self.left, y - BAR / 2, max(end - self.left, 0.3), BAR, fill="rule", line=0.25
            )
            yield from self.broken(y)
            yield from self.whisker(standing[1], y)
        if bar.last is not None:
            yield from sign("diamond", (self.marked(bar.last, bar), y), 1.2 * SIGN, "ink")
        for phase, one in reversed(_values(bar)):
            yield from sign(PHASE_SIGNS[phase], (self.marked(one.value, bar), y), SIGN, "ink")
        yield from self.values(bar, y)

    def broken(self, y: float) -> Iterator[Shape]:
        """The bar is broken off: its axis doesn't begin at nought."""
        if not self.from_nought:
            for x in (self.left + 2, self.left + 3.2):
                points = ((x - 0.7, y + BAR / 2 + 0.6), (x + 0.7, y - BAR / 2 - 0.6))
                yield Path(points, "paper", 0.9)
            for x in (self.left + 1.5, self.left + 3.7):
                points = ((x - 0.7, y + BAR / 2 + 0.6), (x + 0.7, y - BAR / 2 - 0.6))
                yield Path(points, "ink", 0.25)

    def whisker(self, one: BarValue, y: float) -> Iterator[Shape]:
        """What its uncertainty covers."""
        if one.uncertainty > 0:
            start, end = self.at(one.value - one.uncertainty), self.at(one.value + one.uncertainty)
            yield from whisker((start, y), (end, y), 1.2)

    def values(self, bar: CylinderBar, y: float) -> Iterator[Shape]:
        """Verdict, phase and value as typed, one over the other where there are two."""
        values = _values(bar)
        size = SIZE if len(values) < 2 else 0.85 * SIZE
        for number, (phase, one) in enumerate(values):
            line = y if len(values) < 2 else y + (number - 0.5) * 3.6
            shape, tone = VERDICT_SIGNS[one.verdict]
            x = self.right + 2
            yield from sign(shape, (x, line), SIGN, tone)
            yield from sign(PHASE_SIGNS[phase], (x + 3.2, line), 0.9 * SIGN, "ink")
            text = Words((x + 5.4, line + 0.35 * size), one.shown, size, room=self.shown + 0.6)
            yield text

    def zone_words(self) -> Iterator[Shape]:
        """The zone's name over it, where it is one for all."""
        if self.chart.zone is not None:
            low, high = self.chart.zone
            start = self.left if low is None else self.at(low)
            end = self.right if high is None else self.at(high)
            text = safe(self.chart.limit_words or "within limits")
            half = text_width(text, 0.85 * SIZE) / 2
            middle = min(max((start + end) / 2, self.left + half), self.wide - half)
            yield Words((middle, SIZE), text, 0.85 * SIZE, "middle")

    def axis(self) -> Iterator[Shape]:
        """Round figures with their marks, and the unit."""
        yield Path(((self.left, self.foot), (self.right, self.foot)), "ink", 0.25)
        y = self.foot + 1.2 + 0.85 * SIZE
        most = int((self.right - self.left) // 16)
        for tick in ticks(self.start, self.end, most, fractions=self.chart.fractions):
            x = self.at(tick.at)
            yield Path(((x, self.foot), (x, self.foot + 1)), "ink", 0.25)
            yield Words((x, y), tick.text, 0.85 * SIZE, "middle", "faint")
        yield Words(
            (self.right + 7.4, y), self.chart.unit, 0.85 * SIZE, tone="faint", room=self.shown
        )

    def meanings(self) -> list[tuple[tuple[Shape, ...], str]]:
        """The legend: the marks that occur."""
        values = [each for bar in self.chart.bars for each in _values(bar)]
        out = phases_meant({phase for phase, _ in values}, SIGN)
        if any(bar.last is not None for bar in self.chart.bars):
            out.append((sign("diamond", (0, 0), 1.2 * SIGN, "ink"), LAST_WORDS))
        if any(one.uncertainty > 0 for _, one in values):
            out.append((whisker((-2, 0), (2, 0), 1.0), "uncertainty (k = 2)"))
        if any(bar.low is not None or bar.high is not None for bar in self.chart.bars):
            line = Path(((0, -1.4), (0, 1.4)), "ink", 0.5)
            out.append(
                ((rectangle(-2, -1.4, 4, 2.8, stroke=None, fill="zone"), line), "limit, zone")
            )
        return out


def _values(bar: CylinderBar) -> list[tuple[Phase, BarValue]]:
    """What stands first."""
    values: list[tuple[Phase, BarValue]] = []
    values += [("as-left", bar.left)] if bar.left is not None else []
    values += [("as-found", bar.found)] if bar.found is not None else []
    return values


def _words(bar: CylinderBar) -> str:
    """One cylinder for who can't see the picture."""
    said = [
        f"{one.shown} {PHASES[phase].word}, {VERDICTS[one.verdict].word}"
        for phase, one in reversed(_values(bar))
    ]
    return safe(f"{bar.cylinder}: {', '.join(said) or 'not measured'}")
