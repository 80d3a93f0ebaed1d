"""The one cylinder that stands apart: limits by simulation, and the rates of a row of cylinders.

The test for one outlier against the others at a known uncertainty (Grubbs 1969 for its kind); exact
limits for equal uncertainties at 1 % by simulation with 10^7 draws: 2.9135 (three), 3.0134 (four).
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from inspect_tui.core.evaluation.conclusions.out_of_family import (
    claim_limit,
    range_limit,
    stands_apart,
)


@pytest.mark.parametrize(
    ("count", "limit"), [(2, 2.5758), (3, 2.9352), (4, 3.0233), (5, 3.0902), (6, 3.1440)]
)
def test_limits(count, limit):
    assert claim_limit(count) == pytest.approx(limit, abs=5e-5)


@pytest.mark.parametrize("count", range(2, 13))
def test_range_limits_are_the_studentized_range(count):
    assert range_limit(count) == pytest.approx(
        stats.studentized_range.ppf(0.99, count, np.inf), abs=1e-4
    )


def test_one_apart_is_named_by_how_far_it_lies_from_the_others():
    found = stands_apart([0.0, 0.1, 2.0], [0.25] * 3)
    assert found is not None
    assert (found.cylinder, found.distance) == (2, pytest.approx(1.95))
    assert found.told == pytest.approx(claim_limit(3) * 0.25 * (1.5**0.5))


def test_all_differing_names_none():
    found = stands_apart([0.0, 3.0, 6.0], [0.25] * 3)
    assert found is not None
    assert found.cylinder is None


def test_of_two_the_difference_counts():
    assert stands_apart([0.0, 0.9], [0.25, 0.25]) is None
    found = stands_apart([0.0, 1.0], [0.25, 0.25])
    assert found is not None
    assert found.distance == pytest.approx(-1.0) or found.distance == pytest.approx(1.0)


def test_within_one_division_there_is_no_claim():
    assert stands_apart([0.0, 0.0, 1.0], [0.01] * 3, [1.0] * 3) is None
    assert stands_apart([0.0, 0.0, 2.0], [0.01] * 3, [1.0] * 3) is not None


@given(st.lists(st.floats(-5, 5), min_size=2, max_size=6), st.floats(0.01, 3), st.floats(-100, 100))
def test_where_all_lie_does_not_matter(deviations, u, by):
    one = stands_apart(deviations, [u] * len(deviations))
    other = stands_apart([part + by for part in deviations], [u] * len(deviations))
    if one is None or other is None:
        size = max(abs(part) for part in deviations)
        near = [stands_apart(deviations, [u * (1 + s)] * len(deviations)) for s in (-1e-6, 1e-6)]
        assert one is other or size == 0 or (near[0] is None) != (near[1] is None)
    else:
        assert one.cylinder == other.cylinder or len(deviations) == 2


def rates(count, shift, machines, ratio=1.0, seed=1):
    """Shares in % of the shifted cylinder named, another one named, and any claim."""
    dice = np.random.default_rng([seed, count, int(shift * 10)])
    u = np.linspace(1.0, ratio, count)
    right = wrong = told = 0
    for _ in range(machines):
        row = dice.normal(size=count) * u
        row[0] += shift * 2  # in expanded uncertainties of the first
        found = stands_apart(row.tolist(), u.tolist())
        if found is not None:
            told += 1
            right += found.cylinder == 0
            wrong += found.cylinder not in (0, None)
    return [100 * n / machines for n in (right, wrong, told)]


@pytest.mark.parametrize(("count", "ratio"), [(2, 1), (3, 1), (4, 1), (3, 5)])
def test_a_sound_row_is_named_once_in_a_hundred(count, ratio):
    told = rates(count, 0, 8000, ratio)[2]
    assert told == pytest.approx(0.9, abs=0.4)


@pytest.mark.parametrize(
    ("count", "shift", "right"), [(3, 2, 61), (3, 3, 96), (4, 2, 66), (2, 3, 95)]
)
def test_a_shifted_cylinder_is_named(count, shift, right):
    named, _, told = rates(count, shift, 2000)
    assert (told if count == 2 else named) == pytest.approx(right, abs=3.5)
