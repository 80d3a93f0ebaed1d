"""Campaign: a store as a sync program may leave it, and then every command.

Files exchanged, doubled under another name, cut short in the middle, missing, older than they were,
filled with nothing, with another computer's lock and owner beside them. Every command must end in
words, keep all that each log still held, and write to none whose name is another's.

    python -m tests.campaigns.synced --cases 300
"""

from __future__ import annotations

import argparse
import os
import random
import shutil
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from inspect_tui.core.model.log_entry import Entry
from inspect_tui.errors import InspectError
from inspect_tui.files.log import writer as log
from tests.campaigns.every_command import EXAMPLES, OPEN, Example, copy_of, done, in_a_child, stage

Random = random.Random
OWNER = "process 4711 of somebody on another-computer since 2026-01-02T03:04:05+00:00"


def exchanged(store: Path, rng: Random) -> None:
    """The names of two files of a kind."""
    one, other = rng.sample(_files(store, rng.choice(("sessions", "sessions", "checklists"))), 2)
    aside = one.with_name("aside")
    one.rename(aside)
    other.rename(one)
    aside.rename(other)


def doubled(store: Path, rng: Random) -> None:
    """A copy under another name, such as sync programs give."""
    path = rng.choice(_files(store, "sessions"))
    name = rng.choice((f"{path.stem}-2", f"{path.stem} (conflict)", f"{path.stem}.sync-conflict"))
    shutil.copy(path, path.with_name(f"{name}.toml"))


def cut_short(store: Path, rng: Random) -> None:
    """The beginning of a file alone."""
    path = rng.choice(_files(store))
    data = path.read_bytes()
    path.write_bytes(data[: rng.randrange(len(data) + 1)])


def never_filled(store: Path, rng: Random) -> None:
    """The length of a file, and NUL from somewhere on."""
    path = rng.choice(_files(store))
    data = path.read_bytes()
    at = rng.randrange(len(data) + 1)
    path.write_bytes(data[:at] + b"\0" * (len(data) - at))


def missing(store: Path, rng: Random) -> None:
    """A file that hasn't come yet."""
    rng.choice(_files(store)).unlink()


def older(store: Path, rng: Random) -> None:
    """A log as it was some entries before."""
    path = rng.choice(_files(store, "sessions"))
    blocks = path.read_bytes().split(b"[[entry]]\n")
    path.write_bytes(b"[[entry]]\n".join(blocks[: rng.randint(2, max(2, len(blocks) - 1))]))


def locked_elsewhere(store: Path, rng: Random) -> None:
    """What another computer has beside its log."""
    path = rng.choice(_files(store, "sessions"))
    for suffix in rng.sample((".lock", ".owner", ".held", ".torn"), rng.randint(1, 3)):
        path.with_suffix(suffix).write_text(rng.choice((OWNER, "", "\0\0\0", "x" * 5000)))


def half_a_folder(store: Path, rng: Random) -> None:
    """A folder that hasn't come yet, or stands there as a file."""
    folder = store / rng.choice(("checklists", "machines", "photos"))
    shutil.rmtree(folder, ignore_errors=True)
    if rng.random() < 0.3:
        folder.write_bytes(b"")


def another_index(store: Path, rng: Random) -> None:
    """The index of another state of the store, or half of one."""
    for path in store.glob("index*"):
        data = path.read_bytes()
        path.write_bytes(data[: rng.randrange(len(data) + 1)])


MISHAPS: tuple[Callable[[Path, Random], None], ...] = (
    exchanged, exchanged, doubled, cut_short, never_filled, missing, older,
    locked_elsewhere, half_a_folder, another_index,
)  # fmt: skip


def _files(store: Path, folder: str = "") -> list[Path]:
    found = (store / folder).rglob("*") if folder else store.rglob("*")
    return sorted(
        path for path in found if path.is_file() and path.suffix in (".toml", ".heic", ".jpg")
    )


def _entries(path: Path) -> tuple[Entry, ...]:
    try:
        return log.read(path).entries
    except InspectError:
        return ()


def _held(here: Path) -> dict[Path, tuple[str, ...]]:
    return {
        path: tuple(entry.seal for entry in _entries(path))
        for path in (here / "store" / "sessions").glob("*.toml")
    }


def _misnamed(path: Path) -> bool:
    """Whether a log lies under the name of another one that is here, under another's."""
    entries = _entries(path)
    own = str(entries[0].get("session", "")) if entries else path.stem
    there = path.with_name(f"{own}.toml")
    if own == path.stem or not there.is_file():
        return False
    theirs = _entries(there)
    return bool(theirs) and str(theirs[0].get("session", "")) != own


def faults_of(folder: Path, rng: Random, examples: list[Example]) -> list[str]:
    """One store after some mishaps, and these commands."""
    faults = []
    with copy_of(folder) as here:
        store = here / "store"
        happened = []
        for mishap in rng.choices(MISHAPS, k=rng.randint(1, 3)):
            try:
                mishap(store, rng)
            except (ValueError, IndexError):  # there are not so many files
                continue
            happened.append(mishap.__name__)
        for example in examples:
            before = _held(here)
            misnamed = {path for path in before if _misnamed(path)}
            ended = in_a_child(["--store", "store", *example.words], here)
            where = f"{', '.join(happened)}: {' '.join(example.words)}"
            failed = "program failed" in ended.err or "Traceback" in ended.err
            if failed or ended.status not in (0, 1, 2):
                faults.append(f"{where}: {ended}")
            after = _held(here)
            for path, seals in before.items():
                if after.get(path, ())[: len(seals)] != seals:
                    faults.append(f"{where}: {path.name} lost what it held")
                if path in misnamed and after.get(path) != seals:
                    faults.append(f"{where}: {path.name} was written to, under another's name")
    return faults


def with_sessions_of_its_own(folder: Path) -> list[str]:
    """Three sessions under their own ids, whose names can be exchanged."""
    sessions = folder / "store" / "sessions"
    known = set(sessions.glob("*.toml"))
    for _ in range(3):
        done(folder / "store", "new short bed --by A")
    return sorted(path.stem for path in set(sessions.glob("*.toml")) - known)


def chosen(rng: Random, own: list[str], count: int) -> list[Example]:
    """Some commands, half of those on the open session on one under its own id instead."""
    found = []
    for example in rng.sample(EXAMPLES, min(count, len(EXAMPLES))):
        name = rng.choice((OPEN, rng.choice(own)))
        words = tuple(name if word == OPEN else word for word in example.words)
        found.append(replace(example, words=words))
    return found


def run(cases: int, seed: int, each: int) -> tuple[int, list[str]]:
    """So many stores, each with so many commands: cases, and faults."""
    faults = []
    with stage() as folder:
        own = with_sessions_of_its_own(folder)
        for number in range(cases):
            rng = Random(f"synced {seed} {number}")
            found = faults_of(folder, rng, chosen(rng, own, each))
            faults += [f"case {number}: {fault}" for fault in found]
            for fault in found:
                print(f"case {number}: {fault}"[:500], flush=True)
    return cases * each, faults


def main() -> int:
    """Run the campaign and print what it came to."""
    given = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    given.add_argument("--cases", type=int, default=300)
    given.add_argument("--seed", type=int, default=1)
    asked = given.parse_args()
    begun = time.monotonic()
    count, faults = run(asked.cases, asked.seed, 12)
    took = time.monotonic() - begun
    print(f"synced: {count} cases, {len(faults)} faults found, {took:.0f} s")
    return 1 if faults else 0


if __name__ == "__main__":
    os.environ.setdefault("INSPECT_TUI_HOME", "/nonexistent")
    sys.exit(main())
