"""The index's own file: where it lies, its tables, how it is made and thrown away."""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path
from typing import Final

from inspect_tui.errors import Damaged
from inspect_tui.files.disk import is_our_plain_file, make_folder
from inspect_tui.files.store import Store, computer_name

VERSION: Final = 8
"""Of the tables; another one is made anew."""
# Not `without rowid` where rows are long: each would take a page of its own beside the tree.
_TABLES: Final = """
create table meta (name text primary key, value integer) without rowid;
create table log (
    id text primary key, size integer, mtime integer, ctime integer, ino integer, hash blob,
    looked integer, machine text, state text, opened text, last text, line blob, summary blob,
    crc integer
);
create index log_last on log (last desc, id desc);
create index log_state on log (state, last desc, id desc);
create index log_machine on log (machine, opened, id);
create table entry (session text, n integer, step text, text text);
create index entry_session on entry (session);
create virtual table words using fts5 (
    text, content='entry', content_rowid='rowid', tokenize='unicode61 remove_diacritics 2'
);
create table machine (id text primary key, opened text, session text, state blob, crc integer);
create table due (
    machine text, n integer, first text, row blob, crc integer, primary key (machine, n)
) without rowid;
create index due_first on due (first, machine, n);
create table unsure (machine text primary key) without rowid;
"""


def path_of(store: Store) -> Path:
    """The index's file: one a computer."""
    return store.store / f"index-{computer_name()}.sqlite"


def discard(store: Store) -> None:
    """Throw the index away; the next one who asks makes it anew."""
    remove(path_of(store))


def connected(path: Path, store: Store) -> sqlite3.Connection:
    """The database, made where there is none. Raises OSError, sqlite3.DatabaseError, Damaged."""
    if not store.store.is_dir():
        raise OSError("no store yet")
    make_folder(store.store)
    refuse_odd(path)
    if not path.exists():
        os.close(os.open(path, os.O_RDWR | os.O_CREAT | os.O_NOFOLLOW, 0o600))
    database = sqlite3.connect(path, timeout=5, isolation_level=None, check_same_thread=False)
    try:
        database.execute("pragma journal_mode=wal")
        database.execute("pragma synchronous=normal")
        (version,) = database.execute("pragma user_version").fetchone()
        if version != VERSION:
            if version or database.execute("select count(*) from sqlite_master").fetchone()[0]:
                raise Damaged("another version")
            database.executescript(
                f"begin immediate;{_TABLES}pragma user_version={VERSION};commit;"
            )
    except BaseException:
        database.close()
        raise
    return database


def files_of(path: Path) -> tuple[Path, ...]:
    """The index's file, and those that SQLite opens beside it, whatever stands there."""
    return path, *(Path(f"{path}{suffix}") for suffix in ("-wal", "-shm", "-journal"))


def refuse_odd(path: Path) -> None:
    """Raise OSError where a link, a pipe, or another's file stands in one of their places.

    SQLite would wait at the pipe for ever, and write into a file that has a second name elsewhere.
    """
    for name in files_of(path):
        if os.path.lexists(name) and not is_our_plain_file(name):
            raise OSError(f"{name} is no file of ours")


def remove(path: Path) -> bool:
    """Whether the index is gone now."""
    try:
        for name in files_of(path):
            name.unlink(missing_ok=True)
    except OSError:
        return False
    return True
