"""The plan page: what it says, where Enter and the machine lead, what fits the time."""

from __future__ import annotations

from datetime import UTC

from inspect_tui.core.evaluation.job.plan import left_in_order
from inspect_tui.core.evaluation.job.plan_fits import fits, tools_wanted
from inspect_tui.core.evaluation.job.systems import systems_of
from inspect_tui.core.seasons.carried import Carried
from inspect_tui.tui.base.desk import Desk
from inspect_tui.tui.screens.plan import PlanScreen
from inspect_tui.tui.screens.plan_text import fitting_text, plan_text
from inspect_tui.tui.walk.screen import WalkScreen
from inspect_tui.tui.widgets.machine_drawing import MachineView
from inspect_tui.workflow.inspection import Inspection, Target
from tests.tui.conftest import screen_text, settled


def left_half_way(places, session, clock) -> Inspection:
    """A thin belt, cracked; the rest is to do."""
    held = Inspection.open(places, session, clock)
    held.record([(Target("belt", "width"), "30 mm"), (Target("belt", "cracks"), "through")])
    return held


def test_what_the_page_says(places, session, clock):
    with left_half_way(places, session, clock) as held:
        view = Desk(held).view()
        put_off = Carried(
            "carried:x", "s", "x", "belt", None, None, "the belt was noisy", "later", "", "", ""
        )
        text = plan_text(view, [put_off], UTC).plain
    assert text.startswith("NEXT  Guard")  # a gate comes before the open steps
    assert "STOPS THE START\n  Guard: not done" in text
    assert "PUT OFF EARLIER\n  Belt x[/]y: the belt was noisy" in text
    assert "TO DECIDE (2 and 1 put off earlier, F7)" in text and "LEFT TO LOOK AT: 4 steps" in text
    assert "  Belt x[/]y: Width: 30 mm, " in text  # the finding with its step
    assert "Belt x[/]y: Width 30 mm ✗" in text


def test_what_fits(places, session, clock):
    with left_half_way(places, session, clock) as held:
        results = held.results
    assert left_in_order(results.steps)[0].step.id == "guard"
    assert not tools_wanted(results)  # the belt is done
    everything = fits(results, None, "")
    assert len(everything.steps) == 4 and everything.minutes == 0
    assert fits(results, None, "caliper").steps == ()
    assert (
        "Nothing that is left fits"
        in fitting_text(Desk(held).view(), fits(results, 30, "caliper"), 30, "caliper").plain
    )


def test_the_systems_of_the_machine(places, session, clock):
    with left_half_way(places, session, clock) as held:
        drive, engine = systems_of(held.results)
    assert (drive.state, drive.note) == ("failed", "1 of 2 steps")
    assert (engine.state, engine.safety) == ("open", False)


async def test_a_session_that_was_left_opens_on_it_and_enter_goes_on(job, places, session, clock):
    left_half_way(places, session, clock).close()
    async with job(session, plan=True) as pilot:
        app = pilot.app
        assert isinstance(app.screen, PlanScreen)
        assert "NEXT" in screen_text(app) and "STOPS THE START" in screen_text(app)
        assert app.focused is None  # the arrow keys scroll the page
        await pilot.press("tab")
        assert app.focused is app.screen.query_one(MachineView)
        await pilot.press("tab")
        assert app.focused is None
        await pilot.press("t")
        await settled(pilot)
        assert "WITH 30 MIN" in screen_text(app)
        await pilot.press("enter")
        await settled(pilot)
        assert isinstance(app.screen, WalkScreen)
        assert app.screen.walk.state.step == "guard"
        await pilot.press("ctrl+e")
        await settled(pilot)
        assert isinstance(app.screen, PlanScreen)


async def test_a_session_without_a_reading_opens_on_its_first_one(job, session):
    async with job(session, plan=True) as pilot:
        assert isinstance(pilot.app.screen, WalkScreen)
