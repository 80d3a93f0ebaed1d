"""What a save takes with the lock held, against a bare append and flush of the same bytes."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path
from statistics import median
from time import perf_counter

from inspect_tui.core.model.log_entry import Entry
from inspect_tui.files.log.writer import Writer
from inspect_tui.files.store import Store
from inspect_tui.workflow.inspection import Inspection
from tests.benchmarks.long_log import START, long_log, now, readings
from tests.benchmarks.row import Row

SAVES = 150
NOTE = {
    "step": "belt", "reading": "width", "phase": "as-found", "entered": "31,7 mm", "value": 31.7,
    "unit": "mm", "verdict": "pass",
}  # fmt: skip


def rows() -> list[Row]:
    """The ratio at several lengths of the log."""
    return [row for entries in (0, 1_000, 20_000) for row in _at(entries)]


def _at(entries: int) -> list[Row]:
    with tempfile.TemporaryDirectory(dir=Path.cwd()) as folder:
        path = long_log(Path(folder), entries)
        size = path.stat().st_size
        ours, bare = [], []
        beside = os.open(Path(folder) / "bare", os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o600)
        os.write(beside, path.read_bytes())
        os.fsync(beside)
        data = path.read_bytes()[-400:]
        with Writer.open(path) as writer:
            # Turn by turn, so that whatever else the disk does meets both alike.
            for _ in range(SAVES):
                begun = perf_counter()
                writer.append([Entry(-1, "reading", now(), "R. Tester", NOTE)])
                ours.append(perf_counter() - begun)
                begun = perf_counter()
                os.write(beside, data)
                os.fsync(beside)
                bare.append(perf_counter() - begun)
        os.close(beside)
        whole = _recorded(path)
    what = f"save with {entries:,} entries before ({size / 1e6:.1f} MB)"
    once = median(bare)
    return [
        Row(
            what, f"{median(ours) * 1000:.2f} ms",
            f"{median(ours) / once:.2f} of append + fsync ({once * 1000:.2f} ms)", "1.5",
        ),
        Row(
            "  a reading end to end, all worked out anew", f"{whole * 1000:.2f} ms",
            f"{whole / once:.2f} of append + fsync", "",
        ),
    ]  # fmt: skip


def _recorded(path: Path) -> float:
    with Inspection.open(Store(path.parent.parent), path.stem, lambda: now()) as inspection:
        asked = readings(inspection)
        taken = []
        for n in range(40):
            begun = perf_counter()
            inspection.record([asked[n % len(asked)]])
            taken.append(perf_counter() - begun)
    assert inspection.session.last > START
    return median(taken)
