"""The campaign of hostile input, guided by coverage: wants atheris, which is no requirement.

    python -m tests.campaigns.guided TARGET SECONDS

For the targets that take a text or bytes alone (see `fuzz`).
"""

from __future__ import annotations

import contextlib
import sys
import tempfile
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["inspect_tui"]):
    from inspect_tui.errors import InspectError
    from tests.campaigns.fuzz import targets
    from tests.campaigns.hostile import Random


def main() -> None:
    """Feed one target; ends the process, as libFuzzer does."""
    name, seconds = sys.argv[1], int(sys.argv[2])
    with targets() as aims, tempfile.TemporaryDirectory() as corpus:
        aim = aims[name]
        if aim.plain is None:
            raise SystemExit(f"{name} takes neither text nor bytes alone.")

        def feed(data: bytes) -> None:
            with contextlib.suppress(InspectError):
                aim.feed(data if aim.plain is bytes else data.decode("utf-8", "surrogateescape"))

        for number in range(300):
            made = aim.make(Random(f"corpus {number}"))
            data = made if isinstance(made, bytes) else made.encode("utf-8", "surrogatepass")
            (Path(corpus) / str(number)).write_bytes(data)
        limits = [f"-max_total_time={seconds}", "-timeout=20", "-rss_limit_mb=3000"]
        atheris.Setup([sys.argv[0], *limits, "-print_final_stats=1", corpus], feed)
        atheris.Fuzz()


main()
