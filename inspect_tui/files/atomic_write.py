"""Writing a report to a file that a person named, whole or not at all."""

from __future__ import annotations

import contextlib
import os
import tempfile
from pathlib import Path

from inspect_tui.errors import BadInput, NotSaved
from inspect_tui.files.disk import put_in_place, reason_in_words


def write(path: Path, data: bytes) -> None:
    """Write the file by way of a new one beside it, so that a full disk leaves the old one.

    Raises:
        BadInput: the place can't be a file, or holds a session log.
        NotSaved: the disk did not take it.
    """
    if path.is_dir() or not path.parent.is_dir():
        raise BadInput(f"'{path}' can't be written: its folder is missing or it is a folder.")
    _spare_logs(path)
    name = ""
    try:
        descriptor, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
        with os.fdopen(descriptor, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        put_in_place(Path(name), path)
    except OSError as error:
        if name:
            with contextlib.suppress(OSError):
                Path(name).unlink(missing_ok=True)
        raise NotSaved(f"'{path}' was not written: {reason_in_words(error)}.") from error


def _spare_logs(path: Path) -> None:
    try:
        with path.open("rb") as file:
            if file.read(9) == b"[[entry]]":
                raise BadInput(f"'{path}' is a session log; name another file.")
    except FileNotFoundError:
        return
    except OSError as error:
        raise NotSaved(f"'{path}' can't be written: {reason_in_words(error)}.") from error
