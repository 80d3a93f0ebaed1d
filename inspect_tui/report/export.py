"""The report in a format by its short name: md, html, csv, json, pdf."""

from __future__ import annotations

from importlib import import_module

from inspect_tui.errors import BadInput
from inspect_tui.report.content.report import Report

MODULES = {
    "md": "markdown",
    "html": "html.page",
    "csv": "csv_export",
    "json": "json_export",
    "pdf": "pdf.document",
}
"""Each has `write(report) -> bytes`; imported when asked for, since the PDF's is heavy."""
FORMS = tuple(MODULES)


def export(form: str, report: Report) -> bytes:
    """The report in one format.

    Raises:
        BadInput: there is no such format.
    """
    module = MODULES.get(form)
    if module is None:
        raise BadInput(f"There is no export to '{form}'.", f"Known: {', '.join(FORMS)}.")
    written: bytes = import_module(f"inspect_tui.report.{module}").write(report)
    return written
