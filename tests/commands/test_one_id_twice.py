"""Two sessions of one id, two files whose names were exchanged, twenty beginnings at once."""

from __future__ import annotations

import json
import os

import pytest

from inspect_tui.files.log import writer as log
from inspect_tui.files.store import Store
from inspect_tui.workflow.inspection import Inspection
from tests.campaigns import every_command


@pytest.fixture
def there(tmp_path, run, definitions):
    """The same list on the same machine in another computer's store."""
    store = Store(tmp_path / "there")
    store.make()
    for kind in ("checklists/short.toml", "machines/test-bed.toml"):
        (store.store / kind).write_bytes((definitions.store / kind).read_bytes())

    def go(*arguments):
        return run("--store", store.store, *arguments)

    go.store = store
    return go


@pytest.fixture
def twins(session, there, run):
    """The id that both computers gave to a session of their own."""
    ran = there("new", "short", "test-bed", "--by", "B. Other")
    assert ran.out.strip() == session
    assert run("note", session, "belt", "ours").status == 0
    assert there("note", session, "belt", "theirs").status == 0
    return session


def notes(path):
    return [entry.get("text") for entry in log.read(path).entries if entry.kind == "note"]


def test_both_live_side_by_side(twins, there, run, places, tmp_path):
    assert there("pack", twins, "-o", tmp_path / "theirs.zip").status == 0
    ran = run("receive", tmp_path / "theirs.zip")
    assert ran.status == 0, ran.err
    beside = f"{twins}-2"
    assert f"it lies beside that as {beside}" in ran.out
    assert notes(places.log(twins)) == ["ours"]
    assert notes(places.log(beside)) == ["theirs"]
    assert "is here already" in run("receive", tmp_path / "theirs.zip").out
    # Each is carried on, shown, exported and verified under its own name here.
    assert run("note", beside, "belt", "theirs, here").status == 0
    assert json.loads(run("status", beside, "--json").out)["session"] == beside
    for each in (twins, beside):
        report = tmp_path / f"{each}.md"
        assert run("export", each, "--to", "md", "-o", report).status == 0
        ran = run("verify", report)
        assert ran.status == 0 and f"Held against the log {places.log(each)}" in ran.out
        assert run("verify", each).status == 0
    # And goes back to where it came from, and on from there.
    assert run("pack", "test-bed", "-o", tmp_path / "both.zip").status == 0
    ran = there("receive", tmp_path / "both.zip")
    assert ran.status == 0, ran.err
    assert notes(there.store.log(twins)) == ["theirs", "theirs, here"]
    assert notes(there.store.log(beside)) == ["ours"]
    third = Store(tmp_path / "third")
    ran = run("--store", third.store, "receive", tmp_path / "both.zip")
    assert ran.status == 0, ran.err
    held = sorted(tuple(notes(path)) for path in third.sessions.glob("*.toml"))
    assert held == [("ours",), ("theirs", "theirs, here")]
    assert run("--store", third.store, "receive", tmp_path / "both.zip").status == 0
    assert len(list(third.sessions.glob("*.toml"))) == 2


def test_each_goes_by_its_own_name_in_tables_reports_and_refusals(
    twins, there, run, places, tmp_path, clock
):
    assert there("pack", twins, "-o", tmp_path / "theirs.zip").status == 0
    assert run("receive", tmp_path / "theirs.zip").status == 0
    both = (twins, f"{twins}-2")
    parquet = pytest.importorskip("pyarrow.parquet")
    duckdb = pytest.importorskip("duckdb")
    assert run("record", both[0], "belt.width=32").status == 0
    assert run("record", both[1], "belt.width=31").status == 0
    assert run("table", "-o", tmp_path / "tables").status == 0
    for name in ("sessions", "readings"):
        told = parquet.read_table(tmp_path / "tables" / name)["session"].to_pylist()
        assert sorted(set(told)) == list(both)
    found = duckdb.sql(
        f"select session, text, value from read_parquet('{tmp_path}/tables/readings/*/*.parquet') "
        "where reading = 'width' order by session"
    ).fetchall()
    assert [(row[0], row[2]) for row in found] == [(both[0], 32.0), (both[1], 31.0)]
    reports = set()
    for each in both:
        with Inspection.open(places, each, clock) as inspection:
            reports.add(inspection.save_report("json"))
    assert len(reports) == 2
    for each in both:
        assert run("set-aside", each, "--why", "twice").out == f"Set aside: {each}\n"
        ran = run("note", each, "belt", "more")
        assert ran.status == 1 and f"Session {each} was set aside by" in ran.err


def test_exchanged_names_are_noticed_and_nothing_is_written(session, run, places, tmp_path):
    second = run("new", "short", "test-bed", "--by", "R. Tester").out.strip()
    one, other = places.log(session), places.log(second)
    one.rename(places.sessions / "x")
    other.rename(one)
    (places.sessions / "x").rename(other)
    before = one.read_bytes(), other.read_bytes()
    for each in (session, second):
        for words in (("record", each, "belt.width=32"), ("note", each, "belt", "x")):
            ran = run(*words)
            assert ran.status == 1
            assert "were exchanged. Nothing is written" in ran.err
        ran = run("status", each)
        assert ran.status == 0 and "were exchanged" in ran.err
        assert "were exchanged" in run("verify", each).out
        ran = run("pack", each, "-o", tmp_path / f"{each}.zip")
        assert ran.status == 0 and "were exchanged. It is packed under its own" in ran.err
    assert (one.read_bytes(), other.read_bytes()) == before


def test_a_copy_under_another_name_is_said(session, run, places):
    places.log("copy").write_bytes(places.log(session).read_bytes())
    ran = run("note", "copy", "belt", "in the copy")
    assert ran.status == 0
    assert f"copy.toml is a copy of the session {session}" in ran.err
    places.log(session).unlink()  # then it is a session that was renamed
    assert run("note", "copy", "belt", "alone").err == ""


def test_twenty_beginnings_at_once_are_twenty_sessions(definitions, tmp_path):
    """However the system lets them run, each gets its own id, and nobody is refused."""
    begin, go = os.pipe()
    children = []
    for _ in range(20):
        child = os.fork()
        if child == 0:
            os.close(go)
            os.read(begin, 1)  # until all are there
            ended = every_command.in_a_child(
                ["--store", str(definitions.store), "new", "short", "test-bed", "--by", "A"],
                tmp_path,
            )
            os._exit(ended.status)
        children.append(child)
    os.close(begin)
    os.close(go)
    assert [os.waitpid(child, 0)[1] for child in children] == [0] * 20
    found = sorted(definitions.sessions.glob("*.toml"))
    assert len(found) == 20
    for path in found:
        contents = log.read(path)
        assert contents.whole
        assert contents.entries[0].get("session") == path.stem
    left = [
        path.name
        for path in definitions.sessions.iterdir()
        if path.suffix not in (".toml", ".lock")
    ]
    assert left == []
