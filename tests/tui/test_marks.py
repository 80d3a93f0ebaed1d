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


async def test_a_safety_step_with_a_skipped_reading_is_not_shown_as_passed(job, session):
    async with job(session, (100, 30)) as pilot:
        screen = pilot.app.screen
        screen.go_to_step("guard")
        await pilot.pause()
        await pilot.press("enter", "ctrl+s")
        await type_in(pilot, "no time", "enter")
        result = screen.known.results.step("guard")
        assert result.state == "done" and result.skipped_readings
        screen.go_to_step("guard")
        await pilot.pause()
        assert f"Guard   {NOT_PASSED} done, not passed: was skipped" in screen_text(pilot.app)
        assert any(f"{NOT_PASSED} Guard ▲" in line for line in lines(pilot))


async def test_a_whole_safety_step_skipped_says_so_too(job, session):
    async with job(session, (100, 30)) as pilot:
        screen = pilot.app.screen
        screen.go_to_step("guard")
        await pilot.pause()
        await pilot.press("enter", "ctrl+t")
        await type_in(pilot, "no time", "enter")
        sign, said, _ = step_state(screen.known.results.step("guard"))
        assert (sign, said) == (NOT_PASSED, "skipped, not passed")


async def test_other_steps_with_something_skipped_are_plainly_done(job, session):
    async with job(session) as pilot:
        await type_in(pilot, "32", "enter")
        await pilot.press("ctrl+s")
        await type_in(pilot, "too dark", "enter")
        assert step_state(pilot.app.screen.known.results.step("belt"))[1] == "done"


@pytest.mark.parametrize("size", [(80, 24), (40, 20)])
async def test_every_answer_of_a_choice_is_shown_with_its_number(job, session, size):
    async with job(session, size) as pilot:
        await type_in(pilot, "32", "enter")
        shown = screen_text(pilot.app)
        assert "1:none  2:surface  3:through" in shown
        await type_in(pilot, "2", "enter")
        rows = pilot.app.screen.known.results.readings
        assert [row.value for row in rows if row.reading == "cracks"] == ["surface"]


def test_answers_that_are_numbers_have_no_numbers():
    reading = Reading("x", "X", "choice", options=("2 turns", "3 turns"))
    assert question_text.options(reading).plain == "\n2 turns  3 turns"


async def test_the_note_box_names_its_step(job, session):
    async with job(session) as pilot:
        pilot.app.screen.go_to_step("jets")
        await pilot.press("ctrl+n")
        await pilot.pause()
        assert "A note at the step 'Main jets' (jets)" in screen_text(pilot.app)


@pytest.mark.parametrize("size", [(80, 24), (40, 20), (120, 40)])
async def test_the_chosen_line_of_the_start_has_a_sign(places, clock, size):
    for _ in range(2):
        Inspection.new(places, "bench", "test-bed", "R. Tester", clock).close()
    app = make_app(places, clock)
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        assert isinstance(app.screen, StartScreen)
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
        assert "^f" in screen_text(pilot.app) and "Own finding" in screen_text(pilot.app)
    assert "a finding of your own: ^f" in WalkScreen.HELP_TEXT


@pytest.mark.parametrize("size, shown", [((200, 60), True), ((200, 30), False), ((80, 24), False)])
async def test_a_roomy_screen_says_what_comes_next(job, session, size, shown):
    async with job(session, size) as pilot:
        text = screen_text(pilot.app)
        assert ("WHAT COMES NEXT" in text) is shown
        if shown:
            row = next(line for line in text.splitlines() if "□ First start" in line[40:])
            assert "It ran" in row
