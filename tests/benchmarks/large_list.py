"""A checklist of 5,000 steps opened in the app, its key presses; a session of 2,000 entries."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path
from statistics import median
from time import perf_counter

from inspect_tui.files.store import Store
from inspect_tui.workflow.inspection import Inspection
from tests.benchmarks.first_paint import BARE, Screen
from tests.benchmarks.key_press import BARE as BARE_FIELD
from tests.benchmarks.key_press import WALK, environment, pressed, row
from tests.benchmarks.long_log import START, long_log
from tests.benchmarks.row import Row

STEPS, SECTIONS = 5_000, 100
ENTRIES = 2_000
OPENS, RESUMES = 2.0, 1.0
COLD = """
import sys
from pathlib import Path
from time import process_time
from inspect_tui.files.store import Store
from inspect_tui.workflow.inspection import Inspection
from tests.benchmarks.long_log import now
path = Path(sys.argv[1])
begun = process_time()
Inspection.open(Store(path.parent.parent), path.stem, now).close()
print(process_time() - begun)
"""
MACHINE = 'id = "bed"\nname = "Test bed"\ncylinders = ["PTO", "MAG"]\n[spec]\nwidth_min = "31 mm"\n'


def checklist(steps: int) -> str:
    """So many steps of one reading with a limit; every fifth works something out of it too.

    The words are short, since a definition's file may hold no more than a million characters.
    """
    lines = ['id = "large"', 'title = "Large"', "revision = 1"]
    for n in range(steps):
        if n % (STEPS // SECTIONS) == 0:
            section = n * SECTIONS // STEPS
            lines += ["[[section]]", f'id = "s{section}"', f'title = "Section {section}"']
        lines += [
            "[[section.step]]", f'id = "p{n}"', f'title = "P {n}"',
            "[[section.step.reading]]", 'id = "w"', 'label = "W"', 'kind = "number"',
            'unit = "mm"', 'limit = { min = "spec.width_min", max = 35 }',
        ]  # fmt: skip
        if n % 5 == 0:
            lines += [
                "[[section.step.derived]]", 'id = "spare"', 'label = "To spare"', 'unit = "mm"',
                'value = "w - spec.width_min"',
            ]  # fmt: skip
    return "\n".join(lines) + "\n"


def session(folder: Path, steps: int) -> Path:
    """The log of a new session of such a list."""
    places = Store(folder / "store")
    places.make()
    (places.checklists / "large.toml").write_text(checklist(steps), encoding="utf-8")
    (places.machines / "bed.toml").write_text(MACHINE, encoding="utf-8")
    with Inspection.new(places, "large", "bed", "R. Tester", lambda: START) as inspection:
        return inspection.log.path


def painted(
    code: str, arguments: list[str], env: dict[str, str], wanted: bytes
) -> tuple[float, float]:
    """Seconds until a new process has drawn this, and its processor time until then."""
    begun = perf_counter()
    screen = Screen(code, arguments, env)
    try:
        return screen.wait_for(wanted) - begun, screen.busy()
    finally:
        screen.close()


def opened(path: Path) -> float:
    """Seconds of processor time that a process takes for the first log it opens."""
    command = [sys.executable, "-c", COLD, str(path)]
    taken = [
        float(subprocess.run(command, capture_output=True, text=True, check=True).stdout)
        for _ in range(3)
    ]
    return median(taken)


def rows() -> list[Row]:
    """The large list, then the long session."""
    return [*_large(), _resumed()]


def _large() -> list[Row]:
    with tempfile.TemporaryDirectory() as folder:
        path = session(Path(folder), STEPS)
        env = environment(path.parent.parent)
        bare, bare_busy = min(painted(BARE, [], env, b"PAINTED") for _ in range(3))
        first, _ = min(painted(WALK, [path.stem], env, b"F1") for _ in range(3))
        asked, asked_busy = min(painted(WALK, [path.stem], env, b"AS FOUND") for _ in range(3))
        log = opened(path)
        field = pressed(BARE_FIELD, [], env, b"PAINTED")
        typed = pressed(WALK, [path.stem], env, b"AS FOUND")
    what = f"{STEPS:,} steps"
    return [
        Row(
            f"{what}: the first question on screen",
            f"{asked * 1000:.0f} ms, {asked_busy * 1000:.0f} ms busy",
            f"{asked / OPENS:.2f} of 2 s; {asked / bare:.1f} of a bare screen "
            f"({bare * 1000:.0f} ms, {bare_busy * 1000:.0f} ms busy)", "1",
        ),
        Row("  the first picture, before it", f"{first * 1000:.0f} ms", "", ""),
        Row(
            "  opening the log", f"{log * 1000:.0f} ms busy",
            f"{log / asked_busy:.2f} of what the question takes", "",
        ),
        row(f"{what}: key press to verdict", typed, field),
    ]  # fmt: skip


def _resumed() -> Row:
    with tempfile.TemporaryDirectory() as folder:
        taken = opened(long_log(Path(folder), ENTRIES))
    return Row(
        f"resume a session of {ENTRIES:,} entries", f"{taken * 1000:.0f} ms busy",
        f"{taken / RESUMES:.2f} of 1 s", "1",
    )  # fmt: skip
