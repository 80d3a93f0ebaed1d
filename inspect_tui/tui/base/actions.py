"""The actions of a screen: key, words for the help and the palette, and the method that does it.

One table a screen makes its bindings, its help and its palette entries, so none can be missing.
Keys are Ctrl and function keys that terminals really send: letters, digits, space and punctuation
belong to the entry field.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Action:
    """One thing that a key does on a screen."""

    key: str
    """Textual's name of it; "" where only the palette has it."""
    name: str
    """The method is `action_NAME`."""
    label: str
    """One or two words for the line of keys."""
    words: str
    """What it does, for the help and the palette."""
    shown: bool = False
    """Whether it stands on the line of keys."""
