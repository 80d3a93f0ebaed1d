"""Every screen at four sizes: no word is broken, the count and the state stand on top, F1 below.

One session is opened once; each screen is drawn at each size as it would be after the window was
drawn larger or smaller. Common practice: what is cut in a word is read wrong.
"""

from __future__ import annotations

import pytest

from inspect_tui.core.model.targets import Target
from inspect_tui.tui.app import make_app
from inspect_tui.tui.walk.screen import WalkScreen
from inspect_tui.workflow.inspection import Inspection
from tests.tui.conftest import resized, screen_text, settled, type_in
from tests.tui.words_on_screen import pieces

SIZES = [(80, 24), (40, 20), (120, 40), (200, 50)]
SMALL = SIZES[:2]
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
    "jet chart": ("slash", "full_stop", "f4"),
}
AT_EVERY_SIZE = ("walk", "plan", "findings", "sign-off", "cylinders", "figures")
"""The others hold one text in one column: what is cut there is cut where it is small."""
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


async def at_sizes(pilot, sizes):
    """What the screen shows, by size; the size that it has is the first."""
    shown = {}
    for size in sorted(sizes, key=lambda each: each != tuple(pilot.app.size)):
        await resized(pilot, size)
        await settled(pilot)
        shown[size] = screen_text(pilot.app)
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
            sizes = SIZES if name in AT_EVERY_SIZE else SMALL
            for size, text in (await at_sizes(pilot, sizes)).items():
                lines = text.splitlines()
                if found := pieces(text, TYPED):
                    wrong.append(f"{name} at {size}: {found}")
                if name not in WITHOUT_COUNT and not ("2 of 5" in lines[0] and "open" in lines[0]):
                    wrong.append(f"{name} at {size}: no count and state in {lines[0]!r}")
                if not lines[-1].rstrip().endswith(("F1", "F1 help")):
                    wrong.append(f"{name} at {size}: no F1 in {lines[-1]!r}")
            await back_to_the_walk(pilot)
    assert "\n".join(wrong) == ""


async def test_no_word_is_broken_in_what_lies_over_a_screen(job, begun):
    wrong = []
    async with job(begun) as pilot:
        for name, keys in DIALOGS.items():
            await type_in(pilot, "", *keys)
            await settled(pilot)
            over = {"help": "#help", "all actions": "#all-actions"}.get(name, "#sheet")
            for size in SMALL:
                await resized(pilot, size)
                await settled(pilot)
                box = pilot.app.screen.query_one(over).region
                lines = screen_text(pilot.app).splitlines()[box.y : box.bottom]
                if found := pieces("\n".join(line[box.x : box.right] for line in lines), TYPED):
                    wrong.append(f"{name} at {size}: {found}")
            await back_to_the_walk(pilot)
    assert "\n".join(wrong) == ""


async def test_no_word_is_broken_before_a_session(places, clock, begun):
    wrong = []
    app = make_app(places, clock)
    async with app.run_test(size=SIZES[0]) as pilot:
        await settled(pilot)
        await settled(pilot)
        for name, keys in {"start": (), "new session": ("n",), "its machine": ("n", "enter"),
                           "new list": ("l",), "bench": ("b",)}.items():  # fmt: skip
            for key in keys:
                await pilot.press(key)
                await settled(pilot)
            for size, text in (await at_sizes(pilot, SMALL)).items():
                shown = text.partition("The store:")[0]  # a folder has no words
                if found := pieces(shown, TYPED):
                    wrong.append(f"{name} at {size}: {found}")
                if not text.rstrip().endswith(("F1", "F1 help")):
                    wrong.append(f"{name} at {size}: no F1 in {text.splitlines()[-1]!r}")
            while len(app.screen_stack) > 2:
                await pilot.press("escape")
                await settled(pilot)
    assert "\n".join(wrong) == ""


def test_a_piece_of_a_word_would_be_found():
    assert pieces("Carburet\ntors, scratche d ✗") == ["carburet", "scratche", "tors"]
    assert pieces("Carburettors, scratched ✗ …") == []
