"""How many presses twenty ticks take on the screens themselves, cautions counted.

The presses of a person at the shipped lists, given to the app one by one; a caution that is longer
than its room takes one more for each page. Paper takes about 1.2 a reading (common practice).

    python -m tests.campaigns.presses [--ticks 20]
"""

from __future__ import annotations

import argparse
import asyncio
import itertools
import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

from inspect_tui.files.store import Store
from inspect_tui.tui.app import make_app
from inspect_tui.tui.walk.one_press import answer_of
from inspect_tui.workflow.inspection import Inspection
from tests.tui.conftest import past_the_plan, settled

LISTS = ("pre-season", "lay-up", "first-ride")
SIZES = ((80, 24), (40, 20), (120, 40))
MACHINE = "tindrak-600"


async def ticked(store: Store, checklist: str, size: tuple[int, int], wanted: int) -> str:
    """Walk steps of ticks alone until so many are given; what it took."""
    begun, seconds = datetime(2026, 11, 2, 18, tzinfo=UTC), itertools.count()

    def clock() -> datetime:
        return begun + timedelta(seconds=next(seconds))

    with Inspection.new(store, checklist, MACHINE, "R. Tester", clock) as inspection:
        session = inspection.session.id
    app = make_app(store, clock, session=session)
    presses = cautions = ticks = 0
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        await past_the_plan(pilot)
        walk = app.screen.walk
        for result in list(walk.state.results.steps):
            kinds = {reading.kind for reading in result.step.readings}
            step = result.step.id
            if ticks >= wanted or not kinds <= {"check", "choice"} or result.state == "not-needed":
                continue
            if walk.state.gate is None or not walk.state.gate.is_whole_list:
                walk.go_to_step(step)
                await settled(pilot)
            while ticks < wanted:
                gate = walk.state.gate
                if walk.state.step != step and not (gate and gate.is_whole_list):
                    break
                if gate is not None:
                    await pilot.press("space")
                    await settled(pilot)
                    presses += 1
                    cautions += walk.state.gate != gate
                    if gate.is_whole_list and walk.state.gate is None:
                        walk.go_to_step(step)
                        await settled(pilot)
                    continue
                zone = app.screen.desk.zone(walk.state.target, walk.state.phase)
                key = next(each for each in "+10" if answer_of(each, walk.state.reading, zone))
                await pilot.press(key)
                await settled(pilot)
                presses, ticks = presses + 1, ticks + 1
                taken = len(walk.state.results.readings)
                assert taken == ticks, f"{taken} readings after {ticks} ticks"
    return (
        f"{checklist:<11} {size[0]}x{size[1]:<4} {presses} presses, {ticks} ticks, "
        f"{cautions} cautions: {presses / ticks:.2f} a tick"
    )


def main() -> None:
    """Every list at every size."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--ticks", type=int, default=20)
    wanted = parser.parse_args().ticks
    for checklist, size in itertools.product(LISTS, SIZES):
        with tempfile.TemporaryDirectory() as folder:
            store = Store(Path(folder) / "store")
            print(asyncio.run(ticked(store, checklist, size, wanted)), flush=True)


if __name__ == "__main__":
    main()
