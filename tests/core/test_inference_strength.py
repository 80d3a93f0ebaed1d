"""Inferences by probability: strength of a condition, the surety it gives, what would settle it."""

from __future__ import annotations

import pytest
from hypothesis import given as drawn
from hypothesis import strategies as st
from scipy import stats

from inspect_tui.core.evaluation.conclusions.inference_strength import (
    MAX_ALTERNATIVES,
    Strength,
    alternatives,
    strength_of,
)
from inspect_tui.core.expressions import expression
from inspect_tui.core.expressions.columns import Rows
from inspect_tui.core.expressions.values import Name
from inspect_tui.core.model.log_entry import AS_FOUND
from tests.campaigns.conclusions import inference_rate
from tests.small_session import evaluated, given, number, one_step

PHI = stats.norm.cdf
LOT = (
    number("x", uncertainty='"0.6 mm"'), number("y", uncertainty='"0.6 mm"'),
    number("z", uncertainty='"0.6 mm"'), number("bare"),
    '[[section.step.reading]]\nid = "crack"\nlabel = "Crack"\nkind = "choice"\n'
    'options = ["none", "through"]\n',
)  # fmt: skip


def session(when, sure="high", **values):
    inference = f'\n[[inference]]\nid = "i"\nwhen = "{when}"\nsays = "So."\nsure = "{sure}"\n'
    readings = [given(f"s.{name}", text) for name, text in values.items()]
    return evaluated(one_step(*LOT) + inference, *readings)


def strength(when, **values):
    evaluator = session(when, **values).evaluator
    return strength_of(evaluator, evaluator.compiled.inference["i"], None, AS_FOUND)


def finding(found):
    return next((one for one in found.results.findings if one.id == "I.i"), None)


def test_the_strength_is_the_best_alternatives_and_the_whole_is_not():
    # S = Phi(1) Phi(0.5/(0.3 sqrt 2)); the probability of the whole `or` would be 0.7467.
    found = strength("(s.x > '50.2 mm' and s.y < s.z) or not s.x <= '51 mm'",
                     x="50.5", y="49.5", z="50")  # fmt: skip
    assert PHI(1) * PHI(0.5 / (0.3 * 2**0.5)) == pytest.approx(0.7410, abs=5e-5)
    assert found.probability == pytest.approx(0.7410, abs=0.005)
    assert found.uncertain == 2


def test_what_is_denied_is_as_likely_as_its_opposite():
    assert strength("not s.x > '50 mm'", x="49.7").probability == pytest.approx(PHI(1), abs=0.005)
    assert strength("not s.x > '50 mm'", x="50.3").probability == pytest.approx(PHI(-1), abs=0.005)


def test_what_speaks_is_worked_out_with_many_draws():
    found = strength("s.x > '50 mm'", x="50.3")
    assert found.probability == pytest.approx(PHI(1), abs=5e-4)  # 1024 draws are 1.5e-3 off


def test_what_is_joined_by_and_holds_together():
    same = strength("s.x > '50 mm' and s.x > '49.9 mm'", x="50.3")
    assert same.probability == pytest.approx(PHI(1), abs=0.005)
    apart = strength("s.x > '50 mm' and s.y > '50 mm'", x="50.3", y="50.3")
    assert apart.probability == pytest.approx(PHI(1) ** 2, abs=0.005)


def test_words_and_exact_figures_are_certain():
    assert strength("s.crack == 'through'", crack="through") == Strength(1.0)
    assert strength("s.crack == 'through' and s.bare > '1 mm'", crack="through", bare="1.01") == (
        Strength(1.0)
    )
    assert strength("s.bare > '1 mm'", bare="1").probability == 0
    # A bare figure on its limit stays exact beside an uncertain one.
    both = strength("s.bare >= '1 mm' and s.x > '50 mm'", bare="1", x="53")
    assert both.probability > 0.999


def test_what_is_missing_speaks_for_nothing_unless_the_other_side_decides():
    assert strength("s.x > '50 mm' and s.y > '50 mm'", x="53").probability == 0
    assert strength("s.x > '50 mm' or s.y > '50 mm'", x="53").probability > 0.999


@pytest.mark.parametrize(
    ("x", "stated", "sure"),
    [
        ("50.8", "high", "high"), ("50.55", "high", "medium"), ("50.2", "high", "medium"),
        ("50.55", "medium", "medium"), ("50.2", "medium", "low"), ("50.2", "low", "low"),
        ("49.95", "high", None),
    ],
)  # fmt: skip
def test_the_surety_goes_down_a_step_where_it_is_likely_only(x, stated, sure):
    # u = 0.3: 50.55 is 96.7 %, which alone is not enough for a high surety; 49.95 is under a half.
    found = finding(session("s.x > '50 mm'", stated, x=x))
    assert (None if found is None else found.sure) == sure


def test_two_comparisons_at_95_percent_are_as_sure_as_stated():
    found = session("s.x > '50 mm' and s.y > '50 mm'", "high", x="50.62", y="50.62")
    assert (
        0.95 < strength("s.x > '50 mm' and s.y > '50 mm'", x="50.62", y="50.62").probability < 0.98
    )
    assert finding(found).sure == "high"


def test_what_would_settle_it_is_the_reading_that_weighs_most():
    found = finding(session("s.x + 3 * s.y > '200 mm'", x="50.3", y="50"))
    assert found.sure == "medium"
    assert "y, measured again or with a better gauge, would settle it" in found.text
    sides = finding(session("s.x + 1.5 * s.y > '125 mm'", x="50.2", y="50"))
    assert "y, measured again or with a better gauge, would settle it" in sides.text
    likely = finding(session("s.x > '50 mm'", x="50.3"))  # one standard deviation inside
    assert "84 % likely by these readings and their uncertainties" in likely.evidence
    sure = finding(session("s.x > '50 mm'", x="53"))
    assert sure.text == "So."


def node(text):
    names = {word: Name("value", "s", word) for word in "abcdefgh"}
    return expression.parse(text, names).node


ATOMS = st.sampled_from([f"{one} < 1" for one in "abcd"])
CONDITIONS = st.recursive(
    ATOMS,
    lambda inner: st.one_of(
        st.tuples(inner, st.sampled_from(["and", "or"]), inner).map(
            lambda one: f"({one[0]} {one[1]} {one[2]})"
        ),
        inner.map(lambda one: f"(not {one})"),
    ),
    max_leaves=6,
)


@drawn(CONDITIONS, st.lists(st.booleans(), min_size=4, max_size=4))
def test_alternatives_say_the_same_as_the_condition(text, kept):
    values = {name: 0.0 if yes else 2.0 for name, yes in zip("abcd", kept, strict=True)}
    from inspect_tui.core.expressions.columns import Samples

    def holds(one):
        rows = Rows(1, lambda name: Samples([values[name.id]]))
        found = one.columns(rows)
        return bool(found.si[0])

    whole = node(text)
    found = any(all(holds(one) is wanted for one, wanted in lot) for lot in alternatives(whole))
    assert found == holds(whole)


def test_too_many_alternatives_count_as_one():
    pairs = " and ".join(f"({one} < 1 or {one} > 3)" for one in "abcde")
    assert len(alternatives(node(pairs))) == 1
    assert len(alternatives(node("a < 1 or b < 1"))) == 2
    assert MAX_ALTERNATIVES == 16


def test_a_row_that_cannot_be_worked_out_is_that_comparisons_alone():
    found = strength(
        "sqrt((s.x - s.y) * '1 mm') >= '0 mm' or s.z > '50 mm'", x="50", y="50", z="50.6"
    )
    assert found.probability == pytest.approx(PHI(2), abs=0.005)


def test_a_row_that_cannot_be_worked_out_speaks_for_nothing():
    # Of x - y with x = y every second draw has no root.
    found = strength("sqrt((s.x - s.y) * '1 mm') >= '0 mm'", x="50", y="50")
    assert found.probability == pytest.approx(0.5, abs=0.005)


# Rates of machines in spec; the long form is `tests.campaigns.conclusions`.


def test_a_machine_in_spec_is_seldom_spoken_of():
    raw, sure, likely = inference_rate("spread", 1, 0.3, 200)
    assert raw.wrong == pytest.approx(12.0, abs=7)
    assert sure.wrong <= 2
    assert likely.wrong == pytest.approx(11.4, abs=7)


def test_on_the_limit_of_two_comparisons_it_hardly_speaks_as_stated():
    raw, sure, _ = inference_rate("on", 2, 0.1, 200)
    assert raw.wrong == pytest.approx(25, abs=9)
    assert sure.wrong <= 1.5
