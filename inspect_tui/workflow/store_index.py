"""The store's index, held to its logs: which sessions there are, what machines carry, words.

Whoever asks gets an answer from the index; where there can't be one, from the logs themselves. Only
logs that changed are read again, in several processes where they are many.
"""

from __future__ import annotations

import hashlib
import os
import re
import sqlite3
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from itertools import islice
from pathlib import Path
from typing import Final, TypeVar

import msgspec

from inspect_tui.core.seasons.machine_state import MachineState, state_after
from inspect_tui.core.seasons.summary import SessionSummary, counted
from inspect_tui.errors import BadInput, Damaged, InspectError
from inspect_tui.files.disk import bytes_of
from inspect_tui.files.index import Index, IndexedLog, Signature, discard
from inspect_tui.files.store import Store, list_sessions
from inspect_tui.workflow.session_line import SessionLine, broken_line, line_of

Progress = Callable[[int, int], None]
"""How many of how many logs were read."""
Part = TypeVar("Part")
MANY: Final = 200
"""Logs from which on several processes read them."""
_AT_ONCE: Final = 50
_TAIL: Final = 10
"""A machine's newest sessions, which still change, stay out of its kept state."""
_NEVER: Final = datetime.min.replace(tzinfo=UTC)

Row = tuple[Signature, bytes, IndexedLog]


class StoreIndex:
    """The index of a store, and how it is brought up to date."""

    def __init__(self, store: Store, index: Index) -> None:
        self.store = store
        self._index = index

    def refresh(self, *, whole: bool = False, progress: Progress | None = None) -> int:
        """Read what changed; how many logs that were.

        Args:
            whole: Look at every log rather than at the folder and the open ones.
            progress: Told how far it is. It may be broken off: what was read is kept.
        """
        if not self._index.writable:
            return 0
        changed, gone = self._index.changed(whole=whole)
        self._index.remove(gone)
        paths = [self.store.log(name) for name in changed]
        done = 0
        for rows in _in_lots(_rows(paths), _AT_ONCE):
            self._index.put(rows)
            done += len(rows)
            if progress is not None:
                progress(done, len(paths))
        return len(changed) + len(gone)

    def look_again(self) -> int:
        """The whole look, if the last one is a while ago; how many logs were read."""
        return self.refresh(whole=True) if self._index.wants_whole_look() else 0

    def lines(self, most: int | None = None) -> list[SessionLine]:
        """The sessions, the last used first."""
        return [msgspec.msgpack.decode(each, type=SessionLine) for each in self._index.lines(most)]

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
def opened_index(store: Store, progress: Progress | None = None) -> Iterator[StoreIndex | None]:
    """The store's index, up to date as far as a quick look tells; None where there can be none."""
    index = Index.open(store)
    if index is None:
        yield None
        return
    with index:
        found = StoreIndex(store, index)
        found.refresh(progress=progress)
        yield found


def asked(
    store: Store, question: Callable[[StoreIndex], Part], without: Callable[[], Part]
) -> Part:
    """What the index answers; where it is damaged it is made anew and asked again.

    Args:
        store: Whose index.
        question: Asked of the index.
        without: The answer from the logs themselves, where there can be no index.
    """
    for _ in range(2):
        try:
            with opened_index(store) as index:
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

    return asked(store, lambda index: index.state(machine, before), without)


def summaries(store: Store, machine: str) -> list[SessionSummary]:
    """All sessions of a machine that count, oldest first."""
    return counted(
        asked(
            store,
            lambda index: index.summaries(machine),
            lambda: summaries_from_logs(store, machine),
        )
    )


def all_summaries(store: Store) -> list[SessionSummary]:
    """Every session that counts, of every machine, without an index."""
    return counted(summaries_from_logs(store))


def search_logs(store: Store, words: str) -> list[tuple[str, int, str, str]]:
    """What `search` finds, without an index: every log is read."""
    wanted = [word.casefold() for word in re.findall(r"\w+", words)]
    rows = (row for row in map(read_row, list_sessions(store)) if row is not None and wanted)
    return [
        (log.id, n, step, text)
        for _, _, log in rows
        for n, step, text in log.texts
        if all(_holds(text, word) for word in wanted)
    ]


def _holds(text: str, word: str) -> bool:
    return any(each.startswith(word) for each in re.findall(r"\w+", text.casefold()))


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
        evaluated = evaluate_entries(contents.entries)
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


def _rows(paths: list[Path]) -> Iterator[Row]:
    if len(paths) < MANY:
        found: Iterable[Row | None] = map(read_row, paths)
        yield from (row for row in found if row is not None)
        return
    import multiprocessing
    from concurrent.futures import ProcessPoolExecutor

    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(min(os.cpu_count() or 1, 8), context) as pool:
        yield from (row for row in pool.map(read_row, paths, chunksize=_AT_ONCE) if row is not None)


def _in_lots(rows: Iterator[Row], size: int) -> Iterator[list[Row]]:
    while lot := list(islice(rows, size)):
        yield lot


def _summary(log: IndexedLog) -> SessionSummary:
    if not log.summary:
        return SessionSummary(log.id, "", "", "set-aside", _NEVER, _NEVER, (), (), ())
    return msgspec.msgpack.decode(log.summary, type=SessionSummary)


def _text(at: datetime) -> str:
    return at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%f") if at > _NEVER else ""
