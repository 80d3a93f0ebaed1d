"""Bursts in a real terminal: every reading in its own place, whatever stalls."""

from __future__ import annotations

import time

import pytest

from tests.terminal.conftest import asks, confirmed, status

pytestmark = pytest.mark.terminal

STALL = """
import os, time
real = os.fsync
def slow(descriptor):
    time.sleep(0.3)
    return real(descriptor)
os.fsync = slow
"""


def recorded(env, session, phase="as-found"):
    """(reading, cylinder, typed) of what stands in a phase."""
    rows = [row for row in status(env, session)["readings"] if row["phase"] == phase]
    return [(row["reading"], row["cylinder"], row["entered"]) for row in rows]


JETS = [
    ("main", "PTO", "240"), ("main", "centre", "230"), ("main", "MAG", "241"),
    ("turns", "PTO", "1"), ("turns", "centre", "1.5"), ("turns", "MAG", "2"),
]  # fmt: skip


def at_the_jets(terminal):
    """Go to the grid."""
    confirmed(terminal)
    terminal.send(b"\x07jets")
    terminal.wait_for("GO TO")
    terminal.wait_for("jets")
    terminal.send(b"\r")
    terminal.wait_for("sheet 3")
    return terminal


def test_typed_while_a_save_stalls(terminal, env, session, tmp_path):
    (tmp_path / "sitecustomize.py").write_text(STALL, encoding="utf-8")
    path = f"{tmp_path}:{env['PYTHONPATH']}"
    app = at_the_jets(terminal("walk", session, env={"PYTHONPATH": path}))
    for sign in "240\r230\r241\r1\r1.5\r2\r":
        app.send(sign)
        time.sleep(0.06)  # a slow line; nothing is judged by it
    app.wait_for("CONFIRM FIRST")
    app.send(b"\x11")
    assert app.end() == 0
    assert recorded(env, session) == JETS


def test_bursts_with_nonsense_in_one_and_a_paste_in_one_program(terminal, env, session):
    app = at_the_jets(terminal("walk", session))
    app.send("240\rnonsense\r241\r1\r")
    app.wait_for("waits, in this order: 241  ·  1")
    app.wait_for("nonsense")
    app.send(b"\x15230\r")  # clear the line, type it again
    asks(app, "Air screw", "centre")
    assert recorded(env, session) == JETS[:4]
    app.send("1.5\r2\r")
    app.wait_for("CONFIRM FIRST")  # the next step begins the engine and asks
    app.send(b"\x07jets\r")
    asks(app, "Main jet", "PTO")
    app.send("\x1bOQ")  # F2: as left
    app.wait_for("AS LEFT")
    app.send(b"\x1b[200~240\n230\n241\n1\n1.5\n2\n\x1b[201~")
    app.wait_for("Everything here is recorded as left")
    app.send(b"\x11")
    assert app.end() == 0
    assert recorded(env, session) == JETS
    assert recorded(env, session, "as-left") == JETS


def test_a_burst_before_the_cautions_are_read_waits(terminal, env, session):
    app = terminal("walk", session)
    app.send("32\rnone\r")  # before the first picture
    app.wait_for("Outdoors only")
    app.wait_for("waits, in this order: 32 → Width  ·  none →")
    assert recorded(env, session) == []
    app.confirm("Outdoors only", "Picture")
    app.wait_for("32 → Width")  # what took it is said
    app.send("\r")  # the picture is optional
    app.wait_for("Engine off.")
    app.send("yes\r\r")  # one go: the caution of this step was seen, its Enter was not meant
    app.wait_for("waits, in this order: yes")
    app.send(b"\x11\x11")
    app.end()
    assert recorded(env, session) == [("width", None, "32"), ("cracks", None, "none")]
