"""An index of the store's logs, so that a bench with thousands of them answers as one with ten.

It is never the truth: a row says what a log said when its size, times, inode and hash were as they
stand beside it, and carries a checksum of itself; an index that is absent, older or damaged is made
anew. SQLite with a write-ahead log; each computer keeps one of its own, since such a log can't be
shared over a network folder.

What was refused: looking at every log before the first line (10,000 of them take longer than the
rest of the command), so `changed` looks at the folder and at the open logs, and the caller asks for
the whole look once it has answered.
"""

from __future__ import annotations

import hashlib
import os
import re
import sqlite3
import time
import unicodedata
import zlib
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final, Self

from inspect_tui.errors import BadInput, Damaged
from inspect_tui.files.disk import bytes_of, reason_in_words
from inspect_tui.files.index_file import connected, path_of, remove
from inspect_tui.files.store import Store, can_be_session_id

MOST_FOUND: Final = 500
"""Entries that a search gives at the most."""
OPEN_LOOKED_AT: Final = 200
"""How many open logs, the newest, are looked at before an answer."""
WHOLE_LOOK: Final = 60_000_000_000
"""Nanoseconds after which every log is looked at again, once the answer was given."""
_UNSETTLED: Final = 2_000_000_000
"""Nanoseconds after a change in which clocks may not show the next one."""


@dataclass(frozen=True, slots=True)
class IndexedLog:
    """What the index keeps of one log."""

    id: str
    machine: str
    state: str
    opened: str
    """ISO in UTC, so that text sorts as time."""
    last: str
    line: bytes
    """The session's line in a list, packed."""
    summary: bytes
    """What later sessions want to know of it, packed."""
    texts: Sequence[tuple[int, str, str]] = ()
    """By entry: its number, its step, its words."""

    @property
    def checksum(self) -> int:
        """Of everything that is answered from the row."""
        head = "\0".join((self.id, self.machine, self.state, self.opened, self.last))
        return zlib.crc32(self.summary, zlib.crc32(self.line, zlib.crc32(head.encode())))


def _as_kept(number: int) -> int:
    """A number as the database holds it, in 63 bits and a sign: times past 2262 need more."""
    return (number + 2**63) % 2**64 - 2**63


@dataclass(frozen=True, slots=True)
class Signature:
    """By what a changed log is known."""

    size: int
    mtime: int
    ctime: int
    ino: int

    @classmethod
    def of(cls, path: str | Path) -> Signature:
        """Of a file, not of what a link points to. Raises OSError."""
        at = Path(path).lstat()
        return cls(*map(_as_kept, (at.st_size, at.st_mtime_ns, at.st_ctime_ns, at.st_ino)))


class Index:
    """The open index of one store."""

    def __init__(self, store: Store, database: sqlite3.Connection, *, writable: bool) -> None:
        self.store = store
        self.writable = writable
        self._database = database

    @classmethod
    def open(cls, store: Store) -> Self | None:
        """The store's index, made where it is absent, older or damaged.

        None where the folder takes none (a store that can only be read and has none yet).
        """
        path = path_of(store)
        for _ in range(2):
            try:
                return cls(store, connected(path, store), writable=True)
            except sqlite3.OperationalError:
                if path.exists() and os.access(path, os.R_OK) and not os.access(path, os.W_OK):
                    return cls._read_only(store, path)
                if not remove(path):
                    return None
            except (sqlite3.DatabaseError, Damaged):
                if not remove(path):
                    return None
            except OSError:
                return None
        return None

    @classmethod
    def _read_only(cls, store: Store, path: Path) -> Self | None:
        for how in ("mode=ro", "mode=ro&immutable=1"):
            try:
                database = sqlite3.connect(f"{path.as_uri()}?{how}", uri=True, timeout=5)
            except sqlite3.DatabaseError:
                continue
            try:
                database.execute("select count(*) from meta").fetchone()
            except sqlite3.DatabaseError:
                database.close()
                continue
            return cls(store, database, writable=False)
        return None

    def close(self) -> None:
        """Give the database back."""
        self._database.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *about: object) -> None:
        self.close()

    # --- what changed -----------------------------------------------------------------------

    def changed(self, *, whole: bool) -> tuple[list[str], list[str]]:
        """The sessions whose logs are new or changed, and those that are gone.

        Args:
            whole: Look at every log; else at the folder, and at the newest open logs.
        """
        folder = self.store.sessions
        try:
            stamp = _as_kept(folder.stat().st_mtime_ns)
        except OSError:
            return [], [row[0] for row in self._database.execute("select id from log")]
        settled = stamp == self._meta("folder")
        if whole:
            names = _names(folder)
            known = {row[0]: row[1:] for row in self._database.execute(_SIGNATURES)}
        elif settled:
            names = None
            known = {}
        else:
            names = _names(folder)
            known = {row[0]: () for row in self._database.execute("select id from log")}
        gone = [] if names is None else [each for each in known if each not in names]
        fresh = [] if names is None else sorted(each for each in names if each not in known)
        looked_at = known.items() if whole else self._open_signatures()
        moved = [name for name, row in looked_at if name not in gone and self._moved(name, row)]
        if not (fresh or gone or moved):
            if not settled and time.time_ns() - stamp > _UNSETTLED:
                self._set_meta("folder", stamp)
            if whole:
                self._set_meta("whole", time.time_ns())
        return fresh + moved, gone

    def wants_whole_look(self) -> bool:
        """Whether the last whole look is a while ago."""
        return time.time_ns() - (self._meta("whole") or 0) > WHOLE_LOOK

    def _open_signatures(self) -> list[tuple[str, tuple[Any, ...]]]:
        rows = self._database.execute(
            f"{_SIGNATURES} where state = 'open' order by last desc, id desc limit ?",
            (OPEN_LOOKED_AT,),
        )
        return [(row[0], row[1:]) for row in rows]

    def _moved(self, name: str, row: Sequence[Any]) -> bool:
        """Whether a log is another one than was indexed, by its signature, then by its hash."""
        path = self.store.log(name)
        try:
            now = Signature.of(path)
        except OSError:
            return True
        size, mtime, ctime, ino, looked, digest = row
        same = (now.size, now.mtime, now.ctime, now.ino) == (size, mtime, ctime, ino)
        if same and looked - max(mtime, ctime) > _UNSETTLED:
            return False
        if now.size != size or _hash(path) != digest:
            return True
        with self._writing():
            self._database.execute(
                "update log set mtime=?, ctime=?, ino=?, looked=? where id=?",
                (now.mtime, now.ctime, now.ino, time.time_ns(), name),
            )
        return False

    # --- writing ----------------------------------------------------------------------------

    def put(self, logs: Iterable[tuple[Signature, bytes, IndexedLog]]) -> None:
        """Keep what these logs say, each with the signature and hash of the bytes that said it."""
        with self._writing():
            for signature, digest, log in logs:
                self._forget(log.id)
                self._database.execute(
                    "insert into log values (?,?,?,?,?,?,?,?,?,?,?,?,?,?)",
                    (
                        log.id, signature.size, signature.mtime, signature.ctime, signature.ino,
                        digest, time.time_ns(), log.machine, log.state, log.opened, log.last,
                        log.line, log.summary, log.checksum,
                    ),
                )  # fmt: skip
                for n, step, text in log.texts:
                    at = self._database.execute(
                        "insert into entry values (?,?,?,?)", (log.id, n, step, text)
                    ).lastrowid
                    self._database.execute(
                        "insert into words (rowid, text) values (?,?)", (at, text)
                    )
                self._unsettle(log.machine, log.opened, log.id)

    def remove(self, names: Iterable[str]) -> None:
        """Forget logs that are gone."""
        with self._writing():
            for name in names:
                self._forget(name)

    def _forget(self, name: str) -> None:
        before = self._database.execute(
            "select machine, opened from log where id=?", (name,)
        ).fetchone()
        if before is None:
            return
        self._unsettle(before[0], before[1], name)
        for at, text in self._database.execute(
            "select rowid, text from entry where session=?", (name,)
        ).fetchall():
            self._database.execute(
                "insert into words (words, rowid, text) values ('delete',?,?)", (at, text)
            )
        self._database.execute("delete from entry where session=?", (name,))
        self._database.execute("delete from log where id=?", (name,))

    def _unsettle(self, machine: str, opened: str, session: str) -> None:
        """A machine's log changed: what was worked out from it and later ones no longer holds."""
        self._database.execute(
            "delete from machine where id=? and (opened, session) >= (?,?)",
            (machine, opened, session),
        )
        if machine:
            self._database.execute("insert or ignore into unsure values (?)", (machine,))

    def unsure(self) -> list[str]:
        """Machines whose logs changed since what is due on them was kept."""
        return [row[0] for row in self._database.execute("select machine from unsure")]

    def settle(self, machine: str, due: Callable[[], Sequence[tuple[str, bytes]]]) -> None:
        """Keep what is due on a machine, worked out while nobody else writes.

        Args:
            machine: Whose logs changed.
            due: Gives for each row the first day on which it may be due, and the row, packed. The
                day is ISO, so that text sorts as time.
        """
        with self._writing():
            rows = [(machine, n, day, row, zlib.crc32(row)) for n, (day, row) in enumerate(due())]
            self._database.execute("delete from due where machine=?", (machine,))
            self._database.executemany("insert into due values (?,?,?,?,?)", rows)
            self._database.execute("delete from unsure where machine=?", (machine,))

    def keep_state(self, machine: str, opened: str, session: str, state: bytes) -> None:
        """Keep a machine's state after all its sessions up to and with this one."""
        if self.writable:
            with self._writing():
                self._database.execute(
                    "insert or replace into machine values (?,?,?,?,?)",
                    (machine, opened, session, state, zlib.crc32(state)),
                )

    # --- asking -----------------------------------------------------------------------------

    def lines(self, most: int | None = None, *, open_ones: bool | None = None) -> Iterator[bytes]:
        """The sessions' packed lines, the last used first: all, those left open, or the others.

        Raises Damaged, on the way too.
        """
        where = "" if open_ones is None else f"where state {'=' if open_ones else '<>'} 'open'"
        rows = self._database.execute(
            f"select {_ROW} from log {where} order by last desc, id desc limit ?",
            (-1 if most is None else most,),
        )
        for row in rows:
            yield _checked(row).line

    def count(self) -> int:
        """How many sessions there are."""
        return int(self._database.execute("select count(*) from log").fetchone()[0])

    def newest_of(self, machine: str) -> bytes | None:
        """The packed line of a machine's newest session. Raises Damaged."""
        row = self._database.execute(
            f"select {_ROW} from log where machine=? order by opened desc, id desc limit 1",
            (machine,),
        ).fetchone()
        return None if row is None else _checked(row).line

    def due(self, machine: str | None = None, most: int | None = None) -> Iterator[bytes]:
        """What is due, packed: of one machine, else those that come first, else all in order.

        Raises Damaged, on the way too.
        """
        where, given = ("", ()) if machine is None else ("where machine=?", (machine,))
        order = "machine, n" if most is None else "first, machine, n"
        rows = self._database.execute(
            f"select machine, row, crc from due {where} order by {order} limit ?",
            (*given, -1 if most is None else most),
        )
        for name, row, crc in rows:
            if not isinstance(row, bytes) or zlib.crc32(row) != crc:
                raise Damaged(f"what is due on {name}")
            yield row

    def last(self) -> str | None:
        """The session with the newest entry: of the open ones, else of the signed ones."""
        for state in ("open", "signed"):
            row = self._database.execute(
                f"select {_ROW} from log where state=? order by last desc, id desc limit 1",
                (state,),
            ).fetchone()
            if row is not None:
                return _checked(row).id
        return None

    def machines(self) -> list[str]:
        """The ids of the machines that have sessions."""
        return [
            row[0] for row in self._database.execute("select distinct machine from log") if row[0]
        ]

    def state_of(self, machine: str) -> tuple[str, str, bytes] | None:
        """A machine's kept state, and the session after which it stands. Raises Damaged."""
        row = self._database.execute(
            "select opened, session, state, crc from machine where id=?", (machine,)
        ).fetchone()
        if row is None:
            return None
        if zlib.crc32(row[2]) != row[3]:
            raise Damaged(f"the state of {machine}")
        return row[0], row[1], row[2]

    def logs_of(self, machine: str, after: tuple[str, str] = ("", "")) -> list[IndexedLog]:
        """A machine's logs, oldest first, begun after a session. Raises Damaged."""
        rows = self._database.execute(
            f"select {_ROW} from log where machine=? and (opened, id) > (?,?) order by opened, id",
            (machine, *after),
        )
        return [_checked(row) for row in rows]

    def search(self, words: str, most: int = MOST_FOUND) -> list[tuple[str, int, str, str]]:
        """Entries whose text holds every word, or its beginning: session, number, step, text.

        Where more than `most` have it, those that were read last: so nobody waits for all of them.
        """
        wanted = " ".join(f'"{word}"*' for word in words_in(words))
        if not wanted:
            return []
        rows = self._database.execute(
            "select session, n, step, entry.text from words join entry on entry.rowid=words.rowid "
            "where words match ? order by words.rowid desc limit ?",
            (wanted, most),
        )
        return newest_first(rows)

    # --- inside -----------------------------------------------------------------------------

    @contextmanager
    def _writing(self) -> Iterator[None]:
        if not self.writable or self._database.in_transaction:
            yield
            return
        self._database.execute("begin immediate")
        try:
            yield
        except BaseException:
            self._database.execute("rollback")
            raise
        self._database.execute("commit")

    def _meta(self, name: str) -> int | None:
        row = self._database.execute("select value from meta where name=?", (name,)).fetchone()
        return None if row is None else int(row[0])

    def _set_meta(self, name: str, value: int) -> None:
        if self.writable:
            with self._writing():
                self._database.execute("insert or replace into meta values (?,?)", (name, value))


_SIGNATURES: Final = "select id, size, mtime, ctime, ino, looked, hash from log"
_ROW: Final = "id, machine, state, opened, last, line, summary, crc"


def words_in(text: str) -> list[str]:
    """The words of a text, composed: a letter and its accent are one."""
    return re.findall(r"[^\W_]+", unicodedata.normalize("NFC", text))


def newest_first(
    found: Iterable[tuple[str, int, str, str]],
) -> list[tuple[str, int, str, str]]:
    """Entries by session, which begins with its day, the newest first; within it in their order."""
    ordered = sorted(found, key=lambda row: row[1])
    return sorted(ordered, key=lambda row: row[0], reverse=True)


def _checked(row: Sequence[object]) -> IndexedLog:
    log = IndexedLog(*row[:7])  # type: ignore[arg-type]
    try:
        right = log.checksum == row[7]
    except (TypeError, AttributeError):
        right = False
    if not right:
        raise Damaged(f"the row of {row[0]!r}")
    return log


def _names(folder: Path) -> set[str]:
    try:
        with os.scandir(folder) as found:
            return {
                name
                for each in found
                if each.name.endswith(".toml")
                and can_be_session_id(name := each.name[:-5])
                and each.is_file()
            }
    except OSError as error:
        raise BadInput(f"{folder} can't be looked into: {reason_in_words(error)}.") from error


def _hash(path: Path) -> bytes:
    try:
        return hashlib.sha256(bytes_of(path, "log")).digest()
    except BadInput:
        return b""
