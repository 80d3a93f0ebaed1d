"""What opening a session just begun takes, part by part, and what is saved where it was before.

Each in a process of its own, after all imports, in processor time: so that what is done once a
process (units, patterns, decoders) is counted, as it is when the program begins.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from pathlib import Path
from statistics import median

from tests.benchmarks.key_press import environment
from tests.benchmarks.long_log import new
from tests.benchmarks.row import Row

RUNS = 5
PARTS = """
import gc, json, sys
from pathlib import Path
from time import process_time
import inspect_tui.workflow.earlier_sessions, inspect_tui.workflow.missing_figures
from inspect_tui.core.definitions import decode, kept, of_log, toml
from inspect_tui.core.definitions import compile as compiling
from inspect_tui.core.definitions import load
from inspect_tui.core.evaluation.checklist_on_machine import ChecklistOnMachine
from inspect_tui.core.evaluation.evaluate import evaluate
from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.session.replay import replay
from inspect_tui.files.kept_definitions import KeptDefinitions
from inspect_tui.files.store import Store
from inspect_tui.tui.base.desk import Desk
from inspect_tui.workflow.inspection import Inspection
from inspect_tui.workflow.session_log import SessionLog
from tests.benchmarks.long_log import now
gc.disable()  # as the program begins
path, taken = Path(sys.argv[2]), {}

def timed(what, act):
    begun = process_time()
    made = act()
    taken[what] = 1000 * (process_time() - begun)
    return made

if sys.argv[1] == "parts":
    log = timed("the log read", lambda: SessionLog.open(path, now, write=False))
    session = timed("replayed", lambda: replay(log.entries))
    text = session.checklist_text
    data = timed("the list's TOML", lambda: toml.read(text, "list"))
    made = timed("as a model", lambda: decode.checklist_of(data, of_log=True))
    timed("its expressions", lambda: compiling.parsed(made, of_log._unsaid, of_log=True))
    machine = timed("the sheet", lambda: of_log.trusted_machine(session.machine_text))
    compiled = of_log.compile_trusted(text)
    opened = timed("list and sheet as kept", lambda: (
        kept.compiled_list(text, KeptDefinitions.of_this_computer()),
        kept.machine_of(session.machine_text, KeptDefinitions.of_this_computer()),
    ))
    timed("worked out", lambda: evaluate(Evaluator(ChecklistOnMachine(*opened), session)))
else:
    places = Store(path.parent.parent)
    made = timed("opened for writing", lambda: Inspection.open(places, path.stem, now))
    timed("a line that it goes on", made.resume)
    timed("what earlier sessions left", made.look_back)
    timed("the desk's view", lambda: Desk(made).view())
    made.close()
print(json.dumps(taken))
"""


def rows() -> list[Row]:
    """The long list and a short one."""
    return [row for checklist in ("pre-season", "first-ride") for row in _of(checklist)]


def _of(checklist: str) -> list[Row]:
    with tempfile.TemporaryDirectory() as folder:
        with new(Path(folder), checklist) as inspection:
            path = inspection.log.path
        env = environment(path.parent.parent)
        again, first = env | _cache(folder, "kept"), env | _cache(folder, "none")
        _ran("whole", path, again)
        _ran("parts", path, again)
        parts = [_ran("parts", path, again) for _ in range(RUNS)]
        kept = [_ran("whole", path, again) for _ in range(RUNS)]
        anew = [
            _ran("whole", path, first | _cache(folder, f"none-{number}")) for number in range(RUNS)
        ]
    table = [
        Row(f"{checklist}: {what}", f"{_middle(parts, what):.1f} ms", "", "") for what in parts[0]
    ]
    for what in kept[0]:
        taken, without = _middle(kept, what), _middle(anew, what)
        table.append(
            Row(
                f"{checklist}: {what}", f"{taken:.1f} ms",
                f"{taken / without:.2f} of the first time ({without:.1f} ms)", "",
            )
        )  # fmt: skip
    return table


def _cache(folder: str, name: str) -> dict[str, str]:
    return {"XDG_CACHE_HOME": str(Path(folder) / name)}


def _middle(runs: list[dict[str, float]], what: str) -> float:
    return median(run[what] for run in runs)


def _ran(how: str, path: Path, env: dict[str, str]) -> dict[str, float]:
    ran = subprocess.run(
        [sys.executable, "-c", PARTS, how, str(path)],
        env=env, capture_output=True, text=True, check=True,
    )  # fmt: skip
    taken: dict[str, float] = json.loads(ran.stdout)
    return taken
