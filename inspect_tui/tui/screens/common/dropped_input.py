"""What is said where more came from the keyboard than can be taken."""

from __future__ import annotations

from typing import Any

from textual.app import App

from inspect_tui.core.text.sanitize import ellipsize
from inspect_tui.tui.driver.input_queue import InputDropped
from inspect_tui.tui.widgets.entry_field import EntryField


def say_dropped(app: App[Any], event: InputDropped) -> None:
    """Take out what stands half-typed, so that nothing is joined to it, and say all that."""
    count = f"{event.count:,} characters".replace(",", "\u202f")
    if event.paste:
        said = f"A paste of {count} is too long; nothing of it was taken."
    else:
        said = f"Keys came faster than they can be taken; the last {count} were dropped."
        field = app.focused
        if isinstance(field, EntryField) and field.value:
            said += f" What stood half-typed, '{ellipsize(field.value)}', is taken out."
            field.put("")
    app.notify(said, markup=False, severity="warning", timeout=15)
