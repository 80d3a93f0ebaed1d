"""The report as PDF: A4 sheets with a title block each, the strips drawn as lines.

The same report gives the same bytes: the file's date is the session's. Drawn twice, since each
sheet says how many there are.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from contextlib import closing
from datetime import datetime
from itertools import groupby

from inspect_tui.core.presentation import wording
from inspect_tui.core.presentation.limit_strip import DRAWN_LEGEND
from inspect_tui.core.session.replay import Note
from inspect_tui.report.content import (
    FindingReport,
    Report,
    StepReport,
    broken_words,
    confirmed_words,
    photo_words,
)
from inspect_tui.report.pdf_layout import COLOURS, FAINT, LINE, RULE, SMALL, Broken, Sheets, shares
from inspect_tui.report.read_export import pdf_words
from inspect_tui.report.rows import Line

COLUMNS = ("Reading", "As found", "As left", "Limit", "Strip", "Verdict")
PARTS = (2.2, 2, 1.9, 1.9, 2.6, 3.2)
"""How the width is shared out where every column is wanted."""
FIRST, FOUND, LAST = 0, 1, 5
"""The columns that are always there."""
SPLITS = ((0.2, 0.4, 0.4), (0.6, 0.2, 0.2), (1.2, 0.2, -0.4), (0.3, 0.0, 0.7))
"""How they may share the room of those left out; what makes the lowest table is taken."""
GAP = 2.0
"""mm between columns."""
LONGEST = 160
"""Characters that a cell takes; longer texts stand in full under the row."""
MAX_LINES = 4
BELOW = "… (in full below)"


def write(report: Report) -> bytes:
    """The report as PDF."""
    broken: Broken = {}
    with closing(_drawn(report, 1, broken)) as first:
        sheets = first.page_no()
    with closing(_drawn(report, sheets, broken)) as drawn:
        return bytes(drawn.output())


def _drawn(report: Report, sheets: int, broken: Broken) -> Sheets:
    pdf = Sheets(report.title, report.date, sheets, broken)
    pdf.set_keywords(pdf_words(report.title.session, report.last_seal))
    _head(pdf, report)
    _findings(pdf, report)
    pdf.ln(3)
    pdf.type(SMALL, colour=FAINT)
    pdf.paragraph(DRAWN_LEGEND)
    pdf.type()
    for section in report.sections:
        pdf.heading(section.title, _need(pdf, section.steps[0]) if section.steps else 0)
        for step in section.steps:
            _step(pdf, step)
    _ending(pdf, report)
    return pdf


def _head(pdf: Sheets, report: Report) -> None:
    pdf.type(14, bold=True)
    pdf.paragraph(report.title.machine)
    pdf.type(11)
    pdf.paragraph(f"{report.title.checklist}, revision {report.title.revision}")
    pdf.ln(1.5)
    pdf.type()
    pdf.paragraph(wording.SAFETY)
    pdf.heading("Sign-off")
    signed = report.session.signed
    pdf.paragraph(report.signed_words)
    if report.still_open:
        pdf.paragraph("Left open:" if signed else "In the way of the sign-off:")
        _list(pdf, report.still_open)
    for words in report.accepted_words:
        pdf.paragraph(words)
    if report.session.addenda:
        pdf.heading("Added after the sign-off")
        _list(pdf, map(_said, report.session.addenda))
    if report.cautions:
        pdf.heading("Cautions")
        _list(pdf, report.cautions)
        pdf.type(colour=FAINT)
        pdf.paragraph(confirmed_words(report.cautions_confirmed))
        pdf.type()
    if report.conditions or report.gauges:
        pdf.heading("Conditions and gauges")
        _list(pdf, (f"{label}: {words}" for label, words in report.conditions))
        _list(pdf, (f"gauge: {gauge}" for gauge in report.gauges))


def _findings(pdf: Sheets, report: Report) -> None:
    pdf.heading("Findings")
    if not report.findings:
        pdf.paragraph("None.")
    for one in report.findings:
        finding = one.finding
        pdf.keep(4 * LINE)
        pdf.type(bold=True)
        pdf.paragraph(f"{finding.text} [{finding.id}] {one.state}")
        pdf.type()
        _list(pdf, finding.evidence)
        if finding.sure:
            _list(pdf, [f"How sure: {wording.SURE.get(finding.sure, finding.sure)}"])
        if finding.look_at:
            _list(pdf, [f"Would settle it: {', '.join(finding.look_at)}"])
        pdf.paragraph(f"Decision: {one.decision_words}")
        pdf.ln(1.2)
    _group(pdf, "Parts to get", report.parts)
    for until, group in report.carry:
        _group(pdf, f"To carry to {until}" if until else "To put right later", group)


def _group(pdf: Sheets, title: str, group: Sequence[FindingReport]) -> None:
    if group:
        pdf.heading(title)
        _list(pdf, (f"□ {one.finding.text} [{one.finding.id}]" for one in group), bullet="")


def _need(pdf: Sheets, step: StepReport) -> float:
    """The mm that a step's beginning takes: down to its first reading."""
    first = _Table(pdf, step.lines).height(step.lines[0]) if step.lines else 0
    return min(5 * LINE + first, pdf.eph / 2)


def _step(pdf: Sheets, step: StepReport) -> None:
    pdf.keep(_need(pdf, step))
    pdf.ln(1.5)
    verdict = "fail" if step.result.failed else "uncertain" if step.result.uncertain else "none"
    pdf.type(bold=True)
    pdf.paragraph(f"{step.step.title} [{step.step.id}]")
    pdf.type(colour=COLOURS[verdict])
    pdf.beside(step.state_words)
    pdf.type()
    if step.step.caution:
        pdf.type(bold=True)
        pdf.paragraph(f"Caution: {step.step.caution} ({step.caution_words})")
        pdf.type()
    if step.result.why_skipped:
        pdf.paragraph(f"Skipped: {step.result.why_skipped}")
    _list(pdf, step.result.advice)
    if step.lines:
        _Table(pdf, step.lines).draw()
    pdf.type(SMALL, colour=FAINT)
    _list(pdf, step.extras)
    pdf.type()
    _list(pdf, (f"Note: {_said(note)}" for note in step.notes))
    _list(pdf, (f"Photo: {photo_words(photo)}" for photo in step.photos))


class _Table:
    """The readings of a step, in the columns that it has something for."""

    def __init__(self, pdf: Sheets, lines: Sequence[Line]) -> None:
        self.pdf = pdf
        self.lines = lines
        full = [_full(line) for line in lines]
        filled = [any(row[number] for row in full) for number in range(len(COLUMNS))]
        filled[COLUMNS.index("Strip")] = any(line.strips for line in lines)
        self.columns = [n for n in range(len(COLUMNS)) if filled[n] or n in (FIRST, FOUND, LAST)]
        room = sum(part for n, part in enumerate(PARTS) if n not in self.columns)
        self.widths = min((self._shared(room, split) for split in SPLITS), key=self._whole)

    def _shared(self, room: float, split: Sequence[float]) -> tuple[float, ...]:
        """The widths where the columns that are left out leave so much room."""
        more = dict(zip((FIRST, FOUND, LAST), split, strict=True))
        return shares(self.pdf.epw, [PARTS[n] + room * more.get(n, 0) for n in self.columns])

    def _whole(self, widths: tuple[float, ...]) -> float:
        """How high all rows are in these widths, in mm."""
        self.widths = widths
        return round(sum(map(self.height, self.lines)), 3)

    def draw(self) -> None:
        """All rows under their heads."""
        self._heads()
        for line in self.lines:
            self._row(line)

    def _heads(self) -> None:
        pdf = self.pdf
        pdf.ln(0.6)
        pdf.type(SMALL, colour=FAINT)
        x, y = pdf.l_margin, pdf.get_y()
        for number, width in zip(self.columns, self.widths, strict=True):
            pdf.column(x, y, width - GAP, COLUMNS[number])
            x += width
        pdf.set_xy(pdf.l_margin, y + LINE)
        pdf.rule(RULE)
        pdf.type()

    def _cells(self, line: Line) -> tuple[tuple[str, str, float], ...]:
        """(head, text, width in mm) of each column."""
        full = _full(line)
        return tuple(
            (COLUMNS[number], _short(self.pdf.drawable(full[number])), width - GAP)
            for number, width in zip(self.columns, self.widths, strict=True)
        )

    def height(self, line: Line) -> float:
        """How high a row is, in mm."""
        self.pdf.type(8)
        texts = max(self.pdf.height(words, width) for _, words, width in self._cells(line))
        self.pdf.type()
        return max(texts, LINE * len(line.strips)) + 1.2

    def _row(self, line: Line) -> None:
        """One reading across the columns; it stays on one sheet, under its heads."""
        pdf, height = self.pdf, self.height(line)
        if not pdf.room(height):
            pdf.add_page()
            self._heads()
        pdf.type(8)
        x, y = pdf.l_margin, pdf.get_y() + 0.6
        for head, words, width in self._cells(line):
            if head == "Verdict" and words == pdf.drawable(line.verdict):
                _verdicts(pdf, line, x, y, width)
            else:
                pdf.column(x, y, width, words)
            if head == "Strip":
                for number, drawn in enumerate(line.strips):
                    pdf.strip(drawn, x, y + number * LINE, width)
            x += width + GAP
        pdf.set_xy(pdf.l_margin, y + height - 0.6)
        pdf.rule(RULE)
        pdf.type()
        for head, words in zip(COLUMNS, _full(line), strict=True):
            if words and _short(pdf.drawable(words)).endswith(BELOW):
                pdf.paragraph(f"{head}, in full: {words}", indent=4)


def _full(line: Line) -> tuple[str, ...]:
    return (line.name, *line.shown, line.limit, "", line.verdict)


def _verdicts(pdf: Sheets, line: Line, x: float, y: float, width: float) -> None:
    """The verdicts, each in its colour, one under the other."""
    for verdict, words in line.verdicts:
        pdf.type(8, colour=COLOURS[verdict])
        pdf.column(x, y, width, pdf.drawable(words))
        y = pdf.get_y()


def _short(words: str) -> str:
    """A text for a cell: on few lines, cut where the full text follows below."""
    if len(words) <= LONGEST and words.count("\n") <= MAX_LINES:
        return words
    return wording.one_line(words)[: LONGEST - 20].rstrip() + BELOW


def _ending(pdf: Sheets, report: Report) -> None:
    pdf.heading("Log")
    pdf.paragraph(report.log_words)
    unknown = (f"Entry {one.n} of the unknown kind '{one.kind}' is kept." for one in report.unknown)
    _list(pdf, (*report.log_faults, *broken_words(report.broken), *unknown))
    pdf.heading("Who did what, when")
    pdf.type(SMALL)
    told = []
    for (day, by), entries in groupby(report.history, lambda one: (_day(one.at), one.by)):
        told.append(f"{day}, {by}")
        for one in entries:
            broken = "" if one.sound else " [broken]"
            told.append(f"{one.n}  {wording.when(one.at)[11:16]}  {one.words}{broken}")
    pdf.in_columns(told, indent=3)


def _day(at: datetime) -> str:
    """A day with the offset of its clock: `2026-11-02 +01:00`."""
    words = wording.when(at)
    return f"{words[:10]} {words[16:]}".rstrip()


def _said(note: Note) -> str:
    return f"{note.text} ({note.by}, {wording.when(note.at)})"


def _list(pdf: Sheets, items: Iterable[str], bullet: str = "– ") -> None:
    for item in items:
        pdf.paragraph(f"{bullet}{item}", indent=2)
