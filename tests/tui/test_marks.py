"""What a person has to see is said by a sign and in words, never by a colour alone."""

from __future__ import annotations

import pytest

from inspect_tui.core.model.checklist import Reading
from inspect_tui.tui.app import make_app
from inspect_tui.tui.base.styling import NOT_PASSED, step_state
from inspect_tui.tui.screens.start import StartScreen
from inspect_tui.tui.walk import question_text
from inspect_tui.tui.walk.screen import WalkScreen
from inspect_tui.tui.widgets.choices import SIGN, Choices
from inspect_tui.workflow.inspection import Inspection
from tests.tui.conftest import screen_text, settled, type_in


def lines(pilot):
    return screen_text(pilot.app).splitlines()


def test_a_safety_step_with_a_skipped_reading_is_not_shown_as_passed(walk, session):
    at = walk(session, (100, 30), at="guard")
    at.press("enter", "ctrl+s")
    at.type("no time", "enter")
    result = at.results.step("guard")
    assert result.state == "done" and result.skipped_readings
    at.go("guard")
    assert f"Guard {NOT_PASSED} done, not passed: was skipped" in at.text
    assert step_state(result)[0] == NOT_PASSED


async def test_the_list_marks_a_safety_step_that_was_not_passed(job, session):
    async with job(session, (100, 30)) as pilot:
        pilot.app.screen.walk.go_to_step("guard")
        await type_in(pilot, "", "ctrl+t")
        await type_in(pilot, "no time", "enter")
        assert any(f"{NOT_PASSED} Guard ▲" in line for line in lines(pilot))


def test_a_whole_safety_step_skipped_says_so_too(walk, session):
    at = walk(session, at="guard")
    at.press("enter", "ctrl+t")
    at.type("no time", "enter")
    sign, said, _ = step_state(at.results.step("guard"))
    assert (sign, said) == (NOT_PASSED, "skipped, not passed")


def test_other_steps_with_something_skipped_are_plainly_done(walk, session):
    at = walk(session)
    at.type("32", "enter")
    at.press("ctrl+s")
    at.type("too dark", "enter")
    assert step_state(at.results.step("belt"))[1] == "done"


async def test_every_answer_of_a_choice_is_shown_with_its_number(job, session):
    async with job(session, (40, 20)) as pilot:
        await type_in(pilot, "32", "enter")
        shown = screen_text(pilot.app)
        assert "1:none  2:surface  3:through" in shown
        await type_in(pilot, "2", "enter")
        rows = pilot.app.screen.walk.state.results.readings
        assert [row.value for row in rows if row.reading == "cracks"] == ["surface"]


def test_answers_that_are_numbers_have_no_numbers():
    reading = Reading("x", "X", "choice", options=("2 turns", "3 turns"))
    assert question_text.options(reading).plain == "\n2 turns  3 turns"


def test_the_note_box_names_its_step(walk, session):
    at = walk(session, at="jets")
    at.press("ctrl+n")
    assert "A note at the step 'Main jets'" in at.text


@pytest.mark.parametrize("size", [(80, 24), (40, 20), (120, 40)])
async def test_the_chosen_line_of_the_start_has_a_sign(places, clock, size):
    for _ in range(2):
        Inspection.new(places, "bench", "test-bed", "R. Tester", clock).close()
    app = make_app(places, clock)
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        assert isinstance(app.screen, StartScreen)
        while app.screen.query_one(Choices).highlighted is None:
            await pilot.pause()  # the store is read in a thread
        app.screen.query_one(Choices).focus()
        await pilot.pause()
        first = [number for number, line in enumerate(lines(pilot)) if line.strip()[:1] == SIGN]
        assert len(first) == 1
        await pilot.press("down")
        await pilot.pause()
        after = [number for number, line in enumerate(lines(pilot)) if line.strip()[:1] == SIGN]
        assert len(after) == 1 and after > first


async def test_help_names_ones_own_finding(job, session):
    async with job(session, (100, 60)) as pilot:
        await pilot.press("f1")
        await pilot.pause()
        assert "Ctrl+F" in screen_text(pilot.app) and "Own finding" in screen_text(pilot.app)
    assert "a finding of your own: Ctrl+F" in WalkScreen.HELP_TEXT


@pytest.mark.parametrize("size, shown", [((200, 60), True), ((200, 30), True), ((80, 24), False)])
async def test_a_roomy_screen_says_what_comes_next(job, session, size, shown):
    async with job(session, size) as pilot:
        text = screen_text(pilot.app)
        assert ("WHAT COMES NEXT" in text) is shown
        if shown:
            row = next(line for line in text.splitlines() if "□ First start" in line[40:])
            assert "It ran" in row
