"""Photos as the log names them: a file in the store, called by the SHA-256 of its content.

Pure; looking into a picture is `files.photos`' work.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from urllib.parse import unquote

from inspect_tui.core.model.log_entry import Entry

_FILE_NAME = re.compile(r"([0-9a-f]{64})\.(?:jpg|png|webp|heic)")
_MARK = "file:"


@dataclass(frozen=True, slots=True)
class Thumbnail:
    """A picture made small, for the screen."""

    width: int
    height: int
    rgb: bytes
    """Three bytes a pixel, row after row."""


def hash_of(photo: object) -> str:
    """The hash in a photo's file name; "" where it is no such name."""
    found = _FILE_NAME.fullmatch(photo) if isinstance(photo, str) else None
    return "" if found is None else found[1]


def named(entries: Iterable[Entry]) -> dict[str, int]:
    """The photos that entries name, each with the number of the first entry that does."""
    found: dict[str, int] = {}
    for entry in entries:
        photo = entry.get("photo")
        if isinstance(photo, str) and hash_of(photo):
            found.setdefault(photo, entry.n)
    return found


def typed_file(text: str) -> str | None:
    """The path that is meant by `file:~/IMG_1.jpg`; None: words, never read as a path.

    `file:///home/x/a%20b.jpg` is read as the address that file managers give.
    """
    text = text.strip()
    if not text.startswith(_MARK):
        return None
    path = text.removeprefix(_MARK).strip()
    return unquote(path.removeprefix("//")) if path.startswith("///") else path
