"""The limit strip: one line that draws a zone between its limits and where a value lies in it.

Pure. The geometry (positions from 0 to 1) is worked out once and drawn by whoever shows it: in
characters here, as SVG in HTML, as lines in the PDF. A drawing never contradicts the verdict: a
value inside its limit is drawn inside, however near it is, and one on its limit on it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from inspect_tui.core.model.log_entry import Phase
from inspect_tui.core.model.results import ConformityResult, ToleranceInterval
from inspect_tui.core.quantities.units import Number

MIN_WIDTH: Final = 10
"""Characters below which nothing is drawn."""
NEAREST: Final = 0.015
"""How near a limit a mark that isn't on it may be drawn, as a share of the strip."""
MIN_SHARE: Final = 0.05
MAX_SHARE: Final = 1.0
MIN_UNCERTAINTIES: Final = 4
"""How much the strip of a single limit shows to each side of it: at least so many uncertainties
(without one a share of the limit's own size), at most that share; between them what the values
need."""
NOISE: Final = 1e-12
"""Relative rounding noise; a value this near is on its limit."""

Meaning = Literal["outside", "zone", "limit", "uncertainty", "as-found", "as-left", "both", "arrow"]


@dataclass(frozen=True, slots=True)
class StripMark:
    """A value to be marked, in the zone's unit."""

    phase: Phase
    value: Number
    uncertainty: Number | None = None
    """Expanded (k = 2); None where none is stated."""


@dataclass(frozen=True, slots=True)
class PlacedMark:
    """Where a mark stands."""

    phase: Phase
    at: float
    """0 to 1."""
    span: tuple[float, float] | None = None
    """What its uncertainty covers, cut at the strip's ends."""
    beyond: Literal[-1, 0, 1] = 0
    """-1 or 1: the value lies beyond the strip's left or right end, `at` is that end."""


@dataclass(frozen=True, slots=True)
class Geometry:
    """A strip as positions from 0 (left end) to 1."""

    low: float | None
    """The lower limit; None where the zone is open below."""
    high: float | None
    marks: tuple[PlacedMark, ...]

    @property
    def zone(self) -> tuple[float, float]:
        """From where to where the zone reaches."""
        return (0.0 if self.low is None else self.low, 1.0 if self.high is None else self.high)


@dataclass(frozen=True, slots=True)
class Span:
    """A run of characters with one meaning: `text[start:end]`."""

    start: int
    end: int
    meaning: Meaning


@dataclass(frozen=True, slots=True)
class Strip:
    """A strip in characters; empty where there is nothing to draw."""

    text: str
    spans: tuple[Span, ...]


EMPTY: Final = Strip("", ())


def mark(
    phase: Phase, value: Number | bool | str | None, judged: ConformityResult
) -> StripMark | None:
    """The mark of a judged value; None for what is no number."""
    if value is None or isinstance(value, bool | str):
        return None
    return StripMark(phase, value, judged.uncertainty)


def geometry(zone: ToleranceInterval | None, marks: Sequence[StripMark]) -> Geometry | None:
    """Positions of limits, marks and uncertainties; None for a zone without numbers."""
    if zone is None or (zone.low is None and zone.high is None):
        return None
    low = None if zone.low is None else float(zone.low)
    high = None if zone.high is None else float(zone.high)
    start, end = _window(low, high, marks)
    length = end - start
    if not 0 < length < float("inf"):
        return None
    at_low = None if low is None else (low - start) / length
    at_high = None if high is None else (high - start) / length
    placed = tuple(
        _placed(one, ((zone.low, at_low), (zone.high, at_high)), start, length) for one in marks
    )
    return Geometry(at_low, at_high, placed)


def _window(
    low: float | None, high: float | None, marks: Sequence[StripMark]
) -> tuple[float, float]:
    """The values at the strip's ends.

    Between two limits the zone is the middle half, so that strips of one reading can be compared;
    a single limit stands in the middle.
    """
    if low is not None and high is not None and low < high:
        return low - (high - low) / 2, high + (high - low) / 2
    limit = low if low is not None else high
    assert limit is not None
    blurs = [abs(float(one.uncertainty or 0)) for one in marks]
    away = [abs(float(one.value) - limit) for one in marks]
    needed = 1.25 * max(map(sum, zip(away, blurs, strict=True)), default=0.0)
    least = MIN_UNCERTAINTIES * max(blurs, default=0.0) or MIN_SHARE * abs(limit)
    most = MAX_SHARE * abs(limit) or needed
    # Below a billionth of the limit, numbers beside it can't be told apart any more.
    reach = max(min(needed, most), least, 1e-9 * abs(limit)) or 1.0
    return limit - reach, limit + reach


def _placed(
    one: StripMark,
    limits: Sequence[tuple[Number | None, float | None]],
    start: float,
    length: float,
) -> PlacedMark:
    at = (float(one.value) - start) / length
    span = None
    if one.uncertainty:
        half = abs(float(one.uncertainty)) / length
        if at + half > 0 and at - half < 1:
            span = (max(at - half, 0.0), min(at + half, 1.0))
    if at < 0 or at > 1:
        return PlacedMark(one.phase, float(at > 1), span, 1 if at > 1 else -1)
    for limit, at_limit in limits:
        if limit is not None and at_limit is not None:
            at = _beside(at, one.value, limit, at_limit)
    return PlacedMark(one.phase, at, span)


def _beside(at: float, value: Number, limit: Number, at_limit: float) -> float:
    """A position that shows on which side of a limit the value lies."""
    if abs(float(value - limit)) <= NOISE * abs(float(limit)):
        return at_limit
    if abs(at - at_limit) >= NEAREST:
        return at
    return at_limit - NEAREST if value < limit else at_limit + NEAREST


@dataclass(frozen=True, slots=True)
class _Signs:
    outside: str
    zone: str
    limit: str
    uncertainty: str
    crossing: str
    found: str
    left: str
    both: str
    arrows: tuple[str, str]


_UNICODE = _Signs("·", "─", "│", "━", "┿", "○", "●", "◉", ("◂", "▸"))
_ASCII = _Signs(".", "-", "|", "=", "#", "o", "*", "@", ("<", ">"))


def limit_strip(
    zone: ToleranceInterval | None,
    marks: Sequence[StripMark],
    width: int,
    ascii: bool = False,  # noqa: A002
) -> Strip:
    """The strip in characters, exactly `width` of them.

    Args:
        zone: The limits; without numbers (none, or words such as `6K`) the strip is empty.
        marks: As found and as left, in the zone's unit.
        width: Characters; below 10 the strip is empty.
        ascii: Plain ASCII signs.
    """
    drawn = geometry(zone, marks)
    return EMPTY if drawn is None else draw(drawn, width, ascii=ascii)


def draw(drawn: Geometry, width: int, *, ascii: bool = False) -> Strip:  # noqa: A002
    """A strip's geometry in characters; see `limit_strip`."""
    if width < MIN_WIDTH:
        return EMPTY
    signs = _ASCII if ascii else _UNICODE
    low = None if drawn.low is None else round(drawn.low * (width - 1))
    high = None if drawn.high is None else round(drawn.high * (width - 1))
    first, last = (0 if low is None else low), (width - 1 if high is None else high)
    cells: list[tuple[str, Meaning]] = [
        (signs.zone, "zone") if first <= cell <= last else (signs.outside, "outside")
        for cell in range(width)
    ]
    for one in drawn.marks:
        for cell in _covered(drawn, one.span, low, high, width):
            cells[cell] = (signs.uncertainty, "uncertainty")
    for limit in {low, high}:
        if limit is not None:
            crossed = cells[limit][1] == "uncertainty"
            cells[limit] = (signs.crossing if crossed else signs.limit, "limit")
    for one in drawn.marks:
        cell = _cell(drawn, one.at, low, high, width)
        if one.beyond:
            cell = 1 if one.beyond < 0 else width - 2
        _mark(cells, one, cell, signs)
    return _strip(cells)


def _covered(
    drawn: Geometry,
    span: tuple[float, float] | None,
    low: int | None,
    high: int | None,
    width: int,
) -> range:
    if span is None:
        return range(0)
    start, end = (_cell(drawn, at, low, high, width) for at in span)
    return range(start, end + 1)


def _cell(drawn: Geometry, at: float, low: int | None, high: int | None, width: int) -> int:
    """The cell of a position, always on the side of each limit on which the position is."""
    cell = round(at * (width - 1))
    for limit, at_limit in ((low, drawn.low), (high, drawn.high)):
        if limit is None or at_limit is None:
            continue
        if at == at_limit:
            return limit
        cell = max(cell, limit + 1) if at > at_limit else min(cell, limit - 1)
    return cell


def _mark(cells: list[tuple[str, Meaning]], one: PlacedMark, cell: int, signs: _Signs) -> None:
    there = cells[cell][1]
    if there in ("as-found", "as-left", "both") and there != one.phase:
        cells[cell] = (signs.both, "both")
    else:
        cells[cell] = (signs.found if one.phase == "as-found" else signs.left, one.phase)
    if one.beyond:
        cells[0 if one.beyond < 0 else -1] = (signs.arrows[one.beyond > 0], "arrow")


def _strip(cells: Sequence[tuple[str, Meaning]]) -> Strip:
    spans: list[Span] = []
    for index, (_, meaning) in enumerate(cells):
        if spans and spans[-1].meaning == meaning:
            spans[-1] = Span(spans[-1].start, index + 1, meaning)
        else:
            spans.append(Span(index, index + 1, meaning))
    return Strip("".join(sign for sign, _ in cells), tuple(spans))


DRAWN_LEGEND: Final = (
    "On the limit strips: upright lines are the limits, the tinted band is the zone between them; "
    "a ring is the value as found, a full dot as left, an arrow beside it says that it lies beyond "
    "the strip; the thick bar is its uncertainty (k = 2), as found over the axis, as left under it."
)
"""What a strip's shapes mean where it is drawn with lines (HTML, PDF)."""


def legend(*, ascii: bool = False) -> str:  # noqa: A002
    """What the signs mean, in one line."""
    signs = _ASCII if ascii else _UNICODE
    return (
        f"{signs.limit} limit  {signs.zone} zone  {signs.found} as found  {signs.left} as left  "
        f"{signs.both} both  {signs.uncertainty} how far it may be off"
    )
