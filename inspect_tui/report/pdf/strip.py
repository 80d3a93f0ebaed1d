"""A limit strip on a sheet of the PDF, as lines."""

from __future__ import annotations

from inspect_tui.core.presentation.limit_strip import Geometry, PlacedMark
from inspect_tui.report.pdf.layout import COLOURS, INK, RULE, ZONE, Sheets


def strip(pdf: Sheets, drawn: Geometry, x: float, y: float, width: float) -> None:
    """A limit strip, 4 mm high, its middle 2 mm under `y`."""
    edge, middle = 2.6, y + 2
    start, length = x + edge, width - 2 * edge
    low, high = drawn.zone
    pdf.set_line_width(0.15)
    pdf.set_draw_color(*RULE)
    pdf.set_dash_pattern(0.3, 0.7)
    pdf.line(start, middle, start + length, middle)
    pdf.set_dash_pattern()
    pdf.set_fill_color(*ZONE)
    pdf.rect(start + low * length, middle - 1.3, (high - low) * length, 2.6, style="F")
    pdf.set_draw_color(*INK)
    pdf.line(start + low * length, middle, start + high * length, middle)
    pdf.set_draw_color(*COLOURS["uncertain"])
    pdf.set_line_width(0.6)
    for one in drawn.marks:
        if one.span is not None:
            left, right = (start + at * length for at in one.span)
            beside = 0.0 if len(drawn.marks) < 2 else -0.6 if one.phase == "as-found" else 0.6
            pdf.line(left, middle + beside, right, middle + beside)
    pdf.set_draw_color(*INK)
    pdf.set_line_width(0.35)
    for at in (drawn.low, drawn.high):
        if at is not None:
            pdf.line(start + at * length, middle - 1.9, start + at * length, middle + 1.9)
    for one in drawn.marks:
        _mark(pdf, one, start + one.at * length, middle)


def _mark(pdf: Sheets, one: PlacedMark, x: float, y: float) -> None:
    pdf.set_line_width(0.3)
    pdf.set_fill_color(*INK)
    if one.beyond:
        tip, base = x + 2.4 * one.beyond, x + 0.5 * one.beyond
        pdf.polygon([(tip, y), (base, y - 1.1), (base, y + 1.1)], style="F")
        x -= 1.0 * one.beyond
    if one.phase == "as-found":
        pdf.set_fill_color(255, 255, 255)
        pdf.circle(x, y, 1.1, style="DF")
    else:
        pdf.circle(x, y, 0.6, style="DF")
