"""A disk that refuses, a fault in the program: said on the screen, typed text kept."""

from __future__ import annotations

from inspect_tui.errors import NotSaved
from inspect_tui.workflow.inspection import Inspection
from tests.tui.conftest import type_in


async def test_a_save_that_fails_says_so_and_keeps_the_text(job, session, monkeypatch):
    async with job(session) as pilot:
        writer = pilot.app.inspection.log._writer

        def full(*given):
            raise NotSaved("The log was not written: the disk is full.")

        monkeypatch.setattr(writer, "append", full)
        log = pilot.log()
        await type_in(pilot, "32", "enter")
        assert "the disk is full" in pilot.screen_text()
        assert pilot.app.screen.question.field.value == "32"
        assert pilot.log() == log
        assert pilot.app.screen.target.reading == "width"
        monkeypatch.undo()
        await pilot.press("enter")
        await pilot.pause()
        assert 'entered = "32"' in pilot.log()


async def test_an_unexpected_error_is_said_and_keeps_the_text(job, session, monkeypatch):
    async with job(session) as pilot:
        with monkeypatch.context() as broken:
            broken.setattr(Inspection, "record", lambda *given, **named: 1 / 0)
            await type_in(pilot, "32", "enter")
            assert "ZeroDivisionError" in pilot.screen_text()
            assert pilot.app.screen.question.field.value == "32"
        await pilot.press("enter")
        await pilot.pause()
        assert 'entered = "32"' in pilot.log()


async def test_an_error_while_drawing_does_not_end_the_program(job, session, monkeypatch):
    async with job(session) as pilot:
        with monkeypatch.context() as broken:
            broken.setattr("inspect_tui.tui.widgets.step_panel.readings", lambda *given: 1 / 0)
            await type_in(pilot, "32", "enter")
            assert 'entered = "32"' in pilot.log()
            assert "ZeroDivisionError" in pilot.screen_text()
        await type_in(pilot, "none", "enter")
        assert pilot.app.is_running and 'entered = "none"' in pilot.log()


async def test_a_session_that_another_program_writes_opens_for_reading(job, places, clock, session):
    with Inspection.open(places, session, clock):
        async with job(session) as pilot:
            assert "reading only" in pilot.screen_text()
            await type_in(pilot, "32", "enter")
            assert pilot.app.screen.question.field.value == "32"
            assert 'kind = "reading"' not in pilot.log()


async def test_quitting_with_something_typed_asks_once(job, session):
    async with job(session) as pilot:
        await type_in(pilot, "32", "ctrl+q")
        assert pilot.app.is_running and "not entered" in pilot.screen_text()
        await pilot.press("ctrl+q")
        await pilot.pause()
        assert pilot.app._exit
