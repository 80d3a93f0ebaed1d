"""The real program in a real terminal: a pty that is fed raw bytes and read back as a screen."""

from __future__ import annotations

import contextlib
import fcntl
import os
import pty
import re
import select
import signal
import struct
import subprocess
import sys
import termios
import time
from pathlib import Path

import pyte
import pytest

from tests.tui.conftest import CHECKLIST, MACHINE

PATIENCE = 60.0
"""Seconds after which waiting for something on the screen is given up."""
PROGRAM = (sys.executable, "-m", "inspect_tui")
"""The program of the checkout, under this interpreter."""
QUERIES = re.compile(rb"\x1b\[>[0-9;]*u|\x1b\[<u|\x1b\[\?[0-9;]*\$p|\x1b\[=[0-9;]*u")
"""Sequences that the screen emulator would print as text."""


class Terminal:
    """One program on a pty."""

    def __init__(self, arguments, env, size=(80, 24), controlling=True, program=PROGRAM, cwd=None):
        self.columns, self.rows = size
        self.screen = pyte.Screen(*size)
        self._stream = pyte.ByteStream(self.screen)
        self.raw = b""
        master, slave = pty.openpty()
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", size[1], size[0], 0, 0))

        def lead():
            os.setsid()
            if controlling:
                fcntl.ioctl(0, termios.TIOCSCTTY, 0)

        self.process = subprocess.Popen(
            [*program, *arguments], stdin=slave, stdout=slave, stderr=slave, env=env, cwd=cwd,
            preexec_fn=lead, close_fds=True,
        )  # fmt: skip
        os.close(slave)
        self._master = master

    def send(self, data):
        """Type these bytes in one write."""
        os.write(self._master, data.encode() if isinstance(data, str) else data)

    def confirm(self, caution, wanted):
        """Confirm a caution that says this, and read until what was wanted stands there.

        The screen is drawn from the top: what is wanted may stand there from the picture before,
        so the question itself is waited for, and then that it is gone. The program takes no Enter
        that comes within a burst or before it had drawn the caution; it says so, and a person
        presses Enter again.
        """
        again = ("Read it first", "Read on to the end")

        def asked():
            return "CONFIRM FIRST" in self.text() and caution in self.text()

        def refused():
            return asked() and any(words in self.text() for words in again)

        self.wait_until(asked, f"the question after {caution!r}")
        self.send("\r")
        end = time.monotonic() + PATIENCE
        while asked():
            assert time.monotonic() < end, f"{caution!r} was not confirmed:\n{self.text()}"
            self.read()
            if refused():
                time.sleep(0.1)  # out of the burst
                self.send("\r")
                drawn = time.monotonic() + 5
                while asked() and time.monotonic() < drawn:
                    self.read()
        self.wait_for(wanted)

    def read(self, seconds=0.1):
        """Take in what the program drew."""
        ready, _, _ = select.select([self._master], [], [], seconds)
        if not ready:
            return
        with contextlib.suppress(OSError):
            data = os.read(self._master, 65536)
            self.raw += data
            self._stream.feed(QUERIES.sub(b"", data))

    def text(self):
        """The screen as it stands."""
        return "\n".join(self.screen.display)

    def wait_for(self, wanted):
        """Read until this stands on the screen."""
        self.wait_until(lambda: wanted in self.text(), wanted)

    def wait_until(self, true, what="that"):
        """Read until something holds."""
        end = time.monotonic() + PATIENCE
        while not true():
            if time.monotonic() > end:
                raise AssertionError(f"{what!r} never came:\n{self.text()}\n{self.where()}")
            self.read()

    def where(self):
        """What each of the program's threads was doing; it ends the program."""
        shown = len(self.raw)
        self.process.send_signal(signal.SIGABRT)
        end = time.monotonic() + 5
        while self.process.poll() is None and time.monotonic() < end:
            self.read()
        self.read()
        return self.raw[shown:].decode(errors="replace").replace("\r\n", "\n")

    def resize(self, columns, rows):
        """The window is drawn to another size: the line says so, and its program is told."""
        self.columns, self.rows = columns, rows
        self.screen.resize(rows, columns)
        size = struct.pack("HHHH", rows, columns, 0, 0)
        fcntl.ioctl(self._master, termios.TIOCSWINSZ, size)
        self.process.send_signal(signal.SIGWINCH)

    def hang_up(self):
        """Close the terminal's end."""
        if self._master >= 0:
            os.close(self._master)
            self._master = -1

    def end(self):
        """The program's exit status; reads on meanwhile."""
        give_up = time.monotonic() + PATIENCE
        while self.process.poll() is None:
            assert time.monotonic() < give_up, "the program did not end"
            if self._master >= 0:
                self.read()
            else:
                time.sleep(0.05)
        return self.process.returncode

    def close(self):
        """End what was started here."""
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGKILL)
            self.process.wait()
        self.hang_up()


@pytest.fixture
def store(tmp_path):
    """A store with the bench list and its machine."""
    files = (("checklists", "bench", CHECKLIST), ("machines", "test-bed", MACHINE))
    for folder, name, text in files:
        (tmp_path / folder).mkdir()
        (tmp_path / folder / f"{name}.toml").write_text(text, encoding="utf-8")
    return tmp_path


@pytest.fixture
def env(store):
    """An environment of its own."""
    package = str(Path(__file__).parents[2])
    plain = {key: value for key, value in os.environ.items() if key not in ("COLUMNS", "LINES")}
    return plain | {
        "INSPECT_TUI_HOME": str(store), "TERM": "xterm-256color", "PYTHONPATH": package,
        "PYTHONFAULTHANDLER": "1",
    }  # fmt: skip


@pytest.fixture
def session(env):
    """A new session's id."""
    ran = subprocess.run(
        [sys.executable, "-m", "inspect_tui", "new", "bench", "test-bed", "--by", "R. Tester"],
        env=env, capture_output=True, text=True, check=True,
    )  # fmt: skip
    return ran.stdout.strip()


@pytest.fixture
def terminal(env):
    """Starts the program on a pty; everything started is ended afterwards."""
    started = []

    def start(*arguments, **named):
        extra = named.pop("env", {})
        each = Terminal(arguments, env | extra, **named)
        started.append(each)
        return each

    yield start
    for each in started:
        each.close()


def asks(terminal, label, cylinder=""):
    """Wait until this reading is asked, at this cylinder."""

    def asked():
        rows = terminal.screen.display
        top = max((place for place, row in enumerate(rows) if "╭─" in row), default=len(rows))
        question = "\n".join(rows[top + 1 :])
        place = f"│  {cylinder} " if cylinder else "│ ▸"
        return f"│ {label}" in question and place in question

    terminal.wait_until(asked, f"{label} {cylinder}")


def confirmed(terminal):
    """Wait for the list's cautions and confirm them."""
    terminal.wait_for("Outdoors only")
    terminal.confirm("Outdoors only", "AS FOUND")
    return terminal


def status(env, session):
    """`status --json` of a session."""
    import json

    ran = subprocess.run(
        [sys.executable, "-m", "inspect_tui", "status", session, "--json"],
        env=env, capture_output=True, text=True, check=True,
    )  # fmt: skip
    return json.loads(ran.stdout)
