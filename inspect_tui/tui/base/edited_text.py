"""A text with a cursor, and the keys that edit it. Pure: no terminal."""

from __future__ import annotations

import re
from collections.abc import Callable


def printable(text: str) -> str:
    """What may stand in a field: no control, bidi or zero-width characters."""
    return "".join(char for char in text if char.isprintable())


class EditedText:
    """A text with a cursor; `selected` where all of it is to be replaced by what is typed next."""

    def __init__(self) -> None:
        self.text = ""
        self.cursor = 0
        self.selected = False

    def put(self, text: str) -> None:
        """Take this text, the cursor behind it."""
        self.text = printable(text)
        self.cursor = len(self.text)
        self.selected = False

    def insert(self, text: str) -> None:
        """Type a text at the cursor, or in place of what is selected."""
        if self.selected:
            self.put("")
        text = printable(text)
        self.text = self.text[: self.cursor] + text + self.text[self.cursor :]
        self.cursor += len(text)

    def edit(self, key: str) -> bool:
        """Do an editing key; False where it is none."""
        if key not in _EDITS:
            return False
        erases, goes_to = _EDITS[key]
        if self.selected and erases:
            self.put("")
        else:
            other = goes_to(self.text, self.cursor)
            low, high = sorted((self.cursor, other))
            if erases:
                self.text = self.text[:low] + self.text[high:]
                other = low
            self.cursor = other
        self.selected = False
        return True


def _word_left(text: str, cursor: int) -> int:
    found = re.search(r"\w*\W*$", text[:cursor])
    return found.start() if found else 0


def _word_right(text: str, cursor: int) -> int:
    found = re.match(r"\W*\w*", text[cursor:])
    return cursor + (found.end() if found else 0)


def _left(text: str, cursor: int) -> int:
    return max(0, cursor - 1)


def _right(text: str, cursor: int) -> int:
    return min(len(text), cursor + 1)


def _home(text: str, cursor: int) -> int:
    return 0


def _end(text: str, cursor: int) -> int:
    return len(text)


_EDITS: dict[str, tuple[bool, Callable[[str, int], int]]] = {
    "backspace": (True, _left), "delete": (True, _right),
    "ctrl+u": (True, _home), "ctrl+k": (True, _end), "ctrl+w": (True, _word_left),
    "left": (False, _left), "right": (False, _right),
    "home": (False, _home), "ctrl+a": (False, _home), "end": (False, _end), "ctrl+e": (False, _end),
    "ctrl+left": (False, _word_left), "ctrl+right": (False, _word_right),
}  # fmt: skip
"""Editing keys: whether they erase, and as far as where."""
