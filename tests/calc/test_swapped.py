"""Exchanged parts: what is claimed, what is not, and how often either is wrong."""

from __future__ import annotations

import random
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.calc import REGISTER
from inspect_tui.calc.swapped_parts import compare_parts

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


def test_whole_carburettors_name_the_attributes_that_agree() -> None:
    got = compare_parts([SHEET[0], SHEET[2], SHEET[1]], SHEET)
    assert (got.pairs, got.agree, got.contradict) == (((1, 2),), ((0, 1, 2),), ((),))
    assert got.explained and got.differing == ()


def test_jets_exchanged_but_not_carburettors() -> None:
    got = compare_parts([(145, 40, 60), (155, 40, 60), (150, 42.5, 62.5)], SHEET)
    assert (got.pairs, got.agree, got.contradict) == (((1, 2),), ((0,),), ((1, 2),))
    assert got.explained


def test_another_cylinders_difference_is_named_beside_the_pair() -> None:
    got = compare_parts([(2,), (1,), (3,), (9,)], [(1,), (2,), (3,), (4,)])
    assert got.pairs == ((0, 1),) and got.differing == (3,) and not got.explained


def test_a_difference_inside_the_pair_leaves_it_unexplained() -> None:
    got = compare_parts([(145, 40, 60), (155, 45, 62.5), (150, 40, 60)], SHEET)
    assert (got.pairs, got.agree, got.contradict) == (((1, 2),), ((0, 2),), ((1,),))
    assert got.differing == (1, 2) and not got.explained


def test_a_rotation_is_no_exchange() -> None:
    got = compare_parts([SHEET[1], SHEET[2], SHEET[0]], SHEET)
    assert got.pairs == () and got.rotation == (0, 1, 2) and got.explained


def test_one_change_is_one_change() -> None:
    got = compare_parts([(145, 40, 60), (155, 40, 60), (155, 42.5, 62.5)], SHEET)
    assert got.pairs == () and got.rotation is None and got.differing == (1,)


def test_alike_cylinders_are_named_since_nothing_could_be_seen() -> None:
    got = compare_parts([(240,), (230,), (240,)], [(240,), (230,), (240,)])
    assert got.alike == ((0, 2),) and got.explained


def test_what_fits_in_two_ways_is_not_claimed() -> None:
    got = compare_parts([(150,), (145,), (150,)], [(145,), (150,), (155,)])
    assert got.pairs == () and got.untold == (0, 1) and not got.explained


def test_measured_attributes_fit_within_their_uncertainty() -> None:
    sheet = [(1.2,), (1.5,)]
    assert compare_parts([(1.52,), (1.21,)], sheet, tolerances=[0.05]).pairs == ((0, 1),)
    assert compare_parts([(1.52,), (1.21,)], sheet).pairs == ()
    assert compare_parts([(1.52,), (1.21,)], sheet, tolerances=[0.5]).pairs == ()
    assert compare_parts([(1.5,), (1.2,)], sheet, tolerances=[0]).pairs == ((0, 1),)


def test_steps_say_how_near_is_the_same_size() -> None:
    got = compare_parts([(42.49,), (40,)], [(40,), (42.5,)], steps=[2.5])
    assert got.pairs == ((0, 1),)
    assert compare_parts([(42.49,), (40,)], [(40,), (42.5,)]).pairs == ()


def test_what_is_not_known_contradicts_nothing_and_proves_nothing() -> None:
    sheet = [(240, 40), (230, 45)]
    got = compare_parts([(230, None), (240, None)], sheet)
    assert got.pairs == ((0, 1),) and got.agree == ((0,),) and got.contradict == ((),)
    assert compare_parts([(None, None), (None, None)], sheet).pairs == ()
    assert compare_parts([(230, None), (None, 40)], sheet).pairs == ()


rows = st.lists(st.tuples(st.integers(1, 4), st.integers(1, 3)), min_size=2, max_size=5)


@settings(max_examples=200, deadline=None)
@given(sheet=rows, data=st.data())
def test_an_exchange_alone_is_always_found_where_it_can_be_seen(
    sheet: list[tuple[int, int]], data: st.DataObject
) -> None:
    i, j = sorted(data.draw(st.permutations(range(len(sheet))))[:2])
    found = list(sheet)
    found[i], found[j] = found[j], found[i]
    got = compare_parts(found, sheet)
    assert got.explained
    assert got.pairs == (((i, j),) if sheet[i] != sheet[j] else ())


@settings(max_examples=200, deadline=None)
@given(sheet=rows, data=st.data())
def test_renaming_the_cylinders_changes_nothing_but_the_names(
    sheet: list[tuple[int, int]], data: st.DataObject
) -> None:
    found = [data.draw(st.tuples(st.integers(1, 4), st.integers(1, 3))) for _ in sheet]
    order = data.draw(st.permutations(range(len(sheet))))
    got = compare_parts(found, sheet)
    renamed = compare_parts([found[i] for i in order], [sheet[i] for i in order])
    back = {tuple(sorted((order[i], order[j]))) for i, j in renamed.pairs}
    assert back == set(got.pairs) and renamed.explained == got.explained


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
    """20,000 machines: an exchange, changes of one's own, a rotation, or nothing at all."""
    dice = random.Random(20_261_102)
    sizes = [100 + 5 * n for n in range(14)]
    exchanged = told = missed = other = false = 0
    for _ in range(20_000):
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
        claims = compare_parts(found, sheet).pairs
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
            f"\nexchanged parts, 20,000 cases: false claims {false / 20_000:.2%}, "
            f"missed {missed / told:.2%} of those that can be told, "
            f"cannot tell {1 - told / exchanged:.1%} of the exchanges"
        )
    assert other > 5000 and told > 5000
    assert false / other < 0.01
    assert missed / told < 0.01
