"""What is typed ahead of something not seen yet: in order, never joined, never lost.

These press keys in one go, as a slow line or a wand does, on the controller; one goes through the
framework's own events, and the real terminal is tried in `tests/terminal`.
"""

from __future__ import annotations

import pytest
from textual import events

from inspect_tui.core.model.targets import Target
from inspect_tui.tui.walk.type_ahead import shown
from inspect_tui.workflow.inspection import Inspection
from tests.tui.conftest import LOOK_UP

PTO, CENTRE = Target("jets", "main", "PTO"), Target("jets", "main", "centre")
JETS = [
    ("main", "PTO", "240"), ("main", "centre", "230"), ("main", "MAG", "241"),
    ("turns", "PTO", "1"), ("turns", "centre", "1.5"), ("turns", "MAG", "2"),
]  # fmt: skip
TEXTS = [text for _, _, text in JETS]


@pytest.mark.parametrize("end", ["\r", "\n", "\r\n"])
def test_each_of_a_burst_lands_in_its_own_reading(walk, session, end):
    at = walk(session, at="jets")
    at.burst(end.join(TEXTS) + end)
    assert at.entered == JETS


def test_tabs_of_a_burst_record_nothing_and_join_nothing(walk, session):
    at = walk(session, at="jets")
    at.burst("240\t230\t241")
    assert at.entered == [] and at.field == "241"
    assert at.state.not_entered == ["240", "230", "241"]
    for target, text in ((PTO, "240"), (CENTRE, "230")):
        at.go_to(target)
        assert at.field == text


async def test_a_burst_of_the_frameworks_own_events_keeps_its_order(job, session):
    async with job(session) as pilot:
        pilot.app.screen.walk.go_to_step("jets")
        for char in "\r".join(TEXTS) + "\r":
            key = "enter" if char == "\r" else char
            pilot.app.post_message(events.Key(key, char if char.isprintable() else None))
        pilot.app.post_message(events.Paste("9\x1b9"))
        await pilot.pause(LOOK_UP)
        await pilot.pause()
        rows = sorted(pilot.app.screen.walk.state.results.readings, key=lambda row: row.n)
        assert [(row.reading, row.cylinder, row.entered) for row in rows] == JETS
        assert pilot.app.screen.question.field.value == "99"


def test_editing_keys_keep_their_place_in_a_burst(walk, session):
    at = walk(session)
    at.burst("31\x7f2\rnone\r")
    assert at.entered == [("width", None, "32"), ("cracks", None, "none")]


def test_a_command_key_keeps_its_place_in_a_burst(walk, session):
    at = walk(session)
    at.type("32", "enter", "ctrl+n", *"glazed", "enter", *"none", "enter")
    assert at.entered == [("width", None, "32"), ("cracks", None, "none")]
    assert 'text = "glazed"' in at.log


def test_what_follows_a_refused_text_waits_and_then_lands_in_order(walk, session):
    at = walk(session, at="jets")
    at.burst("240\rnonsense\r241\r1")
    assert at.entered == JETS[:1] and at.field == "nonsense"
    at.type("230", "enter")
    assert at.entered == JETS[:3]
    assert at.field == "1"  # typed, not entered


def test_dropping_what_waits_is_said(walk, session):
    at = walk(session, at="jets")
    at.burst("nonsense\r241\r")
    at.press("escape", "escape")
    assert "Dropped, not recorded: 241" in at.text and at.entered == []


def test_a_burst_does_not_confirm_a_caution_that_nobody_read(walk, session):
    at = walk(session)
    at.burst("32\rnone\r\ryes\r\r")
    assert at.state.step == "guard" and not at.state.known.caution_confirmed("guard")
    assert "waits, in this order: yes → Guard is on" in at.text
    at.press("enter")
    assert at.entered[-1] == ("on", None, "yes") and at.state.known.caution_confirmed("guard")


def test_a_paste_of_several_lines_is_several_readings(walk, session):
    at = walk(session, at="jets")
    at.paste("240\r\n230\t241\n1\x1b.5")
    assert at.entered == JETS[:3] and at.field == "1.5"


def test_a_paste_beyond_all_bounds_is_refused_in_words(walk, session):
    at = walk(session)
    at.paste("9" * 100_000)
    assert "The paste was not taken" in at.text and at.field == ""
    at.type("9" * 450)
    assert len(at.field) == 400 and "The field is full" in at.text


def test_what_took_the_texts_that_waited_is_said(walk, places, clock):
    with Inspection.new(places, "bench", "test-bed", "R. Tester", clock) as inspection:
        new = inspection.session.id
    at = walk(new, (120, 40))
    at.burst("32\rnonsense\rnone\r")
    assert "32 → Width · nonsense → Cracks · none → Guard is on" in at.text
    at.press("enter")
    assert "saved, it waited: 32 → Width 32 mm ✓" in at.text
    assert '"nonsense" is not one of the answers' in at.text
    assert "waits, in this order: none" in at.text
    assert at.entered == [("width", None, "32")]


def test_what_waits_stays_with_its_place_when_the_person_goes_elsewhere(walk, session):
    at = walk(session, (120, 40), at="guard")
    at.burst("yes\r")
    at.press("ctrl+g")
    at.burst("jets\r")
    assert at.state.step == "jets" and at.entered == []
    assert "waits for Guard is on (Guard): yes" in at.text
    at.burst("240\r")
    assert at.entered == JETS[:1]  # nothing that waits came with it
    at.press("pageup")
    assert at.state.step == "guard" and at.held == [("yes", True)]
    at.press("enter")  # the caution was seen before
    assert at.entered[-1] == ("on", None, "yes")


def test_back_at_its_place_what_waits_is_offered_and_not_entered(walk, session):
    at = walk(session, at="jets")
    at.burst("240\rnonsense\r241\r1\r")
    at.press("escape", "f2")  # clears the refused one, then to as left
    assert at.state.not_entered == ["241", "1"] and at.field == "" and at.held == []
    at.press("f2")
    at.go_to(CENTRE)
    assert at.field == "241" and len(at.entered) == 1
    at.press("enter")
    assert at.entered[1:] == [("main", "centre", "241"), ("main", "MAG", "1")]


def test_words_put_back_are_not_overtaken_by_what_waits(walk, session):
    at = walk(session, at="jets")
    at.burst("nonsense\r241\r")
    at.press("ctrl+n")
    at.burst("dirty\r")
    assert at.field == "nonsense" and at.held == [("241", True)] and at.entered == []


def test_leaving_with_something_that_waits_is_asked_once(walk, session):
    at = walk(session, (120, 40), at="guard")
    at.burst("yes\r")
    at.press("f10")
    assert "not saved: yes. Once more leaves without it" in at.text and at.opened == []
    at.press("f10")
    assert at.opened == ["sessions"]


def test_a_long_text_that_waits_leaves_room_for_the_others(walk, session):
    at = walk(session, (120, 40), at="guard")
    at.burst("x" * 300 + "\ryes\r")
    assert "x… → Guard is on · yes" in at.text
    assert at.state.not_entered == ["x" * 300, "yes"]


@pytest.mark.parametrize("skip", ["ctrl+s", "ctrl+t"])
def test_what_waits_at_a_caution_stays_with_its_reading_when_that_is_skipped(walk, session, skip):
    at = walk(session, (120, 40), at="guard")
    at.burst("yes\r")
    at.press(skip)
    at.burst("no guard\r")
    assert at.state.step == "jets" and at.held == []
    assert "waits for Guard is on (Guard): yes" in at.text
    at.burst("240\r")
    assert at.entered == JETS[:1]


def test_a_text_in_the_field_stays_with_its_reading_when_that_is_skipped(walk, session):
    at = walk(session, (120, 40), at="jets")
    at.burst("24")
    at.press("ctrl+s")
    at.burst("seized\r")
    assert at.target == CENTRE and at.field == "" and at.entered == []
    assert "waits for Main jet PTO (Main jets): 24" in at.text
    at.go_to(PTO)
    assert at.field == "24" and at.entered == []


def test_a_skip_that_comes_to_a_reading_with_a_waiting_text_keeps_that_text(walk, session):
    at = walk(session, (120, 40), at="jets")
    at.burst("240\rnonsense\r231\r")
    at.press("escape")  # 231 waits at centre
    at.go_to(Target("belt", "cracks"))
    for key in ("ctrl+t", "ctrl+t"):  # the belt, then the guard
        at.press(key)
        at.burst("not now\r")
    assert at.target == CENTRE and at.field == "231"
    assert at.entered == JETS[:1]


def test_what_waits_is_one_line_however_many_places_it_waits_at():
    places = [(f"Reading {number}", ["1", "2", "3", "4"]) for number in range(9)]
    text = shown((("5", False),), (), places).plain
    assert "\n" not in text
    assert "not saved, waits for Reading 0: 1 · 2 · 3 and 1 more; at 8 more places" in text
