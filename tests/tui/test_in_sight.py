"""What has to be in sight at every size: the count, whole keys, the field, the rows."""

from __future__ import annotations

import re

import pytest
from rich.console import Console

from inspect_tui.core.text.formatting import duration
from inspect_tui.tui.base.actions import Action
from inspect_tui.tui.base.key_names import key_name
from inspect_tui.tui.base.legend import legend
from inspect_tui.tui.base.look import whole_words
from inspect_tui.tui.screens.plan_text import plan_text
from inspect_tui.tui.walk.actions import ACTIONS
from inspect_tui.tui.widgets.step_panel import readings
from inspect_tui.tui.widgets.title_block import Cell, _row
from inspect_tui.workflow import catalogue
from tests.tui.conftest import resized, settled, type_in

KEYS = re.compile(r"(F\d+|Ctrl\+[A-Z]|/)( [a-z/ ]+)?")


@pytest.mark.parametrize("columns", range(12, 160, 3))
def test_the_line_of_keys_is_cut_between_keys_only(columns):
    line = legend(ACTIONS, columns).plain
    assert len(line) <= columns
    assert all(KEYS.fullmatch(each) for each in line.split(" │ ") if line)
    assert line.endswith(("F1", "F1 help")) or columns < 14


def test_a_narrow_line_has_three_keys_and_f1():
    assert legend(ACTIONS, 38).plain.count(" │ ") == 3
    assert legend(ACTIONS, 78).plain.count(" │ ") >= 4


@pytest.mark.parametrize(
    ("key", "name"),
    [("ctrl+g", "Ctrl+G"), ("f11", "F11"), ("pageup", "PgUp"), ("shift+tab", "Shift+Tab"),
     ("slash", "/"), ("n", "n")],
)  # fmt: skip
def test_keys_are_written_as_people_say_them(key, name):
    assert key_name(key) == name
    shown = Action(key, "x", "Label", "words", True)
    assert legend([shown], 80).plain == f"{name} label"


@pytest.mark.parametrize("width", [28, 40, 80, 120, 200])
def test_a_long_name_never_takes_the_count_or_the_state(width):
    cells = [Cell("done", "19 of 100"), Cell("failed", "✗ 14"), Cell("state", "open")]
    names = [Cell("machine", "A " * 100), Cell("checklist", "very-" * 60)]
    line = _row([*cells, *names], width, named=False).plain
    assert len(line) <= width
    assert line.startswith("19 of 100 │ ✗ 14 │ open")


@pytest.mark.parametrize("room", [5, 12, 20, 40])
def test_names_are_cut_at_words(room):
    short = whole_words("Oil pump mark: set, check", room)
    words = short.removesuffix("…").split()
    assert words == ["Oil", "pump", "mark:", "set,", "check"][: len(words)] or short.endswith("…")
    assert len(short) <= room or " " not in short


@pytest.mark.parametrize(
    ("minutes", "words"),
    [(5, "5 min"), (60, "1 h"), (75, "1 h 20 min"), (200, "3 h 20 min"), (1290, "22 h")],
)
def test_how_long_the_rest_takes(minutes, words):
    assert duration(minutes) == words


SIZES = [(80, 24), (40, 20), (120, 40), (200, 60)]


async def test_the_count_the_keys_and_the_field_are_in_sight(job, session):
    async with job(session) as pilot:
        walk = pilot.app.screen.walk
        for keys in ((), (*"310", "enter"), ("escape", *"nonsense", "enter", *"none", "enter")):
            await type_in(pilot, "", *keys)
            for size in SIZES:
                await resized(pilot, size)
                await settled(pilot)
                lines = pilot.screen_text().splitlines()
                assert "0 of 5" in lines[0] and "open" in lines[0]
                assert lines[-1].rstrip().endswith(("F1", "F1 help"))
                field = pilot.app.screen.question.field.region
                assert field.height == 1 and field.bottom <= size[1] - 1
                if size == (80, 24):
                    assert field.y >= 24 - 9  # the lowest nine lines
        assert walk.state.results.readings == ()


def test_after_the_first_reading_the_method_is_one_line_on_a_short_screen(walk, session):
    at = walk(session)
    assert "F5: all" not in at.text and "Measure across the top [b]." in at.text
    at.type("32", "enter")
    assert "Measure across the top [b]. F5: all" in at.text
    at.press("f5")
    assert "A narrow belt slips." in at.text
    at.press("f5")
    at.size = (120, 40)
    assert "F5: all" not in at.text and "Measure across the top [b]." in at.text


def test_the_list_of_sessions_says_what_the_title_block_says(walk, session, places):
    at = walk(session)
    at.type("30.2", "enter")  # too narrow
    progress = at.state.known.progress
    (line,) = catalogue.sessions(places)
    assert (line.done, line.steps, line.failed) == (progress.done, progress.of, progress.failed)
    assert line.minutes == progress.minutes and progress.failed == 1


def test_the_plan_says_what_is_open_where_the_last_reading_was_saved(walk, session):
    at = walk(session, at="jets")
    at.type("240", "enter")
    text = plan_text(at.state.known, ()).plain
    assert "OPEN THERE  Main jet centre, MAG and Air screw PTO, centre, MAG\n" in text
    for value in ("230", "240", "1", "1", "1"):
        at.type(value, "enter")
    assert "OPEN THERE" not in plan_text(at.state.known, ()).plain


def test_the_grid_has_rows_and_the_unit_once(walk, session):
    at = walk(session, at="jets")
    for text in ("240", "230", "241", "1", "1.25", "1"):
        at.type(text, "enter")
    console = Console(width=48, color_system=None)
    with console.capture() as shown:
        view, result = at.state.known, at.results.step("jets")
        console.print(readings(view, at, result, at.target))
    lines = [line.split() for line in shown.get().splitlines()]
    assert ["Main", "jet", "240", "✓", "230", "✓", "241", "✗"] in lines
    assert ["240", "230", "240"] in lines  # the sheet's figure under each
    assert any(line[:3] == ["Air", "screw", "turn"] and line[3:6:2] for line in lines)
    assert sum("turn" in line for line in lines) == 1


async def test_bars_of_the_cylinders_from_the_grid_and_from_f8(job, session):
    async with job(session, (100, 40)) as pilot:
        walk = pilot.app.screen.walk
        walk.go_to_step("jets")
        for text in ("240", "230", "240"):
            await type_in(pilot, text, "enter")
        await pilot.press("up", "ctrl+b")
        await settled(pilot)
        text = pilot.screen_text()
        assert "█" in text and "○ 230" in text
        await pilot.press("f8", "b")
        await settled(pilot)
        assert "█" in pilot.screen_text() and "Main jets: Main jet" in pilot.screen_text()


def test_a_view_in_large_letters_never_hides_what_has_to_be_confirmed(walk, session):
    at = walk(session, at="guard")  # its caution waits
    plain = at.text
    for view in ("far", "bars"):
        at.controller.set(at.state.with_panel(view))
        assert at.text == plain and "Engine off." in plain
        at.controller.set(at.state.with_panel(view))
