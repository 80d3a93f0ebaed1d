"""A meter that reads less than it did is asked about, and a new count begins."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from inspect_tui.core.model.checklist import Reading
from inspect_tui.core.seasons.history import history_of
from inspect_tui.core.seasons.machine_state import state_after
from inspect_tui.core.seasons.meters import meter_question
from inspect_tui.files.store import Store
from inspect_tui.workflow.inspection import Inspection, Target
from tests.builders import checklist, reading, section, sheet, step
from tests.seasons.machines import day, odometer, session, value

METER = Reading("odometer", "Odometer", "number", "km", meter="odometer")


@pytest.mark.parametrize(("now", "asks"), [(3300.0, False), (3299.0, True), (3301.0, False)])
def test_less_than_it_was_is_asked_about(now, asks):
    state = state_after([session(0, values=(odometer(3300, day(0)),))])
    assert bool(meter_question(state, METER, now)) == asks
    assert not meter_question(state_after([]), METER, now)
    miles = Reading("odometer", "Odometer", "number", "mi", meter="odometer")
    assert "it read 2050.5 mi on 2023-11-05" in meter_question(state, miles, 2000.0)


def test_from_a_lower_reading_on_a_new_count_begins():
    rows = [
        session(n, values=(odometer(km, day(n)), value("belt", "width", 35 - n / 900, day(n))))
        for n, km in ((0, 3000), (100, 4000), (200, 50), (300, 1050))
    ]
    state = state_after(rows)
    assert state.meters["odometer"].driven == 2000  # before and behind the change
    belt = next(each for each in history_of(rows) if each.step == "belt")
    assert [point.piece for point in belt.points] == [0, 0, 1, 1]


LIST = checklist(
    section("meter"),
    step("meter", reading("km", unit="km", label="Odometer", meter='"odometer"'), title="Meter"),
    id_="meters",
)


class Clock:
    def __init__(self):
        self.at = datetime(2026, 11, 2, 18, tzinfo=UTC)

    def __call__(self):
        self.at += timedelta(minutes=1)
        return self.at


def test_it_is_asked_before_it_is_saved_and_said_when_it_was(tmp_path):
    store, clock = Store(tmp_path / "store"), Clock()
    store.make()
    for folder, name, text in (
        (store.checklists, "meters", LIST), (store.machines, "sled", sheet(id_="sled")),
    ):  # fmt: skip
        folder.mkdir(exist_ok=True)
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")
    place = Target("meter", "km")
    with Inspection.new(store, "meters", "sled", "R. Tester", clock) as first:
        assert first.record([(place, "3300")]) == ()
    with Inspection.new(store, "meters", "sled", "R. Tester", clock) as second:
        assert not second.preview(place, "3400", "as-found").question
        asked = second.preview(place, "120", "as-found").question
        assert "it read 3300 km on 2026-11-02; was the meter replaced or turned back?" in asked
        assert second.record([(place, "120")]) == (asked,)
