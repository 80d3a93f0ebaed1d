"""Parts exchanged between cylinders: what was found against what the sheet says, per cylinder.

The cheapest way of assigning what was found to the cylinders is no evidence by itself: it only
sorts the values. An exchange is claimed when the parts fit exactly the other way round and no other
order of the parts explains what was found nearly as well. Always a hint, never an instruction.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations, permutations

from inspect_tui.calc.input_checks import Real
from inspect_tui.calc.part_matching import Cell, Matcher, Row, per_attribute, rows_of
from inspect_tui.calc.registry import Input, Outcome, Refusal, Result, declare

Grid = Sequence[Sequence[float]]
"""Cost of what was found at the cylinder of the row, if it belonged to the column's."""

MOST_MOVED = 6
"""Cylinders out of order beyond this are only listed: 720 orders are all tried."""
_CLEAR = 9.0
"""By so much less must the exchange cost than the order as it stands."""
_NEXT_BEST = 4.0
"""By so much more must every other order cost."""


@dataclass(frozen=True, slots=True)
class PartsComparison:
    """What comparing the parts of all cylinders with the sheet shows. Cylinders count from 0."""

    pairs: tuple[tuple[int, int], ...] = ()
    """Cylinders whose parts look exchanged, lower one first."""
    agree: tuple[tuple[int, ...], ...] = ()
    """For each pair, the attributes (from 0) that tell the two apart and were found exchanged."""
    contradict: tuple[tuple[int, ...], ...] = ()
    """For each pair, the attributes that tell the two apart and were not found exchanged: jets
    exchanged, not carburettors."""
    rotation: tuple[int, ...] | None = None
    """Three or more cylinders gone round: the first has the second's parts, the last the first's.
    The order of the carburettors, rather than an exchange."""
    explained: bool = True
    """Nothing is left over once the pairs and the rotation are put right."""
    differing: tuple[int, ...] = ()
    """Cylinders that still differ from the sheet after that; their differences are their own."""
    alike: tuple[tuple[int, int], ...] = ()
    """Cylinders to which the sheet gives the same parts: an exchange could not be seen."""
    untold: tuple[int, ...] = ()
    """Cylinders whose parts fit the other way round, but not in one way only."""


def orders_by_cost(costs: Grid) -> list[tuple[float, tuple[int, ...]]]:
    """Every order of the parts with its cost, cheapest first; place i has the parts of order[i]."""
    count = len(costs)
    priced = (
        (sum(costs[i][j] for i, j in enumerate(order)), order)
        for order in permutations(range(count))
    )
    return sorted(priced)


def _near_best(costs: Grid) -> list[tuple[int, ...]]:
    """The orders that explain what was found about as well as the best one does."""
    priced = orders_by_cost(costs)
    best = priced[0][0]
    return [order for cost, order in priced if cost < best + _NEXT_BEST]


@dataclass(frozen=True, slots=True)
class _Moves:
    """What the orders near the best one agree on, as positions in all cylinders."""

    pairs: tuple[tuple[int, int], ...]
    rotation: tuple[int, ...] | None
    untold: tuple[int, ...]


def _moves(found: Sequence[Row], expected: Sequence[Row], match: Matcher) -> _Moves:
    """Pairs and rotation by the conditions that every claim has to meet.

    (1) the sheet tells the cylinders apart, (2) the parts fit the other way round, (3) neither
    cylinder has its own parts, (4) and (5) the order as it stands costs at least 9 more and every
    order without this exchange at least 4 more than the best.
    """
    moved = [i for i, row in enumerate(found) if not match.rows(row, expected[i])]
    if not 2 <= len(moved) <= MOST_MOVED:
        return _Moves((), None, ())
    costs = [[match.cost(found[i], expected[j]) for j in moved] for i in moved]
    near = _near_best(costs)

    fitting = [[match.rows(found[i], expected[j]) for j in moved] for i in moved]

    def fits(i: int, j: int) -> bool:
        return fitting[i][j]

    pairs: list[tuple[int, int]] = []
    untold: set[int] = set()
    for i, j in combinations(range(len(moved)), 2):
        if not (fits(i, j) and fits(j, i)) or match.rows(expected[moved[i]], expected[moved[j]]):
            continue
        gain = costs[i][i] + costs[j][j] - costs[i][j] - costs[j][i]
        if gain >= _CLEAR and all(order[i] == j and order[j] == i for order in near):
            pairs.append((moved[i], moved[j]))
        else:
            untold.update((moved[i], moved[j]))
    ring = _ring(near, fits)
    return _Moves(
        tuple(pairs),
        None if ring is None else tuple(moved[i] for i in ring),
        tuple(sorted(untold)),
    )


def _ring(
    near: Sequence[tuple[int, ...]], fits: Callable[[int, int], bool]
) -> tuple[int, ...] | None:
    """The first ring of three or more that all the near orders have and that fits exactly."""
    best = near[0]
    for start in range(len(best)):
        ring = [start]
        while best[ring[-1]] != start and len(ring) <= len(best):
            ring.append(best[ring[-1]])
        if len(ring) < 3 or min(ring) != start:
            continue
        steps = list(zip(ring, ring[1:] + ring[:1], strict=True))
        if all(fits(i, j) for i, j in steps) and all(
            order[i] == j for order in near for i, j in steps
        ):
            return tuple(ring)
    return None


def _only(rows: Sequence[Row], attribute: int) -> list[Row]:
    return [(row[attribute],) for row in rows]


def _by_attribute(
    found: Sequence[Row], expected: Sequence[Row], match: Matcher, free: set[int]
) -> dict[tuple[int, int], list[int]]:
    """Pairs of the cylinders still free, with the attributes that were exchanged between them."""
    width = len(found[0])
    seen: dict[tuple[int, int], list[int]] = {}
    for k in range(width if width > 1 else 0):
        column = _moves(_only(found, k), _only(expected, k), match.column(k))
        for pair in column.pairs:
            if free.issuperset(pair):
                seen.setdefault(pair, []).append(k)
    return seen


def _told_apart(expected: Sequence[Row], pair: tuple[int, int], match: Matcher) -> list[int]:
    """The attributes in which the sheet tells two cylinders apart."""
    a, b = expected[pair[0]], expected[pair[1]]
    return [k for k in range(len(a)) if not match.same(k, a[k], b[k])]


def _left_over(
    found: Sequence[Row],
    expected: Sequence[Row],
    match: Matcher,
    exchanged: Iterable[tuple[tuple[int, int], Sequence[int]]],
    rotation: tuple[int, ...] | None,
) -> tuple[int, ...]:
    """Cylinders that still differ once the exchanges and the rotation are put right."""
    source = [[i] * len(row) for i, row in enumerate(expected)]
    for (i, j), attributes in exchanged:
        for k in attributes:
            source[i][k], source[j][k] = j, i
    for i, j in zip(rotation or (), (rotation or ())[1:] + (rotation or ())[:1], strict=True):
        source[i] = [j] * len(source[i])
    return tuple(
        i
        for i, row in enumerate(found)
        if not match.rows(row, tuple(expected[source[i][k]][k] for k in range(len(row))))
    )


def compare_parts(
    found_rows: Sequence[Sequence[object]],
    expected_rows: Sequence[Sequence[object]],
    steps: Sequence[Real | None] | None = None,
    tolerances: Sequence[Real | None] | None = None,
) -> PartsComparison:
    """Whether parts were exchanged between cylinders.

    One row a cylinder, one element an attribute (main jet, pilot jet, clip position ...): a number,
    a word, or None where it is not known. `steps` gives, per attribute, how far apart two sizes of
    the part lie: numbers nearer than half a step are the same size; without it they must be equal.
    `tolerances` gives the expanded uncertainty (k = 2) of attributes that are measured rather than
    stamped: they fit within it (0 and None are a stamped part).

    Three conditions are per pair (the sheet tells the two apart; the parts fit exactly the other
    way round; neither has its own), and two weigh the orders of all cylinders against each other
    (see `_moves`). Whole rows are compared first, then each attribute by itself for the cylinders
    that no whole-row exchange explains.

    Valid for up to 6 cylinders out of order. Thresholds are a suggestion, not published. Two
    cylinders that were changed independently match each other's parts by chance once in about
    (sizes - 1)^2 cases.

    Raises:
        ValueError: rows of differing number or length, or an element that is neither number nor
            word.
    """
    found, expected = rows_of("found", found_rows), rows_of("expected", expected_rows)
    if len(found) != len(expected):
        raise ValueError(
            "expected must be as long as found, one per cylinder; "
            f"got {len(expected)} beside {len(found)}"
        )
    width = len(found[0])
    if any(len(row) != width for row in found + expected):
        raise ValueError(f"expected and found must have {width} attributes for every cylinder")
    match = Matcher(
        per_attribute("steps", steps, width), per_attribute("tolerances", tolerances, width)
    )
    return _compared(found, expected, match)


def _compared(found: Sequence[Row], expected: Sequence[Row], match: Matcher) -> PartsComparison:
    """The comparison of rows that have been checked."""
    moves = _moves(found, expected, match)
    width = len(found[0])
    exchanged = {
        pair: known
        for pair in moves.pairs
        if (known := [k for k in _told_apart(expected, pair, match) if _known(found, pair, k)])
    }
    taken = {i for pair in moves.pairs for i in pair} | set(moves.rotation or ())
    partial = _by_attribute(found, expected, match, set(range(len(found))) - taken)
    agree = exchanged | partial
    pairs = tuple(sorted(agree))
    differing = _left_over(
        found,
        expected,
        match,
        [(pair, partial.get(pair, range(width))) for pair in pairs],
        moves.rotation,
    )
    return PartsComparison(
        pairs=pairs,
        agree=tuple(tuple(agree[pair]) for pair in pairs),
        contradict=tuple(
            tuple(
                k
                for k in _told_apart(expected, pair, match)
                if k not in agree[pair] and _known(found, pair, k)
            )
            for pair in pairs
        ),
        rotation=moves.rotation,
        explained=not differing,
        differing=differing,
        alike=tuple(
            pair
            for pair in combinations(range(len(expected)), 2)
            if match.rows(expected[pair[0]], expected[pair[1]])
        ),
        untold=tuple(i for i in moves.untold if not any(i in pair for pair in pairs)),
    )


def _known(found: Sequence[Row], pair: tuple[int, int], attribute: int) -> bool:
    return all(found[i][attribute] is not None for i in pair)


@declare(
    subject="engine",
    title="Parts exchanged between cylinders",
    inputs=(
        Input("found", None, "what was found, per cylinder", "230; 240; 240", many=True,
              at=(230, 240, 240)),
        Input("expected", None, "what the sheet says, per cylinder", "240; 230; 240", many=True,
              at=(240, 230, 240)),
    ),
    results=(
        Result("pairs", None, "cylinders that look exchanged, counted from 0"),
        Result("explained", None, "true if no difference is left over"),
    ),
    formula="found i = expected j and found j = expected i, and no other order nearly as good",
    source="own conditions, tried by simulation (rates in the tests); assignment problem",
    valid=(
        "Stamped parts, which fit exactly or not at all; cylinders with the same figures on the "
        "sheet can't be told apart."
    ),
    harm="A hint, never an instruction: look at all parts of both cylinders first.",
    refuses=(
        Refusal({"found": []}, "found must have one element per cylinder"),
        Refusal({"found": [1, 2]}, "expected must be as long as found"),
        Refusal({"found": [None, 1, 2]}, "found must have a value for every cylinder"),
        Refusal({"found": [float("nan"), 1, 2]}, "found"),
        Refusal({"found": [(1, 2), 1, 2]}, "attributes for every cylinder"),
    ),
)  # fmt: skip
def swapped_parts(*, found: Sequence[object], expected: Sequence[object]) -> dict[str, Outcome]:
    """Which cylinders look as if their parts had been exchanged.

    One element per cylinder: a number, a word, or a list of them where several parts are compared
    at once. A pair is claimed when the sheet tells the two cylinders apart, what was found fits
    exactly the other way round, neither has its own part, and no other order explains it nearly as
    well. `pairs` is a list of (i, j); `explained` is also true, without pairs, when everything is
    as the sheet says, and false for three carburettors gone round.
    """
    result = compare_parts(_listed("found", found), _listed("expected", expected))
    return {"pairs": result.pairs, "explained": result.explained and result.rotation is None}


def _listed(name: str, values: object) -> list[Sequence[Cell]]:
    """Elements as rows: a single number or word is a row of one attribute."""
    if isinstance(values, str) or not isinstance(values, Sequence):
        raise ValueError(f"{name} must be a list with one element per cylinder")
    rows: list[Sequence[Cell]] = []
    for position, value in enumerate(values):
        if value is None:
            raise ValueError(f"{name} must have a value for every cylinder; {position} has none")
        rows.append(tuple(value) if isinstance(value, (list, tuple)) else (value,))
    return rows
