"""A campaign of hostile input: everything that is read from outside, fed with what it can't be.

    python -m tests.campaigns.fuzz --inputs 1000000 [--target NAME]

Each input must end in an answer or in one of the program's own errors, in bounded time and memory.
An input is made from its target, the seed and its number, so that `--first NUMBER --inputs 1`
makes it again. `guided` feeds by coverage instead, where atheris is installed.
"""

from __future__ import annotations

import argparse
import contextlib
import faulthandler
import os
import resource
import shutil
import signal
import sys
import tempfile
import time
import traceback
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType

from inspect_tui.errors import InspectError
from tests.campaigns.disk_targets import Disk
from tests.campaigns.hostile import Random
from tests.campaigns.screen_targets import Stage
from tests.campaigns.targets import Aim, of_memory

LIMIT = 2.0
"""Seconds of processor time that one input may take."""
MEMORY = 3 << 30
"""Bytes of address space in a long run."""


class TooLong(BaseException):
    """An input took longer than it may; no `except Exception` takes it for an answer."""


@dataclass
class Outcome:
    """What one target came to."""

    inputs: int = 0
    refused: int = 0
    """Answered by one of the program's own errors."""
    slowest: float = 0.0
    """Seconds of processor time."""
    slowest_is: str = ""
    seconds: float = 0.0
    faults: list[str] = field(default_factory=list)


@contextlib.contextmanager
def targets() -> Iterator[dict[str, Aim]]:
    """Every target, in a folder of its own that is also the working directory."""
    folder = Path(tempfile.mkdtemp(prefix="hostile-"))
    before = Path.cwd()
    kept = {name: os.environ.get(name) for name in ("INSPECT_TUI_TRACE", "HOME")}
    os.environ |= {"INSPECT_TUI_TRACE": "1", "HOME": str(folder)}
    os.chdir(_made(folder / "a" / "b"))
    stage = Stage(folder)
    try:
        yield of_memory() | Disk(folder).targets() | stage.targets()
    finally:
        stage.close()
        os.chdir(before)
        for name, value in kept.items():
            if value is None:
                os.environ.pop(name, None)
            else:
                os.environ[name] = value
        shutil.rmtree(folder, ignore_errors=True)


def _made(folder: Path) -> Path:
    folder.mkdir(parents=True)
    return folder


def run(
    name: str, aim: Aim, inputs: int, seed: int, first: int = 0, limit: float = LIMIT,
    most_faults: int = 20,
) -> Outcome:  # fmt: skip
    """Feed a target that many inputs; stops early when it has found many faults."""
    outcome = Outcome()
    begun = time.process_time()
    before = signal.signal(signal.SIGPROF, _too_long)
    try:
        for number in range(first, first + inputs):
            given = aim.make(Random(f"{name} {seed} {number}"))
            fault = _fed(aim, given, outcome, limit)
            if fault:
                outcome.faults.append(f"{name}, input {number}: {fault}")
                if len(outcome.faults) >= most_faults:
                    break
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)
    outcome.seconds = time.process_time() - begun
    return outcome


def _too_long(number: int, frame: FrameType | None) -> None:
    raise TooLong


def _fed(aim: Aim, given: object, outcome: Outcome, limit: float) -> str:
    """What is wrong with how one input was taken; "" where nothing is."""
    outcome.inputs += 1
    signal.setitimer(signal.ITIMER_PROF, limit)
    begun = time.process_time()
    try:
        aim.feed(given)
    except InspectError:
        outcome.refused += 1
    except TooLong:
        return f"takes longer than {limit} s: {_shown(given)}\n{_last_frames()}"
    except BaseException as error:  # whatever it is, it is a finding
        if isinstance(error, KeyboardInterrupt):
            raise
        return f"{type(error).__name__}: {str(error)[:300]} of {_shown(given)}\n{_last_frames()}"
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        took = time.process_time() - begun
        if took > outcome.slowest:
            outcome.slowest, outcome.slowest_is = took, _shown(given)[:120]
    return f"took {took:.2f} s: {_shown(given)}" if took > limit else ""


def _shown(given: object) -> str:
    shown = ascii(given)
    return shown if len(shown) <= 600 else f"{shown[:600]}... ({len(shown)} characters)"


def _last_frames() -> str:
    return "".join(traceback.format_exc(limit=-4).splitlines(keepends=True)[1:])


def shares(aims: dict[str, Aim], inputs: int) -> dict[str, int]:
    """How many inputs each target gets."""
    whole = sum(aim.weight for aim in aims.values())
    return {name: max(1, inputs * aim.weight // whole) for name, aim in aims.items()}


def main() -> int:
    """Run the campaign and print what it came to."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--inputs", type=int, default=1_000_000)
    asked.add_argument("--target", action="append", default=[])
    asked.add_argument("--seed", type=int, default=20261104)
    asked.add_argument("--first", type=int, default=0, help="number of the first input")
    given = asked.parse_args()
    faulthandler.enable()
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, resource.RLIM_INFINITY))
    faults = 0
    with targets() as aims:
        chosen = {name: aims[name] for name in given.target or aims}
        total = 0
        for name, inputs in shares(chosen, given.inputs).items():
            found = run(name, chosen[name], inputs, given.seed, given.first)
            total += found.inputs
            faults += len(found.faults)
            peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
            print(
                f"{name:12} {found.inputs:8} inputs, {found.refused:7} refused, "
                f"{len(found.faults)} faults, {found.seconds:6.1f} s, slowest "
                f"{found.slowest * 1000:6.1f} ms, memory so far {peak} MB",
                flush=True,
            )
            for fault in found.faults:
                print(f"  {fault}", flush=True)
        print(f"{total} inputs, {faults} faults")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
