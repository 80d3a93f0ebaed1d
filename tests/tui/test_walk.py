"""The walk: keys in, words and entries in the log out. On the controller; a few on the screen."""

from __future__ import annotations

import subprocess
import sys

import pytest

from inspect_tui.core.model.targets import Target
from inspect_tui.workflow.inspection import Inspection

WIDTH, CRACKS = Target("belt", "width"), Target("belt", "cracks")


@pytest.fixture
def new(places, clock):
    """A session whose cautions nobody has read yet."""
    with Inspection.new(places, "bench", "test-bed", "R. Tester", clock) as inspection:
        return inspection.session.id


def test_it_opens_at_the_first_open_reading(walk, places, clock, session):
    with Inspection.open(places, session, clock) as inspection:
        inspection.record([(WIDTH, "32"), (CRACKS, "none")])
    at = walk(session)
    assert at.state.step == "guard" and at.target == Target("guard", "on")


def test_the_lists_cautions_come_first_and_once(walk, new):
    at = walk(new)
    assert "Outdoors only [/]." in at.text and "Blocks under the skis." in at.text
    at.press("enter")
    assert at.entries("caution") == 1 and "Outdoors only" not in at.text
    at.desk.inspection.close()
    again = walk(new)
    assert "Outdoors only" not in again.text and again.entries("caution") == 1


def test_long_cautions_are_read_to_their_end_first(walk, new):
    at = walk(new)
    at.cautions_pages = 1
    at.press("enter")
    assert at.entries("caution") == 0 and "Read on to the end" in at.text
    at.press("enter")
    assert at.entries("caution") == 1


async def test_the_list_stays_beside_the_cautions(job, new):
    async with job(new) as pilot:
        text = pilot.screen_text()
        assert "Outdoors only [/]." in text and "Blocks under the skis." in text
        assert "Drive" in text and "Engine" in text
        await pilot.press("enter")
        await pilot.pause()
        assert "Outdoors only" not in pilot.screen_text()


def test_the_verdict_is_live_and_marked_as_not_entered(walk, session):
    at = walk(session)
    at.type("30")
    assert "fail" in at.text and "not entered yet" in at.text and "31 to 35 mm" in at.text
    assert at.entries("reading") == 0
    at.press("enter")
    assert at.entries("reading") == 1 and "saved: Width 30 mm" in at.text


def test_enter_on_an_empty_field_changes_nothing(walk, session):
    at = walk(session)
    at.type("32", "enter")
    target, log = at.target, at.log
    at.press("enter", "enter")
    at.type("  ", "enter")
    assert at.target == target and at.log == log


def test_enter_records_and_asks_the_next_open_reading(walk, session):
    at = walk(session)
    at.type("1-1/4 in", "enter")
    assert 'entered = "1-1/4 in"' in at.log and "value = 31.75" in at.log
    assert at.target == CRACKS
    at.type("none", "enter")
    assert at.target.reading == "picture"  # optional: asked once, left out by Enter
    at.press("enter")
    assert at.state.step == "guard"


def test_a_refused_text_stays_and_is_replaced_by_the_next_one(walk, session):
    at = walk(session)
    at.type("abc", "enter")
    assert at.field == "abc" and "✗" in at.text and at.entries("reading") == 0
    at.type("32", "enter")
    assert at.entered == [("width", None, "32")]


def test_a_corrected_value_stays_in_the_log(walk, session):
    at = walk(session)
    at.type("30", "enter")
    at.press("up")
    assert "is 30 mm: type to correct it" in at.text
    at.type("33", "enter")
    assert 'entered = "30"' in at.log and 'entered = "33"' in at.log
    at.press("up", "f6")
    assert "was 30" in at.text


def test_the_grid_goes_across_the_cylinders_and_down(walk, session):
    at = walk(session, (120, 40), at="jets")
    for text in ("240", "230", "240"):
        at.type(text, "enter")
    assert [cylinder for _, cylinder, _ in at.entered] == ["PTO", "centre", "MAG"]
    assert at.target == Target("jets", "turns", "PTO")
    at.press("right", "up")
    assert at.target == Target("jets", "main", "centre")
    lines = [line.split() for line in at.picture_text.splitlines()]
    place = next(i for i, words in enumerate(lines) if words[:3] == ["▶", "Main", "jet"])
    assert lines[place + 1] == ["240", "230", "240"]  # the sheet's figure under each value


def test_how_at_once_why_and_tools_one_key_away(walk, session):
    at = walk(session)
    assert "Measure across the top [b]." in at.text and "A narrow belt slips." not in at.text
    at.press("f5")
    assert "A narrow belt slips." in at.text and "caliper" in at.text


def test_a_panel_closes_with_its_key_or_escape(walk, session):
    at = walk(session)
    at.press("f5", "down", "escape")
    assert at.state.panel == "" and at.target == WIDTH and "Cracks" in at.text
    at.press("f5", "f5")
    assert at.state.panel == ""


def test_the_formula_is_shown_on_demand(walk, session):
    at = walk(session)
    at.type("32", "enter")
    assert "Width to spare" in at.text
    at.press("f6")
    assert "Width to spare: from Width and" in at.text and "manual, page 3" in at.text


def test_a_caution_waits_before_the_first_reading_of_its_step(walk, session):
    at = walk(session, at="guard")
    assert "Engine off." in at.text and "CONFIRM FIRST" in at.text
    at.type("yes", "enter")
    assert at.entries("reading") == 0 and "waits, in this order: yes" in at.text
    at.press("enter")
    assert 'step = "guard"\ntext = "Engine off."' in at.log
    assert at.entered == [("on", None, "yes")]


def test_a_step_that_begins_says_which_gates_are_open_and_asks(walk, session):
    at = walk(session, at="first-start")
    assert "Guard" in at.text and "the engine runs" in at.text and "CONFIRM FIRST" in at.text
    at.type("yes", "enter")
    assert at.entries("reading") == 0
    at.press("enter")
    assert at.entries("reading") == 1


@pytest.mark.parametrize(
    ("key", "words", "expected"),
    [
        ("ctrl+n", "glazed", 'kind = "note"'),
        ("ctrl+f", "rattles", 'kind = "finding"'),
        ("ctrl+s", "no gauge", 'kind = "skipped"'),
        ("ctrl+t", "no time", 'kind = "skipped"'),
        ("ctrl+l", "Ski stop gap|mm", 'kind = "step-added"'),
    ],
)
def test_words_in_the_same_field(walk, session, key, words, expected):
    at = walk(session)
    at.type("31.7")
    at.press(key)
    at.type(words, "enter")
    assert expected in at.log and words.split("|")[0] in at.log
    if at.target != WIDTH:
        at.go_to(WIDTH)  # a skip led on from there
    assert at.field == "31.7"  # what was typed came back, there
    assert at.entries("reading") == 0


def test_escape_leaves_words_and_writes_nothing(walk, session):
    at = walk(session)
    log = at.log
    at.press("ctrl+n")
    at.type("whole", "enter", "ctrl+n")
    at.type("half", "escape")
    assert at.entries("note") == 1 and at.log.startswith(log)


def test_skipping_one_reading_asks_the_next(walk, session):
    at = walk(session)
    at.press("ctrl+s")
    at.type("no caliper", "enter")
    assert 'reading = "width"' in at.log and 'why = "no caliper"' in at.log
    assert at.target == CRACKS


def test_as_left_left_as_found_and_the_wrong_phase(walk, session):
    at = walk(session)
    at.type("30", "enter")
    at.type("none", "enter")
    at.go("belt")
    at.press("f2")
    assert "AS LEFT" in at.text
    at.type("33", "enter", "ctrl+r")
    assert at.results.row("belt", "width", None, "as-left").entered == "33"
    assert at.results.row("belt", "cracks", None, "as-left").entered == "none"
    at.go_to(WIDTH)
    at.press("ctrl+o")
    assert at.results.row("belt", "width", None, "as-left") is None
    assert at.results.row("belt", "width", None, "as-found").entered == "33"


def test_going_to_a_step_by_typing_a_part_of_its_name(walk, session):
    at = walk(session)
    at.press("ctrl+g")
    at.type("jets")
    assert "▶ □ Main jets" in at.text and "Belt" not in at.text
    at.press("enter")
    assert at.state.step == "jets"


def test_the_arrows_pick_among_the_steps_that_fit(walk, session):
    at = walk(session)
    at.press("ctrl+g", "down", "down", "up", "enter")
    assert at.state.step == "guard"


def test_the_next_open_finding(walk, session):
    at = walk(session)
    at.type("30", "enter")
    at.go("jets")
    at.press("f4")
    assert at.state.step == "belt"


def test_what_is_typed_stays_unsaved_with_its_reading(walk, session):
    at = walk(session)
    at.type("31.7", "pagedown")
    assert at.state.step == "guard" and at.field == "" and at.entries("reading") == 0
    assert "waits for Width (Belt x[/]y): 31.7" in at.text
    at.press("pageup")
    assert at.field == "31.7" and "is not saved: Enter records it" in at.text
    at.press("enter")
    assert at.entered == [("width", None, "31.7")]


def test_every_step_done_says_so(walk, session):
    at = walk(session)
    for step in ("belt", "guard", "jets", "first-start", "look"):
        at.go(step)
        at.press("ctrl+t")
        at.type("not today", "enter")
    assert "Every step is done or skipped" in at.text
    at.type("5", "enter")
    assert "No reading is asked here" in at.text and at.entries("reading") == 0


async def test_folding_a_group(job, session):
    async with job(session) as pilot:
        assert "Guard" in pilot.screen_text()
        await pilot.press("ctrl+y")
        await pilot.pause()
        assert "Guard" not in pilot.screen_text()


async def test_a_click_on_a_step_and_on_a_reading_goes_there(job, session):
    async with job(session) as pilot:
        state = lambda: pilot.app.screen.walk.state  # noqa: E731
        lines = pilot.screen_text().splitlines()
        row = next(i for i, line in enumerate(lines) if "Main jets" in line)
        await pilot.click(offset=(8, row))
        await pilot.pause()
        assert state().step == "jets"
        lines = pilot.screen_text().splitlines()
        row = next(i for i, line in enumerate(lines) if "Air screw" in line and "—" in line)
        await pilot.click(offset=(lines[row].rindex("—"), row))
        assert state().target.cylinder == "MAG"
        assert pilot.app.screen.question.field.has_focus


def test_the_walk_is_thought_out_without_a_terminal():
    code = "import inspect_tui.tui.walk.controller, sys; print(*sys.modules)"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert "textual" not in ran.stdout.split()


def test_what_was_said_of_a_place_goes_when_the_person_goes(walk, session):
    at = walk(session)
    at.type("30", "enter")
    at.press("ctrl+z")
    assert "Taken back: " in at.text
    at.press("pagedown")
    assert at.state.step == "guard" and "Taken back" not in at.text
