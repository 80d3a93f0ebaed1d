"""A disk that refuses, a fault in the program: said on the screen, typed text kept."""

from __future__ import annotations

from inspect_tui.errors import NotSaved
from inspect_tui.workflow.inspection import Inspection
from tests.tui.conftest import type_in


def test_an_unexpected_error_is_said_and_keeps_the_text(walk, session, monkeypatch):
    at = walk(session)
    with monkeypatch.context() as broken:
        broken.setattr(Inspection, "record", lambda *given, **named: 1 / 0)
        at.type("32", "enter")
        assert "ZeroDivisionError" in at.text and at.field == "32"
    at.press("enter")
    assert at.entered == [("width", None, "32")]


def test_a_fault_in_an_action_is_said_and_keeps_the_text(walk, session, monkeypatch):
    at = walk(session)
    at.type("32")
    with monkeypatch.context() as broken:
        broken.setattr("inspect_tui.tui.base.reading_order.next_finding", lambda *given: 1 / 0)
        at.press("f4")
        assert "ZeroDivisionError" in at.text and at.field == "32"
    at.press("enter")
    assert at.entered == [("width", None, "32")]


async def test_an_error_while_drawing_does_not_end_the_program(job, session, monkeypatch):
    async with job(session) as pilot:
        with monkeypatch.context() as broken:
            broken.setattr("inspect_tui.tui.widgets.step_panel.readings", lambda *given: 1 / 0)
            await type_in(pilot, "32", "enter")
            assert 'entered = "32"' in pilot.log()
            assert "ZeroDivisionError" in pilot.screen_text()
        await type_in(pilot, "none", "enter")
        assert pilot.app.is_running and 'entered = "none"' in pilot.log()


async def test_a_save_that_fails_says_so_on_the_screen_and_keeps_the_text(
    job, session, monkeypatch
):
    async with job(session) as pilot:

        def full(*given, **named):
            raise NotSaved("The log was not written: the disk is full.")

        with monkeypatch.context() as broken:
            broken.setattr(Inspection, "record", full)
            log = pilot.log()
            await type_in(pilot, "32", "enter")
            assert "the disk is full" in pilot.screen_text() and pilot.log() == log
            assert pilot.app.screen.question.field.value == "32"
            assert pilot.app.screen.walk.state.target.reading == "width"
        await pilot.press("enter")
        await pilot.pause()
        assert 'entered = "32"' in pilot.log()


async def test_a_session_that_another_program_writes_opens_for_reading(job, places, clock, session):
    with Inspection.open(places, session, clock):
        async with job(session) as pilot:
            assert "reading only" in pilot.screen_text()
            await type_in(pilot, "32", "enter")
            assert pilot.app.screen.question.field.value == "32"
            assert 'kind = "reading"' not in pilot.log()


def test_quitting_with_something_typed_asks_once(walk, session):
    at = walk(session)
    at.type("32", "ctrl+q")
    assert not at.ended and "not entered: 32" in at.text
    at.press("ctrl+q")
    assert at.ended


async def test_quitting_twice_ends_the_program(job, session):
    async with job(session) as pilot:
        await type_in(pilot, "32", "ctrl+q")
        assert pilot.app.is_running and "not entered" in pilot.screen_text()
        await pilot.press("ctrl+q")
        await pilot.pause()
        assert pilot.app._exit
