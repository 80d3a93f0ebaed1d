"""Pictures in reports: SVG that keeps its text as text; in the PDF, each in its place."""

from __future__ import annotations

import re
from contextlib import ExitStack, closing
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.core.presentation.pictures import (
    cylinder_bars_vector,
    machine_vector,
    trend_plot_vector,
)
from inspect_tui.core.presentation.pictures.vector_picture import (
    SHAPE_NAMES,
    Disc,
    VectorPicture,
    Words,
    rectangle,
    shortened,
    sign,
    text_width,
)
from inspect_tui.core.presentation.pictures.vector_picture import Path as Line
from inspect_tui.report.html.picture import STYLE, TONES, svg
from inspect_tui.report.html.style import STYLE as PAGE_STYLE
from inspect_tui.report.pdf import picture as pdf_picture
from inspect_tui.report.pdf.layout import Sheets
from tests.core.pictures.picture_examples import BELT, COMPRESSION, SAG, shipped, systems, texts
from tests.report.report_examples import open_report

PICTURES = {
    "sled": machine_vector.vector(shipped("sled"), systems(shipped("sled"))),
    "outboard": machine_vector.vector(shipped("outboard"), systems(shipped("outboard"))),
    "compression": cylinder_bars_vector.vector(COMPRESSION),
    "belt": trend_plot_vector.vector(BELT),
    "sag": trend_plot_vector.vector(SAG),
}


@pytest.fixture
def sheets():
    """Makes PDFs whose fonts are closed at the end."""
    with ExitStack() as made:
        yield lambda: made.enter_context(
            closing(Sheets(open_report().title, open_report().date, 1))
        )


@pytest.mark.parametrize("name", PICTURES)
def test_the_svg_is_sound_and_says_in_words_what_it_shows(name):
    picture = PICTURES[name]
    root = ElementTree.fromstring(svg(picture, name))
    assert root.tag == "svg" and root.get("role") == "img"
    assert root.find("title").text == picture.title
    assert root.find("desc").text == picture.description
    by_id = {one.get("id") for one in root.iter() if one.get("id")}
    assert {root.get("aria-labelledby"), root.get("aria-describedby")} == by_id
    written = [one.text or "" for one in root.iter("text")]
    assert written == [shortened(one) for one in picture.shapes if isinstance(one, Words)]
    assert len(list(root)) == 2 + len(picture.shapes)


@pytest.mark.parametrize("name", PICTURES)
def test_the_svg_runs_and_fetches_nothing(name):
    assert not re.search(r"script|href|url\(|style=|on\w+=", svg(PICTURES[name], name))


@given(texts)
@settings(max_examples=60)
def test_any_text_stays_text(text):
    picture = VectorPicture(50, 9, (Words((0, 4), text, 3),), text, text)
    root = ElementTree.fromstring(svg(picture, "x"))
    assert [one.tag for one in root] == ["title", "desc", "text"]
    assert not any(list(one) for one in root)


def test_its_colours_are_the_page_s():
    for tone in TONES:
        assert f"--{tone}:" in PAGE_STYLE and f"var(--{tone})" in STYLE
    used = {
        name for one in PICTURES.values() for name in re.findall(r'"([pf]-[\w-]+)', svg(one, "x"))
    }
    assert all(f".{name} " in STYLE for name in used)


@given(st.text(max_size=80), st.floats(1, 60))
@settings(max_examples=60)
def test_a_text_is_cut_to_its_room(text, room):
    words = Words((0, 0), text, 3, room=room)
    assert text_width(shortened(words), 3) <= room + 1e-9


def test_the_reckoned_widths_are_not_below_those_of_the_face(sheets):
    pdf = sheets()
    pdf.type(10)
    size = pdf.font_size
    for text in (
        "not needed",
        "chaincase",
        "110 psi or more",
        "expected to reach it (95 %)",
    ):
        assert pdf.get_string_width(text) <= text_width(text, size)


@pytest.mark.parametrize("name", PICTURES)
def test_in_the_pdf_it_has_its_place_and_leaves_the_sheet_as_it_was(name, sheets, monkeypatch):
    pdf, picture = sheets(), PICTURES[name]
    places = []
    monkeypatch.setattr(pdf, "text", lambda x, y, _text: places.append((x, y)))
    monkeypatch.setattr(pdf, "polyline", lambda points, **_look: places.extend(points))
    monkeypatch.setattr(pdf, "circle", lambda x, y, _radius, **_look: places.append((x, y)))
    before = (pdf.get_x(), pdf.get_y(), pdf.font_size_pt, pdf.page_no())
    high = pdf_picture.draw(pdf, picture, 30, 40, 150)
    assert high == pytest.approx(pdf_picture.height(picture, 150))
    assert (pdf.get_x(), pdf.get_y(), pdf.font_size_pt, pdf.page_no()) == before
    assert len(places) >= len(picture.shapes) / 2
    assert all(29 <= x <= 183 and 40 <= y <= 40 + high for x, y in places)


def test_the_pdf_is_the_same_each_time(sheets):
    def made():
        pdf = sheets()
        for picture in PICTURES.values():
            pdf.keep(pdf_picture.height(picture, 120))
            pdf.set_y(pdf.get_y() + pdf_picture.draw(pdf, picture, 20, pdf.get_y(), 120))
        return bytes(pdf.output())

    assert made() == made()


@pytest.mark.parametrize("shape", SHAPE_NAMES)
def test_every_sign_lies_about_its_point(shape):
    for one in sign(shape, (10, 20), 2, "ink"):
        assert isinstance(one, Line | Disc)
        around = one.points if isinstance(one, Line) else (one.centre,)
        assert all(abs(x - 10) <= 2.5 and abs(y - 20) <= 2.5 for x, y in around)


def test_a_rectangle_is_closed():
    assert rectangle(1, 2, 3, 4).points == ((1, 2), (4, 2), (4, 6), (1, 6))
    assert rectangle(1, 2, 3, 4).closed
