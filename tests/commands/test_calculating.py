"""`calc` at the prompt: uncertainties, units as people write them, what is asked for."""

import json
import re
import shlex

import pytest

from inspect_tui.cli import main
from inspect_tui.commands.calc import example
from inspect_tui.core.expressions import calculations
from inspect_tui.errors import BadInput

GIVEN = ["span=1 m", "deflection=20 mm"]


def test_an_uncertainty_is_shown_and_given_as_data(capsys):
    assert main(["calc", "span_tension", "force=50 ± 1 N", *GIVEN]) == 0
    assert capsys.readouterr().out.startswith("tension = 625 ± 12 N\n")
    assert main(["calc", "span_tension", "force=50 +/- 1 N", *GIVEN, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["results"] == {
        "tension": {"value": 625, "unit": "newton", "uncertainty": 12.5}
    }


def test_without_one_the_data_has_its_two_keys_alone(capsys):
    assert main(["calc", "span_tension", "force=50 N", *GIVEN, "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert list(data) == ["name", "results", "source"]
    assert data["results"] == {"tension": {"value": 625, "unit": "newton"}}


def test_it_is_in_the_unit_that_is_asked_for(capsys):
    given = ["calc", "toe", "front=1006 ± 1 mm", "rear=1000 mm", "base=1 m", "--in", "mm"]
    assert main([*given, "--json"]) == 0
    toe = json.loads(capsys.readouterr().out)["results"]["toe"]
    assert toe["unit"] == "millimeter"
    assert (toe["value"], toe["uncertainty"]) == pytest.approx((6, 1))


def test_words_and_lists_have_none(capsys):
    assert main(["calc", "conformance", "value=13 ± 1", "uncertainty=1", "min=10", "--json"]) == 0
    results = json.loads(capsys.readouterr().out)["results"]
    assert results["verdict"] == {"value": "pass", "unit": None}
    assert results["probability"]["unit"] == ""


def test_a_wrong_uncertainty_ends_with_one_sentence(capsys):
    assert main(["calc", "span_tension", "force=50 N ± 1 mm", *GIVEN]) == 2
    captured = capsys.readouterr()
    assert captured.out == "" and "another kind" in captured.err
    assert len(captured.err.splitlines()) == 1


@pytest.mark.parametrize("found", ["230, 240, 240", "[230, 240, 240]", "[230; 240; 240]"])
def test_a_list_may_stand_in_brackets_as_in_a_definition(capsys, found):
    assert main(["calc", "swapped_parts", f"found={found}", "expected=[240, 230, 240]"]) == 0
    out = capsys.readouterr().out
    assert main(["calc", "swapped_parts", "found=230,240,240", "expected=240,230,240"]) == 0
    assert out == capsys.readouterr().out
    assert "explained = yes" in out


@pytest.mark.parametrize("values", ["[]", "[1, 2", "1, 2]", "[1, ]"])
def test_brackets_that_hold_no_list_are_refused(capsys, values):
    assert main(["calc", "spread", f"values={values}"]) == 2
    assert len(capsys.readouterr().err.splitlines()) == 1


def results_of(capsys, *given):
    assert main(["calc", *given, "--json"]) == 0
    return json.loads(capsys.readouterr().out)["results"]


def test_each_unit_asked_for_counts_where_it_fits(capsys):
    given = ["standard_atmosphere", "altitude=0 m", "--in", "hPa", "--in", "degC"]
    results = results_of(capsys, *given)
    assert results["pressure"] == {"value": pytest.approx(1013.25), "unit": "hectopascal"}
    assert results["temperature"] == {"value": pytest.approx(15), "unit": "degree_Celsius"}
    assert results["density"]["unit"] == "kilogram / meter ** 3"


@pytest.mark.parametrize("unit", ["mm", "delta_degC", "mmm", "tension=N"])
def test_a_unit_that_no_result_can_have_is_refused(capsys, unit):
    assert main(["calc", "standard_atmosphere", "altitude=0 m", "--in", "hPa", "--in", unit]) == 2
    captured = capsys.readouterr()
    assert captured.out == "" and unit in captured.err
    assert len(captured.err.splitlines()) == 1


def test_of_two_units_that_fit_the_last_one_counts(run):
    given = ["calc", "span_tension", "force=50 N", "span=1 m", "deflection=20 mm"]
    ran = run(*given, "--in", "N", "--in", "lbf")
    assert ran.status == 0, ran.err
    assert ran.out.startswith("tension = 140.51 lbf\n")
    assert run(*given, "--in", "lbf", "--in", "mm").status == 2


@pytest.mark.parametrize(
    ("given", "line"),
    [
        (["oil_for_fuel", "fuel=20 L", "ratio=50"], "oil = 400 mL"),
        (["oil_for_fuel", "fuel=200 L", "ratio=50"], "oil = 4 L"),
        (["coolant_freeze_point", "glycol_volume=50 %"], "freeze_point = -37.1 °C"),
        (["chain_sag", "span=180 mm", "slack=9 mm"], "percent = 5 %"),
        (["toe", "front=1 m", "rear=1 m", "base=1 m"], "angle = 0°"),
        (["timing_angle", "stroke=60 mm", "rod=120 mm", "distance=2 mm"], "angle = 18.845°"),
        (
            ["torque_with_extension", "torque=60 Nm", "wrench=40 cm", "extension=10 cm"],
            "setting = 48 N·m",
        ),
        (["standard_atmosphere", "altitude=0 m"], "density = 1.225 kg/m³"),
        (
            ["air_density", "temperature=-20 degC", "pressure=95 kPa"],
            "density_altitude = -682.71 m",
        ),
        (["pressure_decay", "start=40 kPa", "end=38 kPa", "time=5 min"], "rate = 0.4 kPa/min"),
        (["proof_load", "diameter=8 mm", "pitch=1 mm", "property_class=8.8"], "stress_area ="),
        (
            ["wear_trend", "at=0;1000;2000 km", "values=36;35;34 mm", "when=4000 km"],
            "slope = -0.001 mm/km",
        ),
        (
            ["wear_trend", "at=0;1;2", "values=10;20;30 degC", "when=4"],
            "slope = 10 °C",
        ),
    ],
)
def test_units_are_as_people_write_them(capsys, given, line):
    assert main(["calc", *given]) == 0
    assert line in capsys.readouterr().out


def test_no_result_is_shown_with_a_unit_spelt_out(capsys):
    for name in calculations.names():
        assert main(shlex.split(example(calculations.calculation(name)))[1:]) == 0, name
        out = capsys.readouterr().out
        shown = out[: out.index("Source:")]
        assert not re.search(r"meter|pascal|newton|kelvin|radian|\*\*|\bdegree", shown), shown


def test_the_data_is_in_si_under_pint_s_names(capsys):
    names = {
        "oil_for_fuel": {"oil": "meter ** 3"},
        "pressure_decay": {"rate": "pascal / second", "fall": "pascal"},
        "winding_resistance": {"resistance": "ohm"},
        "leak_down": {"percent": "percent", "hole": "meter"},
        "port_timing": {"duration": "radian"},
        "mixed_premix": {"ratio": ""},
        "engagement_speed": {"speed": "radian / second"},
        "swapped_parts": {"pairs": None, "explained": None},
    }
    for name, wanted in names.items():
        results = results_of(capsys, *shlex.split(example(calculations.calculation(name)))[2:])
        assert {key: one["unit"] for key, one in results.items()} == wanted


@pytest.mark.parametrize(
    ("given", "nearest"),
    [
        (["span_tnsion"], "did you mean span_tension?"),
        (["chain-pitch", "number=40"], "did you mean chain_pitch?"),
        (["span_tension", "frce=50 N"], "did you mean force?"),
        (["chain_pitch", "number=45"], "choose from 25, 35, 40"),
    ],
)
def test_a_misspelt_name_or_key_is_answered_with_the_nearest(capsys, given, nearest):
    assert main(["calc", *given]) == 2
    captured = capsys.readouterr()
    assert captured.out == "" and nearest in captured.err
    assert len(captured.err.splitlines()) == 1


def test_each_says_what_it_takes_in_peoples_units(capsys):
    assert main(["calc", "coolant_freeze_point"]) == 0
    assert "such as 50 %; from 0 % to 60 %" in capsys.readouterr().out
    assert main(["calc", "tightening_torque"]) == 0
    out = capsys.readouterr().out
    assert "such as 8 mm; from 1 mm to 64 mm" in out
    assert "Example: inspect-tui calc tightening_torque 'force=16 kN'" in out
    assert "fewer than two values from outside: a rule of thumb" in out


def test_the_slope_of_a_trend_is_in_the_unit_asked_for(capsys):
    given = ["wear_trend", "at=0;1000;2000 km", "values=36;35;34 mm", "when=4000 km"]
    results = results_of(capsys, *given, "--in", "mm/km")
    assert results["slope"] == {"value": pytest.approx(-0.001), "unit": "millimeter / kilometer"}
    assert results["value"]["unit"] == "meter"


ABSURD = [
    ("chain_elongation", {"measured": "1 m"}, "links must be miscounted"),
    ("chain_elongation", {"links": "11"}, "links must be miscounted"),
    ("oil_for_fuel", {"ratio": "0.025"}, "ratio must be from 5 to 1000; got 0.025"),
    ("oil_for_fuel", {"fuel": "20 m3"}, "fuel must be from 0 L to 500 L; got 20000 L"),
    ("oil_ratio", {"fuel": "0.45 L", "oil": "18 L"}, "or the two are exchanged"),
    ("torque_with_extension", {"extension": "390 mm", "angle": "180 deg"}, "not reach back"),
    ("torque_with_extension", {"extension": "360 mm", "angle": "180 deg"}, "not reach back"),
    ("torque_with_extension", {"extension": "420 mm", "angle": "150 deg"}, "not reach back"),
    ("torque_with_extension", {"extension": "50 m"}, "extension must be from 0 mm to 1000 mm"),
    ("torque_with_extension", {"wrench": "4 mm"}, "wrench must be from 50 mm"),
    ("torque_with_extension", {"torque": "60 kN.m"}, "torque must be from 0 N·m to 2000 N·m"),
    ("tightening_torque", {"diameter": "90 mm"}, "diameter must be from 1 mm to 64 mm; got 90 mm"),
    ("tightening_torque", {"force": "16 MN"}, "force must be from 0 kN to 3000 kN; got 16000 kN"),
    ("tightening_torque", {"force": "160 kN"}, "tears any bolt of diameter 8 mm; got 160 kN"),
    ("proof_load", {"diameter": "8 cm"}, "diameter must be from 1.6 mm to 39 mm; got 80 mm"),
    ("span_tension", {"deflection": "0.2 mm"}, "at least a thousandth of the span (1 mm)"),
    ("span_tension", {"force": "50 kN"}, "force must be above 0 N, at most 5000 N; got 50000 N"),
    ("chain_sag", {"slack": "120 mm"}, "slack must be at most half the span (90 mm); got 120 mm"),
    ("jet_difference", {"jet_b": "1.55"}, "within 4 times jet_a (150)"),
    ("jet_for_air", {"jet": "2.4"}, "step must be at most a quarter of jet (0.6); got 5"),
    ("jet_for_air", {"temperature": "-300 F"}, "temperature must be from -60 °C to 60 °C"),
    ("station_pressure", {"qnh": "1013 Pa"}, "qnh must be from 850 hPa to 1100 hPa"),
    ("standard_atmosphere", {"altitude": "6000 km"}, "altitude must be from -1640 ft"),
    ("spring_rate", {"force_2": "201 N"}, "would be 2460 mm long without a load"),
    ("wire_spring_rate", {"mean_diameter": "4 m"}, "mean_diameter must be above 0 mm, at most"),
    ("spring_solid_length", {"total_coils": "1"}, "total_coils must be from 2.5 to 200; got 1"),
    ("piston_position", {"rod": "20 mm"}, "rod must be from 0.75 to 5 times the stroke (60 mm)"),
    ("timing_angle", {"distance": "61 mm"}, "distance must be at most 60 mm"),
    ("timing_angle", {"tilt": "80 deg"}, "tilt must be from 0° to 60°; got 80°"),
    ("port_timing", {"depth": "70 mm"}, "depth must be at most the stroke (60 mm); got 70 mm"),
    ("compression_ratio", {"chamber": "1 mL"}, "above the 40 that any machine has"),
    ("compression_ratio", {"chamber": "30 L"}, "chamber must be from 0.1 mL to 2000 mL"),
    ("compression_ratio", {"trapped_stroke": "9 cm"}, "at most the stroke (60 mm); got 90 mm"),
    ("compression_at_sea_level", {"reading": "110 MPa"}, "reading must be from 0 psi"),
    ("ring_gap", {"gap": "30 mm"}, "gap must be from 0 mm to 10 mm; got 30 mm"),
    ("ring_gap", {"bore_wear": "65 mm"}, "bore_wear must be from -1 mm to 2 mm; got 65 mm"),
    ("pressure_decay", {"end": "50 kPa"}, "a closed space gains nothing; got 50 kPa after 40 kPa"),
    ("pressure_decay", {"time": "0 min"}, "time must be from"),
    ("leak_down", {"held": "90 psi"}, "held must be at most the supply (80 psi); got 90 psi"),
    ("leak_down", {"orifice": "1 in"}, "orifice must be from"),
    ("road_speed", {"teeth_top": "190", "teeth_bottom": "10"}, "above the 540 km/h that any"),
    ("road_speed", {"teeth_top": "2.2"}, "teeth_top must be a whole number; got 2.2"),
    ("belt_length", {"centre_distance": "27 mm"}, "at least half the sum of the diameters"),
    ("flyweight_force", {"mass": "50 kg"}, "mass must be from 0 g to 5000 g; got 50000 g"),
    ("engagement_speed", {"mass_new": "480 g"}, "within 3 times mass_now (50 g) either way"),
    ("engagement_speed", {"speed": "350000 rpm"}, "speed must be above 0 rpm, at most 20000 rpm"),
    ("toe", {"rear": "100 mm"}, "at least twice front less rear (906 mm); got 1000 mm"),
    ("mixed_premix", {"ratio_b": "0.03"}, "ratio_b must be from 5 to 1000; got 0.03"),
    ("coolant_freeze_point", {"glycol_volume": "50"}, "50 times the whole; write 50 %"),
    ("coolant_freeze_point", {"glycol_volume": "70 %"}, "from 0 % to 60 %; got 70 %"),
    ("coolant_freeze_point", {"glycol_volume": "6100"}, "from 0 % to 60 %; got 610000 %"),
    ("oil_for_fuel", {"fuel": "20kg"}, 'a volume is wanted, such as "20 L"'),
    ("compression_at_sea_level", {"reading": "9000 psi"}, "0 psi to 725 psi; got 9000 psi"),
    ("compression_at_sea_level", {"reading": "725.2 psi"}, "725.19 psi; got 725.2 psi"),
    ("pressure_decay", {"time": "100000 min"}, "time must be from 1 s to 278 h; got 100000 min"),
    ("coolant_exchange", {"wanted": "20 %"}, "between now (35 %) and fresh (100 %); got 20 %"),
    ("coolant_exchange", {"volume": "4 m3"}, "volume must be above 0 L, at most 100 L"),
    ("electrolyte_density", {"specific_gravity": "1225"}, "from 1 to 1.35; got 1225"),
    ("electrolyte_freeze_point", {"specific_gravity": "0.9"}, "from 1 to 1.28; got 0.9"),
    ("winding_resistance", {"leads": "0.5 ohm"}, "at most the resistance (0.42 Ω); got 0.5 Ω"),
    ("length_at_reference", {"expansion": "11.5 1/K"}, "expansion must be from"),
    ("deflection_at_load", {"other_load": "730 kg"}, "within ten times the load either way"),
    ("chain_length", {"centre_distance": "50 mm"}, "two sprockets would touch; got 50 mm"),
    ("chain_elongation_limit", {"teeth": "390"}, "teeth must be a whole number from 5 to 200"),
    ("wear_trend", {"when": "90000 km"}, "within 10 times the range of at"),
    ("wear_trend", {"at": "900; 900; 900; 900 km"}, "at must differ from reading to reading"),
]


@pytest.mark.parametrize(
    ("name", "changes", "words"), ABSURD, ids=lambda part: part if isinstance(part, str) else ""
)
def test_what_no_machine_has_is_refused_in_peoples_units(name, changes, words):
    found = calculations.calculation(name)
    given = {one.name: one.example for one in found.inputs if not one.optional} | changes
    with pytest.raises(BadInput) as refusal:
        calculations.from_text(name, given)
    assert words in str(refusal.value)
