"""Lists and sheets as they were compiled, kept by their text's hash; never the truth.

They lie in this person's own cache folder, not in the store: a store may be shared or synced, and
what somebody else put here would be believed of limits. So a file counts only where it and its
folder are this person's own and nobody else may write them, where its content has the hash that
stands before it, and for this program as it stands on the disk now. Whatever else lies there is as
if it were not.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import stat
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

import platformdirs

import inspect_tui
from inspect_tui.errors import InspectError
from inspect_tui.files.disk import all_but_newest, make_folder, open_plain

LARGEST = 8_000_000
"""Bytes; the largest list that may be read is an eighth of it."""
MOST = 60
"""Texts that are kept, the newest."""
_MADE_BY = ("core/definitions", "core/expressions", "core/model", "core/quantities")
"""The parts of the program on which it depends what is kept."""
_OTHERS_MAY_WRITE = stat.S_IWGRP | stat.S_IWOTH


@dataclass(frozen=True, slots=True)
class KeptDefinitions:
    """What was compiled by this program and lies in one folder."""

    folder: Path
    writes: bool = field(default=True, compare=False)
    """Whether what is new is kept."""

    @classmethod
    def of_this_computer(cls, *, writes: bool = True) -> KeptDefinitions:
        """In this person's cache folder."""
        cache_folder = platformdirs.user_cache_path("inspect-tui", appauthor=False)
        return cls(cache_folder / "definitions", writes)

    def read(self, kind: str, text: str) -> bytes | None:
        """What was kept for a text; None where there is nothing, or nothing to be trusted."""
        try:
            if not self._is_ours():
                return None
            with os.fdopen(open_plain(self._path(kind, text), os.O_RDONLY), "rb") as file:
                about = os.fstat(file.fileno())
                if not _is_private(about) or about.st_nlink > 1 or about.st_size > LARGEST:
                    return None
                kept = file.read(LARGEST)
        except (InspectError, OSError, ValueError):
            return None
        content = kept[32:]
        return content if hashlib.sha256(content).digest() == kept[:32] else None

    def write(self, kind: str, text: str, data: bytes) -> None:
        """Keep it; silent where it can't be, since nothing rests on it."""
        if not self.writes:
            return
        # Late: whoever finds it kept needs none of it.
        from inspect_tui.files.new_file import sweep, write_new

        with contextlib.suppress(InspectError, OSError, ValueError):
            path = self._path(kind, text)
            if self.folder.is_absolute():
                make_folder(self.folder)
            if not self._is_ours():
                return
            sweep(self.folder)
            self._let_go_of_old_ones()
            content = hashlib.sha256(data).digest() + data
            write_new(path, content, replace=True, flush=False)

    def _is_ours(self) -> bool:
        """Whether the folder is private. Raises OSError where there is none."""
        # One named from wherever the program was started is nobody's cache.
        return self.folder.is_absolute() and _is_private(self.folder.lstat())

    def _path(self, kind: str, text: str) -> Path:
        """Raises OSError where this program can't be told from another."""
        parts = (_this_program(), kind.encode(), text.encode("utf-8", "surrogatepass"))
        return self.folder / hashlib.sha256(b"\0".join(parts)).hexdigest()

    def _let_go_of_old_ones(self) -> None:
        found = (path for path in self.folder.iterdir() if len(path.name) == 64)
        for path in all_but_newest(found, MOST - 1):  # one more comes
            path.unlink(missing_ok=True)


def _is_private(about: os.stat_result) -> bool:
    """Whether a file or folder, no link, is this person's own and nobody else may write it."""
    if stat.S_ISLNK(about.st_mode):
        return False
    if os.name != "posix":
        return True  # in a person's profile, whose folders are their own
    return about.st_uid == os.geteuid() and not about.st_mode & _OTHERS_MAY_WRITE


@cache
def _this_program() -> bytes:
    """The program as it stands on the disk: another version has compiled otherwise, perhaps."""
    home = Path(inspect_tui.__file__).parent
    marks = sorted(mark for part in _MADE_BY for mark in _marks(home / part))
    return hashlib.sha256("\n".join([inspect_tui.__version__, *marks]).encode()).digest()


def _marks(folder: Path) -> Iterator[str]:
    with os.scandir(folder) as entries:
        for entry in entries:
            if entry.name.endswith(".py"):
                about = entry.stat()
                yield f"{entry.path} {about.st_size} {about.st_mtime_ns}"
