"""Figures on screens and in reports: as typed, converted in brackets, rounded, in plain words."""

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.core.model.checklist import Reading
from inspect_tui.core.presentation.figures import (
    format_move,
    format_quantity,
    format_reading,
    format_uncertainty,
    probability_words,
)
from inspect_tui.core.quantities import units
from inspect_tui.core.readings import parse
from inspect_tui.core.text.unit_text import format_unit


def typed(text, unit, uncertainty=None, limits=()):
    kind = "timer" if unit == "s" else "number"
    found = parse.read(text, Reading(id="a", label="A", kind=kind, unit=unit))
    stated = found.uncertainty if found.uncertainty is not None else uncertainty
    return format_reading(found.entered, found.value, unit, stated, limits)


@pytest.mark.parametrize(
    ("text", "unit", "shown"),
    [
        ("95 psi", "kPa", "95 psi (655 kPa)"),
        ("28.5 psi", "kPa", "28.5 psi (196.5 kPa)"),
        ("31,7", "mm", "31,7 mm"),
        ("31.70", "mm", "31.70 mm"),
        ("1-1/4 in", "mm", "1-1/4 in (31.75 mm)"),
        ("11/64 in", "mm", "11/64 in (4.37 mm)"),
        (".028 in", "mm", ".028 in (0.711 mm)"),
        ("1.25 in", "in", "1.25 in"),
        ("1.25 inches", "in", "1.25 in"),
        ("1-1/2", "turn", "1-1/2 turns"),
        ("1", "turn", "1 turn"),
        ("540 deg", "turn", "540° (1-1/2 turns)"),
        ("6000 ft", "m", "6000 ft (1829 m)"),
        ("68 F", "degC", "68 °F (20 °C)"),
        ("-20 C", "degC", "-20 °C"),
        ("25 ft-lb", "N.m", "25 ft-lb (33.9 N·m)"),
        ("8 bar", "kPa", "8 bar (800 kPa)"),
        ("1 yr", "month", "1 yr (12 months)"),
        ("62", "month", "62 months"),
        ("5'6\"", "mm", "5'6\" (1676 mm)"),
        ("5'6\"", "in", "5'6\" (66 in)"),
        ("830 kpa", "kPa", "830 kPa"),
        ("10 IN", "mm", "10 IN (254 mm)"),
        ("8.3 kg", "kPa", "8.3 kg (814 kPa)"),
        ("-20 °", "degC", "-20 °C"),
        ("minus 20", "degC", "-20 °C"),
        ("half", "turn", "1/2 turn"),
        ("2.5 out", "turn", "2.5 turns"),
        ("1 turn 30 deg", "turn", "1 turn 30 deg (about 1-1/8 turns)"),
        ("5°30'", "deg", "5°30' (5.5°)"),
        ("4h30", "h", "4h30 (4.5 h)"),
        ("1:30", "s", "1:30 (90 s)"),
        ("1:02:03", "s", "1:02:03 (3723 s)"),
        ("50:50", "%", "50:50 (50 %)"),
        ("half", "%", "50 %"),
        ("5k", "rpm", "5k (5000 rpm)"),
        ("40 to 1", "", "40 to 1"),
        ("50:1", "", "50:1"),
        ("14 %", "%", "14 %"),
        ("5", "deg", "5°"),
        ("0", "mm", "0 mm"),
        ("31.7 ± 0.2", "mm", "31.7 ± 0.2 mm"),
        ("31.7 ± 2 %", "mm", "31.7 mm ± 2 %"),
        ("1.25 ± 0.01 in", "mm", "1.25 ± 0.01 in (31.75 mm)"),
        ("1.25 in ± 0.1 mm", "mm", "1.25 in ± 0.1 mm (31.75 mm)"),
        ("31.6; 31.7; 31.5", "mm", "31.6 mm (mean of 31.6, 31.7 and 31.5)"),
        ("1;2;3;4;5", "mm", "3 mm (mean of 5)"),
    ],
)
def test_a_reading_as_typed_and_converted(text, unit, shown):
    assert typed(text, unit) == shown


def test_a_converted_reading_is_rounded_to_its_uncertainty():
    assert typed("95 psi", "kPa", 14) == "95 psi (655 kPa)"
    assert typed("95 psi", "kPa", 60) == "95 psi (660 kPa)"


def test_answers_and_unknown():
    assert format_reading("ok", True) == "yes"
    assert format_reading("li", "light") == "light"
    assert format_reading("?", None, "mm") == "unknown"


@pytest.mark.parametrize(
    ("value", "unit", "uncertainty", "shown"),
    [
        (Fraction("62.38"), "month", None, "62 months"),
        (14.0321, "%", None, "14 %"),
        (9.26, "%", None, "9.3 %"),
        (Fraction("0.012345"), "m3", None, "0.0123 m³"),
        (1234.56, "kg/m3", None, "1235 kg/m³"),
        (-36.66, "degC", None, "-36.7 °C"),
        (655.002, "kPa", None, "655 kPa"),
        (12345.6, "km", None, "12346 km"),
        (0, "mm", 0.2, "0 mm"),
        (31.7462, "mm", 0.2, "31.75 mm"),  # two digits of 0.20
        (31.7462, "mm", 0.5, "31.7 mm"),  # one digit of 0.5
        (31.7462, "mm", 0.99, "31.7 mm"),  # 1.0
        (31.7462, "mm", 4, "32 mm"),
        (31.7462, "mm", 0, "31.7 mm"),
        (1.5, "turn", None, "1-1/2 turns"),
        (0.61, "turn", None, "about 5/8 turn"),
        (1.99, "turn", None, "about 2 turns"),
        (1.01, "turn", None, "about 1 turn"),
        (-0.25, "turn", None, "-1/4 turn"),
        (0.03, "turn", None, "less than 1/8 turn"),
        (0, "turn", None, "0 turns"),
        (-0.5, "", None, "-0.5"),
        (True, "", None, "yes"),
        ("6K", "", None, "6K"),
        (math.nan, "mm", None, "not a number"),
    ],
)
def test_a_worked_out_value(value, unit, uncertainty, shown):
    assert format_quantity(value, unit, uncertainty) == shown


@pytest.mark.parametrize(
    ("value", "unit", "limits", "shown"),
    [
        (31.46, "mm", (31.5, None), "31.46 mm"),
        (31.4999, "mm", (31.5, None), "31.4999 mm"),
        (31.5, "mm", (31.5, None), "31.5 mm"),
        (1.26, "turn", (1, 1.25), "1.3 turns"),
        (Fraction(1, 3), "mm", (Fraction(1, 3), None), "0.33333 mm"),
        (24.2, "month", (None, 24), "24.2 months"),
    ],
)
def test_rounding_stays_on_its_side_of_a_limit(value, unit, limits, shown):
    assert format_quantity(value, unit, 1, limits) == shown


def test_uncertainties_and_moves():
    assert format_uncertainty(0.5, "mm") == "±0.5 mm"
    assert format_uncertainty(Fraction(254, 1000), "mm") == "±0.25 mm"
    assert format_uncertainty(1, "degC") == "±1 °C"
    assert format_uncertainty(0, "mm") == "±0 mm"
    assert format_move(-0.61, "turn") == "about 5/8 turn"
    assert format_move(3.5, "mm") == "3.5 mm"


@pytest.mark.parametrize(
    ("unit", "shown"),
    [
        ("m3", "m³"), ("cm3", "cm³"), ("mm2", "mm²"), ("m/s2", "m/s²"), ("kg/m3", "kg/m³"),
        ("degC", "°C"), ("delta_degC", "°C"), ("deg", "°"), ("ohm", "Ω"), ("kohm", "kΩ"),
        ("N.m", "N·m"), ("lbf.ft", "lbf·ft"), ("foot * force_pound", "lbf·ft"),
        ("meter * newton", "N·m"), ("kilogram / meter ** 3", "kg/m³"), ("pascal", "Pa"),
        ("meter ** 3 / second", "m³/s"), ("US fl oz", "US fl oz"), ("imperial_gallon", "UK gal"),
        ("mm", "mm"), ("", ""), ("percent", "%"), ("month", "month"),
    ],
)  # fmt: skip
def test_units_as_people_write_them(unit, shown):
    assert format_unit(unit) == shown
    again, before = units.unit(shown, units.light_of(units.unit(unit))), units.unit(unit)
    assert (again.dimension, again.factor) == (before.dimension, before.factor)


def test_several_of_a_unit():
    assert [format_unit("turn", n) for n in (0.5, 1, -1, 1.5, 0)] == [
        "turn", "turn", "turn", "turns", "turns",
    ]  # fmt: skip
    assert format_unit("month", 62) == "months"


@pytest.mark.parametrize(
    ("probability", "words"),
    [
        (1, "almost certainly in"), (0.99, "almost certainly in"), (0.9899, "very likely in"),
        (0.95, "very likely in"), (0.9499, "probably in"), (0.66, "probably in"),
        (0.65, "as likely in as out"), (0.5, "as likely in as out"), (0.33, "as likely in as out"),
        (0.32, "probably out"), (0.0501, "probably out"), (0.05, "very likely out"),
        (0.0101, "very likely out"), (0.01, "almost certainly out"), (0, "almost certainly out"),
    ],
)  # fmt: skip
def test_probabilities_in_plain_words(probability, words):
    assert probability_words(probability) == words


NUMBERS = st.fractions(min_value=-5000, max_value=5000, max_denominator=1000)


@given(NUMBERS, st.sampled_from(["mm", "psi", "delta_degC", "kg/m3", "N.m", "V", ""]),
       st.none() | st.fractions(Fraction(1, 1000), 100, max_denominator=1000))  # fmt: skip
def test_what_is_shown_reads_as_the_same_to_the_step_that_was_kept(value, unit, uncertainty):
    shown = format_quantity(value, unit, uncertainty)
    found = parse.read(shown, Reading(id="a", label="A", kind="number", unit=unit)).value
    # 0.05 U: the coarsest step is the last digit of an uncertainty that begins with 3.6.
    if uncertainty:
        assert abs(found - value) <= uncertainty / Fraction("3.55") / 2
    else:
        assert abs(found - value) <= max(Fraction(1, 20), abs(value) / 199, 0.5 * (value > 100))


@given(NUMBERS, NUMBERS, st.sampled_from(["mm", "turn", "degree", "lbf"]))
def test_no_rounding_crosses_a_limit(value, limit, unit):
    shown = format_quantity(value, unit, 40, (limit, None))
    if value != limit and not shown.startswith(("about", "less")):
        found = parse.read(shown, Reading(id="a", label="A", kind="number", unit=unit)).value
        assert (found > limit, found < limit) == (value > limit, value < limit)
