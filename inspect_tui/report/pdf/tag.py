"""The tag on the bars: do not start, do not move, and why. One small sheet, read from a step away.

What nobody did yet stops the machine as what failed does. A session that stops nothing has no tag:
one that said "nothing" would be read as "run".
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import closing
from dataclasses import dataclass, replace
from datetime import datetime

from inspect_tui.core.presentation import wording
from inspect_tui.core.text.formatting import join_words, pluralize
from inspect_tui.errors import Refused
from inspect_tui.report.content.page_one import Stop
from inspect_tui.report.content.report import Report
from inspect_tui.report.pages.page_one import parts_lines
from inspect_tui.report.pdf.layout import COLOURS, FAINT, INK, Sheets, drawn_twice

TITLES = {"start": "DO NOT START", "move": "DO NOT MOVE", "": "DO NOT RUN"}
"""By the gate that has not passed; "" for a safety step that is none."""
UNFINISHED = "WORK IN PROGRESS"
SCALES = (1.0, 0.85, 0.72)
"""Of the letters: the largest that leaves it on one sheet."""
HOLE = 3.0
"""mm, the radius of the hole for the tie."""
MOST_UNDONE = 6
"""Steps that nobody did yet that are named; the others are counted."""


@dataclass(frozen=True, slots=True)
class Notice:
    """A warning in large letters, and what it is for."""

    title: str
    reasons: tuple[str, ...]


def warnings(report: Report) -> tuple[Notice, ...]:
    """What the tag says.

    Raises:
        Refused: the session stops nothing, or was set aside.
    """
    if report.session.set_aside is not None:
        raise Refused("This session was set aside: it says nothing of the machine.")
    found = []
    for gate, title in TITLES.items():
        stops = [stop for stop in report.page_one.stops if stop.gate == gate]
        earlier = [each.words for each in report.page_one.left_before if each.gate == gate]
        if stops or earlier:
            found.append(Notice(title, (*_reasons(stops), *earlier)))
    if found:
        return tuple(found)
    if report.session.state == "open" and report.page_one.not_done:
        left = pluralize(len(report.page_one.not_done), "step")
        return (Notice(UNFINISHED, (f"{left} of '{report.title.checklist}' not done.",)),)
    raise Refused(
        "There is nothing to put on a tag: every safety step of this session has passed.",
        "That is no word that the machine is safe to run: read the report.",
    )


def _reasons(stops: Sequence[Stop]) -> list[str]:
    """What was looked at by itself, what nobody did yet together."""
    undone = [f"'{stop.title}'" for stop in stops if stop.is_undone]
    found = [replace(stop, accepted="").words for stop in stops if not stop.is_undone]
    if undone:
        found.append(f"Not done yet: {join_words(undone, most=MOST_UNDONE)}")
    return found


def write(report: Report, at: datetime) -> bytes:
    """The tag as PDF, A5.

    Args:
        report: What stands.
        at: When it is printed.

    Raises:
        Refused: the session stops nothing.
    """
    said = warnings(report)
    scale = next((each for each in SCALES if _is_one_sheet(report, said, at, each)), SCALES[-1])
    return drawn_twice(lambda sheets: _drawn(report, said, at, scale, sheets))


def _is_one_sheet(report: Report, said: Sequence[Notice], at: datetime, scale: float) -> bool:
    with closing(_drawn(report, said, at, scale, 1)) as pdf:
        return bool(pdf.page_no() == 1)


def _drawn(
    report: Report, said: Sequence[Notice], at: datetime, scale: float, sheets: int
) -> Sheets:
    pdf = Sheets(report.title, at, sheets, paper="A5")
    _hole(pdf)
    for notice in said:
        _notice(pdf, notice, scale)
    pdf.type(9)
    parts = parts_lines(report.parts)
    if parts:
        pdf.type(10, bold=True)
        pdf.paragraph("Waits for parts")
        pdf.type(9.5)
        for part in parts:
            pdf.paragraph(f"□ {part}", indent=2)
        pdf.ln(2)
    if report.page_one.left_out:
        pdf.paragraph(report.page_one.left_out)
        pdf.ln(1)
    pdf.type(8, colour=FAINT)
    seal = f" Last seal {wording.short_seal(report.last_seal)}." if report.last_seal else ""
    pdf.paragraph(
        f"As the log stood on {report.times.when(report.session.last)}.{seal} Take this tag off "
        "only when the list says so."
    )
    return pdf


def _hole(pdf: Sheets) -> None:
    """Where the tie goes through."""
    pdf.set_draw_color(*INK)
    pdf.set_line_width(0.2)
    pdf.set_dash_pattern(0.6, 0.6)
    pdf.circle(pdf.w / 2, pdf.get_y() + HOLE, HOLE, style="D")
    pdf.set_dash_pattern()
    pdf.set_xy(pdf.l_margin, pdf.get_y() + 2 * HOLE + 4)


def _notice(pdf: Sheets, notice: Notice, scale: float) -> None:
    frame = pdf.framed(COLOURS["fail"])
    pdf.type(34 * scale, bold=True, colour=COLOURS["fail"])
    pdf.paragraph(notice.title, indent=3, right=3)
    pdf.type(11 * scale)
    for reason in notice.reasons:
        pdf.paragraph(f"– {reason}", indent=3, right=3)
    frame.close()
    pdf.ln(3)
