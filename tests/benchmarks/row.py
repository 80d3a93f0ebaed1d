"""What a benchmark says: a figure, the ratio that counts, and what was aimed at."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from statistics import median
from time import process_time


@dataclass(frozen=True)
class Row:
    """One line of the table."""

    what: str
    figure: str
    ratio: str
    aim: str


def busy(act: Callable[[], object], times: int = 5) -> float:
    """Seconds of processor time that an act takes: the middle one of several."""
    taken = []
    for _ in range(times):
        begun = process_time()
        act()
        taken.append(process_time() - begun)
    return median(taken)


def turn_by_turn(*acts: Callable[[], object], times: int = 7) -> list[float]:
    """Seconds of processor time of each act: its least, the acts taking turns.

    So whatever else the machine does meets all alike, and their ratio stays.
    """
    taken = [[busy(act, 1) for act in acts] for _ in range(times)]
    return [min(each) for each in zip(*taken, strict=True)]


def table(rows: list[Row]) -> str:
    """The rows under one another."""
    lines = [("", "figure", "ratio", "aim"), *((r.what, r.figure, r.ratio, r.aim) for r in rows)]
    widths = [max(len(line[n]) for line in lines) for n in range(4)]
    return "\n".join(
        "  ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)).rstrip()
        for line in lines
    )
