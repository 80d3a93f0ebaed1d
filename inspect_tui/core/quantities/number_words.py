"""Numbers said in words -> figures: `one and a half turns` -> `1-1/2 turns`, `minus 20` -> `-20`.

Pure; English alone. What holds no number in words comes back as it was.
"""

from __future__ import annotations

import re

_UNITS = {
    "zero": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7,
    "eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14,
    "fifteen": 15, "sixteen": 16, "seventeen": 17, "eighteen": 18, "nineteen": 19,
    "nought": 0, "naught": 0, "nil": 0,
}  # fmt: skip
_TENS = {
    "twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "seventy": 70,
    "eighty": 80, "ninety": 90,
}  # fmt: skip
_LARGE = {"dozen": 12, "hundred": 100, "thousand": 1000}
_PARTS = {
    "half": 2, "halves": 2, "third": 3, "quarter": 4, "fourth": 4, "fifth": 5, "sixth": 6,
    "eighth": 8, "tenth": 10, "sixteenth": 16, "16th": 16, "32nd": 32, "64th": 64, "8th": 8,
    "4th": 4, "3rd": 3, "10th": 10, "12th": 12, "twelfth": 12,
}  # fmt: skip
_MINUS = ("minus", "negative", "neg")
_JOINING = ("and", "&", "plus", "+")
_ARTICLES = ("a", "an")
_TOKEN = r"[0-9]+(?:st|nd|rd|th)s?(?![^\W\d])|[0-9][0-9.,/]*|[^\W\d]+|[^\w\s]|\s+"
_FIGURE = r"[0-9]+(?:[.,][0-9]+)?"
_FRACTION = r"[0-9]+/[0-9]+"


def in_figures(plain: str) -> str:
    """The text with every number in words as figures.

    Args:
        plain: Typed text as `parse_number.plainly` gives it.
    """
    text = re.sub(r"(?<=/)([0-9]+)(?:st|nd|rd|th)s?(?![^\W\d])", r"\1", plain)
    tokens = [token for token in re.findall(_TOKEN, _apart(text)) if not token.isspace()]
    said: list[str] = []
    at = 0
    changed = text != plain
    while at < len(tokens):
        found = _number(tokens, at)
        if found is None:
            said.append(tokens[at])
            at += 1
            continue
        figures, after = found
        changed = changed or figures != tokens[at] or after > at + 1
        said.append(figures)
        at = _after_articles(tokens, after)
        changed = changed or at > after
    return _together(said) if changed else plain


def _apart(text: str) -> str:
    """`three-quarters` and `one-and-a-half` as words of their own."""
    return re.sub(r"(?<=[^\W\d])-(?=[^\W\d])", " ", text)


def _together(said: list[str]) -> str:
    """Tokens as one text; a sign, a mark and a degree stand at their number."""
    text = " ".join(said)
    text = re.sub(r"^([-+]) ", r"\1", text)
    return re.sub(r"(?<=[0-9]) (?=[°'\"%])", "", text)


def _after_articles(tokens: list[str], at: int) -> int:
    """Past `of a` between a number and its unit: `half a turn`, `a quarter of a turn`."""
    if at + 1 < len(tokens) and tokens[at].lower() == "of":
        at += 1
    if at + 1 < len(tokens) and tokens[at].lower() in _ARTICLES:
        at += 1
    return at


def _number(tokens: list[str], at: int) -> tuple[str, int] | None:
    """The number that begins here, in figures, and the place behind it."""
    sign = ""
    if tokens[at].lower() in _MINUS and at + 1 < len(tokens):
        sign, at = "-", at + 1
        if tokens[at] == ".":
            at += 1
    elif tokens[at].lower() == "plus" and at + 1 < len(tokens):
        at += 1
    part = _part(tokens, at)
    if part is not None:
        return sign + part[0], part[1]
    whole = _whole(tokens, at)
    if whole is None:
        return None
    figures, after = whole
    if after < len(tokens) and tokens[after].lower() == "point":
        digits = ""
        place = after + 1
        while place < len(tokens) and tokens[place].lower() in _UNITS:
            digits += str(_UNITS[tokens[place].lower()])
            place += 1
        if digits:
            return f"{sign}{figures}.{digits}", place
    if figures.isdigit():
        behind = after
        if behind < len(tokens) and tokens[behind].lower() in _JOINING:
            behind += 1
        part = _part(tokens, behind)
        if part is not None and (behind > after or tokens[after].lower() not in _ARTICLES):
            return f"{sign}{figures}-{part[0]}", part[1]
    return sign + figures, after


def _whole(tokens: list[str], at: int) -> tuple[str, int] | None:
    """`12`, `twelve`, `twenty five`, `two hundred and forty`, `a dozen`."""
    if at >= len(tokens):
        return None
    if re.fullmatch(_FIGURE, tokens[at]) or re.fullmatch(_FRACTION, tokens[at]):
        return tokens[at], at + 1
    total, group, after = 0, 0, at
    seen = False
    place = at
    if tokens[at].lower() in _ARTICLES and at + 1 < len(tokens):
        if tokens[at + 1].lower() not in _LARGE:
            return None
        group, place = 1, at + 1
    while place < len(tokens):
        word = tokens[place].lower()
        if word == "and" and seen and place + 1 < len(tokens) and group % 100 == 0:
            following = tokens[place + 1].lower()
            if following not in _UNITS and following not in _TENS:
                break
            place += 1
            continue
        if word in _UNITS and not (seen and group % 10):
            group += _UNITS[word]
        elif word in _TENS and group % 100 == 0:
            group += _TENS[word]
        elif word in _LARGE and (seen or group) and word != "thousand":
            group = (group or 1) * _LARGE[word]
        elif word == "thousand" and group:
            total, group = total + group * 1000, 0
        else:
            break
        seen = True
        place += 1
        after = place
    return (str(total + group), after) if seen else None


def _part(tokens: list[str], at: int) -> tuple[str, int] | None:
    """`half`, `a quarter`, `three eighths`, `11 64ths`, `1/4`."""
    if at >= len(tokens):
        return None
    word = tokens[at].lower()
    if re.fullmatch(_FRACTION, word):
        return word, at + 1
    if word in _ARTICLES and at + 1 < len(tokens):
        bottom = _bottom(tokens[at + 1])
        return (f"1/{bottom}", at + 2) if bottom else None
    bottom = _bottom(word)
    if bottom:
        return f"1/{bottom}", at + 1
    top = str(_UNITS[word]) if word in _UNITS else word
    if top.isascii() and top.isdigit() and at + 1 < len(tokens):
        bottom = _bottom(tokens[at + 1])
        if bottom:
            return f"{top}/{bottom}", at + 2
    return None


def _bottom(word: str) -> int:
    """What a part divides by: 4 for `quarters`; 0 for what is no part."""
    lower = word.lower()
    return _PARTS.get(lower) or _PARTS.get(lower.removesuffix("s"), 0)
