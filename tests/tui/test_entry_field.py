"""The field draws its line of entry: cursor, hint, and a text longer than its room."""

from __future__ import annotations

from textual.app import App

from inspect_tui.tui.widgets.entry_field import EntryField
from tests.tui.conftest import screen_text


class Owner:
    """Takes everything."""

    def entered(self, text, seen):
        return "taken"

    def answers(self, character, seen):
        return False

    def typed(self, text):
        pass

    def command(self, key):
        return False

    def enqueue(self, text, *, complete):
        pass

    def say(self, text):
        pass

    def enter_not_needed(self):
        pass


class Alone(App[None]):
    """The field and nothing else."""

    CSS = "EntryField { height: 1; width: 1fr; }"

    def compose(self):
        self.field = EntryField.of(Owner())
        self.field.hint("a number x[/]y")
        yield self.field


async def test_the_cursor_stays_in_sight_whatever_the_room():
    app = Alone()
    async with app.run_test(size=(12, 3)) as pilot:
        assert screen_text(app).startswith("a number x[/")
        await pilot.press(*"0123456789abcdef")
        assert screen_text(app).splitlines()[0].rstrip() == "56789abcdef"
        await pilot.press("home")
        assert screen_text(app).splitlines()[0].rstrip() == "0123456789ab"
        await pilot.press("end")
        await pilot.resize_terminal(30, 3)
        await pilot.pause()
        assert screen_text(app).splitlines()[0].rstrip() == "0123456789abcdef"
        await pilot.click(offset=(3, 0))
        await pilot.press("x", "ctrl+w", "ctrl+k")
        assert app.field.value == ""
        await pilot.press(*"ärß漢")
        assert app.field.value == "ärß漢"
        await pilot.click(offset=(4, 0))
        await pilot.press("-")
        assert app.field.value == "ärß-漢"
