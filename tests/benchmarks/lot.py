"""500 readings in one `record`: the whole process, and against recording them one by one.

The list has a step for each reading, every other with a value that is derived of it and a limit,
some with an order or work that upsets them, so that advice is given.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path
from time import perf_counter

from inspect_tui.files.store import Store
from inspect_tui.workflow.inspection import Inspection, Target
from tests.benchmarks.long_log import START, now
from tests.benchmarks.row import Row, busy

READINGS = 500
MACHINE = 'id = "bed"\nname = "Test bed"\ncylinders = ["PTO", "MAG"]\n[spec]\nwidth_min = "31 mm"\n'


def checklist(steps: int) -> str:
    """So many steps of one reading."""
    lines = ['id = "lot"', 'title = "Lot"', "revision = 1"]
    for n in range(steps):
        if n % 10 == 0:
            lines += ["[[section]]", f'id = "s{n}"', f'title = "Section {n}"']
        lines += ["[[section.step]]", f'id = "p{n}"', f'title = "P {n}"']
        lines += [f'after = ["p{n - 1}"]'] if n % 10 == 3 else []
        lines += [f'disturbed_by = ["p{n - 2}"]'] if n % 10 == 5 else []
        lines += [
            "[[section.step.reading]]", 'id = "w"', 'label = "W"', 'kind = "number"',
            'unit = "mm"', 'uncertainty = "0.3 mm"',
            "limit = { min = \"spec.width_min - '5 mm'\", max = \"60 mm\" }",
        ]  # fmt: skip
        if n % 2 == 0:
            lines += [
                "[[section.step.derived]]", 'id = "spare"', 'label = "To spare"', 'unit = "mm"',
                'value = "w - spec.width_min"', "limit = { min = 0 }",
            ]  # fmt: skip
    return "\n".join(lines) + "\n"


def rows() -> list[Row]:
    """The process; the same without it, for the whole lot and its half; one by one."""
    with tempfile.TemporaryDirectory() as folder:
        places = Store(Path(folder) / "store")
        places.make()
        (places.checklists / "lot.toml").write_text(checklist(READINGS), encoding="utf-8")
        (places.machines / "bed.toml").write_text(MACHINE, encoding="utf-8")
        process, its_own = map(min, zip(*(_process(places) for _ in range(3)), strict=True))
        whole, half = _together(places, READINGS), _together(places, READINGS // 2)
        single = _one_by_one(places)
    return [
        Row(
            f"record {READINGS} readings in one command, the process",
            f"{process * 1000:.0f} ms, {its_own * 1000:.0f} ms busy",
            f"{process / 2:.2f} of 2 s", "1",
        ),
        Row(
            "  of it the recording (processor time)", f"{whole * 1000:.0f} ms",
            f"{whole / single:.2f} of one by one ({single * 1000:.0f} ms); "
            f"{whole / half:.2f} of half as many", "1; 2 is a straight line",
        ),
    ]  # fmt: skip


def _new(places: Store) -> Inspection:
    return Inspection.new(places, "lot", "bed", "R. Tester", lambda: START)


def _values(count: int) -> list[tuple[Target, str]]:
    return [(Target(f"p{n}", "w"), f"31.{n % 9}") for n in range(count)]


def _process(places: Store) -> tuple[float, float]:
    """Seconds from exec to the end, and of processor time."""
    with _new(places) as inspection:
        session = inspection.id
    values = [f"{target}={text}" for target, text in _values(READINGS)]
    begun, before = perf_counter(), os.times()
    subprocess.run(
        [sys.executable, "-m", "inspect_tui", "record", session, *values],
        env=os.environ | {"INSPECT_TUI_HOME": str(places.store)}, capture_output=True, check=True,
    )  # fmt: skip
    taken, after = perf_counter() - begun, os.times()
    its_own = after.children_user + after.children_system
    return taken, its_own - before.children_user - before.children_system


def _together(places: Store, count: int) -> float:
    taken = []
    for _ in range(3):
        with _new(places) as inspection:
            taken.append(busy(lambda here=inspection: here.record(_values(count)), 1))
    return min(taken)


def _one_by_one(places: Store) -> float:
    with _new(places) as inspection:
        assert now() > inspection.session.last
        return busy(lambda: [inspection.record([each]) for each in _values(READINGS)], 1)
