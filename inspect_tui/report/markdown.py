"""The report as Markdown (CommonMark with tables).

Every text from files and people is escaped, so that none of it acts as markup, HTML or a link.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

from inspect_tui.core.presentation import limit_strip
from inspect_tui.core.text.visible import visible
from inspect_tui.report.content.report import Report
from inspect_tui.report.pages.blocks import (
    Across,
    Alarm,
    Band,
    Block,
    Bullets,
    Cell,
    Entries,
    Entry,
    Facts,
    Heading,
    Ink,
    PageEnd,
    Pictures,
    Row,
    Shown,
    Table,
    TableRow,
    Text,
)
from inspect_tui.report.pages.document import document_with

STRIP_WIDTH = 32
_ACTIVE = re.compile(r"([\\`*_{}\[\]<>#|~&$^]|:(?![\s\d]|$)|(?:^|(?<==))=|!(?=\[))")
_ADDRESS = re.compile(
    r"(?<=www)\.|\.(?=(?:[^\W\d_]{2}|biz|com|edu|gov|net|org|pro|web|xxx|aero|asia|coop|info|museum|"
    r"name|shop|рф|xn--[\w-]+)(?!\w))|(?<!\w)@|@(?![\w-]+(?:[^\w.-]|\.(?!\w)|$))",
    re.IGNORECASE,
)
"""A dot or `@` of which readers make a link, to a host, a mailbox or a person.

The endings are those that readers know as a host's; `belt.width@PTO` and 31.75 stay as they are.
"""
_NUMBERED = re.compile(r"^(\d+)([.)])(?!\d)")


def text(words: str) -> str:
    """A text as Markdown that shows exactly it, on one line; line ends become `<br>`."""
    lines = (" ".join(line.split()) for line in visible(words).split("\n"))
    return "<br>".join(_escaped(line) for line in lines).strip()


def _escaped(line: str) -> str:
    line = _ADDRESS.sub(r"\\\g<0>", _ACTIVE.sub(r"\\\1", line))
    line = _NUMBERED.sub(r"\1\\\2", line)
    return re.sub(r"^([-+])(?!\d)", r"\\\1", line)


def write(report: Report) -> bytes:
    """The report as Markdown, UTF-8."""
    parts = document_with(report, [_plain_table(("", ""), report.fields)], _block)
    return ("\n\n".join(part for part in parts if part) + "\n").encode()


def _block(block: Block) -> Iterator[str]:
    match block:
        case Heading():
            yield f"{'#' * block.level} {text(block.words)}"
        case Text():
            strong = block.kind in ("strong", "subtitle") and block.words
            yield f"**{text(block.words)}**" if strong else text(block.words)
        case Bullets():
            begin = "- [ ] " if block.kind == "box" else "- "
            yield "\n".join(
                f"{begin}**{text(item)}**" if place in block.heads else f"{begin}{text(item)}"
                for place, item in enumerate(block.items)
            )
        case Facts():
            yield _plain_table(("", ""), block.rows)
        case Alarm():
            yield f"**{text(block.title)}**"
            yield _list(block.items)
        case Entries():
            yield "\n".join(line for entry in block.items for line in _entry(entry))
        case Table():
            yield from _table(block)
        case Pictures():
            for picture in block.items:
                yield f"**{text(picture.title)}**" if picture.title else ""
                yield _drawn(picture.characters)
        case Ink():
            yield "\n\n".join(f"{text(label)}: {INK}" for label in block.labels)
        case PageEnd():
            return


INK = r"\_" * 30
"""A line to sign on."""


def _entry(entry: Entry) -> Iterator[str]:
    yield f"- **{text(entry.words)}** ({text(entry.state)})"
    yield from (f"  - {text(line)}" for line in entry.lines)
    for words, state in entry.under:
        yield f"  - {text(words)} ({text(state)})"


def _drawn(lines: Sequence[str]) -> str:
    """A picture in characters, set in: no line of it is a fence's or a heading's."""
    return "\n".join(["```", *(f" {line.rstrip()}".replace("`", "'") for line in lines), "```"])


# --- tables -----------------------------------------------------------------------------------


def _table(table: Table) -> Iterator[str]:
    over = [words for words, span in table.over for _ in range(span)]
    heads = [
        f"{text(over[number])} {text(column.head).lower()}".strip()
        if over and over[number]
        else text(column.head)
        for number, column in enumerate(table.columns)
    ]
    rows = [cells for row in table.rows for cells in _cells(row, len(table.columns))]
    yield _lines(heads, rows)


def _cells(row: TableRow, columns: int) -> Iterator[list[str]]:
    match row:
        case Row():
            cells: list[str] = []
            for cell in row.cells:
                cells += [_cell(cell), *([""] * (cell.span - 1))]
            if any(cells):
                yield cells
        case Band():
            number = f"{text(row.number)} " if row.number else ""
            state = f" ({text(row.state)})" if row.state else ""
            answers = f" {text(row.answers)}" if row.answers else ""
            yield _padded(f"**{number}{text(row.words)}**{state}{answers}", columns)
        case Across():
            yield _padded(text(row.words), columns)
        case Shown():
            yield _padded(text(row.words), columns)


def _padded(words: str, columns: int) -> list[str]:
    return [words, *([""] * (columns - 1))]


def _cell(cell: Cell) -> str:
    """Its words; a strip in characters where it has a column of its own."""
    if cell.strips and cell.span == 1:
        return "<br>".join(f"`{limit_strip.draw(one, STRIP_WIDTH).text}`" for one in cell.strips)
    return text(cell.words)


def _plain_table(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    return _lines(heads, [[text(one) for one in row] for row in rows])


def _lines(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    lines = [" | ".join(heads), " | ".join("---" for _ in heads)]
    lines += [" | ".join(row) for row in rows]
    return "\n".join(f"| {line} |" for line in lines)


def _list(items: Iterable[str], begin: str = "- ") -> str:
    return "\n".join(f"{begin}{text(item)}" for item in items)
