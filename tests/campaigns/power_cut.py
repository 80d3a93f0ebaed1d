"""Campaign: a power cut at every instant of a session's writing, and every disk it may leave.

A layer over the system calls records what is written, cut, named and flushed below a folder. What
was flushed stays; of what was not, any byte prefix may be there, none of it, a later operation
without an earlier one, or a write with sectors missing; a name that its folder was not flushed for
may be missing. From each such disk the log must load with every acknowledged entry, and the next
writer must go on with nothing torn lost.

    python -m tests.campaigns.power_cut --every 1
"""

from __future__ import annotations

import argparse
import contextlib
import itertools
import os
import stat
import sys
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

from inspect_tui.core.model.log_entry import Entry
from inspect_tui.errors import BadInput
from inspect_tui.files.log.reader import contents_of
from inspect_tui.files.log.writer import Writer
from inspect_tui.files.store import Store
from inspect_tui.workflow.inspection import Inspection, Target
from tests.campaigns import short_list

START = datetime(2026, 11, 2, 18, 0, tzinfo=UTC)
SECTOR = 512
BESIDE = (".lock", ".owner")
"""Files that mean nothing after a cut."""


@dataclass(frozen=True)
class Op:
    """One thing done to the disk, by the path below the folder; `ack` is the program's word."""

    kind: str
    path: str
    at: int = 0
    data: bytes = b""
    seals: tuple[str, ...] = ()


@dataclass
class Recorded:
    """A folder as it stood, and what was done to it since."""

    before: dict[str, bytes]
    ops: list[Op] = field(default_factory=list)
    folders: tuple[str, ...] = ()


CALLS = ("open", "write", "ftruncate", "fsync", "mkdir", "close", "link", "rename", "replace")


class Layer:
    """The system calls of `os`, done as ever and written down where they are below a folder."""

    def __init__(self, root: Path, into: list[Op]) -> None:
        self.root = root
        self.into = into
        self.paths: dict[int, str] = {}
        self.real = {name: getattr(os, name) for name in CALLS}

    def below(self, path: object) -> str | None:
        whole = Path(os.fspath(path)).absolute()  # type: ignore[call-overload]
        if not whole.is_relative_to(self.root) or whole.name.endswith(BESIDE):
            return None
        return str(whole.relative_to(self.root))

    def open(self, path, flags, *rest, **named):
        name = self.below(path)
        fresh = flags & os.O_CREAT and not os.path.lexists(path)
        descriptor = self.real["open"](path, flags, *rest, **named)
        self.paths.pop(descriptor, None)
        if name is not None:
            self.paths[descriptor] = name
            if fresh:
                self.into.append(Op("name", name))
        return descriptor

    def write(self, descriptor, data):
        at = os.fstat(descriptor).st_size
        done = self.real["write"](descriptor, data)
        if descriptor in self.paths:
            self.into.append(Op("write", self.paths[descriptor], at, bytes(data[:done])))
        return done

    def ftruncate(self, descriptor, length):
        self.real["ftruncate"](descriptor, length)
        if descriptor in self.paths:
            self.into.append(Op("cut", self.paths[descriptor], length))

    def fsync(self, descriptor):
        self.real["fsync"](descriptor)
        if descriptor in self.paths:
            folder = stat.S_ISDIR(os.fstat(descriptor).st_mode)
            self.into.append(Op("names-flushed" if folder else "flushed", self.paths[descriptor]))

    def mkdir(self, path, *rest, **named):
        self.real["mkdir"](path, *rest, **named)
        if (name := self.below(path)) is not None:
            self.into.append(Op("folder", name))

    def link(self, source, target, **named):
        self.real["link"](source, target, **named)
        self._named(source, target)

    def rename(self, source, target, **named):
        self.real["rename"](source, target, **named)
        self._named(source, target)

    def replace(self, source, target, **named):
        self.real["replace"](source, target, **named)
        self._named(source, target)

    def _named(self, source, target):
        """A file gets the name under which it is looked for; only that one counts from then on.

        What was done to it before was done to the same file, so it is kept under the new name.
        """
        before, after = self.below(source), self.below(target)
        if before is None or after is None:
            return
        self.into[:] = [
            replace(op, path=after) if op.path == before else op
            for op in self.into
            if not (op.kind == "name" and op.path == before)
        ]
        self.paths = {n: after if name == before else name for n, name in self.paths.items()}
        self.into.append(Op("name", after))

    def close(self, descriptor):
        self.paths.pop(descriptor, None)
        self.real["close"](descriptor)


@contextlib.contextmanager
def recording(root: Path, into: list[Op]) -> Iterator[None]:
    """Record what is done below a folder."""
    layer = Layer(root, into)
    try:
        for name in CALLS:
            setattr(os, name, getattr(layer, name))
        yield
    finally:
        for name in CALLS:
            setattr(os, name, layer.real[name])


# --- what a cut may leave ------------------------------------------------------------------------


@dataclass(frozen=True)
class Left:
    """A disk after a cut."""

    files: dict[str, bytes]
    folders: frozenset[str]
    acknowledged: tuple[str, ...]
    """The seals that the program had given its word for."""
    holed: bool = False
    """Whether sectors of a write are missing in its middle."""


def legal_states(recorded: Recorded, every: int) -> Iterator[Left]:
    """Each disk that a cut after each operation may leave; of prefixes, one in `every`."""
    for done in range(len(recorded.ops) + 1):
        ops = recorded.ops[:done]
        acknowledged = next((op.seals for op in reversed(ops) if op.kind == "ack"), ())
        for names, files in itertools.product(
            _names(recorded, ops), _contents(recorded, ops, every)
        ):
            folders, there = names
            kept = {path: data for path, (data, _) in files.items() if path in there}
            holed = any(hole for path, (_, hole) in files.items() if path in there)
            yield Left(kept, folders, acknowledged, holed)


def _names(recorded: Recorded, ops: list[Op]) -> list[tuple[frozenset[str], frozenset[str]]]:
    """Which folders and files may be there: every set of the names that were not flushed."""
    sure = {*recorded.before, *recorded.folders}
    loose: list[str] = []
    for op in ops:
        if op.kind in ("name", "folder"):
            loose.append(op.path)
        elif op.kind == "names-flushed":
            flushed = [name for name in loose if (os.path.dirname(name) or ".") == op.path]  # noqa: PTH120
            sure.update(flushed)
            loose = [name for name in loose if name not in flushed]
    folders = {op.path for op in ops if op.kind == "folder"} | set(recorded.folders)
    found = set()
    for some in _subsets(loose):
        there = sure | some
        # What lies in a folder whose name is lost is lost with it.
        reached = {
            name
            for name in there
            if all(str(above) in there for above in Path(name).parents if str(above) != ".")
        }
        found.add((frozenset(reached & folders), frozenset(reached - folders)))
    return list(found)


def _subsets(names: list[str]) -> Iterator[set[str]]:
    for size in range(len(names) + 1):
        yield from map(set, itertools.combinations(names, size))


def _contents(
    recorded: Recorded, ops: list[Op], every: int
) -> Iterator[dict[str, tuple[bytes, bool]]]:
    """What the files may hold, and whether sectors are missing in it."""
    paths = dict.fromkeys([*recorded.before, *(op.path for op in ops if op.kind == "name")])
    choices = [
        [(path, one) for one in _of_file(recorded.before.get(path, b""), path, ops, every)]
        for path in paths
    ]
    for chosen in itertools.product(*choices):
        yield dict(chosen)


def _of_file(data: bytes, path: str, ops: list[Op], every: int) -> list[tuple[bytes, bool]]:
    mine = [op for op in ops if op.path == path and op.kind in ("write", "cut", "flushed")]
    last = max((n for n, op in enumerate(mine) if op.kind == "flushed"), default=-1)
    for op in mine[: last + 1]:
        data = _applied(data, op)
    pending = mine[last + 1 :]
    found: dict[tuple[bytes, bool], None] = {}
    for kept in itertools.product((False, True), repeat=len(pending)):
        state = data
        for op, there in zip(pending, kept, strict=True):
            state = _applied(state, op) if there else state
        found[state, False] = None
    for n, op in enumerate(pending):
        before = data
        for earlier in pending[:n]:
            before = _applied(before, earlier)
        if op.kind == "write":
            for length in range(0, len(op.data), every):
                found[_applied(before, Op("write", path, op.at, op.data[:length])), False] = None
            for hole in _holed(op):
                found[_applied(before, hole), True] = None
    return list(found)


def _holed(op: Op) -> Iterator[Op]:
    """The write with each of its sectors missing, where something stands behind it."""
    first, last = op.at // SECTOR, (op.at + len(op.data) - 1) // SECTOR
    for sector in range(first, last):
        begin = max(sector * SECTOR - op.at, 0)
        end = (sector + 1) * SECTOR - op.at
        yield Op("write", op.path, op.at, op.data[:begin] + bytes(end - begin) + op.data[end:])


def _applied(data: bytes, op: Op) -> bytes:
    if op.kind == "cut":
        return data[: op.at]
    if op.kind == "write":
        data = data.ljust(op.at, b"\0")
        return data[: op.at] + op.data + data[op.at + len(op.data) :]
    return data


# --- sessions that are recorded ------------------------------------------------------------------


def clock() -> Callable[[], datetime]:
    ticks = itertools.count()
    return lambda: START + timedelta(seconds=next(ticks))


def whole_session(folder: Path) -> Recorded:
    """A store made, a session begun, readings, a long note, the sign-off."""
    lists = folder.parent / "lists"
    lists.mkdir()
    checklist, machine = short_list.put(lists)
    recorded = Recorded({})
    with recording(folder, recorded.ops):

        def word(inspection: Inspection) -> None:
            seals = tuple(entry.seal for entry in inspection.entries)
            recorded.ops.append(Op("ack", "", seals=seals))

        held = Inspection.new(Store(folder / "store"), checklist, machine, "A", clock())
        with held:
            word(held)
            held.record([(Target("belt", "width"), "31.7")])
            word(held)
            held.note("belt", "a long word " * 60)
            word(held)
            held.sign("A")
            word(held)
            held.addendum("after")
            word(held)
    return recorded


def torn_move(folder: Path) -> Recorded:
    """A log with a torn end, and an older torn end beside it: opened, and gone on with."""
    path = folder / "torn.toml"
    opened = {
        "format": 1,
        "session": "torn",
        "checklist": short_list.CHECKLIST,
        "machine": short_list.MACHINE,
    }
    with Writer.create(path, Entry(0, "opened", START, "A", opened)) as writer:
        first = writer.contents.entries[0].seal
    with path.open("ab") as file:
        file.write(TORN)
    path.with_suffix(".torn").write_bytes(b"older")
    recorded = Recorded({p.name: p.read_bytes() for p in folder.iterdir()})
    recorded.before = {k: v for k, v in recorded.before.items() if not k.endswith(BESIDE)}
    recorded.ops.append(Op("ack", "", seals=(first,)))
    with recording(folder, recorded.ops), Writer.open(path) as writer:
        done = writer.append([Entry(0, "note", START, "A", {"step": "belt", "text": "on"})] * 2)
        recorded.ops.append(Op("ack", "", seals=(first, *(entry.seal for entry in done))))
    return recorded


TORN = b'[[entry]]\nn = 1\nkind = "no'


# --- what must hold ------------------------------------------------------------------------------


def fault_of(left: Left, scratch: Path) -> str:
    """How a disk fails what must hold; "" when it holds."""
    logs = [path for path in left.files if path.endswith(".toml")]
    if not logs:
        return "the log is gone" if left.acknowledged else ""
    (name,) = logs
    data = left.files[name]
    try:
        contents = contents_of(data, "x")
    except BadInput as error:
        return f"the log doesn't load: {error}" if left.acknowledged else ""
    seals = tuple(entry.seal for entry in contents.entries)
    if fault := _lacking(seals, left.acknowledged):
        return fault
    if left.holed and contents.problems:
        if not all("NUL" in text for text in contents.problems[:1]):
            return f"missing sectors are not told from a change: {contents.problems}"
        if not all(entry.sound for entry in contents.entries[: len(left.acknowledged)]):
            return "an acknowledged entry is called broken"
    elif contents.problems:
        return f"it doesn't verify: {contents.problems}"
    if b"older" in b"".join(left.files.values()) and TORN not in b"".join(left.files.values()):
        return "the torn bytes are in no file"
    return _going_on(left, name, scratch)


def _lacking(seals: tuple[str, ...], acknowledged: tuple[str, ...]) -> str:
    if seals[: len(acknowledged)] == acknowledged:
        return ""
    return f"of {len(acknowledged)} acknowledged entries {len(seals)} are there"


def _going_on(left: Left, name: str, scratch: Path) -> str:
    """Open it for writing, as the next start of the program does, and add a word."""
    path = scratch / "log.toml"
    path.write_bytes(left.files[name])
    path.with_suffix(".torn").unlink(missing_ok=True)
    signed = any(entry.kind == "signed" for entry in contents_of(left.files[name], "x").entries)
    kind = "addendum" if signed else "note"
    with Writer.open(path, despite_broken=left.holed) as writer:
        torn, problems = writer.contents.torn, writer.contents.problems
        writer.append([Entry(0, kind, START + timedelta(days=1), "A", {"step": "b", "text": "x"})])
    after = contents_of(path.read_bytes(), "x")
    if after.torn or after.problems != problems:
        return f"after it was gone on with: {after.problems} {after.torn!r}"
    if torn and path.with_suffix(".torn").read_bytes() != torn:
        return "the torn end was not put aside"
    return _lacking(tuple(entry.seal for entry in after.entries), left.acknowledged)


SESSIONS = (whole_session, torn_move)


def campaign(folder: Path, every: int) -> tuple[int, int, list[str]]:
    """Every state of every session: states, those with missing sectors that show, and faults."""
    cases, holed, faults = 0, 0, []
    scratch = folder / "scratch"
    scratch.mkdir(parents=True)
    for session in SESSIONS:
        root = folder / session.__name__ / "disk"
        root.mkdir(parents=True)
        seen = set()
        for left in legal_states(session(root), every):
            key = (frozenset(left.files.items()), left.folders, left.acknowledged)
            if key in seen:
                continue
            seen.add(key)
            cases += 1
            holed += left.holed
            if fault := fault_of(left, scratch):
                faults.append(f"{session.__name__}, case {cases}: {fault}")
    return cases, holed, faults


def main() -> int:
    wanted = argparse.ArgumentParser(description=__doc__)
    wanted.add_argument("--every", type=int, default=1, help="of byte prefixes, one in so many")
    given = wanted.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        cases, holed, faults = campaign(Path(folder).resolve(), given.every)
    for fault in faults[:20]:
        print(fault, file=sys.stderr)
    print(f"power_cut: {cases} disks, {holed} with missing sectors, {len(faults)} faults found")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
