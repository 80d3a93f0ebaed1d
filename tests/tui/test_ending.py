"""A fault that nothing caught ends the app in words, and its details are in a file."""

from __future__ import annotations

import pytest
from textual._xterm_parser import XTermParser
from textual.events import Key

from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.driver.resilient_parser import Reports
from inspect_tui.tui.walk.screen import WalkScreen


def keys_of(text):
    """The keys that come of these signs."""
    got = []
    reports = Reports(XTermParser, got.append)
    reports.feed(text)
    return [event.key for event in got if isinstance(event, Key)]


@pytest.mark.parametrize("odd", ["\x1b[1;1:3A", "\x1b[99999999999999999999u", "\x1b[1;1:3A" * 3])
def test_an_odd_report_takes_none_of_the_keys_with_it(odd):
    assert keys_of(f"31{odd}.7\r") == ["3", "1", "full_stop", "7", "enter"]


def test_a_window_of_no_pixels_is_passed_over():
    assert keys_of("a\x1b[48;24;80;0;0t\x1b[<0;5;5Mb") == ["a", "b"]


@pytest.fixture
def broken(monkeypatch):
    """A screen that fails where nothing catches it."""

    def fail(self):
        raise ZeroDivisionError("a fault x[/]y \x1b[2J")

    monkeypatch.setattr(WalkScreen, "on_mount", fail, raising=False)


def test_the_command_says_one_sentence(run, session, places, broken, monkeypatch):
    """The app under Pilot, as `walk` runs it."""
    monkeypatch.delenv("INSPECT_TUI_TRACE")
    monkeypatch.setattr("inspect_tui.tui.driver.terminal.check", lambda: None)
    usual = InspectApp.run
    monkeypatch.setattr(InspectApp, "run", lambda self: usual(self, headless=True, size=(80, 24)))
    ran = run("--store", str(places.store), "walk", session)
    assert ran.status == 2 and ran.out == ""
    assert "The program failed (ZeroDivisionError: a fault x[/]y" in ran.err
    assert "\x1b" not in ran.err and "Traceback" not in ran.err
    assert f"the logs under {places.store}" in ran.err
    (details,) = (places.store / "faults").iterdir()
    assert str(details) in ran.err
    assert details.stat().st_mode & 0o777 == 0o600
    assert "in fail" in details.read_text(encoding="utf-8")
