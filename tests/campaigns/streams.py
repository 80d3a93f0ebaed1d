"""Campaign: every command with stdout and stderr each kept, full, closed, or left by its reader.

The rule is that of `inspect_tui.commands.streams`: the status says what came of the work. An entry
that is on the disk is status 0; an answer keeps its status; only a command whose whole work is what
it prints ends with 1 where stdout takes no more, and nobody is told of a reader that left.

    python -m tests.campaigns.streams
"""

from __future__ import annotations

import itertools
import sys
import time
from collections.abc import Iterable
from pathlib import Path

from tests.campaigns.every_command import (
    ALL,
    ANSWERS,
    STREAMS,
    Example,
    contents,
    copy_of,
    in_a_child,
    stage,
)

EVERY = tuple(itertools.product(STREAMS, STREAMS))
FEW = (("full", "kept"), ("closed", "closed"), ("left", "full"))
"""What runs with the tests."""


def due_status(example: Example, out: str, printed: bool) -> int:
    """What the rule says.

    Args:
        example: The command.
        out: What stdout is.
        printed: Whether it prints anything on stdout where that is kept.
    """
    lost = printed and example.prints and out in ("full", "closed")
    return 1 if lost and example.status == 0 else example.status


def faults_of(folder: Path, example: Example, combinations: Iterable[tuple[str, str]]) -> list[str]:
    """What is wrong with one command, a sentence for each combination that is."""
    faults = []
    before = contents(folder)
    with copy_of(folder) as sound:
        kept = in_a_child(["--store", "store", *example.words], sound)
        told_there = kept.err.replace(str(sound), "")
        if kept.status != example.status or (contents(sound) != before) != example.writes:
            return [f"{' '.join(example.words)}: {kept}"]
    only_shows = bool(kept.out) and not (example.writes or example.status)
    if only_shows and example.prints == (example.name in ANSWERS):
        faults.append(f"{example.name}: say prints=True where it is declared")
    for out, err in combinations:
        with copy_of(folder) as here:
            ended = in_a_child(["--store", "store", *example.words], here, out, err)
            where = f"{' '.join(example.words)}, stdout {out}, stderr {err}"
            due = due_status(example, out, bool(kept.out))
            if ended.status != due:
                faults.append(f"{where}: status {ended.status}, due {due}: {ended.err}")
            if "program failed" in ended.err or "Traceback" in ended.err:
                faults.append(f"{where}: {ended.err}")
            if (contents(here) != before) != example.writes:
                faults.append(
                    f"{where}: {'nothing' if example.writes else 'something'} was written"
                )
            if (here / "store" / "faults").exists():
                faults.append(f"{where}: a fault was noted")
            told = err == "kept" and bool(kept.out) and out in ("full", "closed")
            if told and "was not written" not in ended.err:
                faults.append(f"{where}: nobody was told")
            if err == "kept" and out == "left" and ended.err.replace(str(here), "") != told_there:
                faults.append(f"{where}: told of a reader that left: {ended.err}")
    return faults


def main() -> int:
    """Run the campaign and print what it came to."""
    begun, cases, faults = time.monotonic(), 0, []
    with stage() as folder:
        for example in ALL:
            cases += len(EVERY)
            faults += faults_of(folder, example, EVERY)
    for fault in faults[:20]:
        print(fault)
    took = time.monotonic() - begun
    print(f"streams: {cases} cases, {len(faults)} faults found, {took:.0f} s")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
