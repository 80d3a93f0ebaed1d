"""How long it takes to work everything out again after one reading: 60 readings, 40 derived."""

from __future__ import annotations

import tempfile
from pathlib import Path
from statistics import median
from time import process_time

from inspect_tui.files.store import Store
from inspect_tui.workflow.inspection import Inspection, Target
from tests.benchmarks.long_log import START
from tests.benchmarks.row import Row

READINGS, DERIVED, STEPS = 60, 40, 12
MACHINE = 'id = "bed"\nname = "Test bed"\ncylinders = ["PTO", "MAG"]\n[spec]\nwidth_min = "31 mm"\n'


def checklist() -> str:
    """Twelve steps of five readings each; each derived value rests on several of them."""
    lines = [
        'id = "long"',
        'title = "Long"',
        "revision = 1",
        "[[section]]",
        'id = "s"',
        'title = "S"',
    ]
    derived = 0
    for step in range(STEPS):
        lines += ["[[section.step]]", f'id = "step{step}"', f'title = "Step {step}"']
        for n in range(READINGS // STEPS):
            lines += [
                "[[section.step.reading]]", f'id = "r{n}"', f'label = "R{n}"', 'kind = "number"',
                'unit = "mm"', 'uncertainty = "0.3 mm"',
                "limit = { min = \"spec.width_min - '5 mm'\", max = \"60 mm\" }",
            ]  # fmt: skip
        for n in range(4 if step < 4 else 3):
            value = ("r0 - r1", "max(r0, r1, r2)", "max(r3, r4) / min(r1, r2)", "d0 + r4")[n]
            lines += [
                "[[section.step.derived]]", f'id = "d{n}"', f'label = "D{n}"', f'value = "{value}"',
                *([] if "/" in value else ['unit = "mm"']),
            ]  # fmt: skip
            derived += 1
    assert derived == DERIVED
    return "\n".join(lines) + "\n"


def rows() -> list[Row]:
    """Milliseconds for what follows an entry: replay, everything that rests on it, all results."""
    with tempfile.TemporaryDirectory() as folder:
        places = Store(Path(folder) / "store")
        places.make()
        (places.checklists / "long.toml").write_text(checklist(), encoding="utf-8")
        (places.machines / "bed.toml").write_text(MACHINE, encoding="utf-8")
        with Inspection.new(places, "long", "bed", "R. Tester", lambda: START) as inspection:
            targets = [
                Target(step.id, reading.id)
                for step in inspection.compiled.checklist.steps
                for reading in step.readings
            ]
            assert len(targets) == READINGS
            inspection.record([(target, "31.7") for target in targets])
            assert len(inspection.results.derived) == DERIVED
            taken = []
            whole = []
            for n in range(200):
                target = targets[n % READINGS]
                begun = process_time()
                inspection.record([(target, f"3{n % 9}.4")])
                whole.append(process_time() - begun)
                begun = process_time()
                inspection._open._live.evaluated.memos.steps.forget(target.step)
                inspection._open._live.take(())
                taken.append(process_time() - begun)
    return [
        Row(
            f"work out after one of {READINGS} readings, {DERIVED} derived",
            f"{median(taken) * 1000:.2f} ms", f"{median(taken) / 0.005:.2f} of 5 ms", "1",
        ),
        Row(
            "  the whole of recording it, disk too (processor time)",
            f"{median(whole) * 1000:.2f} ms", f"{median(whole) / 0.005:.2f} of 5 ms", "",
        ),
    ]  # fmt: skip
