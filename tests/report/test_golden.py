"""Each export, byte for byte, against the file that a person has read."""

import pytest

from inspect_tui.errors import BadInput
from inspect_tui.report import export as exporting
from inspect_tui.report.export import export
from tests.report.report_examples import golden_reports
from tests.report.write_golden import FORMS, GOLDEN, drawn_texts

REPORTS = golden_reports()
NAMES = [name for name, _ in REPORTS]


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize(("name", "report"), REPORTS, ids=NAMES)
def test_the_export_is_what_was_read(name, report, form):
    assert export(form, report) == (GOLDEN / f"{name}.{form}").read_bytes()


@pytest.mark.parametrize(("name", "report"), REPORTS, ids=NAMES)
def test_the_texts_of_the_pdf(name, report):
    assert drawn_texts(report).encode() == (GOLDEN / f"{name}.pdf.txt").read_bytes()


def test_an_unknown_format_is_refused_with_the_known_ones():
    with pytest.raises(BadInput, match=r"'docx'.*md, html, csv, json, pdf"):
        export("docx", REPORTS[0][1])


def test_every_format_is_there():
    assert exporting.FORMS == ("md", "html", "csv", "json", "pdf")
