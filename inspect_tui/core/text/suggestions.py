"""The nearest known word, for messages."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from itertools import islice

from inspect_tui.core.text.formatting import join_words

_SEEN = 2_000
"""Known words that are looked at."""
_MOST = 150
"""Words that are compared; of more only those alike in beginning and length."""
_LONGEST = 80


def nearest(word: str, known: Iterable[str], alike: float = 0.6) -> str | None:
    """The known word that is most like this one, if one is alike enough (0 to 1)."""
    if len(word) > _LONGEST:
        return None
    candidates = list(islice(known, _SEEN))
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
    found = difflib.get_close_matches(word, candidates, n=1, cutoff=alike)
    return found[0] if found else None


def suggest(word: str, known: Iterable[str], alike: float = 0.6) -> str:
    """`did you mean width?`, or "" where nothing is near."""
    near = nearest(word, known, alike)
    return "" if near is None else f"did you mean {near}?"


def suggest_all(word: str, known: Iterable[str]) -> str:
    """The nearest known word as a hint, and all that are known beside it."""
    names = list(known)
    hint = suggest_or_list(word, names)
    if hint.startswith("Known") or len(names) < 2:
        return hint
    return f"{hint} Known: {join_words(names, most=8)}."


def suggest_or_list(word: str, known: Iterable[str]) -> str:
    """The nearest known word as a hint, or the known ones where none is near."""
    names = list(known)
    close = nearest(word, names, alike=0.5)
    if close is not None:
        return f"Did you mean {close}?"
    return f"Known: {join_words(names, most=8)}."
