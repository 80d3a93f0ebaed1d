"""A hold test: pump, time, the gauge again, one cylinder after the other; its fall drawn."""

from __future__ import annotations

import pytest

from inspect_tui.core.model.targets import Target
from inspect_tui.tui.walk.hold_test import fall_of
from inspect_tui.tui.walk.pictures import follows_typing
from inspect_tui.workflow.inspection import Inspection
from tests.builders import checklist, reading, section, step

HELD = checklist(
    section("work"),
    step(
        "crankcase",
        reading("start", unit="kPa", label="Pumped to"),
        reading("held", "timer", label="Held for", limit='{ min = "10 s" }', optional="true"),
        reading("end", unit="kPa", label="At the end"),
        reading("tip", "check", label="Tip is sound"),
        title="Holds pressure",
        per="cylinder",
    ),
    id_="held",
    revision=1,
)
"""A hold test of each cylinder: one gauge, read before and after a time."""


@pytest.fixture
def hold_test(walk, places, clock):
    (places.checklists / "held.toml").write_text(HELD, encoding="utf-8")
    with Inspection.new(places, "held", "test-bed", "R. Tester", clock) as inspection:
        session = inspection.session.id
    return walk(session)


def test_a_hold_test_is_done_with_one_cylinder_before_the_next(hold_test):
    at = hold_test
    asked = []
    for keys in (("5 psi", "enter"), ("enter",), ("enter",), ("4.5", "enter"), ("+",)) * 3:
        asked.append((at.target.reading, at.target.cylinder))
        at.type("".join(keys[:-1]), keys[-1])
        at.time += 20
    assert asked[:5] == [(each, "PTO") for each in ("start", "held", "held", "end", "tip")]
    assert [cylinder for _, cylinder in asked[::5]] == ["PTO", "centre", "MAG"]
    assert at.state.target is None


def test_the_gauge_of_a_hold_test_keeps_its_unit_through_the_time(hold_test):
    at = hold_test
    at.type("5 psi", "enter")
    assert at.target.reading == "held" and at.state.unit == ""
    at.type("0:12", "enter")
    assert at.target.reading == "end" and at.state.unit == "psi"
    at.type("4.5", "enter")
    at.press("1")
    assert at.target == Target("crankcase", "start", "centre") and at.state.unit == "psi"
    assert at.entered[2] == ("end", "PTO", "4.5 psi")


def test_the_fall_of_a_hold_test_is_drawn_while_the_end_is_typed(hold_test):
    at = hold_test
    at.type("30", "enter")
    at.type("2:30", "enter")
    assert fall_of(at.state, at) is None and follows_typing(at.state)
    at.type("25 kPa")
    drawn = fall_of(at.state, at)
    assert [(point.at, point.value) for point in drawn.points] == [(0.0, 30.0), (2.5, 25.0)]
    assert (drawn.unit, drawn.across_unit) == ("kPa", "min")
    at.press("enter")
    assert fall_of(at.state, at) == drawn  # as saved, at the reading after it


def test_an_optional_timer_says_how_it_is_left_out(hold_test):
    at = hold_test
    at.type("30", "enter")
    assert "Enter starts it; Down: none" in at.text
    at.press("down")
    assert at.target.reading == "end"


def test_the_fall_stands_in_the_unit_of_the_gauge(hold_test):
    at = hold_test
    at.type("5 psi", "enter")
    at.type("0:20", "enter")
    at.type("4.5")
    drawn = fall_of(at.state, at)
    assert drawn.unit == "psi" and drawn.across_unit == "s"
    assert [point.value for point in drawn.points] == pytest.approx([5.0, 4.5])
