"""Stamps are compared without capitals, hyphens and spaces (common practice of parts counters)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.core.evaluation.uncertainty.conformity import assess_conformity
from inspect_tui.core.model.results import ToleranceInterval
from inspect_tui.core.text.stamps import same_stamp, stamp_key


@pytest.mark.parametrize("typed", ["Q-4", "Q4", "q4", "q 4", " Q - 4 "])
def test_one_stamp(typed):
    assert same_stamp(typed, "Q-4")


@pytest.mark.parametrize("other", ["Q5", "Q-44", "", "-", "Q.4", "4Q"])
def test_another_stamp(other):
    assert not same_stamp(other, "Q-4")


def test_a_sign_is_no_hyphen():
    assert not same_stamp("-5", "5")
    assert same_stamp("-5", "- 5") is False
    assert same_stamp("-", "-") and not same_stamp("-", "")


@given(st.text(max_size=20))
def test_a_key_is_its_own_key(text):
    assert stamp_key(stamp_key(text)) == stamp_key(text)


def test_the_verdict_says_how_it_was_taken():
    judged = assess_conformity("Q4", ToleranceInterval(equal=("Q-4",), text="Q-4"), "")
    assert (judged.verdict, judged.words) == ("pass", "pass, Q4 taken as Q-4")
    judged = assess_conformity("Q-4", ToleranceInterval(equal=("Q4",), text="Q4"), "")
    assert (judged.verdict, judged.words) == ("pass", "pass, Q-4 taken as Q4")
    judged = assess_conformity("q-4", ToleranceInterval(equal=("Q-4",), text="Q-4"), "")
    assert judged.words == "pass"
    judged = assess_conformity("Q5", ToleranceInterval(equal=("Q-4",), text="Q-4"), "")
    assert judged.verdict == "fail"
