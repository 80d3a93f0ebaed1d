"""The PDF as a file: its sheets, its date, its bytes, its size."""

import re
import shutil
import subprocess
from contextlib import closing

import pytest

from inspect_tui.report.export import export
from inspect_tui.report.pdf.layout import BLOCK, EDGE, FONTS, Sheets
from tests.report.report_examples import hostile_report, open_report, signed_report
from tests.report.write_golden import drawn_texts


def pages(data):
    return len(re.findall(rb"/Type /Page\b", data))


def test_the_same_report_gives_the_same_bytes():
    assert export("pdf", open_report()) == export("pdf", open_report())


def test_its_date_is_the_sessions():
    data = export("pdf", signed_report())
    assert b"/CreationDate (D:20261102183911Z)" in data
    assert data.startswith(b"%PDF-")


def test_every_sheet_says_which_it_is_of_how_many():
    data, drawn = export("pdf", open_report()), drawn_texts(open_report())
    count = pages(data)
    assert count == 2
    for sheet in range(1, count + 1):
        assert f"{sheet}: Sheet: {sheet} of {count}\n" in drawn


def test_a_text_of_many_sheets_breaks_soundly():
    words = "A long story of a short belt. " * 60
    data = export("pdf", hostile_report(words))
    assert pages(data) > 5


@pytest.fixture
def sheets():
    with closing(Sheets(open_report().title, open_report().date, 1)) as made:
        yield made


def test_a_title_that_is_too_long_is_cut_with_a_sign(sheets):
    assert sheets.fitted("W" * 500, 40).endswith("…")
    assert sheets.get_string_width(sheets.fitted("W" * 500, 40)) <= 40
    assert sheets.fitted("short", 40) == "short"


def test_nothing_is_drawn_under_the_title_block(sheets):
    for number in range(400):
        sheets.paragraph(f"line {number}")
        assert sheets.get_y() < sheets.h - EDGE - BLOCK


def test_no_space_of_another_kind_is_lost_in_a_line(sheets):
    words = "a\u00a0b\u2003c d"
    assert "".join(sheets.lines(words, 100)) == words


def test_the_fonts_come_with_their_licence():
    assert "Permission is hereby granted" in (FONTS / "LICENSE.txt").read_text("utf-8")


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="pdftotext is not installed")
def test_a_pdf_reader_finds_the_words(tmp_path):
    path = tmp_path / "report.pdf"
    path.write_bytes(export("pdf", open_report()))
    done = subprocess.run(["pdftotext", "-layout", path, "-"], capture_output=True, check=True)
    text = done.stdout.decode()
    for words in ("Old triple", "NOT TO BE RUN", "25 mm over", "2 of 2", "±0.5 mm"):
        assert words in text
