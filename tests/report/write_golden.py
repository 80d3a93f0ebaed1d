"""Writes the golden files anew; read the diff before the commit.

    PYTHONPATH=. python tests/report/write_golden.py

The PDF's golden file holds the texts that are drawn, sheet by sheet, since its bytes belong to the
PDF library's version.
"""

from pathlib import Path
from unittest.mock import patch

from inspect_tui.report.export import export
from inspect_tui.report.pdf import layout as pdf_layout
from tests.report.report_examples import golden_reports

GOLDEN = Path(__file__).with_name("golden")
FORMS = ("md", "html", "csv", "json")


def drawn_texts(report) -> str:
    """Every text of the PDF in the order in which it is drawn, on its sheet."""
    return drawn_by(lambda: export("pdf", report))


def drawn_by(write) -> str:
    """Every text of the last PDF that this draws."""
    drawn = []

    def noting(real, *places):
        def note(sheets, *given, **more):
            words = ": ".join(sheets.drawable(given[place]) for place in places)
            drawn.append(f"{sheets.page_no()}: {words}")
            return real(sheets, *given, **more)

        return note

    sheets = pdf_layout.Sheets
    begin = sheets.__init__

    def anew(document, *given, **more):
        drawn.clear()
        begin(document, *given, **more)

    with (
        patch.object(sheets, "__init__", anew),
        patch.object(sheets, "paragraph", noting(sheets.paragraph, 0)),
        patch.object(sheets, "beside", noting(sheets.beside, 0)),
        patch.object(sheets, "run_on", noting(sheets.run_on, 0)),
        patch.object(sheets, "_set_in", noting(sheets._set_in, 0)),
        patch.object(sheets, "column", noting(sheets.column, 3)),
        patch.object(sheets, "_field", noting(sheets._field, 3, 4)),
    ):
        write()
    return "\n".join(drawn) + "\n"


def write() -> None:
    for name, report in golden_reports():
        for form in FORMS:
            (GOLDEN / f"{name}.{form}").write_bytes(export(form, report))
        (GOLDEN / f"{name}.pdf.txt").write_bytes(drawn_texts(report).encode())


if __name__ == "__main__":
    write()
