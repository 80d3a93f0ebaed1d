"""Text from files and people is shown, and never acts: in every format."""

import csv
import io
import json
import re
from html import unescape
from html.parser import HTMLParser

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from inspect_tui.core.text.visible import visible
from inspect_tui.report import csv_export, markdown
from inspect_tui.report.export import export
from inspect_tui.report.html import page as html
from tests.report.report_examples import HOSTILE, hostile_report
from tests.report.write_golden import drawn_texts

ACTING = re.compile(
    "[\x00-\x09\x0b\x0c\x0e-\x1f\x7f-\x9f\u061c\u200b\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff]"
)
BLOCK_TAGS = {
    "h1", "h2", "h3", "h4", "p", "ul", "li", "table", "thead", "tbody", "tr", "th", "td", "strong",
    "code", "br",
}  # fmt: skip
HTML_TAGS = {
    "html", "head", "meta", "title", "style", "body", "main", "dl", "div", "dt", "dd", "p", "h2",
    "h1", "h3", "span", "ul", "li", "article", "section", "strong", "table", "colgroup", "col",
    "thead", "tbody", "tr", "th", "td", "svg", "line", "rect", "circle", "path",
}  # fmt: skip


class Tags(HTMLParser):
    """The tags, their attributes and the text of a page."""

    def __init__(self, page):
        super().__init__(convert_charrefs=True)
        self.tags, self.attributes, self.text = set(), [], []
        self.feed(page)
        self.close()

    def handle_starttag(self, tag, attrs):
        self.tags.add(tag)
        self.attributes += attrs

    def handle_data(self, data):
        self.text.append(data)


def squeezed(text):
    return " ".join(text.split())


@pytest.mark.parametrize("form", ("md", "html", "csv", "json"))
def test_nothing_acts_on_a_terminal_or_turns_the_writing(form):
    assert ACTING.findall(export(form, hostile_report()).decode()) == []


def test_html_has_our_tags_alone_and_shows_the_text():
    page = Tags(export("html", hostile_report()).decode())
    assert page.tags <= HTML_TAGS
    assert {name for name, _ in page.attributes} <= {
        "lang", "charset", "http-equiv", "content", "name", "class", "scope", "role", "aria-label",
        "style", "colspan", "tabindex",
        "viewbox", "d", "x", "y", "x1", "x2", "y1", "y2", "cx", "cy", "r", "width", "height",
    }  # fmt: skip
    assert squeezed("".join(page.text)).count(squeezed(visible(HOSTILE))) > 30


def test_html_asks_for_nothing_from_elsewhere():
    page = export("html", hostile_report("plain")).decode()
    assert "default-src 'none'; style-src 'unsafe-inline'; img-src data:" in page
    assert not re.search(r"<script|src=|href=|url\(|@import|https?:", page)


@pytest.mark.parametrize("rules", ("commonmark", "gfm-like"))
def test_markdown_has_our_tags_alone_and_shows_the_text(rules):
    reader = MarkdownIt(rules, {"html": True}).enable("table")
    page = Tags(reader.render(export("md", hostile_report()).decode()))
    assert page.tags <= BLOCK_TAGS
    assert page.attributes == []
    assert squeezed("".join(page.text)).count(squeezed(visible(HOSTILE))) > 30


@pytest.mark.parametrize(
    "words",
    ["# a", "- a", "+ a", "1. a", "2) a", "---", "===", "> a", "    code", "```", "~~~", "a\n---",
     "&lt;", "a  \nb", "[x]: http://e.example", "<!-- a", "![a](b)", "https://e.example",
     "a@e.example", "www.e.example", "e.example", "mailto:a",
     "e.com", "a.b.co.uk", "WWW.E.ORG", "see e.info.", "a@b.c", "a.b@c.d.net", "@a", "a@b.",
     "a@@b.de",
     "e.com_x", "xn--a.xn--p1ai", "me.belt@PTO", "*a*", "__a__", "a|b", "`a`", "\\*",
     "x[/]y", "[b]x[/y]", "a_b_c", "-5", "31.75", "$a$", ":a:", "==a=="],
)  # fmt: skip
def test_markdown_shows_exactly_the_text(words):
    reader = MarkdownIt("gfm-like", {"html": True})
    for place in ("{}", "- {}", "# {}", "| {} |\n| --- |"):
        page = Tags(reader.render(place.format(markdown.text(words))))
        assert page.tags <= BLOCK_TAGS - {"strong", "code"}
        assert squeezed(" ".join(page.text)) == squeezed(words)


def test_ids_stay_readable_in_the_raw_markdown():
    assert markdown.text("belt.width@PTO: 31.75 mm") == "belt.width@PTO: 31.75 mm"


@settings(max_examples=200, deadline=None)
@given(st.text("aw.@:/_-com ukDE1", max_size=30))
def test_nothing_like_an_address_becomes_a_link(words):
    page = Tags(MarkdownIt("gfm-like", {"html": True}).render("x " + markdown.text(words)))
    assert page.tags == {"p"}


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=60))
def test_markdown_and_html_show_any_text(words):
    shown = squeezed(visible(words))
    page = Tags(MarkdownIt("gfm-like", {"html": True}).render("- " + markdown.text(words)))
    assert page.tags <= {"ul", "li", "br", "p"}
    assert "".join("".join(page.text).split()) == "".join(shown.split())
    assert unescape(html.text(words)) == visible(words)


def test_csv_cells_are_no_formulas():
    rows = list(csv.reader(io.StringIO(export("csv", hostile_report()).decode(), newline="")))
    cells = [cell for row in rows for cell in row]
    assert all(len(row) == len(csv_export.COLUMNS) for row in rows)
    assert not [cell for cell in cells if cell.startswith(csv_export.FORMULA)]
    assert cells.count("'" + visible(HOSTILE)) > 30


@pytest.mark.parametrize("first", "=+-@\t\r\n")
def test_each_beginning_of_a_formula_gets_an_apostrophe(first):
    assert csv_export.cell(first + "1").startswith("'")


def test_numbers_of_ours_are_plain():
    assert (csv_export.cell(-5), csv_export.cell(-0.25), csv_export.cell(0)) == ("-5", "-0.25", "0")
    assert (csv_export.cell(True), csv_export.cell(None)) == ("true", "")


def test_json_keeps_the_text_whole():
    data = json.loads(export("json", hostile_report()))
    assert data["readings"][0]["entered"] == HOSTILE
    assert data["report"]["sections"][0]["steps"][0]["notes"][0]["text"] == HOSTILE
    assert data["format"] == 1


def test_pdf_draws_the_text_with_what_the_font_lacks_named():
    drawn = squeezed(drawn_texts(hostile_report()))
    assert "<script>alert(1)</script> [bold]x[/y]" in drawn
    assert "{nb} <U+1F600> <U+05D0>" in drawn
    assert "<U+001B>[31mred" in drawn


LONG = "W" * 1000 + "\n" * 40 + "many words " * 100


@pytest.mark.parametrize("form", ("md", "html", "csv", "json", "pdf"))
@pytest.mark.parametrize(
    "words",
    ["", " ", "\n", LONG, "\ud800", "\x00"],
    ids=["empty", "blank", "line end", "long", "surrogate", "nul"],
)
def test_odd_texts_are_no_crash(form, words):
    assert export(form, hostile_report(words))
