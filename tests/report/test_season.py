"""A whole pre-season session of the invented triple, some thirty faults, signed: as a report."""

import csv
import io
import json
import re

import pytest

from inspect_tui.report.export import export
from inspect_tui.report.pages.blocks import Band, Cell, Heading, Row, Table
from inspect_tui.report.pages.document import document
from tests.season_story import DECIDED, FOUND, signed_report, signed_season

MAX_PAGES = 12
"""Of design 11: a signed pre-season session of the demo machine."""


@pytest.fixture(scope="module")
def pdf():
    return export("pdf", signed_report())


def test_it_has_at_most_twelve_pages(pdf):
    assert len(FOUND) > 40
    assert len(re.findall(rb"/Type /Page\b", pdf)) <= MAX_PAGES


def test_made_twice_it_is_the_same_bytes(pdf):
    assert export("pdf", signed_report()) == pdf
    assert export("html", signed_report()) == export("html", signed_report())


@pytest.mark.parametrize("form", ["md", "html"])
def test_no_id_of_a_step_or_finding_is_on_a_page(form):
    text = re.sub(r"\\(.)", r"\1", export(form, signed_report()).decode())
    report = signed_report()
    steps = {step.step.id for section in report.sections for step in section.steps}
    with_hyphen = {step for step in steps if "-" in step} - {
        "leak-down",
        "brake-fluid",
    }
    assert {each for each in with_hyphen if re.search(rf"(?<![\w-]){each}(?![\w-])", text)} == set()
    assert {each for each in DECIDED if each in text} == set()


def test_each_step_stands_once_with_its_number_on_the_screen():
    report = signed_report()
    bands = [
        row for block in document(report) if isinstance(block, Table) for row in block.rows
        if isinstance(row, Band)
    ]  # fmt: skip
    numbers = [int(band.number) for band in bands]
    assert numbers == list(range(1, report.page_one.of + 1))


def test_found_and_left_stand_in_their_own_columns():
    cells = cells_of("Rim travel, tightest place")
    assert [cell.words for cell in cells[:4]] == [
        "Rim travel, tightest place", "✗ 15 mm", "✓ 8 mm", "5 to 12 mm (a)",
    ]  # fmt: skip
    assert len(cells[4].strips) == 1
    assert cells[5].words == "3 mm over → pass, ±1 mm"


def test_cylinders_stand_beside_each_other_as_typed():
    cells = cells_of("Compression")
    assert [cell.words for cell in cells[1:4]] == [
        "128 psi (880 kPa)", "127 psi (880 kPa)", "112 psi (770 kPa)",
    ]  # fmt: skip


def cells_of(label: str) -> tuple[Cell, ...]:
    """The row of a reading, in the sections' tables."""
    blocks = list(document(signed_report()))
    readings = blocks.index(Heading("Readings"))
    return next(
        row.cells for block in blocks[readings:] if isinstance(block, Table) for row in block.rows
        if isinstance(row, Row) and row.cells[0].words == label
    )  # fmt: skip


def test_every_reading_of_the_session_is_in_json_and_csv():
    session = signed_season().evaluated.session
    data = json.loads(export("json", signed_report()))
    assert len(data["readings"]) == len(session.readings)
    text = export("csv", signed_report()).decode()
    rows = list(csv.DictReader(io.StringIO(text, newline="")))
    assert sum(row["row"] == "reading" for row in rows) == len(session.readings)
    assert {row["label"] for row in rows if row["row"] == "part"} == {
        part["part"] for part in data["report"]["parts"]
    }


def test_what_was_put_right_is_said_with_what_was_found_and_left():
    said = {one.words for one in signed_report().page_one.put_right}
    assert "Pads and disc – Inner pad, friction: 1.5 mm → 4.5 mm" in said
    assert "Needle and clip – Code, MAG: K43 → K41" in said
