"""What a session shows first when it is opened next: kept beside the store's logs, never the truth.

It holds for one state of the log, byte for byte, and for one version of the program. What doesn't
fit, or can't be read, is as if it were not there.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import re
from pathlib import Path

from inspect_tui import __version__
from inspect_tui.errors import InspectError
from inspect_tui.files.disk import all_but_newest, make_folder, open_plain
from inspect_tui.files.store import Store

FOLDER = "first-sight"
LARGEST_LOG = 8_000_000
"""Bytes; a longer log takes longer to be looked at than is saved."""
LARGEST = 1_000_000
"""Bytes."""
_OURS = re.compile(rb"[0-9a-f]{64}\n\[.*", re.DOTALL)
MOST = 40
"""Sessions whose first sight is kept, those that were left last."""


def read(places: Store, session: str) -> object | None:
    """What was kept for this session as its log stands; None where nothing fits."""
    try:
        kept = _bytes(_path(places, session), LARGEST)
        mark, _, content = kept.partition(b"\n")
        if mark != _mark(_hash_of(_bytes(places.log(session), LARGEST_LOG)), content):
            return None
        found: object = json.loads(content)
    except (InspectError, OSError, ValueError, RecursionError):
        return None
    return found


def state_of(places: Store, session: str, seal: str) -> bytes | None:
    """The state of a session's log, for `write`.

    Args:
        places: The store.
        session: Its id.
        seal: The last one of the log that is to be shown; another log may lie there by now.

    Returns:
        None where it can't be read, is too long, or ends otherwise.
    """
    try:
        data = _bytes(places.log(session), LARGEST_LOG)
    except (InspectError, OSError):
        return None
    from inspect_tui.files.log.block import seal_line

    return _hash_of(data) if data.endswith(seal_line(seal)) else None


def write(places: Store, session: str, state: bytes, content: object) -> None:
    """Keep it for this state of the log; silent where it can't be: nothing rests on it."""
    from inspect_tui.files.new_file import sweep, write_new

    with contextlib.suppress(OSError):
        path = _path(places, session)
        if path.parent.is_symlink():  # what lies elsewhere is nobody's to sweep
            return
        make_folder(path.parent)
        sweep(path.parent)
        _let_go_of_old_ones(path.parent)
        data = json.dumps(content, ensure_ascii=True, separators=(",", ":")).encode()
        write_new(path, _mark(state, data) + b"\n" + data, replace=True, flush=False)


def _path(places: Store, session: str) -> Path:
    return places.store / FOLDER / f"{session}.json"


def _bytes(path: Path, most: int) -> bytes:
    """Raises OSError, also where it is longer."""
    descriptor = open_plain(path, os.O_RDONLY)
    with os.fdopen(descriptor, "rb") as file:
        data = file.read(most + 1)
    if len(data) > most:
        raise OSError(f"{path} is longer than {most} bytes")
    return data


def _hash_of(log: bytes) -> bytes:
    return hashlib.sha256(log).digest()


def _mark(state: bytes, content: bytes) -> bytes:
    """Holds a content to the state of its log and to this program."""
    parts = (__version__.encode(), state, content)
    return hashlib.sha256(b"\n".join(parts)).hexdigest().encode()


def _let_go_of_old_ones(folder: Path) -> None:
    for path in all_but_newest(folder.glob("*.json"), MOST - 1):  # one more comes
        with contextlib.suppress(OSError):
            if _OURS.fullmatch(_bytes(path, LARGEST)):
                path.unlink()
