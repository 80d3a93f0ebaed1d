"""The commands pack, receive and combine: sessions carried from one laptop to another."""

from __future__ import annotations

import argparse
from pathlib import Path

from inspect_tui.commands.common import now, places, readable, session_of, show, tell
from inspect_tui.core.text.sanitize import sanitize


def pack(given: argparse.Namespace) -> int:
    """Put a session, or all of a machine, into one file."""
    from inspect_tui.workflow import packing

    for text in packing.pack(readable(given), given.what, Path(given.output)):
        tell(text)
    return 0


def receive(given: argparse.Namespace) -> int:
    """Bring what was packed, or a log, in."""
    from inspect_tui.workflow import transfer

    for text in transfer.receive(places(given), Path(given.file)):
        show(text)
    return 0


def combine(given: argparse.Namespace) -> int:
    """Make one log of two copies."""
    from inspect_tui.workflow import transfer

    by = sanitize(given.by)
    for text in transfer.combine(places(given), session_of(given), Path(given.file), by, now):
        show(text)
    return 0
