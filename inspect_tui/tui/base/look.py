"""Colours with a meaning, and texts cut and made fit for a line: what every screen needs at once.

Imports little: the first picture waits for it. Colour names are the terminal's own sixteen, which
the theme maps to shades that can be read on its ground.
"""

from __future__ import annotations

from rich.cells import cell_len
from rich.text import Text

from inspect_tui.core.text.visible import visible

PASS = "green"
FAIL = "bold red"
UNCERTAIN = "bold yellow"
ASKED = "bold cyan"
DIM = "bright_black"
AS_LEFT_STYLE = "bold magenta"
PHASE_STYLE = {"as-found": "cyan", "as-left": AS_LEFT_STYLE}


def whole_words(text: str, room: int) -> str:
    """As many words as there is room for, never a part of one but the first."""
    if cell_len(text) <= room or room <= 1:
        return text
    words = text.split(" ")
    while len(words) > 1 and cell_len(" ".join(words)) > room - 1:
        words.pop()
    return f"{' '.join(words).rstrip(',:;')}…"


def spanned(text: Text) -> Text:
    """The same text with its base style as a span: a widget shades colour names of spans only."""
    return Text(no_wrap=text.no_wrap, overflow=text.overflow).append_text(text)


def words(text: str, style: str = "") -> Text:
    """A text of a file or a person, never read as markup."""
    return Text(visible(text).replace("\t", " ").strip(), style=style)
