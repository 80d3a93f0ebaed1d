"""The details of a fault inside the program, in a file, for whoever mends it."""

from __future__ import annotations

import contextlib
import os
import platform
import sys
import tempfile
import traceback
from datetime import datetime
from pathlib import Path

from inspect_tui import __version__
from inspect_tui.files.disk import make_folder


def keep(error: BaseException, store: Path | None, at: datetime) -> Path | None:
    """Write down where the program failed; nothing that was entered is in it but by the error.

    Args:
        error: What was raised.
        store: The store's folder, where `faults` gets the file; else, or where that takes none,
            the computer's own folder for passing files does.
        at: When.

    Returns:
        The file, readable by its owner alone; None where no disk took it.
    """
    text = "".join(
        [
            f"inspect-tui {__version__}, Python {platform.python_version()}, {sys.platform}\n",
            f"{at.isoformat(timespec='seconds')}\n\n",
            *traceback.format_exception(error),
        ]
    )
    kept = None if store is None else store / "faults"
    for folder in (None,) if kept is None else (kept, None):
        with contextlib.suppress(OSError):
            if folder is not None:
                make_folder(folder)
            # Of the passing folder's own finding comes an error too, where there is none.
            descriptor, name = tempfile.mkstemp(".txt", f"inspect-tui-{at:%Y-%m-%d}-", folder)
            with os.fdopen(descriptor, "wb") as file:
                file.write(text.encode("utf-8", "backslashreplace"))
            return Path(name)
    return None
