"""The probability of being inside: check values, closed forms, and what the draws are.

Exact values in closed form (E) or by one-dimensional quadrature with scipy (Q); JCGM 101:2008 says
what is worked out, JCGM 106:2012 what it is for. The engine's own figures are frozen to the digit,
since a verdict has to be the same on every machine.
"""

from __future__ import annotations

import hashlib
import itertools
import math
import operator
import struct

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from inspect_tui.core.evaluation.uncertainty import draws
from inspect_tui.core.evaluation.uncertainty.error_sources import ReadingError, error_sources
from inspect_tui.core.evaluation.uncertainty.first_order import probability_above_zero
from inspect_tui.core.evaluation.uncertainty.linearity import trial_points
from inspect_tui.core.evaluation.uncertainty.probability import Outcome, propagate

E = ReadingError


def propagated(errors, values, function, low=None, high=None, slow=False):
    """The engine on a plain function; a limit is a number or a function of the readings."""

    def model(deviations):
        rows = max(len(part) for part in deviations if not isinstance(part, float))
        columns = [
            [value] * rows if isinstance(part, float) else [value + each for each in part]
            for value, part in zip(values, deviations, strict=True)
        ]
        bad, found = set(), []
        for number, row in enumerate(zip(*columns, strict=True)):
            try:
                found.append(function(*row))
            except (ValueError, ZeroDivisionError):
                bad.add(number)
                found.append(0.0)

        def side(limit):
            if callable(limit):
                return [limit(*row) for row in zip(*columns, strict=True)]
            return [limit] * rows

        above = None if low is None else list(map(operator.sub, found, side(low)))
        below = None if high is None else list(map(operator.sub, side(high), found))
        return Outcome(found, above, below, frozenset(bad), slow)

    return propagate(model, error_sources(errors), len(errors))


def spread(*values):
    return max(values) - min(values)


def first(a, *_):
    return a


CASES = [
    # what, errors, values, function, low, high, exact, engine
    ("difference (E)", [E(0.5)] * 2, [0, 0], lambda a, b: abs(a - b), None, 1, 0.842701, 0.842773),
    ("off (E)", [E(0.5)] * 2, [0, 0.8], lambda a, b: abs(a - b), None, 1, 0.605897, 0.605713),
    ("spread of 3 (Q)", [E(1)] * 3, [0] * 3, spread, None, 2, 0.666501, 0.663574),
    ("spread of 4 (Q)", [E(1)] * 4, [0] * 4, spread, None, 3, 0.853729, 0.853271),
    ("spread of 6 (Q)", [E(1)] * 6, [0] * 6, spread, None, 4, 0.946924, 0.944824),
    ("unequal (Q)", [E(0.5), E(0.5), E(1)], [0, 0.5, 1], spread, None, 2, 0.773127, 0.771484),
    ("product (Q)", [E(1)] * 2, [0, 0], lambda a, b: a * b, None, 0.5, 0.795106, 0.795410),
    ("root (E)", [E(1)] * 2, [0, 0], lambda a, b: math.hypot(a, b), None, 2, 0.864665, 0.864014),
    ("common (Q)", [E(0.6, 0, 0.8, "g")] * 3, [0] * 3, max, None, 1.2, 0.775446, 0.778076),
    ("limit read (Q)", [E(1)] * 3 + [E(0.5)], [0, 0, 0, 2], lambda a, b, c, d: spread(a, b, c),
     None, lambda a, b, c, d: d, 0.642906, 0.645020),
    ("divisions (E)", [E(0, 0.5)] * 3, [0] * 3, spread, None, 0.6, 0.648000, 0.646240),
    ("two (E)", [E(0, 0.5)] * 2, [0] * 2, lambda a, b: abs(a - b), None, 0.5, 0.75, 0.749756),
    ("blurred (E)", [E(0.2, 0.5)], [0], first, None, 0.4, 0.860441, 0.860441),
    ("blurred more (E)", [E(0.5, 0.5)], [0], first, None, 0.8, 0.916396, 0.916396),
    ("two sums (E)", [E(0, 0.5)] * 2, [0, 0], operator.add, None, 0.5, 0.875, 0.875),
    ("three sums (E)", [E(0, 0.5)] * 3, [0] * 3, lambda a, b, c: a + b + c, None, 0.75,
     0.929688, 0.929687),
    ("round (E)", [E(0.25)], [50.3], lambda a: math.floor(a + 0.5), 50, 50, 0.787457, 0.789062),
    ("one gauge (E)", [E(0.3, 0, 5, "g"), E(0.4, 0, 5, "g")], [0, 0.5], first, None,
     lambda a, b: b, 0.841345, 0.841345),
]  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=[case[0] for case in CASES])
def test_check_values(case):
    _, errors, values, function, low, high, exact, engine = case
    found = propagated(errors, [float(value) for value in values], function, low, high)
    assert found.probability == pytest.approx(engine, abs=6e-7)
    assert found.probability == pytest.approx(exact, abs=0.005)


@pytest.mark.parametrize(
    ("count", "width", "exact"),
    [(2, 1, 0.520500), (2, 3, 0.966105), (3, 1, 0.240713), (3, 4, 0.987012), (4, 2, 0.509631),
     (4, 4, 0.975817), (6, 1, 0.018840), (6, 3, 0.723901)],
)  # fmt: skip
def test_the_range_of_equal_readings(count, width, exact):
    # Studentized range with infinite degrees of freedom (scipy's is the outside check).
    assert stats.studentized_range.cdf(width, count, np.inf) == pytest.approx(exact, abs=1e-6)
    found = propagated([E(1)] * count, [0.0] * count, spread, None, width)
    assert found.probability == pytest.approx(exact, abs=0.01)


def test_the_standard_uncertainty_of_a_spread_at_a_tie():
    found = propagated([E(1)] * 3, [0.0] * 3, spread, None, 2)
    assert found.standard_uncertainty == pytest.approx(0.8885, abs=5e-5)
    assert found.standard_uncertainty == pytest.approx(0.8888, abs=0.001)  # 10^6 numpy draws


def test_columns_are_the_published_sequence():
    assert [round(z, 6) for z in draws.normal(0)[:4]] == [-1.184872, 0.631270, -0.374269, 1.913156]
    assert [round(z, 6) for z in draws.normal(1)[:4]] == [-0.733671, 1.788460, 0.509285, -0.185807]
    assert [round(u, 6) for u in draws.rectangular(2)[:3]] == [0.207435, 0.414871, 0.622306]


def test_columns_are_the_same_on_every_machine_and_stay_so():
    """First and last row of every column, exact in binary: a verdict may rest on any."""
    rows = [draws.rectangular(j)[n] for j in range(draws.MAX_SOURCES + 2) for n in (0, -1)]
    digest = hashlib.sha256(struct.pack(f">{len(rows)}d", *rows)).hexdigest()
    assert digest == "9bc7f7f0fb5d7775b9763ee236540ce08473d4d07dfe5d3dbcf2d194d23cc934"


@pytest.mark.parametrize("source", range(0, draws.MAX_SOURCES, 5))
def test_columns_are_distributed_as_they_say(source):
    assert stats.kstest(draws.normal(source), "norm").statistic < 0.002
    assert stats.kstest(draws.rectangular(source), "uniform", args=(-1, 2)).statistic < 0.002


@pytest.mark.parametrize("freedom", [1, 2, 3, 3.7, 5, 8, 20])
def test_columns_of_students_t(freedom):
    column = sorted(draws.student(0, freedom))
    whole = freedom if freedom >= 3 else math.floor(freedom)
    apart = stats.kstest(column, "t", args=(whole,)).statistic
    assert apart < 0.005
    if freedom >= 5:  # where the series is good to the tails
        for share in (0.95, 0.99):
            assert np.quantile(column, share) == pytest.approx(
                stats.t.ppf(share, freedom), rel=0.01
            )


@pytest.mark.parametrize(
    ("freedom", "u", "near"),
    [(10, 0.6, 2e-6), (20, 0.6, 2e-7), (20, 0.9, 5e-6), (20, 0.95, 2e-5), (50, 0.99, 3e-6)],
)
def test_quantiles_of_students_t(freedom, u, near):
    """The series to the third power of 1/nu (Abramowitz and Stegun 26.7.5), against scipy."""
    exact = stats.t.ppf((u + 1) / 2, freedom)
    assert draws.student_quantile(u, freedom) == pytest.approx(exact, abs=near)
    assert draws.student_quantile(-u, freedom) == pytest.approx(-exact, abs=near)


@pytest.mark.parametrize(("jump", "method"), [(0.04, "first order"), (0.12, "one source")])
def test_a_bend_far_out_is_no_line_either(jump, method):
    """At 2.5 standard deviations the value jumps; by a twentieth of one it counts as straight."""
    found = propagated([E(1)], [0.0], lambda a: a + jump * (a > 2.5), None, 2.55)
    assert found.method == method
    assert found.probability == pytest.approx(stats.norm.cdf(2.5), abs=0.001)


@pytest.mark.parametrize("count", range(2, 9))
def test_any_two_of_eight_sources_are_moved_together_and_against_each_other(count):
    points = trial_points(error_sources([E(1.0)] * count))
    rows = [row for row in zip(*points.columns, strict=True) if all(row)]
    for one, other in itertools.combinations(range(count), 2):
        ways = {(row[one] > 0, row[other] > 0) for row in rows}
        assert len(ways) == 4, (one, other)


def test_one_source_more_than_there_are_columns_is_still_all_of_it():
    errors = [E(0.3, 0.5)] * 15  # thirty sources
    found = propagated(errors, [0.0] * 15, lambda *row: sum(row), None, 1.0)
    u = math.sqrt(15 * (0.3**2 + 0.5**2 / 3))
    assert found.standard_uncertainty == pytest.approx(u)
    assert found.probability == pytest.approx(stats.norm.cdf(1 / u), abs=0.002)


def test_many_sources_at_a_kink_are_told_apart():
    errors = [E(1.0)] * 30
    found = propagated(errors, [0.0] * 30, spread, None, 4.0)
    exact = stats.studentized_range.cdf(4.0, 30, np.inf)
    assert found.probability == pytest.approx(exact, abs=0.01)


def test_what_cannot_be_worked_out_is_not_inside():
    # 1/x with x = 0 +- 1 cut at nought: sqrt refuses half of the draws.
    found = propagated([E(1)], [0.0], math.sqrt, None, 100)
    assert found.probability == pytest.approx(0.5, abs=0.003)


def test_a_zone_that_may_be_empty_has_no_two_sides():
    # Between two readings a and b: P(a <= 0 <= b) with both normal about 0 is a quarter.
    found = propagated([E(1), E(1)], [0.0, 0.0], lambda a, b: 0.0, lambda a, b: a, lambda a, b: b)
    assert found.method == "draws"
    assert found.probability == pytest.approx(0.25, abs=0.005)


def test_a_staircase_that_fits_the_ends_of_a_rectangle_is_no_line():
    # Half-width 1 about 24.096, rounded: 23, 24 and 25 at the ends and the middle, as a line has.
    found = propagated([E(0, 2)], [22.855], lambda a: math.floor((a + 25.337) / 2 + 0.5), 23.5)
    assert found.method == "one source"
    assert found.probability == pytest.approx((25.096 - 23.5) / 2, abs=0.002)


@pytest.mark.parametrize("place", [-0.75, -0.5, -0.4, -0.25, 0.25, 0.4, 0.5, 0.75])
def test_what_leaves_its_line_over_a_fifth_of_a_rectangle_is_no_line(place):
    """Half-width 1 about nought; in 0.4 of it the value jumps above the limit, on either side."""
    found = propagated([E(0, 1)], [0.0], lambda a: a + 9 * (abs(a - place) < 0.2), None, 5)
    assert found.method == "one source"
    assert found.probability == pytest.approx(0.8, abs=0.005)


@pytest.mark.parametrize(
    ("inside", "rows"),
    [(0.02, 4096), (0.051, draws.ROWS), (0.3, 4096), (0.949, draws.ROWS), (0.98, 4096)],
)
def test_more_is_drawn_where_a_border_of_the_rule_is_near(inside, rows):
    """The range of three normals against its own quantile: 5 % and 95 % decide."""
    limit = stats.studentized_range.ppf(inside, 3, np.inf)
    found = propagated([E(1)] * 3, [0.0] * 3, spread, None, limit)
    assert found.rows == rows
    assert found.probability == pytest.approx(inside, abs=0.006)


def test_no_limit_no_probability():
    found = propagated([E(1)] * 3, [0.0] * 3, spread)
    assert found.probability is None
    assert found.standard_uncertainty == pytest.approx(0.8888, abs=0.001)


def test_a_slow_calculation_stops_early_where_it_is_plain():
    quick = propagated([E(1)] * 2, [0.0, 0.0], lambda a, b: a * b, None, 0.5)
    slow = propagated([E(1)] * 2, [0.0, 0.0], lambda a, b: a * b, None, 0.5, slow=True)
    assert (quick.rows, slow.rows) == (4096, 1024)
    near = propagated([E(1)] * 2, [0.0, 0.0], lambda a, b: a * b, None, 1.6, slow=True)
    assert near.rows > 1024


@given(
    st.floats(-3, 3), st.one_of(st.just(0.0), st.floats(1e-6, 2)),
    st.lists(st.floats(0.01, 2), min_size=0, max_size=4),
)  # fmt: skip
def test_closed_form_rises_with_the_distance_and_is_a_probability(distance, deviation, widths):
    low = probability_above_zero(distance, deviation, widths)
    high = probability_above_zero(distance + 0.1, deviation, widths)
    assert 0 <= low <= high + 2e-4 <= 1 + 3e-4
    if deviation or widths:
        both = low + probability_above_zero(-distance, deviation, widths)
        assert both == pytest.approx(1, abs=2e-4)


@given(st.floats(-5, 5), st.floats(0.1, 3), st.floats(0.1, 3))
def test_linear_sums_are_told_by_first_order(value, own, other):
    found = propagated([E(own), E(other)], [value, 1.0], lambda a, b: 2 * a - b, 0.0)
    assert found.method == "first order"
    u = math.hypot(2 * own, other)
    assert found.standard_uncertainty == pytest.approx(u)
    assert found.probability == pytest.approx(stats.norm.cdf((2 * value - 1) / u), abs=1e-7)


def test_repeats_of_one_reading_count_by_students_t():
    # Welch-Satterthwaite (JCGM 100:2008, G.4): u^2 = c^2 + s^2/n, nu = u^4/((s^2/n)^2/(n - 1)).
    own, common = 0.1763834207, 0.1732050808
    found = propagated([E(own, 0, common, "g", 2)], [10.2666667], first, None, 10.6)
    assert found.degrees_of_freedom == pytest.approx(7.7168, abs=1e-3)
    assert found.probability == pytest.approx(0.89212, abs=1e-4)
