"""What was said of the air last counts: typed for the session or read at a step; figures invented.

All values are our own examples.
"""

from __future__ import annotations

import pytest

from inspect_tui.errors import BadInput
from inspect_tui.workflow.inspection import Inspection, Target
from tests.builders import band, checklist, derived, reading, section, sheet, step

CHECKLIST = checklist(
    section("one"),
    step(
        "forecast",
        reading("coldest", unit="degC", label="Coldest air", condition='"temperature"'),
        reading("lowest", unit="m", label="Lowest place", condition='"altitude"'),
        reading("report", unit="hPa", label="Pressure", condition='"qnh"', optional="true"),
        title="Forecast",
    ),
    step(
        "place",
        reading("now", unit="degC", label="Air now", condition='"temperature"'),
        title="At the place",
    ),
    step(
        "main-jet",
        reading("stamp", unit="", label="Main jet", limit='{ min = "chart.main_jet" }'),
        derived("over", "stamp - chart.main_jet", "", label="Over the chart", limit="{ min = 0 }"),
        title="Main jet",
        per="cylinder",
    ),
    step(
        "screw",
        reading("turns", unit="turn", label="Turns out", limit='{ equal = "chart.air_screw" }'),
        reading("air-jet", unit="", label="Air jet", limit='{ equal = "chart.air_jet" }'),
        title="Air screw",
        per="cylinder",
    ),
    id_="air",
)

MACHINE = sheet(
    id_="sled",
    name="Sled",
    spec={"main_jet": "[240, 230]", "air_screw": '"1.5 turn"', "air_jet": "2"},
    rest=band(
        '["-30 degC", "-15 degC"]',
        '["0 m", "600 m"]',
        main_jet="[260, 250]",
        air_screw='"1 turn"',
        air_jet="2",
    )
    + band(
        '["-15 degC", "5 degC"]',
        '["0 m", "600 m"]',
        main_jet="[240, 230]",
        air_screw='"1.5 turn"',
        air_jet="2",
    ),
)
JET = Target("main-jet", "stamp", "PTO")


@pytest.fixture
def inspection(places, clock):
    (places.checklists / "air.toml").write_text(CHECKLIST, encoding="utf-8")
    (places.machines / "sled.toml").write_text(MACHINE, encoding="utf-8")
    with Inspection.new(places, "air", "sled", "R. Tester", clock) as begun:
        yield begun


def verdict(inspection):
    return inspection.results.row(*JET_PLACE).judged.verdict


JET_PLACE = ("main-jet", "stamp", "PTO", "as-found")


def test_the_same_air_said_again_counts_over_a_reading_between(inspection):
    inspection.set_conditions(temperature="-20 C", altitude="100 m")
    inspection.record([(JET, "240")])
    assert verdict(inspection) == "fail"
    inspection.record([(Target("forecast", "coldest"), "0")])
    assert verdict(inspection) == "pass"
    inspection.set_conditions(temperature="-20 C", altitude="100 m")
    assert verdict(inspection) == "fail"
    assert inspection.results.derived_row("main-jet", "over", "PTO", "as-found").value == -20


def test_of_two_readings_of_the_air_the_later_counts(inspection):
    inspection.record([(Target("forecast", "lowest"), "100"), (Target("place", "now"), "0")])
    inspection.record([(Target("forecast", "coldest"), "-20"), (JET, "240")])
    assert verdict(inspection) == "fail"


def test_an_entry_is_judged_by_what_the_log_says_up_to_it_and_the_session_by_all(inspection):
    inspection.set_conditions(temperature="0 C", altitude="100 m")
    inspection.record([(JET, "240"), (Target("forecast", "coldest"), "-20")])
    logged = [entry.get("verdict") for entry in inspection.entries if entry.kind == "reading"]
    assert logged[0] == "pass"
    assert verdict(inspection) == "fail"


def test_a_decision_made_in_other_air_is_asked_for_again(inspection):
    inspection.set_conditions(temperature="-16 C", altitude="100 m")
    inspection.record([(JET, "250")])
    for finding in ("main-jet.stamp@PTO", "main-jet.over@PTO"):
        inspection.decide(finding, "run-as-found", "short rides only")
    assert not any(finding.open for finding in inspection.results.findings)
    inspection.set_conditions(temperature="-29 C")
    assert all(finding.open for finding in inspection.results.findings)


def test_a_name_that_python_uses_itself_is_no_condition(run, inspection):
    inspection.close()
    ran = run("conditions", inspection.session.id, "self=3")
    assert ran.status == 2
    assert "'self' is no figure of the air" in ran.err


def test_the_chart_is_shown_in_the_unit_of_its_reading(inspection):
    inspection.set_conditions(temperature="-20 C", altitude="100 m")
    inspection.record([(Target("screw", "turns", "PTO"), "1-1/2")])
    line = next(
        line
        for line in inspection.results.chart.lines
        if (line.setting, line.cylinder) == ("air_screw", "PTO")
    )
    assert (line.chart, line.sheet, line.found) == ("1 turn", "1.5 turns", "1.5 turns")
    assert line.words == "0.5 turn above the chart"


def test_a_larger_air_jet_is_not_called_richer(inspection):
    inspection.set_conditions(temperature="-20 C", altitude="100 m")
    inspection.record([(Target("screw", "air-jet", "PTO"), "2.2")])
    words = [
        line.words for line in inspection.results.chart.lines if line.setting == "air_jet"
    ]  # fmt: skip
    assert words == ["0.2 above the chart", "not recorded yet"]


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("relative_humidity", "500 %", "500 % can't be"),
        ("relative_humidity", "-1", "-1 % can't be"),
        ("altitude", "99999 km", "altitude"),
        ("altitude", "40000 ft", "36089 ft; got 40000 ft"),
        ("temperature", "-90", "-90 °C can't be; it is -60 to 60 °C"),
        ("qnh", "1013 psi", r"12.33 to 15.95 psi \(850 to 1100 hPa\)"),
        ("qnh", "29.92", "29.92 hPa can't be; it is 850 to 1100 hPa"),
    ],
)
def test_air_that_there_cannot_be_is_refused_and_not_written(inspection, name, text, said):
    before = inspection.entries
    with pytest.raises(BadInput, match=said):
        inspection.set_conditions(**{"temperature": "-5", name: text})
    assert inspection.entries == before


@pytest.mark.parametrize(
    ("reading", "typed", "said"),
    [
        ("report", "1013 psi", "A sea-level pressure of 1013 psi can't be; it is 12.33 to 15.95"),
        ("report", "1013 inHg", "1013 inHg can't be; it is 25.1 to 32.48 inHg (850 to 1100 hPa)."),
        ("report", "29.92", "29.92 hPa can't be; it is 850 to 1100 hPa."),
        ("report", "1200; 1300", "1250 hPa can't be"),
        ("coldest", "-100 F", "-100 °F can't be; it is -76 to 140 °F (-60 to 60 °C)."),
        ("lowest", "12 km", "12 km can't be; it is -0.5 to 11 km (-500 to 11000 m)."),
    ],
)
def test_a_reading_of_air_that_there_cannot_be_is_refused_in_its_own_unit(
    inspection, reading, typed, said
):
    target, before = Target("forecast", reading), inspection.entries
    shown = inspection.validator.preview(target, typed, "as-found").error
    assert said in shown and shown.count("can't be") == 1
    with pytest.raises(BadInput, match="can't be"):
        inspection.record([(target, typed)], "as-found")
    assert inspection.entries == before


@pytest.mark.parametrize(
    ("reading", "typed"),
    [
        ("report", "29.92 inHg"), ("report", "850"), ("report", "1100"), ("report", "?"),
        ("coldest", "-60"), ("coldest", "-40 F"), ("lowest", "-500"), ("lowest", "36000 ft"),
    ],
)  # fmt: skip
def test_air_that_there_can_be_is_taken(inspection, reading, typed):
    inspection.record([(Target("forecast", reading), typed)], "as-found")
