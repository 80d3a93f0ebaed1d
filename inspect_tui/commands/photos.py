"""The command photo: a picture at a step."""

from __future__ import annotations

import argparse

from inspect_tui.commands.common import opened, show, tell
from inspect_tui.files.store import typed_path


def photo(given: argparse.Namespace) -> int:
    """Put a photo at a step; its name in the store on stdout."""
    path = typed_path(given.file)
    with opened(given) as inspection:
        for text in inspection.photo(given.step, path, given.cylinder):
            tell(text)
        show(str(inspection.entries[-1].get("photo")))
    return 0
