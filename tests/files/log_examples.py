"""Logs to read and write, and the published example of three entries."""

import hashlib
import re
from datetime import UTC, datetime, timedelta
from pathlib import Path

from inspect_tui.core.model.log_entry import Entry

EXAMPLE = Path(__file__).parent / "data" / "three-entries.toml"
START = datetime(2026, 10, 3, 8, 0, tzinfo=UTC)


def opened(**keys):
    """The first entry of a log."""
    keys = {
        "format": 1,
        "program": "inspect-tui test",
        "session": "2026-10-03-bench-short",
        "checklist": 'id = "short"\n',
        "machine": 'id = "bench"\n',
        **keys,
    }
    return Entry(0, "opened", START, "A. Tester", keys)


def note(text, minutes=1):
    """A note, so many minutes after the start."""
    at = START + timedelta(minutes=minutes)
    return Entry(0, "note", at, "A. Tester", {"step": "belt", "text": text})


def seal_by_hand(blocks):
    """The bytes of a log of these blocks, sealed without the program's own code."""
    log, seal = b"", b""
    for block in blocks:
        seal = hashlib.sha256(seal + block).hexdigest().encode()
        log += block + b'seal = "' + seal + b'"\n'
    return log


def blocks_of(data):
    """The blocks of a sound log, by its seal lines."""
    return re.split(rb'(?m)^seal = "[0-9a-f]{64}"\n', data)[:-1]
