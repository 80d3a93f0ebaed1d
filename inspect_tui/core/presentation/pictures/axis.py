"""Round figures along an axis: decimal, as fractions, or as dates; never noise, never crowded."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Final, NamedTuple

MAX_TICKS: Final = 50
NOISE: Final = 1e-12
"""Relative rounding noise; a value this near is on its limit."""

_LONG: Final = 1_000_000_000
"""From here on figures are written with a power of ten."""
_FRACTIONS: Final = (Fraction(1, 8), Fraction(1, 4), Fraction(1, 2))
_DAYS: Final = (1, 2, 7, 14)
_MONTHS: Final = (1, 2, 3, 6)
_YEARS: Final = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)


class Tick(NamedTuple):
    """A place on an axis and what stands there."""

    at: float
    text: str


def ticks(start: float, end: float, most: int, *, fractions: bool = False) -> tuple[Tick, ...]:
    """Round figures between two values, at most so many.

    Args:
        start: The lower end, finite.
        end: The upper end, finite; not above `start` gives nothing.
        most: How many find room.
        fractions: Whether steps below 1 are halves, quarters and eighths (`1-1/4`).
    """
    most = min(most, MAX_TICKS)
    if most < 1 or not 0 < end - start < math.inf:
        return ()
    for step in _steps(end - start, most, fractions):
        first, last = math.ceil(Fraction(start) / step), math.floor(Fraction(end) / step)
        if last - first + 1 <= most:
            numbers = [step * number for number in range(first, last + 1)]
            texts = _even([figure(each, fractions=fractions) for each in numbers])
            pairs = zip(numbers, texts, strict=True)
            return tuple(Tick(float(each), text) for each, text in pairs)
    return ()


def _steps(length: float, most: int, fractions: bool) -> Iterator[Fraction]:
    """Steps from fine to coarse; the first that fits is taken."""
    as_fractions = fractions and length >= 0.25
    if as_fractions:
        yield from _FRACTIONS
    power = math.floor(math.log10(length / most))
    for tens in range(power, power + 4):
        for size in (1, 2, 5):
            step = size * Fraction(10) ** tens
            if step >= 1 or not as_fractions:
                yield step


def _even(texts: list[str]) -> list[str]:
    """Decimals with as many places as the longest of them: `0.60` beside `0.62`."""
    places = max(len(text.partition(".")[2]) for text in texts) if texts else 0
    if not places or any("/" in text or "e" in text for text in texts):
        return texts
    return [
        text
        if "." in text and len(text.partition(".")[2]) == places
        else f"{float(text):.{places}f}"
        for text in texts
    ]


def figure(value: Fraction, *, fractions: bool = False) -> str:
    """A round figure: `0.25`, `120`, `1-1/4`."""
    if abs(value) >= _LONG:
        return f"{float(value):.6g}"
    if value.denominator == 1:
        return str(value.numerator)
    if fractions and value.denominator <= 64:
        sign = "-" if value < 0 else ""
        whole, part = divmod(abs(value), 1)
        mixed = f"{part.numerator}/{part.denominator}"
        return f"{sign}{whole}-{mixed}" if whole else f"{sign}{mixed}"
    return f"{Decimal(value.numerator) / Decimal(value.denominator):f}"


def placed(
    found: Iterable[Tick], cell: Callable[[float], int], end: int, start: int = 0
) -> list[tuple[Tick, int]]:
    """Figures with the columns where they begin, each centred under its place.

    Those are left out that would touch another or leave the axis.

    Args:
        found: The figures.
        cell: The column of a value.
        end: The column before which they must end.
        start: The first column.
    """
    out: list[tuple[Tick, int]] = []
    for tick in found:
        column = cell(tick.at) - (len(tick.text) - 1) // 2
        if column >= start and column + len(tick.text) <= end:
            out.append((tick, column))
            start = column + len(tick.text) + 1
    return out


def date_ticks(start: float, end: float, most: int) -> tuple[Tick, ...]:
    """Round dates between two days (`date.toordinal`), at most so many.

    Years as `2026`, months as `2026-11`, days as `2026-11-02`.
    """
    most = min(most, MAX_TICKS)
    first, last = math.ceil(max(start, 1)), math.floor(min(end, date.max.toordinal()))
    if most < 1 or last < first:
        return ()
    for made in _dates(date.fromordinal(first), date.fromordinal(last), most):
        found = tuple(made)
        if 1 <= len(found) <= most:
            return found
    return (Tick(first, date.fromordinal(first).isoformat()),)


def _dates(first: date, last: date, most: int) -> Iterator[Iterable[Tick]]:
    """Rows of dates from fine to coarse."""
    days = last.toordinal() - first.toordinal()
    for step in _DAYS:
        if days // step < most:
            numbers = range(-(-first.toordinal() // step) * step, last.toordinal() + 1, step)
            yield (Tick(day, date.fromordinal(day).isoformat()) for day in numbers)
    months = 12 * (last.year - first.year) + last.month - first.month
    begin = 12 * first.year + first.month - 1 + (first.day > 1)
    for step in _MONTHS:
        if months // step <= most:
            numbers = range(-(-begin // step) * step, 12 * last.year + last.month, step)
            yield (Tick(_month(each).toordinal(), f"{_month(each):%Y-%m}") for each in numbers)
    year = first.year + ((first.month, first.day) > (1, 1))
    for step in _YEARS:
        numbers = range(-(-year // step) * step, last.year + 1, step)
        yield (Tick(date(each, 1, 1).toordinal(), str(each)) for each in numbers if each > 0)


def _month(months: int) -> date:
    return date(min(max(months // 12, 1), 9999), months % 12 + 1, 1)


def beyond(value: float, limit: float) -> int:
    """-1, 0 or 1: below a limit, on it (but for rounding noise), above it."""
    if abs(value - limit) <= NOISE * abs(limit):
        return 0
    return 1 if value > limit else -1


def clear_of(
    limits: Iterable[float], value: float, place: Callable[[float], float], near: float
) -> float:
    """A mark's place in a drawing: on the side of each limit on which its value lies.

    Args:
        limits: Those that are drawn.
        value: What is marked.
        place: Where a value lies on the axis.
        near: How near a limit a mark that isn't on it may stand; negative where values grow towards
            lower places.
    """
    at = place(value)
    for limit in limits:
        side, line = beyond(value, limit), place(limit)
        farthest = max if side * near > 0 else min
        at = line if side == 0 else farthest(at, line + side * near)
    return at
