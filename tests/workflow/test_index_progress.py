"""Making the index anew shows how far it is, can be broken off, and keeps what was read."""

from __future__ import annotations

import io
import sys
from concurrent import futures
from datetime import date
from multiprocessing import resource_tracker

import pytest

from inspect_tui import cli
from inspect_tui.core.seasons.due import due_of
from inspect_tui.core.seasons.machine_state import state_after
from inspect_tui.errors import BrokenOff
from inspect_tui.tui.loading.catalogue_loader import load_catalogue
from inspect_tui.workflow import catalogue, store_index
from inspect_tui.workflow.at_start import at_start
from tests.seasons.histories import club

TODAY = date(2026, 2, 1)


@pytest.fixture
def store(tmp_path, monkeypatch):
    monkeypatch.setattr(store_index, "_AT_ONCE", 2)
    return club(tmp_path / "store", 12, 2)


def count(store) -> int:
    return len(list(store.sessions.glob("*.toml")))


def slow_reader(monkeypatch, after: int):
    """A reader that is interrupted, as by Ctrl+C, once so many logs were read."""
    read, done, left = store_index.read_row, [], iter([*[True] * after, False])

    def reading(path):
        if not next(left, True):
            raise KeyboardInterrupt
        done.append(path)
        return read(path)

    monkeypatch.setattr(store_index, "read_row", reading)
    return done


def test_it_says_how_far_it_is(store):
    said = []
    with store_index.opened_index(store, lambda *far: said.append(far)):
        pass
    of = count(store)
    assert said[0] == (0, of) and said[-1] == (of, of)
    assert [done for done, _ in said] == sorted({done for done, _ in said})


def test_broken_off_what_was_read_is_kept(store, monkeypatch):
    done = slow_reader(monkeypatch, 5)
    with pytest.raises(BrokenOff, match=rf"4 of {count(store)} logs were read and are kept"):
        catalogue.sessions(store)
    del done[:]
    lines = catalogue.sessions(store)
    assert len(lines) == count(store)
    assert len(done) == count(store) - 4


@pytest.mark.parametrize(
    "command", [["sessions"], ["due"], ["search", "belt"], ["history", "sled-001"]]
)
def test_at_the_prompt_one_sentence(store, monkeypatch, capsys, command):
    slow_reader(monkeypatch, 3)
    assert cli.main([*command, "--store", str(store.store)]) == 130
    printed = capsys.readouterr()
    assert printed.out == ""
    assert printed.err.splitlines() == [
        f"Stopped: 2 of {count(store)} logs were read and are kept; "
        "the next time goes on from there."
    ]


def test_the_app_is_told_how_far_and_then_what_is_there(store, monkeypatch):
    monkeypatch.setattr(store_index, "MANY", 3)
    monkeypatch.setattr(store_index, "_rows", lambda paths: _here(paths))
    shown = []
    load_catalogue(store, TODAY, lambda message: shown.append(message.stock), lambda: True)
    of = count(store)
    assert shown[0].reading == f"Reading 0 of {of} logs …"
    assert shown[1].reading == f"Reading 2 of {of} logs …"
    assert shown[0].machines and shown[0].checklists  # a new session can be begun meanwhile
    last = shown[-1]
    assert not last.reading and len(last.sessions) == of and last.due and last.machines


def _here(paths):
    yield from map(store_index.read_row, paths)


def test_a_drawn_screen_is_no_stderr_to_begin_processes_with(monkeypatch):
    # A screen's stand-in says -1 (Textual, App.fileno); a process can't be begun with that.
    class Drawn(io.StringIO):
        def fileno(self) -> int:
            return -1

    asked = []
    monkeypatch.setattr(sys, "stderr", Drawn())
    monkeypatch.setattr(
        resource_tracker, "ensure_running", lambda: asked.append(sys.stderr is sys.__stderr__)
    )
    store_index._begin_tracking()
    assert asked == [True]


def test_where_no_process_can_begin_the_logs_are_read_here(store, monkeypatch):
    def none(*_, **__):
        raise ValueError("bad value(s) in fds_to_keep")

    monkeypatch.setattr(store_index, "MANY", 3)
    monkeypatch.setattr(futures, "ProcessPoolExecutor", none)
    assert len(catalogue.sessions(store)) == count(store)


def test_the_app_stops_reading_when_nobody_waits(store):
    shown, asked = [], []

    def wanted() -> bool:
        asked.append(True)
        return len(asked) < 3

    load_catalogue(store, TODAY, shown.append, wanted)
    assert not shown
    read = []
    with store_index.opened_index(store, lambda done, of: read.append(of)):
        pass
    assert read[0] == count(store) - 4  # two lots were kept


def test_what_is_due_by_the_index_is_what_the_logs_say(store):
    def by_logs():
        rows = store_index.all_summaries(store)
        return [
            row
            for machine in sorted({row.machine for row in rows})
            for row in due_of(machine, state_after(r for r in rows if r.machine == machine), TODAY)
        ]

    def by_index():
        return store_index.asked(store, lambda index: index.due(TODAY), list)

    assert by_index() == by_logs() and by_logs()
    gone = sorted(store.sessions.glob("*sled-001*"))[-1]
    gone.unlink()
    assert by_index() == by_logs()


def test_the_first_page_is_the_same_without_an_index(store, monkeypatch):
    by_index = at_start(store, TODAY)
    assert by_index.due and by_index.sessions[0].state == "open"
    monkeypatch.setattr(store_index.Index, "open", lambda store: None)
    by_logs = at_start(store, TODAY)
    assert by_logs.sessions == by_index.sessions and by_logs.more == by_index.more
    assert [each.words for each in by_logs.due] == [each.words for each in by_index.due]
