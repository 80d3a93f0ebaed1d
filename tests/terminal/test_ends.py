"""How the program ends: told to, killed, or its terminal gone; nothing acknowledged is lost."""

from __future__ import annotations

import signal
import subprocess
import sys

import pytest

from tests.terminal.conftest import confirmed, status

pytestmark = pytest.mark.terminal

SANE = (b"\x1b[?1049l", b"\x1b[?25h", b"\x1b[?1000l")
"""Normal screen, cursor shown, mouse off."""


def with_one_reading(app):
    """Record one reading and see that it is said to be saved."""
    confirmed(app)
    app.send("32\r")
    app.wait_for("saved: Width 32 mm")
    return app


def widths(env, session):
    return [row["entered"] for row in status(env, session)["readings"]]


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP, signal.SIGINT])
def test_told_to_end_it_leaves_the_terminal_sane(terminal, env, session, number):
    app = with_one_reading(terminal("walk", session))
    app.process.send_signal(number)
    assert app.end() == 128 + number
    for _ in range(5):
        app.read(0.05)
    for code in SANE:
        assert code in app.raw
    assert widths(env, session) == ["32"]


def test_killed_it_has_lost_nothing_that_it_said_was_saved(terminal, env, session):
    app = with_one_reading(terminal("walk", session))
    app.process.send_signal(signal.SIGKILL)
    assert app.end() == -signal.SIGKILL
    assert widths(env, session) == ["32"]
    again = terminal("walk", session)
    again.wait_for("Belt x[/]y: Width 32 mm")  # the plan says what was saved last
    again.send(b"\x1b")
    again.wait_for("Cracks")  # the next open reading, cautions confirmed before
    assert "Outdoors only" not in again.text()


def test_a_closed_terminal_ends_it(terminal, env, session):
    app = with_one_reading(terminal("walk", session))
    app.hang_up()
    assert app.end() != 0
    assert widths(env, session) == ["32"]


def test_a_terminal_that_vanishes_without_a_signal_ends_it(terminal, env, session):
    app = with_one_reading(terminal("walk", session, controlling=False))
    app.hang_up()
    assert app.end() == 129
    assert widths(env, session) == ["32"]


@pytest.mark.parametrize("arguments", [[], ["walk"], ["demo"]])
def test_without_a_terminal_it_says_what_to_use(env, session, arguments):
    ran = subprocess.run(
        [sys.executable, "-m", "inspect_tui", *arguments],
        env=env, capture_output=True, text=True, stdin=subprocess.DEVNULL, timeout=60,
    )  # fmt: skip
    assert ran.returncode == 2 and ran.stdout == ""
    assert "terminal" in ran.stderr and "inspect-tui sessions" in ran.stderr
    assert "Traceback" not in ran.stderr and "\x1b" not in ran.stderr


def test_a_dumb_terminal_is_refused(terminal, session):
    app = terminal("walk", session, env={"TERM": "dumb"})
    assert app.end() == 2
    app.read()
    assert b"TERM=dumb" in app.raw and b"\x1b[?1049h" not in app.raw


@pytest.mark.parametrize("term", ["linux", "vt100"])
def test_few_colours_are_enough(terminal, session, term):
    app = confirmed(terminal("walk", session, env={"TERM": term}))
    app.send("30\r")
    app.wait_for("✗ fail")


def test_hostile_text_never_reaches_the_terminal_as_a_code(terminal, env, session):
    app = confirmed(terminal("walk", session, env={"NO_COLOR": "1"}))
    app.send("30\r")
    app.wait_for("✗ fail")
    app.send(b"\x0e")
    app.wait_for("NOTE")
    app.send("x[/]y \u202e\u200b[link=http://a.b]u[/link]\r".encode())
    app.wait_for("Noted.")
    app.send(b"\x1b[17~")  # F6
    app.wait_for("x[/]y")
    assert "\u202e".encode() not in app.raw
