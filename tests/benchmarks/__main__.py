"""All benchmarks, one table: python -m tests.benchmarks [NAME ...]. They decide nothing."""

from __future__ import annotations

import sys
from importlib import import_module

from tests.benchmarks.row import Row, table

NAMES = (
    "save",
    "verify",
    "resume",
    "work_out",
    "lot",
    "uncertain",
    "opening",
    "first_paint",
    "first_question",
    "key_press",
    "large_list",
    "many_sessions",
    "cost_curve",
)


def main() -> None:
    """Run those that are named, else all."""
    rows: list[Row] = []
    for name in sys.argv[1:] or NAMES:
        print(f"{name} ...", file=sys.stderr, flush=True)
        rows += import_module(f"tests.benchmarks.{name}").rows()
    print(table(rows))


main()
