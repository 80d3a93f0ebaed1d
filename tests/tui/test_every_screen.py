"""Every screen at four sizes: no word is broken, the count and the state stand on top, F1 below.

One session is opened once; each screen is drawn at each size as it would be after the window was
drawn larger or smaller. Common practice: what is cut in a word is read wrong.
"""

from __future__ import annotations

import pytest

from inspect_tui.core.model.targets import Target
from inspect_tui.tui.walk.screen import WalkScreen
from inspect_tui.workflow.inspection import Inspection
from tests.tui.conftest import resized, screen_text, settled, type_in
from tests.tui.words_on_screen import pieces

SIZES = [(80, 24), (40, 20), (120, 40), (200, 50)]
TYPED = "Test bed Bench list Tester centre Nick"
"""Words that only the fixtures have."""
OVER_THE_WALK = {
    "walk": (),
    "menu": ("slash",),
    "why": ("f5",),
    "details": ("f6",),
    "saved": ("slash", "l"),
    "bars": ("ctrl+b",),
    "findings": ("f7",),
    "sign-off": ("f9",),
    "plan": ("ctrl+e",),
    "cylinders": ("f8",),
    "cylinders as bars": ("f8", "b"),
    "bench": ("f12",),
    "report": ("slash", "e"),
    "figures": ("slash", "full_stop"),
    "seasons": ("ctrl+e", "s"),
    "take in": ("slash", "plus"),
}
WITHOUT_COUNT = ("seasons",)
"""The machine over all its sessions: no count of one."""
DIALOGS = {"help": ("f1",), "all actions": ("ctrl+p",), "go to": ("ctrl+g", "j", "e")}


@pytest.fixture
def begun(places, clock, session):
    """The session with a failed reading, a note and three jets."""
    with Inspection.open(places, session, clock) as inspection:
        inspection.record(
            [(Target("belt", "width"), "30.2 mm"), (Target("belt", "cracks"), "surface")]
            + [
                (Target("jets", "main", name), text)
                for name, text in (("PTO", "230"), ("centre", "240"), ("MAG", "240"))
            ]
            + [(Target("jets", "turns", name), "1 1/2") for name in ("PTO", "centre", "MAG")]
        )
        inspection.note("belt", "Nick in the edge.")
    return session


async def at_all_sizes(pilot):
    """What the screen shows, by size."""
    shown = {}
    for size in SIZES:
        await resized(pilot, size)
        await settled(pilot)
        shown[size] = screen_text(pilot.app)
    await resized(pilot, SIZES[0])
    await settled(pilot)
    return shown


async def back_to_the_walk(pilot):
    for _ in range(6):
        screen = pilot.app.screen
        if isinstance(screen, WalkScreen) and not screen.walk.state.panel:
            return
        await pilot.press("escape")
        await settled(pilot)
    raise AssertionError("Esc does not lead back to the walk")


async def test_no_word_is_broken_and_the_count_stands_on_every_screen(job, begun):
    wrong = []
    async with job(begun) as pilot:
        pilot.app.screen.walk.go_to_step("jets")
        for name, keys in OVER_THE_WALK.items():
            await type_in(pilot, "", *keys[:1])
            await settled(pilot)
            for key in keys[1:]:
                await pilot.press(key)
                await settled(pilot)
            for size, text in (await at_all_sizes(pilot)).items():
                lines = text.splitlines()
                if found := pieces(text, TYPED):
                    wrong.append(f"{name} at {size}: {found}")
                if name not in WITHOUT_COUNT and not ("2 of 5" in lines[0] and "open" in lines[0]):
                    wrong.append(f"{name} at {size}: no count and state in {lines[0]!r}")
                if not lines[-1].rstrip().endswith(("F1", "F1 help")):
                    wrong.append(f"{name} at {size}: no F1 in {lines[-1]!r}")
            await back_to_the_walk(pilot)
    assert "\n".join(wrong) == ""
