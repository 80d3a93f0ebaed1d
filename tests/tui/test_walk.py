"""The walk: keys in, words on the screen and entries in the log out."""

from __future__ import annotations

import pytest

from inspect_tui.core.model.targets import Target
from inspect_tui.workflow.inspection import Inspection
from tests.tui.conftest import type_in


def entries(pilot, kind):
    """How many entries of a kind the log holds."""
    return pilot.log().count(f'kind = "{kind}"')


async def test_it_opens_at_the_first_open_reading(job, places, clock, session):
    from inspect_tui.core.evaluation.validate import Target

    with Inspection.open(places, session, clock) as inspection:
        inspection.record([(Target("belt", "width"), "32"), (Target("belt", "cracks"), "none")])
    async with job(session) as pilot:
        assert pilot.app.screen.at == "guard"
        assert pilot.app.screen.target == Target("guard", "on")


async def test_the_lists_cautions_come_first_and_once(job, places, clock):
    with Inspection.new(places, "bench", "test-bed", "R. Tester", clock) as inspection:
        session = inspection.session.id
    async with job(session) as pilot:
        text = pilot.screen_text()
        assert "Outdoors only [/]." in text and "Blocks under the skis." in text
        assert "Drive" in text and "Engine" in text  # the list with its sections stays beside
        await pilot.press("enter")
        await pilot.pause()
        assert entries(pilot, "caution") == 1
        assert "Outdoors only" not in pilot.screen_text()
    async with job(session) as pilot:
        assert "Outdoors only" not in pilot.screen_text()
        assert entries(pilot, "caution") == 1


async def test_the_verdict_is_live_and_marked_as_not_entered(job, session):
    async with job(session) as pilot:
        await type_in(pilot, "30")
        text = pilot.screen_text()
        assert "fail" in text and "not entered yet" in text and "31 to 35 mm" in text
        assert entries(pilot, "reading") == 0
        await pilot.press("enter")
        await pilot.pause()
        assert entries(pilot, "reading") == 1
        assert "saved: Width 30 mm" in pilot.screen_text()


async def test_enter_on_an_empty_field_changes_nothing(job, session):
    async with job(session) as pilot:
        await type_in(pilot, "32", "enter")
        at, log = pilot.app.screen.target, pilot.log()
        await pilot.press("enter", "enter")
        await type_in(pilot, "  ", "enter")
        assert pilot.app.screen.target == at
        assert pilot.log() == log


async def test_enter_records_and_asks_the_next_open_reading(job, session):
    async with job(session) as pilot:
        await type_in(pilot, "1-1/4 in", "enter")
        assert 'entered = "1-1/4 in"' in pilot.log() and "value = 31.75" in pilot.log()
        assert pilot.app.screen.target.reading == "cracks"
        await type_in(pilot, "none", "enter")
        assert pilot.app.screen.at == "guard"  # the optional reading is passed over


async def test_a_refused_text_stays_and_is_replaced_by_the_next_one(job, session):
    async with job(session) as pilot:
        await type_in(pilot, "abc", "enter")
        assert pilot.app.screen.question.field.value == "abc"
        assert "✗" in pilot.screen_text() and entries(pilot, "reading") == 0
        await type_in(pilot, "32", "enter")
        assert 'entered = "32"' in pilot.log() and entries(pilot, "reading") == 1


async def test_a_corrected_value_stays_in_the_log(job, session):
    async with job(session) as pilot:
        await type_in(pilot, "30", "enter")
        await pilot.press("up")
        await pilot.pause()
        assert "is 30 mm: type to correct it" in pilot.screen_text()
        await type_in(pilot, "33", "enter")
        assert 'entered = "30"' in pilot.log() and 'entered = "33"' in pilot.log()
        await pilot.press("up", "f6")
        await pilot.pause()
        assert "was 30" in pilot.screen_text()


async def test_the_grid_goes_across_the_cylinders_and_down(job, session):
    async with job(session, size=(120, 40)) as pilot:
        pilot.app.screen.go_to_step("jets")
        await pilot.pause()
        for text in ("240", "230", "240"):
            await type_in(pilot, text, "enter")
        assert [row.cylinder for row in pilot.app.screen.known.results.readings] == [
            "PTO", "centre", "MAG",
        ]  # fmt: skip
        target = pilot.app.screen.target
        assert (target.reading, target.cylinder) == ("turns", "PTO")
        await pilot.press("right", "up")
        target = pilot.app.screen.target
        assert (target.reading, target.cylinder) == ("main", "centre")
        assert "240 / 230 / 240" in pilot.screen_text()  # the sheet's values beside


async def test_how_at_once_why_and_tools_one_key_away(job, session):
    async with job(session) as pilot:
        assert "Measure across the top [b]." in pilot.screen_text()
        assert "A narrow belt slips." not in pilot.screen_text()
        await pilot.press("f5")
        await pilot.pause()
        assert "A narrow belt slips." in pilot.screen_text()
        assert "caliper" in pilot.screen_text()


async def test_a_panel_closes_with_its_key_or_escape(job, session):
    async with job(session) as pilot:
        await pilot.press("f5", "down", "escape")
        await pilot.pause()
        assert pilot.app.screen.panel == "" and pilot.app.screen.target.reading == "width"
        assert "Cracks" in pilot.screen_text()


async def test_the_formula_is_shown_on_demand(job, session):
    async with job(session) as pilot:
        await type_in(pilot, "32", "enter")
        assert "Width to spare" in pilot.screen_text() or pilot.app.screen.at == "belt"
        await pilot.press("f6")
        await pilot.pause()
        assert "width - spec.belt_width_min" in pilot.screen_text()
        assert "manual, page 3" in pilot.screen_text()


async def test_a_caution_waits_before_the_first_reading_of_its_step(job, session):
    async with job(session) as pilot:
        pilot.app.screen.go_to_step("guard")
        await pilot.pause()
        assert "Engine off." in pilot.screen_text() and "CONFIRM FIRST" in pilot.screen_text()
        await type_in(pilot, "yes", "enter")
        assert entries(pilot, "reading") == 0
        assert "waits, in this order: yes" in pilot.screen_text()
        await pilot.press("enter")
        await pilot.pause()
        log = pilot.log()
        assert 'step = "guard"\ntext = "Engine off."' in log
        assert entries(pilot, "reading") == 1 and 'entered = "yes"' in log


async def test_a_step_that_begins_says_which_gates_are_open_and_asks(job, session):
    async with job(session) as pilot:
        pilot.app.screen.go_to_step("first-start")
        await pilot.pause()
        text = pilot.screen_text()
        assert "Guard" in text and "the engine runs" in text and "CONFIRM FIRST" in text
        await type_in(pilot, "yes", "enter")
        assert entries(pilot, "reading") == 0
        await pilot.press("enter")
        await pilot.pause()
        assert entries(pilot, "reading") == 1


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
async def test_words_in_the_same_field(job, session, key, words, expected):
    async with job(session) as pilot:
        await type_in(pilot, "31.7")
        await pilot.press(key)
        await type_in(pilot, words, "enter")
        assert expected in pilot.log() and words.split("|")[0] in pilot.log()
        screen = pilot.app.screen
        if screen.place[:2] != ("belt", Target("belt", "width", None)):
            screen.go_to_target(Target("belt", "width", None))  # a skip led on from there
            await pilot.pause()
        assert screen.question.field.value == "31.7"  # what was typed came back, there
        assert entries(pilot, "reading") == 0


async def test_escape_leaves_words_and_writes_nothing(job, session):
    async with job(session) as pilot:
        log = pilot.log()
        await pilot.press("ctrl+n")
        await type_in(pilot, "whole", "enter", "ctrl+n")
        await type_in(pilot, "half", "escape")
        assert entries(pilot, "note") == 1
        assert pilot.log().startswith(log)


async def test_skipping_one_reading_asks_the_next(job, session):
    async with job(session) as pilot:
        await pilot.press("ctrl+s")
        await type_in(pilot, "no caliper", "enter")
        assert 'reading = "width"' in pilot.log() and 'why = "no caliper"' in pilot.log()
        assert pilot.app.screen.target.reading == "cracks"


async def test_as_left_left_as_found_and_the_wrong_phase(job, session):
    async with job(session) as pilot:
        await type_in(pilot, "30", "enter")
        await type_in(pilot, "none", "enter")
        pilot.app.screen.go_to_step("belt")
        await pilot.press("f2")
        await pilot.pause()
        assert "AS LEFT" in pilot.screen_text()
        await type_in(pilot, "33", "enter", "ctrl+r")
        results = pilot.app.screen.known.results
        assert results.row("belt", "width", None, "as-left").entered == "33"
        assert results.row("belt", "cracks", None, "as-left").entered == "none"
        pilot.app.screen.go_to_target(results_target("belt", "width"))
        await pilot.press("ctrl+o")
        await pilot.pause()
        results = pilot.app.screen.known.results
        assert results.row("belt", "width", None, "as-left") is None
        assert results.row("belt", "width", None, "as-found").entered == "33"


def results_target(step, reading, cylinder=None):
    """A target, for going there."""
    from inspect_tui.core.evaluation.validate import Target

    return Target(step, reading, cylinder)


async def test_going_to_a_step_by_typing_a_part_of_its_name(job, session):
    async with job(session) as pilot:
        await pilot.press("ctrl+g")
        await type_in(pilot, "jets")
        assert "Main jets" in pilot.screen_text()
        await pilot.press("enter")
        assert pilot.app.screen.at == "jets"


async def test_the_next_open_finding(job, session):
    async with job(session) as pilot:
        await type_in(pilot, "30", "enter")
        pilot.app.screen.go_to_step("jets")
        await pilot.press("f4")
        assert pilot.app.screen.at == "belt"


async def test_going_away_with_something_typed_is_refused_in_words(job, session):
    async with job(session) as pilot:
        await type_in(pilot, "31.7", "pagedown")
        assert pilot.app.screen.at == "belt"
        assert "typed and not entered" in pilot.screen_text()
        await pilot.press("escape", "pagedown")
        assert pilot.app.screen.at == "guard"


async def test_every_step_done_says_so(job, session):
    async with job(session) as pilot:
        for step in ("belt", "guard", "jets", "first-start", "look"):
            pilot.app.screen.go_to_step(step)
            await pilot.press("ctrl+t")
            await type_in(pilot, "not today", "enter")
        assert "Every step is done or skipped" in pilot.screen_text()
        await type_in(pilot, "5", "enter")
        assert "No reading is asked here" in pilot.screen_text()
        assert entries(pilot, "reading") == 0


async def test_folding_a_group(job, session):
    async with job(session) as pilot:
        assert "Guard" in pilot.screen_text()
        await pilot.press("ctrl+y")
        await pilot.pause()
        assert "Guard" not in pilot.screen_text()


async def test_a_click_on_a_step_and_on_a_reading_goes_there(job, session):
    async with job(session) as pilot:
        lines = pilot.screen_text().splitlines()
        row = next(i for i, line in enumerate(lines) if "Main jets" in line)
        await pilot.click(offset=(8, row))
        await pilot.pause()
        assert pilot.app.screen.at == "jets"
        lines = pilot.screen_text().splitlines()
        row = next(i for i, line in enumerate(lines) if "Air screw" in line and "—" in line)
        await pilot.click(offset=(lines[row].rindex("—"), row))
        assert pilot.app.screen.target.cylinder == "MAG"
        assert pilot.app.screen.question.field.has_focus
