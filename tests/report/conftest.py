"""Sheets of paper whose fonts are closed again."""

import pytest

from inspect_tui.report.pdf_layout import Sheets
from tests.report.report_examples import open_report


@pytest.fixture
def new_sheets():
    """Makes empty sheets of the open session's report."""
    made = []

    def new() -> Sheets:
        made.append(Sheets(open_report().title, open_report().date, 1))
        return made[-1]

    yield new
    for each in made:
        each.close()
