"""What is typed ahead of something not seen yet: in order, never joined, never lost.

These post keys in one go, as a slow line or a wand does; the real terminal is tried in
`tests/terminal`.
"""

from __future__ import annotations

import pytest
from textual import events

from inspect_tui.core.model.targets import Target
from inspect_tui.workflow.inspection import Inspection
from tests.tui.conftest import LOOK_UP, type_in


def entered(pilot):
    """(reading, cylinder, typed) of every reading entry in the log, in order."""
    screen = pilot.app.screen
    rows = sorted(screen.known.results.readings, key=lambda row: row.n)
    return [(row.reading, row.cylinder, row.entered) for row in rows]


async def burst(pilot, text):
    """Keys in one read: CR is Enter, DEL is Backspace, LF and TAB as they are."""
    names = {"\r": "enter", "\n": "ctrl+j", "\t": "tab", "\x7f": "backspace", " ": "space"}
    for sign in text:
        name = names.get(sign, sign)
        pilot.app.post_message(events.Key(name, sign if sign.isprintable() else None))
    await pilot.pause(LOOK_UP)
    await pilot.pause()


@pytest.mark.parametrize("end", ["\r", "\n", "\r\n", "\t"])
async def test_each_of_a_burst_lands_in_its_own_reading(job, session, end):
    async with job(session) as pilot:
        pilot.app.screen.go_to_step("jets")
        await burst(pilot, end.join(["240", "230", "241", "1", "1.5", "2"]) + end)
        assert entered(pilot) == [
            ("main", "PTO", "240"), ("main", "centre", "230"), ("main", "MAG", "241"),
            ("turns", "PTO", "1"), ("turns", "centre", "1.5"), ("turns", "MAG", "2"),
        ]  # fmt: skip


async def test_editing_keys_keep_their_place_in_a_burst(job, session):
    async with job(session) as pilot:
        await burst(pilot, "31\x7f2\rnone\r")
        assert entered(pilot) == [("width", None, "32"), ("cracks", None, "none")]


async def test_a_command_key_keeps_its_place_in_a_burst(job, session):
    async with job(session) as pilot:
        app = pilot.app
        await type_in(pilot, "32", "enter", "ctrl+n")
        for sign in "glazed":
            app.post_message(events.Key(sign, sign))
        app.post_message(events.Key("enter", None))
        await burst(pilot, "none\r")
        assert entered(pilot) == [("width", None, "32"), ("cracks", None, "none")]
        assert 'text = "glazed"' in pilot.log()


async def test_what_follows_a_refused_text_waits_and_then_lands_in_order(job, session):
    async with job(session) as pilot:
        pilot.app.screen.go_to_step("jets")
        await burst(pilot, "240\rnonsense\r241\r1")
        assert entered(pilot) == [("main", "PTO", "240")]
        assert pilot.app.screen.question.field.value == "nonsense"
        await type_in(pilot, "230", "enter")
        assert entered(pilot)[1:] == [("main", "centre", "230"), ("main", "MAG", "241")]
        assert pilot.app.screen.question.field.value == "1"  # typed, not entered


async def test_dropping_what_waits_is_said(job, session):
    async with job(session) as pilot:
        pilot.app.screen.go_to_step("jets")
        await burst(pilot, "nonsense\r241\r")
        await pilot.press("escape", "escape")
        await pilot.pause()
        assert "Dropped, not recorded: 241" in pilot.screen_text()
        assert entered(pilot) == []


async def test_a_burst_does_not_confirm_a_caution_that_nobody_read(job, session):
    async with job(session) as pilot:
        await burst(pilot, "32\rnone\r\ryes\r\r")
        screen = pilot.app.screen
        assert screen.at == "guard" and not screen.known.caution_confirmed("guard")
        assert "waits, in this order: yes → Guard is on" in pilot.screen_text()
        await pilot.press("enter")
        await pilot.pause()
        assert entered(pilot)[-1] == ("on", None, "yes")
        assert screen.known.caution_confirmed("guard")


async def test_a_paste_of_several_lines_is_several_readings(job, session):
    async with job(session) as pilot:
        pilot.app.screen.go_to_step("jets")
        pilot.app.post_message(events.Paste("240\r\n230\t241\n1\x1b.5"))
        await pilot.pause(LOOK_UP)
        assert [row[2] for row in entered(pilot)] == ["240", "230", "241"]
        assert pilot.app.screen.question.field.value == "1.5"


async def test_a_paste_beyond_all_bounds_is_refused_in_words(job, session):
    async with job(session) as pilot:
        pilot.app.post_message(events.Paste("9" * 100_000))
        await pilot.pause(LOOK_UP)
        assert "The paste was not taken" in pilot.screen_text()
        assert pilot.app.screen.question.field.value == ""


async def test_keys_before_the_session_is_open_wait_for_it(places, clock, session):
    from inspect_tui.tui.app import make_app

    app = make_app(places, clock, session=session)
    async with app.run_test(size=(80, 24)) as pilot:
        for sign in "32\rnone\r":
            app.post_message(events.Key("enter" if sign == "\r" else sign, sign))
        await app.workers.wait_for_complete()
        for _ in range(200):
            await pilot.pause(LOOK_UP)
            if app.screen.view is not None and not app.screen.held:
                break
        assert entered(pilot) == [("width", None, "32"), ("cracks", None, "none")]


async def test_what_took_the_texts_that_waited_is_said(places, clock, job):
    with Inspection.new(places, "bench", "test-bed", "R. Tester", clock) as inspection:
        new = inspection.session.id
    async with job(new, (120, 40)) as pilot:
        await burst(pilot, "32\rnonsense\rnone\r")
        assert "32 → Width  ·  nonsense → Cracks  ·  none → Guard is on" in pilot.screen_text()
        await pilot.press("enter")
        await pilot.pause()
        text = pilot.screen_text()
        assert "saved, of what waited: 32 → Width 32 mm ✓" in text
        assert '"nonsense" is not one of the answers' in text
        assert "waits, in this order: none" in text
        assert entered(pilot) == [("width", None, "32")]


async def test_what_waits_stays_with_its_place_when_the_person_goes_elsewhere(job, session):
    async with job(session, (120, 40)) as pilot:
        screen = pilot.app.screen
        screen.go_to_step("guard")
        await burst(pilot, "yes\r")
        await pilot.press("ctrl+g")
        await burst(pilot, "jets\r")
        assert screen.at == "jets" and entered(pilot) == []
        assert "waits for Guard is on (Guard): yes" in pilot.screen_text()
        await burst(pilot, "240\r")
        assert entered(pilot) == [("main", "PTO", "240")]  # nothing that waits came with it
        await pilot.press("pageup")
        assert screen.at == "guard" and screen.held == [("yes", True)]
        await pilot.press("enter")  # the caution was seen before
        await pilot.pause()
        assert entered(pilot)[-1] == ("on", None, "yes")


async def test_back_at_its_place_what_waits_is_offered_and_not_entered(job, session):
    async with job(session) as pilot:
        screen = pilot.app.screen
        screen.go_to_step("jets")
        await burst(pilot, "240\rnonsense\r241\r1\r")
        await pilot.press("escape", "f2")  # clears the refused one, then to as left
        assert screen.not_entered() == ["241", "1"]
        assert screen.question.field.value == "" and screen.held == []
        await pilot.press("f2")
        screen.go_to_target(Target("jets", "main", "centre"))
        await pilot.pause()
        assert screen.question.field.value == "241" and len(entered(pilot)) == 1
        await pilot.press("enter")
        await pilot.pause()
        assert entered(pilot)[1:] == [("main", "centre", "241"), ("main", "MAG", "1")]


async def test_words_put_back_are_not_overtaken_by_what_waits(job, session):
    async with job(session) as pilot:
        screen = pilot.app.screen
        screen.go_to_step("jets")
        await burst(pilot, "nonsense\r241\r")
        await pilot.press("ctrl+n")
        await burst(pilot, "dirty\r")
        assert screen.question.field.value == "nonsense" and screen.held == [("241", True)]
        assert entered(pilot) == []


async def test_leaving_with_something_that_waits_is_asked_once(job, session):
    async with job(session, (120, 40)) as pilot:
        pilot.app.screen.go_to_step("guard")
        await burst(pilot, "yes\r")
        await pilot.press("f10")
        assert "F10 again leaves without it" in pilot.screen_text()
        await pilot.press("f10")
        assert pilot.app.inspection is None


async def test_a_long_text_that_waits_leaves_room_for_the_others(job, session):
    async with job(session, (120, 40)) as pilot:
        pilot.app.screen.go_to_step("guard")
        await burst(pilot, "x" * 300 + "\ryes\r")
        assert "x… → Guard is on  ·  yes" in pilot.screen_text()
        assert pilot.app.screen.not_entered() == ["x" * 300, "yes"]


@pytest.mark.parametrize("skip", ["ctrl+s", "ctrl+t"])
async def test_what_waits_at_a_caution_stays_with_its_reading_when_that_is_skipped(
    job, session, skip
):
    async with job(session, (120, 40)) as pilot:
        screen = pilot.app.screen
        screen.go_to_step("guard")
        await burst(pilot, "yes\r")
        await pilot.press(skip)
        await burst(pilot, "no guard\r")
        assert screen.at == "jets" and screen.held == []
        assert "waits for Guard is on (Guard): yes" in pilot.screen_text()
        await burst(pilot, "240\r")
        assert entered(pilot) == [("main", "PTO", "240")]


async def test_a_text_in_the_field_stays_with_its_reading_when_that_is_skipped(job, session):
    async with job(session, (120, 40)) as pilot:
        screen = pilot.app.screen
        screen.go_to_step("jets")
        await burst(pilot, "24")
        await pilot.press("ctrl+s")
        await burst(pilot, "seized\r")
        assert screen.target == Target("jets", "main", "centre")
        assert screen.question.field.value == "" and entered(pilot) == []
        assert "waits for Main jet PTO (Main jets): 24" in pilot.screen_text()
        screen.go_to_target(Target("jets", "main", "PTO"))
        await pilot.pause()
        assert screen.question.field.value == "24" and entered(pilot) == []


async def test_a_skip_that_comes_to_a_reading_with_a_waiting_text_keeps_that_text(job, session):
    async with job(session, (120, 40)) as pilot:
        screen = pilot.app.screen
        screen.go_to_step("jets")
        await burst(pilot, "240\rnonsense\r231\r")
        await pilot.press("escape")  # 231 waits at centre
        screen.go_to_target(Target("belt", "cracks", None))
        await pilot.pause()
        for key in ("ctrl+t", "ctrl+t"):  # the belt, then the guard
            await pilot.press(key)
            await burst(pilot, "not now\r")
        assert screen.target == Target("jets", "main", "centre")
        assert screen.question.field.value == "231"
        assert entered(pilot) == [("main", "PTO", "240")]
