"""Where uncertainty used to be lost on its way to the verdict: each class of it, end to end.

Expected probabilities in closed form, or by the normal distribution of scipy; the rule is that of
JCGM 106:2012 (7.2 to 7.4) with the distributions of JCGM 101:2008.
"""

from __future__ import annotations

import math

import pytest
from scipy import stats

from inspect_tui.core.evaluation.diff import newly_remarked
from tests.builders import checklist, step
from tests.small_session import (
    derived,
    derived_row,
    evaluated,
    given,
    number,
    one_step,
    reading_row,
    row_of,
)

A = number("a", uncertainty='"1 mm"')
B = number("b", uncertainty='"1 mm"')
C = number("c", uncertainty='"1 mm"')
PHI = stats.norm.cdf


def judged(items, *readings, name="y", **more):
    return derived_row(evaluated(one_step(*items), *readings, **more), name).judged


@pytest.mark.parametrize(
    ("value", "limit", "probability"),
    [
        ("abs(a - b)", "max = 1", 0.842701),  # 2 Phi(1/sqrt(0.5)) - 1
        ("spread(a, b)", "max = 1", 0.842701),
        ("max(a, b) - min(a, b)", "max = 1", 0.842701),
        ("sqrt((a - b) ** 2)", "max = 1", 0.842701),
        ("spread(a, b, c)", "max = 1", 0.666501),  # range of three normals, w = 2
        ("abs(a - b)", "min = 0", 1.0),
        ("max(a, b)", "max = 10", 0.25),
        ("min(a, b)", "min = 10", 0.25),
        ("round(a, 'mm')", "equal = 10", 0.682689),  # P(|z| <= 1), u = 0.5
        ("(a - b) * (a - c)", 'max = "0.5 mm2"', 0.7949),  # 4 10^6 numpy draws
    ],
)
def test_ties_and_kinks_are_not_certain(value, limit, probability):
    items = (A, B, C, derived("y", value, "mm2" if "*" in value and "**" not in value else "mm",
                              limit=f"{{ {limit} }}"))  # fmt: skip
    found = judged(items, *(given(f"s.{name}", "10") for name in "abc"))
    assert found.probability == pytest.approx(probability, abs=0.01)
    assert found.verdict == ("pass" if probability > 0.95 else "uncertain")


def test_an_input_that_cannot_be_moved_drops_nothing():
    turns = '[[section.step.reading]]\nid = "n"\nlabel = "N"\nkind = "count"\n'
    found = judged((A, turns, derived("y", "a * n", limit="{ max = 31 }")),
                   given("s.a", "10"), given("s.n", "3"))  # fmt: skip
    assert found.uncertainty == pytest.approx(3)
    assert found.probability == pytest.approx(PHI(1 / 1.5), abs=1e-6)
    assert found.remarks == (), "a count has no error to be stated"


def test_a_limit_that_is_a_reading_is_as_uncertain_as_that():
    on_it = number("x", uncertainty='"1 mm"', limit='{ max = "a" }')
    row = reading_row(evaluated(one_step(A, on_it), given("s.a", "10"), given("s.x", "9")))
    # Beyond a limit that is known by 1 mm: P = Phi(1 / hypot(0.5, 0.5)).
    assert row.judged.probability == pytest.approx(PHI(math.sqrt(2)), abs=1e-6)
    assert row.judged.verdict == "uncertain"
    fixed = number("x", uncertainty='"1 mm"', limit="{ max = 10 }")
    row = reading_row(evaluated(one_step(A, fixed), given("s.x", "9")))
    assert row.judged.verdict == "pass"


def test_what_is_quick_to_work_out_is_drawn_often():
    """2 Phi(1/sqrt(0.5)) - 1, to a third of what a quarter of the draws would be off."""
    y = derived("y", "abs(a - b)", limit="{ max = 1 }")
    found = judged((A, B, y), given("s.a", "10"), given("s.b", "10"))
    assert found.probability == pytest.approx(2 * PHI(2**0.5) - 1, abs=1e-3)


def test_an_exact_value_is_held_against_an_uncertain_limit():
    exact = (
        '[[section.step.reading]]\nid = "x"\nlabel = "X"\nkind = "count"\nlimit = { max = "n" }\n'
    )
    limit = number("n", "", uncertainty="1")
    row = reading_row(evaluated(one_step(limit, exact), given("s.n", "10.2"), given("s.x", "10")))
    assert row.judged.probability == pytest.approx(PHI(0.4), abs=1e-6)
    assert row.judged.verdict == "uncertain"


def test_a_target_and_tolerance_that_are_readings():
    lot = one_step(
        A, B, number("x", uncertainty='"1 mm"', limit='{ target = "a", tolerance = "b" }')
    )
    row = reading_row(
        evaluated(lot, given("s.a", "10"), given("s.b", "1.5"), given("s.x", "10.5"))
    )  # fmt: skip
    # |x - a| <= b: P by 4 10^6 numpy draws.
    assert row.judged.probability == pytest.approx(0.8657, abs=0.01)


def test_an_uncertainty_as_a_difference_of_temperatures_counts():
    for stated in ('"2 delta_degC"', '"2 degC"', '"2 K"', "2", '"3.6 delta_degF"'):
        hot = number("x", "degC", uncertainty=stated, limit="{ max = 90 }")
        found = reading_row(evaluated(one_step(hot), given("s.x", "89"))).judged
        assert found.uncertainty == pytest.approx(2), stated
        assert found.probability == pytest.approx(PHI(1)), stated


def test_a_value_inside_its_limits_is_never_fail():
    narrow = number("x", uncertainty='"10 mm"', limit="{ min = 9.9, max = 10.1 }")
    inside = reading_row(evaluated(one_step(narrow), given("s.x", "10"))).judged
    assert inside.probability < 0.05
    assert inside.verdict == "uncertain"
    assert "measure again or with a better gauge" in inside.words
    outside = reading_row(evaluated(one_step(narrow), given("s.x", "10.2"))).judged
    assert outside.verdict == "fail"


def test_what_a_narrow_zone_wants_decides_it():
    narrow = number("x", uncertainty='"10 mm"', limit="{ min = 9.9, max = 10.1 }")
    words = reading_row(evaluated(one_step(narrow), given("s.x", "10"))).judged.words
    assert "±0.1 mm" in words  # half the zone over 1.96 standard uncertainties


def test_an_input_without_a_stated_uncertainty_is_said():
    bare = number("b")
    found = judged((A, bare, derived("y", "a - b", limit="{ max = 5 }")),
                   given("s.a", "10"), given("s.b", "6"))  # fmt: skip
    assert found.remarks == ("no uncertainty is stated for b, which counts as exact",)
    stamp = number("b", "", limit="{ equal = 6 }")
    stamped = judged((A, stamp, derived("y", "a * b", limit="{ max = 70 }")),
                     given("s.a", "10"), given("s.b", "6"))  # fmt: skip
    assert stamped.remarks == (), "a size stamped on a part is exact"
    alone = judged((bare, derived("y", "b * 2", limit="{ max = 5 }")), given("s.b", "6"))
    assert alone.remarks == ()


def test_how_far_off_it_is_is_said_to_three_figures():
    bare = one_step(number("x", limit="{ max = 10 }"))
    words = reading_row(evaluated(bare, given("s.x", "11.2345"))).judged.words
    assert words == "fail: 1.23 mm over"


def test_the_steps_that_the_air_changes_are_known_by_their_values_and_limits():
    lot = checklist(
        step("dense", derived("y", "conditions.density", "kg/m3")),
        step("warm", number("t", "degC", limit='{ max = "conditions.temperature" }')),
        step("neither", number("x")),
    )
    definitions = evaluated(lot).evaluator.definitions
    assert definitions.steps_of_air == {"dense", "warm"}


SPLIT = number("x", uncertainty='"2 mm"', uncertainty_between='"0.2 mm"')
ACROSS = checklist(
    step("one", SPLIT), step("s", SPLIT, derived("y", "x - one.x", limit="{ max = 1 }"))
)  # fmt: skip


def test_a_gauges_own_error_is_common_across_steps_where_it_is_named():
    both = [given("one.x", "10", "calliper 3"), given("s.x", "10.5", " Calliper  3")]
    shared = derived_row(evaluated(ACROSS, *both)).judged
    assert shared.uncertainty == pytest.approx(math.hypot(0.2, 0.2))
    assert shared.verdict == "pass"
    unnamed = derived_row(evaluated(ACROSS, given("one.x", "10"), given("s.x", "10.5"))).judged
    assert unnamed.uncertainty == pytest.approx(math.hypot(2, 2))
    other = [given("one.x", "10", "calliper 3"), given("s.x", "10.5", "rule")]
    assert derived_row(evaluated(ACROSS, *other)).judged.verdict == "uncertain"


def test_two_repeats_are_no_worse_than_one():
    lot = one_step(number("x", uncertainty='"0.4 mm"', uncertainty_between='"0.2 mm"',
                          limit="{ max = 10.6 }"))  # fmt: skip
    one = reading_row(evaluated(lot, given("s.x", "10.1"))).judged
    two = reading_row(evaluated(lot, given("s.x", "10; 10.2"))).judged
    assert two.uncertainty < one.uncertainty
    assert (one.verdict, two.verdict) == ("pass", "pass")


def test_repeats_that_scatter_more_than_is_stated_say_so():
    lot = one_step(number("x", uncertainty='"0.4 mm"', uncertainty_between='"0.2 mm"',
                          limit="{ max = 10.6 }"))  # fmt: skip
    found = reading_row(evaluated(lot, given("s.x", "10; 10.6; 10.2"))).judged
    assert found.probability == pytest.approx(0.89212, abs=5e-6)
    assert found.remarks == ("the repeats scatter more than the stated uncertainty explains",)
    assert found.uncertainty == pytest.approx(stats.t.ppf(0.975, 7.7168) * 0.24721, abs=1e-4)


def test_a_slip_among_repeats_is_said():
    lot = one_step(number("x", uncertainty='"0.4 mm"'))
    found = reading_row(evaluated(lot, given("s.x", "10; 10.1; 10; 10.1; 13"))).judged
    assert any("13 mm" in remark for remark in found.remarks)


def test_the_mean_of_so_many_is_promised_only_where_that_is_known():
    close = {"limit": "{ max = 10 }"}
    known = one_step(number("x", uncertainty='"0.2 mm"', uncertainty_between='"0.2 mm"', **close))
    words = reading_row(evaluated(known, given("s.x", "9.9"))).judged.words
    assert "the mean of 3, if it stays where it is, would settle it" in words
    whole = one_step(number("x", uncertainty='"0.2 mm"', **close))
    assert "the mean of" not in reading_row(evaluated(whole, given("s.x", "9.9"))).judged.words


@pytest.mark.parametrize(
    ("limit", "text"), [("max = 10.1", "10"), ("max = 0.2", "0.1"), ("min = 9.9", "10"),
                        ("min = -0.2", "-0.1"), ("max = 0.1", "0")],
)  # fmt: skip
def test_how_many_repeats_settle_it_goes_by_the_distance_alone(limit, text):
    """Measurements 0.1 mm inside a limit want the same number of repeats, wherever the limit is."""
    lot = one_step(
        number("x", uncertainty='"0.2 mm"', uncertainty_between='"0.2 mm"', limit=f"{{ {limit} }}")
    )
    words = reading_row(evaluated(lot, given("s.x", text))).judged.words
    assert "the mean of 3, if it stays where it is, would settle it" in words


@pytest.mark.parametrize("unit", ["mm", "in", "km", "ft"])
def test_a_value_on_its_limit_is_on_it_in_any_unit(unit):
    lot = one_step(number("x", unit, limit='{ min = "31.75 mm", max = "1-1/4 in" }'))
    assert reading_row(evaluated(lot, given("s.x", "1-1/4 in"))).judged.verdict == "pass"
    assert reading_row(evaluated(lot, given("s.x", "31.75 mm"))).judged.verdict == "pass"
    assert reading_row(evaluated(lot, given("s.x", "31.751 mm"))).judged.verdict == "fail"


def test_noise_of_floats_on_a_limit_is_no_verdict_and_more_than_noise_is():
    # sqrt gives a float: 1e-12 of the value is rounding, 1e-11 is not.
    lot = (number("a"), derived("y", "sqrt(a * a)", limit='{ max = "spec.most" }'))
    machine = 'id = "m"\nname = "M"\ncylinders = ["PTO"]\n[spec]\nmost = "{} mm"\n'
    for most, verdict in (("0.3", "pass"), ("0.2999999999999999", "pass"),
                          ("0.29999999999", "fail")):  # fmt: skip
        found = judged(lot, given("s.a", "0.3"), machine=machine.format(most))
        assert found.verdict == verdict, most


def test_a_percent_tolerance_of_a_negative_target():
    lot = one_step(number("x", "mV", limit='{ target = -200, tolerance = "5 %" }'))
    for value, verdict in (("-205", "pass"), ("-195", "pass"), ("-211", "fail"), ("-189", "fail")):
        assert reading_row(evaluated(lot, given("s.x", value))).judged.verdict == verdict, value
    fuzzy = one_step(
        number("x", "mV", uncertainty="4", limit='{ target = "a", tolerance = "5 %" }'),
        number("a", "mV", uncertainty="0.001"),
    )
    row = reading_row(evaluated(fuzzy, given("s.a", "-200"), given("s.x", "-190")))
    assert row.judged.probability == pytest.approx(0.5, abs=0.001)


def test_a_yes_or_no_worked_out_of_uncertain_readings_is_uncertain():
    found = judged((A, B, derived("y", "a > b", "", limit="{ equal = true }")),
                   given("s.a", "10.5"), given("s.b", "10"))  # fmt: skip
    assert found.probability == pytest.approx(PHI(0.5 / math.sqrt(0.5)), abs=0.005)
    assert found.verdict == "uncertain"
    sure = judged((A, B, derived("y", "a > b", "", limit="{ equal = true }")),
                  given("s.a", "13"), given("s.b", "10"))  # fmt: skip
    assert sure.verdict == "pass"


def test_a_missing_limit_beside_one_that_is_there_still_fails_what_lies_beyond_it():
    lot = one_step(number("x", uncertainty='"1 mm"', limit='{ min = "spec.least", max = "a" }'), A)
    row = reading_row(evaluated(lot, given("s.a", "10"), given("s.x", "13"))).judged
    assert row.verdict == "fail"
    assert reading_row(evaluated(lot, given("s.a", "10"), given("s.x", "9"))).judged.verdict == (
        "none"
    )


def test_the_air_that_was_measured_takes_part():
    lot = (
        number("t", "degC", uncertainty="2", condition='"temperature"'),
        number("h", "m", uncertainty="50", condition='"altitude"'),
        derived("y", "conditions.density", "kg/m3", limit='{ min = "1.39 kg/m3" }'),
    )
    found = judged(lot, given("s.t", "-20"), given("s.h", "0"))
    # rho = p/(R T): 2 K in 253.15 K and 50 m in 8.0 km of scale height.
    assert found.uncertainty == pytest.approx(1.395 * math.hypot(2 / 253.15, 50 / 8000), rel=0.15)


def test_lists_of_cylinders_and_values_of_values_take_part():
    items = [
        number("p", "kPa", uncertainty='"40 kPa"', uncertainty_between='"10 kPa"'),
        derived("apart", "spread(p)", "kPa", across="true", limit='{ max = "15 kPa" }'),
        derived("share", "apart / mean(p)", "%", across="true", limit='{ max = "1.9 %" }'),
    ]
    found = evaluated(one_step(*items, per_cylinder=True), *row_of("s.p", ["800", "805", "810"]))
    # The gauge's own error falls out of the spread: 10 kPa between cylinders is what is left.
    for name, probability in (("apart", 0.6952), ("share", 0.7111)):  # 4 10^6 numpy draws
        row = derived_row(found, name).judged
        assert row.verdict == "uncertain", name
        assert row.probability == pytest.approx(probability, abs=0.01)


def test_what_is_to_be_said_of_an_input_is_said_when_it_is_recorded():
    lot = one_step(A, number("b"), derived("y", "a - b", limit="{ max = 5 }"))
    before = evaluated(lot, given("s.a", "10")).results
    after = evaluated(lot, given("s.a", "10"), given("s.b", "6")).results
    said = "y: no uncertainty is stated for b, which counts as exact."
    assert newly_remarked(before, after) == (said,)
    assert newly_remarked(after, after) == ()


def test_an_uncertainty_by_few_repeats_is_not_called_k_2():
    lot = one_step(number("x", uncertainty='"0.4 mm"', uncertainty_between='"0.2 mm"'))
    scattered = reading_row(evaluated(lot, given("s.x", "10; 10.6; 10.2"))).judged
    assert scattered.coverage == "95 %, 3 repeats"
    assert reading_row(evaluated(lot, given("s.x", "10; 10.1; 10.05"))).judged.coverage == "k = 2"
