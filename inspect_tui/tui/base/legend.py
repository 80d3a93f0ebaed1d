"""The line of keys, like a drawing's legend: as many keys as there is room for, whole. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from rich.style import Style
from rich.text import Text

from inspect_tui.tui.base.actions import Action
from inspect_tui.tui.base.key_names import key_name
from inspect_tui.tui.base.look import ASKED, DIM

HELP_KEY: Final = "f1"
MAX_NARROW: Final = 3
"""Keys beside F1 on a narrow line."""
NARROW: Final = 60
BETWEEN: Final = " │ "


def legend(actions: Sequence[Action], columns: int, *, waiting: bool = False) -> Text:
    """The keys of a screen on one line; F1 is always the last one that is there.

    Args:
        actions: The screen's table; those that are shown, in the order of their worth.
        columns: Room.
        waiting: The keys wait (the session is being opened): all are dim.
    """
    shown = [each for each in actions if each.shown and each.key]
    helps = [each for each in shown if each.key == HELP_KEY]
    others = [each for each in shown if each.key != HELP_KEY]
    narrow = columns < NARROW
    taken: list[Action] = []
    found = Text()
    for each in (None, *others):
        tried = taken if each is None else [*taken, each]
        text = _line([*tried, *helps], waiting, bare_help=narrow)
        if text.cell_len <= columns and not (narrow and len(tried) > MAX_NARROW):
            taken, found = tried, text  # one that is too long makes room for a shorter one
    return found


def _line(actions: Sequence[Action], waiting: bool, *, bare_help: bool) -> Text:
    text = Text(no_wrap=True)
    for place, each in enumerate(actions):
        text.append(BETWEEN if place else "", style=DIM)
        part = Text(key_name(each.key), style=DIM if waiting else ASKED)
        if not (bare_help and each.key == HELP_KEY):
            part.append(f" {each.label.lower()}", style=DIM if waiting else "")
        part.stylize(Style(meta={"action": each.name}))
        text.append_text(part)
    return text
