"""A long text cut to what stands around a hit, as one line of a list of hits."""

from __future__ import annotations

from typing import Final

AROUND: Final = 70
"""Characters on each side of the hit."""


def snippet(text: str, words: str, around: int = AROUND) -> str:
    """The text around the first word of a search that stands in it; its beginning where none does.

    Args:
        text: Where it was found.
        words: What was searched for.
        around: Characters kept on each side.

    Returns:
        Whole words of the text, `…` where some of it was left out.
    """
    if len(text) <= 2 * around:
        return text
    low = text.casefold()
    at = low.find(words.casefold().strip())
    if at < 0:
        places = [low.find(word) for word in words.casefold().split()]
        at = min((place for place in places if place >= 0), default=0)
    begin, end = max(at - around, 0), at + around
    if begin and (border := text.find(" ", begin, at)) >= 0:
        begin = border + 1
    if end < len(text) and (border := text.rfind(" ", at + 1, end)) >= 0:
        end = border
    before, after = "… " if begin else "", " …" if end < len(text) else ""
    return f"{before}{text[begin:end].strip()}{after}"
