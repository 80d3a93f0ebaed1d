"""Campaign: every system call on a log's path fails in turn, once or from then on, in every way.

A person's session is walked through: begun, read into, signed, closed; or opened with a torn end.
What fails must be said in the program's own words, nothing that was acknowledged may be lost, and
when the disk is sound again the same thing must go through.

    python -m tests.campaigns.faults
"""

from __future__ import annotations

import argparse
import contextlib
import errno
import itertools
import os
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

from inspect_tui.errors import InspectError
from inspect_tui.files.log import writer as log
from inspect_tui.files.store import Store
from inspect_tui.workflow.inspection import Inspection, Target
from tests.campaigns import short_list

CALLS = (
    "open", "write", "fsync", "ftruncate", "close", "mkdir", "fstat", "dup", "unlink", "link",
    "rename", "replace",
)  # fmt: skip
ERRORS = (
    errno.ENOSPC, errno.EIO, errno.EROFS, errno.EACCES, errno.EINTR, errno.EDQUOT, errno.ESTALE,
    errno.ENOTSUP,
)  # fmt: skip
SHORT = -1
"""In place of an error: a write takes half of what it is given."""
BESIDE = (".lock", ".owner", ".owner-new", ".held")
"""Lock and names of who holds it: a courtesy, and nothing depends on them."""
TORN = b'[[entry]]\nn = 9\nkind = "no'


@dataclass
class Plan:
    """Which call fails, and how."""

    nth: int
    error: int
    lasting: bool
    seen: int = 0
    hit: str = ""


class Failing:
    """The system calls of `os` on files below a folder, one of which fails as planned."""

    def __init__(self, root: Path, plan: Plan) -> None:
        self.root = root
        self.plan = plan
        self.real = {name: getattr(os, name) for name in CALLS}
        self.mine: set[int] = set()

    def ours(self, first: object) -> bool:
        if isinstance(first, int):
            return first in self.mine
        whole = Path(os.fspath(first)).absolute()  # type: ignore[call-overload]
        return whole.is_relative_to(self.root) and not whole.name.endswith(BESIDE)

    def call(self, name: str) -> Callable[..., object]:
        def stand_in(first, *rest, **named):
            if name == "open" and _only_reads(first, rest):
                return self.real[name](first, *rest, **named)
            # A folder that is there already needs no making: nothing depends on that call.
            ours = self.ours(first) and not (name == "mkdir" and Path(first).is_dir())
            if ours and self._fails(name):
                if self.plan.error == SHORT:
                    data = bytes(rest[0])
                    return self.real["write"](first, data[: max(len(data) // 2, 1)])
                if name == "close":  # the system closes it all the same
                    self.real["close"](first)
                raise OSError(self.plan.error, os.strerror(self.plan.error))
            done = self.real[name](first, *rest, **named)
            if name in ("open", "dup") and ours:
                self.mine.add(done)
            elif name == "close":
                self.mine.discard(first)
            return done

        return stand_in

    def _fails(self, name: str) -> bool:
        plan = self.plan
        if plan.error == SHORT and name != "write":
            return False
        plan.seen += 1
        fails = plan.seen == plan.nth or (plan.lasting and plan.seen > plan.nth)
        # An interrupted call is tried again by every program: for ever it would go on for ever.
        if fails and not (plan.error == errno.EINTR and plan.hit):
            plan.hit = plan.hit or name
            return True
        return False


def _only_reads(path: object, rest: tuple[object, ...]) -> bool:
    """Whether a file is opened to be read, or is the index, which is never the truth."""
    writes = os.O_WRONLY | os.O_RDWR
    index = Path(os.fspath(path)).name.startswith("index")  # type: ignore[call-overload]
    return index or not (isinstance(rest[0], int) and rest[0] & writes)


@contextlib.contextmanager
def failing(root: Path, plan: Plan) -> Iterator[None]:
    """Let the plan's call fail."""
    layer = Failing(root, plan)
    try:
        for name in CALLS:
            setattr(os, name, layer.call(name))
        yield
    finally:
        for name in CALLS:
            setattr(os, name, layer.real[name])


@dataclass
class Walked:
    """What came of a session's walk."""

    path: Path | None = None
    seals: tuple[str, ...] = ()
    """Acknowledged."""
    said: list[str] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


class Session:
    """A person who begins a session, records, signs and closes it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.places = Store(folder / "store")
        ticks = itertools.count()
        start = datetime(2026, 11, 2, 18, 0, tzinfo=UTC)
        self.now = lambda: start + timedelta(seconds=next(ticks))
        self.walked = Walked()

    def new(self) -> Inspection:
        lists = short_list.put(self.folder / "lists")
        return Inspection.new(self.places, *lists, "A. Tester", self.now)

    def again(self) -> Inspection:
        assert self.walked.path is not None
        return Inspection.open(self.places, str(self.walked.path), self.now)

    def go(self, begin: Callable[[], Inspection]) -> None:
        """The whole of it; what is raised is said, as the screens and commands do."""
        held = self._try("begin", begin)
        if held is None:
            return
        self._acknowledge(held)
        acts: tuple[tuple[str, Callable[[], object]], ...] = (
            ("record", lambda: held.record([(Target("belt", "width"), "31.7")])),
            ("note", lambda: held.note("belt", "a long word " * 90)),
            ("record", lambda: held.record([(Target("belt", "width"), "31.6")], "as-left")),
            ("sign", lambda: held.sign("A. Tester", "as it is")),
        )
        for name, act in acts:
            before = len(held.entries)
            if self._try(name, act, hollow=True) is not None:
                self._acknowledge(held)
            elif len(held.entries) != before:
                self.walked.faults.append(f"{name}: shown as recorded, and not saved")
        self._try("close", held.close, hollow=True)
        self.walked.notes += [held.log.close_note] if held.log.close_note else []

    def _try(self, name: str, act: Callable[[], object], hollow: bool = False):
        try:
            done = act()
        except InspectError as error:
            self.walked.said.append(f"{name}: {error}")
            # The words are the program's own, never the system's alone.
            if not str(error).endswith((".", "?")) or "Errno" in str(error):
                self.walked.faults.append(f"{name}: no sentence: {error}")
            return None
        except Exception as error:
            self.walked.faults.append(f"{name}: {type(error).__name__}: {error}")
            return None
        return True if hollow else done

    def _acknowledge(self, held: Inspection) -> None:
        self.walked.path = held.log.path
        self.walked.seals = tuple(entry.seal for entry in held.entries)


def after(session: Session, plan: Plan) -> list[str]:
    """What is wrong once the disk is sound again."""
    walked = session.walked
    faults = list(walked.faults)
    if plan.hit and not (walked.said or walked.notes) and not borne(plan):
        faults.append("nothing was said")
    if walked.path is None:
        with session.new():
            return faults
    contents = log.read(walked.path)
    seals = tuple(entry.seal for entry in contents.entries)
    if contents.problems or seals[: len(walked.seals)] != walked.seals:
        faults.append(f"lost: {len(walked.seals)} acknowledged, {len(seals)} there")
    if not plan.lasting and len(seals) > len(walked.seals):
        faults.append("what was not acknowledged is there all the same")
    try:
        with session.again() as held:
            if held.session.signed is None:
                held.note("belt", "the disk is sound again")
            else:
                held.addendum("the disk is sound again")
    except InspectError as error:
        faults.append(f"it can't be gone on with: {error}")
    if not log.read(walked.path).whole:
        faults.append("it doesn't verify afterwards")
    return faults


def borne(plan: Plan) -> bool:
    """What may fail without a word, because nothing depends on it."""
    return (
        plan.error in (SHORT, errno.EINTR)  # gone on with
        or plan.hit in ("close", "unlink")  # of folders and of files beside the log
        or (plan.hit == "fsync" and plan.error == errno.ENOTSUP)  # a disk that flushes no folders
    )


def begun(folder: Path, torn: bool) -> tuple[Session, Callable[[], Inspection]]:
    """A session not begun yet; or one there already, with a torn end."""
    (folder / "lists").mkdir()
    session = Session(folder)
    if not torn:
        return session, session.new
    with session.new() as held:
        session._acknowledge(held)
    assert session.walked.path is not None
    with session.walked.path.open("ab") as file:
        file.write(TORN)
    return session, session.again


def one(folder: Path, torn: bool, plan: Plan) -> list[str]:
    """One walk with one plan."""
    session, begin = begun(folder, torn)
    with failing(session.places.store, plan):
        session.go(begin)
    faults = after(session, plan)
    if torn and session.walked.path is not None:
        aside = session.walked.path.with_suffix(".torn")
        if TORN not in aside.read_bytes():
            faults.append("the torn end is gone")
    return faults


def campaign(folder: Path, errors: Sequence[int] = (*ERRORS, SHORT)) -> tuple[int, list[str]]:
    """Every call of both walks, failing in these ways: cases and faults."""
    cases, faults = 0, []
    for torn, error, lasting in itertools.product((False, True), errors, (False, True)):
        for nth in itertools.count(1):
            plan = Plan(nth, error, lasting)
            place = folder / f"{torn}-{error}-{lasting}-{nth}"
            place.mkdir()
            found = one(place, torn, plan)
            if not plan.hit:
                break
            cases += 1
            how = "short" if error == SHORT else errno.errorcode[error]
            times = "from then on" if lasting else "once"
            faults += [
                f"{how} {times} at call {nth} ({plan.hit}), torn={torn}: {fault}" for fault in found
            ]
    return cases, faults


def main() -> int:
    argparse.ArgumentParser(description=__doc__).parse_args()
    with tempfile.TemporaryDirectory() as folder:
        cases, faults = campaign(Path(folder).resolve())
    for fault in faults[:30]:
        print(fault, file=sys.stderr)
    print(f"faults: {cases} cases, {len(faults)} faults found")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
