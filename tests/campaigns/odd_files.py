"""Campaign: a link, a pipe, a device, a folder, a second name at every path that a command opens.

The paths are those that the command really opens, renames, links or lists where nothing is in its
way, and those that SQLite opens beside its own. With something odd in the place of each: it must
end, in its own words; what a link leads to stays as it was, unless it is what stood there before;
nothing that was acknowledged is lost; and what is said to be done is done.

    python -m tests.campaigns.odd_files
"""

from __future__ import annotations

import os
import random
import signal
import socket
import sys
import time
from collections.abc import Iterator
from pathlib import Path

from inspect_tui.files import atomic_write
from inspect_tui.files.index_file import files_of
from tests.campaigns.every_command import (
    ALL,
    Ended,
    Example,
    contents,
    copy_of,
    in_a_child,
    stage,
)

KINDS = (
    "link", "link to itself", "link to nothing", "second name", "pipe", "device", "folder", "file",
    "socket",
)  # fmt: skip
LONGEST = 10
"""Seconds after which a command counts as hanging; no measure of speed."""
_EVENTS = {
    "open": 1, "os.rename": 2, "os.link": 2, "os.remove": 1, "os.mkdir": 1, "os.scandir": 1,
    "os.listdir": 1, "os.chmod": 1, "os.truncate": 1, "sqlite3.connect": 1,
}  # fmt: skip
"""Audit events and how many paths each begins with."""
_OWN_NAMES = (".inspect-tui-", "child-failed")
"""Made under names that nobody can know before."""


def paths_of(folder: Path, example: Example) -> list[str]:
    """The paths below the folder that a command opens, in the order in which it first does."""
    with copy_of(folder) as here:
        told = here.parent / "told"
        descriptor = os.open(told, os.O_WRONLY | os.O_CREAT | os.O_APPEND)

        def watch(event: str, given: tuple[object, ...]) -> None:
            for path in given[: _EVENTS.get(event, 0)]:
                if isinstance(path, str | bytes | os.PathLike):
                    at = Path(os.fsdecode(path)).absolute()
                    for each in files_of(at) if event.startswith("sqlite3") else (at,):
                        os.write(descriptor, os.fsencode(each) + b"\n")

        _run(here, example, lambda: sys.addaudithook(watch))
        os.close(descriptor)
        root = f"{here.resolve()}/"
        found = dict.fromkeys(told.read_text("utf-8", "surrogateescape").splitlines())
        return [
            path.removeprefix(root)
            for path in found
            if path.startswith(root) and not any(name in path for name in _OWN_NAMES)
        ]


def plant(place: Path, kind: str, victim: Path) -> bool:
    """Put something odd at a path; whether it can be put there."""
    there = os.path.lexists(place)
    if there and kind == "file" and not place.is_dir():
        return False
    if kind == "link to itself" and not there:
        return False
    place.parent.mkdir(parents=True, exist_ok=True)
    if there:
        moved = victim.with_name("moved")
        place.rename(moved)
        if kind == "link to itself":
            place.symlink_to(moved)
            return True
    match kind:
        case "link":
            victim.write_bytes(b"another's")
            place.symlink_to(victim)
        case "second name":
            victim.write_bytes(b"another's")
            place.hardlink_to(victim)
        case "link to nothing":
            place.symlink_to(victim)
        case "pipe":
            os.mkfifo(place)
        case "device":
            place.symlink_to("/dev/zero")
        case "folder":
            place.mkdir()
            (place / "something").write_bytes(b"another's")
        case "file":
            place.write_bytes(b"another's")
        case "socket":
            with socket.socket(socket.AF_UNIX) as made:
                before = Path.cwd()
                os.chdir(place.parent)  # a socket's name may not be long
                made.bind(place.name)
                os.chdir(before)
    return True


def cases(folder: Path, example: Example) -> Iterator[tuple[str, str]]:
    """Each path with each kind."""
    for path in paths_of(folder, example):
        for kind in KINDS:
            yield path, kind


def fault_of(folder: Path, example: Example, path: str, kind: str) -> str:
    """What is wrong with one case; "" where nothing is."""
    with copy_of(folder) as here:
        victim = here.parent / "victim"
        logs = _logs(here)
        if not plant(here / path, kind, victim):
            return ""
        before = contents(here)
        ended = _run(here, example)
        fault = _fault(here, example, ended, victim, logs, before, kind)
    return f"{' '.join(example.words)}, {path} is a {kind}: {fault}" if fault else ""


def _fault(
    here: Path, example: Example, ended: Ended, victim: Path,
    logs: dict[Path, bytes], before: dict[str, bytes], kind: str,
) -> str:  # fmt: skip
    if ended.status < 0:
        return f"it did not end ({signal.Signals(-ended.status).name})"
    if (
        "program failed" in ended.err
        or "Traceback" in ended.err
        or (here / "store/faults").exists()
    ):
        return f"the program failed: {ended.err[-600:]}"
    if ended.status not in (0, 1, 2) or (ended.status and not (ended.err or ended.out)):
        return f"{ended}"
    theirs = kind in ("link", "second name")
    untouched = victim.read_bytes() == b"another's" if theirs else not victim.exists()
    if not untouched and not example.follows:
        return "what the link leads to was written"
    moved = here.parent / "moved"
    for path, data in logs.items():
        places = (path, moved, moved / path.name, moved / "sessions" / path.name)
        if not any(_holds(each, data) for each in places):
            return f"{path.name} lost what was in it"
    moved_on = os.path.lexists(here.parent / "moved")  # what is written may be there
    went_through = kind == "device" and example.follows
    if (
        ended.status == 0
        and example.writes
        and contents(here) == before
        and not (moved_on or went_through)
    ):
        return f"it says that it was done: {ended}"
    return ""


def _holds(path: Path, data: bytes) -> bool:
    """Whether a file begins with these bytes, as a log does that is gone on with."""
    if not path.is_file():
        return False
    with path.open("rb") as file:
        return file.read(len(data)) == data


def _logs(here: Path) -> dict[Path, bytes]:
    """Each log with what was acknowledged in it: all up to its last seal line."""
    found = {}
    for path in (here / "store" / "sessions").glob("*.toml"):
        data = path.read_bytes()
        found[path] = data[: data.rindex(b"\n", 0, data.rindex(b"\nseal = ") + 80) + 1]
    return found


def _run(here: Path, example: Example, before=lambda: None) -> Ended:
    def begin() -> None:
        signal.alarm(LONGEST)
        atomic_write.WAIT_FOR_READER = 0.05
        before()

    return in_a_child(["--store", "store", *example.words], here, before=begin)


def main() -> int:
    """Run the campaign and print what it came to."""
    begun, count, faults = time.monotonic(), 0, []
    with stage() as folder:
        for example in ALL:
            for path, kind in cases(folder, example):
                count += 1
                if fault := fault_of(folder, example, path, kind):
                    faults.append(fault)
                    print(fault, flush=True)
    took = time.monotonic() - begun
    print(f"odd files: {count} cases, {len(faults)} faults found, {took:.0f} s")
    return 1 if faults else 0


def some(folder: Path, example: Example, share: int, seed: int = 1) -> list[str]:
    """The faults of one in so many cases, chosen anew for each command."""
    rng = random.Random(f"{seed} {example.words}")
    chosen = [case for case in cases(folder, example) if rng.randrange(share) == 0]
    return [fault for case in chosen if (fault := fault_of(folder, example, *case))]


if __name__ == "__main__":
    sys.exit(main())
