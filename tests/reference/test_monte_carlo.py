"""First-order propagation of uncertainty against Monte Carlo (JCGM 101, GUM supplement 1).

At an ordinary working point with an owner's ordinary gauges the two agree within 5 % of the
uncertainty; a calculation whose working points reach further has to say so in its docstring. Draws
come in blocks of 10,000 until the uncertainty itself is known to 0.6 % (the adaptive procedure of
JCGM 101, 7.9), so that the blocks of different calculations differ in number.
"""

from __future__ import annotations

import math
import os
import random
import statistics
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from inspect_tui.calc import REGISTER

POINTS = tomllib.loads(
    (Path(__file__).parents[1] / "calc" / "working_points.toml").read_text(encoding="utf-8")
)
BLOCK = 10_000
LONG = os.environ.get("MONTE_CARLO_BLOCKS", "")
"""Set by hand for the long form: every calculation gets this many blocks (100 are 10^6 draws)."""
MAX_BLOCKS = int(LONG or 10)
WELL_KNOWN = 0.0 if LONG else 0.006
"""Relative standard uncertainty of the uncertainty at which drawing stops."""
ALLOWED = 0.05

NOT_PROPAGATED = {
    "swapped_parts": "gives no number",
    "conformance": "the probability is what an uncertainty is turned into",
}
STEPWISE = {("chain_length", "links_even"), ("jet_for_air", "jet"), ("repeat_readings", "outlier")}
"""Results that go in steps: rounded up, or one of the readings."""
OWN_SCATTER = {("repeat_readings", "standard_uncertainty"), ("repeat_readings", "expanded")}
"""Results that are uncertainties themselves."""

ORDINARY = [
    (name, result.key)
    for name, entry in REGISTER.items()
    if name not in NOT_PROPAGATED
    for result in entry.results
    if (name, result.key) not in STEPWISE | OWN_SCATTER
]

HARD: list[tuple[str, str, dict[str, Any]]] = [
    ("span_tension", "tension", {"deflection": {"value": 0.035, "u": 0.007}}),
    ("piston_position", "distance", {"angle": {"value": 0.02, "u": 0.02}}),
    ("timing_angle", "angle", {"distance": {"value": 0.00002, "u": 0.00002}}),
    ("spread", "spread", {"values": {"value": [120.0, 119.9, 119.8], "u": 1.0}}),
    ("spring_rate", "rate", {"length_2": {"value": 0.058, "u": 0.0004}}),
    ("oil_ratio", "ratio", {"oil": {"value": 0.00045, "u": 0.00009}}),
]
"""Working points where the first order is known to fall short, and the docstring says so."""


Flat = list[float]


def flattened(entries: dict[str, Any]) -> tuple[Flat, Flat, Callable[[Flat], dict[str, Any]]]:
    """Values and standard uncertainties in a row, and the way back to keyword arguments."""
    fixed = {key: entry for key, entry in entries.items() if not isinstance(entry, dict)}
    loose = {key: entry for key, entry in entries.items() if isinstance(entry, dict)}
    values: Flat = []
    errors: Flat = []
    for entry in loose.values():
        several = entry["value"] if isinstance(entry["value"], list) else [entry["value"]]
        values += several
        errors += [entry["u"]] * len(several)

    def inputs(row: Flat) -> dict[str, Any]:
        given, place = dict(fixed), 0
        for key, entry in loose.items():
            if isinstance(entry["value"], list):
                given[key] = row[place : place + len(entry["value"])]
                place += len(entry["value"])
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


def shortfall(name: str, key: str, changes: dict[str, Any]) -> float:
    """How far the first order is off, as a part of the uncertainty by Monte Carlo."""
    values, errors, inputs = flattened(POINTS[name] | changes)
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
    name: str, key: str, changes: dict[str, Any]
) -> None:
    assert shortfall(name, key, changes) > ALLOWED, "then there is nothing to warn of"
    assert warned(name)
