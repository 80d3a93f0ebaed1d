"""What a gauge's name says: amounts as people write them, and what can't be used is said."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given as drawn
from hypothesis import strategies as st

from inspect_tui.core.evaluation.uncertainty.gauges import GaugeStatement, gauge_statement
from inspect_tui.core.quantities import units
from tests.small_session import evaluated, given, number, one_step, reading_row

MM = units.unit("mm")
CELSIUS = units.unit("degC")


@pytest.mark.parametrize(
    ("text", "expanded"),
    [
        ("micrometer ±0.02 mm", Fraction(2, 100)),
        ("micrometer ±0,02 mm", Fraction(2, 100)),
        ("calliper ±.05", Fraction(5, 100)),
        ("calliper ±,05", Fraction(5, 100)),
        ("calliper +-0.05 mm", Fraction(5, 100)),
        ("calliper +/- 0.05 mm", Fraction(5, 100)),
        ("calliper + / - 0.05mm", Fraction(5, 100)),
        ("±0.05 mm calliper, no. 3", Fraction(5, 100)),
        ("calliper (±0.05 mm)", Fraction(5, 100)),
        ("calliper ±0,05, second hand", Fraction(5, 100)),
        ('dial ±.001"', Fraction(254, 10000)),
        ("rule ± 1/64 in", Fraction(254, 640)),
        ("rule ±50 µm", Fraction(5, 100)),
    ],
)
def test_an_amount_is_read_as_it_is_written(text, expanded):
    assert gauge_statement(text, MM) == GaugeStatement((False, expanded))


@pytest.mark.parametrize(
    "text",
    ["rule, resolution 1 mm", "rule, resolution: 1 mm", "rule, resolution:1", "Resolution = 1 mm",
     "resolution of 0.1 cm, steel"],
)  # fmt: skip
def test_a_resolution_is_the_division(text):
    assert gauge_statement(text, MM) == GaugeStatement(None, Fraction(1))


def test_both_may_be_said():
    found = gauge_statement("rule ±0,5 mm, resolution: 1 mm", MM)
    assert found == GaugeStatement((False, Fraction(1, 2)), Fraction(1))


@pytest.mark.parametrize("text", ["", "calliper", "my best, fine resolution", "no. 5", "old one"])
def test_a_name_alone_says_nothing(text):
    assert gauge_statement(text, MM) == GaugeStatement()


def test_a_share_and_a_difference_of_temperatures():
    assert gauge_statement("gauge ±2 %", MM).expanded == (True, Fraction(1, 50))
    for text in ("probe ±1 °C", "probe ±1 degC", "probe ±1 K", "probe ±1.8 degF", "probe ±1"):
        assert gauge_statement(text, CELSIUS).expanded == (False, Fraction(1)), text


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("calliper ±5 kPa", "pressure"),
        ("calliper ±", "no amount"),
        ("calliper ±about 1", "not a number"),
        ("calliper ±0.05 mn", "no unit"),
        ("calliper ±0 mm", "exact"),
        ("calliper ±0.05 mm ±0.1 mm", "not known what"),
        ("rule, resolution 1 kPa", "pressure"),
        ("rule, resolution 1 %", "not known what"),
    ],
)
def test_what_cannot_be_used_is_said(text, why):
    found = gauge_statement(text, MM)
    assert (found.expanded, found.division) == (None, None)
    assert why in found.trouble and found.trouble.endswith(".")


@drawn(st.text(max_size=300))
def test_any_text_is_taken(text):
    gauge_statement(text, MM)
    gauge_statement(f"±{text}", MM)


X = number("x", uncertainty='"1 mm"', limit="{ min = 10 }")


def test_the_gauges_own_word_goes_before_the_lists():
    assert reading_row(evaluated(one_step(X), given("s.x", "10.4"))).judged.verdict == "uncertain"
    fine = evaluated(one_step(X), given("s.x", "10.4", "calliper ±0,05 mm"))
    assert reading_row(fine).judged.verdict == "pass"


def test_a_gauge_that_does_not_fit_leaves_the_lists_word_and_says_so():
    row = reading_row(evaluated(one_step(X), given("s.x", "10.4", "gauge ±0.05 kPa")))
    assert row.judged.verdict == "uncertain"
    assert row.judged.uncertainty == 1
    assert "is not used" in row.judged.remarks[0]


def test_a_gauge_on_a_count_or_a_check_is_not_used():
    count = '[[section.step.reading]]\nid = "x"\nlabel = "X"\nkind = "count"\nlimit = { min = 3 }\n'
    row = reading_row(evaluated(one_step(count), given("s.x", "3", "calliper ±5 mm")))
    assert (row.judged.verdict, row.judged.uncertainty, row.judged.remarks) == ("pass", None, ())


def test_a_coarse_gauge_bounds_what_differs_between_readings():
    # A 0.5 mm rule on two readings whose list says 0.02 mm between them: their difference is good
    # to two rectangles of 0.25 mm; P(|d| <= 0.1) at a tie is 2 (0.1/0.5) - (0.1/0.5)^2 = 0.36.
    lot = [number(name, uncertainty='"0.1 mm"', uncertainty_between='"0.02 mm"') for name in "ab"]
    text = one_step(*lot) + (
        '[[section.step.derived]]\nid = "y"\nlabel = "Y"\nvalue = "abs(a - b)"\nunit = "mm"\n'
        "limit = { max = 0.1 }\n"
    )
    rule = "rule, resolution: 0.5 mm"
    found = evaluated(text, given("s.a", "10", rule), given("s.b", "10", rule))
    row = found.results.derived_row("s", "y", None, "as-found")
    assert row.judged.verdict == "uncertain"
    assert row.judged.probability == pytest.approx(0.36, abs=0.03)
    fine = evaluated(text, given("s.a", "10"), given("s.b", "10"))
    assert fine.results.derived_row("s", "y", None, "as-found").judged.verdict == "pass"
