"""How many presses twenty ticks take, cautions counted: a driven run of the shipped lists.

Paper takes about 1.2 (a tick, and the pen put down for a caution; common practice). The figures are
printed with `pytest -s`.
"""

from __future__ import annotations

import pytest

from inspect_tui.files.store import Store
from inspect_tui.tui.walk.one_press import answer_of
from inspect_tui.workflow.inspection import Inspection
from tests.tui.plain_walk import PlainWalk

TICKS = 20
MOST = 1.6
MACHINE = "tindrak-600"


class Person:
    """Ticks what is asked and counts every key."""

    def __init__(self, walk):
        self.walk = walk
        self.presses = 0
        self.ticks = 0
        self.cautions = 0

    def key(self, *keys):
        self.presses += len(keys)
        self.walk.press(*keys)

    def confirm(self):
        """The cautions before what is asked."""
        while self.walk.state.gate is not None:
            before = self.walk.entries("caution")
            self.key(" ")
            assert self.walk.entries("caution") > before
            self.cautions += 1

    def tick(self):
        """Answer the check or the choice that is asked, with what is wanted where there is one."""
        state = self.walk.state
        zone = self.walk.zone(state.target, state.phase)
        for char in "+10":
            if answer_of(char, state.reading, zone):
                break
        recorded = self.walk.entries("reading")
        self.key(char)
        assert self.walk.entries("reading") == recorded + 1
        self.ticks += 1


@pytest.mark.parametrize("checklist", ["pre-season", "lay-up", "first-ride"])
def test_twenty_ticks_take_few_presses(tmp_path, clock, checklist):
    """Up to every other tick has a caution here."""
    store = Store(tmp_path / "store")
    with Inspection.new(store, checklist, MACHINE, "R. Tester", clock) as inspection:
        walk = PlainWalk(inspection)
        walk.open()
        person = Person(walk)
        person.confirm()
        for result in list(walk.results.steps):
            kinds = {reading.kind for reading in result.step.readings}
            if person.ticks >= TICKS:
                break
            if not kinds <= {"check", "choice"} or result.state == "not-needed":
                continue
            walk.go(result.step.id)
            while walk.state.step == result.step.id and person.ticks < TICKS:
                person.confirm()
                person.tick()
        ratio = person.presses / person.ticks
        by_words = (2 * person.ticks + person.cautions) / person.ticks  # a letter or digit, Enter
        print(
            f"{checklist}: {person.presses} presses for {person.ticks} ticks and "
            f"{person.cautions} cautions, {ratio:.2f} a tick; with words and Enter {by_words:.2f}"
        )
        assert person.ticks == TICKS and ratio <= MOST
