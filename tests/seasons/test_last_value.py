"""What was left last time, and whether a value has changed since by more than gauges explain."""

from __future__ import annotations

import pytest

from inspect_tui.core.model.checklist import Reading, Step
from inspect_tui.core.seasons.last_value import (
    change_since,
    change_words,
    last_values,
    last_words,
)
from inspect_tui.core.seasons.machine_state import state_after
from tests.seasons.machines import day, session, value

WIDTH = Reading("width", "Width", "number", "mm")


def step(*readings, of="belt", **keys):
    return Step(id=of, title="Belt", reading=readings, **keys)


def left(*summaries, of=None, cylinders=("PTO", "MAG")):
    rows = last_values(state_after(summaries), [of or step(WIDTH)], cylinders)
    return {place: (each.value.value, each.session) for place, each in rows.items()}


# A difference of two independent values has the root of both squares (JCGM 100:2008, 5.1.2).
@pytest.mark.parametrize(
    ("now", "before", "after", "said"),
    [
        (34.1, 0.3, 0.4, ""),  # 0.5 is what both explain; on it is not more
        (34.09, 0.3, 0.4, "0.5 mm less than last time, more than both gauges explain"),
        (35.1, 0.3, 0.4, ""),
        (35.2, 0.3, 0.4, "0.6 mm more than last time, more than both gauges explain"),
        (34.0, 0.3, None, "0.6 mm less than last time, more than the gauge explains"),
        (20.0, None, None, ""),  # nothing stated: nothing is known of what they explain
    ],
)
def test_a_change_is_said_once_it_is_more_than_both_gauges_explain(now, before, after, said):
    then = value("belt", "width", 34.6, day(0), uncertainty=before)
    assert change_words(WIDTH, change_since(WIDTH, then, now, after)) == said


def test_another_unit_and_its_uncertainty_are_converted():
    then = value("belt", "width", 1.36, day(0), unit="in", uncertainty=0.02)  # 34.544, 0.508 mm
    change = change_since(WIDTH, then, 34.0, 0.2)
    assert change is not None and not change.is_real
    assert change.by == pytest.approx(34.0 - 34.544)
    assert change.explained == pytest.approx((0.508**2 + 0.2**2) ** 0.5)
    warm = Reading("heat", "Heat", "number", "degC")
    then = value("belt", "heat", 212.0, day(0), unit="degF", uncertainty=9.0)
    change = change_since(warm, then, 110.0, 12.0)
    assert change is not None and change.explained == pytest.approx(13.0)  # 5 and 12 K
    assert change.by == pytest.approx(10.0)


@pytest.mark.parametrize(
    "keys",
    [{"meter": "odometer"}, {"condition": "temperature"}, {"by_hand": True}, {"stays": True}],
)
def test_what_differs_by_its_nature_is_no_change(keys):
    reading = Reading("width", "Width", "number", "mm", **keys)
    then = value("belt", "width", 34.6, day(0), uncertainty=0.1)
    assert change_since(reading, then, 30.0, 0.1) is None


def test_the_newest_of_all_lists_counts():
    rows = [
        session(0, values=(value("belt", "width", 35.0, day(0)),)),
        session(90, "lay-up", values=(
            value("away", "belt", 34.8, day(90), same_as="pre-season:belt.width"),)),
    ]  # fmt: skip
    assert left(*rows) == {("belt", "width", None): (34.8, "s90")}
    carried_on = Reading("belt", "Belt", "number", "mm", same_as="pre-season:belt.width")
    assert left(rows[0], of=step(carried_on, of="away")) == {("away", "belt", None): (35.0, "s0")}
    assert left(*rows, of=step(carried_on, of="away")) == {("away", "belt", None): (34.8, "s90")}


def test_only_the_same_kind_and_dimension():
    inch = value("belt", "width", 1.37, day(0), unit="in")
    other = value("belt", "width", 3.0, day(50), unit="kg")
    words = value("belt", "width", "wide", day(60), unit="", kind="text")
    rows = [
        session(number, values=(each,)) for number, each in ((0, inch), (50, other), (60, words))
    ]
    assert left(*rows) == {("belt", "width", None): (1.37, "s0")}


def test_each_cylinder_has_its_own():
    rows = session(0, values=tuple(
        value("belt", "width", number, day(0), cylinder=name)
        for name, number in (("PTO", 1.0), ("MAG", 2.0))))  # fmt: skip
    assert left(rows, of=step(WIDTH, per="cylinder")) == {
        ("belt", "width", "PTO"): (1.0, "s0"), ("belt", "width", "MAG"): (2.0, "s0"),
    }  # fmt: skip


def test_it_is_shown_as_it_was_typed():
    assert last_words(value("belt", "width", 34.925, day(0), entered="1-3/8 in")) == (
        "1-3/8 in (34.92 mm) on 2023-11-05"
    )
