"""The actions of a screen: key, words for the help and the palette, and the method that does it.

One table a screen makes its bindings, its help, its line of keys and its palette entries, so none
can be missing. Keys are Ctrl and function keys that terminals really send: letters, digits, space
and punctuation belong to the entry field.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

Job = Literal["Go", "Record", "Words", "Look", "Decide and sign", "Session"]
"""What a person is about; the list of all actions is ordered by it."""


class Action(NamedTuple):
    """One thing that a key does on a screen."""

    key: str
    """The framework's name of it; "" where only the list of all actions has it."""
    name: str
    """On most screens the method is `action_NAME`."""
    label: str
    """One or two words for the line of keys."""
    words: str
    """What it does, for the help and the list of all actions."""
    shown: bool = False
    """Whether it stands on the line of keys."""
    job: Job = "Look"
    letter: str = ""
    """The letter that does it behind `/` in the walk."""
