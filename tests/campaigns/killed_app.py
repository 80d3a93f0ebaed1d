"""Campaign: the real app on a pty, readings typed at it, killed with SIGKILL at random instants.

Acknowledged is what the screen says is saved. After each kill the log must load, have no fault but
a torn tail, and hold each of those readings, in the order typed. Every start goes on with the
session that the kill before left.

    python -m tests.campaigns.killed_app --kills 300
"""

from __future__ import annotations

import argparse
import fcntl
import os
import pty
import random
import re
import select
import signal
import struct
import sys
import tempfile
import termios
import time
import traceback
from pathlib import Path
from typing import NoReturn

import pyte

from inspect_tui.cli import main as command
from inspect_tui.core.quantities import units
from inspect_tui.files.log import writer as log
from inspect_tui.tui import app as the_app
from tests.campaigns.killed import TORN_OFTEN, in_pieces, quietly

READINGS = 400
A_SESSION = 12
"""Kills before a new session is begun."""
LONGEST = 3.0
"""Seconds until the kill, at the most; the first picture comes after half of one here."""
PATIENCE = 120.0
"""Seconds until a run that shows nothing is given up."""
COLUMNS, ROWS = 80, 24
QUERIES = re.compile(rb"\x1b\[>[0-9;]*u|\x1b\[<u|\x1b\[\?[0-9;]*\$p|\x1b\[=[0-9;]*u")
SAVED = re.compile(r"saved: Width (\d+) mm")


def checklist() -> str:
    """Many steps of one reading, so that the typing never comes to an end."""
    head = 'id = "long"\ntitle = "Long"\n[[section]]\nid = "s"\ntitle = "S"\n'
    step = (
        '[[section.step]]\nid = "belt{n}"\ntitle = "Belt {n}"\n'
        '[[section.step.reading]]\nid = "width"\nlabel = "Width"\nkind = "number"\nunit = "mm"\n'
    )
    return head + "".join(step.format(n=n) for n in range(READINGS))


def _run_app(store: Path, session: str, pieces: bool) -> NoReturn:
    """In the child: the program on this terminal."""
    status = 99
    try:
        os.environ["TERM"] = "xterm-256color"
        os.environ.pop("NO_COLOR", None)
        if pieces:
            os.write = in_pieces()
        for number, name in enumerate(("stdin", "stdout", "stderr")):
            stream = open(number, "r" if number == 0 else "w", closefd=False)  # noqa: SIM115
            setattr(sys, name, stream)
            setattr(sys, f"__{name}__", stream)
        status = command(["--store", str(store), "walk", session])
    except BaseException:
        traceback.print_exc()
    finally:
        os._exit(status)  # nothing of the parent's is tidied up here


class Started:
    """The app in a child on a pty."""

    def __init__(self, store: Path, session: str, pieces: bool) -> None:
        self.raw = b""
        self.child, self.master = pty.fork()
        if self.child == 0:
            _run_app(store, session, pieces)
        fcntl.ioctl(self.master, termios.TIOCSWINSZ, struct.pack("HHHH", ROWS, COLUMNS, 0, 0))

    def read(self, seconds: float) -> None:
        ready, _, _ = select.select([self.master], [], [], seconds)
        if ready:
            try:
                self.raw += os.read(self.master, 65536)
            except OSError:  # the other end is gone
                time.sleep(0.01)

    def type_until(self, instant: float, first: int) -> int:
        """Type one number after the other until the instant; the next number."""
        number, next_line = first, 0.0
        while (now := time.monotonic()) < instant:
            if now >= next_line and b"AS FOUND" in self.raw:
                os.write(self.master, b"%d\r" % number)
                number += 1
                next_line = now + 0.06
            elif now >= next_line and b"NEXT" in self.raw:  # the plan, where a session was left
                os.write(self.master, b"\r")
                next_line = now + 0.5
            self.read(min(0.02, max(instant - now, 0)))
        return number

    def type_until_saved(self, first: int) -> int:
        """Type until the screen calls a reading saved; the next number."""
        number, end = first, time.monotonic() + PATIENCE
        while not SAVED.search(self.text()) and time.monotonic() < end:
            number = self.type_until(time.monotonic() + 0.2, number)
        return number

    def text(self) -> str:
        """What the screen says."""
        screen = pyte.Screen(COLUMNS, ROWS)
        pyte.ByteStream(screen).feed(QUERIES.sub(b"", self.raw))
        return "\n".join(screen.display)

    def kill(self) -> str:
        """Kill it; what its screen said last."""
        os.kill(self.child, signal.SIGKILL)
        os.waitpid(self.child, 0)
        while select.select([self.master], [], [], 0)[0]:
            try:
                more = os.read(self.master, 65536)
            except OSError:
                break
            if not more:
                break
            self.raw += more
        os.close(self.master)
        return self.text()


def campaign(kills: int, seed: int, folder: Path) -> tuple[int, int, int, list[str]]:
    """Run it: kills made, readings acknowledged on the screen, torn tails met, faults found."""
    rng = random.Random(seed)
    (folder / "long.toml").write_text(checklist(), encoding="utf-8")
    (folder / "bed.toml").write_text('id = "bed"\nname = "Bed"\ncylinders = ["A"]\n')
    store = folder / "store"
    faults: list[str] = []
    session, path, number, acknowledged, torn = "", folder, 1000, 0, 0
    for done in range(kills):
        if done % A_SESSION == 0:
            lists = (str(folder / "long.toml"), str(folder / "bed.toml"))
            status, session = quietly("--store", str(store), "new", *lists, "--by", "X")
            assert status == 0, session
            path = store / "sessions" / f"{session}.toml"
        app = Started(store, session, rng.randrange(TORN_OFTEN) == 0)
        first = number
        number = app.type_until(time.monotonic() + rng.uniform(0.2, LONGEST), number)
        if done == kills - 1:  # so that a slow machine's run shows something too
            number = app.type_until_saved(number)
        said = [int(found) for found in SAVED.findall(app.kill())]
        contents = log.read(path)
        torn += bool(contents.torn)
        held = [int(e.keys["entered"]) for e in contents.entries if e.kind == "reading"]
        faults += [f"kill {done}: {problem}" for problem in contents.problems]
        if held != sorted(held):
            faults.append(f"kill {done}: not in the order typed: {held}")
        acknowledged += len(said)
        # Recorded in the order typed: what the screen called saved says it of all before it.
        lost = set(range(first, max(said, default=first - 1) + 1)) - set(held)
        faults += [f"kill {done}: {one} was called saved, and is lost" for one in sorted(lost)]
    return kills, acknowledged, torn, faults


def main() -> int:
    wanted = argparse.ArgumentParser(description=__doc__)
    wanted.add_argument("--kills", type=int, default=300)
    wanted.add_argument("--seed", type=int, default=1)
    given = wanted.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        kills, said, torn, faults = campaign(given.kills, given.seed, Path(folder))
    for fault in faults[:20]:
        print(fault, file=sys.stderr)
    print(
        f"killed_app: {kills} kills, {said} screens that said saved, {torn} torn tails, "
        f"{len(faults)} faults found"
    )
    return 1 if faults else 0


# Loaded before the first fork, so that a child is killed in its work and not in its imports.
WARM = (the_app,)
units.warm_up()

if __name__ == "__main__":
    sys.exit(main())
