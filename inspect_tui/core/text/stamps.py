"""Stamps and part numbers: `Q4` and `q 4` are the stamp `Q-4`.

A hyphen or a space may be left out, not moved: `1-12` is no `11-2`.
"""

from __future__ import annotations

from collections.abc import Iterable

_SEPARATORS = " -"


def same_stamp(one: str, other: str) -> bool:
    """Whether two texts are one stamp, whatever their capitals, hyphens and spaces."""
    a, gaps_of_a = _taken_apart(one)
    b, gaps_of_b = _taken_apart(other)
    return a == b and (gaps_of_a <= gaps_of_b or gaps_of_b <= gaps_of_a)


def stamp_among(text: str, known: Iterable[str]) -> str:
    """The one of the known stamps that the text is, in its own spelling; else the text itself."""
    stamps = list(known)
    if text in stamps:
        return text
    same = {stamp for stamp in stamps if same_stamp(text, stamp)}
    return same.pop() if len(same) == 1 else text


def _taken_apart(text: str) -> tuple[str, frozenset[int]]:
    """The signs without separators, and how many signs stand before each separator."""
    kept: list[str] = []
    gaps: set[int] = set()
    for char in text.strip().casefold():
        if char in _SEPARATORS:
            gaps.add(len(kept))
        else:
            kept.append(char)
    return "".join(kept), frozenset(gaps)
