"""Campaign: commands that record, killed with SIGKILL at random instants.

After each kill the log must load, have no fault but a torn tail, and hold every reading that was
acknowledged (the command had come back with status 0). The next command must mend a torn tail and
go on.

    python -m tests.campaigns.killed --kills 10000
"""

from __future__ import annotations

import argparse
import io
import os
import random
import signal
import sys
import tempfile
import time
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path

from inspect_tui import commands
from inspect_tui.cli import main
from inspect_tui.commands import inspect, sessions
from inspect_tui.core.quantities import units
from inspect_tui.files.log import writer as log
from tests.campaigns import short_list

A_SESSION = 40
"""Kills before a new session is begun, so that logs stay short and creation is hit too."""
LONGEST = 0.03
"""Seconds until the kill, at the most; a record takes a few milliseconds here."""

TORN_OFTEN = 3
"""In one child of so many the system takes each write in small pieces, as it may."""
PIECE = 24
"""Bytes; what is told to the campaign is shorter."""


def quietly(*arguments: str) -> tuple[int, str]:
    """One command in this process: its status, and what it printed, or its words on a failure."""
    out, words = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(words):
        status = main(arguments)
    return status, (out if status == 0 else words).getvalue().strip()


def in_pieces(real=os.write):
    """os.write that takes a few bytes at a time, so that a kill falls in the middle of an entry."""

    def write(descriptor, data):
        time.sleep(0.0005)
        return real(descriptor, bytes(data)[:PIECE])

    return write


def _record_until_killed(store: str, session: str, first: int, told: int, pieces: bool) -> None:
    """In the child: record one value after the other, and tell each that was acknowledged."""
    if pieces:
        os.write = in_pieces()
    number = first
    while True:
        status, said = quietly("--store", store, "record", session, f"belt.width={number}")
        if status != 0:
            os.write(told, f"! {said}\n".encode())
            os._exit(1)
        os.write(told, f"{number}\n".encode())
        number += 1


def kill_one(store: Path, session: str, first: int, rng: random.Random) -> list[int]:
    """Start a child, kill it at a random instant; the numbers that it acknowledged."""
    pieces = rng.randrange(TORN_OFTEN) == 0
    hear, told = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(hear)
        _record_until_killed(str(store), session, first, told, pieces)
    os.close(told)
    time.sleep(rng.uniform(0, LONGEST))
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    with os.fdopen(hear, "rb") as heard:
        lines = heard.read().decode().splitlines()
    refused = [line for line in lines if line.startswith("!")]
    if refused:
        raise AssertionError(f"a record was refused: {refused[0]}")
    return [int(line) for line in lines]


def faults_of(path: Path, acknowledged: set[int]) -> tuple[list[str], set[int]]:
    """What is wrong with a log after a kill, and every number that it holds."""
    contents = log.read(path)
    held = {int(entry.keys["entered"]) for entry in contents.entries if entry.kind == "reading"}
    faults = list(contents.problems)
    if lost := acknowledged - held:
        faults.append(f"lost {sorted(lost)}")
    return faults, held


def campaign(kills: int, seed: int, folder: Path) -> tuple[int, int, list[str]]:
    """Run it: kills made, torn tails met, faults found."""
    rng = random.Random(seed)
    lists = short_list.put(folder)
    store = folder / "store"
    faults: list[str] = []
    torn = 0
    session, acknowledged, number = "", set[int](), 1
    for done in range(kills):
        if done % A_SESSION == 0:
            status, session = quietly("--store", str(store), "new", *lists, "--by", "X")
            assert status == 0, session
            acknowledged = set()
        acknowledged |= set(kill_one(store, session, number, rng))
        path = store / "sessions" / f"{session}.toml"
        torn += bool(log.read(path).torn)
        found, held = faults_of(path, acknowledged)
        faults.extend(f"kill {done}: {fault}" for fault in found)
        acknowledged |= held
        number = max(held, default=number) + 1
    return kills, torn, faults


def run() -> int:
    """The command line."""
    wanted = argparse.ArgumentParser(description=__doc__)
    wanted.add_argument("--kills", type=int, default=1000)
    wanted.add_argument("--seed", type=int, default=1)
    given = wanted.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        begun = time.monotonic()
        kills, torn, faults = campaign(given.kills, given.seed, Path(folder))
    for fault in faults[:20]:
        print(fault)
    took = time.monotonic() - begun
    print(f"killed: {kills} kills, {torn} torn tails, {len(faults)} faults found, {took:.0f} s")
    return 1 if faults else 0


# Loaded before the first fork, so that a child is killed in its work and not in its imports.
WARM = (commands, sessions, inspect)
units.warm_up()

if __name__ == "__main__":
    sys.exit(run())
