"""Text from files and people as it may be shown: nothing in it steers a terminal or hides."""

from __future__ import annotations

import re
from typing import Final

UNSEEN: Final = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u00ad\u061c\u180e\u200b\u200e\u200f\u2028-\u202e"
    "\u2060-\u206f\ufeff\ufff9-\ufffb\ud800-\udfff\U000e0000-\U000e007f]"
)
"""Control codes, marks that turn the direction of writing, and characters without a face."""


def visible(text: str) -> str:
    """Text from files and people as it may be shown anywhere.

    Terminal codes, direction marks and characters without a face become `<U+001B>`; line ends
    become LF, tabs stay.
    """
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    return UNSEEN.sub(lambda found: f"<U+{ord(found[0]):04X}>", text)


def one_line(text: str) -> str:
    """The same on one line: line ends become ` / `, runs of blanks one space."""
    lines = (" ".join(line.split()) for line in visible(text).split("\n"))
    return " / ".join(line for line in lines if line)


def of_this_log(text: str, session: str) -> str:
    """A sentence about a session's files as the session's own screen says it: `This log is ...`.

    Args:
        text: With the log's file name, or `Session ID`; paths and commands keep theirs.
        session: Its id.
    """
    for name, words in (
        (rf"{re.escape(session)}\.toml", "this log"),
        (rf"{re.escape(session)}\.torn", "a file .torn beside it"),
        (rf"Session {re.escape(session)}", "this session"),
    ):
        text = re.sub(rf"(?<![/\\\w-]){name}(?![\w-])", words, text)
    return re.sub(
        r"(^|[.:?] )(this (?:log|session)\b)",
        lambda found: found[1] + (found[2] if found[1] == ": " else found[2].capitalize()),
        text,
    )


def without_fail(text: str) -> str:
    """A finding's sentence without the word that its sign says: `grey, wanted: light brown`."""
    return re.sub(r", fail[:,] ", ", ", text)
