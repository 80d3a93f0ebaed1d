"""Set and check, the jet chart and the intervals of the shipped lists, on the shipped sheets."""

from __future__ import annotations

from dataclasses import dataclass

import msgspec
import pytest

from inspect_tui.core.evaluation.evaluate_entries import evaluate_session
from inspect_tui.core.model.log_entry import AS_FOUND
from inspect_tui.core.model.results import Results, SettingRow
from tests.shipped import LISTS, SLEDS, checklist, machine, recorded

Typed = dict[str, str | list[str]]
PTO = "PTO"


@dataclass(frozen=True)
class Case:
    """One setting's readings: out of place, in place, and too far to be moved."""

    out: Typed
    turns: float
    words: str
    inside: Typed
    far: Typed
    cylinder: str | None = None


CASES: dict[tuple[str, str], Case] = {
    # Worked by hand from the invented triple's figures, each as it stands in its sheet.
    ("pump-mark", "adjuster"): Case(
        {"pump-mark.offset": "-2.8 mm"}, 2.0, "adjuster out, less slack",
        {"pump-mark.offset": "0.3 mm"}, {"pump-mark.offset": "-8 mm"},
    ),
    ("chain-slack", "tensioner"): Case(
        {"chain-slack.slack": "16 mm"}, 2.0, "tensioner in with two fingers",
        {"chain-slack.slack": "8 mm"}, {"chain-slack.slack": "30 mm"},
    ),
    ("air-screw", "out"): Case(
        {"air-screw.turns": ["2.25 turn", "1.25 turn", "1.5 turn"]}, 1.5, "count OUT",
        {"air-screw.turns": "1.5 turn"}, {}, PTO,
    ),
    ("idle-height", "screw"): Case(
        {"idle-height.height": "1.0 mm"}, 1.5, "Idle screw in",
        {"idle-height.height": "1.6 mm"}, {"idle-height.height": "4.6 mm"}, PTO,
    ),
    ("slides-lift", "adjuster"): Case(
        {"slides-lift.height": ["3.4 mm", "4.3 mm", "4.3 mm"]}, 0.8, "adjuster out",
        {"slides-lift.height": ["4.0 mm", "4.1 mm", "4.1 mm"]},
        {"slides-lift.height": ["1 mm", "5 mm", "5 mm"]}, PTO,
    ),
    ("track-alignment", "bolts"): Case(
        {"track-alignment.left": "10 mm", "track-alignment.right": "16 mm"}, 1.0, "runs left",
        {"track-alignment.left": "12 mm", "track-alignment.right": "14 mm"},
        {"track-alignment.left": "4 mm", "track-alignment.right": "22 mm"},
    ),
    ("ski-toe", "rods"): Case(
        {"ski-toe.front": "995 mm", "ski-toe.rear": "1000 mm", "ski-toe.base": "500 mm"}, 0.76,
        "Ski tips apart, left rod and right rod",
        {"ski-toe.front": "1003 mm", "ski-toe.rear": "1000 mm", "ski-toe.base": "500 mm"},
        {"ski-toe.front": "960 mm", "ski-toe.rear": "1000 mm", "ski-toe.base": "500 mm"},
    ),
}  # fmt: skip

BACK: dict[tuple[str, str], tuple[Typed, str]] = {
    # The other way; the air screw is only ever counted out from its seat.
    ("pump-mark", "adjuster"): ({"pump-mark.offset": "2.8 mm"}, "adjuster in, more slack"),
    ("chain-slack", "tensioner"): ({"chain-slack.slack": "2 mm"}, "tensioner back"),
    ("idle-height", "screw"): ({"idle-height.height": "2.2 mm"}, "Idle screw out"),
    ("slides-lift", "adjuster"): (
        {"slides-lift.height": ["4.6 mm", "4.0 mm", "4.0 mm"]}, "adjuster in",
    ),
    ("track-alignment", "bolts"): (
        {"track-alignment.left": "16 mm", "track-alignment.right": "10 mm"}, "runs right",
    ),
    ("ski-toe", "rods"): (
        {"ski-toe.front": "1013 mm", "ski-toe.rear": "1000 mm", "ski-toe.base": "500 mm"},
        "Ski tips together",
    ),
}  # fmt: skip


def results(typed: Typed, sheet: str = "tindrak-600", stem: str = "pre-season") -> Results:
    listed, made = checklist(stem), machine(sheet)
    return evaluate_session(listed, made, recorded(listed, made, typed)).results


def row(found: Results, place: tuple[str, str], cylinder: str | None) -> SettingRow:
    (only,) = (
        each for each in found.settings
        if (each.step, each.id) == place and each.cylinder == cylinder
    )  # fmt: skip
    return only


def test_every_setting_that_ships_has_its_case():
    shipped = {
        (step.id, setting.id)
        for stem in LISTS
        for step in checklist(stem).checklist.steps
        for setting in step.setting
    }
    assert shipped == set(CASES)
    assert set(BACK) == shipped - {("air-screw", "out")}


def test_every_setting_says_both_ways_its_least_its_range_and_its_source():
    for step_id, setting_id in CASES:
        step = checklist("pre-season").steps[step_id]
        setting = next(each for each in step.setting if each.id == setting_id)
        assert setting.more
        assert setting.less
        assert setting.least
        assert setting.limit is not None
        assert "sheet" in setting.source
        assert "as left" in step.how


@pytest.mark.parametrize("place", CASES, ids="-".join)
def test_out_of_place_gives_the_move_in_words(place: tuple[str, str]):
    case = CASES[place]
    found = row(results(case.out), place, case.cylinder)
    assert found.move is not None
    assert float(found.move) == pytest.approx(case.turns, rel=1e-6)
    assert case.words in found.words
    assert "again as left" in found.words


@pytest.mark.parametrize("place", BACK, ids="-".join)
def test_too_far_the_other_way_turns_back(place: tuple[str, str]):
    typed, words = BACK[place]
    found = row(results(typed), place, CASES[place].cylinder)
    assert found.move is not None
    assert found.move < 0
    assert words in found.words


@pytest.mark.parametrize("place", CASES, ids="-".join)
def test_in_place_nothing_is_moved(place: tuple[str, str]):
    case = CASES[place]
    found = row(results(case.inside), place, case.cylinder)
    assert found.move is None or found.move == 0
    assert "in place" in found.words or "less than a move" in found.words


@pytest.mark.parametrize("place", sorted(p for p in CASES if CASES[p].far), ids="-".join)
def test_past_the_adjuster_nothing_is_suggested(place: tuple[str, str]):
    case = CASES[place]
    assert "not suggested" in row(results(case.far), place, case.cylinder).words


@pytest.mark.parametrize(
    ("place", "figure", "typed"),
    [
        (("idle-height", "screw"), "idle_screw_lift", {"idle-height.height": "0.5 mm"}),
        (("ski-toe", "rods"), "spindle_arm", CASES["ski-toe", "rods"].out),
    ],
)
def test_a_sheet_without_the_figure_gives_no_move_and_says_so(place, figure, typed):
    found = row(results(typed, "ostrebek-440"), place, CASES[place].cylinder)
    assert found.move is None
    assert f"lacks '{figure.replace('_', ' ')}'" in found.words


# --- jet chart ------------------------------------------------------------------------------

MILD: Typed = {"place-air.lowest": "120 m", "place-air.coldest": "-15 degC"}
COLD: Typed = {"place-air.lowest": "120 m", "place-air.coldest": "-32 degC"}
BASE = ["340", "350", "340"]


def verdict(found: Results, step: str, value: str, cylinder: str) -> str:
    derived = found.derived_row(step, value, cylinder, AS_FOUND)
    assert derived is not None
    return derived.judged.verdict


def jets(typed: Typed, stamps: list[str], sheet: str = "tindrak-600") -> Results:
    return results({**typed, "main-jet.stamp": stamps}, sheet)


def test_base_jets_pass_in_the_air_that_they_are_for():
    found = jets(MILD, BASE)
    for cylinder in ("PTO", "centre", "MAG"):
        assert verdict(found, "main-jet", "against-chart", cylinder) == "pass"
    assert [each.id for each in found.findings] == []


def test_base_jets_are_lean_on_colder_nights_and_only_the_chart_says_so():
    found = jets(COLD, BASE)
    assert {each.id for each in found.findings} == {
        "main-jet.against-chart@PTO",
        "main-jet.against-chart@centre",
        "main-jet.against-chart@MAG",
    }
    flow = found.derived_row("main-jet", "chart-flow", PTO, AS_FOUND)
    assert flow is not None
    # By hand, flow numbers: 340/360 - 1.
    assert float(flow.value) == pytest.approx((340 / 360 - 1) * 100)


def test_jets_by_the_chart_differ_from_the_base_and_are_not_called_lean():
    found = jets(COLD, ["360", "370", "360"])
    assert {each.id for each in found.findings} == {
        "main-jet.stamp@PTO", "main-jet.stamp@centre", "main-jet.stamp@MAG",
    }  # fmt: skip


def test_exchanged_jets_are_still_told_by_the_base_figures():
    found = jets(COLD, ["350", "340", "340"])
    assert "X.main-jet" in {each.id for each in found.findings}


def test_percent_goes_by_the_sheets_numbering():
    found = results({**MILD, "main-jet.stamp": ["210", "220"]}, "ostrebek-440")
    flow = found.derived_row("main-jet", "chart-flow", PTO, AS_FOUND)
    assert flow is not None
    # By hand, bore numbers: (210/220)^2 - 1.
    assert float(flow.value) == pytest.approx(((210 / 220) ** 2 - 1) * 100)
    assert verdict(found, "main-jet", "against-chart", PTO) == "fail"


def test_outside_the_chart_nothing_is_called_lean_and_the_reason_is_said():
    found = jets({**COLD, "place-air.coldest": "-45 degC"}, BASE)
    assert not [each for each in found.findings if "against-chart" in each.id]
    assert found.chart is not None
    assert "no band for" in found.chart.reason


def test_without_a_chart_the_cold_is_told_by_the_calculation_as_a_guide():
    listed = checklist("pre-season")
    made = machine("tindrak-600")
    made = msgspec.structs.replace(made, jet_chart=(), machine={**made.machine, "jet_chart": False})
    typed: Typed = {**COLD, "place-air.coldest": "-38 degC", "main-jet.stamp": BASE}
    found = evaluate_session(listed, made, recorded(listed, made, typed)).results.findings
    assert [(each.id, each.sure) for each in found] == [("I.lean-for-the-cold", "medium")]


@pytest.mark.parametrize("sheet", SLEDS)
def test_a_chart_has_each_jet_that_the_list_holds_against_it(sheet: str):
    for band in machine(sheet).jet_chart:
        assert {"main_jet", "pilot_jet"} <= set(band.settings)


def test_a_pressure_from_a_forecast_goes_before_the_standard_one():
    plain = results(MILD).derived_row("place-air", "riding-pressure", None, AS_FOUND)
    high = results({**MILD, "place-air.qnh": "1040 hPa"}).derived_row(
        "place-air", "riding-pressure", None, AS_FOUND
    )
    assert plain is not None
    assert high is not None
    assert high.value > plain.value


def test_compression_goes_by_the_height_of_the_shed_not_of_the_ride():
    typed: Typed = {**MILD, "compression.pressure": "800 kPa", "place-air.altitude": "1500 m"}
    high = results(typed).derived_row("compression", "sea-level", PTO, AS_FOUND)
    low = results({**typed, "place-air.altitude": "0 m"}).derived_row(
        "compression", "sea-level", PTO, AS_FOUND
    )
    assert high is not None
    assert low is not None
    assert high.value > low.value


def test_the_first_ride_holds_the_fitted_jet_against_todays_air():
    typed: Typed = {
        "air-place.air": "-30 degC", "air-place.altitude": "100 m", "jets-today.main": BASE,
    }  # fmt: skip
    found = results(typed, stem="first-ride")
    assert {each.id for each in found.findings} == {
        "jets-today.main@PTO", "jets-today.main@centre", "jets-today.main@MAG",
    }  # fmt: skip
    assert found.chart is not None
    assert "-40 °C" in found.chart.band
    warmer = results({**typed, "air-place.air": "-12 degC"}, stem="first-ride")
    assert list(warmer.findings) == []


# --- optional checks and intervals ----------------------------------------------------------


def test_cylinder_leak_down_may_be_skipped_and_compares_the_cylinders():
    listed = checklist("pre-season").checklist
    step = checklist("pre-season").steps["leak-down"]
    assert not step.is_safety
    assert not [each.id for each in listed.steps if "leak-down" in each.after]
    found = results({"leak-down.loss": ["8 %", "9 %", "31 %"]})
    assert "leak-down.between" in {each.id for each in found.findings}
    assert not results({"leak-down.loss": ["8 %", "9 %", "10 %"]}).findings


@pytest.mark.parametrize(
    ("typed", "finding"),
    [
        ({"identity.odometer": "6400 km", "belt-body.fitted-at": "3000 km"}, "belt-body.run"),
        ({"chain-oil.age": "30"}, "chain-oil.age"),
        ({"coolant.age": "40"}, "coolant.age"),
        ({"oil-pump.filter-age": "30"}, "oil-pump.filter-age"),
        ({"belt-body.age": "90"}, "belt-body.age"),
        ({"brake-fluid.age": "40"}, "brake-fluid.age"),
        ({"fuel-lines.age": "90"}, "fuel-lines.age"),
    ],
)
def test_what_is_overdue_is_found(typed: Typed, finding: str):
    assert [each.id for each in results(typed).findings] == [finding]


VOLTAGES = [
    (stem, step.id, each)
    for stem in LISTS
    for step in checklist(stem).checklist.steps
    for each in step.readings
    if each.kind == "number" and each.unit == "V" and each.limit is not None
]


@pytest.mark.parametrize(("stem", "step", "reading"), VOLTAGES, ids=lambda each: str(each)[:20])
def test_a_voltage_that_lost_its_point_is_no_pass(stem, step, reading):
    """126 V read for 12.6 V: a 12 V battery rests near 12.7 V, fully charged (common practice)."""
    assert reading.limit.min is not None and reading.limit.max is not None
    if not isinstance(reading.limit.max, str):
        assert 13.5 < reading.limit.max < 60
