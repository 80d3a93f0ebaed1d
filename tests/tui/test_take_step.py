"""The page that offers steps of other lists to the open session."""

from __future__ import annotations

import time

from tests.tui.conftest import settled, type_in


async def test_a_step_is_found_by_its_words_and_taken(job, session):
    async with job(session) as pilot:
        walk = pilot.app.screen.walk
        walk.do("take_step")
        await settled(pilot)
        end = time.monotonic() + 60
        while pilot.app.screen.known is None:  # the lists are read in a thread
            assert time.monotonic() < end
            await pilot.pause(0.01)
        await settled(pilot)
        assert "The steps of all lists" in pilot.screen_text()
        await type_in(pilot, "crankcase pressure")
        assert "▶ Crankcase pressure test" in pilot.screen_text()
        await type_in(pilot, " nonsense", "enter")
        assert "until one is marked" in pilot.screen_text() and walk.state.step == "belt"
        await pilot.press("escape")
        await type_in(pilot, "x[/]y")  # of this list, and walked anyway
        assert "No step has these words" in pilot.screen_text()
        await pilot.press("escape")
        await type_in(pilot, "crankcase pressure", "enter")
        await settled(pilot)
        assert walk.state.step == "added-1" and "Face away" not in pilot.log()
        assert 'use = "pre-season:pressure-test"' in pilot.log()
        assert "Low pressure only" in pilot.screen_text()
