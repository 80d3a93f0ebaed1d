"""What is outside its range is refused in one sentence that names the input; nothing else goes out.

Never nan, never inf, never another error, whatever numbers come in.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from working_points import point

from inspect_tui.calc import REGISTER

NUMBERS = [
    (name, entry.name)
    for name, calculation in REGISTER.items()
    for entry in calculation.inputs
    if entry.unit is not None and not entry.many
]
LISTS = [("spread", "values"), ("repeat_readings", "values")]

OUT_OF_RANGE = [
    ("standard_atmosphere", {"altitude": 11001}, "altitude must be from -500 m to 11000 m"),
    ("standard_atmosphere", {"altitude": -501}, "altitude"),
    ("station_pressure", {"qnh": 1013}, "qnh must be from 85000 Pa"),
    ("station_pressure", {"altitude": 20000}, "altitude"),
    ("air_density", {"temperature": 20}, "temperature must be from -60 degC to 60 degC"),
    ("air_density", {"pressure": 101.325}, "pressure"),
    ("air_density", {"relative_humidity": 70}, "relative_humidity must be from 0 to 1; got 70"),
    ("jet_difference", {"jet_a": 0}, "jet_a must be above 0; got 0"),
    ("jet_difference", {"jet_b": -1}, "jet_b"),
    ("jet_difference", {"numbering": "size"}, "numbering must be 'bore' or 'flow'; got 'size'"),
    ("jet_for_air", {"step": 0}, "step"),
    ("jet_for_air", {"step": 1e-9}, "step"),
    ("jet_for_air", {"jet": 0}, "jet"),
    ("jet_for_air", {"temperature": 0}, "temperature"),
    ("jet_for_air", {"base_pressure": 0}, "base_pressure"),
    ("span_tension", {"deflection": 0}, "deflection must be above 0 m; got 0 m"),
    ("span_tension", {"deflection": 0.5}, "deflection must be at most a quarter of the span"),
    ("span_tension", {"force": 0}, "force"),
    ("span_tension", {"span": -1}, "span"),
    ("deflection_at_load", {"load": 0}, "load"),
    ("deflection_at_load", {"other_load": 1000}, "other_load must be within ten times"),
    ("deflection_at_load", {"unloaded": 1}, "unloaded must be at most the deflection"),
    ("deflection_at_load", {"deflection": -1}, "deflection"),
    ("chain_elongation", {"links": 0}, "links must be a whole number of at least 1"),
    ("chain_elongation", {"links": 6.5}, "links must be a whole number"),
    ("chain_elongation", {"pitch": 0}, "pitch"),
    ("chain_elongation", {"measured": 0}, "measured"),
    ("chain_length", {"teeth_a": 4}, "teeth_a must be a whole number of at least 5"),
    ("chain_length", {"teeth_b": 22.5}, "teeth_b"),
    ("chain_length", {"centre_distance": 0.09}, "two sprockets would touch"),
    ("chain_length", {"pitch": 0}, "pitch"),
    ("chain_sag", {"span": 0}, "span"),
    ("chain_sag", {"slack": -0.001}, "slack must be at least 0 m"),
    ("chain_sag", {"slack": 1}, "slack must be at most the span"),
    ("spring_rate", {"length_2": 0.06}, "length_2 must differ from length_1"),
    ("spring_rate", {"force_2": 100}, "force_2 must be the larger force at the shorter length"),
    ("spring_rate", {"force_1": -1}, "force_1"),
    ("wire_spring_rate", {"mean_diameter": 0.005}, "mean_diameter must be from 2 to 50 times"),
    ("wire_spring_rate", {"active_coils": 0}, "active_coils"),
    ("wire_spring_rate", {"shear_modulus": 80}, "shear_modulus"),
    ("piston_position", {"angle": 20}, "angle must be from 0 rad to"),
    ("piston_position", {"rod": 0.032}, "rod must be longer than half the stroke"),
    ("timing_angle", {"distance": 0.065}, "distance must be from 0 m to 0.064 m"),
    ("timing_angle", {"stroke": 0}, "stroke"),
    ("compression_at_sea_level", {"reading": -1}, "reading must be at least 0 Pa"),
    ("compression_at_sea_level", {"altitude": 12000}, "altitude"),
    ("spread", {"values": []}, "values must be a list of at least 1"),
    ("repeat_readings", {"values": [1.0]}, "values must be a list of at least 2"),
    ("repeat_readings", {"values": "12"}, "values must be a list of numbers"),
    ("swapped_parts", {"found": []}, "found must have one element per cylinder"),
    ("swapped_parts", {"found": [1, 2]}, "expected must be as long as found"),
    ("swapped_parts", {"found": [None, 1, 2]}, "found must have a value for every cylinder"),
    ("swapped_parts", {"found": [math.nan, 1, 2]}, "found"),
    ("swapped_parts", {"found": [(1, 2), 1, 2]}, "attributes for every cylinder"),
    ("torque_with_extension", {"wrench": 0}, "wrench"),
    ("torque_with_extension", {"angle": math.pi, "extension": 0.4}, "extension must not reach"),
    ("torque_with_extension", {"angle": 90}, "angle"),
    ("tightening_torque", {"nut_factor": 20}, "nut_factor must be from 0.03 to 1"),
    ("conformance", {"uncertainty": -1}, "uncertainty must be at least 0"),
    ("conformance", {"min": None, "max": None}, "min or max must be given"),
    ("conformance", {"min": 20}, "min must be at most max"),
    ("road_speed", {"cvt_ratio": 0}, "cvt_ratio"),
    ("road_speed", {"teeth_top": 0}, "teeth_top"),
    ("road_speed", {"track_pitch": 0}, "track_pitch"),
    ("belt_length", {"centre_distance": 0.2}, "centre_distance must be at least half the sum"),
    ("belt_length", {"diameter_a": 0}, "diameter_a"),
    ("flyweight_force", {"mass": -1}, "mass"),
    ("oil_for_fuel", {"ratio": 0}, "ratio must be from 1 to 1000"),
    ("oil_for_fuel", {"fuel": -1}, "fuel"),
    ("oil_ratio", {"oil": 0}, "oil must be above 0"),
    ("toe", {"base": 0}, "base"),
    ("toe", {"base": 0.005}, "base must be longer"),
    ("coolant_freeze_point", {"glycol_volume": 0.61}, "glycol_volume must be from 0 to 0.6"),
    ("coolant_freeze_point", {"glycol_volume": 50}, "glycol_volume"),
    ("electrolyte_freeze_point", {"specific_gravity": 1.3}, "specific_gravity must be from 1 to"),
    ("proof_load", {"property_class": "7.7"}, "property_class must be '4.6'"),
    ("proof_load", {"property_class": "9.8", "diameter": 0.02}, "class 9.8"),
    ("proof_load", {"diameter": 8}, "diameter must be from 0.0016 m to 0.039 m; got 8 m"),
    ("proof_load", {"pitch": 0.003}, "pitch must be at most 0.3 times"),
]


def refused(name: str, changes: dict[str, object]) -> str:
    with pytest.raises(ValueError) as refusal:
        REGISTER[name].function(**(point(name) | changes))
    message = str(refusal.value)
    assert message and "\n" not in message and len(message) < 300
    return message


@pytest.mark.parametrize(("name", "changes", "words"), OUT_OF_RANGE)
def test_a_value_out_of_range_is_refused_in_words(
    name: str, changes: dict[str, object], words: str
) -> None:
    assert words in refused(name, changes)


def test_every_calculation_has_a_refusal_of_its_own() -> None:
    assert {row[0] for row in OUT_OF_RANGE} == set(REGISTER)


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf, "12", True, [1.0], 10**1500])
@pytest.mark.parametrize(("name", "key"), NUMBERS)
def test_what_is_no_finite_number_is_refused_by_name(name: str, key: str, bad: object) -> None:
    assert key in refused(name, {key: bad})


@pytest.mark.parametrize("bad", [math.nan, math.inf, "12", True, None, [1.0]])
@pytest.mark.parametrize(("name", "key"), LISTS)
def test_a_list_with_something_else_in_it_is_refused(name: str, key: str, bad: object) -> None:
    assert f"{key} (value 2)" in refused(name, {key: [1.0, bad, 2.0]})


@pytest.mark.parametrize("name", REGISTER)
def test_the_ordinary_working_point_gives_every_result(name: str) -> None:
    results = REGISTER[name].function(**point(name))
    assert list(results) == [result.key for result in REGISTER[name].results]


def numbers_in(value: object) -> Iterator[float | Fraction | int]:
    if isinstance(value, tuple):
        for element in value:
            yield from numbers_in(element)
    elif isinstance(value, (int, float, Fraction)):
        yield value


anything = st.one_of(
    st.floats(allow_nan=False, allow_infinity=False),
    st.floats(min_value=1e-6, max_value=1e6),
    st.integers(-(10**320), 10**320),
    st.fractions(max_denominator=10**6),
)


@pytest.mark.parametrize("name", REGISTER)
@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_finite_in_gives_finite_out_or_words(name: str, data: st.DataObject) -> None:
    inputs = point(name)
    for entry in REGISTER[name].inputs:
        if entry.unit is not None and data.draw(st.booleans()):
            drawn = st.lists(anything, min_size=1, max_size=6) if entry.many else anything
            inputs[entry.name] = data.draw(drawn)
    try:
        results = REGISTER[name].function(**inputs)
    except ValueError as refusal:
        assert any(entry.name in str(refusal) for entry in REGISTER[name].inputs)
        return
    for number in numbers_in(tuple(results.values())):
        assert math.isfinite(number)
