"""How fast a log is read and verified, against hashlib and tomllib alone on the same bytes."""

from __future__ import annotations

import hashlib
import re
import tempfile
import tomllib
from pathlib import Path

from inspect_tui.files.log.reader import contents_of
from tests.benchmarks.long_log import long_log
from tests.benchmarks.row import Row, busy

ENTRIES = 20_000


def bare(data: bytes) -> None:
    """The least that any verifier in Python does: cut at the seal lines, hash, read as TOML."""
    seal = b""
    start = 0
    for found in re.finditer(rb'(?m)^seal = "([0-9a-f]{64})"\n', data):
        block = data[start : found.start()]
        start = found.end()
        assert hashlib.sha256(seal + block).hexdigest().encode() == found[1]
        tomllib.loads(block.decode())
        seal = found[1]


def rows() -> list[Row]:
    """MB/s, and the ratio to the bare verifier."""
    with tempfile.TemporaryDirectory() as folder:
        data = long_log(Path(folder), ENTRIES).read_bytes()
    assert contents_of(data, "x").whole
    ours, theirs = busy(lambda: contents_of(data, "x"), 3), busy(lambda: bare(data), 3)
    size = len(data) / 1e6
    return [
        Row(
            f"verify a log of {ENTRIES:,} entries ({size:.1f} MB)",
            f"{size / ours:.1f} MB/s, {ours * 1000:.0f} ms",
            f"{ours / theirs:.2f} of hashlib + tomllib ({theirs * 1000:.0f} ms)",
            "100 MB/s, or 2 at most",
        )
    ]
