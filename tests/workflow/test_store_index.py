"""The index of a store answers as its logs do, whatever became of it or of them."""

from __future__ import annotations

import os
import sqlite3
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from inspect_tui.core.seasons.machine_state import state_after
from inspect_tui.files.index import Index, path_of
from inspect_tui.files.store import Store
from inspect_tui.workflow import catalogue, store_index
from inspect_tui.workflow.inspection import Inspection, Target
from inspect_tui.workflow.resolve import session_id
from tests.builders import checklist, reading, section, step

CHECKLIST = checklist(
    section("drive"),
    step(
        "belt",
        reading("width", label="Width", uncertainty='"0.1 mm"', limit="{ min = 33 }"),
        title="Belt",
        every='["500 km"]',
    ),
    step(
        "meter", reading("odometer", unit="km", label="Odometer", meter='"odometer"'), title="Meter"
    ),
    id_="short",
    title="Short look",
)
SHEET = 'id = "sled"\nname = "The sled"\ncylinders = ["PTO", "MAG"]\n'


@pytest.fixture
def store(tmp_path):
    made = Store(tmp_path / "store")
    made.make()
    (made.checklists / "short.toml").write_text(CHECKLIST, encoding="utf-8")
    for machine in ("sled", "other"):
        text = SHEET.replace('"sled"', f'"{machine}"')
        (made.machines / f"{machine}.toml").write_text(text, encoding="utf-8")
    return made


def begin(store: Store, season: int, machine: str = "sled") -> str:
    """A session of one season: worn a little, driven a little."""
    at = datetime(2020 + season, 11, 5, tzinfo=UTC)

    def now() -> datetime:
        nonlocal at
        at += timedelta(seconds=1)
        return at

    with Inspection.new(store, "short", machine, "A. Tester", now) as made:
        made.record([(Target("meter", "odometer"), str(1000 + 400 * season))])
        made.record([(Target("belt", "width"), str(35 - 0.5 * season))])
        made.note("belt", f"glazed in season {season}")
        return made.session.id


def same(store: Store) -> None:
    """The index answers what the logs answer."""
    by_index = store_index.asked(store, lambda index: list(index.lines()), lambda: None)
    path = path_of(store)
    kept = path.read_bytes()
    path.unlink()
    path.mkdir()  # so that there can be no index
    try:
        by_logs = catalogue.sessions(store)
        everything = store_index.all_summaries(store)
        words = store_index.search_logs(store, "glazed")
    finally:
        path.rmdir()
        path.write_bytes(kept)
        for name in ("-wal", "-shm"):
            path.with_name(path.name + name).unlink(missing_ok=True)
    store_index.discard(store)
    assert by_index == by_logs == catalogue.sessions(store)
    for machine in {each.machine for each in everything}:
        mine = [each for each in everything if each.machine == machine]
        assert store_index.summaries(store, machine) == mine
        assert store_index.machine_state(store, machine) == state_after(mine)
    found = store_index.asked(store, lambda index: index.search("glazed"), lambda: None)
    assert sorted(found) == sorted(words)


def test_a_session_that_asks_is_not_read_for_its_own_answer(store, monkeypatch):
    """It is open and changes all the time; whoever asks of all sessions reads it then."""
    earlier, asking = begin(store, 1), begin(store, 2)
    read, real = [], store_index.read_row

    def noted(path):
        read.append(path.stem)
        return real(path)

    monkeypatch.setattr(store_index, "read_row", noted)
    with Inspection.open(store, asking, lambda: datetime(2030, 1, 1, tzinfo=UTC)) as made:
        made.note("belt", "changed since the index was made")
        (left,) = {each.session for each in made.earlier.lasts.values()}
    assert left == earlier
    assert asking not in read
    lines = store_index.asked(store, lambda index: list(index.lines()), list)
    assert asking in read
    assert {each.id for each in lines} == {earlier, asking}
    same(store)


def test_it_answers_as_the_logs(store):
    for season in range(3):
        begin(store, season)
        begin(store, season, "other")
        same(store)


def test_a_long_life_is_kept_as_a_state(store):
    names = [begin(store, season) for season in range(14)]
    everything = store_index.all_summaries(store)
    for _ in range(2):  # made, then kept
        assert store_index.machine_state(store, "sled") == state_after(everything)
    border = (everything[7].opened, names[7])
    assert store_index.machine_state(store, "sled", border) == state_after(everything[:7])
    # An old log changes under the kept state.
    with Inspection.open(store, names[0], lambda: datetime(2040, 1, 1, tzinfo=UTC)) as old:
        old.record([(Target("belt", "width"), "20")])
    state = store_index.machine_state(store, "sled")
    assert state == state_after(store_index.all_summaries(store))


def touched_back(path, data: bytes) -> None:
    """Rewritten in place with the modification time put back, as some sync programs do."""
    before = path.stat()
    path.write_bytes(data)
    os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))


def test_a_log_dropped_in_changed_or_gone_is_seen(store, tmp_path):
    first, second = begin(store, 0), begin(store, 1)
    assert len(catalogue.sessions(store)) == 2
    text = store.log(second).read_bytes()
    store.log(second).unlink()
    assert [line.id for line in catalogue.sessions(store)] == [first]
    store.log(second).write_bytes(text)
    assert {line.id for line in catalogue.sessions(store)} == {first, second}
    cut = text[: text.rindex(b"[[entry]]")]
    touched_back(store.log(second), cut)
    found = store_index.asked(store, lambda index: index.search("glazed season 1"), lambda: None)
    assert not found


def test_a_signed_log_changed_in_place_is_seen_by_the_whole_look(store):
    name = begin(store, 0)
    with Inspection.open(store, name, lambda: datetime(2030, 1, 1, tzinfo=UTC)) as done:
        done.sign("A. Tester")
    assert catalogue.sessions(store)[0].state == "signed" and session_id(store, "last") == name
    newer = begin(store, 1, "other")
    assert session_id(store, "last") == newer
    store.log(newer).unlink()
    path = store.log(name)
    text = path.read_bytes()
    touched_back(path, text[: text.rindex(b"[[entry]]")])
    with store_index.opened_index(store) as index:
        index.refresh(whole=True)
        assert next(index.lines()).state == "open"


@pytest.mark.parametrize("data", [b"", b"junk", b"SQLite format 3\0" + bytes(200)])
def test_an_index_that_is_none_is_made_anew(store, data):
    name = begin(store, 0)
    path_of(store).write_bytes(data)
    assert [line.id for line in catalogue.sessions(store)] == [name]


@pytest.mark.parametrize("column", ["line", "summary", "state", "last"])
def test_a_row_that_was_changed_is_noticed(store, column):
    name = begin(store, 0)
    before = catalogue.sessions(store)
    with sqlite3.connect(path_of(store)) as database:
        (old,) = database.execute(f"select {column} from log").fetchone()
        new = old[:-1] + (b"\0" if isinstance(old, bytes) else "x")
        database.execute(f"update log set {column}=? where id=?", (new, name))
    database.close()
    assert catalogue.sessions(store) == before


def test_a_store_that_can_only_be_read_answers(store):
    name = begin(store, 0)
    catalogue.sessions(store)
    path_of(store).chmod(0o400)
    index = Index.open(store)
    assert index is not None
    index.close()
    assert [line.id for line in catalogue.sessions(store)] == [name]


@pytest.mark.parametrize("suffix", ["", "-wal", "-shm", "-journal"])
@pytest.mark.parametrize("kind", ["second name", "link", "pipe"])
def test_what_is_planted_where_the_index_lies_is_neither_written_nor_waited_for(
    store, tmp_path, suffix, kind
):
    """SQLite itself waits at a pipe, and writes into a file with a second name elsewhere."""
    name = begin(store, 0)
    catalogue.sessions(store)
    victim, place = tmp_path / "victim", Path(f"{path_of(store)}{suffix}")
    victim.write_bytes(b"another's" * 500)
    place.unlink(missing_ok=True)
    if kind == "pipe":
        os.mkfifo(place)
    elif kind == "link":
        place.symlink_to(victim)
    else:
        place.hardlink_to(victim)
    assert [line.id for line in catalogue.sessions(store)] == [name]
    assert victim.read_bytes() == b"another's" * 500


def test_what_people_type_is_searched_as_words(store):
    begin(store, 0)
    for words in (
        '"',
        "glazed OR x",
        "* - (",
        "gla",
        "GLAZED",
        "",
        "belt NEAR",
        "'; drop table log",
    ):
        by_index = store_index.asked(store, lambda index, w=words: index.search(w), lambda: None)
        assert sorted(by_index) == sorted(store_index.search_logs(store, words))


def test_two_read_and_write_at_once(store):
    names = [begin(store, season) for season in range(4)]
    with store_index.opened_index(store) as one, store_index.opened_index(store) as other:
        names.append(begin(store, 4))
        one.refresh()
        other.refresh()
        assert {line.id for line in other.lines()} == set(names)
