"""A program that is killed while it records: whatever it was told is saved is there."""

import random
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from inspect_tui.files.log.writer import Writer, read
from tests.files.log_examples import opened

APPENDS = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from inspect_tui.core.model.log_entry import Entry
from inspect_tui.files.log.writer import Writer

with Writer.open(Path(sys.argv[1])) as writer:
    while True:
        at = datetime.now(UTC)
        done = writer.append([Entry(0, "note", at, "A", {"text": "x" * 3000})] * 3)
        print(done[-1].n, done[-1].seal, flush=True)
"""


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="no such signal here")
def test_every_acknowledged_entry_survives_a_kill(tmp_path):
    path = tmp_path / "killed.toml"
    Writer.create(path, opened()).close()
    root = Path(__file__).parents[2]
    chance = random.Random(3)
    for _ in range(20):
        child = subprocess.Popen(
            [sys.executable, "-c", APPENDS, str(path)], stdout=subprocess.PIPE, text=True, cwd=root
        )
        said = [child.stdout.readline() for _ in range(chance.randint(1, 40))]
        child.kill()
        said += child.stdout.read().splitlines(keepends=True)
        child.wait()
        child.stdout.close()
        n, seal = next(line for line in reversed(said) if line.endswith("\n")).split()
        contents = read(path)
        assert contents.problems == ()
        assert contents.entries[int(n)].seal == seal
        with Writer.open(path):
            pass
        assert read(path).whole
