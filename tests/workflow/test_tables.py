"""The tables of a club's machines, asked by two engines that know nothing of each other."""

from __future__ import annotations

from random import Random

import pytest

from inspect_tui.commands.common import reading_on
from inspect_tui.files.store import Store
from inspect_tui.workflow.tables import season_of, write_tables
from tests.seasons import histories

duckdb = pytest.importorskip("duckdb")
pytest.importorskip("pyarrow")

FAILING = """
select step, count(*) n, avg(case when verdict = 'fail' then 1e0 else 0e0 end) rate
from readings group by step order by step
"""
WEAR = """
select machine, regr_slope(value, meter) * 1000 per_1000 from readings
where step = 'belt' and phase = 'as-found' group by machine order by machine
"""
REPLACED = """
select machine, count(*) belts from readings
where step = 'belt' and phase = 'as-left' group by machine order by belts desc, machine
"""


@pytest.fixture(scope="module")
def club(tmp_path_factory):
    folder = tmp_path_factory.mktemp("club")
    store = Store(folder / "store")
    store.make()
    for number in range(3):
        histories.machine(store, f"sled-{number}", 8, Random(number))
    write_tables(store, folder / "tables", reading_on)
    return folder


def by_duckdb(folder, question: str):
    database = duckdb.connect()
    for name in ("readings", "sessions", "findings", "parts"):
        database.execute(
            f"create view {name} as select * from read_parquet("
            f"'{folder}/tables/{name}/*/*.parquet', hive_partitioning=true)"
        )
    return database.execute(question).fetchall()


@pytest.mark.filterwarnings("ignore::Warning")  # of the engines among themselves
def test_two_engines_answer_alike(club):
    dataframe = pytest.importorskip("dask.dataframe")
    readings = dataframe.read_parquet(f"{club}/tables/readings").compute()
    rates = readings.assign(failed=(readings.verdict == "fail").astype(float))
    by_step = rates.groupby("step").failed.agg(["count", "mean"])
    found = by_duckdb(club, FAILING)
    assert [row[:2] for row in found] == [(step, n) for step, n in by_step["count"].items()]
    assert [row[2] for row in found] == pytest.approx(list(by_step["mean"]), abs=1e-12)

    belts = readings[(readings.step == "belt") & (readings.phase == "as-found")]
    for machine, slope in by_duckdb(club, WEAR):
        mine = belts[belts.machine == machine]
        x, y = mine.meter - mine.meter.mean(), mine.value - mine.value.mean()
        assert slope == pytest.approx(1000 * (x * y).sum() / (x * x).sum(), rel=1e-9)

    left = readings[(readings.step == "belt") & (readings.phase == "as-left")]
    counts = left.groupby("machine").size()
    assert dict(by_duckdb(club, REPLACED)) == {name: n for name, n in counts.items() if n}


def test_a_row_for_each_session_and_none_twice(club):
    store = Store(club / "store")
    (count,) = by_duckdb(club, "select count(*) from sessions")[0]
    assert count == len(list(store.sessions.glob("*.toml")))
    assert write_tables(store, club / "tables", reading_on) == 0


def test_a_changed_log_makes_its_season_anew_and_no_other(tmp_path):
    store = Store(tmp_path / "store")
    store.make()
    histories.machine(store, "sled-1", 3, Random(1))
    first = write_tables(store, tmp_path / "t", reading_on)
    assert first == 3
    path = min(store.sessions.glob("*.toml"))
    text = path.read_bytes()
    path.write_bytes(text[: text.rindex(b"[[entry]]")])
    kept = {each: each.stat().st_mtime_ns for each in (tmp_path / "t").rglob("*.parquet")}
    assert write_tables(store, tmp_path / "t", reading_on) == 1
    changed = [each for each, at in kept.items() if each.stat().st_mtime_ns != at]
    assert {each.parent.name for each in changed} == {f"season={season_of(text)}"}


@pytest.mark.parametrize(
    ("at", "season"), [("2026-11-02", "2026"), ("2027-03-02", "2026"), ("2027-07-01", "2027")]
)
def test_a_season_is_a_winter(at, season):
    assert season_of(f'[[entry]]\nn = 0\nkind = "opened"\nat = {at}T10:00:00Z\n'.encode()) == season


def test_a_folder_of_other_things_is_left_alone(run, tmp_path):
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "letter.txt").write_text("dear", encoding="utf-8")
    ran = run("table", "-o", tmp_path / "mine")
    assert ran.status == 1 and "other things" in ran.err
    assert [each.name for each in (tmp_path / "mine").iterdir()] == ["letter.txt"]
