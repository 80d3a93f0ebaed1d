"""How long a session of 20,000 entries takes to resume, and how much memory, against its parse."""

from __future__ import annotations

import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

from inspect_tui.core.definitions import of_log
from inspect_tui.files.log.reader import contents_of
from inspect_tui.files.store import Store
from inspect_tui.workflow.inspection import Inspection
from tests.benchmarks.long_log import long_log, now
from tests.benchmarks.row import Row, busy, turn_by_turn

ENTRIES = 20_000
PEAK = """
import re, sys
from pathlib import Path
from inspect_tui.files.store import Store
from inspect_tui.workflow.inspection import Inspection
from tests.benchmarks.long_log import now

def peak():
    # Not ru_maxrss: a child takes its parent's with it.
    found = re.search(r"VmHWM:\\s*(\\d+) kB", Path("/proc/self/status").read_text())
    return int(found[1]) * 1024

path = Path(sys.argv[1])
places = Store(path.parent.parent)
with Inspection.open(places, sys.argv[2], now) as short:
    short.export("json")
before = peak()
with Inspection.open(places, path.stem, now):
    print(peak() - before)
"""


def rows() -> list[Row]:
    """The ratio of resuming to parsing, and of the peak of memory to the file."""
    with tempfile.TemporaryDirectory() as folder:
        path = long_log(Path(folder), ENTRIES)
        short = long_log(Path(folder), 50)
        data = path.read_bytes()
        text = data.decode()

        def resume() -> None:
            for kept in (of_log.compile_trusted, of_log.trusted_machine):
                kept.cache_clear()
            Inspection.open(Store(path.parent.parent), path.stem, now).close()

        def resume_short() -> None:
            of_log.compile_trusted.cache_clear()
            Inspection.open(Store(path.parent.parent), short.stem, now).close()

        resume()
        ours, parse, least = turn_by_turn(resume, lambda: contents_of(data, "x"), resume_short)
        plain = busy(lambda: tomllib.loads(text), 1)
        ran = subprocess.run(
            [sys.executable, "-c", PEAK, str(path), short.stem],
            capture_output=True, text=True, check=True,
        )  # fmt: skip
    more = int(ran.stdout)
    return [
        Row(
            f"resume a session of {ENTRIES:,} entries", f"{ours * 1000:.0f} ms",
            f"{ours / parse:.2f} of reading and verifying it ({parse * 1000:.0f} ms)", "1.3",
        ),
        Row(
            "", "", f"{(ours - least) / parse:.2f} without what one of 50 entries takes, too "
            f"({least * 1000:.0f} ms)", "",
        ),
        Row("", "", f"{ours / plain:.2f} of tomllib on it ({plain * 1000:.0f} ms)", "1.3"),
        Row(
            "memory at resuming it", f"{more / 1e6:.1f} MB more at the peak",
            f"{more / len(data):.2f} of the file ({len(data) / 1e6:.1f} MB)", "3",
        ),
    ]  # fmt: skip
