"""Verdicts of random small lists equal those of simulation (JCGM 101:2008) with numpy.

The short form runs with the suite; the long one by hand, 300 lists with a million draws each:

    RANDOM_LISTS=300 python -m pytest -s tests/reference/test_random_lists.py
"""

from __future__ import annotations

import math
import os

from tests.campaigns.random_lists import FORMULAS, NEAR, compared, make, table

LONG = os.environ.get("RANDOM_LISTS", "")
LISTS = int(LONG or 2 * len(FORMULAS))
DRAWS = 1_000_000 if LONG else 100_000
FIRST = 4000
"""Not the lists that the campaign begins with."""


def test_verdicts_are_those_of_simulation():
    rows = [compared(seed, DRAWS) for seed in range(FIRST, FIRST + LISTS)]
    print(table(rows))
    assert [(row.seed, row.case.text) for row in rows if row.disagrees] == []
    # What the simulation itself may be off by, at three standard deviations, comes on top.
    slack = 3 * math.sqrt(0.25 / DRAWS)
    far = [(row.seed, row.case.text, row.probability, row.expected) for row in rows
           if row.error > 1.5 * NEAR + slack]  # fmt: skip
    assert far == []
    assert math.sqrt(sum(row.error**2 for row in rows) / len(rows)) < 0.004


def test_every_function_and_sort_of_gauge_takes_part():
    cases = [make(seed) for seed in range(FIRST, FIRST + LISTS)]
    kinds = set().union(*(case.kinds for case in cases))
    assert kinds >= {"tie", "shared", "resolution", "repeats", "limit is a reading", "calculation"}
    text = " ".join(case.text for case in cases)
    for name in ("abs(", "min(", "max(", "mean(", "spread(", "round(", "sqrt(", " * ", " / ", "**"):
        assert name in text
