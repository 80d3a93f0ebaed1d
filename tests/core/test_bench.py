"""The bench: uncertainty through a calculation, fields that take what readings take, filling in."""

import itertools
import math
import re
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.calc import REGISTER
from inspect_tui.core.bench import diagrams, prefill, worksheet
from inspect_tui.core.expressions import calculations
from inspect_tui.core.quantities import units
from inspect_tui.core.text.unit_text import with_units
from inspect_tui.errors import BadInput
from inspect_tui.workflow.inspection import Inspection, Target
from tests.builders import checklist, derived, reading, section, sheet, step


def worked(name, **texts):
    return {each.key: each for each in worksheet.work_out(name, texts)}


def test_a_stated_uncertainty_goes_through_to_first_order():
    # T = F L / (4 d): relative uncertainties add in quadrature (JCGM 100:2008, 5.1.6).
    one = worked("span_tension", force="50 ± 1 N", span="1 m ± 5 mm", deflection="20 ± 0.5 mm")
    tension = one["tension"]
    wanted = 625 * math.hypot(1 / 50, 5 / 1000, 0.5 / 20)
    assert float(tension.uncertainty) == pytest.approx(wanted, rel=0.002)
    assert tension.words == "625 ± 20 N"


@given(
    st.integers(1, 500), st.integers(1, 50), st.integers(1, 50), st.integers(1, 50)
)  # fmt: skip
@settings(max_examples=40, deadline=None)
def test_quotients_add_relative_uncertainties(force, a, b, c):
    tension = worked(
        "span_tension",
        force=f"{force} N ± {a / 10} %",
        span=f"1 m ± {b / 10} %",
        deflection=f"20 mm ± {c / 10} %",
    )["tension"]
    relative = float(tension.uncertainty) / float(tension.value.si)
    assert relative == pytest.approx(math.hypot(a, b, c) / 1000, rel=0.02)


@given(st.floats(0.01, 5), st.floats(0.01, 5))
@settings(max_examples=25, deadline=None)
def test_a_difference_adds_absolute_uncertainties(front, rear):
    toe = worked(
        "toe", front=f"1006 ± {front:.4f} mm", rear=f"1000 ± {rear:.4f} mm", base="1 m"
    )["toe"]  # fmt: skip
    wanted = math.hypot(round(front, 4), round(rear, 4)) / 1000
    assert float(toe.uncertainty) == pytest.approx(wanted, rel=1e-3)


def test_without_a_statement_there_is_no_uncertainty():
    assert all(
        each.uncertainty is None and each.between is None
        for name in calculations.names()
        for each in worksheet.work_out(
            name, {one.name: one.example for one in calculations.calculation(name).inputs}
        )
    )


def test_what_is_worked_out_is_what_the_calculation_gives():
    for name in calculations.names():
        texts = {one.name: one.example for one in calculations.calculation(name).inputs}
        plain = calculations.from_text(name, texts)
        assert {each.key: each.value for each in worksheet.work_out(name, texts)} == plain


def test_repeats_count_as_their_mean_with_students_half_width():
    # 60.0, 60.2, 60.4 mm: s = 0.2, t(0.95, 2) = 4.303 (Student's table, from memory).
    read = worked("chain_sag", span="180 mm", slack="6.0; 6.2; 6.4 mm")["percent"]
    assert float(read.value.si) == pytest.approx(6.2 / 180)
    assert float(read.uncertainty) == pytest.approx(4.3027 * 0.2 / math.sqrt(3) / 180, rel=1e-3)


@pytest.mark.parametrize("text", ["-20 ± 1 degC", "-20 degC ± 1 K", "-4 ± 1.8 degF"])
def test_the_uncertainty_of_a_temperature_is_a_difference(text):
    density = worked("air_density", temperature=text, pressure="95 kPa")["density"]
    # rho = p/(R T), so a degree in 253.15 K.
    assert float(density.uncertainty / density.value.si) == pytest.approx(1 / 253.15, rel=1e-3)


def test_a_share_of_a_percentage_is_in_points():
    assert worked("coolant_freeze_point", glycol_volume="50 ± 2 %")["freeze_point"].words == (
        worked("coolant_freeze_point", glycol_volume="50 % ± 2 %")["freeze_point"].words
    )


def test_a_list_takes_uncertainties_and_one_unit_for_all():
    mean = worked("spread", values="120 ± 2; 118 ± 2; 108 ± 2 psi")["mean"]
    psi = units.unit("psi")
    assert float(worksheet.spread_in(mean.uncertainty, psi)) == pytest.approx(2 / math.sqrt(3))
    assert mean.words == "115.3 ± 1.2 psi"


def test_a_step_in_the_result_is_no_small_uncertainty():
    # At dead centre the slope is nought: first order would say ± 0.
    distance = worked("piston_position", stroke="60 mm", rod="120 mm", angle="0 ± 1 degree")
    assert distance["distance"].uncertainty is None
    # y = r (1 + r/l) angle^2/2 with u(angle) = 0.5 degree: chi-square with one degree of freedom,
    # of which 97.5 % lie under 5.02 (table, from memory).
    low, high = distance["distance"].between
    once = 0.030 * (1 + 0.25) * math.radians(0.5) ** 2 / 2
    assert 0 <= low < 0.002 * once
    assert high == pytest.approx(5.02 * once, rel=0.02)
    # A jet is rounded to its step, so it either stays or jumps.
    air = {
        "base_temperature": "-15 degC", "base_pressure": "98.9 kPa", "pressure": "99.8917 kPa",
        "numbering": "flow", "step": "10",
    }  # fmt: skip
    jets = worked("jet_for_air", jet="340", temperature="-15 ± 3 degC", **air)
    assert jets["jet"].uncertainty is None and "from 340 to 350" in jets["jet"].words
    assert jets["exact"].uncertainty > 0


def test_a_value_is_shown_to_the_place_of_its_uncertainty():
    assert worksheet.amount_words(625.3456, 12.34, units.unit("N")) == "625 ± 12 N"
    assert worksheet.amount_words(62534.56, 1234, units.unit("N")) == "62500 ± 1200 N"
    assert worksheet.amount_words(0.006, 0.0009999, units.unit("m")) == "0.0060 ± 0.0010 m"
    assert worksheet.amount_words(3, None, units.PLAIN) == "3"


@pytest.mark.parametrize(
    ("texts", "said"),
    [
        ({"force": "50 ± 1"}, "force needs a unit"),
        ({"force": "50 N ± 1 mm"}, "of another kind"),
        ({"force": "50 ± -1 N"}, "negative"),
        ({"force": "50 mm ± 1 mm"}, "a force is wanted"),
        ({"force": "50 ± 1 ± 2 N"}, "more than one uncertainty"),
        ({"force": "50 ± 1; 51 ± 1 N"}, "without ±"),
        ({"force": "50;; 51 N"}, "empty"),
        ({"force": ""}, "empty"),
        ({"farce": "50 N"}, "did you mean force?"),
    ],
)
def test_what_cannot_be_taken_is_said(texts, said):
    rest = {"force": "50 N", "span": "1 m", "deflection": "20 mm"}
    with pytest.raises(BadInput, match=said.replace("?", r"\?")):
        worksheet.work_out("span_tension", {**rest, **texts})


def test_an_input_given_twice_is_refused():
    with pytest.raises(BadInput, match="given twice"):
        worksheet.work_out("oil_ratio", [("fuel", "1 l"), ("fuel", "2 l"), ("oil", "1 l")])


def test_a_sheet_says_what_it_understood_and_what_it_still_wants():
    sheet = worksheet.sheet("toe", {"front": "39-5/8 in", "rear": "1000"})
    assert sheet.wanted == ("base",) and sheet.results == ()
    assert [field.understood for field in sheet.fields] == ["39.625 in", "1000 mm", ""]
    broken = worksheet.sheet("toe", {"front": "x", "rear": "1000", "base": "0"})
    assert "not a number" in broken.fields[0].trouble and not broken.results
    refused = worksheet.sheet("toe", {"front": "1", "rear": "1", "base": "0"})
    assert refused.trouble and not refused.results


def test_a_unit_that_does_not_fit_any_more_gives_way_to_the_likeliest():
    (one, *_) = worksheet.work_out("toe", {"front": "1006 mm", "rear": "1 m", "base": "1 m"})
    assert (
        worksheet.unit_for(one, "kPa").text == "mm" and worksheet.unit_for(one, "in").text == "in"
    )
    with pytest.raises(BadInput):
        worksheet.in_words(one, units.unit("kPa"))


def test_a_note_names_results_and_what_they_rest_on():
    sheet = worksheet.sheet("toe", {"front": "1006 ± 1", "rear": "1000", "base": "1 m"})
    assert worksheet.note_words(sheet, {"toe": "in"}) == (
        "Toe of the skis: toe 0.236 ± 0.039 in, angle 0.344 ± 0.057°; "
        "from front 1006 ± 1 mm, rear 1000 mm, base 1 m."
    )


SIGNS = st.text(
    alphabet=st.one_of(st.sampled_from("0123456789 .,;:±+-/%°\"'[]x mNkPadegC"), st.characters()),
    max_size=40,
)


@given(st.sampled_from(calculations.names()), st.data())
@settings(max_examples=300, deadline=None)
def test_whatever_is_typed_is_worked_out_or_said(name, data):
    inputs = calculations.calculation(name).inputs
    texts = {
        one.name: data.draw(st.one_of(SIGNS, st.just(one.example), st.just(f"{one.example} ± 1")))
        for one in inputs
    }
    sheet = worksheet.sheet(name, texts)
    if sheet.results:
        assert not sheet.wanted and not sheet.trouble
        assert worksheet.note_words(sheet, {})
    else:
        assert sheet.wanted or sheet.trouble or any(field.trouble for field in sheet.fields)


# --- drawings -------------------------------------------------------------------------------


@pytest.mark.parametrize("name", diagrams.drawn())
def test_a_drawing_is_narrow_and_has_a_plain_form(name):
    assert name in calculations.names()
    drawn, plain = diagrams.drawing(name), diagrams.drawing(name, ascii=True)
    assert plain.isascii() and len(plain) == len(drawn)
    assert max(map(len, drawn.splitlines())) <= diagrams.WIDEST
    words = drawn.replace("_ ", "_")
    inputs = [one.name for one in calculations.calculation(name).inputs]
    assert any(one in words for one in inputs)


def test_what_needs_no_drawing_has_none():
    assert diagrams.drawing("oil_ratio") == "" == diagrams.drawing("no such")


# --- from the session -----------------------------------------------------------------------

CHECKLIST = checklist(
    section("one"),
    step(
        "track-sag",
        reading("left", label="Left", uncertainty='"1 mm"'),
        reading("right", label="Right", uncertainty='"1 mm"'),
        reading("load", unit="kg", label="Load", uncertainty='"3 %"'),
        derived(
            "same",
            "deflection_at_load(deflection=(left + right) / 2, load=load, "
            "other_load=spec.track_load)",
            label="At the sheet's load",
        ),
        title="Track sag",
    ),
    step(
        "timing",
        reading("distance", label="Distance", uncertainty='"0.05 mm"'),
        derived(
            "angle",
            "timing_angle(stroke=spec.stroke, rod=spec.rod, distance=distance) - '1 degree'",
            "degree",
            label="Crank angle",
        ),
        derived(
            "twice",
            "timing_angle_angle(stroke=spec.stroke, rod=spec.rod, distance=distance)",
            "degree",
            label="The same again",
        ),
        derived("apart", "spread(distance)", label="Between", across="true"),
        derived(
            "percent",
            "spread_percent(values=distance)",
            "%",
            label="Between, percent",
            across="true",
        ),
        title="Timing",
        per="cylinder",
    ),
    id_="sag",
)
MACHINE = sheet(name="Bed", spec={"track_load": '"16 lb"', "stroke": '"60 mm"', "rod": '"120 mm"'})


@pytest.fixture
def inspection(tmp_path):
    from inspect_tui.files.store import Store

    places = Store(tmp_path)
    places.make()
    for folder, name, text in (
        (places.checklists, "sag", CHECKLIST),
        (places.machines, "bed", MACHINE),
    ):
        folder.mkdir(exist_ok=True)
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")
    ticks = itertools.count()
    clock = lambda: datetime(2026, 11, 2, tzinfo=UTC) + timedelta(seconds=next(ticks))  # noqa: E731
    with Inspection.new(places, "sag", "bed", "R. Tester", clock) as opened:
        yield opened


def test_a_session_fills_in_what_its_derived_values_call(inspection):
    inspection.record(
        [
            (Target("track-sag", "left", None), "1.5 in"),
            (Target("track-sag", "right", None), "40"),
            (Target("track-sag", "load", None), "7.5"),
        ]
    )
    (offer,) = prefill.offers(inspection.evaluator, "deflection_at_load")
    assert offer.texts["load"] == "7.5 ± 0.225 kg"
    assert offer.texts["other_load"] == "16 lb"
    assert offer.texts["deflection"] == "39.05 ± 0.707 mm"
    assert (offer.step, offer.cylinder, offer.as_left) == ("track-sag", None, False)
    (result,) = worksheet.sheet("deflection_at_load", offer.texts).results
    row = inspection.results.derived_row("track-sag", "same", None, "as-found")
    assert float(result.value.si) * 1000 == pytest.approx(float(row.value), rel=1e-6)
    assert float(result.uncertainty) * 1000 == pytest.approx(
        float(row.judged.uncertainty), rel=1e-3
    )


def test_each_cylinder_has_its_own_and_as_left_counts_first(inspection):
    inspection.record([(Target("timing", "distance", "PTO"), "2")])
    inspection.record([(Target("timing", "distance", "PTO"), "2.2")], "as-left")
    pto, mag = prefill.offers(inspection.evaluator, "timing_angle")
    assert pto.texts["distance"] == "2.2 ± 0.05 mm" and pto.as_left
    assert mag.missing == {"distance": "not measured"}
    assert mag.texts == {"stroke": "60 mm", "rod": "120 mm"} and not mag.as_left


def test_a_list_of_cylinders_fills_one_field(inspection):
    inspection.record(
        [(Target("timing", "distance", "PTO"), "2"), (Target("timing", "distance", "MAG"), "2.1")]
    )
    (offer,) = prefill.offers(inspection.evaluator, "spread")
    assert offer.texts == {"values": "2 mm; 2.1 mm"}


def test_nothing_is_offered_where_the_list_does_not_call(inspection):
    assert prefill.offers(inspection.evaluator, "oil_ratio") == ()
    step = inspection.compiled.steps["timing"]
    assert prefill.used_by(step) == ("timing_angle", "spread")


def test_a_screen_calls_an_input_by_a_word_of_the_trade():
    sheet = worksheet.sheet("station_pressure", {"altitude": "600 m"})
    assert sheet.wanted == ("sea-level pressure",)
    sheet = worksheet.sheet(
        "jet_difference", {"jet_a": "150", "jet_b": "1500", "numbering": "bore"}
    )
    assert "second jet must be within 4 times first jet" in sheet.trouble
    sheet = worksheet.sheet("wear_trend", {"at": "1; 2 km", "values": "1; 2 mm", "when": "3 km"})
    assert sheet.trouble.startswith("meter must be a list of at least 3")


def test_no_title_of_a_calculation_writes_a_unit_as_a_program_does():
    said = [
        text
        for each in REGISTER.values()
        for text in (each.title, each.formula, each.valid, each.harm, each.source,
                     *(one.meaning for one in (*each.inputs, *each.results)))
        if re.search(r"\bdeg[CF]\b|\*\*|[a-z]m3\b|/m3\b", with_units(text))
    ]  # fmt: skip
    assert said == []
