"""The command photo: a picture at a step."""

from __future__ import annotations

import argparse
from pathlib import Path

from inspect_tui.commands.common import opened, show, tell
from inspect_tui.core.readings import clean
from inspect_tui.errors import BadInput


def photo(given: argparse.Namespace) -> int:
    """Put a photo at a step; its name in the store on stdout."""
    try:
        path = Path(given.file).expanduser()
    except RuntimeError:
        raise BadInput(f"There is no home folder for '{clean(given.file)}'.") from None
    with opened(given) as inspection:
        for text in inspection.photo(given.step, path, given.cylinder):
            tell(text)
        show(str(inspection.entries[-1].get("photo")))
    return 0
