"""What a person waits for with 10,000 sessions of 500 machines in the store, against 10 and 1,000.

Cold processes, each time one of each size after the other, so that other work on the machine hurts
all alike; what is shown is the median, and the median of the ratios. `MANY_SESSIONS=1000` takes
another size, `MANY_STORES=FOLDER` keeps the stores there for the next run.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from statistics import median
from time import perf_counter

from inspect_tui.files.store import Store, list_sessions
from inspect_tui.workflow import store_index
from tests.benchmarks.first_paint import Screen
from tests.benchmarks.row import Row
from tests.seasons.histories import club

MANY = int(os.environ.get("MANY_SESSIONS", "10000"))
RUNS = int(os.environ.get("MANY_RUNS", "9"))
AIM = "1.2"
APP = "from inspect_tui.cli import main; import sys; main(sys.argv[1:])"


def whole(store: Store, *words: str) -> float:
    """Seconds that a command takes."""
    begun = perf_counter()
    subprocess.run(_command(store, words), stdout=subprocess.DEVNULL, check=True)
    return perf_counter() - begun


def first_line(store: Store, *words: str) -> float:
    """Seconds until a command has printed something."""
    begun = perf_counter()
    with subprocess.Popen(_command(store, words), stdout=subprocess.PIPE) as process:
        assert process.stdout is not None and process.stdout.readline()
        took = perf_counter() - begun
        process.stdout.read()
    return took


def drawn(store: Store, wanted: bytes, *words: str) -> float:
    """Seconds until the app has drawn this."""
    env = os.environ | {
        "TERM": "xterm-256color", "PYTHONPATH": str(Path(__file__).parents[2]),
        "INSPECT_TUI_HOME": str(store.store),
    }  # fmt: skip
    begun = perf_counter()
    screen = Screen(APP, list(words), env)
    try:
        return screen.wait_for(wanted) - begun
    finally:
        screen.close()


def _command(store: Store, words: tuple[str, ...]) -> list[str]:
    return [sys.executable, "-m", "inspect_tui", *words, "--store", str(store.store)]


WAITS: dict[str, Callable[[Store], float]] = {
    "sessions, to the first line": lambda store: first_line(store, "sessions"),
    "status last": lambda store: whole(store, "status", "last"),
    "walk, to its first picture": lambda store: drawn(store, b"Season look", "walk"),
    "start, to its sessions": lambda store: drawn(store, b" of 3 steps"),
    "start, to what is due": lambda store: drawn(store, b"DUE"),
    "due, to the first line": lambda store: first_line(store, "due"),
    "due of one machine": lambda store: whole(store, "due", "sled-001"),
    "search, nothing found": lambda store: whole(store, "search", "walrus"),
    "search, one found": lambda store: whole(store, "search", "sled-000"),
}


def rows() -> list[Row]:
    """By what is waited for: with ten, a thousand, many; the ratio of many to ten."""
    with _folder() as folder:
        stores = []
        for number, machines in ((10, 2), (1000, 50), (MANY, max(MANY // 20, 2))):
            store = Store(folder / str(number))
            if not store.sessions.is_dir():
                club(store.store, number, machines)
            stores.append(store)
        for store in stores:
            begun = perf_counter()
            with store_index.opened_index(store) as index:
                assert index is not None
                read = index.look_again()
            found = f"{perf_counter() - begun:.1f} s"
            print(f"{len(list_sessions(store))} sessions, index {found} ({read} read)")
        table = []
        for name, took in WAITS.items():
            for store in stores:
                took(store)
            runs = [[took(store) for store in stores] for _ in range(RUNS)]
            times = " / ".join(f"{1000 * median(run[k] for run in runs):.0f}" for k in range(3))
            ratio = median(run[-1] / run[0] for run in runs)
            table.append(Row(name, f"{times} ms", f"{ratio:.2f}", AIM))
            print(f"{name}: {times} ms, {ratio:.2f}", file=sys.stderr, flush=True)
    return table


@contextmanager
def _folder() -> Iterator[Path]:
    kept = os.environ.get("MANY_STORES")
    if kept:
        yield Path(kept)
        return
    with tempfile.TemporaryDirectory() as folder:
        yield Path(folder)
