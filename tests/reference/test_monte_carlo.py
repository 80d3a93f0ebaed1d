"""First-order propagation of uncertainty against Monte Carlo (JCGM 101, GUM supplement 1).

At an ordinary working point with an owner's ordinary gauges the two agree within 5 % of the
uncertainty; a calculation whose working points reach further has to say so in its docstring. Draws
come in blocks of 5,000 until the uncertainty itself is known to 0.8 % (the adaptive procedure of
JCGM 101, 7.9), so that the blocks of different calculations differ in number.
"""

from __future__ import annotations

import math
import os
import random
import statistics
from collections.abc import Callable
from typing import Any

import pytest

from inspect_tui.calc import REGISTER

BLOCK = 5_000
LONG = os.environ.get("MONTE_CARLO_BLOCKS", "")
"""Set by hand for the long form: every calculation gets this many blocks (200 are 10^6 draws)."""
MAX_BLOCKS = int(LONG or 10)
WELL_KNOWN = 0.0 if LONG else 0.008
"""Relative standard uncertainty of the uncertainty at which drawing stops."""
ALLOWED = 0.05

ORDINARY = [
    (name, result.key)
    for name, entry in REGISTER.items()
    for result in entry.results
    if result.unit is not None and result.propagates and any(one.u for one in entry.inputs)
]
"""What an uncertainty goes through to; the rows say which results go in steps."""

Readings = dict[str, tuple[Any, float | None]]
"""By input: the value at a working point (a tuple for a list), and its standard uncertainty."""

HARD: list[tuple[str, str, Readings]] = [
    ("span_tension", "tension", {"deflection": (0.035, 0.007)}),
    ("piston_position", "distance", {"angle": (0.02, 0.02)}),
    ("timing_angle", "angle", {"distance": (0.00002, 0.00002)}),
    ("spread", "spread", {"values": ((120.0, 119.9, 119.8), 1.0)}),
    ("spring_rate", "rate", {"length_2": (0.058, 0.0004)}),
    ("oil_ratio", "ratio", {"oil": (0.00045, 0.00009)}),
    ("leak_down", "hole", {"held": (549_000.0, 2000.0)}),
]
"""Working points where the first order is known to fall short, and the docstring says so."""


Flat = list[float]


def flattened(entries: Readings) -> tuple[Flat, Flat, Callable[[Flat], dict[str, Any]]]:
    """Values and standard uncertainties in a row, and the way back to keyword arguments."""
    values: Flat = []
    errors: Flat = []
    for value, u in entries.values():
        several = value if isinstance(value, tuple) else (value,)
        if u is not None:
            values += several
            errors += [u] * len(several)

    def inputs(row: Flat) -> dict[str, Any]:
        given: dict[str, Any] = {}
        place = 0
        for key, (value, u) in entries.items():
            if u is None:
                given[key] = value
            elif isinstance(value, tuple):
                given[key] = row[place : place + len(value)]
                place += len(value)
            else:
                given[key] = row[place]
                place += 1
        return given

    return values, errors, inputs


def first_order(work: Callable[[Flat], float], values: Flat, errors: Flat) -> float:
    """JCGM 100, 5.1.2, with sensitivities from moving every input a little both ways."""
    total = 0.0
    for n, error in enumerate(errors):
        ends = []
        for side in (-1, 1):
            row = list(values)
            row[n] += side * error / 1000
            ends.append(work(row))
        total += ((ends[1] - ends[0]) * 500) ** 2
    return math.sqrt(total)


def monte_carlo(work: Callable[[Flat], float], values: Flat, errors: Flat, label: str) -> float:
    """Standard deviation of the result over normal draws; draws out of range are drawn again."""
    dice = random.Random(label)
    blocks: Flat = []
    while len(blocks) < MAX_BLOCKS:
        results = []
        while len(results) < BLOCK:
            try:
                results.append(
                    work([dice.gauss(*pair) for pair in zip(values, errors, strict=True)])
                )
            except ValueError:
                continue
        blocks.append(statistics.pstdev(results))
        if len(blocks) >= 2:
            known = statistics.stdev(blocks) / math.sqrt(len(blocks)) / statistics.fmean(blocks)
            if known < WELL_KNOWN:
                break
    return math.sqrt(statistics.fmean([block * block for block in blocks]))


def shortfall(name: str, key: str, changes: Readings) -> float:
    """How far the first order is off, as a part of the uncertainty by Monte Carlo."""
    point: Readings = {one.name: (one.at, one.u) for one in REGISTER[name].inputs}
    values, errors, inputs = flattened(point | changes)
    function = REGISTER[name].function

    def work(row: Flat) -> float:
        return float(function(**inputs(row))[key])  # type: ignore[arg-type]

    drawn = monte_carlo(work, values, errors, f"{name} {key}")
    return abs(first_order(work, values, errors) / drawn - 1)


def warned(name: str) -> bool:
    return "first-order propagation" in " ".join((REGISTER[name].function.__doc__ or "").split())


@pytest.mark.parametrize(("name", "key"), ORDINARY)
def test_first_order_is_good_at_an_ordinary_working_point(name: str, key: str) -> None:
    assert shortfall(name, key, {}) < ALLOWED


@pytest.mark.parametrize(("name", "key", "changes"), HARD)
def test_where_first_order_falls_short_the_docstring_says_so(
    name: str, key: str, changes: Readings
) -> None:
    assert shortfall(name, key, changes) > ALLOWED, "then there is nothing to warn of"
    assert warned(name)
