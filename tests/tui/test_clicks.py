"""Everything that a key does can be clicked or tapped."""

from __future__ import annotations

from tests.tui.conftest import settled


async def click(pilot, words, *, last=False, inside=0):
    """Click where these words stand on the screen."""
    lines = pilot.screen_text().splitlines()
    rows = [place for place, line in enumerate(lines) if words in line]
    row = rows[-1] if last else rows[0]
    line = lines[row]
    at = line.rindex(words) if last else line.index(words)
    await pilot.click(offset=(at + inside, row))
    await settled(pilot)


async def test_answers_keys_cells_steps_and_enter_by_the_mouse_alone(job, session):
    async with job(session, (80, 30)) as pilot:
        walk = pilot.app.screen.walk
        await click(pilot, "Cracks")  # a line of the readings
        assert walk.state.target.reading == "cracks"
        await click(pilot, "2:surface", inside=3)
        assert walk.state.results.row("belt", "cracks", None, "as-found").value == "surface"
        await click(pilot, "Guard ▲", inside=1)  # the list
        assert walk.state.gate is not None
        await click(pilot, " Enter ", last=True, inside=2)
        assert walk.state.gate is None
        await click(pilot, "0:no", inside=2)
        assert walk.state.results.row("guard", "on", None, "as-found").value is False
        await click(pilot, "/ menu", last=True)
        assert walk.state.is_menu_open
        await click(pilot, "Two metres")
        assert walk.state.panel == "far"
        await click(pilot, "F1 help", last=True, inside=1)
        assert "Walking the list" in pilot.screen_text()
        await pilot.press("escape")
        await pilot.press("f11")
        await click(pilot, "Main jets")
        await click(pilot, "230")  # a cell of the grid, by its sheet's figure
        assert walk.state.target.cylinder == "centre"
        assert pilot.app.screen.question.field.has_focus


async def test_a_finger_beside_a_cell_means_that_cell(job, session):
    async with job(session, (80, 30)) as pilot:
        walk = pilot.app.screen.walk
        walk.go_to_step("jets")
        await settled(pilot)
        await click(pilot, "MAG", inside=1)  # the head of the column is no cell, the row below is
        assert walk.state.target.reading == "main"
        await click(pilot, "230", inside=5)
        assert walk.state.target.cylinder == "centre"
        await click(pilot, "Air screw", inside=4)
        assert walk.state.target.reading == "turns"
