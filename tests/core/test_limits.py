"""Verdicts: the one decision rule, the edges, and the words."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.calc.measurement import probability_inside
from inspect_tui.core.evaluation.uncertainty import conformity
from inspect_tui.core.expressions.expression import Missing
from inspect_tui.core.model.results import ToleranceInterval
from inspect_tui.core.quantities import units
from inspect_tui.core.quantities.units import Quantity

MM = units.unit("mm")


def judged(value, low=None, high=None, uncertainty=None):
    return conformity.assess_conformity(value, ToleranceInterval(low, high), "mm", uncertainty)


def test_probability_is_that_of_jcgm_106():
    # JCGM 106:2012, 7.4, example: y = 13.6, u = 1.8, limits 12.5 and 16.3 give 0.66 (inputs seen
    # in the published guide; the guide prints two digits).
    result = judged(13.6, 12.5, 16.3, 3.6)
    assert result.probability == pytest.approx(0.66, abs=0.005)
    assert result.verdict == "uncertain"


def test_probability_one_sided_is_that_of_jcgm_106():
    # JCGM 106:2012, 7.3.3 (from memory): breakdown voltage 509.7, u = 8.6, at least 490: 0.989.
    result = judged(509.7, 490, None, 17.2)
    assert result.probability == pytest.approx(0.989, abs=0.0005)
    assert result.verdict == "pass"


def test_guard_band_of_0_83_u_passes():
    # ISO 14253-1:2017 (from memory): acceptance with a guard band r = 0.83 keeps the probability
    # of a false acceptance under 5 %.
    assert judged(10 - 0.83 * 1.0, None, 10, 1.0).verdict == "pass"
    assert judged(10 - 0.80 * 1.0, None, 10, 1.0).verdict == "uncertain"


@pytest.mark.parametrize("value", [Fraction(10), 10.0, 10])
def test_a_value_on_its_limit_is_in(value):
    assert judged(value, 10, 20).verdict == "pass"
    assert judged(value, 0, 10).verdict == "pass"


def test_a_thousandth_beyond_is_out():
    assert judged(Fraction(9999, 1000), 10, 20).verdict == "fail"
    assert judged(Fraction(20001, 1000), 10, 20).verdict == "fail"


def test_on_the_limit_in_another_unit():
    inch = units.unit("in")
    value = units.number_in(units.of(Fraction("1.25"), inch), MM)
    zone = conformity.zone({"min": units.of(Fraction("31.75"), MM)}, MM)
    assert conformity.assess_conformity(value, zone, "mm").verdict == "pass"


def test_noise_of_floating_point_is_no_verdict():
    assert judged(0.1 + 0.2, None, 0.3).verdict == "pass"


def test_target_and_tolerance():
    sides = {"target": units.of(Fraction(32), MM), "tolerance": units.of(Fraction(5), MM)}
    zone = conformity.zone(sides, MM)
    assert (zone.low, zone.high) == (27, 37)
    percent = {
        "target": units.of(Fraction(40), MM),
        "tolerance": Quantity(Fraction(1, 20), (), "percent"),
    }
    zone = conformity.zone(percent, MM)
    assert (zone.low, zone.high) == (38, 42)


def test_what_the_sheet_lacks_is_not_judged():
    zone = conformity.zone({"min": Missing("the machine sheet has no 'belt'", measured=True)}, MM)
    result = conformity.assess_conformity(Fraction(30), zone, "mm")
    assert result.verdict == "none"
    assert "belt" in result.words


def test_answers():
    zone = conformity.zone({"equal": ("dry", "none fitted")}, units.PLAIN)
    assert conformity.assess_conformity("dry", zone, "").verdict == "pass"
    assert conformity.assess_conformity("damp", zone, "").verdict == "fail"
    zone = conformity.zone({"equal": True}, units.PLAIN)
    assert conformity.assess_conformity(True, zone, "").verdict == "pass"
    assert conformity.assess_conformity(False, zone, "").verdict == "fail"


def test_zero_is_a_value():
    assert judged(Fraction(0), 0, 1).verdict == "pass"
    assert (
        conformity.assess_conformity(Fraction(0), ToleranceInterval(None, 0), "mm").verdict
        == "pass"
    )


@given(st.floats(-100, 100), st.floats(-50, 0), st.floats(0, 50), st.floats(0.001, 20))
def test_the_middle_is_the_likeliest_place(value, low, high, uncertainty):
    middle = judged((low + high) / 2, low, high, uncertainty).probability
    assert judged(value, low, high, uncertainty).probability <= middle + 1e-12


@given(st.fractions(-100, 100), st.fractions(-100, 100))
def test_without_uncertainty_the_value_decides(value, low):
    assert (judged(value, low).verdict == "pass") == (value >= low)


def test_what_would_settle_it_is_said():
    words = judged(31.7, 31.5, None, 0.6).words
    assert "measure again or with a better gauge" in words
    assert "±0.24 mm" in words


def test_a_distance_beyond_all_numbers_is_certain():
    """No float holds 1e600 standard uncertainties; the value is inside, or it is not."""
    far, small = Fraction(10) ** 300, Fraction(1, 10**300)
    assert probability_inside(0, small, -far, far) == 1
    assert probability_inside(2 * far, small, -far, far) == 0
    assert probability_inside(-2 * far, small, -far, None) == 0
