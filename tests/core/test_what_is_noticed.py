"""What a session notices across cylinders and what it makes of odd entries; figures our own."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from inspect_tui.core.definitions import of_log
from inspect_tui.core.evaluation.evaluate_entries import evaluate_session
from inspect_tui.core.model.log_entry import Entry
from inspect_tui.core.session.replay import replay
from inspect_tui.workflow.inspection import Inspection, Target
from tests.builders import checklist, reading, section, setting, sheet, step

CHECKLIST = checklist(
    section("one"),
    step(
        "parts",
        reading("main", unit="", label="Main jet", limit='{ equal = "spec.main" }'),
        reading("needle", "text", label="Needle", limit='{ equal = "spec.needle" }'),
        reading(
            "float",
            label="Float height",
            uncertainty='"1 mm"',
            limit='{ target = "spec.float", tolerance = "2 mm" }',
        ),
        title="Parts",
        per="cylinder",
    ),
    step(
        "squeeze",
        reading(
            "pressure",
            unit="kPa",
            label="Compression",
            uncertainty='"40 kPa"',
            uncertainty_between='"5 kPa"',
        ),
        setting(
            "move",
            "pressure",
            "'800 kPa' - pressure",
            "kPa",
            more="More",
            less="Less",
            limit='{ max = "spec.most" }',
        ),
        title="Compression",
        per="cylinder",
    ),
    step("extra", reading("seen", "text", label="Seen", optional="true"), title="Extra"),
    id_="carbs",
    title="Carburettors",
)

MACHINE = sheet(
    "PTO",
    "centre",
    "MAG",
    id_="sled",
    name="Sled",
    spec={"main": "[240, 230, 220]", "float": '"20 mm"'},
    words={"needle": '["6K", "6L", "6M"]'},
)


@pytest.fixture
def inspection(places, clock):
    (places.checklists / "carbs.toml").write_text(CHECKLIST, encoding="utf-8")
    (places.machines / "sled.toml").write_text(MACHINE, encoding="utf-8")
    with Inspection.new(places, "carbs", "sled", "R. Tester", clock) as begun:
        yield begun


def put(inspection, step, reading, *texts, **how):
    cylinders = inspection.machine.cylinders
    lot = [
        (Target(step, reading, cylinder), text)
        for cylinder, text in zip(cylinders, texts, strict=False)
    ]
    return inspection.record(lot, **how)


def finding(inspection, name):
    return next((each for each in inspection.results.findings if each.id == name), None)


def test_only_what_was_found_exchanged_is_named_as_exchanged(inspection):
    put(inspection, "parts", "main", "220", "230", "240")
    put(inspection, "parts", "needle", "6K", "6K", "6M")
    text = finding(inspection, "X.parts").text
    assert "PTO and MAG (Main jet)" in text
    assert "Beside that, centre differs" in text


def test_what_a_reading_brings_out_is_said_in_labels(inspection):
    said = put(inspection, "parts", "main", "220", "230", "240")
    assert said == (
        "Parts look exchanged between PTO and MAG (Main jet): each has the other's figures.",
    )
    (said,) = put(inspection, "squeeze", "pressure", "800", "801", "820")
    assert said.startswith("Compression: MAG is out of family, ")


def test_a_measured_part_within_its_uncertainty_does_not_differ_from_the_sheet(inspection):
    put(inspection, "parts", "main", "220", "230", "240")
    put(inspection, "parts", "float", "20", "20.4", "20")
    assert "Beside that" not in finding(inspection, "X.parts").text


def test_gauges_of_their_own_make_no_cylinder_stand_out(inspection):
    put(inspection, "squeeze", "pressure", "800", "801", "820", gauge="old")
    assert finding(inspection, "O.squeeze.pressure@MAG") is not None
    inspection.record([(Target("squeeze", "pressure", "MAG"), "820")], gauge="new")
    assert finding(inspection, "O.squeeze.pressure@MAG") is None


def test_another_gauge_explains_a_move(inspection):
    put(inspection, "squeeze", "pressure", "800", gauge="old")
    asked = inspection.validator.validate(
        [(Target("squeeze", "pressure", "PTO"), "830")], "as-left", "old"
    )
    assert "was something changed?" in asked[0].question
    asked = inspection.validator.validate(
        [(Target("squeeze", "pressure", "PTO"), "830")], "as-left", "new"
    )
    assert asked[0].question == ""


def test_a_move_whose_limit_the_sheet_lacks_says_so(inspection):
    put(inspection, "squeeze", "pressure", "790")
    (row,) = inspection.results.settings
    assert row.suggested
    assert "How far it may be moved is not known" in row.words


def test_a_step_of_optional_readings_can_be_skipped(inspection):
    inspection.skip("extra", "no time")
    assert inspection.results.step("extra").state == "skipped"
    inspection.record([(Target("extra", "seen"), "rust")])
    assert inspection.results.step("extra").state == "done"


@pytest.mark.parametrize("value", [float("nan"), float("inf"), 10**400])
def test_a_value_that_is_no_finite_number_is_kept_as_unknown(value):
    at = datetime(2026, 11, 2, tzinfo=UTC)
    opened = {"session": "s", "checklist": CHECKLIST, "machine": MACHINE}
    reading = {
        "step": "squeeze", "reading": "pressure", "cylinder": "PTO", "phase": "as-found",
        "entered": "??", "value": value,
    }  # fmt: skip
    combined = {"common": float("inf"), "entries": 1, "last_seal": "x"}
    session = replay(
        [
            Entry(0, "opened", at, "R. Tester", opened),
            Entry(1, "reading", at, "R. Tester", reading),
            Entry(2, "combined", at, "R. Tester", combined),
        ]
    )
    assert [entry.n for entry in session.unknown] == [1, 2]
    compiled = of_log.compile_trusted(session.checklist_text)
    machine = of_log.trusted_machine(session.machine_text)
    assert evaluate_session(compiled, machine, session).results.readings == ()


@pytest.mark.parametrize("quantity", ["two", True, float("nan"), float("inf"), [2]])
def test_a_part_of_which_nobody_can_say_how_many_is_no_decision(quantity):
    at = datetime(2026, 10, 3, 8, 0, tzinfo=UTC)
    opened = Entry(0, "opened", at, "Ann", {"session": "s", "checklist": "", "machine": ""})
    keys = {"finding": "F1", "decision": "get-part", "part": "Boot"}
    sound = Entry(1, "decision", at, "Ann", {**keys, "quantity": 2})
    assert replay([opened, sound]).decisions["F1"].quantity == 2
    odd = Entry(1, "decision", at, "Ann", {**keys, "quantity": quantity})
    found = replay([opened, odd])
    assert found.decisions == {} and [each.n for each in found.unknown] == [1]


def test_added_steps_without_a_name_are_numbered_from_one():
    at = datetime(2026, 10, 3, 8, 0, tzinfo=UTC)
    opened = Entry(0, "opened", at, "Ann", {"session": "s", "checklist": "", "machine": ""})
    keys = {"section": "one", "title": "Noise"}
    session = replay([opened, *(Entry(n, "step-added", at, "Ann", dict(keys)) for n in (1, 2))])
    assert [one.id for one in session.added] == ["added-1", "added-2"]
