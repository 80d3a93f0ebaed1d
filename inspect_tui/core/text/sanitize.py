"""Text from people and files, made harmless before it is shown or stored, and cut to a length.

Every edge of the program goes through here, so that no text steers a terminal or hides letters.
"""

from __future__ import annotations

import re
import unicodedata

from inspect_tui.errors import BadInput

_SEQUENCE = re.compile(
    r"\x1b(?:\[[0-?]{0,32}[ -/]{0,8}[@-~]|\][^\x07\x1b]{0,256}(?:\x07|\x1b\\)?|.)?"
)


def sanitize(text: str, *, lines: bool = False) -> str:
    """Text from a person or a file without what could steer a terminal or hide letters.

    Terminal sequences, control characters, marks of writing direction, zero-width characters and
    halves of surrogate pairs go; line ends and tabs become spaces (with `lines`, line ends stay).

    Args:
        text: Anything.
        lines: Whether line ends are kept, for text of several lines.
    """
    if text.isascii() and text.isprintable():  # as nearly every text is
        return text.strip()
    kept: list[str] = []
    for sign in _SEQUENCE.sub("", text) if "\x1b" in text else text:
        if (sign.isascii() and sign.isprintable()) or (sign == "\n" and lines):
            kept.append(sign)
        elif sign in "\t\n\r\v\f\x85\u2028\u2029":
            kept.append(" ")
        elif unicodedata.category(sign) not in ("Cc", "Cf", "Cs", "Co", "Cn"):
            kept.append(sign)
    return "".join(kept).strip()


def required_text(what: str, text: str) -> str:
    """A text that has to be there, made harmless.

    Args:
        what: What it is, for the message: `the reason`.
        text: As typed.

    Raises:
        BadInput: nothing is left of it.
    """
    cleaned = sanitize(text)
    if not cleaned:
        raise BadInput(f"{what[0].upper()}{what[1:]} is missing.")
    return cleaned


def ellipsize(text: str, most: int = 40) -> str:
    """Text for quoting in a message."""
    tidy = sanitize(text[: 4 * most])
    return tidy if len(tidy) <= most else f"{tidy[: most - 3]}..."
