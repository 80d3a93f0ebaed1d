"""Exchanged parts by the joint fit: what is claimed, each threshold from both sides, and rates."""

from __future__ import annotations

import math

import pytest
from scipy import stats

from inspect_tui.calc import exchange as exchanged
from inspect_tui.calc.exchange import Attribute, contradicts, find_exchange, misfits, tells_apart
from tests.campaigns.conclusions import Sort, exchange_rate, whole_rates


def stamped(found, sheet):
    as_cells = [tuple(float(c) if isinstance(c, int) else c for c in row) for row in (found, sheet)]
    return Attribute(*as_cells)


def measured(found, sheet, u=1.0, common=0.0):
    return Attribute(
        tuple(map(float, found)), tuple(map(float, sheet)), (u,) * len(found), common
    )  # fmt: skip


def claimed(*attributes):
    found = find_exchange(attributes)
    return None if found is None else found.cycles


@pytest.mark.parametrize(
    ("found", "sheet", "cycles"),
    [
        ([240, 230, 240], [240, 230, 240], None),
        ([230, 240, 240], [240, 230, 240], ((0, 1),)),
        ([240, 240, 230], [240, 230, 240], ((1, 2),)),
        ([360, 370, 360], [370, 360, 360], ((0, 1),)),
        ([220, 230, 240], [240, 230, 220], ((0, 2),)),
        ([230, 230, 240], [240, 230, 240], None),
        ([150, 155, 145], [145, 150, 155], ((0, 1, 2),)),
        ([2, 1, 4, 3], [1, 2, 3, 4], ((0, 1), (2, 3))),
        ([2, 1], [1, 2], ((0, 1),)),
        ([2, 3], [1, 2], None),
        (["6l", "6k"], ["6k", "6l"], ((0, 1),)),
        ([None, 1], [1, 2], None),
    ],
)
def test_stamped_parts(found, sheet, cycles):
    assert claimed(stamped(found, sheet)) == cycles


def test_a_difference_beside_a_pair_is_the_cylinders_own():
    found = find_exchange([stamped([2, 1, 3, 9], [1, 2, 3, 4])])
    assert found.cycles == ((0, 1),)
    assert found.differing == (3,)


def test_what_all_likely_orders_have_is_claimed_where_they_differ_elsewhere():
    # The third has the fourth's figure: it may be wrong by itself, or the fourth may be.
    found = find_exchange([stamped([2, 1, 4, 4], [1, 2, 3, 4])])
    assert (found.cycles, found.differing) == (((0, 1),), (2,))
    assert claimed(stamped([1, 2, 4, 4], [1, 2, 3, 4])) is None


def test_measured_parts_are_judged_together():
    # Each figure alone is within its error of both cylinders' figures; the pair of both is not.
    lot = [measured([3.0, 0.2], [0, 3.2]), measured([2.9, 0.1], [0, 3.2])]
    assert claimed(lot[0]) == ((0, 1),)
    assert claimed(measured([2.0, 1.0], [0, 3.2])) is None
    assert claimed(*lot) == ((0, 1),)


def between(at_least, below):
    """Both sides of a threshold: the first is claimed, the second is not."""
    assert claimed(*at_least) is not None
    assert claimed(*below) is None


def test_figures_that_the_gauge_cannot_tell_apart_are_not_claimed():
    # D = s sqrt(2) at two cylinders: 4.5 is s = 3.182.
    assert exchanged.TOLD_APART == 4.5
    between([measured([3.2, 0], [0, 3.2])], [measured([3.1, 0], [0, 3.1])])


def towards(apart, along, off=0.0):
    """Two cylinders whose figures lie `apart` as a whole, found so far towards the exchange."""
    step = apart / math.sqrt(2)
    share = along / apart
    return measured([share * step + off, step - share * step + off], [0, step])


def test_what_was_found_has_to_lie_towards_the_exchange():
    assert (exchanged.TOWARDS, exchanged.TOWARDS_OF_ALL) == (3.4, 3.2)
    between([towards(4.6, 3.45)], [towards(4.6, 3.35)])
    assert find_exchange([towards(4.6, 3.35)], exchanged.TOWARDS_OF_ALL) is not None
    assert find_exchange([towards(4.6, 3.15)], exchanged.TOWARDS_OF_ALL) is None


def test_four_cylinders_have_to_lie_further_towards_it():
    def four(along):
        pair = towards(4.6, along)
        return measured([*pair.found, 40, 80], [*pair.sheet, 40, 80])

    assert exchanged.TOWARDS_OF_MANY == 3.5
    between([four(3.55)], [four(3.45)])


def test_the_exchange_has_to_be_clearly_cheaper_than_the_order_of_the_sheet():
    # C(none) - C = along^2 - (D - along)^2: 6 at D = 6.5 is along = 3.7115.
    assert exchanged.CLEAR == 6
    between([towards(6.5, 3.75)], [towards(6.5, 3.67)])


def test_every_other_order_has_to_cost_more():
    # 5, 0, x at a sheet of 0, 5, x: the next best puts x at the first and 5 at the third.
    assert exchanged.NEXT_BEST == 3
    between([measured([5, 0, 6.25], [0, 5, 6.25])], [measured([5, 0, 6.2], [0, 5, 6.2])])


def test_the_moved_cylinders_have_to_fit():
    # 2 off^2 <= 10.597, the 99.5 % quantile of chi-square with two degrees of freedom.
    limit = math.sqrt(stats.chi2.ppf(0.995, 2) / 2)
    between(
        [measured([20 + limit - 0.01, limit - 0.01], [0, 20])],
        [measured([20 + limit + 0.01, limit + 0.01], [0, 20])],
    )


def test_a_wrong_cylinder_is_left_free_at_its_price():
    # One cylinder that fits nothing costs chi2 0.999 of one: 10.83.
    found = find_exchange([measured([5, 0, 99], [0, 5, 10])])
    assert (found.cycles, found.differing) == (((0, 1),), (2,))
    near = find_exchange([measured([5, 0, 10 + 3.2], [0, 5, 10])])
    assert near.differing == ()
    far = find_exchange([measured([5, 0, 10 + 3.4], [0, 5, 10])])
    assert far.differing == (2,)


def test_the_gauges_own_error_moves_all_alike():
    # Everything 3 u too high: with the gauge's own error known, that is nothing.
    assert claimed(measured([8, 3, 13], [0, 5, 10])) is None
    assert claimed(measured([8, 3, 13], [0, 5, 10], common=3.0)) == ((0, 1),)


def test_up_to_four_cylinders_may_all_be_off_by_the_gauges_own_error():
    found, sheet = [8, 3, 13, 18], [0, 5, 10, 15]
    assert claimed(measured(found, sheet)) is None
    assert claimed(measured(found, sheet, common=3.0)) == ((0, 1),)


def test_beside_an_exchange_two_may_be_wrong_by_themselves():
    """The first and the last exchanged by a gauge that reads 2 high, the middle ones off."""
    found = find_exchange([measured([20, -8, 22, 2], [0, 6, 12, 18], common=2.0)])
    assert found is not None
    assert (found.cycles, found.differing) == (((0, 3),), (1, 2))


def test_stamps_that_differ_count_as_five_standard_uncertainties():
    """Each by itself: no gauge's error is shared, and any two stamps lie equally far apart."""
    off = exchanged.misfit([measured([5, 5], [0, 0])], (0, 1))
    assert off == pytest.approx(2 * 5**2)
    for found in (["b", "a"], ["c", "c"], ["c", "d"]):
        assert exchanged.misfit([stamped(found, ["a", "b"])], (0, 1)) == pytest.approx(off)


def test_no_gauges_error_is_shared_unless_it_is_said():
    off = exchanged.misfit([Attribute((1.0, 1.0), (0.0, 0.0), (0.1, 0.1))], (0, 1))
    assert off == pytest.approx(2 * 10**2)


def test_of_a_figure_that_the_sheet_does_not_have_nothing_is_contradicted():
    one = Attribute((20.0, 99.0), (20.0, None), (0.1, 0.1))
    assert exchanged.misfit([one], (0, 1)) == 0
    assert misfits(one, (1, 0)) == set()


def test_of_many_cylinders_those_that_differ_are_compared():
    sheet = list(range(12))
    found = find_exchange([stamped([1, 0, *sheet[2:-1], 99], sheet)])
    assert (found.cycles, found.differing) == (((0, 1),), (11,))
    turned = [*sheet[1:8], 0, *sheet[8:]]
    assert exchanged.MAX_CYLINDERS < 8
    assert claimed(stamped(turned, sheet)) is None, "eight differ: too many orders"


def test_what_tells_apart_and_what_contradicts():
    jets = stamped([2, 1, 3], [1, 2, 3])
    order = (1, 0, 2)
    assert tells_apart(jets, order)
    assert not tells_apart(stamped([1, 1, 3], [1, 1, 3]), order)
    assert not tells_apart(stamped([None, 1, 3], [1, 2, 3]), order)
    assert not contradicts([jets], order)
    assert contradicts([stamped([1, 2, 3], [1, 2, 3])], order)
    assert misfits(stamped([2, 1, 4], [1, 2, 3]), order) == {2}


# Rates, in per cent, of 1,000 machines each: the long form is `tests.campaigns.conclusions`.


@pytest.mark.parametrize(
    ("sort", "pair"),
    [(Sort(2, 4), 98.1), (Sort(3, 4), 97.2), (Sort(3, 5), 99.3),
     (Sort(3, 4, two_equal=True), 97.4), (Sort(3, 4, common=0.75), 95.9),
     (Sort(3, 3, attributes=2), 99.1)],
    ids=str,
)  # fmt: skip
def test_pairs_are_found_nearly_as_well_as_they_can_be(sort, pair):
    rate = exchange_rate(sort, "pair", 1000)
    assert rate.right == pytest.approx(pair, abs=2.5)
    assert rate.wrong <= 0.6
    assert rate.right >= rate.possible - 6


@pytest.mark.parametrize("sort", [Sort(2, 4), Sort(3, 4), Sort(4, 4)], ids=str)
def test_a_sound_machine_is_hardly_ever_named(sort):
    assert exchange_rate(sort, "sound", 2000).wrong <= 0.25


def test_a_rotation_is_no_pair():
    rate = exchange_rate(Sort(3, 4), "rotation", 1000)
    assert rate.right == pytest.approx(98.1, abs=2)
    assert rate.wrong <= 1


def test_whole_carburettors_and_jets_alone_are_told_apart():
    sound, whole, jets = whole_rates(400)
    assert sound.wrong <= 0.5
    assert whole.right >= 98 and whole.wrong <= 0.5
    assert jets.right >= 98 and jets.wrong <= 0.5
