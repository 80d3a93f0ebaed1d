"""The person's own choices on one page: name, units, theme; Enter keeps what is typed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import ClassVar, Final, NamedTuple

from rich.text import Text
from textual.widgets import Static

from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base import themes
from inspect_tui.tui.base.actions import Action
from inspect_tui.tui.base.bindings import bindings
from inspect_tui.tui.base.entry_line import EntryOutcome
from inspect_tui.tui.base.error_guard import guarded
from inspect_tui.tui.base.look import ASKED, DIM, spanned
from inspect_tui.tui.base.title_cells import Cell
from inspect_tui.tui.base.tones import TONES, Tone
from inspect_tui.tui.screens.common.field_page import FieldPage
from inspect_tui.tui.screens.common.keyed_screen import KeyedScreen
from inspect_tui.tui.widgets.entry_field import EntryField
from inspect_tui.tui.widgets.title_block import TitleBlock

ACTIONS: Final = (
    Action("down", "down", "Next", "The next line", True, "Go"),
    Action("up", "up", "Before", "The line before", True, "Go"),
    Action("ctrl+z", "clear", "Choose none", "The marked line is chosen no more", True, "Record"),
    Action("escape", "back", "Back", "Clear the field; then back", True, "Go"),
    Action("f1", "help", "Help", "What this page is for, and its keys", True),
)  # fmt: skip
HELP: Final = (
    "Your name signs and stands beside what you record. A unit here (psi, in, ft-lb; one of a "
    "kind) stands behind the field for every reading of its kind, and a bare figure counts in it; "
    "a unit that you type always counts. What the machine's log holds is as it was typed. All of "
    "it lies in 'settings.toml' of the store."
)


class Line(NamedTuple):
    """One choice."""

    name: str
    """As the settings' file has it."""
    label: str
    asks: str
    hint: str


LINES: Final = (
    Line("by", "Your name", "Who works and signs?", "as it should stand on the report"),
    Line("units", "Your units", "In which units do you read your gauges?",
         "such as  psi, in, ft-lb"),
    Line("theme", "Theme", "Which look?", ", ".join(themes.THEMES)),
)  # fmt: skip
Change = Callable[[str, str], str]
"""Keeps a text for a setting; why it can't be kept, "" where it is."""


@dataclass(frozen=True, slots=True)
class SettingsState:
    """Which line is marked, and what was said."""

    at: int = 0
    said: str = ""
    tone: Tone = ""

    @property
    def line(self) -> Line:
        """The marked one."""
        return LINES[self.at]

    def beside(self, by: int) -> SettingsState:
        """Another line."""
        return SettingsState(max(0, min(self.at + by, len(LINES) - 1)))

    def saying(self, said: str, tone: Tone = "") -> SettingsState:
        """With a line to the person."""
        return replace(self, said=said, tone=tone)


class SettingsScreen(FieldPage[SettingsState], KeyedScreen[None]):
    """Shows what is chosen, and keeps what is typed for the marked line."""

    ACTIONS: ClassVar[tuple[Action, ...]] = ACTIONS
    BINDINGS = bindings(ACTIONS)

    def __init__(self, chosen: Callable[[str], str], change: Change) -> None:
        """The page.

        Args:
            chosen: What stands for a setting, as text; "" for nothing.
            change: Keeps another text.
        """
        super().__init__()
        self._chosen, self._change = chosen, change
        self.state = SettingsState()
        self.field = EntryField.of(self)

    def _picture(self) -> None:
        state = self.state
        self.query_one(TitleBlock).set_cells(
            [Cell("program", "inspect-tui"), Cell("sheet", "settings")]
        )
        rows = []
        for place, line in enumerate(LINES):
            here = place == state.at
            text = Text("▶ " if here else "  ", style=ASKED)
            text.append(f"{line.label:<12}", style=ASKED if here else "")
            chosen = one_line(self._chosen(line.name))
            text.append(chosen or "none chosen", style="bold" if chosen else DIM)
            rows.append(text)
        self.query_one("#figure-rows", Static).update(Text("\n").join(rows))
        self.query_one("#figure-asked", Static).update(spanned(Text(state.line.asks, style="bold")))
        self.field.hint(state.line.hint)
        said = Text(one_line(state.said), style=TONES[state.tone])
        self.query_one("#figure-said", Static).update(spanned(said))

    # What the entry field asks of its owner

    @guarded("refused")
    def entered(self, text: str, seen: bool) -> EntryOutcome:
        """Enter: keep it."""
        if not text.strip():
            chosen = bool(self._chosen(self.state.line.name))
            said = "Type it, then Enter." + (" Ctrl+Z chooses none." if chosen else "")
            self._set(self.state.saying(said))
            return "taken"
        return "taken" if self._keep(text) else "refused"

    def _keep(self, text: str) -> bool:
        state = self.state
        trouble = self._change(state.line.name, text)
        if trouble:
            self.say(f"✗ {trouble}")
            return False
        chosen = self._chosen(state.line.name)
        self._set(state.saying(f"✓ {state.line.label}: {chosen or 'none chosen'}.", "good"))
        return True

    def typed(self, text: str) -> None:
        """Nothing is judged before Enter."""

    # Actions

    def action_down(self) -> None:
        """The next line."""
        self._set(self.state.beside(1), self.field.value)

    def action_up(self) -> None:
        """The line before."""
        self._set(self.state.beside(-1), self.field.value)

    def action_clear(self) -> None:
        """The marked line is chosen no more."""
        self._keep("")

    def action_back(self) -> None:
        """Clear the field; then back."""
        if self.field.value:
            self._set(replace(self.state, said=""))
        else:
            self.dismiss(None)

    def action_help(self) -> None:
        """What the page is for, and its keys."""
        from inspect_tui.tui.screens.help import HelpScreen

        self.app.push_screen(HelpScreen("Settings", HELP, ACTIONS))
