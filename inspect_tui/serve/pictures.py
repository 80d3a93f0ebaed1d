"""A photo sent by the tablet: bounded, looked at, laid where the app takes it from."""

from __future__ import annotations

import errno
import os
import tempfile
from pathlib import Path
from typing import BinaryIO, Final, Protocol

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

    413: too large; 415: it doesn't begin as a picture; 507: the disk is full. The app looks at it
    properly.
    """
    descriptor, name = tempfile.mkstemp(dir=folder, suffix=".jpg")
    status = 400
    try:
        with os.fdopen(descriptor, "wb") as file:
            status = await _written(content, file)
    except OSError as error:
        if error.errno not in (errno.ENOSPC, errno.EDQUOT):
            raise
        status = 507
    finally:  # the line may break off, too
        if status:
            Path(name).unlink(missing_ok=True)
    return status or Path(name)


async def _written(content: Content, file: BinaryIO) -> int:
    """Write what comes; the status of the answer that refuses it, 0 where all is well."""
    size, first = 0, b""
    while piece := await content.read(_PIECE):
        size += len(piece)
        first = first or piece
        if size > LARGEST:
            return 413
        file.write(piece)
    return 0 if _is_picture(first) else 415


def _is_picture(data: bytes) -> bool:
    where, what = _HEIC
    return data.startswith(_BEGINNINGS) or data[where] == what
