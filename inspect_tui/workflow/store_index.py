"""The store's index, held to its logs: which sessions there are, what machines carry, words.

Whoever asks gets an answer from the index; where there can't be one, from the logs themselves. Only
logs that changed are read again, in several processes where they are many.
"""

from __future__ import annotations

import hashlib
import os
import signal
import sqlite3
import sys
import unicodedata
from collections.abc import Callable, Generator, Iterable, Iterator
from contextlib import closing, contextmanager, redirect_stderr
from datetime import UTC, date, datetime
from functools import partial
from itertools import islice
from pathlib import Path
from typing import Final, TypeVar

import msgspec

from inspect_tui.core.seasons.due import Due, as_of, due_of, first_day
from inspect_tui.core.seasons.due_words import most_pressing
from inspect_tui.core.seasons.machine_state import MachineState, state_after
from inspect_tui.core.seasons.summary import SessionSummary, counted
from inspect_tui.core.text.formatting import pluralize
from inspect_tui.errors import BadInput, BrokenOff, Damaged, InspectError
from inspect_tui.files.disk import bytes_of
from inspect_tui.files.index import MOST_FOUND, Index, IndexedLog, Signature, newest_first, words_in
from inspect_tui.files.index_file import discard
from inspect_tui.files.kept_definitions import KeptDefinitions
from inspect_tui.files.store import Store, list_sessions
from inspect_tui.workflow.session_line import SessionLine, broken_line, line_of

Progress = Callable[[int, int], None]
"""How many of how many logs were read."""
Part = TypeVar("Part")
MANY: Final = 200
"""Logs from which on several processes read them."""
_AT_ONCE: Final = 50
"""Logs that are kept together."""
_A_TURN: Final = 10
"""Logs that a process reads before it can be broken off."""
_TAIL: Final = 10
"""A machine's newest sessions, which still change, stay out of its kept state."""
_EPOCH: Final = date(1970, 1, 1)
"""Rows of the calendar are kept as of some day, and put right on the day that they are shown."""
_NEVER: Final = datetime.min.replace(tzinfo=UTC)

Row = tuple[Signature, bytes, IndexedLog]


class StoreIndex:
    """The index of a store, and how it is brought up to date."""

    def __init__(self, store: Store, index: Index) -> None:
        self.store = store
        self._index = index

    def refresh(
        self, *, whole: bool = False, progress: Progress | None = None, but: str = ""
    ) -> int:
        """Read what changed; how many logs that were.

        Args:
            whole: Look at every log rather than at the folder and the open ones.
            progress: Told how far it is. It may be broken off: what was read is kept.
            but: A session that may be as the index has it, however its log has changed.
        """
        if not self._index.writable:
            return 0
        changed, gone = self._index.changed(whole=whole)
        changed = [each for each in changed if each != but]
        self._index.remove(gone)
        self._read([self.store.log(name) for name in changed], progress)
        self.settle()
        return len(changed) + len(gone)

    def settle(self) -> None:
        """Work out what is due on machines whose logs changed."""
        for machine in self._index.unsure():
            self._index.settle(machine, partial(self._due_packed, machine))

    def _read(self, paths: list[Path], progress: Progress | None) -> None:
        """Read logs into the index, lot by lot. Raises BrokenOff."""
        done, of = 0, len(paths)
        try:
            if progress is not None and paths:
                progress(0, of)
            with closing(_rows(paths)) as read:
                for rows in _in_lots(read, _AT_ONCE):
                    self._index.put(rows)
                    done += len(rows)
                    if progress is not None:
                        progress(done, of)
        except KeyboardInterrupt:
            raise BrokenOff(
                f"Stopped: {done} of {pluralize(of, 'log')} were read and are kept; "
                "the next time goes on from there."
            ) from None

    def _due_packed(self, machine: str) -> list[tuple[str, bytes]]:
        rows = due_of(machine, self.state(machine), _EPOCH)
        return [(first_day(row), msgspec.msgpack.encode(row)) for row in rows]

    def due(self, today: date, machine: str | None = None, most: int | None = None) -> list[Due]:
        """What is due, of one machine or of all; with `most` so many that may come first."""
        if not self._index.writable and self._index.unsure():
            machines = self.machines() if machine is None else [machine]
            rows = [row for each in machines for row in due_of(each, self.state(each), today)]
            return rows if most is None else most_pressing(rows)[:most]
        packed = self._index.due(machine, most)
        return [as_of(msgspec.msgpack.decode(each, type=Due), today) for each in packed]

    def count(self) -> int:
        """How many sessions there are."""
        return self._index.count()

    def name_of(self, machine: str) -> str:
        """What a machine is called in its newest session."""
        line = self._index.newest_of(machine)
        return machine if line is None else msgspec.msgpack.decode(line, type=SessionLine).machine

    def look_again(self) -> int:
        """The whole look, if the last one is a while ago; how many logs were read."""
        return self.refresh(whole=True) if self._index.wants_whole_look() else 0

    def lines(
        self, most: int | None = None, *, open_ones: bool | None = None
    ) -> Iterator[SessionLine]:
        """The sessions, the last used first: all, those left open, or the others."""
        for each in self._index.lines(most, open_ones=open_ones):
            yield msgspec.msgpack.decode(each, type=SessionLine)

    def last(self) -> str | None:
        """The session that `last` means; None where there is none."""
        return self._index.last()

    def machines(self) -> list[str]:
        """Machines that have sessions."""
        return sorted(self._index.machines())

    def summaries(self, machine: str) -> list[SessionSummary]:
        """All sessions of a machine, oldest first."""
        return [_summary(each) for each in self._index.logs_of(machine)]

    def state(self, machine: str, before: tuple[datetime, str] | None = None) -> MachineState:
        """A machine after its sessions, or after those begun before one."""
        kept = self._index.state_of(machine)
        border = None if before is None else (_text(before[0]), before[1])
        if kept is None or (border is not None and kept[:2] >= border):
            return self._anew(machine, border)
        state = msgspec.msgpack.decode(kept[2], type=MachineState)
        rest = self._index.logs_of(machine, kept[:2])
        if len(rest) > 3 * _TAIL:
            return self._anew(machine, border)
        for log in rest:
            if border is None or (log.opened, log.id) < border:
                state.take(_summary(log))
        return state

    def _anew(self, machine: str, border: tuple[str, str] | None) -> MachineState:
        logs = self._index.logs_of(machine)
        state, settled = MachineState(), len(logs) - _TAIL
        for number, log in enumerate(logs):
            if border is not None and (log.opened, log.id) >= border:
                break
            state.take(_summary(log))
            if number == settled - 1:
                packed = msgspec.msgpack.encode(state)
                self._index.keep_state(machine, log.opened, log.id, packed)
        return state

    def search(self, words: str) -> list[tuple[str, int, str, str]]:
        """Entries that hold the words: session, number, step, text."""
        return self._index.search(words)


@contextmanager
def opened_index(
    store: Store, progress: Progress | None = None, but: str = ""
) -> Iterator[StoreIndex | None]:
    """The store's index, up to date as far as a quick look tells; None where there can be none."""
    index = Index.open(store)
    if index is None:
        yield None
        return
    with index:
        found = StoreIndex(store, index)
        found.refresh(progress=progress, but=but)
        yield found


def look_again(store: Store) -> int:
    """The whole look, once the answer was given, if the last one is a while ago.

    Returns:
        How many logs were read.
    """
    try:
        with opened_index(store) as index:
            return 0 if index is None else index.look_again()
    except (sqlite3.DatabaseError, Damaged, msgspec.MsgspecError):
        discard(store)
        return 0


def each_line(
    store: Store, without: Callable[[], Iterable[SessionLine]], progress: Progress | None = None
) -> Iterator[SessionLine]:
    """The sessions, the last used first, handed on while the rest is read.

    Args:
        store: Whose.
        without: All of them from the logs themselves, where there can be no index.
        progress: Told how far the index is with logs that changed.
    """
    given: set[str] = set()
    for _ in range(2):
        try:
            with opened_index(store, progress) as index:
                if index is None:
                    break
                for line in index.lines():
                    if line.id not in given:
                        given.add(line.id)
                        yield line
                return
        except (sqlite3.DatabaseError, Damaged, msgspec.MsgspecError):
            discard(store)
    yield from (line for line in without() if line.id not in given)


def asked(
    store: Store,
    question: Callable[[StoreIndex], Part],
    without: Callable[[], Part],
    progress: Progress | None = None,
    but: str = "",
) -> Part:
    """What the index answers; where it is damaged it is made anew and asked again.

    Args:
        store: Whose index.
        question: Asked of the index.
        without: The answer from the logs themselves, where there can be no index.
        progress: Told how far the index is with logs that changed.
        but: A session that the question is not about: the index need not be up to date with it.
    """
    for _ in range(2):
        try:
            with opened_index(store, progress, but) as index:
                return without() if index is None else question(index)
        except (sqlite3.DatabaseError, Damaged, msgspec.MsgspecError):
            discard(store)
    return without()


def machine_state(
    store: Store, machine: str, before: tuple[datetime, str] | None = None
) -> MachineState:
    """A machine after its sessions, or after those begun before one (when, and its id)."""

    def without() -> MachineState:
        found = summaries_from_logs(store, machine)
        return state_after(
            each for each in found if before is None or (each.opened, each.session) < before
        )

    # What asks is a session that is open, and changes all the time.
    but = "" if before is None else before[1]
    return asked(store, lambda index: index.state(machine, before), without, but=but)


def summaries(store: Store, machine: str, progress: Progress | None = None) -> list[SessionSummary]:
    """All sessions of a machine that count, oldest first."""
    return counted(
        asked(
            store,
            lambda index: index.summaries(machine),
            lambda: summaries_from_logs(store, machine),
            progress,
        )
    )


def all_summaries(store: Store) -> list[SessionSummary]:
    """Every session that counts, of every machine, without an index."""
    return counted(summaries_from_logs(store))


def search_logs(store: Store, words: str) -> list[tuple[str, int, str, str]]:
    """What `search` finds, without an index: every log is read."""
    wanted = _plain(words)
    rows = (row for row in map(read_row, list_sessions(store)) if row is not None and wanted)
    found = newest_first(
        (log.id, n, step, text)
        for _, _, log in rows
        for n, step, text in log.texts
        if all(_holds(text, word) for word in wanted)
    )
    return found[:MOST_FOUND]


def _holds(text: str, word: str) -> bool:
    return any(each.startswith(word) for each in _plain(text))


def _plain(text: str) -> list[str]:
    """Words as the index compares them: in small letters, without accents."""
    apart = unicodedata.normalize("NFD", " ".join(words_in(text)).lower())
    return "".join(each for each in apart if unicodedata.category(each) != "Mn").split()


def summaries_from_logs(store: Store, machine: str | None = None) -> list[SessionSummary]:
    """A machine's sessions, else those of all, without an index: every log is read."""
    rows = map(read_row, list_sessions(store))
    logs = (row[2] for row in rows if row is not None)
    return [_summary(log) for log in logs if machine is None or log.machine == machine]


def read_row(path: Path) -> Row | None:
    """What the index keeps of a log; None where it is gone. What can't be read is a row too."""
    # Late: where the index is up to date, no log is read and nothing is worked out.
    from inspect_tui.core.evaluation.evaluate_entries import evaluate_entries
    from inspect_tui.core.seasons.summary import summarize
    from inspect_tui.core.session.entry_words import words_of
    from inspect_tui.files.log import reader

    try:
        signature = Signature.of(path)
        data = bytes_of(path, "log")
    except (OSError, BadInput):
        return None
    digest = hashlib.sha256(data).digest()
    try:
        contents = reader.contents_of(data, path.name)
        # Of a thousand machines' sheets none would be found again: nothing new is kept.
        evaluated = evaluate_entries(
            contents.entries, KeptDefinitions.of_this_computer(writes=False)
        )
    except InspectError as error:
        line = broken_line(path.stem, error)
        packed = msgspec.msgpack.encode(line)
        return (
            signature,
            digest,
            IndexedLog(path.stem, "", "broken", "", _text(_NEVER), packed, b""),
        )
    session = evaluated.session
    line = line_of(path.stem, evaluated, contents.problems)
    summary = msgspec.structs.replace(summarize(evaluated), session=path.stem)
    log = IndexedLog(
        path.stem, summary.machine, session.state, _text(session.opened), _text(session.last),
        msgspec.msgpack.encode(line), msgspec.msgpack.encode(summary),
        words_of(contents.entries, evaluated.results.checklist),
    )  # fmt: skip
    return signature, digest, log


def _rows(paths: list[Path]) -> Generator[Row, None, None]:
    if len(paths) < MANY:
        found: Iterable[Row | None] = map(read_row, paths)
        yield from (row for row in found if row is not None)
        return
    import multiprocessing
    from concurrent.futures import BrokenExecutor, ProcessPoolExecutor

    seen, pool = 0, None
    try:
        _begin_tracking()
        context = multiprocessing.get_context("spawn")
        workers = min(os.cpu_count() or 1, 8)
        pool = ProcessPoolExecutor(workers, context, _leave_ending_to_the_parent)
        for row in pool.map(read_row, paths, chunksize=_A_TURN):
            seen += 1
            if row is not None:
                yield row
    except (BrokenExecutor, OSError, ValueError):  # none could begin, or one was killed
        yield from (row for row in map(read_row, paths[seen:]) if row is not None)
    finally:
        if pool is not None:
            pool.shutdown(cancel_futures=True)  # broken off, what waits is not read any more


def _begin_tracking() -> None:
    """Begin what looks after the processes, with the real stderr.

    It hands its number on, and what stands for stderr while a screen is drawn has none: no process
    could begin then.
    """
    from multiprocessing import resource_tracker

    with redirect_stderr(sys.__stderr__):
        resource_tracker.ensure_running()


def _leave_ending_to_the_parent() -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _in_lots(rows: Iterator[Row], size: int) -> Iterator[list[Row]]:
    while lot := list(islice(rows, size)):
        yield lot


def _summary(log: IndexedLog) -> SessionSummary:
    if not log.summary:
        return SessionSummary(log.id, "", "", "set-aside", _NEVER, _NEVER, (), (), ())
    return msgspec.msgpack.decode(log.summary, type=SessionSummary)


def _text(at: datetime) -> str:
    return at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%f") if at > _NEVER else ""
