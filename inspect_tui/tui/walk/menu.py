"""The short menu behind `/`: one-letter actions, for terminals and keyboards that keep Ctrl and
function keys for themselves. No reading begins with `/`."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from rich.style import Style
from rich.table import Table
from rich.text import Text

from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base.actions import Action
from inspect_tui.tui.base.look import ASKED
from inspect_tui.tui.walk.actions import ACTIONS

if TYPE_CHECKING:
    from inspect_tui.tui.walk.controller import WalkController

KEY: Final = "/"
COLUMN: Final = 15
"""Cells that a letter with its label takes."""


def action_of(letter: str) -> Action | None:
    """The action that a letter stands for."""
    found = (each for each in ACTIONS if each.letter and each.letter == letter.casefold())
    return next(found, None)


def choose(walk: WalkController, letter: str) -> None:
    """A letter was typed in the open menu."""
    walk.set(replace(walk.state, is_menu_open=False))
    action = action_of(letter)
    if action is not None:
        walk.do(action.name)
    elif letter != KEY:
        walk.say(f"'{one_line(letter)}' is no letter of the menu; / opens it again.")


def table(columns: int) -> Table:
    """The letters with what they do, in as many columns as there is room for."""
    listed = sorted((each for each in ACTIONS if each.letter), key=lambda each: each.letter)
    across = max(1, min(4, columns // COLUMN))
    rows = -(-len(listed) // across)
    grid = Table.grid(padding=(0, 2, 0, 0), expand=True)
    for _ in range(across):
        grid.add_column(width=1)
        grid.add_column(ratio=1, no_wrap=True, overflow="ellipsis")
    for row in range(rows):
        cells: list[Text] = []
        for action in listed[row::rows]:
            does = Style(meta={"action": action.name})
            cells += [Text(action.letter, style=ASKED), Text(action.label)]
            for cell in cells[-2:]:
                cell.stylize(does)
        grid.add_row(*cells)
    return grid
