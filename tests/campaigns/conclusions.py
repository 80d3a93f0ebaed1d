"""Machines whose truth is known, and what the program concludes of them: rates, by hand.

    python -m tests.campaigns.conclusions --machines 5000 [--sound 20000]

Sound ones, one cylinder off, parts exchanged between two, moved round, two figures wrong, an
exchange with a third figure wrong, whole carburettors; out of family at several shifts; inferences
on and inside their limits. Beside each rate stands that of the best possible test, where there is
one: for a pair against a sound machine the likelihood ratio at a false rate of 0.1 % (Neyman and
Pearson), for one cylinder off the test that knows which one it is, at the rule's own rate of 1 %.
"""

from __future__ import annotations

import argparse
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import combinations
from statistics import NormalDist

import numpy as np

from inspect_tui.calc.exchange import (
    TOWARDS_OF_ALL,
    Attribute,
    Exchange,
    contradicts,
    find_exchange,
)
from inspect_tui.core.evaluation.conclusions.inference_strength import strength_of
from inspect_tui.core.evaluation.conclusions.out_of_family import stands_apart
from inspect_tui.core.model.log_entry import AS_FOUND
from tests.small_session import evaluated, given, number, one_step

PHI = NormalDist()
FALSE_RATE = 0.001
Dice = np.random.Generator


@dataclass(frozen=True)
class Rate:
    """One line of the table."""

    what: str
    right: float | None
    """Percent of machines of which the truth was said."""
    wrong: float
    """Percent of which something else was claimed."""
    possible: float | None = None
    """Percent that the best possible test would find."""


# --- exchanged parts -------------------------------------------------------------------------


@dataclass(frozen=True)
class Sort:
    """One sort of machine with measured parts."""

    cylinders: int
    step: float
    """Between two figures of the sheet, in standard uncertainties."""
    attributes: int = 1
    two_equal: bool = False
    common: float = 0.0

    def __str__(self) -> str:
        said = f"{self.cylinders} cyl, {self.step:g}"
        said += ", two equal" if self.two_equal else ""
        said += f", common {self.common:g} u" if self.common else ""
        return said + (f", {self.attributes} attributes" if self.attributes > 1 else "")

    def sheet(self, dice: Dice) -> list[np.ndarray]:
        """The figures of the sheet, shuffled, for each attribute."""
        levels = [0, 0, 1] if self.two_equal else list(range(self.cylinders))
        return [dice.permutation(np.array(levels) * self.step) for _ in range(self.attributes)]


SORTS = (
    Sort(2, 4), Sort(2, 5), Sort(3, 3), Sort(3, 4), Sort(3, 5), Sort(3, 4, two_equal=True),
    Sort(3, 4, common=0.75), Sort(3, 3, attributes=2), Sort(4, 4),
)  # fmt: skip
KINDS = ("sound", "pair", "rotation", "one wrong", "two wrong", "pair + one wrong")


def fits(sort: Sort, kind: str) -> bool:
    """Whether there are machines of this kind among a sort."""
    more_than_two = kind in ("rotation", "pair + one wrong")
    return not (more_than_two and sort.cylinders < 3) and not (
        kind == "rotation" and sort.two_equal
    )


def machine(sort: Sort, kind: str, dice: Dice) -> tuple[list[Attribute], tuple[int, ...]]:
    """What was found at one machine, and the order that its parts are in."""
    sheet = sort.sheet(dice)
    count = sort.cylinders
    order = list(range(count))
    wrong: list[int] = []
    if kind.startswith("pair"):
        pairs = [
            (a, b) for a, b in combinations(range(count), 2) if all(s[a] != s[b] for s in sheet)
        ]
        a, b = pairs[dice.integers(len(pairs))]
        order[a], order[b] = b, a
        if kind == "pair + one wrong":
            wrong = [int(dice.choice([i for i in range(count) if i not in (a, b)]))]
    elif kind == "rotation":
        by = 1 if dice.random() < 0.5 else count - 1
        order = [(i + by) % count for i in range(count)]
    elif kind in ("one wrong", "two wrong"):
        wrong = [int(i) for i in dice.choice(count, 1 if kind == "one wrong" else 2, replace=False)]
    attributes = []
    for figures in sheet:
        true = figures[order].astype(float)
        for i in wrong:
            true[i] += dice.choice([-1, 1]) * dice.uniform(1, 3) * sort.step
        found = true + dice.normal(size=count) + sort.common * dice.normal()
        attributes.append(
            Attribute(tuple(map(float, found)), tuple(map(float, figures)), (1.0,) * count,
                      sort.common)
        )  # fmt: skip
    return attributes, tuple(order)


def exchange_rate(sort: Sort, kind: str, machines: int) -> Rate:
    """How often the truth is said of one kind of machine, and how often something else."""
    dice = np.random.default_rng([hash_of(f"{sort} {kind}")])
    right = wrong = 0
    for _ in range(machines):
        attributes, order = machine(sort, kind, dice)
        claim = find_exchange(attributes)
        if claim is None:
            continue
        true = kind in ("pair", "rotation", "pair + one wrong") and same_parts(
            attributes, claim, order
        )
        right += true
        wrong += not true
    moves = kind in ("pair", "rotation", "pair + one wrong")
    possible = best_pair_test(sort) if kind == "pair" else None
    return Rate(
        f"{sort}: {kind}", 100 * right / machines if moves else None, 100 * wrong / machines,
        possible,
    )  # fmt: skip


def same_parts(attributes: list[Attribute], claim: Exchange, order: tuple[int, ...]) -> bool:
    """Whether the claimed order puts the same figures everywhere as the true one."""
    return all(
        one.sheet[i] == one.sheet[j]
        for one in attributes
        for i, j in zip(claim.order, order, strict=True)
    )


def best_pair_test(sort: Sort) -> float:
    """Percent of pairs that the likelihood ratio tells from a sound machine, at 0.1 % false."""
    gaps = [1.0] if sort.two_equal else [
        float(b - a) for a, b in combinations(range(sort.cylinders), 2)
    ]  # fmt: skip
    apart = [math.sqrt(2 * sort.attributes) * gap * sort.step for gap in gaps]
    quantile = PHI.inv_cdf(1 - FALSE_RATE)
    return 100 * sum(PHI.cdf(d - quantile) for d in apart) / len(apart)


def whole_rates(machines: int) -> list[Rate]:
    """Whole carburettors exchanged, jets alone, sound: three attributes in three steps."""
    dice = np.random.default_rng(17)
    rates = []
    for kind in ("sound", "whole", "jets alone"):
        said = other = 0
        for _ in range(machines):
            sheet = [dice.permutation(np.arange(3) * 5.0) for _ in range(2)]
            stamps = tuple(str(word) for word in dice.permutation(["6K", "6L", "6M"]))
            a, b = (int(i) for i in dice.choice(3, 2, replace=False))
            order = [0, 1, 2]
            order[a], order[b] = b, a
            same = [0, 1, 2]
            orders = {
                "sound": (same,) * 3,
                "whole": (order,) * 3,
                "jets alone": (order, same, same),
            }
            lot = [
                Attribute(
                    tuple(map(float, figures[orders[kind][at]] + dice.normal(size=3))),
                    tuple(map(float, figures)), (1.0,) * 3,
                )
                for at, figures in enumerate(sheet)
            ]  # fmt: skip
            lot.append(Attribute(tuple(stamps[j] for j in orders[kind][2]), stamps))
            whole = find_exchange(lot, TOWARDS_OF_ALL)
            together = whole is not None and not any(
                contradicts([one], whole.order, len(lot)) for one in lot
            )
            alone = [find_exchange([one]) for one in lot]
            if kind == "whole":
                told = together and whole is not None and list(whole.order) == order
                said += told
                other += together and not told
            elif kind == "jets alone":
                told = not together and alone[0] is not None and list(alone[0].order) == order
                said += told
                other += together or any(one is not None for one in alone[1:])
            else:
                other += together or any(one is not None for one in alone)
        rates.append(
            Rate(f"carburettors: {kind}", None if kind == "sound" else 100 * said / machines,
                 100 * other / machines)
        )  # fmt: skip
    return rates


# --- out of family ---------------------------------------------------------------------------

SHIFTS = (0, 1, 1.5, 2, 2.5, 3, 4, 5)


def family_rate(cylinders: int, shift: float, machines: int) -> Rate:
    """How often a cylinder that is off by so many expanded uncertainties is the one named."""
    dice = np.random.default_rng([31, cylinders, int(10 * shift)])
    rows = dice.normal(size=(machines, cylinders))
    off = dice.integers(cylinders, size=machines)
    rows[np.arange(machines), off] += 2 * shift * dice.choice([-1, 1], size=machines)
    right = wrong = 0
    for row, cylinder in zip(rows.tolist(), off.tolist(), strict=True):
        found = stands_apart(row, [1.0] * cylinders)
        if found is None:
            continue
        named = shift > 0 and (cylinders == 2 or found.cylinder == cylinder)
        right += named
        # "They differ, none stands apart" names nobody, and is no wrong claim of a machine that
        # has one off.
        wrong += not named and (not shift or found.cylinder is not None)
    what = f"out of family, {cylinders} cylinders, off by {shift:g} U"
    if not shift:
        return Rate(what, None, 100 * wrong / machines)
    away = 2 * shift / math.sqrt(1 + 1 / (cylinders - 1))
    limit = PHI.inv_cdf(1 - 0.005)
    possible = 100 * (PHI.cdf(away - limit) + PHI.cdf(-away - limit))
    return Rate(what, 100 * right / machines, 100 * wrong / machines, possible)


# --- inferences ------------------------------------------------------------------------------

COMPARED = ("a", "b", "c")


def inference_rate(where: str, comparisons: int, u: float, machines: int) -> list[Rate]:
    """How often an inference of so many independent comparisons speaks of a machine in spec.

    Args:
        where: `spread` evenly in the zone, `on` its limit, or `beyond` it by one U.
        comparisons: Joined by `and`.
        u: Standard uncertainty as a part of the zone.
        machines: How many.
    """
    dice = np.random.default_rng([53, comparisons, int(100 * u), len(where)])
    lot = one_step(*(number(name, uncertainty=f'"{2 * u} mm"') for name in COMPARED))
    when = " and ".join(f"s.{name} > '1 mm'" for name in COMPARED[:comparisons])
    lot += f'\n[[inference]]\nid = "i"\nwhen = "{when}"\nsays = "So it is."\nsure = "high"\n'
    raw = sure = likely = 0
    for _ in range(machines):
        true = {"spread": dice.random(3), "on": np.ones(3), "beyond": 1 + 2 * u * np.ones(3)}[where]
        read = true + dice.normal(size=3) * u
        found = evaluated(
            lot, *(given(f"s.{name}", f"{x:.9f}") for name, x in zip(COMPARED, read, strict=True))
        )
        evaluator = found.evaluator
        strength = strength_of(evaluator, evaluator.compiled.inference["i"], None, AS_FOUND)
        raw += bool((read[:comparisons] > 1).all())
        sure += strength.probability >= 0.95
        likely += 0.5 <= strength.probability < 0.95
    head = f"inference, {comparisons} comparison(s), {where}, u = {u:g} of the zone"
    return [
        Rate(f"{head}: {what}", None, 100 * count / machines)
        for what, count in (("raw values", raw), ("S >= 0.95", sure), ("0.5 to 0.95", likely))
    ]


# --- the table -------------------------------------------------------------------------------


def hash_of(text: str) -> int:
    """The same seed for the same words on every machine."""
    return sum(ord(char) * (place + 1) for place, char in enumerate(text))


def rates(machines: int, sound: int, inferences: int) -> Iterator[Rate]:
    """Every line, as it is worked out."""
    for sort in SORTS:
        for kind in KINDS:
            if fits(sort, kind):
                yield exchange_rate(sort, kind, sound if kind == "sound" else machines)
    yield from whole_rates(machines)
    for cylinders in (2, 3, 4):
        for shift in SHIFTS:
            yield family_rate(cylinders, shift, sound if not shift else machines)
    for where, comparisons, u in (
        ("spread", 1, 0.1), ("spread", 1, 0.3), ("spread", 2, 0.3), ("on", 1, 0.1), ("on", 2, 0.1),
        ("beyond", 1, 0.1),
    ):  # fmt: skip
        yield from inference_rate(where, comparisons, u, inferences)


def line(rate: Rate) -> str:
    """One line of the table."""
    shown: Callable[[float | None], str] = lambda part: "-" if part is None else f"{part:.2f}"  # noqa: E731
    return f"{rate.what:62} {shown(rate.right):>7} {rate.wrong:7.2f} {shown(rate.possible):>9}"


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--machines", type=int, default=5000)
    parser.add_argument("--sound", type=int, default=20000)
    parser.add_argument("--inferences", type=int, default=1000)
    asked = parser.parse_args()
    print(f"{'%':62} {'right':>7} {'wrong':>7} {'possible':>9}")
    for rate in rates(asked.machines, asked.sound, asked.inferences):
        print(line(rate), flush=True)


if __name__ == "__main__":
    main()
