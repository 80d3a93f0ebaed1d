"""Commands that print for the shed: paper, tag."""

from __future__ import annotations

import argparse
from pathlib import Path

from inspect_tui.commands.common import now, opened, readable, tell
from inspect_tui.files import atomic_write
from inspect_tui.report import read_export
from inspect_tui.workflow import papers


def paper(given: argparse.Namespace) -> int:
    """Blank sheets of a list for a machine."""
    _save(given.output, papers.blank_sheets(readable(given), given.checklist, given.machine, now()))
    return 0


def tag(given: argparse.Namespace) -> int:
    """The tag of a session."""
    with opened(given, write=False) as inspection:
        data = papers.tag(inspection.log, now(), inspection.carried_now, inspection.earlier_stops)
    _save(given.output, data)
    return 0


def _save(file: str, data: bytes) -> None:
    """Write it; only what this program made is replaced."""
    atomic_write.write(Path(file), data, read_export.is_export)
    tell(f"Written to {file}.")
