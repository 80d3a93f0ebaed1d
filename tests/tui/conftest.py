"""A store with a small checklist of every kind of step, and the app on it under Pilot."""

from __future__ import annotations

import itertools
import time
from contextlib import asynccontextmanager
from datetime import UTC, datetime, timedelta

import pytest
from textual import events

from inspect_tui.files.store import Store
from inspect_tui.tui.app import make_app
from inspect_tui.tui.screens.plan import PlanScreen
from inspect_tui.workflow.inspection import Inspection
from tests.builders import checklist, derived, reading, section, sheet, step
from tests.tui.plain_walk import PlainWalk

CHECKLIST = checklist(
    section("drive"),
    step(
        "belt",
        reading(
            "width",
            label="Width",
            uncertainty='"0.2 mm"',
            limit='{ min = "spec.belt_width_min", max = "spec.belt_width_min + \'4 mm\'" }',
            source='"manual, page 3"',
        ),
        reading(
            "cracks",
            "choice",
            label="Cracks",
            options='["none", "surface", "through"]',
            limit='{ equal = "none" }',
        ),
        reading("picture", "text", label="Picture", optional="true"),
        derived("left", "width - spec.belt_width_min", label="Width to spare"),
        title="Belt x[/]y",
        how='"Measure across the top [b]."',
        why='"A narrow belt slips."',
        tools='["caliper"]',
    ),
    step(
        "guard",
        reading("on", "check", label="Guard is on", limit="{ equal = true }"),
        title="Guard",
        caution='"Engine off."',
        safety="true",
        gate='"start"',
    ),
    section("engine"),
    step(
        "jets",
        reading("main", "count", label="Main jet", limit='{ equal = "spec.main_jet" }'),
        reading("turns", unit="turn", label="Air screw", uncertainty='"0.1 turn"'),
        title="Main jets",
        per="cylinder",
    ),
    step(
        "first-start",
        reading("ran", "check", label="It ran"),
        title="First start",
        begins='"start"',
    ),
    step("look", title="Last look"),
    id_="bench",
    revision=3,
    title="Bench list x[/]y",
    top='cautions = ["Outdoors only [/].", "Blocks under the skis."]\n',
)
MACHINE = sheet(
    "PTO",
    "centre",
    "MAG",
    id_="test-bed",
    name="Test bed x[/]y",
    spec={"belt_width_min": '"31 mm"', "main_jet": "[240, 230, 240]"},
)

DRAWN = 5.0
"""Seconds, at the most, until what was asked last is drawn."""
LOOK_UP = 0.06
"""Seconds: longer than what still counts as typed in one go."""


class Clock:
    """A clock that goes a second forward each time it is asked."""

    def __init__(self):
        self._start = datetime(2026, 11, 2, 18, 0, tzinfo=UTC)
        self._ticks = itertools.count()

    def __call__(self):
        return self._start + timedelta(seconds=next(self._ticks))


@pytest.fixture
def places(tmp_path):
    """A store with the bench list and the test bed."""
    store = Store(tmp_path / "store")
    store.make()
    for folder, name, text in (
        (store.checklists, "bench", CHECKLIST),
        (store.machines, "test-bed", MACHINE),
    ):
        folder.mkdir(exist_ok=True)
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")
    return store


@pytest.fixture
def clock():
    """The injected clock."""
    return Clock()


@pytest.fixture
def session(places, clock):
    """A session whose list's cautions were confirmed."""
    with Inspection.new(places, "bench", "test-bed", "R. Tester", clock) as inspection:
        inspection.cautions.confirm()
        return inspection.session.id


@pytest.fixture
def job(places, clock):
    """The app at a session, under Pilot; waits until the session is open."""

    @asynccontextmanager
    async def open_app(session, size=(80, 24), *, plan=False):
        app = make_app(places, clock, session=session)
        async with app.run_test(size=size, notifications=True) as pilot:
            pilot.screen_text = lambda: screen_text(app)
            pilot.log = lambda: places.log(session).read_text(encoding="utf-8")
            await settled(pilot)
            if not plan:
                await past_the_plan(pilot)
            yield pilot

    return open_app


@pytest.fixture
def walk(places, clock):
    """The walk of a session without a screen; every one that was opened is closed."""
    opened = []

    def begin(session, size=(80, 24), *, at="", write=True, units=()):
        inspection = Inspection.open(places, session, clock, write=write)
        opened.append(inspection)
        plain = PlainWalk(inspection, size, units)
        plain.open()
        if at:
            plain.go(at)
        return plain

    yield begin
    for inspection in opened:
        inspection.close()


async def past_the_plan(pilot):
    """From the plan, on which a session opens that was left, to its walk."""
    if isinstance(pilot.app.screen, PlanScreen):
        await pilot.press("escape")
        await settled(pilot)


async def settled(pilot):
    """Wait for workers and for everything that was to be drawn."""
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()
    await opened(pilot)
    await pilot.pause()


async def resized(pilot, size):
    """Another size of the terminal, and everything drawn in it."""
    await pilot.resize_terminal(*size)
    for _ in range(200):
        if screen_text(pilot.app).count("\n") == size[1] - 1:
            return
        await pilot.pause(0.01)
    raise AssertionError(f"never drawn in {size}: {screen_text(pilot.app)}")


async def opened(pilot):
    """Wait until a session that is on its way from the disk is there, or was refused."""
    screen = pilot.app.screen
    while not getattr(screen, "is_ready", True) and screen.is_current:
        await pilot.pause()


async def type_in(pilot, text, *keys):
    """Type a text and press keys behind it in one go, then look up at the screen."""
    for sign in text:
        pilot.app.post_message(events.Key("space" if sign == " " else sign, sign))
    for key in keys:
        pilot.app.post_message(events.Key(key, None))
    await pilot.pause(LOOK_UP)
    await pilot.pause()
    field = getattr(getattr(pilot.app.screen, "question", None), "field", None)
    end = time.monotonic() + DRAWN
    while field is not None and field.line.waits_for_drawing and time.monotonic() < end:
        await pilot.pause()  # a person answers what is drawn, however slow that is


def screen_text(app):
    """Every character on the screen, line by line."""
    strips = app.screen._compositor.render_strips()
    return "\n".join("".join(segment.text for segment in strip) for strip in strips)
