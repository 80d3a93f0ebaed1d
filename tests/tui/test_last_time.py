"""The last value at the question, what is taken over or gone past, what was put off at its step."""

from __future__ import annotations

from contextlib import contextmanager

import pytest

from inspect_tui.core.model.targets import Target
from inspect_tui.files.store import Store
from inspect_tui.tui.screens.plan_text import plan_text
from inspect_tui.workflow.inspection import Inspection
from tests.builders import checklist, reading, section, sheet, step
from tests.tui.plain_walk import PlainWalk

LIST = checklist(
    section("drive"),
    step(
        "belt",
        reading("width", label="Width", uncertainty='"0.2 mm"', limit="{ min = 31 }"),
        reading("load", label="Force", unit="N", by_hand="true", uncertainty='"3 %"'),
        reading("deflection", label="Deflection", uncertainty='"1 mm"'),
        title="Belt",
    ),
    step(
        "coolant",
        reading("freeze", label="Freezes at", unit="degC", known_will_do="true"),
        title="Coolant",
    ),
    id_="spring",
    title="Spring",
)
PLACES = {"belt.width": "34.6", "belt.load": "50 N", "belt.deflection": "12"}


@pytest.fixture
def spring(places):
    """The list and its machine in the store."""
    (places.checklists / "spring.toml").write_text(LIST, encoding="utf-8")
    (places.machines / "sled.toml").write_text(sheet(id_="sled"), encoding="utf-8")
    return places


@contextmanager
def new(places, clock):
    with Inspection.new(places, "spring", "sled", "R. Tester", clock) as inspection:
        yield inspection


def first_year(places, clock, **typed):
    rows = PLACES | {"coolant.freeze": "-37"} | typed
    with new(places, clock) as held:
        held.record([(Target(*place.split(".")), text) for place, text in rows.items()])
        if any(each.open for each in held.results.findings):
            held.decide("belt.width", "later", "the spare rides", "2031-01-01")
        held.sign("R. Tester")


def second_year(places, clock, walk):
    with new(places, clock) as held:
        session = held.session.id
    return walk(session)


def test_the_last_value_and_the_change_are_said_and_agree_with_status(spring, clock, walk):
    first_year(spring, clock)
    at = second_year(spring, clock, walk)
    assert "Width last: 34.6 mm on 2026-11-02" in at.text
    at.type("34.4")
    assert "than last time" not in at.text  # 0.2 is within both gauges: root of 0.08, 0.28
    at.press("escape")
    at.type("33.7")
    assert "not entered yet: 33.7 mm" in at.text
    assert "≠ 0.9 mm less than last time, more than both gauges explain" in at.text
    at.press("enter")
    assert "saved: Width 33.7 mm" in at.text and "≠ 0.9 mm less than last time" in at.text
    (row,) = at.desk.inspection.status()["readings"]
    assert row["last"]["value"] == 34.6 and row["last"]["date"] == "2026-11-02"


def test_a_setting_is_taken_over_by_one_key_and_is_no_point_of_its_history(spring, clock, walk):
    first_year(spring, clock)
    at = second_year(spring, clock, walk)
    at.type("34.5", "enter")
    assert "Force last: 50 N on 2026-11-02; = the same" in at.text
    at.press("=")
    assert at.entered[-1] == ("load", None, "50 N")
    assert at.log.count('state = "taken over, left on 2026-11-02"') == 1
    assert at.target == Target("belt", "deflection")
    at.press("=")  # a measurement never: it is a character like another
    assert len(at.entered) == 2 and at.field == "="
    at.desk.inspection.close()
    with new(spring, clock) as third:
        last = third.earlier.last("belt", "load", None)
    assert last is not None and last.session != at.desk.inspection.id  # the first year's


def test_what_is_known_is_gone_past_and_not_measured(spring, clock, walk):
    first_year(spring, clock)
    at = second_year(spring, clock, walk)
    at.go("coolant")
    assert "Freezes at known: -37 °C on 2026-11-02; Enter goes past" in at.text
    at.press("enter")
    result = at.results.step("coolant")
    assert result.skipped_readings[("freeze", None)] == "known: -37 °C on 2026-11-02"
    assert result.state == "done" and not at.entered
    assert at.target == Target("belt", "width")


def test_without_an_earlier_session_it_is_asked(spring, clock, walk):
    at = second_year(spring, clock, walk)
    at.go("coolant")
    assert "known:" not in at.text and "last:" not in at.text
    at.press("enter")
    assert at.target == Target("coolant", "freeze") and "skipped" not in at.log
    at.go("belt")
    at.press("=")
    assert not at.entered and at.field == "="


def test_what_was_put_off_stands_at_its_step_until_the_reading_passes(spring, clock, walk):
    first_year(spring, clock, **{"belt.width": "29"})
    at = second_year(spring, clock, walk)
    assert (
        "Put off earlier: Width" in at.text
        and "until 2031-01-01: the spare rides (said on 2026-11-02)" in at.text
    )
    assert "put right later," in at.text
    assert at.state.known.carried
    at.type("34", "enter")
    assert not at.state.known.carried and "Put off earlier" not in at.text


RIDE = checklist(
    section("ride"),
    step(
        "again",
        reading("belt", label="Belt", uncertainty='"0.2 mm"', limit="{ min = 31 }",
                same_as='"spring:belt.width"'),
        title="Belt again",
    ),
    id_="ride",
    title="Ride",
)  # fmt: skip


def test_a_reading_that_carries_it_on_shows_it_and_closes_it(spring, clock, walk):
    (spring.checklists / "ride.toml").write_text(RIDE, encoding="utf-8")
    first_year(spring, clock, **{"belt.width": "29"})
    with Inspection.new(spring, "ride", "sled", "R. Tester", clock) as held:
        session = held.session.id
    at = walk(session)
    assert "Put off earlier: Width" in at.text and "Belt last: 29 mm on 2026-11-02" in at.text
    view = at.state.known
    assert "PUT OFF EARLIER\n  Belt again: Width" in plan_text(view, view.carried).plain
    at.type("34", "enter")
    assert not at.state.known.carried


def test_the_place_of_the_shipped_list_is_taken_over_by_one_key_each(tmp_path, clock):
    """Where one rides stays from year to year; the air in the shed is measured anew."""
    store = Store(tmp_path / "store")
    said = {"altitude": "600 m", "air": "-4", "lowest": "350 m", "coldest": "-25",
            "coldest-night": "-38"}  # fmt: skip
    with Inspection.new(store, "pre-season", "tindrak-600", "R. Tester", clock) as held:
        held.record([(Target("place-air", name), text) for name, text in said.items()])
    with Inspection.new(store, "pre-season", "tindrak-600", "R. Tester", clock) as held:
        plain = PlainWalk(held)
        plain.open()
        while plain.state.gate is not None:
            plain.press(" ")
        plain.go("place-air")
        for name in said:
            assert plain.target.reading == name
            if name == "air":
                plain.type("-7", "enter")
            else:
                assert "= the same" in plain.text
                plain.press("=")
        taken = {reading: entered for reading, _, entered in plain.entered}
        assert taken == {"altitude": "600 m", "air": "-7", "lowest": "350 m",
                         "coldest": "-25 degC", "coldest-night": "-38 degC"}  # fmt: skip
        shown = {each.name: each.shown for each in plain.results.air.lines}
        assert "-25" in shown["temperature"] and "350" in shown["altitude"]
