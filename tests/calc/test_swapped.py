"""Exchanged parts: what is claimed, what is not, and how often either is wrong."""

from __future__ import annotations

import random
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.calc import REGISTER

SHEET = [(145, 40, 60), (150, 40, 60), (155, 42.5, 62.5)]


def swapped(found: list[object], expected: list[object]) -> tuple[object, object]:
    got = REGISTER["swapped_parts"].function(found=found, expected=expected)
    return got["pairs"], got["explained"]


@pytest.mark.parametrize(
    ("found", "expected", "pairs", "explained"),
    [
        ([240, 230, 240], [240, 230, 240], (), True),
        ([230, 240, 240], [240, 230, 240], ((0, 1),), True),
        ([240, 240, 230], [240, 230, 240], ((1, 2),), True),
        (["6L", "6K"], ["6K", "6L"], ((0, 1),), True),
        ([" 6l ", "6k"], ["6K", "6L"], ((0, 1),), True),
        (["230", "240"], [240, 230], ((0, 1),), True),
        ([0, 1], [1, 0], ((0, 1),), True),
        ([230, 230, 240], [240, 230, 240], (), False),
        ([150, 147.5, 155], [145, 150, 155], (), False),
        ([150, 155, 145], [145, 150, 155], (), False),
        ([2, 1, 4, 3], [1, 2, 3, 4], ((0, 1), (2, 3)), True),
        ([2, 1, 3, 9], [1, 2, 3, 4], ((0, 1),), False),
        ([240], [230], (), False),
        ([(230, 40), (240, 45)], [(240, 45), (230, 40)], ((0, 1),), True),
    ],
)
def test_what_is_claimed(
    found: list[object], expected: list[object], pairs: object, explained: bool
) -> None:
    assert swapped(found, expected) == (pairs, explained)


def test_whole_rows_and_single_attributes() -> None:
    assert swapped([SHEET[0], SHEET[2], SHEET[1]], SHEET) == (((1, 2),), True)
    jets = [(145, 40, 60), (155, 40, 60), (150, 42.5, 62.5)]
    assert swapped(jets, SHEET) == (((1, 2),), True)
    assert swapped([SHEET[1], SHEET[2], SHEET[0]], SHEET) == ((), False)
    assert swapped([(145, 40, 60), (155, 40, 60), (155, 42.5, 62.5)], SHEET) == ((), False)


def test_another_cylinders_difference_leaves_it_unexplained() -> None:
    assert swapped([2, 1, 3, 9], [1, 2, 3, 4]) == (((0, 1),), False)
    assert swapped([(145, 40, 60), (155, 45, 62.5), (150, 40, 60)], SHEET) == (((1, 2),), False)


def test_what_fits_in_two_ways_is_not_claimed() -> None:
    assert swapped([150, 145, 150], [145, 150, 155]) == ((), False)


def test_what_is_not_known_contradicts_nothing_and_proves_nothing() -> None:
    sheet = [(240, 40), (230, 45)]
    assert swapped([(230, None), (240, None)], sheet) == (((0, 1),), True)
    assert swapped([(None, None), (None, None)], sheet) == ((), True)
    assert swapped([(230, None), (None, 40)], sheet)[0] == ()


def test_the_longest_list_that_is_taken() -> None:
    """A row of 24 is taken and one of 25 is not."""
    sheet: list[object] = list(range(24))
    assert swapped([1, 0, *sheet[2:]], sheet) == (((0, 1),), True)
    with pytest.raises(ValueError, match="1 to 24; got 25"):
        swapped([*sheet, 24], [*sheet, 24])


rows = st.lists(st.tuples(st.integers(1, 4), st.integers(1, 3)), min_size=2, max_size=5)


@settings(max_examples=60, deadline=None)
@given(sheet=rows, data=st.data())
def test_an_exchange_alone_is_always_found_where_it_can_be_seen(
    sheet: list[tuple[int, int]], data: st.DataObject
) -> None:
    i, j = sorted(data.draw(st.permutations(range(len(sheet))))[:2])
    found = list(sheet)
    found[i], found[j] = found[j], found[i]
    pairs, explained = swapped(found, sheet)
    assert explained
    assert pairs == (((i, j),) if sheet[i] != sheet[j] else ())


@settings(max_examples=60, deadline=None)
@given(sheet=rows, data=st.data())
def test_renaming_the_cylinders_changes_nothing_but_the_names(
    sheet: list[tuple[int, int]], data: st.DataObject
) -> None:
    found = [data.draw(st.tuples(st.integers(1, 4), st.integers(1, 3))) for _ in sheet]
    order = data.draw(st.permutations(range(len(sheet))))
    pairs, explained = swapped(found, sheet)
    renamed, as_well = swapped([found[i] for i in order], [sheet[i] for i in order])
    back = {tuple(sorted((order[i], order[j]))) for i, j in renamed}
    assert back == set(pairs) and as_well == explained


def misfits(found: list[object], expected: list[object], order: tuple[int, ...]) -> int:
    return sum(found[i] != expected[j] for i, j in enumerate(order))


def can_be_told(found: list[object], expected: list[object], pair: tuple[int, int]) -> bool:
    """Whether one order of the parts explains what was found better than all the others.

    Cylinders that have their own parts stay where they are. Written independently of the product.
    """
    out = [i for i, part in enumerate(found) if part != expected[i]]
    if not set(pair) <= set(out):
        return False
    orders = sorted(
        (misfits([found[i] for i in out], [expected[i] for i in out], order), order)
        for order in permutations(range(len(out)))
    )
    return len(orders) == 1 or orders[0][0] < orders[1][0]


def test_rates_of_false_and_missed_claims(capsys: pytest.CaptureFixture[str]) -> None:
    """4,000 machines: an exchange, changes of one's own, a rotation, or nothing at all."""
    dice = random.Random(20_261_102)
    sizes = [100 + 5 * n for n in range(14)]
    exchanged = told = missed = other = false = 0
    for _ in range(4_000):
        count = dice.choice((2, 3, 3, 4))
        sheet = [(dice.choice(sizes),) for _ in range(count)]
        found = list(sheet)
        event = dice.choice(("exchange", "exchange and change", "one", "two", "rotation", "none"))
        i, j, *rest = dice.sample(range(count), count)
        if event.startswith("exchange"):
            found[i], found[j] = sheet[j], sheet[i]
        if event == "exchange and change" and rest:
            found[rest[0]] = (dice.choice([s for s in sizes if (s,) != sheet[rest[0]]]),)
        for k in {"one": (i,), "two": (i, j)}.get(event, ()):
            found[k] = (dice.choice([s for s in sizes if (s,) != sheet[k]]),)
        if event == "rotation" and rest:
            found[i], found[j], found[rest[0]] = sheet[j], sheet[rest[0]], sheet[i]
        truth = (min(i, j), max(i, j)) if event.startswith("exchange") else None
        claims = swapped(found, sheet)[0]
        if truth is not None:
            exchanged += 1
            if can_be_told(found, sheet, truth):
                told += 1
                missed += truth not in claims
            false += any(claim != truth for claim in claims)
        else:
            # A ring through two alike cylinders is, part for part, an exchange of the others.
            alike = event == "rotation" and len(set(sheet)) < count
            other += 1
            false += bool(claims) and not alike
    with capsys.disabled():
        print(
            f"\nexchanged parts, 4,000 cases: false claims {false / 4_000:.2%}, "
            f"missed {missed / told:.2%} of those that can be told, "
            f"cannot tell {1 - told / exchanged:.1%} of the exchanges"
        )
    assert other > 1000 and told > 1000
    assert false / other < 0.01
    assert missed / told < 0.01
