"""The page of settings: what is typed is kept in the store's file and gone by at once."""

from __future__ import annotations

from inspect_tui.files import settings
from inspect_tui.files.settings import THEMES
from inspect_tui.tui.base import themes
from inspect_tui.tui.screens.settings import LINES, SettingsScreen
from tests.tui.conftest import screen_text, settled, type_in


def test_every_setting_has_a_line():
    assert {line.name for line in LINES} == set(settings.NAMES)
    assert set(themes.THEMES) == set(THEMES)


async def opened(pilot):
    await pilot.press("ctrl+p")
    await settled(pilot)
    await pilot.press(*"settings", "enter")
    await settled(pilot)
    assert isinstance(pilot.app.screen, SettingsScreen)


async def test_units_are_asked_in_from_the_moment_they_are_chosen(job, places, session):
    async with job(session) as pilot:
        await opened(pilot)
        shown = screen_text(pilot.app)
        assert "Your name" in shown and "none chosen" in shown
        await pilot.press("down")
        await type_in(pilot, "in", "enter")
        await settled(pilot)
        assert "✓ Your units: in." in screen_text(pilot.app)
        assert settings.read(places).units == ("in",)
        await pilot.press("escape")
        await settled(pilot)
        state = pilot.app.screen.walk.state
        assert state.unit == "in"
        await type_in(pilot, "1.3", "enter")
        await settled(pilot)
        row = next(row for row in pilot.app.screen.walk.state.results.readings)
        assert (row.entered, row.judged.verdict) == ("1.3 in", "pass")  # 33.02 mm of 31 to 35


async def test_nonsense_is_refused_in_words_and_stays_typed(job, places, session):
    async with job(session) as pilot:
        await opened(pilot)
        await pilot.press("down")
        await type_in(pilot, "cubits", "enter")
        await settled(pilot)
        shown = screen_text(pilot.app)
        assert "✗" in shown and "cubits" in shown
        assert pilot.app.screen.field.value == "cubits"
        assert settings.read(places).units == ()
        await pilot.press("escape", "down")
        await type_in(pilot, "paper", "enter")
        await settled(pilot)
        assert pilot.app.theme == themes.THEMES["paper"].theme.name
        await pilot.press("ctrl+z")
        await settled(pilot)
        assert settings.read(places).theme == ""
