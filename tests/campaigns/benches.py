"""Campaign: several benches at one shared folder at once, and a sync program that meddles.

Each bench is a process that begins sessions, notes, records, signs, sets aside and asks `sessions`,
`due` and `search`; two benches stand at each computer and share its index. A command that ends with
status 0 has acknowledged what it wrote: it must be seen by the next question of the same bench, and
stand in the logs at the end. One writer has a log at a time; who comes second is told so. With
`--sync` another process drops logs in and deletes the indexes meanwhile. At the end each computer's
index answers what a fresh one does.

    python -m tests.campaigns.benches --benches 6 --rounds 200 --sync
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import random
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from inspect_tui.files.log import writer as log
from inspect_tui.files.store import Store
from tests.campaigns.killed import quietly
from tests.seasons.histories import CHECKLIST, club, sheet

MACHINES = 3
SECOND = ("is being written by",)
"""What who comes second at a log is told."""
DONE_WITH = ("signed", "set aside", "set-aside")
"""What who writes to a session that is done with is told."""


@dataclass
class Heard:
    """What the benches told."""

    kept: dict[str, set[str]] = field(default_factory=dict)
    """By session, the texts whose saving was acknowledged."""
    faults: list[str] = field(default_factory=list)
    counts: Counter[str] = field(default_factory=Counter)

    def take(self, line: str) -> None:
        kind, *rest = json.loads(line)
        self.counts[kind] += 1
        if kind == "fault":
            self.faults.append(" ".join(rest))
        elif kind == "begun":
            self.kept.setdefault(rest[0], set())
        elif kind == "noted":
            self.kept.setdefault(rest[0], set()).add(rest[1])


class Bench:
    """One bench, in a process of its own."""

    def __init__(self, store: Path, number: int, seed: int, told: Callable[[str], None]) -> None:
        self.store, self.number, self._tell = str(store), number, told
        self.rng = random.Random(seed * 1000 + number)
        self.own: list[str] = []
        self.texts: list[tuple[str, str]] = []

    def told(self, *what: str) -> None:
        self._tell(json.dumps(what) + "\n")

    def does(self, *words: str) -> tuple[int, str]:
        return quietly(*words, "--store", self.store)

    def writes(self, *words: str) -> bool:
        """Whether a command was done; refused it must say a reason that holds."""
        status, said = self.does(*words)
        if status == 0:
            return True
        second = any(each in said for each in SECOND)
        if not second and not any(each in said for each in DONE_WITH):
            self.told("fault", f"{' '.join(words)}: {status}: {said}")
        self.told("second" if second else "refused")
        return False

    def asks(self, *words: str) -> list[dict[str, object]]:
        status, said = self.does(*words, "--json")
        if status != 0:
            self.told("fault", f"{' '.join(words)}: {status}: {said}")
            return []
        self.told("asked")
        return list(json.loads(said))

    def begin(self) -> None:
        machine = f"sled-{self.rng.randrange(MACHINES):03}"
        status, said = self.does("new", "season-look", machine, "--by", f"Bench {self.number}")
        if status != 0:
            self.told("fault", f"new: {status}: {said}")
            return
        self.own.append(said)
        self.told("begun", said)

    def any_session(self) -> str:
        if self.own and self.rng.random() < 0.5:
            return self.rng.choice(self.own)
        rows = self.asks("sessions")
        left = [str(row["session"]) for row in rows if row["state"] == "open"]
        if left and self.rng.random() < 0.5:
            return left[0]  # the newest, at which the others write too
        return self.rng.choice(left or self.own or [""])

    def note(self) -> None:
        session = self.any_session()
        text = f"word{self.number}x{len(self.texts)}y"
        if session and self.writes("note", session, "belt", text):
            self.texts.append((session, text))
            self.told("noted", session, text)

    def record(self) -> None:
        session = self.any_session()
        if session:
            self.writes("record", session, f"belt.width={self.rng.randrange(330, 360) / 10}")

    def end(self) -> None:
        if self.own:
            session = self.own.pop(self.rng.randrange(len(self.own)))
            if self.rng.random() < 0.7:
                self.writes("sign", session, "--by", "X", "--accept-open", "accepted by the bench")
            else:
                self.writes("set-aside", session, "--why", "begun by mistake")

    def look(self) -> None:
        """What was acknowledged to this bench is seen by it."""
        rows = {row["session"] for row in self.asks("sessions")}
        for each in self.own:
            if each not in rows:
                self.told("fault", f"sessions lacks {each}")
        self.asks("due")
        if self.texts:
            session, text = self.rng.choice(self.texts)
            found = {row["session"] for row in self.asks("search", text)}
            if session not in found:
                self.told("fault", f"search lacks {text} of {session}")

    def run(self, rounds: int) -> None:
        self.begin()
        for _ in range(rounds):
            self.rng.choice(
                (self.begin, self.note, self.note, self.note, self.record, self.end, self.look)
            )()


def sync(store: Store, other: Store, seed: int, stop: Path) -> None:
    """Drop logs in, one after the other, and delete indexes, until told to stop."""
    rng = random.Random(seed)
    for path in sorted(other.sessions.glob("*.toml")):
        if stop.exists():
            return
        time.sleep(rng.uniform(0.01, 0.1))
        beside = store.sessions / f".{path.name}.part"
        beside.write_bytes(path.read_bytes())
        beside.replace(store.sessions / path.name)
        if rng.random() < 0.3:
            for index in store.store.glob("index-*"):
                index.unlink(missing_ok=True)


def _child(work: Callable[[Callable[[str], None]], None]) -> tuple[int, int]:
    hear, told = os.pipe()
    child = os.fork()
    if child == 0:
        status = 1
        try:
            os.close(hear)
            work(lambda line: os.write(told, line.encode()) and None)
            status = 0
        except BaseException as error:
            os.write(told, (json.dumps(["fault", repr(error)]) + "\n").encode())
        finally:
            os._exit(status)
    os.close(told)
    return child, hear


def campaign(folder: Path, benches: int, rounds: int, seed: int, *, meddled: bool) -> Heard:
    """Run it: what was heard, and every fault."""
    store, heard = Store(folder / "shared"), Heard()
    store.make()
    (store.checklists / "season-look.toml").write_text(CHECKLIST, encoding="utf-8")
    for number in range(MACHINES):
        name = f"sled-{number:03}"
        (store.machines / f"{name}.toml").write_text(sheet(name), encoding="utf-8")
    other = club(folder / "other", 5 * rounds, MACHINES, seed) if meddled else None
    stop = folder / "stop"

    def at(number: int) -> Callable[[Callable[[str], None]], None]:
        def work(told: Callable[[str], None]) -> None:
            platform.node = lambda: f"computer-{number // 2}"
            Bench(store.store, number, seed, told).run(rounds)

        return work

    pipes = [_child(at(number)) for number in range(benches)]
    meddler = None
    if other is not None:
        meddler = _child(lambda told: sync(store, other, seed, stop))
    for child, hear in pipes:
        with os.fdopen(hear, encoding="utf-8") as lines:
            for line in lines:
                heard.take(line)
        os.waitpid(child, 0)
    stop.touch()
    if meddler is not None:
        with os.fdopen(meddler[1], encoding="utf-8") as lines:
            for line in lines:
                heard.take(line)
        os.waitpid(meddler[0], 0)
    heard.faults += _lost(store, heard.kept) + _index_faults(store, (benches + 1) // 2)
    return heard


def _lost(store: Store, kept: dict[str, set[str]]) -> list[str]:
    faults = []
    for session, texts in kept.items():
        path = store.log(session)
        if not path.exists():
            faults.append(f"{session} is gone")
            continue
        contents = log.read(path)
        held = [entry.keys["text"] for entry in contents.entries if entry.kind == "note"]
        faults += [f"{session}: {each}" for each in contents.problems]
        faults += [f"{session} lost {each}" for each in sorted(texts - set(held))]
        if len(held) != len(set(held)):
            faults.append(f"{session} has a note twice")
        if contents.torn:
            faults.append(f"{session} is torn")
    return faults


def _index_faults(store: Store, computers: int) -> list[str]:
    """Where a computer's index answers otherwise than one made anew."""
    answers: dict[str, list[str]] = {}
    real = platform.node
    try:
        for number in range(computers):
            platform.node = lambda number=number: f"computer-{number}"
            answers[f"computer {number}"] = _answers(store)
        for path in store.store.glob("index-*"):
            path.unlink()
        fresh = _answers(store)
    finally:
        platform.node = real
    return [
        f"{who}'s index differs from a fresh one in {question}"
        for who, found in answers.items()
        for question, mine, right in zip(("sessions", "due", "search"), found, fresh, strict=True)
        if mine != right
    ]


def _answers(store: Store) -> list[str]:
    where = ("--json", "--store", str(store.store))
    asked = (("sessions",), ("due",), ("search", "word"))
    return [quietly(*words, *where)[1] for words in asked]


def run() -> int:
    """The command line."""
    wanted = argparse.ArgumentParser(description=__doc__)
    wanted.add_argument("--benches", type=int, default=6)
    wanted.add_argument("--rounds", type=int, default=100)
    wanted.add_argument("--seed", type=int, default=1)
    wanted.add_argument("--sync", action="store_true", help="logs dropped in, indexes deleted")
    given = wanted.parse_args()
    begun = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        heard = campaign(Path(folder), given.benches, given.rounds, given.seed, meddled=given.sync)
    for fault in heard.faults[:20]:
        print(fault)
    counts = ", ".join(f"{number} {kind}" for kind, number in sorted(heard.counts.items()))
    took = time.monotonic() - begun
    print(f"benches: {given.benches} at once, {counts}, {len(heard.faults)} faults, {took:.0f} s")
    return 1 if heard.faults else 0


if __name__ == "__main__":
    sys.exit(run())
