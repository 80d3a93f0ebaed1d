"""The bench's table of actions, and what it is for."""

from __future__ import annotations

from typing import Final

from inspect_tui.tui.base.actions import Action

ACTIONS: Final = (
    Action("escape", "back", "Back", "To the list of calculations, then back", True),
    Action("f1", "help", "Help", "What this screen is for, and its keys", True),
    Action("f2", "other_unit", "Unit", "Show the result in its next unit", True),
    Action("f4", "fill", "Fill", "Fill in from this session's readings; again: the next", True),
    Action("ctrl+n", "send", "To note", "Write the result into a step's note", True),
    Action("ctrl+g", "choose_step", "Step", "Choose the step whose note takes the result"),
    Action("f6", "clear", "Clear all", "Empty every field of this calculation"),
    Action("up", "up", "Up", "The field or result above"),
    Action("down", "down", "Down", "The field or result below"),
    Action("pagedown", "page_down", "Page down", "Scroll the sheet down"),
    Action("pageup", "page_up", "Page up", "Scroll the sheet up"),
)
HELP: Final = (
    "Choose a calculation with Up and Down and Enter. Each field takes what a reading takes: "
    "31.7 mm, 1-1/4 in, 31.7 ± 0.2 mm (+/- will do), repeats 31.6; 31.7; 31.5 mm. Enter goes "
    "to the next field. Where an uncertainty is given, the result has one (k = 2). On a "
    "result type the unit that it shall be shown in. Where the list uses the calculation, "
    "the fields are filled from this session's readings. Nothing is written down until you "
    "send a result to a step's note."
)
