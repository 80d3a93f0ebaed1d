"""From a key press to the paint that shows its verdict: the app on a pty, with the whole list."""

from __future__ import annotations

import os
import re
import tempfile
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from time import perf_counter, sleep

from inspect_tui.core.model.targets import Target
from inspect_tui.workflow.inspection import Inspection
from tests.benchmarks.first_paint import Screen
from tests.benchmarks.long_log import new, readings
from tests.benchmarks.row import Row

ROUNDS = 40
AIM = 0.05
DIGITS = "317"
CLEAR = b"\x15"
REST = 6.0
"""Seconds after which whatever loads behind the first picture is loaded."""
CODES = re.compile(rb"\x1b\[[0-9;?<>=]*[A-Za-z]")
WALK = "import sys; from inspect_tui.cli import main; main(['walk', sys.argv[1]])"
BARE = """
from textual.app import App
from textual.widgets import Input, Static
class Bare(App):
    def compose(self):
        yield Input()
        yield Static("PAINTED", id="answer")
    def on_input_changed(self, event):
        self.query_one("#answer").update(f"not entered yet: {event.value} mm")
Bare().run()
"""


def environment(store: Path) -> dict[str, str]:
    """The checkout, on a store; its modules compiled once, as those of an installed program are."""
    kept = {name: said for name, said in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return kept | {
        "INSPECT_TUI_HOME": str(store), "TERM": "xterm-256color",
        "PYTHONPATH": str(Path(__file__).parents[2]),
        "PYTHONPYCACHEPREFIX": str(store.parent / "bytecode"),
    }  # fmt: skip


@dataclass(frozen=True)
class Pressed:
    """What a round of key presses took."""

    taken: tuple[float, ...]
    """Seconds from each digit sent until its value and verdict were drawn, shortest first."""
    busy: float
    """Seconds of processor time a press, the drawing of it and the clearing between included."""

    @property
    def p95(self) -> float:
        """What 95 of 100 stay under."""
        return self.taken[max(0, round(len(self.taken) * 0.95) - 1)]


def pressed(code: str, arguments: list[str], env: dict[str, str], drawn: bytes) -> Pressed:
    """Start a program, let it come to rest once this is drawn, then type into it."""
    screen = Screen(code, arguments, env)
    try:
        screen.wait_for(drawn)
        sleep(REST)
        before = screen.busy()
        taken = sorted(seconds for _ in range(ROUNDS) for seconds in _round(screen))
        return Pressed(tuple(taken), (screen.busy() - before) / len(taken))
    finally:
        screen.close()


def _round(screen: Screen) -> list[float]:
    taken = []
    for end in range(1, len(DIGITS) + 1):
        _quiet(screen)
        screen.drawn = b""
        wanted = f"not entered yet: {DIGITS[:end]} mm".encode()
        begun = perf_counter()
        screen.send(DIGITS[end - 1].encode())
        while wanted not in CODES.sub(b"", screen.drawn):
            assert perf_counter() - begun < 30, screen.drawn[-2000:]
            screen.read(5.0)
        taken.append(perf_counter() - begun)
    _quiet(screen)
    screen.send(CLEAR)
    return taken


def _quiet(screen: Screen) -> None:
    while screen.read(0.03):
        pass


def row(what: str, ours: Pressed, bare: Pressed) -> Row:
    """What the presses took, against the aim and against a bare field with a line below it."""
    middle = median(ours.taken)
    return Row(
        what, f"p95 {ours.p95 * 1000:.0f} ms, median {middle * 1000:.0f} ms, "
        f"{ours.busy * 1000:.0f} ms busy",
        f"{ours.p95 / AIM:.2f} of 50 ms; {ours.p95 / bare.p95:.2f} of a bare field "
        f"(p95 {bare.p95 * 1000:.0f} ms, {bare.busy * 1000:.0f} ms busy)", "1",
    )  # fmt: skip


def judged(inspection: Inspection) -> Target:
    """A number in mm with a limit, so that every digit is worked out and judged."""
    for step in inspection.compiled.checklist.steps:
        for reading in step.readings:
            if reading.kind == "number" and reading.unit == "mm" and reading.limit is not None:
                cylinder = inspection.machine.cylinders[0] if step.per_cylinder else None
                return Target(step.id, reading.id, cylinder)
    raise AssertionError("the list asks no number in mm that has a limit")


def all_but_one(folder: Path) -> Path:
    """The log of a pre-season inspection in which one reading is open, where the walk opens."""
    with new(folder) as inspection:
        for step in ("", *(step.id for step in inspection.compiled.checklist.steps)):
            inspection.cautions.confirm(step)
        left = judged(inspection)
        answered = readings(inspection)
        inspection.record([each for each in answered if each[0] != left])
        for step in inspection.results.steps:
            if step.state == "open" and step.step.id != left.step:
                inspection.skip(step.step.id, "only this reading is asked")
        return inspection.log.path


def rows() -> list[Row]:
    """A digit into the only open reading of a whole inspection."""
    with tempfile.TemporaryDirectory() as folder:
        path = all_but_one(Path(folder))
        env = environment(path.parent.parent)
        bare = pressed(BARE, [], env, b"PAINTED")
        ours = pressed(WALK, [path.stem], env, b"AS FOUND")
    return [row("key press to verdict, pre-season list", ours, bare)]
