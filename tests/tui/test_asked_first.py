"""What wants a second look first: a long caution, a decision that stands, words at the sign-off."""

from __future__ import annotations

import pytest

from inspect_tui.tui.screens.findings import FindingsScreen
from inspect_tui.tui.screens.sign import SignScreen
from inspect_tui.workflow.inspection import Inspection
from tests.tui.conftest import CHECKLIST, settled, type_in


async def test_enter_confirms_a_long_caution_only_at_its_end(places, clock, job):
    long = "\\n\\n".join(f"Rule {number}." for number in range(40))
    text = CHECKLIST.replace("Outdoors only [/].", long)
    (places.checklists / "bench.toml").write_text(text, encoding="utf-8")
    with Inspection.new(places, "bench", "test-bed", "R. Tester", clock) as inspection:
        new = inspection.session.id
    async with job(new) as pilot:
        assert "more below: Enter reads on" in pilot.screen_text()
        await type_in(pilot, "", "enter")
        assert not pilot.app.screen.walk.state.known.caution_confirmed("")
        for _ in range(12):
            await type_in(pilot, "", "enter")
            if pilot.app.screen.walk.state.known.caution_confirmed(""):
                break
            last = pilot.screen_text()
        assert pilot.app.screen.walk.state.known.caution_confirmed("")
        assert "Blocks under the skis." in last


async def test_a_decision_that_stands_is_changed_only_when_asked(job, places, clock, session):
    with Inspection.open(places, session, clock) as held:
        held.note("belt", "seen")
        found = held.add_finding("belt", "scratched")
        held.decide(found, "later", "winter", "2026-12-20")
    async with job(session) as pilot:
        await pilot.press("f7")
        await settled(pilot)
        await pilot.press("g")
        await pilot.pause()
        screen = pilot.app.screen
        assert isinstance(screen, FindingsScreen)
        assert "g again to change" in " ".join(pilot.screen_text().split())
        await pilot.press("escape")
        await pilot.pause()
        assert pilot.app.screen is screen and "g again" not in pilot.screen_text()
        await pilot.press("g", "g")
        await pilot.pause()
        assert pilot.app.screen is not screen  # the question of the new decision


@pytest.mark.parametrize("back", [1, 2])
async def test_escape_at_the_sign_off_keeps_the_words(job, session, back):
    async with job(session) as pilot:
        await pilot.press("f9")
        await settled(pilot)
        screen = pilot.app.screen
        assert isinstance(screen, SignScreen)
        await type_in(pilot, "R. Tester", "enter")
        await type_in(pilot, "no guard on the bench", "enter")
        await type_in(pilot, "not ridden yet", "enter")
        await pilot.press(*["escape"] * back)
        if back == 2:
            assert screen.question.field.value == "no guard on the bench"
            await type_in(pilot, "", "enter")
        await pilot.pause()
        assert screen.question.field.value == "not ridden yet"
        await type_in(pilot, "", "enter")
        await type_in(pilot, "sign", "enter")
        assert "Signed. Seal: " in pilot.screen_text()
        assert 'accepted_steps = ["guard=no guard on the bench"]' in pilot.log()
