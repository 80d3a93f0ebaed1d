"""The tables of a club's machines, asked by two engines that know nothing of each other."""

from __future__ import annotations

import shutil
import statistics
from datetime import UTC, datetime
from itertools import takewhile
from pathlib import Path
from random import Random

import pytest

from inspect_tui.commands.common import reading_on
from inspect_tui.errors import BadInput, NotSaved, Refused
from inspect_tui.files.store import Store
from inspect_tui.workflow import tables
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
        histories.machine(store, f"sled-{number}", 8, Random(number), left_open=True)
        path = max(store.sessions.glob(f"*sled-{number}-*"))
        path.write_bytes(path.read_bytes() + parts_fitted(path.read_bytes(), 1 + number % 2))
    write_tables(store, folder / "tables", reading_on)
    return folder


def parts_fitted(log: bytes, springs: int) -> bytes:
    """What a log goes on with where springs were fitted and a bulb is still to be got."""
    text = histories.LogText("A. Tester")
    text._seal, text._n = log.rsplit(b'"', 2)[1], log.count(b"[[entry]]")
    at = datetime(2030, 1, 1, tzinfo=UTC)
    for finding, part, number in (("own-1", "Spring", springs), ("own-2", "Bulb", 1)):
        text.add("finding", at, id=finding, step="belt", text=f"{part} is broken")
        text.add(
            "decision", at, finding=finding, decision="get-part", part=part, quantity=number, why=""
        )
    text.add("part", at, part="Spring", state="fitted")
    return text.data


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


def readme_questions() -> list[str]:
    """The statements that the README shows, as they stand there."""
    text = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
    block = text[text.index("    create view readings") :]
    lines = takewhile(lambda line: line.startswith("    "), block.splitlines())
    return [each.strip() for each in " ".join(lines).split(";") if each.strip()]


@pytest.mark.filterwarnings("ignore::Warning")  # of the engines among themselves
def test_the_readmes_questions_are_answered_by_two_engines_alike(club):
    dataframe = pytest.importorskip("dask.dataframe")
    said = [
        each.replace("club-tables", f"{club}/tables").replace("'belt-width'", "'belt'")
        for each in readme_questions()
    ]
    views, questions = said[:2], said[2:]
    assert len(questions) == 3
    database = duckdb.connect()
    for each in views:
        database.execute(each)
    failing, wear, used = (database.execute(each).fetchall() for each in questions)

    readings = dataframe.read_parquet(f"{club}/tables/readings").compute()
    rates = readings.assign(failed=(readings.verdict == "fail").astype(float))
    by_step = rates.groupby("step").failed.agg(["count", "mean"])
    assert {step: (n, pytest.approx(rate)) for step, n, rate in failing} == {
        step: (row["count"], row["mean"]) for step, row in by_step.iterrows() if row["count"]
    }
    belts = readings[(readings.step == "belt") & (readings.phase == "as-found")]
    assert len(wear) == 3
    for machine, slope in wear:
        mine = belts[belts.machine == machine]
        line = statistics.linear_regression(list(mine.meter), list(mine.value))
        assert slope == pytest.approx(1000 * line.slope, rel=1e-9)
    parts = dataframe.read_parquet(f"{club}/tables/parts").compute()
    fitted = parts[parts.state == "fitted"].groupby("part").quantity.sum()
    assert used == [("Spring", 4)] and {k: n for k, n in fitted.items() if n} == {"Spring": 4}


@pytest.mark.filterwarnings("ignore::Warning")
def test_a_distributed_engine_answers_as_duckdb_does(club):
    """Spark's local mode, where it and Java are; Dask's stands above."""
    spark_sql = pytest.importorskip("pyspark.sql")
    if shutil.which("java") is None:
        pytest.skip("Spark wants Java")
    spark = spark_sql.SparkSession.builder.master("local[1]").getOrCreate()
    try:
        spark.read.parquet(f"{club}/tables/readings").createOrReplaceTempView("readings")
        for question in (FAILING, WEAR, REPLACED):
            found = [tuple(row) for row in spark.sql(question).collect()]
            right = by_duckdb(club, question)
            assert [row[0] for row in found] == [row[0] for row in right]
            for mine, theirs in zip(found, right, strict=True):
                assert mine[1:] == pytest.approx(theirs[1:], rel=1e-9)
    finally:
        spark.stop()


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


def one_machine(folder: Path) -> Store:
    """A store with one session of one machine."""
    store = Store(folder)
    store.make()
    histories.machine(store, "sled-1", 1, Random(1))
    return store


@pytest.mark.parametrize(
    "text", ["[1]", "3", "null", "[" * 100_000, '{"2026": 3}', '{"../x": {}}', "\x00", "{"]
)
def test_a_list_of_tables_that_is_none_is_said(run, tmp_path, text):
    folder = tmp_path / "tables"
    folder.mkdir()
    (folder / "_seasons.json").write_text(text)
    ran = run("table", "-o", folder)
    assert ran.status == 1 and "is not as this program writes it" in ran.err


def test_what_stands_in_the_place_of_a_table_is_never_followed(tmp_path):
    places = one_machine(tmp_path / "store")
    folder = tmp_path / "tables"
    write_tables(places, folder, reading_on)
    (table,) = folder.glob("findings/*/findings.parquet")
    table.unlink()
    table.symlink_to(tmp_path / "elsewhere")
    (folder / "_seasons.json").write_text("{}")
    with pytest.raises(Refused, match="is a link"):
        write_tables(places, folder, reading_on)
    assert not (tmp_path / "elsewhere").exists()


def test_a_log_that_the_disk_does_not_give_is_said(tmp_path, monkeypatch):
    """Left out it would be gone from the tables, and nobody told."""
    places = one_machine(tmp_path / "store")
    (log,) = places.sessions.glob("*.toml")

    def failing(path, *_):
        raise BadInput(f"{path} can't be read: the disk reported an error.")

    monkeypatch.setattr(tables, "bytes_of", failing)
    with pytest.raises(BadInput, match=log.name):
        write_tables(places, tmp_path / "tables", reading_on)


def test_a_season_that_cannot_be_taken_away_is_said(tmp_path):
    places = one_machine(tmp_path / "store")
    folder = tmp_path / "tables"
    (folder / "readings/season=1999/readings.parquet").mkdir(parents=True)
    (folder / "_seasons.json").write_text('{"1999": {}}')
    with pytest.raises(NotSaved, match="can't be taken away: it is a folder"):
        write_tables(places, folder, reading_on)
