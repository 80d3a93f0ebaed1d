"""A session is opened beside the screen: keys wait in order, leaving works, the lock comes back."""

from __future__ import annotations

import threading
import time
from contextlib import asynccontextmanager

import pytest
from textual import events

from inspect_tui.errors import BadInput
from inspect_tui.files.log.writer import Writer
from inspect_tui.tui.app import make_app
from inspect_tui.tui.loading import session_loader
from inspect_tui.tui.screens.start import StartScreen
from inspect_tui.tui.walk.screen import WalkScreen
from inspect_tui.workflow.inspection import Inspection
from tests.tui.conftest import screen_text

PATIENCE = 60.0
"""Seconds."""


class Held:
    """Holds every opening up, behind its lock, until it is let go."""

    def __init__(self, monkeypatch, error=None):
        self.reached, self.let_go = threading.Event(), threading.Event()
        really = session_loader.open_session

        def held_up(wanted):
            opened = really(wanted)
            self.reached.set()
            self.let_go.wait()
            if error is not None:
                opened.inspection.close()
                raise error
            return opened

        monkeypatch.setattr(session_loader, "open_session", held_up)


@pytest.fixture
def slow(monkeypatch):
    held = Held(monkeypatch)
    yield held
    held.let_go.set()


@asynccontextmanager
async def at_the_opening(places, clock, session, slow, size=(80, 24)):
    """The app while its session is on its way."""
    app = make_app(places, clock, session=session)
    try:
        async with app.run_test(size=size, notifications=True) as pilot:
            await until(pilot, slow.reached.is_set)
            yield pilot
    finally:
        slow.let_go.set()


def type_now(app, *keys):
    """Press keys in one go: a text is typed sign by sign, a name in a tuple is a key."""
    for key in keys:
        if isinstance(key, tuple):
            app.post_message(events.Key(key[0], None))
        else:
            for sign in key:
                app.post_message(events.Key("space" if sign == " " else sign, sign))


async def until(pilot, true):
    """Wait until something holds; given up when it never will."""
    end = time.monotonic() + PATIENCE
    while not true():
        assert time.monotonic() < end, screen_text(pilot.app)
        await pilot.pause()


ENTER, NOTE, LATER = ("enter",), ("ctrl+n",), ("f3",)


@pytest.mark.parametrize("size", [(80, 24), (40, 20)])
async def test_it_says_what_is_being_opened(places, clock, session, slow, size):
    async with at_the_opening(places, clock, session, slow, size) as pilot:
        text = screen_text(pilot.app)
        assert "Opening" in text and session[:20] not in text  # no id on a screen
        assert "The session is being opened." in text and "typed now waits" in text


async def test_whatever_is_typed_meanwhile_waits_in_its_order(places, clock, session, slow):
    async with at_the_opening(places, clock, session, slow, (120, 40)) as pilot:
        app = pilot.app
        type_now(app, "32", ENTER, "no", NOTE, "glazed", ENTER, "ne", ENTER)
        screen = app.screen
        await until(pilot, lambda: screen.early.line.early_rest.endswith("Enter"))
        await pilot.pause()
        shown = " ".join(screen_text(app).split())
        assert "waits, in this order: 32 · Ctrl+N glazed Enter ne Enter" in shown
        assert screen.question.field.value == "no"
        slow.let_go.set()
        await until(pilot, lambda: screen.view is not None)
        rows = sorted(screen.walk.state.known.results.readings, key=lambda row: row.n)
        assert [(row.reading, row.entered) for row in rows] == [("width", "32"), ("cracks", "none")]
        assert [note.text for note in screen.walk.state.known.session.notes] == ["glazed"]
        assert not screen.not_entered


async def test_a_paste_behind_a_key_waits_with_it(places, clock, session, slow):
    async with at_the_opening(places, clock, session, slow) as pilot:
        app, screen = pilot.app, pilot.app.screen
        type_now(app, ("ctrl+g",), "jets", ENTER)
        app.post_message(events.Paste("240\n230\n"))
        await until(pilot, lambda: "240" in screen.early.line.early_rest)
        slow.let_go.set()
        await until(pilot, lambda: screen.view is not None)
        rows = [
            (row.step, row.cylinder, row.entered)
            for row in screen.walk.state.known.results.readings
        ]
        assert rows == [("jets", "PTO", "240"), ("jets", "centre", "230")]


async def test_a_refused_text_does_not_swallow_the_one_behind_it(places, clock, session, slow):
    async with at_the_opening(places, clock, session, slow) as pilot:
        screen = pilot.app.screen
        type_now(pilot.app, "nonsense", ENTER, "non")
        await until(pilot, lambda: screen.question.field.value == "non")
        slow.let_go.set()
        await until(pilot, lambda: screen.view is not None)
        assert screen.question.field.value == "nonsense"
        assert screen.walk.state.queue.here == (("non", False),)


async def test_escape_takes_back_what_waits_for_the_session(places, clock, session, slow):
    async with at_the_opening(places, clock, session, slow) as pilot:
        screen = pilot.app.screen
        type_now(pilot.app, "32", ENTER, NOTE, "x")
        await until(pilot, lambda: screen.early.line.early_rest == "Ctrl+N x")
        await pilot.press("escape")
        assert screen.not_entered == ["32"]
        await pilot.press("escape")
        assert screen.not_entered == []
        assert "Dropped, not recorded: 32" in screen_text(pilot.app)


async def test_quitting_meanwhile_gives_the_lock_back(places, clock, session, slow):
    async with at_the_opening(places, clock, session, slow) as pilot:
        with pytest.raises(Exception, match="is being written by"):
            Writer.open(places.log(session), wait=0)
        await pilot.press("ctrl+q")
        assert pilot.app._exit
        slow.let_go.set()
    Inspection.open(places, session, clock).close()
    assert not list(places.sessions.glob("*.owner"))


async def test_back_to_the_start_meanwhile_and_in_again(places, clock, session, slow):
    async with at_the_opening(places, clock, session, slow) as pilot:
        app = pilot.app
        await pilot.press("f10")
        await until(pilot, lambda: isinstance(app.screen, StartScreen))
        app.screen.post_message(StartScreen.Chosen(session))
        await until(pilot, lambda: isinstance(app.screen, WalkScreen))
        slow.let_go.set()
        await until(pilot, lambda: app.screen.view is not None)
        assert (
            not app.screen.walk.state.known.read_only
        )  # the opening that was left had given it back
        assert "being written" not in screen_text(app)


async def test_what_cannot_be_opened_is_said_with_what_was_typed(
    places, clock, session, monkeypatch
):
    slow = Held(monkeypatch, BadInput("The log is gone x[/]y."))
    async with at_the_opening(places, clock, session, slow, (100, 30)) as pilot:
        app = pilot.app
        type_now(app, "32", ENTER, "no")
        await until(pilot, lambda: app.screen.question.field.value == "no")
        slow.let_go.set()
        await until(pilot, lambda: isinstance(app.screen, StartScreen))
        await pilot.pause()
        said = [note.message for note in app._notifications]
        assert said == ["The log is gone x[/]y. Typed meanwhile and not recorded: 32, no."]


async def test_an_unexpected_fault_is_said_too(places, clock, session, monkeypatch):
    slow = Held(monkeypatch, KeyError("x"))
    async with at_the_opening(places, clock, session, slow) as pilot:
        slow.let_go.set()
        await until(pilot, lambda: isinstance(pilot.app.screen, StartScreen))
        assert "KeyError" in next(iter(pilot.app._notifications)).message


def test_a_fault_while_it_is_taken_up_again_is_said_and_gives_the_log_back(
    places, clock, session, monkeypatch
):
    monkeypatch.setattr(Inspection, "resume", lambda self: 1 / 0)
    alone = session_loader.Opening(session_loader.Wanted(session, places, clock))
    alone.run()
    opened = alone.take()
    assert opened is not None and opened.inspection is None
    assert "ZeroDivisionError" in opened.error
    Inspection.open(places, session, clock).close()


def test_openings_end_in_their_order_also_those_that_were_left(places, clock, session, slow):
    wanted = session_loader.Wanted(session, places, clock)
    first = session_loader.Opening(wanted)
    threads = [threading.Thread(target=first.run, daemon=True)]
    threads[0].start()
    assert slow.reached.wait(20)
    first.leave()
    second = session_loader.Opening(wanted, first)
    second.leave()
    third = session_loader.Opening(wanted, second)
    for each in (second, third):
        threads.append(threading.Thread(target=each.run, daemon=True))
        threads[-1].start()
    threads[1].join(0.3)
    assert second.running and third.running  # the first one still holds the log
    slow.let_go.set()
    for thread in threads:
        thread.join(20)
    opened = third.take()
    assert opened is not None and opened.inspection is not None and opened.said == ()
    opened.inspection.close()
