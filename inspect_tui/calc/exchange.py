"""Parts exchanged between cylinders: which order of the sheet's figures explains what was found.

All attributes of a row count together, measured ones by their uncertainty, stamped ones as five
standard uncertainties where they differ. Every order of the sheet's figures is held against what
was found, also with some cylinders left out as wrong by themselves; an order is claimed only where
it fits, where the sheet's figures can be told apart by these gauges, and where no other order fits
nearly as well. It is a test of one hypothesis against the next best, the thresholds tuned by
simulation so that a sound machine is named in less than one of a thousand.

Reference: the quadratic form is that of normal errors with a common part, the gauge's own
(JCGM 100:2008, 5.2.2), which a difference between cylinders doesn't see.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations, permutations

from inspect_tui.calc.distributions import chi_square_quantile

UNEQUAL = 5.0
"""Standard uncertainties between two stamps that are not the same."""
NOTHING_TO_EXPLAIN = 7.0
"""Chi-square of what was found against the sheet, below which it is as the sheet says."""
TOLD_APART = 4.5
"""Standard uncertainties by which the sheet's figures have to differ in the claimed order."""
TOWARDS, TOWARDS_OF_MANY, TOWARDS_OF_ALL = 3.4, 3.5, 3.2
"""Standard uncertainties by which what was found lies towards the claimed order: of two or three
cylinders, of four and more, of all parts of a carburettor together."""
CLEAR = 6.0
"""By so much less must the claimed order cost than the order of the sheet."""
NEXT_BEST = 3.0
"""By so much more must every order cost that doesn't have the claimed exchange."""
MAX_CYLINDERS = 6
"""720 orders are tried for six; of more cylinders those that differ from the sheet are compared."""
MAX_WITH_COMMON = 4
"""With more cylinders the gauge's own error counts as nought, so that it stays quick."""
_FREE, _FITS, _CONTRADICTS = 0.999, 0.995, 0.99

Order = tuple[int, ...]
"""Cylinder i has the figures that the sheet gives to cylinder order[i]."""
Cell = float | str | bool | None


@dataclass(frozen=True, slots=True)
class Attribute:
    """One part or measurement of every cylinder, and what the sheet says of it."""

    found: tuple[Cell, ...]
    """None where it isn't known, which contradicts nothing."""
    sheet: tuple[Cell, ...]
    uncertainties: tuple[float, ...] = ()
    """Standard, what differs from cylinder to cylinder; none for what is stamped."""
    common: float = 0.0
    """Standard uncertainty of the gauge's own error, shared by all cylinders."""


@dataclass(frozen=True, slots=True)
class Exchange:
    """An order of the parts that explains what was found."""

    order: Order
    differing: tuple[int, ...] = ()
    """Cylinders that differ from the sheet beside it, each by itself."""

    @property
    def cycles(self) -> tuple[tuple[int, ...], ...]:
        """Two cylinders are a pair; of three and more each has the next one's parts."""
        found: list[tuple[int, ...]] = []
        seen: set[int] = set()
        for start in range(len(self.order)):
            cycle = []
            at = start
            while at not in seen:
                seen.add(at)
                cycle.append(at)
                at = self.order[at]
            if len(cycle) > 1:
                found.append(tuple(cycle))
        return tuple(found)

    @property
    def moved(self) -> tuple[int, ...]:
        """Every cylinder that has another's parts."""
        return tuple(i for i, j in enumerate(self.order) if i != j)


@dataclass(frozen=True, slots=True)
class _Column:
    """One axis of an attribute: found and sheet as numbers, weights by cylinder."""

    found: tuple[float, ...]
    sheet: tuple[float, ...]
    weights: tuple[float, ...]
    common: float

    def product(self, r: Sequence[float], s: Sequence[float], over: Sequence[int]) -> float:
        """The inner product of two rows of differences over some cylinders."""
        w = self.weights
        total = sum(w[i] * r[i] * s[i] for i in over)
        if self.common:
            weight = sum(w[i] for i in over)
            if weight:
                one = sum(w[i] * r[i] for i in over)
                other = sum(w[i] * s[i] for i in over)
                total -= one * other / (1 / self.common**2 + weight)
        return total

    def off(self, order: Order) -> list[float]:
        """What was found less what that order gives."""
        return [x - self.sheet[j] for x, j in zip(self.found, order, strict=True)]

    def shift(self, order: Order) -> list[float]:
        """What that order gives less what the sheet gives."""
        return [self.sheet[j] - t for j, t in zip(order, self.sheet, strict=True)]


def same_stamp(a: Cell, b: Cell) -> bool:
    """Whether two stamps are the same; numbers to a part in 10^9."""
    if isinstance(a, float) and isinstance(b, float):
        return math.isclose(a, b, rel_tol=1e-9, abs_tol=0)
    return a == b


def _columns(attributes: Sequence[Attribute]) -> list[_Column]:
    found: list[_Column] = []
    for attribute in attributes:
        if attribute.uncertainties:
            found.append(_measured(attribute))
        else:
            found.extend(_stamped(attribute))
    return found


def _measured(attribute: Attribute) -> _Column:
    x = [float(v) if isinstance(v, float) else None for v in attribute.found]
    t = [float(v) if isinstance(v, float) else None for v in attribute.sheet]
    known = [a is not None for a in x]
    if any(v is None for v in t):
        known = [False] * len(x)
    return _Column(
        tuple(v or 0.0 for v in x), tuple(v or 0.0 for v in t),
        tuple(
            1 / u**2 if there else 0.0
            for u, there in zip(attribute.uncertainties, known, strict=True)
        ),
        attribute.common,
    )  # fmt: skip


def _stamped(attribute: Attribute) -> Iterator[_Column]:
    """An axis for each stamp, so that any two different ones lie equally far apart."""
    stamps: list[Cell] = []
    for cell in (*attribute.sheet, *attribute.found):
        if cell is not None and not any(same_stamp(cell, known) for known in stamps):
            stamps.append(cell)
    known = tuple(
        0.0 if cell is None or None in attribute.sheet else 1.0 for cell in attribute.found
    )
    far = UNEQUAL / math.sqrt(2)
    for stamp in stamps:
        yield _Column(
            tuple(far * (c is not None and same_stamp(c, stamp)) for c in attribute.found),
            tuple(far * (c is not None and same_stamp(c, stamp)) for c in attribute.sheet),
            known, 0.0,
        )  # fmt: skip


class _Row:
    """All attributes of the cylinders together."""

    def __init__(self, attributes: Sequence[Attribute]) -> None:
        self.columns = _columns(attributes)
        self.count = len(attributes[0].found)
        self.width = len(attributes)
        self.none: Order = tuple(range(self.count))
        everyone = range(self.count)
        self._separate = (
            [[self._cell(i, j) for j in everyone] for i in everyone]
            if self.count > MAX_WITH_COMMON or not any(column.common for column in self.columns)
            else None
        )

    def _cell(self, cylinder: int, other: int) -> float:
        """Chi-square of one cylinder's parts against another's figures, without a common part."""
        return sum(
            c.weights[cylinder] * (c.found[cylinder] - c.sheet[other]) ** 2 for c in self.columns
        )

    def product(
        self,
        r: Callable[[_Column], Sequence[float]],
        s: Callable[[_Column], Sequence[float]],
        over: Sequence[int],
    ) -> float:
        return sum(column.product(r(column), s(column), over) for column in self.columns)

    def is_seen(self, cycle: Sequence[int]) -> bool:
        """Whether a part that is known of all these cylinders tells their figures apart."""
        return any(
            all(c.weights[i] for i in cycle) and len({c.sheet[i] for i in cycle}) > 1
            for c in self.columns
        )

    def same_figures(self, one: int, other: int) -> bool:
        """Whether the sheet gives two cylinders the same figures."""
        return all(c.sheet[one] == c.sheet[other] for c in self.columns)

    def misfit(self, order: Order, over: Sequence[int]) -> float:
        """Chi-square of what was found against an order."""
        return self.product(lambda c: c.off(order), lambda c: c.off(order), over)

    def cost(self, order: Order) -> tuple[float, tuple[int, ...]]:
        """The least cost of an order, and the cylinders left free for it."""
        price = _limit(_FREE, self.width)
        if self._separate is not None:
            return self._separate_cost(self._separate, order, price)
        best: tuple[float, tuple[int, ...]] = (math.inf, ())
        for size in range(self.count):
            if size * price >= best[0]:
                break
            for free in combinations(range(self.count), size):
                over = [i for i in range(self.count) if i not in free]
                cost = self.misfit(order, over) + size * price
                if cost < best[0]:
                    best = cost, free
        return best

    def _separate_cost(
        self, cells: Sequence[Sequence[float]], order: Order, price: float
    ) -> tuple[float, tuple[int, ...]]:
        """The same where no gauge's error is shared: each cylinder pays its own or the price."""
        own = [cells[i][j] for i, j in enumerate(order)]
        dear = sorted((i for i, cost in enumerate(own) if cost > price), key=lambda i: -own[i])
        free = tuple(sorted(dear[: self.count - 1]))
        return sum(price if i in free else cost for i, cost in enumerate(own)), free

    def orders(self) -> list[Order]:
        """Every order that gives other figures than the rest, as the one that moves fewest."""
        kept: dict[tuple[tuple[float, ...], ...], Order] = {}
        for order in permutations(range(self.count)):
            given = tuple(tuple(column.sheet[j] for j in order) for column in self.columns)
            before = kept.get(given)
            if before is None or _moves(order) < _moves(before):
                kept[given] = order
        return list(kept.values())

    def twins(self, order: Order) -> list[Order]:
        """The orders that give the same figures and move no more cylinders."""
        return [
            other
            for other in permutations(range(self.count))
            if _moves(other) == _moves(order)
            and all(self.same_figures(i, j) for i, j in zip(other, order, strict=True))
        ]


def _moves(order: Order) -> int:
    return sum(i != j for i, j in enumerate(order))


@lru_cache(maxsize=64)
def _limit(probability: float, cells: int) -> float:
    return chi_square_quantile(probability, cells)


def find_exchange(attributes: Sequence[Attribute], towards: float | None = None) -> Exchange | None:
    """The exchange that what was found allows to claim, or None.

    Args:
        attributes: One or more, each with all cylinders, in one order.
        towards: How far what was found has to lie towards the claimed order; by the number of
            cylinders where it isn't given.
    """
    if not attributes or len(attributes[0].found) < 2:
        return None
    if len(attributes[0].found) > MAX_CYLINDERS:
        return _of_those_that_differ(attributes, towards)
    row = _Row(attributes)
    everyone = range(row.count)
    if row.misfit(row.none, everyone) < NOTHING_TO_EXPLAIN:
        return None
    priced = sorted(
        ((*row.cost(order), order) for order in row.orders()),
        key=lambda one: (round(one[0], 6), _moves(one[2]), one[2]),
    )
    best, _, cheapest = priced[0]
    none = next(cost for cost, _, other in priced if other == row.none)
    if cheapest == row.none or none - best < CLEAR:
        return None
    order = _agreed(row, priced)
    moved = [i for i in everyone if order[i] != i]
    if not moved:
        return None
    apart = math.sqrt(row.product(lambda c: c.shift(order), lambda c: c.shift(order), everyone))
    if apart < TOLD_APART:
        return None
    if towards is None:
        towards = TOWARDS if row.count < 4 else TOWARDS_OF_MANY
    along = row.product(lambda c: c.off(row.none), lambda c: c.shift(order), everyone) / apart
    if along < towards:
        return None
    cells = row.width * len(moved)
    if row.misfit(order, moved) > _limit(_FITS, cells):
        return None
    own = [i for i in everyone if i not in moved]
    differing = [i for i in own if row.misfit(order, [i]) > _limit(_FREE, row.width)]
    return Exchange(order, tuple(differing))


def _of_those_that_differ(
    attributes: Sequence[Attribute], towards: float | None
) -> Exchange | None:
    """Of many cylinders those that are as the sheet says are left out, if few remain."""
    everyone = tuple(range(len(attributes[0].found)))
    off = sorted(set().union(*(misfits(attribute, everyone) for attribute in attributes)))
    if len(off) > MAX_CYLINDERS:
        return None
    few = [
        Attribute(
            tuple(one.found[i] for i in off), tuple(one.sheet[i] for i in off),
            tuple(one.uncertainties[i] for i in off) if one.uncertainties else (), one.common,
        )
        for one in attributes
    ]  # fmt: skip
    found = find_exchange(few, towards)
    if found is None:
        return None
    order = list(everyone)
    for i, j in enumerate(found.order):
        order[off[i]] = off[j]
    return Exchange(tuple(order), tuple(off[i] for i in found.differing))


def _agreed(row: _Row, priced: Sequence[tuple[float, tuple[int, ...], Order]]) -> Order:
    """The cycles of the cheapest order that every order of nearly the same cost has too.

    One that is left free for its cheapest cost is no part of an exchange; nor is one that other
    cylinders with the same figures on the sheet would explain as well.
    """
    best, free, cheapest = priced[0]
    near = [order for cost, _, order in priced if cost - best < NEXT_BEST]
    twins = row.twins(cheapest)
    agreed = list(row.none)
    for cycle in Exchange(cheapest).cycles:
        shared = all(row.same_figures(order[i], cheapest[i]) for order in near for i in cycle)
        alone = all(twin[i] == cheapest[i] for twin in twins for i in cycle)
        if shared and alone and row.is_seen(cycle) and not set(cycle) & set(free):
            for i in cycle:
                agreed[i] = cheapest[i]
    return tuple(agreed)


def tells_apart(attribute: Attribute, order: Order) -> bool:
    """Whether an order gives some cylinder another figure of this attribute, all being known."""
    if None in attribute.sheet or any(
        attribute.found[i] is None for i, j in enumerate(order) if i != j
    ):
        return False
    return any(not same_stamp(attribute.sheet[i], attribute.sheet[j]) for i, j in enumerate(order))


def misfit(attributes: Sequence[Attribute], order: Order) -> float:
    """Chi-square of what was found against an order of the sheet's figures, all cylinders."""
    row = _Row(attributes)
    return row.misfit(order, range(row.count))


def contradicts(attributes: Sequence[Attribute], order: Order, among: int = 1) -> bool:
    """Whether what was found of these attributes doesn't fit an order.

    Args:
        attributes: One or more.
        order: Which.
        among: How many such lots are asked, so that by chance one of all in 100 contradicts.
    """
    row = _Row(attributes)
    moved = [i for i in range(row.count) if order[i] != i]
    sure = 1 - (1 - _CONTRADICTS) / among
    return row.misfit(order, moved) > _limit(sure, row.width * len(moved))


def misfits(attribute: Attribute, order: Order) -> set[int]:
    """The cylinders at which one attribute doesn't fit an order."""
    row = _Row([attribute])
    return {i for i in range(row.count) if row.misfit(order, [i]) > _limit(_CONTRADICTS, 1)}
