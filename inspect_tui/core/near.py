"""The nearest known word, for messages."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

_MOST = 300
"""Words that are compared; of more only those alike in beginning and length."""
_LONGEST = 80


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word that is most like this one, if one is like it at all."""
    if len(word) > _LONGEST:
        return None
    candidates = list(known)
    if len(candidates) > _MOST:
        first = word[:1].casefold()
        candidates = [
            one
            for one in candidates
            if one[:1].casefold() == first and abs(len(one) - len(word)) <= 3
        ][:_MOST]
    for one in candidates:
        if one.casefold() == word.casefold():
            return one
    found = difflib.get_close_matches(word, candidates, n=1, cutoff=0.6)
    return found[0] if found else None


def meant(word: str, known: Iterable[str]) -> str:
    """`did you mean width?`, or "" where nothing is near."""
    near = nearest(word, known)
    return "" if near is None else f"did you mean {near}?"
