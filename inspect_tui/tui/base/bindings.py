"""A screen's table of actions as the framework's bindings."""

from __future__ import annotations

from collections.abc import Iterable

from textual.binding import Binding, BindingType

from inspect_tui.tui.base.actions import Action
from inspect_tui.tui.base.key_names import key_name


def bindings(actions: Iterable[Action], by: str = "") -> list[BindingType]:
    """Textual's bindings for them.

    Args:
        actions: The table.
        by: The screen's one method `action_BY` that does an action by its name; "" where each has
            a method of its own.
    """
    return [
        Binding(
            each.key, f"{by}('{each.name}')" if by else each.name, each.label, show=each.shown,
            key_display=key_name(each.key),
        )
        for each in actions
        if each.key
    ]  # fmt: skip
