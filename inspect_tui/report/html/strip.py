"""The limit strip as inline SVG, with its text alternative."""

from __future__ import annotations

from html import escape

from inspect_tui.core.presentation.limit_strip import Geometry, PlacedMark
from inspect_tui.core.text.visible import visible

WIDTH = 176
HEIGHT = 22
EDGE = 8
"""Room at each end for a mark or an arrow."""
MIDDLE = HEIGHT / 2
RADIUS = 4.0
BESIDE = 2.2


def svg(drawn: Geometry, words: str) -> str:
    """One strip.

    Args:
        drawn: The strip's geometry.
        words: What it shows, for who can't see it.
    """
    start, end = drawn.zone
    said = escape(visible(words))
    parts = [
        f'<svg class="strip" viewBox="0 0 {WIDTH} {HEIGHT}" role="img" aria-label="{said}">',
        f"<title>{said}</title>",
        _line("s-line", 0, 1),
        f'<rect class="s-zone" x="{_x(start)}" y="5" width="{_n(_at(end) - _at(start))}" '
        f'height="{HEIGHT - 10}"/>',
        _line("s-axis", start, end),
    ]
    parts += [
        _line("s-uncertainty", *one.span, beside=_beside(one, len(drawn.marks)))
        for one in drawn.marks
        if one.span is not None
    ]
    parts += [
        f'<line class="s-limit" x1="{_x(at)}" y1="2" x2="{_x(at)}" y2="{HEIGHT - 2}"/>'
        for at in (drawn.low, drawn.high)
        if at is not None
    ]
    parts += [_mark(one) for one in drawn.marks]
    return "".join(parts) + "</svg>"


def _mark(one: PlacedMark) -> str:
    """As found a ring, as left a smaller full disc, so that both show at one place."""
    kind, radius = ("s-found", RADIUS) if one.phase == "as-found" else ("s-left", RADIUS / 2)
    at = _at(one.at)
    arrow = ""
    if one.beyond:
        tip, at = (at + one.beyond * (EDGE - 1)), at - one.beyond * RADIUS
        base = tip - one.beyond * (EDGE - 2)
        arrow = (
            f'<path class="s-arrow" d="M{_n(tip)} {_n(MIDDLE)}L{_n(base)} {_n(MIDDLE - 4)}'
            f'V{_n(MIDDLE + 4)}Z"/>'
        )
    return f'{arrow}<circle class="{kind}" cx="{_n(at)}" cy="{_n(MIDDLE)}" r="{_n(radius)}"/>'


def _beside(one: PlacedMark, marks: int) -> float:
    """Of two uncertainties as found lies a little above the axis and as left under it."""
    if marks < 2:
        return 0
    return -BESIDE if one.phase == "as-found" else BESIDE


def _line(kind: str, start: float, end: float, beside: float = 0) -> str:
    y = _n(MIDDLE + beside)
    return f'<line class="{kind}" x1="{_x(start)}" y1="{y}" x2="{_x(end)}" y2="{y}"/>'


def _at(position: float) -> float:
    return EDGE + position * (WIDTH - 2 * EDGE)


def _x(position: float) -> str:
    return _n(_at(position))


def _n(number: float) -> str:
    """A number without noise: two decimals at most."""
    return f"{number:.2f}".rstrip("0").rstrip(".")
