"""The report as PDF: A4 sheets with a title block each, the strips drawn as lines.

The same report gives the same bytes: the file's date is the session's. Drawn twice, since each
sheet says how many there are.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from inspect_tui.core import wording
from inspect_tui.core.session import Note
from inspect_tui.core.strip import DRAWN_LEGEND
from inspect_tui.report.content import (
    FindingReport,
    Report,
    StepReport,
    broken_words,
    confirmed_words,
    photo_words,
)
from inspect_tui.report.lines import Line
from inspect_tui.report.pdf_sheet import COLOURS, FAINT, LINE, RULE, SMALL, Broken, Sheets, shares
from inspect_tui.report.printed import pdf_words

COLUMNS = ("Reading", "As found", "As left", "Limit", "Strip", "Verdict")
PARTS = (2.2, 2, 1.9, 1.9, 2.6, 3.2)
GAP = 2.0
"""mm between columns."""
LONGEST = 160
"""Characters that a cell takes; longer texts stand in full under the row."""
MOST_LINES = 4
BELOW = "… (in full below)"


def write(report: Report) -> bytes:
    """The report as PDF."""
    broken: Broken = {}
    sheets = _drawn(report, 1, broken).page_no()
    return bytes(_drawn(report, sheets, broken).output())


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
    if signed and signed.accepted:
        pdf.paragraph(f"Accepted with the words: {signed.accepted}")
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
    first = _height(pdf, step.lines[0]) if step.lines else 0
    return min(6 * LINE + first, pdf.eph / 2)


def _step(pdf: Sheets, step: StepReport) -> None:
    pdf.keep(_need(pdf, step))
    pdf.ln(1.5)
    verdict = "fail" if step.result.failed else "uncertain" if step.result.uncertain else "none"
    pdf.type(bold=True)
    pdf.paragraph(f"{step.step.title} [{step.step.id}]")
    pdf.type(colour=COLOURS[verdict])
    pdf.paragraph(step.state_words)
    pdf.type()
    if step.step.caution:
        pdf.type(bold=True)
        pdf.paragraph(f"Caution: {step.step.caution} ({step.caution_words})")
        pdf.type()
    if step.result.why_skipped:
        pdf.paragraph(f"Skipped: {step.result.why_skipped}")
    _list(pdf, step.result.advice)
    if step.lines:
        _heads(pdf)
        for line in step.lines:
            _row(pdf, line)
    pdf.type(SMALL, colour=FAINT)
    _list(pdf, step.extras)
    pdf.type()
    _list(pdf, (f"Note: {_said(note)}" for note in step.notes))
    _list(pdf, (f"Photo: {photo_words(photo)}" for photo in step.photos))


def _heads(pdf: Sheets) -> None:
    pdf.ln(0.6)
    pdf.type(SMALL, colour=FAINT)
    x, y = pdf.l_margin, pdf.get_y()
    for head, width in zip(COLUMNS, shares(pdf.epw, PARTS), strict=True):
        pdf.column(x, y, width - GAP, head)
        x += width
    pdf.set_xy(pdf.l_margin, y + LINE)
    pdf.rule(RULE)
    pdf.type()


def _cells(pdf: Sheets, line: Line) -> tuple[tuple[str, float], ...]:
    """(text, width in mm) of each column."""
    widths = shares(pdf.epw, PARTS)
    return tuple(
        (_short(pdf.drawable(words)), width - GAP)
        for words, width in zip(_full(line), widths, strict=True)
    )


def _full(line: Line) -> tuple[str, ...]:
    return (line.name, *line.shown, line.limit, "", line.verdict)


def _height(pdf: Sheets, line: Line) -> float:
    """How high a row is, in mm."""
    pdf.type(8)
    texts = max(pdf.height(words, width) for words, width in _cells(pdf, line))
    pdf.type()
    return max(texts, LINE * len(line.strips)) + 1.2


def _row(pdf: Sheets, line: Line) -> None:
    """One reading across the columns; it stays on one sheet, under its heads."""
    height = _height(pdf, line)
    if not pdf.room(height):
        pdf.add_page()
        _heads(pdf)
    pdf.type(8)
    x, y = pdf.l_margin, pdf.get_y() + 0.6
    for head, (words, width) in zip(COLUMNS, _cells(pdf, line), strict=True):
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


def _verdicts(pdf: Sheets, line: Line, x: float, y: float, width: float) -> None:
    """The verdicts, each in its colour, one under the other."""
    for verdict, words in line.verdicts:
        pdf.type(8, colour=COLOURS[verdict])
        pdf.column(x, y, width, pdf.drawable(words))
        y = pdf.get_y()


def _short(words: str) -> str:
    """A text for a cell: on few lines, cut where the full text follows below."""
    if len(words) <= LONGEST and words.count("\n") <= MOST_LINES:
        return words
    return wording.one_line(words)[: LONGEST - 20].rstrip() + BELOW


def _ending(pdf: Sheets, report: Report) -> None:
    pdf.heading("Log")
    pdf.paragraph(report.log_words)
    unknown = (f"Entry {one.n} of the unknown kind '{one.kind}' is kept." for one in report.unknown)
    _list(pdf, (*report.log_faults, *broken_words(report.broken), *unknown))
    pdf.heading("Who did what, when")
    pdf.type(SMALL)
    for one in report.history:
        broken = "" if one.sound else " [broken]"
        pdf.paragraph(f"{one.n}  {wording.when(one.at)}  {one.by}: {one.words}{broken}")


def _said(note: Note) -> str:
    return f"{note.text} ({note.by}, {wording.when(note.at)})"


def _list(pdf: Sheets, items: Iterable[str], bullet: str = "– ") -> None:
    for item in items:
        pdf.paragraph(f"{bullet}{item}", indent=2)
