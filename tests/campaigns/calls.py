"""Campaign: every system call of every writing command, where it is killed or gets an error.

After a kill every log must hold all that was acknowledged before, have no fault but a torn tail,
and nothing may stand under its own name in part. The same command again must then do its work, or
say that it is done; and after it nothing that was left lying is there any more. A call that fails
must be said, and what is said to be done be done.

    python -m tests.campaigns.calls
"""

from __future__ import annotations

import argparse
import builtins
import contextlib
import errno
import hashlib
import io
import os
import random
import signal
import sys
import time
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from inspect_tui.errors import InspectError
from inspect_tui.files import new_file
from inspect_tui.files.bundle import bundle
from inspect_tui.files.log import writer as log
from tests.campaigns.every_command import (
    ALL,
    BROKEN,
    EXAMPLES,
    TORN,
    Ended,
    Example,
    copy_of,
    in_a_child,
    stage,
)

CALLS = (
    "open", "write", "fsync", "ftruncate", "close", "mkdir", "link", "rename", "replace", "unlink",
    "dup", "fstat",
)  # fmt: skip
READS = ("stat", "lstat", "scandir")
"""Looked at by the campaign that is run by hand, where the disk may refuse these too."""
KILLED = 0
"""In place of an error's number."""
HALF = -1
"""Killed after half of a write."""
ERRORS = (errno.ENOSPC, errno.EIO, errno.EROFS, errno.EACCES, errno.EINTR)
BESIDE = (".lock", ".owner", ".owner-new", ".held")
"""A courtesy: nothing depends on them."""
WRITING = tuple(example for example in EXAMPLES if example.writes)
"""With the tests; the campaign takes `ALL`."""


@dataclass(frozen=True)
class Plan:
    """Which call, and what becomes of it."""

    nth: int
    how: int
    """KILLED, HALF, or the number of an error."""
    lasting: bool = False
    """Whether every later call fails too."""


class Layer:
    """The calls of `os` on files below a folder, counted, one of them as planned."""

    names = CALLS

    def __init__(self, root: Path, plan: Plan, told: int) -> None:
        self.root, self.plan, self.told = root, plan, told
        self.real = {name: getattr(os, name) for name in self.names}
        self.mine: set[int] = set()
        self.count = 0
        self.on = True

    def install(self) -> None:
        """In a child, which never takes it off."""
        for name in self.names:
            setattr(os, name, self._stand_in(name))
        io.open = builtins.open = self._opening(io.open)  # type: ignore[assignment]

    def _opening(self, real: Callable[..., object]) -> Callable[..., object]:
        """Python's own way to open a file by its name; it does not go by `os`."""

        def call(first, *rest, **named):
            if self.on and not isinstance(first, int) and self._ours(first):
                self._as_planned("open", first, rest)
            return real(first, *rest, **named)

        return call

    def _ours(self, first: object) -> bool:
        if isinstance(first, int):
            return first in self.mine
        path = Path(os.fsdecode(first)).absolute()  # type: ignore[arg-type]
        return path.is_relative_to(self.root) and not path.name.endswith(BESIDE)

    def _stand_in(self, name: str) -> Callable[..., object]:
        real = self.real[name]

        def call(first, *rest, **named):
            there = name == "mkdir" and Path(first).is_dir()
            ours = self.on and not there and self._ours(first)
            if ours:
                self._as_planned(name, first, rest)
            made = real(first, *rest, **named)
            if ours and name in ("open", "dup"):
                self.mine.add(made)
            elif name == "close":
                self.mine.discard(first)
            return made

        return call

    def _as_planned(self, name: str, first: object, rest: tuple[object, ...]) -> None:
        self.count += 1
        plan = self.plan
        if self.count < plan.nth or (self.count > plan.nth and not plan.lasting):
            return
        if self.count == plan.nth:
            self.real["write"](self.told, name.encode())
        if plan.how == HALF and name == "write":
            data = bytes(rest[0])  # type: ignore[arg-type]
            self.real["write"](first, data[: len(data) // 2])
        if plan.how in (KILLED, HALF):
            os.kill(os.getpid(), signal.SIGKILL)
        if name == "close":  # the system closes it all the same
            self.real["close"](first)
            self.mine.discard(first)  # type: ignore[arg-type]
        raise OSError(plan.how, os.strerror(plan.how))


def run_with(here: Path, example: Example, plan: Plan) -> tuple[Ended, str]:
    """Run a command so; how it ended, and the call that was hit: "" where there was none."""
    hear, tell = os.pipe()

    def begin() -> None:
        Layer(here.resolve(), plan, tell).install()

    ended = in_a_child(["--store", "store", *example.words], here, before=begin)
    os.close(tell)
    with os.fdopen(hear, "rb") as heard:
        return ended, heard.read().decode()


# --- what has to hold -----------------------------------------------------------------------------


def sound(here: Path, before: dict[str, tuple[str, ...]], *, killed: bool) -> list[str]:
    """What is wrong with what lies there.

    Args:
        here: The folder.
        before: What was acknowledged: each log's seals.
        killed: Whether a torn tail and what is on its way may lie there.
    """
    sessions = here / "store" / "sessions"
    faults = [f"{name} is gone" for name in before if not (sessions / name).is_file()]
    for path in sorted(sessions.glob("*.toml")):
        faults += _log_faults(path, before.get(path.name, ()), killed)
    faults += [f"{path.name} stands there in part" for path in _in_part(here)]
    if not killed:
        faults += [f"left lying: {path.relative_to(here)}" for path in left_lying(here)]
    return faults


def _log_faults(path: Path, seals: tuple[str, ...], killed: bool) -> list[str]:
    try:
        contents = log.read(path)
    except InspectError as error:
        return [f"{path.name} stands there in part: {error}"]
    faults = []
    held = tuple(entry.seal for entry in contents.entries)
    if held[: len(seals)] != seals:
        faults.append(f"{path.name} lost what was acknowledged")
    if contents.problems and path.stem != BROKEN:
        faults.append(f"{path.name}: {contents.problems[0]}")
    if contents.torn and not killed and path.stem != TORN:
        faults.append(f"{path.name} is torn")
    return faults


def _in_part(here: Path) -> Iterator[Path]:
    """Files that stand under their own name and aren't whole."""
    for path in (here / "store" / "photos").glob("[0-9a-f]*.*"):
        if hashlib.sha256(path.read_bytes()).hexdigest() != path.name.partition(".")[0]:
            yield path
    for path in [*here.glob("store/checklists/*.toml"), *here.glob("store/machines/*.toml")]:
        try:
            tomllib.loads(path.read_text())["id"]
        except (tomllib.TOMLDecodeError, KeyError):
            yield path
    for path in here.glob("packed.zip"):
        try:
            bundle.read(path)
        except InspectError:
            yield path
    for path in here.glob("*.pdf"):
        if not path.read_bytes().rstrip().endswith(b"%%EOF"):
            yield path
    for path in here.glob("report.html"):
        if not path.read_bytes().rstrip().endswith(b"</html>"):
            yield path


def left_lying(here: Path) -> list[Path]:
    """What is on its way to a place and never will get there."""
    begins = new_file._BEGINS
    return [
        path
        for path in here.rglob("*")
        if path.name.startswith((begins, ".photo-")) or path.name.endswith(".owner-new")
    ]


def seals_of(here: Path) -> dict[str, tuple[str, ...]]:
    """The entries of each log."""
    return {
        path.name: tuple(entry.seal for entry in log.read(path).entries)
        for path in (here / "store" / "sessions").glob("*.toml")
    }


DONE = (
    "already", "signed", "set aside", "Nothing to combine", "goes on",
    "no reading to take back", "in the tables",
)  # fmt: skip
"""What a second run says where the first did its work before it was killed."""


def faults_of(folder: Path, example: Example, plan: Plan) -> tuple[str, list[str]]:
    """The call that was hit, and what is wrong."""
    with copy_of(folder) as here:
        before = seals_of(here)
        ended, hit = run_with(here, example, plan)
        if not hit:
            return "", []
        killed = plan.how in (KILLED, HALF)
        # Where taking away fails too, what is on its way stays until the next run.
        lies = killed or plan.lasting or hit == "unlink"
        faults = sound(here, before, killed=lies)
        if killed and ended.status != -signal.SIGKILL:
            faults.append(f"{ended}")
        if not killed:
            faults += said(ended, plan, hit)
            added = seals_of(here) != before
            if ended.status == 0 and example.adds_entries and not added:
                faults.append("it says that it was done, and no entry is there")
            if ended.status != 0 and added and not plan.lasting:
                faults.append(f"it says that it wasn't done, and an entry is there: {ended.err}")
        after = seals_of_all(here)
        again = in_a_child(["--store", "store", *example.words], here)
        words = again.out + again.err
        if again.status != 0 and not any(each in words for each in DONE):
            faults.append(f"it can't be done again: {again}")
        faults += [f"afterwards: {fault}" for fault in sound(here, after, killed=False)]
    how = {KILLED: "killed", HALF: "killed in"}.get(plan.how) or errno.errorcode[plan.how]
    where = f"{' '.join(example.words)}: {how} at call {plan.nth} ({hit})"
    return hit, [f"{where}{', lasting' * plan.lasting}: {fault}" for fault in faults]


def seals_of_all(here: Path) -> dict[str, tuple[str, ...]]:
    """The same, of logs that can be read."""
    with contextlib.suppress(InspectError):
        return seals_of(here)
    return {}


def said(ended: Ended, plan: Plan, hit: str) -> list[str]:
    """What is wrong with what a person is told."""
    if ended.status not in (0, 1, 2) or "program failed" in ended.err or "Errno" in ended.err:
        return [f"{ended}"]
    return []


def plans(errors: tuple[int, ...] = ERRORS) -> Iterator[tuple[int, bool]]:
    """In which ways each call goes wrong."""
    yield from ((KILLED, False), (HALF, False))
    for error in errors:
        yield error, False
        if error != errno.EINTR:  # an interrupted call is tried again: for ever it would go on so
            yield error, True


def campaign(
    folder: Path, example: Example, errors: tuple[int, ...] = ERRORS
) -> tuple[int, list[str]]:
    """Every call of one command in every way: cases, and faults."""
    count, faults = 0, []
    for how, lasting in plans(errors):
        nth = 1
        while True:
            hit, found = faults_of(folder, example, Plan(nth, how, lasting))
            if not hit:
                break
            count += 1
            faults += found
            nth += 1
    return count, faults


def some(folder: Path, example: Example, share: int, seed: int = 1) -> list[str]:
    """The faults of about one in so many cases."""
    rng = random.Random(f"{seed} {example.words}")
    faults = []
    for how, lasting in plans((errno.ENOSPC,)):
        nth = rng.randint(1, share)
        while True:
            hit, found = faults_of(folder, example, Plan(nth, how, lasting))
            if not hit:
                break
            faults += found
            nth += rng.randint(1, 2 * share - 1)
    return faults


def main() -> int:
    """Run the campaign and print what it came to."""
    given = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    given.add_argument("commands", nargs="*", help="only these")
    wanted = given.parse_args().commands
    Layer.names = (*CALLS, *READS)
    begun, count, faults = time.monotonic(), 0, []
    with stage() as folder:
        for example in (each for each in ALL if each.writes):
            if not wanted or example.name in wanted:
                cases, found = campaign(folder, example)
                count += cases
                faults += found
                for fault in found:
                    print(fault[:600], flush=True)
    took = time.monotonic() - begun
    print(f"calls: {count} cases, {len(faults)} faults found, {took:.0f} s")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
