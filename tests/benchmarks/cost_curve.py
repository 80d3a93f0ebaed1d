"""What size costs, to a million sessions: a simulation, since nobody has written a million logs.

The index is filled with what the index keeps of generated sessions (twenty a machine), as itself
would put it; then it is asked what the commands ask it. What a command does beside that doesn't
grow: it starts, looks at the folder's time and at 200 open logs. The tables are drawn up in DuckDB
as `table` writes them, 24 readings a session, and asked the README's three questions. The last rows
are the exponents of time = a x sessions^b, fitted over the sizes: 0 stays, 1 grows with the store.

    COST_UP_TO=1000000 nice python -m tests.benchmarks cost_curve
"""

from __future__ import annotations

import math
import os
import sys
import tempfile
import zlib
from collections.abc import Callable, Iterator
from datetime import date
from itertools import islice
from pathlib import Path
from statistics import mean, median
from time import perf_counter

import msgspec

from inspect_tui.core.seasons.summary import SessionSummary
from inspect_tui.files.index import Index, IndexedLog, Signature
from inspect_tui.files.index_file import path_of
from inspect_tui.files.store import Store
from inspect_tui.workflow.session_line import SessionLine
from inspect_tui.workflow.store_index import StoreIndex, read_row
from tests.benchmarks.row import Row
from tests.seasons.histories import club

UP_TO = int(os.environ.get("COST_UP_TO", "100000"))
A_MACHINE = 20
TODAY = date(2026, 2, 1)
RUNS = 15
READINGS = """
copy (
    select 'S' || (i // 24) as session, 'sled-' || (i // 480) as machine,
        ['belt', 'boots', 'brake', 'chain', 'oil', 'plugs'][1 + i % 6] as step,
        'as-found' as phase, 1000.0::double * ((i // 24) % 20) as meter,
        (35.0 - 0.5 * ((i // 24) % 20) + 0.1 * (hash(i) % 100) / 100)::double as value,
        case when hash(i) % 10 = 0 then 'fail' else 'pass' end as verdict
    from range({rows}) as numbers(i)
) to '{folder}/readings.parquet' (format parquet)
"""
QUESTIONS = (
    "select step, count(*) n, avg(case when verdict = 'fail' then 1e0 else 0e0 end) rate "
    "from '{folder}/readings.parquet' group by step",
    "select machine, regr_slope(value, meter) * 1000 per_1000 from '{folder}/readings.parquet' "
    "where step = 'belt' group by machine",
    "select machine, count(*) n from '{folder}/readings.parquet' where verdict = 'fail' "
    "group by machine order by n desc, machine limit 20",
)


def rows() -> list[Row]:
    """For each size the cost of the index and of the tables; then the exponents."""
    sizes = [size for size in (1000, 10_000, 100_000, 1_000_000) if size <= UP_TO]
    columns: dict[str, list[float]] = {}
    with tempfile.TemporaryDirectory() as folder:
        patterns = _patterns(Path(folder) / "patterns")
        for size in sizes:
            found = _index_costs(Path(folder) / f"store-{size}", patterns, size)
            found |= _table_costs(Path(folder), size)
            for name, cost in found.items():
                columns.setdefault(name, []).append(cost)
            said = ", ".join(f"{name} {cost:.4g}" for name, cost in found.items())
            print(f"{size:,} sessions: {said}", file=sys.stderr, flush=True)
    table = []
    for name, costs in columns.items():
        shown = " / ".join(f"{cost:.3g}" for cost in costs)
        exponent = f"{_exponent(sizes[: len(costs)], costs):.2f}" if len(costs) > 1 else ""
        table.append(Row(name, shown, f"sessions^{exponent}", ""))
    return [Row("sessions", " / ".join(f"{size:,}" for size in sizes), "", ""), *table]


def _exponent(sizes: list[int], costs: list[float]) -> float:
    """The slope of a least squares line through the logarithms."""
    x, y = [math.log(size) for size in sizes], [math.log(max(cost, 1e-9)) for cost in costs]
    middle, level = mean(x), mean(y)
    across = sum((each - middle) ** 2 for each in x)
    return sum((a - middle) * (b - level) for a, b in zip(x, y, strict=True)) / across


def _patterns(folder: Path) -> list[list[IndexedLog]]:
    """What the index keeps of some generated machines' sessions, a list a machine."""
    store = club(folder, 50 * A_MACHINE, 50)
    machines: dict[str, list[IndexedLog]] = {}
    for path in sorted(store.sessions.glob("*.toml")):
        row = read_row(path)
        assert row is not None
        machines.setdefault(row[2].machine, []).append(row[2])
    return list(machines.values())


def _logs(
    patterns: list[list[IndexedLog]], size: int
) -> Iterator[tuple[Signature, bytes, IndexedLog]]:
    """So many sessions, of as many machines as it takes."""
    unpacked = [
        [
            (
                each,
                msgspec.msgpack.decode(each.line, type=SessionLine),
                msgspec.msgpack.decode(each.summary, type=SessionSummary),
            )
            for each in pattern
        ]
        for pattern in patterns
    ]
    made = number = 0
    while made < size:
        machine = f"sled-{number:06}"
        for log, line, summary in unpacked[number % len(unpacked)][: size - made]:
            name = f"{log.opened[:10]}-{machine}"
            packed = msgspec.msgpack.encode(
                SessionLine(
                    name, line.checklist, f"Machine {machine}", line.by, line.state, line.done,
                    line.steps, line.last, line.open_findings,
                )
            )  # fmt: skip
            told = msgspec.structs.replace(summary, session=name, machine=machine)
            yield (
                Signature(5000, 1, 1, made), zlib.crc32(packed).to_bytes(4, "big") * 8,
                IndexedLog(name, machine, log.state, log.opened, log.last, packed,
                           msgspec.msgpack.encode(told), log.texts),
            )  # fmt: skip
            made += 1
        number += 1


def _index_costs(folder: Path, patterns: list[list[IndexedLog]], size: int) -> dict[str, float]:
    store = Store(folder)
    store.make()
    opened = Index.open(store)
    assert opened is not None
    with opened:
        begun, logs = perf_counter(), _logs(patterns, size)
        while lot := list(islice(logs, 5000)):
            opened.put(lot)
        filled = perf_counter() - begun
        index = StoreIndex(store, opened)
        begun = perf_counter()
        index.settle()
        settled = perf_counter() - begun
        bytes_taken = sum(path.stat().st_size for path in folder.glob(f"{path_of(store).name}*"))
        machine = f"sled-{size // A_MACHINE // 2:06}"
        return {
            "index filled, s": filled,
            "what is due worked out, s": settled,
            "index, MB": bytes_taken / 1e6,
            "sessions, first 20, ms": _ms(lambda: list(index.lines(20))),
            "last, ms": _ms(index.last),
            "due of one machine, ms": _ms(lambda: index.due(TODAY, machine)),
            "due first on the start screen, ms": _ms(lambda: index.due(TODAY, most=40)),
            "sessions counted, ms": _ms(index.count),
            "search, nothing, ms": _ms(lambda: index.search("walrus")),
            "search, in one of nine, ms": _ms(lambda: index.search("calliper 7")),
        }


def _table_costs(folder: Path, size: int) -> dict[str, float]:
    try:
        import duckdb
    except ImportError:
        return {}
    database = duckdb.connect()
    database.execute("set memory_limit='1500MB'; set preserve_insertion_order=false")
    begun = perf_counter()
    database.execute(READINGS.format(rows=24 * size, folder=folder))
    written = perf_counter() - begun
    path = folder / "readings.parquet"
    found = {"readings written, s": written, "readings, MB": path.stat().st_size / 1e6}
    for number, question in enumerate(QUESTIONS, 1):
        asked = question.format(folder=folder)
        found[f"question {number}, ms"] = _ms(
            lambda asked=asked: database.execute(asked).fetchall()
        )
    path.unlink()
    return found


def _ms(work: Callable[[], object]) -> float:
    times = []
    for _ in range(RUNS):
        begun = perf_counter()
        work()
        times.append(1000 * (perf_counter() - begun))
        if sum(times) > 5000:
            break
    return median(times)
