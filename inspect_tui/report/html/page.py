"""The report as one HTML file: no scripts, nothing from elsewhere, everything escaped."""

from __future__ import annotations

import base64
from collections.abc import Iterable, Iterator, Mapping, Sequence
from html import escape
from itertools import count

from inspect_tui.core.model.results import Verdict
from inspect_tui.core.text.visible import visible
from inspect_tui.report.content.report import Report
from inspect_tui.report.html.picture import STYLE as PICTURE_STYLE
from inspect_tui.report.html.picture import svg as picture_svg
from inspect_tui.report.html.strip import svg
from inspect_tui.report.html.style import STYLE
from inspect_tui.report.pages.blocks import (
    Across,
    Alarm,
    Band,
    Block,
    Bullets,
    Cell,
    Column,
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

POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:"
METADATA_KEPT = (
    '<p class="photo-metadata">The photos in this file keep what the camera wrote into them, such '
    "as place, time and owner.</p>"
)


def text(words: str) -> str:
    """A text as HTML that shows exactly it; line ends stay line ends."""
    return escape(visible(words))


def write(report: Report) -> bytes:
    """The report as HTML, UTF-8."""
    page = _Page(report.extras.pictures)
    parts = [
        "<!DOCTYPE html>",
        '<html lang="en">',
        "<head>",
        '<meta charset="utf-8">',
        f'<meta http-equiv="Content-Security-Policy" content="{POLICY}">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        '<meta name="referrer" content="no-referrer">',
        f"<title>{text(report.title.machine)}: {text(report.title.checklist)}</title>",
        f"<style>{STYLE}{PICTURE_STYLE}</style>",
        "</head>",
        "<body>",
        "<main>",
        *document_with(report, tuple(_title_block(report)), page.block),
        METADATA_KEPT if report.extras.photo_metadata else "",
        "</main>",
        "</body>",
        "</html>",
    ]
    return ("\n".join(part for part in parts if part) + "\n").encode()


def _title_block(report: Report) -> Iterator[str]:
    yield '<dl class="block">'
    for label, words in report.fields:
        yield f"<div><dt>{text(label)}</dt><dd>{text(words)}</dd></div>"
    yield "</dl>"


class _Page:
    """Draws blocks; keeps what has to be unique on the page."""

    def __init__(self, pictures: Mapping[str, bytes]) -> None:
        self.pictures = pictures
        self._number = count(1)

    def block(self, block: Block) -> Iterator[str]:
        match block:
            case Heading():
                yield f"<h{block.level}>{text(block.words)}</h{block.level}>"
            case Text():
                if block.words:
                    kind = " ".join(_named("text", block.kind, _verdict(block.verdict)))
                    yield f'<p class="{kind}">{text(block.words)}</p>'
            case Bullets():
                yield _list(block)
            case Facts():
                yield _facts(block)
            case Alarm():
                yield '<section class="alarm" aria-label="Warning">'
                yield f"<p><strong>{text(block.title)}</strong></p>"
                yield _list(Bullets(block.items))
                yield "</section>"
            case Entries():
                yield from (line for entry in block.items for line in _entry(entry))
            case Table():
                yield from self._table(block)
            case Pictures():
                yield from self._drawn(block)
            case Ink():
                lines = "".join(f"<div><span>{text(label)}</span></div>" for label in block.labels)
                yield f'<div class="ink">{lines}</div>'
            case PageEnd():
                return

    def _drawn(self, block: Pictures) -> Iterator[str]:
        yield f'<div class="{"pictures small" if block.small else "pictures"}">'
        for picture in block.items:
            name = f"picture-{next(self._number)}"
            yield "<figure>"
            if picture.title:
                yield f"<figcaption>{text(picture.title)}</figcaption>"
            yield f'<div class="wide" tabindex="0" role="group" aria-labelledby="{name}-title">'
            yield picture_svg(picture.vector, name)
            yield "</div></figure>"
        yield "</div>"

    # --- tables -------------------------------------------------------------------------------

    def _table(self, table: Table) -> Iterator[str]:
        """Each step is a group of rows under its title; a wide table scrolls, by keys too."""
        name = text(table.name)
        kind = "" if len(table.columns) < 4 else "readings" if len(table.columns) > 5 else "some"
        named = f' class="{kind}"' if kind else ""
        yield f'<div class="wide" tabindex="0" role="group" aria-label="{name}">'
        yield f"<table{named}>"
        yield _widths(table.columns)
        yield from _heads(table)
        yield "<tbody>"
        begun = False
        for row in table.rows:
            if isinstance(row, Band) and begun:
                yield "</tbody><tbody>"
            begun = True
            yield from self._row(row, table)
        yield "</tbody></table></div>"

    def _row(self, row: TableRow, table: Table) -> Iterator[str]:
        columns = len(table.columns)
        match row:
            case Row():
                begin = '<tr class="joined">' if row.joined else "<tr>"
                yield f"{begin}{''.join(_cells(row.cells))}</tr>"
            case Band():
                number = f'<span class="number">{text(row.number)}</span> ' if row.number else ""
                state = _spanned(row.state, f"state {_verdict(row.verdict)}".strip())
                yield (
                    f'<tr class="band"><th scope="rowgroup" colspan="{columns}">'
                    f'<div class="held">{number}{text(row.words)} {state}</div></th></tr>'
                )
                if row.answers:
                    yield from self._row(Across(row.answers), table)
            case Across():
                yield (
                    f'<tr class="across {row.kind}"><td colspan="{columns}">'
                    f'<div class="held">{text(row.words)}</div></td></tr>'
                )
            case Shown():
                jpeg = self.pictures.get(row.photo.photo)
                yield f'<tr class="across"><td colspan="{columns}">{_photo(row, jpeg)}</td></tr>'


def _photo(shown: Shown, jpeg: bytes | None) -> str:
    caption = f"<figcaption>{text(shown.words)}</figcaption>"
    if jpeg is None:
        return f"<figure>{caption}</figure>"
    data = base64.b64encode(jpeg).decode("ascii")
    return f'<figure><img alt="" src="data:image/jpeg;base64,{data}">{caption}</figure>'


def _widths(columns: Sequence[Column]) -> str:
    whole = sum(column.share for column in columns)
    shares = (f'<col style="width:{100 * column.share / whole:.1f}%">' for column in columns)
    return f"<colgroup>{''.join(shares)}</colgroup>"


def _heads(table: Table) -> Iterator[str]:
    yield "<thead>"
    if table.over:
        yield "<tr>" + "".join(_over(words, span) for words, span in table.over) + "</tr>"
    heads = "".join(f'<th scope="col">{text(column.head)}</th>' for column in table.columns)
    yield f"<tr>{heads}</tr></thead>"


def _over(words: str, span: int) -> str:
    if not words:
        return f'<td colspan="{span}"></td>'
    return f'<th scope="colgroup" class="over" colspan="{span}">{text(words)}</th>'


def _cells(cells: Iterable[Cell]) -> Iterator[str]:
    """The first cell names its row."""
    for number, cell in enumerate(cells):
        span = f' colspan="{cell.span}"' if cell.span > 1 else ""
        kind = _verdict(cell.verdict)
        named = f' class="{kind}"' if kind and cell.words else ""
        strips = "".join(svg(drawn, cell.strip_words) for drawn in cell.strips)
        begin, end = ('th scope="row"', "th") if not number and cell.words else ("td", "td")
        yield f"<{begin}{span}{named}>{text(cell.words)}{strips}</{end}>"


# --- what is no table ---------------------------------------------------------------------------


def _entry(entry: Entry) -> Iterator[str]:
    yield '<article class="entry">'
    state = _spanned(entry.state, f"state {_verdict(entry.verdict)}".strip())
    yield f"<p><strong>{text(entry.words)}</strong> {state}</p>"
    yield _list(Bullets(entry.lines))
    under = tuple(f"{words} ({state})" for words, state in entry.under)
    yield _list(Bullets(under, "faint"))
    yield "</article>"


def _list(block: Bullets) -> str:
    if not block.items:
        return ""
    rows = "\n".join(
        f'<li class="head">{text(item)}</li>' if place in block.heads else f"<li>{text(item)}</li>"
        for place, item in enumerate(block.items)
    )
    kind = " ".join(_named(block.kind, "columns" if block.columns > 1 else ""))
    named = f' class="{kind}"' if kind else ""
    return f"<ul{named}>\n{rows}\n</ul>"


def _facts(block: Facts) -> str:
    rows = "".join(
        f"<div><dt>{text(label)}</dt><dd>{text(words)}</dd></div>" for label, words in block.rows
    )
    return f'<dl class="facts">{rows}</dl>' if rows else ""


def _spanned(words: str, kind: str) -> str:
    return f'<span class="{kind}">{text(words)}</span>' if words else ""


def _verdict(verdict: Verdict) -> str:
    return "" if verdict == "none" else verdict


def _named(*kinds: str) -> list[str]:
    return [kind for kind in kinds if kind and kind != "plain"]
