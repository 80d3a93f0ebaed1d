"""Commands with 10,000 sessions of 500 machines in the store, against 10 of 10: cold processes."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path
from statistics import median
from time import perf_counter

from inspect_tui.files.store import Store
from inspect_tui.workflow import store_index
from tests.benchmarks.row import Row
from tests.seasons.histories import club

MANY = int(os.environ.get("MANY_SESSIONS", "10000"))
COMMANDS = {
    "sessions": ["sessions", "--json"], "due one machine": ["due", "sled-001"],
    "search": ["search", "calliper 7"], "status last": ["status", "last"],
}  # fmt: skip


def took(store: Store, words: list[str]) -> float:
    begun = perf_counter()
    subprocess.run(
        [sys.executable, "-m", "inspect_tui", *words, "--store", str(store.store)],
        stdout=subprocess.DEVNULL, check=True,
    )  # fmt: skip
    return perf_counter() - begun


def rows() -> list[Row]:
    """By command, its time with many sessions against its time with ten."""
    with tempfile.TemporaryDirectory() as folder:
        few = club(Path(folder) / "few", 10, 2)
        many = club(Path(folder) / "many", MANY, max(MANY // 20, 2))
        begun = perf_counter()
        with store_index.opened_index(many) as index:
            assert index is not None
            index.look_again()
        found = [Row("rebuilding the index", f"{perf_counter() - begun:.1f} s", "", "")]
        for store in (few, many):
            took(store, ["sessions"])
        for name, words in COMMANDS.items():
            pairs = [(took(few, words), took(many, words)) for _ in range(7)]
            ratio = median(large / small for small, large in pairs)
            large = median(each[1] for each in pairs)
            found.append(Row(name, f"{1000 * large:.0f} ms", f"{ratio:.2f}", "1.2"))
    return found
