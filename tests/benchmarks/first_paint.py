"""The real program on a pty: its first paint, and its slowest key press while pint warms up."""

from __future__ import annotations

import contextlib
import fcntl
import os
import pty
import select
import struct
import subprocess
import sys
import tempfile
import termios
from pathlib import Path
from time import perf_counter, sleep

from tests.benchmarks.long_log import new
from tests.benchmarks.row import Row

KEYS = 40
RUNS = 3
BARE = """
from textual.app import App
from textual.widgets import Static
class Bare(App):
    def compose(self):
        yield Static("PAINTED")
Bare().run()
"""
WALK = """
import sys, time
class Heard:
    def find_spec(self, name, path=None, target=None):
        if name == "pint":
            with open(sys.argv[1], "a") as out:
                print(time.perf_counter(), file=out)
sys.meta_path.insert(0, Heard())
from inspect_tui.cli import main
main(["walk", sys.argv[2]])
"""


class Screen:
    """A Python program on a pty; only the bytes that it draws are kept."""

    def __init__(self, code: str, arguments: list[str], env: dict[str, str]) -> None:
        self.drawn = b""
        self._master, slave = pty.openpty()
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        self._process = subprocess.Popen(
            [sys.executable, "-c", code, *arguments],
            stdin=slave, stdout=slave, stderr=slave, env=env, start_new_session=True,
        )  # fmt: skip
        os.close(slave)

    def read(self, seconds: float) -> bool:
        """Take in what was drawn; whether anything was."""
        ready, _, _ = select.select([self._master], [], [], seconds)
        if not ready:
            return False
        with contextlib.suppress(OSError):
            self.drawn += os.read(self._master, 65_536)
        return True

    def wait_for(self, wanted: bytes) -> float:
        """The moment at which this was drawn."""
        end = perf_counter() + 60
        while wanted not in self.drawn:
            assert perf_counter() < end, self.drawn[-2000:]
            self.read(0.01)
        return perf_counter()

    def echo(self, key: bytes) -> float:
        """Seconds until something is drawn after a key."""
        while self.read(0.03):
            pass
        begun = perf_counter()
        self.send(key)
        assert self.read(5.0), "a key press draws nothing"
        return perf_counter() - begun

    def send(self, data: bytes) -> None:
        """Type these bytes in one write."""
        os.write(self._master, data)

    def busy(self) -> float:
        """Seconds of processor time that the program has taken, all its threads, so far."""
        stat = Path(f"/proc/{self._process.pid}/stat").read_text(encoding="utf-8")
        user, system = stat.rpartition(")")[2].split()[11:13]
        return (int(user) + int(system)) / os.sysconf("SC_CLK_TCK")

    def close(self) -> None:
        """End the program that was started here."""
        self._process.kill()
        self._process.wait()
        os.close(self._master)


def rows() -> list[Row]:
    """Time to the first paint, against a bare screen's; the slowest echo of a key."""
    with tempfile.TemporaryDirectory() as folder:
        with new(Path(folder), "first-ride") as inspection:
            path = inspection.log.path
            for step in ("", *(step.id for step in inspection.compiled.checklist.steps)):
                inspection.cautions.confirm(step)
        env = os.environ | {
            "INSPECT_TUI_HOME": str(path.parent.parent), "TERM": "xterm-256color",
            "PYTHONPATH": str(Path(__file__).parents[2]),
        }  # fmt: skip
        bare = min(_bare(env) for _ in range(RUNS))
        runs = [_walked(path.stem, Path(folder) / f"pint{n}", env) for n in range(RUNS)]
    painted = min(run[0] for run in runs)
    after = min(run[1] for run in runs)
    slowest, quiet = min(run[2] for run in runs), min(run[3] for run in runs)
    return [
        Row(
            "first paint of walk", f"{painted * 1000:.0f} ms",
            f"{painted / bare:.2f} of a bare screen ({bare * 1000:.0f} ms)", "",
        ),
        Row(
            "pint's import begins", f"{after * 1000:.0f} ms after the first paint", "",
            "after it",
        ),
        Row(
            "slowest key press while pint warms", f"{slowest * 1000:.0f} ms",
            f"{(slowest - quiet) * 1000:.0f} ms over the slowest later ({quiet * 1000:.0f} ms)",
            "50 ms over",
        ),
    ]  # fmt: skip


def _bare(env: dict[str, str]) -> float:
    begun = perf_counter()
    screen = Screen(BARE, [], env)
    try:
        return screen.wait_for(b"PAINTED") - begun
    finally:
        screen.close()


def _walked(session: str, heard: Path, env: dict[str, str]) -> tuple[float, float, float, float]:
    """First paint; pint's import after it; the slowest key then, and when all is quiet."""
    begun = perf_counter()
    screen = Screen(WALK, [str(heard), session], env)
    try:
        painted = screen.wait_for(b"F1")
        keys = [b"5", b"\x7f"] * (KEYS // 2)
        warming = max(screen.echo(key) for key in keys)
        sleep(2)
        later = max(screen.echo(key) for key in keys)
        pint = float(heard.read_text().split()[0]) if heard.exists() else float("inf")
        return painted - begun, pint - painted, warming, later
    finally:
        screen.close()
