"""A photo sent by the tablet: bounded, looked at, laid where the app takes it from."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path
from typing import Final, Protocol

LARGEST: Final = 25_000_000
"""Bytes."""
_PIECE: Final = 1 << 16
_BEGINNINGS: Final = (b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"RIFF")
_HEIC: Final = slice(4, 8), b"ftyp"


class Content(Protocol):
    """What comes over the line."""

    async def read(self, n: int = -1) -> bytes:
        """The next bytes; none at the end."""
        ...


async def take(content: Content, folder: Path) -> Path | int:
    """The file that a photo was written to, or the status of the answer that refuses it.

    413: too large; 415: it doesn't begin as a picture. The app looks at it properly.
    """
    descriptor, name = tempfile.mkstemp(dir=folder, suffix=".jpg")
    size = 0
    with os.fdopen(descriptor, "wb") as file:
        first = b""
        while piece := await content.read(_PIECE):
            size += len(piece)
            first = first or piece
            if size > LARGEST:
                break
            file.write(piece)
    status = 413 if size > LARGEST else 0 if _is_picture(first) else 415
    if status:
        Path(name).unlink(missing_ok=True)
        return status
    return Path(name)


def _is_picture(data: bytes) -> bool:
    where, what = _HEIC
    return data.startswith(_BEGINNINGS) or data[where] == what
