"""Repeats beside a stated uncertainty: check values, and what no repeat may do.

The rules: JCGM 100:2008, 4.2 and G.4 (Welch-Satterthwaite), Grubbs 1969; figures by scipy.
"""

from __future__ import annotations

import math
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from inspect_tui.calc.distributions import chi_square_quantile, chi_square_tail, grubbs_limit, t_cdf
from inspect_tui.core.evaluation.uncertainty.first_order import normal_cdf
from inspect_tui.core.evaluation.uncertainty.repeats import (
    ErrorOfMean,
    StatedError,
    error_of_mean,
    error_of_one,
    excess,
    repeats_that_decide,
)
from tests.small_session import Given, evaluated, number, one_step, reading_row


def probability_below(limit, values, error):
    distance = (limit - math.fsum(values) / len(values)) / error.standard
    freedom = error.effective_degrees_of_freedom
    return normal_cdf(distance) if math.isinf(freedom) else t_cdf(distance, freedom)


def scatter(values):
    return stats.tstd(values)


def test_repeats_that_agree_with_what_is_stated():
    values, stated = [10.0, 10.1, 10.05], StatedError(0.2, 0.1)
    error = error_of_mean(values, stated)
    assert excess(scatter(values), 0.1, 3) == pytest.approx(0.5)
    assert error.standard == pytest.approx(0.18257, abs=5e-6)
    assert not error.exceeded
    assert probability_below(10.6, values, error) == pytest.approx(0.99870, abs=5e-6)


def test_what_no_repeat_averages_out_is_the_rest_beside_scatter_and_divisions():
    # JCGM 100:2008, F.2.2.1: a division of 3 is a standard uncertainty of 3/sqrt(12), 0.75 squared.
    assert StatedError(2.0, 1.0, 3.0).common == pytest.approx(math.sqrt(4 - 1 - 0.75))
    assert StatedError(2.0, None, 3.0).own == pytest.approx(math.sqrt(4 - 0.75))
    assert StatedError(1.0, 1.0, 3.0).common == 0


def test_repeats_that_scatter_more_than_is_stated():
    values, stated = [10.0, 10.6, 10.2], StatedError(0.2, 0.1)
    error = error_of_mean(values, stated)
    assert excess(scatter(values), 0.1, 3) == pytest.approx(18.667, abs=5e-4)
    assert error.exceeded
    assert error.standard == pytest.approx(0.24721, abs=5e-6)
    assert error.effective_degrees_of_freedom == pytest.approx(7.72, abs=5e-3)
    assert probability_below(10.6, values, error) == pytest.approx(0.89212, abs=5e-6)


def test_repeats_where_only_the_whole_is_stated():
    values, stated = [10.0, 10.6, 10.2], StatedError(0.2)
    error = error_of_mean(values, stated)
    assert excess(scatter(values), 0.2, 3) == pytest.approx(4.667, abs=5e-4)
    assert (error.standard, error.exceeded) == (pytest.approx(0.2), False)
    assert probability_below(10.6, values, error) == pytest.approx(0.95221, abs=5e-6)


def test_scatter_beyond_the_whole_counts_on_top_of_it():
    values = [10.0, 11.6, 10.2]
    error = error_of_mean(values, StatedError(0.2))
    of_mean = scatter(values) / math.sqrt(3)
    assert error.exceeded
    assert error.standard == pytest.approx(math.hypot(0.2, of_mean))
    assert error.effective_degrees_of_freedom == pytest.approx(error.standard**4 / (of_mean**4 / 2))
    assert error.common == 0, "no comparison of cylinders may take it for the gauge's own"


def test_nothing_stated_is_students_t():
    values = [31.6, 31.7, 31.5]
    error = error_of_mean(values, StatedError())
    assert (error.own, error.degrees_of_freedom) == (pytest.approx(0.1 / math.sqrt(3)), 2)
    assert error_of_mean([5.0, 5.0], StatedError()) == ErrorOfMean()


@pytest.mark.parametrize(("real", "count", "expected"), [
    (0.0, 2, 0.289), (0.0, 10, 0.289), (0.3, 2, 0.295), (0.3, 10, 0.137), (0.5, 2, 0.408),
    (0.5, 10, 0.182),
])  # fmt: skip
def test_resolution_is_not_averaged_while_nothing_scatters(real, count, expected):
    # Standard deviation of the mean of readings to whole divisions, by simulation.
    dice = random.Random(f"{real} {count}")
    errors = []
    for _ in range(4000):
        true = dice.random()
        read = [round(true + dice.gauss(0, real)) for _ in range(count)]
        errors.append(sum(read) / count - true)
    assert math.sqrt(sum(e * e for e in errors) / len(errors)) == pytest.approx(expected, rel=0.06)
    if real == 0:
        stated = StatedError(None, None, 1.0)
        assert error_of_mean([3.0] * count, stated).standard == pytest.approx(1 / math.sqrt(12))


def test_resolution_averages_out_once_readings_scatter_by_half_a_division():
    stated = StatedError(0.6, 0.5, 1.0)
    still = error_of_mean([3.0, 3.0, 3.0, 3.0], stated)
    moving = error_of_mean([3.0, 4.0, 3.0, 4.0], stated)
    assert still.half_resolution == 0.5
    assert moving.half_resolution == pytest.approx(0.25)


def test_a_coarse_gauge_bounds_what_differs_from_below():
    error = error_of_one(StatedError(0.05, 0.02, 0.5))
    assert error.standard >= 0.5 / math.sqrt(12)
    assert error.half_resolution == 0.25
    assert error.common == 0


@given(
    st.floats(0.01, 1), st.one_of(st.none(), st.floats(0.05, 1)), st.sampled_from([0.0, 0.3]),
    st.integers(2, 12), st.integers(0, 10**6),
)  # fmt: skip
def test_repeats_never_widen_what_explains_them(whole, share, division, count, seed):
    stated = StatedError(whole, None if share is None else share * whole, division)
    dice = random.Random(seed)
    values = [10 + dice.gauss(0, whole) for _ in range(count)]
    error = error_of_mean(values, stated)
    if not error.exceeded:
        assert error.standard <= error_of_one(stated).standard * (1 + 1e-9)


def test_a_slip_among_repeats_is_questioned_not_dropped():
    values = [10.0, 10.1, 10.05, 10.1, 13.0]
    error = error_of_mean(values, StatedError(0.1, 0.1))
    assert error.outlier == 13.0
    assert error_of_mean(values[:4], StatedError(0.1, 0.1)).outlier is None


@pytest.mark.parametrize(
    ("distance", "common", "between", "wanted"),
    [(0.1, 0, 0.1, 3), (0.1, 0.04, 0.1, 5), (0.1, 0.06, 0.1, None), (0.2, 0.1, 0.1, 3),
     (0.05, 0, 0.1, 11), (-0.1, 0, 0.1, 3)],
)  # fmt: skip
def test_how_many_repeats_would_decide(distance, common, between, wanted):
    stated = StatedError(math.hypot(common, between), between)
    assert repeats_that_decide(distance, stated, error_of_one(stated), 1) == wanted


@given(st.floats(0.02, 1), st.floats(0, 0.5), st.floats(0.05, 0.5))
def test_that_many_decide_and_one_less_does_not(distance, common, between):
    # The number is rounded up: with one repeat less the mean is still too close to call.
    stated = StatedError(math.hypot(common, between), between)
    count = repeats_that_decide(distance, stated, error_of_one(stated), 1)
    if count is None:
        return

    def inside(repeats):
        return normal_cdf(distance / math.sqrt(common**2 + between**2 / repeats))

    assert inside(count) >= 0.95 - 1e-9
    assert inside(count - 1) < 0.95


def test_no_number_of_repeats_is_promised_where_it_is_not_known_what_averages_out():
    assert repeats_that_decide(0.1, StatedError(0.1), error_of_one(StatedError(0.1)), 1) is None


def test_in_a_narrow_zone_the_other_limit_takes_its_part():
    stated = StatedError(0.1, 0.1)
    assert repeats_that_decide(0.1, stated, error_of_one(stated), 1, width=10) == 3
    assert repeats_that_decide(0.1, stated, error_of_one(stated), 1, width=0.2) is None


@pytest.mark.parametrize("freedom", range(1, 50))
def test_chi_square_is_scipys(freedom):
    for probability in (0.5, 0.99, 0.995, 0.999):
        assert chi_square_quantile(probability, freedom) == pytest.approx(
            stats.chi2.ppf(probability, freedom), rel=1e-10
        )
    assert chi_square_tail(freedom, freedom) == pytest.approx(stats.chi2.sf(freedom, freedom))


@pytest.mark.parametrize("freedom", [1, 2, 3.7, 8])
def test_students_t_is_scipys_also_between_whole_degrees(freedom):
    for t in (-3, -0.5, 0, 2):
        assert t_cdf(t, freedom) == pytest.approx(stats.t.cdf(t, freedom), abs=1e-12)


@pytest.mark.parametrize("freedom", [1.0, 5.0, 7.7])
def test_far_out_of_students_t_nothing_is_left_and_in_the_middle_half(freedom):
    assert t_cdf(1e200, freedom) == 1.0 and t_cdf(-1e200, freedom) == 0.0
    assert t_cdf(0.0, freedom) == 0.5


@pytest.mark.parametrize(
    ("count", "limit"), [(3, 1.1543), (4, 1.4813), (5, 1.7150), (6, 1.8871), (10, 2.2900)]
)
def test_grubbs_limits(count, limit):
    # Grubbs 1969, two-sided 5 %; figures by scipy's t.
    assert grubbs_limit(count) == pytest.approx(limit, abs=5e-5)


def test_of_three_repeats_one_can_stand_out():
    """Grubbs (1969), two-sided at 5 %: 1.1543 for three; two alike and one apart give 1.1547."""
    stated = StatedError(0.1, 0.1)
    assert error_of_mean([10.0, 10.0, 11.0], stated).outlier == 11.0
    assert error_of_mean([10.0, 10.1, 11.0], stated).outlier is None


def test_of_one_reading_two_are_the_fewest_repeats_that_can_settle_it():
    lot = one_step(
        number("x", uncertainty='"0.4 mm"', uncertainty_between='"0.4 mm"', limit="{ min = 30 }")
    )
    words = reading_row(evaluated(lot, Given("s", "x", None, "30.3"))).judged.words
    assert "or the mean of 2, if it stays where it is, would settle it" in words
