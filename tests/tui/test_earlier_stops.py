"""Plan page and gate say what an earlier session left in the way, in the words of the prompt."""

from __future__ import annotations

import pytest

from inspect_tui.core.model.targets import Target
from inspect_tui.tui.base.desk import Desk
from inspect_tui.tui.screens.plan_text import plan_text
from inspect_tui.tui.walk.gate import gate_before
from inspect_tui.workflow.inspection import Inspection
from tests.builders import checklist, reading, section, sheet, step

CHECK = reading("ok", kind="check", label="In order", limit="{ equal = true }")
GATES = [
    step(f"g{number}", CHECK, title=f"Gate {number}", safety="true", gate='"start"')
    for number in (1, 2)
]
FULL = checklist(section("all"), *GATES, id_="full", title="Full")
RIDE = checklist(
    section("all"),
    step("open", reading("read", kind="check", label="Nothing open", nothing_open="true")),
    step("start", CHECK, title="Start", begins='"start"'),
    id_="ride",
    title="Ride",
)


@pytest.fixture
def ride(places, clock):
    """After a session with one gate that failed and was put off, and one that nobody looked at."""
    for name, text in (("full", FULL), ("ride", RIDE)):
        (places.checklists / f"{name}.toml").write_text(text, encoding="utf-8")
    (places.machines / "sled.toml").write_text(sheet(id_="sled"), encoding="utf-8")
    with Inspection.new(places, "full", "sled", "R. Tester", clock) as full:
        full.record([(Target("g1", "ok"), "no")])
        full.decide("g1.ok", "later", "no time", "ride")
        full.sign("R. Tester", "no time", accept={"g1": "no time", "g2": "no time"})
    with Inspection.new(places, "ride", "sled", "R. Tester", clock) as held:
        yield held


def test_the_page_names_both_under_what_stops_the_start_and_nothing_twice(ride):
    view = Desk(ride).view()
    page = plan_text(view, view.carried).plain
    stops = page.partition("STOPS THE START\n")[2].partition("\n\n")[0]
    assert [stop.words in stops for stop in ride.earlier_stops] == [True, True]
    assert "'Gate 1' failed earlier and was put off" in stops
    assert "signed with 2 steps that stop the start open: 'Gate 1' and 'Gate 2'" in stops
    assert "PUT OFF EARLIER" not in page


def test_the_gate_asks_and_logs_both_before_the_engine_runs(ride):
    view = Desk(ride).view()
    gate = gate_before(view, view.results.step("start"), frozenset())
    assert gate is not None and len(gate.texts) == 2
    assert all(text.startswith("Before the engine runs: '") for text in gate.texts)
    gate.confirm()(ride)
    entries = [each for each in ride.entries if each.kind == "caution"]
    logged = [each.keys["text"] for each in entries if each.keys["step"] == "start"]
    assert logged == [" ".join(gate.texts)]
    assert all(stop.words in logged[0] for stop in ride.earlier_stops)


def test_nothing_is_open_is_questioned_before_it_is_saved(ride):
    read = Target("open", "read")
    asked = ride.preview(read, "yes", "as-found").question
    assert all(stop.words in asked for stop in ride.earlier_stops)
    assert not ride.preview(read, "no", "as-found").question
    assert not ride.session.readings
