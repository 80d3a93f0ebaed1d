"""The report as PDF: A4 sheets with a title block each, the strips and pictures drawn as lines.

The same report gives the same bytes: the file's date is the session's. Drawn twice, since each
sheet says how many there are.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from inspect_tui.core.presentation.wording import TitleBlock
from inspect_tui.core.text.visible import one_line
from inspect_tui.report.content.report import Report
from inspect_tui.report.pages.blocks import (
    Alarm,
    Block,
    Bullets,
    Entries,
    Entry,
    Facts,
    Heading,
    Ink,
    PageEnd,
    Picture,
    Pictures,
    Table,
    Text,
)
from inspect_tui.report.pages.document import document
from inspect_tui.report.pdf import picture as pdf_picture
from inspect_tui.report.pdf.layout import (
    BETWEEN,
    COLOURS,
    FAINT,
    INK,
    LINE,
    SMALL,
    Broken,
    Sheets,
    drawn_twice,
)
from inspect_tui.report.pdf.table import TablePages
from inspect_tui.report.read_export import pdf_words

TEXT = 8.0
"""pt, of everything but the head."""
MAX_ALARM = 500
"""Letters of an alarm in larger type; more are in the usual one."""
DRAWN_WIDTH = 128.0
"""mm of the machine's drawing."""
SPACE_TO_SIGN = 11.0
"""mm above a line to sign on."""


def write(report: Report) -> bytes:
    """The report as PDF."""
    words = pdf_words(report.title.session, report.last_seal, report.extras.with_log)
    return write_blocks(report.title, report.date, document(report), words)


def write_blocks(
    title: TitleBlock, at: datetime, blocks: Iterable[Block], keywords: str = ""
) -> bytes:
    """Any blocks as PDF.

    Args:
        title: What stands in each sheet's title block.
        at: The file's date.
        blocks: What to draw.
        keywords: What the file carries that can be read without drawing it.
    """
    broken: Broken = {}
    there = tuple(blocks)

    def drawn(sheets: int) -> Sheets:
        pdf = Sheets(title, at, sheets, broken)
        pdf.set_keywords(keywords)
        draw_all(pdf, there)
        return pdf

    return drawn_twice(drawn)


def draw_all(pdf: Sheets, blocks: Iterable[Block]) -> None:
    """Blocks one after the other; a heading stands on one sheet with the beginning of the next."""
    there = tuple(blocks)
    for block, following in zip(there, (*there[1:], None), strict=True):
        draw(pdf, block, 12 if following is None else _beginning(pdf, following))


def _beginning(pdf: Sheets, block: Block) -> float:
    """The mm that a block's beginning takes."""
    match block:
        case Pictures():
            width = _picture_width(pdf, block)
            return min(_picture_height(block.items[0], width), pdf.eph / 2)
        case Table():
            return min(TablePages(pdf, block).beginning, pdf.eph / 2)
        case _:
            return 12


def draw(pdf: Sheets, block: Block, follows: float = 12) -> None:
    """One block where the last one ended; of a heading the mm that follow stay with it."""
    pdf.type(TEXT)
    match block:
        case Heading():
            _heading(pdf, block, follows)
        case Text():
            _text(pdf, block)
        case Bullets():
            _bullets(pdf, block)
        case Facts():
            for label, words in block.rows:
                pdf.paragraph(f"{label}: {words}", indent=2)
        case Alarm():
            _alarm(pdf, block)
        case Entries():
            for entry in block.items:
                _entry(pdf, entry)
        case Table():
            TablePages(pdf, block).draw()
        case Pictures():
            _pictures(pdf, block)
        case Ink():
            _ink(pdf, block)
        case PageEnd():
            pdf.add_page()
    pdf.type(TEXT)


def _heading(pdf: Sheets, heading: Heading, follows: float) -> None:
    """A heading, and its line in the reader's list of contents."""
    if heading.level == 1:
        pdf.type(15, bold=True)
        pdf.paragraph(heading.words)
    else:
        pdf.heading(heading.words, follows, 10.5 if heading.level == 2 else 9)
        pdf.start_section(pdf.drawable(one_line(heading.words)), heading.level - 2)


def _text(pdf: Sheets, text: Text) -> None:
    if not text.words:
        return
    match text.kind:
        case "faint":
            pdf.type(SMALL, colour=FAINT)
        case "subtitle":
            pdf.type(10)
        case "strong":
            pdf.type(9.5, bold=True, colour=COLOURS[text.verdict])
        case _:
            pdf.type(TEXT, colour=COLOURS[text.verdict])
    pdf.paragraph(text.words)
    pdf.ln(0.8)


def _bullets(pdf: Sheets, block: Bullets) -> None:
    if block.kind == "faint":
        pdf.type(SMALL, colour=FAINT)
    sign = "□" if block.kind == "box" else "–"
    if block.columns == 2:
        pdf.type(SMALL + 0.3)
        items = tuple(
            f"{'' if place in block.heads else f'{sign} '}{item}"
            for place, item in enumerate(block.items)
        )
        pdf.in_columns(items, indent=2, heads=block.heads)
        return
    for item in block.items:
        pdf.paragraph(f"{sign} {item}", indent=2)


def _alarm(pdf: Sheets, alarm: Alarm) -> None:
    """Framed as far as it reaches on each sheet."""
    pdf.ln(2.5)
    frame = pdf.framed(COLOURS["fail"])
    pdf.type(13, bold=True, colour=COLOURS["fail"])
    pdf.paragraph(alarm.title, indent=3, right=3)
    pdf.type(9 if sum(map(len, alarm.items)) < MAX_ALARM else TEXT)
    for item in alarm.items:
        pdf.paragraph(f"– {item}", indent=3, right=3)
    frame.close()
    pdf.ln(1.5)


def _entry(pdf: Sheets, entry: Entry) -> None:
    pdf.keep(3 * LINE)
    pdf.type(TEXT, bold=True)
    pdf.paragraph(entry.words)
    pdf.type(TEXT, colour=COLOURS[entry.verdict])
    pdf.beside(entry.state)
    pdf.type(TEXT)
    for line in entry.lines:
        pdf.paragraph(line, indent=3)
    for words, state in entry.under:
        pdf.paragraph(f"– {words} ({state})", indent=3)
    pdf.ln(0.8)


def _pictures(pdf: Sheets, block: Pictures) -> None:
    """One under the other; small ones in two columns."""
    columns = 2 if block.small else 1
    width = _picture_width(pdf, block)
    for start in range(0, len(block.items), columns):
        row = block.items[start : start + columns]
        heights = [_picture_height(picture, width) for picture in row]
        pdf.keep(max(heights))
        top = pdf.get_y()
        for place, picture in enumerate(row):
            _picture(pdf, picture, pdf.l_margin + place * (width + BETWEEN), top, width)
        pdf.set_xy(pdf.l_margin, top + max(heights) + 2)


def _picture_width(pdf: Sheets, block: Pictures) -> float:
    return float((pdf.epw - BETWEEN) / 2 if block.small else min(pdf.epw, DRAWN_WIDTH))


def _picture_height(picture: Picture, width: float) -> float:
    return pdf_picture.height(picture.vector, width) + (LINE if picture.title else 0)


def _picture(pdf: Sheets, picture: Picture, x: float, y: float, width: float) -> None:
    if picture.title:
        pdf.type(TEXT, bold=True)
        pdf.column(x, y, width, pdf.fitted(picture.title, width))
        y += LINE
    pdf_picture.draw(pdf, picture.vector, x, y, width)


def _ink(pdf: Sheets, ink: Ink) -> None:
    pdf.keep(SPACE_TO_SIGN + LINE)
    y = pdf.get_y() + SPACE_TO_SIGN
    width = (pdf.epw - BETWEEN * (len(ink.labels) - 1)) / len(ink.labels)
    pdf.set_draw_color(*INK)
    pdf.set_line_width(0.2)
    pdf.type(SMALL, colour=FAINT)
    for place, label in enumerate(ink.labels):
        x = pdf.l_margin + place * (width + BETWEEN)
        pdf.line(x, y, x + width, y)
        pdf.column(x, y + 0.5, width, pdf.drawable(label))
    pdf.set_xy(pdf.l_margin, y + LINE)
