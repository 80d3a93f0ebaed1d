"""What a job leaves out is taken in after all, from the walk and from the plan."""

from __future__ import annotations

import pytest

from inspect_tui.tui.screens.widen import WidenScreen, amount, left_out
from inspect_tui.workflow.inspection import Inspection
from tests.tui.conftest import screen_text, settled, type_in


@pytest.fixture
def part(places, clock):
    """A session of one step."""
    with Inspection.new(places, "bench", "test-bed", "R. Tester", clock, only=["look"]) as held:
        held.cautions.confirm()
        return held.session.id


def test_what_is_left_out_stands_by_section(places, clock, part):
    with Inspection.open(places, part, clock) as held:
        found = left_out(held.results)
        assert [(section, len(steps)) for section, _, steps in found] == [
            ("drive", 2),
            ("engine", 2),
        ]
        assert amount(found[0][2]) == "2 steps, 1 for safety"
        held.job.widen(["drive", "jets", "first-start"])
        assert left_out(held.results) == ()


async def test_a_section_and_a_step_are_taken_in_from_the_walk(job, part):
    async with job(part) as pilot:
        await type_in(pilot, "/+")
        await settled(pilot)
        screen = pilot.app.screen
        assert isinstance(screen, WidenScreen) and "2 steps, 1 for safety" in screen_text(pilot.app)
        await pilot.press("enter")
        await settled(pilot)
        assert "Taken in: Drive." in screen_text(pilot.app) and '"drive"' in pilot.log()
        await pilot.press("down", "enter")
        await settled(pilot)
        states = {each.step.id: each.state for each in screen.view.results.steps}
        assert states["guard"] == states["belt"] == "open" and states["jets"] == "open"
        assert states["first-start"] == "left-out"
        await pilot.press("escape")
        await settled(pilot)
        assert pilot.app.screen is not screen
