"""The start screen: what is due comes first, and keys work while logs are still read."""

from __future__ import annotations

from textual.app import App
from textual.widgets import Static

from inspect_tui.tui.base.view_model import Catalogue
from inspect_tui.tui.screens.plan import ACTIONS as PLAN_ACTIONS
from inspect_tui.tui.screens.start import ACTIONS as START_ACTIONS
from inspect_tui.tui.screens.start import StartScreen
from inspect_tui.tui.widgets.choices import Choices
from inspect_tui.workflow.at_start import DueLine
from inspect_tui.workflow.session_line import SessionLine


class Bare(App[None]):
    """Only the screen; the messages that it posts are kept."""

    def __init__(self) -> None:
        super().__init__()
        self.begun: list[Catalogue] = []

    def on_mount(self) -> None:
        self.push_screen(StartScreen())

    def on_start_screen_begin(self, event: StartScreen.Begin) -> None:
        self.begun.append(event.stock)


def line(name: str, state: str = "open") -> SessionLine:
    return SessionLine(name, "Season look", "Sled", "A. Tester", state, 1, 3, None)


async def test_how_far_the_reading_is_then_what_is_due():
    app = Bare()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, StartScreen)
        words, due = (screen.query_one(each, Static) for each in ("#start-words", "#start-due"))
        so_far = Catalogue(reading="Reading 312 of 10,000 logs …", where="/store")
        screen.show_stock(so_far)
        await pilot.pause()
        assert "312 of 10,000" in str(words.render()) and not due.display
        await pilot.press("n")  # not in the way of a new session
        await pilot.pause()
        assert app.begun == [so_far]

        late = DueLine("Sled", "Belt: LATE, 100 km over (due at 2500 km)", True)
        soon = DueLine("Sled", "Chaincase: between 10 January and 3 March; at 2600 km", False)
        stock = Catalogue((line("a"), line("b"), line("c", "signed")), more_sessions=9_930)
        screen.show_stock(Catalogue(stock.sessions, more_sessions=9_930, due=(late, soon)))
        await pilot.pause()
        shown = str(due.render())
        assert due.display and shown.startswith("DUE  Sled\n✗ Belt: LATE")
        assert shown.count("Sled") == 1
        assert shown.index("✗ Belt: LATE") < shown.index("between 10 January")
        choices = screen.query_one(Choices)
        assert any("9,930 more" in str(each.prompt) for each in choices.options)
        await pilot.press("down")
        assert choices.highlighted_option is not None
        assert choices.highlighted_option.id == "session:b"
        screen.show_stock(Catalogue(stock.sessions, where="/store"))  # lists and sheets came too
        await pilot.pause()
        assert choices.highlighted_option is not None
        assert choices.highlighted_option.id == "session:b" and not due.display


def test_help_and_the_end_have_a_letter_too():
    """For terminals that keep function keys and Ctrl for themselves."""
    keys = {action.key: action.name for action in START_ACTIONS}
    assert keys["h"] == keys["f1"] == "help" and keys["q"] == keys["ctrl+q"] == "quit"
    assert {action.key: action.name for action in PLAN_ACTIONS}["h"] == "help"
