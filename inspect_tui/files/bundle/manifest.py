"""The bytes of a packed file beside its files' own: a zip archive in which nothing is compressed.

There is one way to write it, to the byte: no time, no comment, no room between the files. So
whatever is changed, put in or left over shows, and nothing can grow when it is opened.
"""

from __future__ import annotations

import stat
import struct
import zlib
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO
from zipfile import BadZipFile, ZipInfo

_LOCAL = struct.Struct("<4s5H3L2H")
_CENTRAL = struct.Struct("<4s6H3L5H2L")
_END = struct.Struct("<4s4H2LH")
_LOCATOR_64 = b"PK\x06\x07"
_VERSION, _UNIX = 20, 3
_FIRST_DAY = 0x21
"""1980-01-01, as the format counts days."""
_PRIVATE_FILE = (stat.S_IFREG | 0o600) << 16
_LONGEST_RECORD = 300
"""Bytes of a file's line in the archive's directory, with the longest name there is."""


@dataclass(slots=True)
class Directory:
    """The archive's directory, as it grows with each file."""

    data: bytearray = field(default_factory=bytearray)
    at: int = 0
    """Where the next file begins."""
    count: int = 0

    def header(self, name: str, size: int, crc: int) -> bytes:
        """What stands before a file's bytes."""
        common = (0, 0, 0, _FIRST_DAY, crc, size, size, len(name), 0)
        self.data += _CENTRAL.pack(
            b"PK\x01\x02", _UNIX << 8 | _VERSION, _VERSION, *common, 0, 0, 0, _PRIVATE_FILE, self.at
        )
        self.data += name.encode("ascii")
        self.count += 1
        made = _LOCAL.pack(b"PK\x03\x04", _VERSION, *common) + name.encode("ascii")
        self.at += len(made) + size
        return made

    def end(self) -> bytes:
        """What stands after the last file."""
        counted = (self.count, self.count, len(self.data), self.at, 0)
        return bytes(self.data) + _END.pack(b"PK\x05\x06", 0, 0, *counted)


def put(out: IO[bytes], directory: Directory, name: str, data: bytes) -> None:
    """Write one file; its name is ASCII.

    Raises:
        OSError: as the system says it.
    """
    out.write(directory.header(name, len(data), zlib.crc32(data)))
    out.write(data)


def listed_count(path: Path, most: int) -> int:
    """How many files an archive says it lists, read before anything else of it is.

    Raises:
        BadZipFile: its end is none, or it lists more than so many files could take.
        OSError: as the system says it.
    """
    with path.open("rb") as file:
        size = file.seek(0, 2)
        file.seek(max(0, size - _END.size - 20))
        tail = file.read(_END.size + 20)
    end = tail[-_END.size :]
    if len(end) < _END.size or not end.startswith(b"PK\x05\x06"):
        raise BadZipFile("the end of the archive is not at the end of the file")
    _, _, _, _, count, length, _, _ = _END.unpack(end)
    if count <= most and (length > most * _LONGEST_RECORD or tail.startswith(_LOCATOR_64)):
        raise BadZipFile("its list of files is too long")
    return int(count)


def as_written(path: Path, entries: Iterable[ZipInfo]) -> bool:
    """Whether an archive is to the byte what `put` makes of its files.

    Raises:
        OSError: as the system says it.
    """
    directory = Directory()
    with path.open("rb") as file:
        for one in entries:
            file.seek(directory.at)
            header = directory.header(one.orig_filename, one.file_size, one.CRC)
            if file.read(len(header)) != header:
                return False
        file.seek(directory.at)
        end = directory.end()
        return file.read(len(end) + 1) == end
