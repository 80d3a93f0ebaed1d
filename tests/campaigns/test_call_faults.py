"""The campaign of failing system calls in short, that it sees what it is for, and a real limit."""

from __future__ import annotations

import errno
import subprocess
import sys
from pathlib import Path

import pytest

from inspect_tui.files.log import writer as log
from inspect_tui.files.log.writer import Writer
from tests.campaigns.faults import SHORT, Plan, begun, campaign, one

ROOT = Path(__file__).parents[2]


def test_no_failing_call_loses_what_was_acknowledged(tmp_path):
    cases, faults = campaign(tmp_path.resolve(), (errno.ENOSPC, errno.EIO, SHORT))
    assert faults == []
    assert cases > 150


def test_an_error_that_is_swallowed_is_seen(tmp_path, monkeypatch):
    def careless(self, data):
        try:
            log.write_all(self._descriptor, data)
            log.os.fsync(self._descriptor)
        except OSError:
            log.os.ftruncate(self._descriptor, self._length)
            return
        self._count_bytes(data)

    monkeypatch.setattr(Writer, "_write", careless)
    found = []
    for nth in range(1, 60):
        place = tmp_path / str(nth)
        place.mkdir()
        plan = Plan(nth, errno.EIO, False)
        found += one(place.resolve(), False, plan) if plan.error else []
    assert any("lost" in fault for fault in found)
    assert any("nothing was said" in fault for fault in found)


LIMITED = """
import resource, sys
from inspect_tui.cli import main
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[1]), int(sys.argv[1])))
sys.exit(main(sys.argv[2:]))
"""


@pytest.mark.skipif(sys.platform != "linux", reason="needs a limit on the size of files")
def test_the_systems_own_short_write_and_refusal(tmp_path):
    """A limit on the file's size: the system writes a part of the entry, then refuses."""
    session, begin = begun(tmp_path, torn=False)
    with begin() as held:
        path = held.log.path
    before = path.read_bytes()
    arguments = ["--store", str(session.places.store), "note", path.stem, "belt", "x" * 400]
    limit = str(len(before) + 100)
    ran = subprocess.run(
        [sys.executable, "-c", LIMITED, limit, *arguments],
        capture_output=True, text=True, cwd=ROOT, timeout=120,
    )  # fmt: skip
    assert ran.returncode == 1
    assert "Not saved" in ran.stderr and "too large for this disk" in ran.stderr
    assert "Traceback" not in ran.stderr
    assert path.read_bytes() == before
