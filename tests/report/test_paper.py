"""Blank sheets and the tag: what stands on them, in which order."""

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from unittest.mock import patch

import pytest

from inspect_tui.errors import BadInput, Refused
from inspect_tui.files.store import Store
from inspect_tui.report.pages import paper
from inspect_tui.report.pages.blocks import Band, Row, Table
from inspect_tui.report.pdf import tag
from inspect_tui.workflow import papers
from tests.report import report_examples as examples
from tests.report.write_golden import drawn_by
from tests.season_story import signed_report, walked_to

AT = datetime(2026, 11, 26, 12, 0, tzinfo=UTC)


@pytest.fixture(scope="module")
def blocks(tmp_path_factory):
    """The blocks of the pre-season sheets of the invented triple."""
    taken = []
    real = paper.paper_blocks
    with patch.object(paper, "paper_blocks", lambda blank: taken.extend(real(blank)) or taken):
        papers.blank_sheets(Store(tmp_path_factory.mktemp("s")), "pre-season", "tindrak-600", AT)
    return taken


def rows_of(blocks, kind):
    return [
        row for block in blocks if isinstance(block, Table) for row in block.rows
        if isinstance(row, kind)
    ]  # fmt: skip


def test_the_steps_have_the_numbers_of_the_screen_in_its_order(blocks):
    bands = rows_of(blocks, Band)
    assert [band.number for band in bands] == [str(n) for n in range(1, len(bands) + 1)]
    report = signed_report()  # of a session with the same list and machine
    numbers = {s.number: s.step.title for section in report.sections for s in section.steps}
    assert all(numbers[band.number] == band.words for band in bands)


def test_each_reading_has_boxes_for_found_and_left_and_this_machines_limit(blocks):
    rows = {row.cells[0].words: row for row in rows_of(blocks, Row)}
    slack = rows["Rim travel, tightest place [mm]"]
    assert [cell.box for cell in slack.cells] == [False, True, True, False]
    assert slack.cells[3].words == "5 to 12 mm"
    gap = rows["Gap [mm]"]
    assert [cell.box for cell in gap.cells] == [False, *[True] * 6, False]
    assert gap.cells[-1].words == "0.4 to 0.5 mm"


def test_an_answer_is_ticked(blocks):
    rows = {row.cells[0].words: row for row in rows_of(blocks, Row)}
    assert rows["Key out"].cells[1].words.split() == ["□", "yes", "□", "no"]
    assert "crumbling" in rows["Foam or filter"].cells[1].words


def test_all_figures_that_the_list_asks_for_have_a_line(blocks):
    figures = next(b for b in blocks if isinstance(b, Table) and b.name == "Figures of the machine")
    lines = {row.cells[0].words: [cell.words for cell in row.cells] for row in figures.rows}
    assert lines["Main jet"][2] == "340 / 350 / 340"
    assert lines["Ignition timing mark, before top"][2] == "18°"
    assert lines["Fan belt deflection, least"][2] == ""  # not known: to be filled in
    assert len(lines) > 100


def test_what_this_machine_does_not_need_is_not_on_them(blocks):
    assert not [band for band in rows_of(blocks, Band) if band.words == "Fan and its belt"]


def test_an_absent_list_or_sheet_is_said(tmp_path):
    with pytest.raises(BadInput, match="pre-saeson"):
        papers.blank_sheets(Store(tmp_path), "pre-saeson", "tindrak-600", AT)
    with pytest.raises(BadInput, match="tindrak"):
        papers.blank_sheets(Store(tmp_path), "pre-season", "tindrak", AT)


@pytest.mark.parametrize("cylinders", [0, 1, 2, 6])
def test_any_number_of_cylinders(tmp_path, cylinders):
    names = ", ".join(f'"{n}"' for n in range(cylinders))
    sheet = Path(tmp_path, "any.toml")
    sheet.write_text(f'id = "any"\nname = "Any"\ncylinders = [{names}]\n', "utf-8")
    made = papers.blank_sheets(Store(tmp_path / "store"), "pre-season", str(sheet), AT)
    assert made.startswith(b"%PDF-")
    assert made == papers.blank_sheets(Store(tmp_path / "store"), "pre-season", str(sheet), AT)


# --- the tag ----------------------------------------------------------------------------------


def test_the_tag_says_what_stops_the_start_and_the_moving_first_what_failed():
    start, move, *_ = tag.warnings(walked_to("fuel-lines"))
    assert (start.title, move.title) == ("DO NOT START", "DO NOT MOVE")
    assert start.reasons[0] == "'Fuel lines, shut-off' failed (Lines hard, wanted: soft)"
    assert start.reasons[-1].startswith("Not done yet: ")
    assert all(not reason.endswith("more") or "and" in reason for reason in start.reasons)


def test_its_words_are_on_one_small_sheet():
    drawn = drawn_by(lambda: tag.write(walked_to("fuel-lines"), AT))
    assert "1: DO NOT START" in drawn
    assert "1: Sheet: 1 of 1" in drawn


def test_a_session_that_stops_nothing_has_no_tag():
    with pytest.raises(Refused, match="nothing to put on a tag"):
        tag.warnings(signed_report())


def test_a_list_without_gates_says_that_work_goes_on():
    report = examples.open_report()
    page = replace(report.page_one, stops=())
    (said,) = tag.warnings(replace(report, page_one=page))
    assert said.title == tag.UNFINISHED
    assert said.reasons == ("1 step of 'Pre-season inspection' not done.",)


@pytest.mark.parametrize("words", [examples.HOSTILE, "W" * 3000, "\n" * 50, "\ud800\x00"])
def test_any_text_stands_on_a_tag_as_text(words):
    report = walked_to("fuel-lines")
    stops = tuple(
        replace(stop, title=words, because=(words,)) for stop in report.page_one.stops[:3]
    )
    hostile = replace(report, page_one=replace(report.page_one, stops=stops, left_out=words))
    drawn = drawn_by(lambda: tag.write(hostile, AT))
    if words == examples.HOSTILE:
        assert "<script>alert(1)</script> [bold]x[/y]" in drawn
        assert "<U+001B>[31mred" in drawn


def test_a_session_that_was_set_aside_makes_no_tag():
    entries = (*examples.entries(), examples.entry(19, "set-aside", why="begun twice"))
    aside = replace(examples.open_report(), session=examples.replay(entries))
    with pytest.raises(Refused, match="set aside"):
        tag.warnings(aside)
