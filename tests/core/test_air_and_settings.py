"""The session's air, the jet chart for it, and set-and-check; figures invented."""

from __future__ import annotations

from fractions import Fraction

import pytest

from inspect_tui.core.evaluation.air.jet_chart import Band, ChartLookup, look_up
from inspect_tui.workflow.inspection import Inspection, Target
from tests.builders import band, checklist, derived, reading, section, setting, sheet, step

CHECKLIST = checklist(
    section("one"),
    step(
        "weather",
        reading("coldest", unit="degC", label="Coldest air", condition='"temperature"'),
        reading("lowest", unit="m", label="Lowest place", condition='"altitude"'),
        derived("density", "conditions.density", "kg/m**3", label="Density"),
        title="Weather",
    ),
    step(
        "main-jet",
        reading("stamp", unit="", label="Main jet", limit='{ equal = "spec.main_jet" }'),
        derived(
            "against-chart",
            "stamp - chart.main_jet",
            "",
            label="Against the chart",
            limit="{ min = 0 }",
        ),
        title="Main jet",
        per="cylinder",
    ),
    step(
        "toe",
        reading("toe", label="Toe-out", limit="{ min = 2, max = 8 }"),
        setting(
            "rod",
            "toe",
            "(spec.toe_out - toe) / (2 * spec.rod_pitch)",
            "turn",
            more="Lengthen both rods",
            less="Shorten both rods",
            least="0.25",
            limit="{ min = -6, max = 6 }",
        ),
        title="Toe",
    ),
    id_="air",
)

MACHINE = sheet(
    id_="sled",
    name="Sled",
    spec={"main_jet": "[240, 230]", "toe_out": '"5 mm"', "rod_pitch": '"1.5 mm/turn"'},
    rest=band('["-30 °C", "-15 °C"]', '["0 m", "600 m"]', main_jet="[260, 250]")
    + band('["-15 °C", "5 degC"]', '["0 m", "600 m"]', main_jet="[240, 230]"),
)


@pytest.fixture
def inspection(places, clock):
    (places.checklists / "air.toml").write_text(CHECKLIST, encoding="utf-8")
    (places.machines / "sled.toml").write_text(MACHINE, encoding="utf-8")
    with Inspection.new(places, "air", "sled", "R. Tester", clock) as opened:
        yield opened


def put(inspection, step, reading, text, cylinder=None, phase="as-found"):
    return inspection.record([(Target(step, reading, cylinder), text)], phase)


def test_the_lists_check(places, inspection):
    assert inspection.said == ()


def test_without_air_nothing_is_looked_up(inspection):
    assert "not entered" in inspection.results.chart.reason
    assert inspection.results.derived == ()


def test_a_reading_says_the_air(inspection):
    put(inspection, "weather", "coldest", "-10 C")
    put(inspection, "weather", "lowest", "1000 ft")
    chart = inspection.results.chart
    assert "-15 °C to 5 °C" in chart.band
    assert [line.chart for line in chart.lines] == ["240", "230"]
    assert chart.near == ()


def test_a_neighbour_is_named_near_the_edge(inspection):
    put(inspection, "weather", "coldest", "-13")
    put(inspection, "weather", "lowest", "100")
    chart = inspection.results.chart
    assert len(chart.near) == 1 and "-30 °C" in chart.near[0]
    assert chart.lines[0].near == "260"


def test_a_band_within_a_hundred_metres_or_three_kelvin_is_a_neighbour():
    """By the air's own place, both included: the lower edge of the other band is in it."""
    low, high, warm = (
        Band(*map(Fraction, edges), {}, "")
        for edges in ((250, 260, 0, 600), (250, 260, 600, 1200), (260, 270, 0, 600))
    )
    chart = (low, high, warm)
    for temperature, altitude, near in (
        (255, 500, (high,)), (255, 499, ()), (257, 100, (warm,)), (Fraction(2569, 10), 100, ()),
    ):  # fmt: skip
        assert look_up(chart, Fraction(temperature), Fraction(altitude)) == ChartLookup(low, near)


def test_the_lower_edge_belongs_to_the_band(inspection):
    put(inspection, "weather", "coldest", "-15")
    put(inspection, "weather", "lowest", "0")
    assert "-15 °C to 5 °C" in inspection.results.chart.band


def test_outside_the_chart_is_said(inspection):
    put(inspection, "weather", "coldest", "-35")
    put(inspection, "weather", "lowest", "0")
    assert "no band for -35 °C" in inspection.results.chart.reason


def test_other_air_changes_verdicts_and_says_so(inspection):
    put(inspection, "weather", "coldest", "-10")
    put(inspection, "weather", "lowest", "0")
    put(inspection, "main-jet", "stamp", "240", "PTO")
    row = inspection.results.derived_row("main-jet", "against-chart", "PTO", "as-found")
    assert row.judged.verdict == "pass"
    said = inspection.set_conditions(temperature="-20 C")
    assert any("main-jet.against-chart@PTO" in text and "fail" in text for text in said)
    (line, _) = inspection.results.chart.lines
    assert line.words == "20 leaner than the chart: lean is the dangerous side"
    assert any(f.id == "main-jet.against-chart@PTO" for f in inspection.results.findings)
    # The later word stands: a reading taken after the weather was typed counts again.
    said = put(inspection, "weather", "coldest", "-5")
    assert any("main-jet.against-chart@PTO" in text and "pass" in text for text in said)


def test_density_of_the_air_is_that_of_the_library(inspection):
    # PsychroLib 2.5.0 GetMoistAirDensity, ideal gas: dry air at -20 degC and 101325 Pa.
    psychrolib = pytest.importorskip("psychrolib")
    psychrolib.SetUnitSystem(psychrolib.SI)
    put(inspection, "weather", "coldest", "-20")
    put(inspection, "weather", "lowest", "0")
    row = inspection.results.derived_row("weather", "density", None, "as-found")
    assert row.value == pytest.approx(psychrolib.GetDryAirDensity(-20, 101325), rel=2e-4)


def test_the_next_move_of_a_setting(inspection):
    put(inspection, "toe", "toe", "-1 mm")
    (row,) = inspection.results.settings
    assert float(row.move) == 2
    assert row.words == "Lengthen both rods: 2 turns. Then measure 'Toe-out' again as left."
    put(inspection, "toe", "toe", "11 mm", phase="as-left")
    (row,) = inspection.results.settings
    assert row.words.startswith("Shorten both rods: 2 turns.")
    put(inspection, "toe", "toe", "5 mm", phase="as-left")
    (row,) = inspection.results.settings
    assert row.move is None and "in place" in row.words
    put(inspection, "toe", "toe", "4.7 mm", phase="as-left")
    (row,) = inspection.results.settings
    assert "in place" in row.words or not row.suggested


def test_a_move_past_its_limit_is_not_suggested(inspection):
    put(inspection, "toe", "toe", "-30 mm")
    (row,) = inspection.results.settings
    assert "not suggested" in row.words


@pytest.mark.parametrize(
    ("old", "new", "wanted"),
    [
        ('condition = "altitude"', 'condition = "height"', "condition"),
        ('unit = "degC"\ncondition', 'unit = "mm"\ncondition', "temperature of the air"),
        ("conditions.density", "conditions.densty", "density"),
        ('reading = "toe"', 'reading = "tow"', "toe"),
        ("2 * spec.rod_pitch", "2 * spec.rod_pitch + 1", "an angle"),
        ('unit = "turn"', 'unit = "mm"', "setting"),
    ],
)
def test_what_is_wrong_is_said(places, run, tmp_path, old, new, wanted):
    assert old in CHECKLIST
    (tmp_path / "bad.toml").write_text(CHECKLIST.replace(old, new, 1), encoding="utf-8")
    (tmp_path / "sled.toml").write_text(MACHINE, encoding="utf-8")
    ran = run("check", tmp_path / "bad.toml", tmp_path / "sled.toml")
    assert ran.status == 1
    assert wanted in ran.out


def test_the_density_of_the_air_is_said_in_four_figures(inspection):
    """ICAO Doc 7488's gas constant, dry air at -20 °C and 1013.25 hPa: 1.3944 kg/m³."""
    inspection.set_conditions(temperature="-20 C", altitude="0 m", qnh="1013.25 hPa")
    shown = {line.name: line.shown for line in inspection.results.air.lines}
    assert shown["density"] == "1.394 kg/m³"
