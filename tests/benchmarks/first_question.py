"""From exec to the first question: `walk` against a bare Textual screen of the same widgets.

Both are a Python process on a pty of 80 by 24, timed from exec until their first section's title is
drawn; the title of a walk comes with the list and the question, out of the session's log. Pairs
take turns, so that whatever else the machine does meets both alike.
"""

from __future__ import annotations

import tempfile
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import NamedTuple

from inspect_tui.tui.base.desk import Desk
from inspect_tui.tui.loading.next_opening import keep_sight
from tests.benchmarks.first_paint import Screen
from tests.benchmarks.key_press import CODES, environment
from tests.benchmarks.long_log import new
from tests.benchmarks.row import Row

PAIRS = 7
AIM = 1.6
WALK = "import sys; from inspect_tui.__main__ import main; sys.argv[0] = 'inspect-tui'; main()"
BARE = """
import sys
from textual.app import App
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widgets import Input, Static, Tree
class Bare(App):
    def compose(self):
        yield Static("count")
        with Horizontal():
            tree = Tree("")
            tree.show_root = False
            section = tree.root.add(sys.argv[1], expand=True)
            section.add_leaf("step")
            yield tree
            with Vertical():
                with VerticalScroll():
                    yield Static("method")
                yield Static("question")
                yield Input()
        yield Static("keys")
Bare().run()
"""
"""The five kinds of widget that the walk is made of: rows and columns, what scrolls, texts, a
tree, a field."""


class Taken(NamedTuple):
    """What it took until something was on the screen."""

    seconds: float
    busy: float
    """Seconds of processor time: what can be compared where the machine has other work too."""


def until_drawn(code: str, arguments: list[str], env: dict[str, str], wanted: bytes) -> Taken:
    """From exec until this is on the screen."""
    begun = perf_counter()
    screen = Screen(code, arguments, env)
    try:
        while wanted not in CODES.sub(b"", screen.drawn):
            assert perf_counter() - begun < 60, screen.drawn[-2000:]
            screen.read(5.0)
        return Taken(perf_counter() - begun, screen.busy())
    finally:
        screen.close()


def row(checklist: str) -> Row:
    """A session of this shipped list, just begun."""
    with tempfile.TemporaryDirectory() as folder:
        with new(Path(folder), checklist) as inspection:
            path = inspection.log.path
            title = " ".join(inspection.compiled.checklist.section[0].title.split()[:2])
            keep_sight(inspection, Desk(inspection).view())
        env = environment(path.parent.parent) | {"XDG_CACHE_HOME": str(Path(folder) / "cache")}
        ours, bare = [], []
        for _ in range(PAIRS + 1):  # the first fills the caches of both
            bare.append(until_drawn(BARE, [title], env, title.encode()))
            ours.append(until_drawn(WALK, ["walk", path.stem], env, title.encode()))
    first, ours, bare = ours[0], ours[1:], bare[1:]
    taken, least = (median(each.seconds for each in runs) for runs in (ours, bare))
    busy, least_busy = (median(each.busy for each in runs) for runs in (ours, bare))
    return Row(
        f"first question of {checklist}", f"{taken * 1000:.0f} ms (bare {least * 1000:.0f} ms; "
        f"the first time {first.seconds * 1000:.0f} ms)",
        f"{taken / least:.2f}; of processor time {busy / least_busy:.2f}", f"{AIM}",
    )  # fmt: skip


def rows() -> list[Row]:
    """The long list and a short one."""
    return [row("pre-season"), row("first-ride")]
