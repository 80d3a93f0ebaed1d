"""Verdicts of random small lists against simulation (JCGM 101:2008) with numpy, by hand:

    python -m tests.campaigns.random_lists --lists 300 --draws 1000000 [--seed 1]

Each list has one to six readings and one derived value: all functions of the language, several
calculations, ties, coarse gauges, shared gauges, repeats, shares, limits that are readings. The
program goes the whole way from the text that was typed; the simulation knows the list alone, with
its own formulas in numpy, and its own random numbers.
"""

from __future__ import annotations

import argparse
import math
import time
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from inspect_tui.core.evaluation.evaluate_entries import Evaluated
from tests.small_session import derived, derived_row, evaluated, given, number, one_step

Column = np.ndarray
BORDERS = (0.05, 0.95)
NEAR = 0.01
"""Nearer to a border than this the verdict may be either."""


def swing(*values: Column) -> Column:
    """Highest less lowest."""
    return np.max(values, axis=0) - np.min(values, axis=0)


def whole(values: Column) -> Column:
    """To whole numbers, halves away from zero."""
    return np.sign(values) * np.floor(np.abs(values) + 0.5)


FORMULAS: list[tuple[str, int, str, Callable[..., Column]]] = [
    # text, readings, unit, the same in numpy (in mm; of a ratio plain)
    ("a", 1, "mm", lambda a: a),
    ("a - b", 2, "mm", lambda a, b: a - b),
    ("a + b - c", 3, "mm", lambda a, b, c: a + b - c),
    ("mean(a, b, c)", 3, "mm", lambda a, b, c: (a + b + c) / 3),
    ("abs(a - b)", 2, "mm", lambda a, b: np.abs(a - b)),
    ("-abs(a - b) + c", 3, "mm", lambda a, b, c: c - np.abs(a - b)),
    ("max(a, b)", 2, "mm", np.maximum),
    ("min(a, b, c, d)", 4, "mm", lambda *v: np.min(v, axis=0)),
    ("max(a, b, c)", 3, "mm", lambda *v: np.max(v, axis=0)),
    ("spread(a, b, c)", 3, "mm", swing),
    ("spread(a, b, c, d, e, f)", 6, "mm", swing),
    ("max(a, b, c) - min(a, b, c)", 3, "mm", swing),
    ("spread(a, b) + abs(c - d)", 4, "mm", lambda a, b, c, d: swing(a, b) + np.abs(c - d)),
    ("(a - b) * (c - d) / '1 mm'", 4, "mm", lambda a, b, c, d: (a - b) * (c - d)),
    ("(a - b) ** 2 / '1 mm'", 2, "mm", lambda a, b: (a - b) ** 2),
    ("sqrt((a - b) ** 2 + (c - d) ** 2)", 4, "mm", lambda a, b, c, d: np.hypot(a - b, c - d)),
    ("sqrt(a * b)", 2, "mm", lambda a, b: np.sqrt(np.where(a * b < 0, np.nan, a * b))),
    ("a * b / c", 3, "mm", lambda a, b, c: a * b / c),
    ("round(a, 'mm')", 1, "mm", whole),
    ("round(mean(a, b), 'mm')", 2, "mm", lambda a, b: whole((a + b) / 2)),
    ("round(a - b, 'mm')", 2, "mm", lambda a, b: whole(a - b)),
    ("min(max(a, b), c)", 3, "mm", lambda a, b, c: np.minimum(np.maximum(a, b), c)),
    ("max(abs(a - b), abs(b - c))", 3, "mm",
     lambda a, b, c: np.maximum(np.abs(a - b), np.abs(b - c))),
    ("a / b", 2, "", lambda a, b: a / b),
    ("spread(a, b, c) / mean(a, b, c)", 3, "", lambda *v: swing(*v) / np.mean(v, axis=0)),
    ("spread_percent(values=[a, b, c]) * 1", 3, "",
     lambda *v: swing(*v) / np.max(v, axis=0)),
    ("spread(values=[a, b])", 2, "mm", swing),
    ("deflection_at_load(deflection=a, load='10 N', other_load='20 N', unloaded=b)", 2, "mm",
     lambda a, b: np.where((a >= b) & (b >= 0), (a - b) * 2 + b, np.nan)),
    ("piston_position(stroke=a, rod=b, angle='40 deg')", 2, "mm", lambda a, b: crank(a, b)),
    ("toe(front=a, rear=b, base='1 m')", 2, "mm", lambda a, b: a - b),
    ("length_at_reference(length=a, expansion='0.00001 1/K', temperature='30 degC')", 1, "mm",
     lambda a: a / (1 + 1e-5 * 10)),
]  # fmt: skip
CALCULATIONS = ("piston_position", "deflection_at_load", "toe", "length_at_reference")
NAMES = "abcdefg"


def crank(stroke: Column, rod: Column) -> Column:
    """Slider and crank, 40 degrees after top dead centre."""
    r, turn = stroke / 2, math.radians(40)
    inside = rod**2 - (r * math.sin(turn)) ** 2
    refused = (rod < r) | (stroke <= 0)
    found = r + rod - r * math.cos(turn) - np.sqrt(np.where(inside < 0, 0, inside))
    return np.where(refused, np.nan, found)


@dataclass
class Gauged:
    """One reading of a random list: what was typed, and what is true of its error."""

    typed: str
    value: float
    keys: dict[str, str] = field(default_factory=dict)
    gauge: str = ""
    own: float = 0.0
    common: float = 0.0
    half_resolution: float = 0.0


@dataclass
class Case:
    """A random list with its readings."""

    text: str
    unit: str
    formula: Callable[..., Column]
    readings: list[Gauged]
    low: float | str | None
    high: float | str | None
    """A number, or the name of a reading."""
    kinds: set[str]


def reading(dice: np.random.Generator, value: float, u: float, kinds: set[str]) -> Gauged:
    """A reading of this value with a random statement of its error of about this size."""
    how = dice.choice(["whole", "between", "typed", "share", "resolution", "exact", "repeats"],
                      p=[0.3, 0.2, 0.1, 0.05, 0.2, 0.05, 0.1])  # fmt: skip
    if how == "between" or (how == "repeats" and dice.random() < 0.5):
        kinds.add("shared")
        share = float(dice.choice([0.3, 0.6, 0.9]))
        own, common = u * share, u * math.sqrt(1 - share**2)
        keys = {
            "uncertainty": f'"{2 * u:.6g} mm"', "uncertainty_between": f'"{2 * own:.6g} mm"',
        }  # fmt: skip
        if how == "between":
            return Gauged(f"{value:.9g}", value, keys, "calliper 3", own, common)
        kinds.add("repeats")
        off = own * 0.3
        typed = f"{value - off:.9g}; {value:.9g}; {value + off:.9g}"
        return Gauged(typed, value, keys, "calliper 3", own / math.sqrt(3), common)
    if how == "typed":
        return Gauged(f"{value:.9g} ± {2 * u:.6g}", value, own=u)
    if how == "share" and value:
        kinds.add("share")
        share = round(100 * 2 * u / abs(value), 3)
        return Gauged(f"{value:.9g}", value, {"uncertainty": f'"{share} %"'},
                      own=abs(value) * share / 200)  # fmt: skip
    if how == "resolution":
        kinds.add("resolution")
        division = round(2 * u * float(dice.choice([1, 2])), 4)
        gauge = f"rule, resolution: {division} mm"
        return Gauged(f"{value:.9g}", value, {}, gauge, half_resolution=division / 2)
    if how == "exact":
        return Gauged(f"{value:.9g}", value)
    return Gauged(f"{value:.9g}", value, {"uncertainty": f'"{2 * u:.6g} mm"'}, own=u)


def make(seed: int) -> Case:
    """The random list of this number."""
    dice = np.random.default_rng([seed, 271])
    text, count, unit, formula = FORMULAS[seed % len(FORMULAS)]
    kinds = {"calculation"} if any(name in text for name in CALCULATIONS) else set()
    u = float(dice.choice([0.05, 0.2, 0.5, 1.0]))
    base = float(dice.integers(20, 60))
    tie = dice.random() < 0.5
    steps = np.zeros(count) if tie else np.round(dice.normal(size=count) * u * 1.5, 3)
    if tie:
        kinds.add("tie")
    values = base + steps
    if "piston" in text:
        values = np.array([60.0, 120.0]) + steps
    if "unloaded" in text:
        values = np.array([35.0, 5.0]) + steps
    readings = [reading(dice, float(value), u, kinds) for value in values]
    if all(not (one.own or one.common or one.half_resolution) for one in readings):
        readings[0] = Gauged(f"{values[0]:.9g}", float(values[0]),
                             {"uncertainty": f'"{2 * u:.6g} mm"'}, own=u)  # fmt: skip
    case = Case(text, unit, formula, readings, None, None, kinds)
    sample = outcome(case, 4000, seed + 1)
    centre = float(np.nanmedian(sample))
    size = float(np.nanstd(sample)) or u
    case.low, case.high = limits(dice, case, centre, size, u)
    return case


def limits(
    dice: np.random.Generator, case: Case, centre: float, size: float, u: float
) -> tuple[float | str | None, float | str | None]:
    """Random limits about where the value lies, one of them perhaps a reading."""
    off = float(dice.normal()) * 1.3
    sides = dice.choice(["low", "high", "both"])
    width = float(dice.uniform(0.5, 5)) * size
    low = round(centre + off * size - width / 2, 4) if sides != "high" else None
    high = round(centre + off * size + width / 2, 4) if sides != "low" else None
    if case.unit == "mm" and dice.random() < 0.25:
        case.kinds.add("limit is a reading")
        value = low if low is not None else high
        assert value is not None
        case.readings.append(Gauged(f"{value:.9g}", value, {"uncertainty": f'"{2 * u:.6g} mm"'},
                                    own=u))  # fmt: skip
        return ("limit", high) if low is not None else (low, "limit")
    return low, high


def drawn(case: Case, draws: int, seed: int) -> list[Column]:
    """Every reading in every draw."""
    dice = np.random.default_rng([seed, 997])
    common = dice.normal(size=draws)
    return [
        one.value + one.own * dice.normal(size=draws) + one.common * common
        + one.half_resolution * dice.uniform(-1, 1, size=draws)
        for one in case.readings
    ]  # fmt: skip


def outcome(case: Case, draws: int, seed: int) -> Column:
    """The derived value in every draw."""
    count = next(n for text, n, _, _ in FORMULAS if text == case.text)
    with np.errstate(all="ignore"):
        return np.asarray(case.formula(*drawn(case, draws, seed)[:count]))


def simulated(case: Case, draws: int, seed: int) -> float:
    """The probability of being inside, by so many draws."""
    columns = drawn(case, draws, seed)
    count = next(n for text, n, _, _ in FORMULAS if text == case.text)
    with np.errstate(all="ignore"):
        value = np.asarray(case.formula(*columns[:count]))
    inside = np.isfinite(value)
    slack = 1e-9 * np.abs(value)
    for side, limit in ((1, case.low), (-1, case.high)):
        if limit is not None:
            edge = columns[-1] if limit == "limit" else limit
            inside &= side * (value - edge) >= -slack
    return float(inside.mean())


def session(case: Case) -> Evaluated:
    """The same list in the program, its readings typed."""
    names = [*NAMES[: len(case.readings)]]
    if "limit" in (case.low, case.high):
        names[-1] = "limit"
    named = dict(zip(names, case.readings, strict=True))
    sides = [
        f"{key} = {f'{chr(34)}{limit}{chr(34)}' if limit == 'limit' else limit}"
        for key, limit in (("min", case.low), ("max", case.high))
        if limit is not None
    ]
    items = [number(name, "mm", **one.keys) for name, one in named.items()]
    items.append(derived("y", case.text, case.unit, limit=f"{{ {', '.join(sides)} }}"))
    typed = [given(f"s.{name}", one.typed, one.gauge) for name, one in named.items()]
    return evaluated(one_step(*items), *typed)


@dataclass
class Compared:
    """One list's two answers."""

    seed: int
    case: Case
    probability: float
    verdict: str
    expected: float
    wanted: str
    seconds: float

    @property
    def error(self) -> float:
        """How far the program's probability is off."""
        return abs(self.probability - self.expected)

    @property
    def disagrees(self) -> bool:
        """Whether the verdicts differ, with the probability clear of a border."""
        near = min(abs(self.expected - border) for border in BORDERS) <= NEAR
        return self.verdict != self.wanted and not near


def compared(seed: int, draws: int) -> Compared:
    """The list of this number, both ways."""
    case = make(seed)
    found = session(case)
    evaluator, step = found.evaluator, found.evaluator.compiled.steps["s"]
    begun = time.process_time()
    row = evaluator.derived_row(step, step.derived[0], None, "as-found")
    seconds = time.process_time() - begun
    assert row is not None and row.judged.probability is not None, (seed, case.text, row)
    expected = simulated(case, draws, seed)
    inside = derived_row(found).judged.signed_margin <= 0
    wanted = "pass" if expected >= 0.95 else "uncertain"
    if expected <= 0.05 and not inside:
        wanted = "fail"
    return Compared(
        seed, case, row.judged.probability, row.judged.verdict, expected, wanted, seconds
    )


def table(rows: list[Compared]) -> str:
    """The comparison by kinds of list."""
    lines = [f"{'':20} {'n':>5} {'rms':>7} {'95 %':>7} {'max':>7} {'> 0.01':>6} {'verdicts':>8} "
             f"{'ms mean':>8} {'max':>6}"]  # fmt: skip
    groups: dict[str, list[Compared]] = {"all": rows}
    for row in rows:
        for kind in sorted(row.case.kinds):
            groups.setdefault(kind, []).append(row)
    for name, lot in groups.items():
        errors = sorted(row.error for row in lot)
        times = [1000 * row.seconds for row in lot]
        lines.append(
            f"{name:20} {len(lot):5} {math.sqrt(sum(e * e for e in errors) / len(errors)):7.4f} "
            f"{errors[int(0.95 * (len(errors) - 1))]:7.4f} {errors[-1]:7.4f} "
            f"{sum(e > 0.01 for e in errors):6} {sum(row.disagrees for row in lot):8} "
            f"{sum(times) / len(times):8.2f} {max(times):6.1f}"
        )
    return "\n".join(lines)


def main() -> None:
    """Compare and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--lists", type=int, default=300)
    parser.add_argument("--draws", type=int, default=1_000_000)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    rows = [compared(seed, asked.draws) for seed in range(asked.seed, asked.seed + asked.lists)]
    print(table(rows))
    for row in sorted(rows, key=lambda row: -row.error)[:10]:
        if row.error > 0.01 or row.disagrees:
            print(row.seed, row.case.text, sorted(row.case.kinds), f"{row.probability:.4f}",
                  f"{row.expected:.4f}", row.verdict, row.wanted)  # fmt: skip


if __name__ == "__main__":
    main()
