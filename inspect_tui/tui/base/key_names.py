"""Keys as people say them: `Ctrl+G`, `F2`, `PgUp`."""

from __future__ import annotations

_KNOWN = {
    "up": "Up", "down": "Down", "left": "Left", "right": "Right", "pageup": "PgUp",
    "pagedown": "PgDn", "escape": "Esc", "enter": "Enter", "tab": "Tab", "shift+tab": "Shift+Tab",
    "backspace": "Backspace", "delete": "Del", "home": "Home", "end": "End", "space": "Space",
    "slash": "/",
}  # fmt: skip


def key_name(key: str) -> str:
    """A key as it is written on the keyboard, from the framework's name of it."""
    *modifiers, last = key.split("+")
    if last[:1] == "f" and last[1:].isdigit():
        named = last.upper()
    else:
        named = _KNOWN.get(last, last.upper() if modifiers else last)
    return "+".join([*(each.capitalize() for each in modifiers), named])
