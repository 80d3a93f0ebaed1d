"""Units: the trade's spellings, exact sizes, what is refused, and one registry for all threads."""

import subprocess
import sys
import threading
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.core.quantities import dimensions, units
from inspect_tui.core.readings import parse as readings
from inspect_tui.errors import BadInput

# NIST SP 811:2008, Appendix B.8: the factors that are exact by definition.
EXACT = {
    "in": "0.0254",
    "ft": "0.3048",
    "mi": "1609.344",
    "lb": "0.45359237",
    "kgf": "9.80665",
    "lbf": "4.4482216152605",
    "bar": "100000",
    "mbar": "100",
    "hPa": "100",
    "mph": "0.44704",
    "US gal": "0.003785411784",
    "UK gal": "0.00454609",
    "US fl oz": "0.0000295735295625",
    "UK fl oz": "0.0000284130625",
    "kgf.cm": "0.0980665",
    "kgf.m": "9.80665",
    "kg/cm2": "98066.5",
    "cc": "0.000001",
    "l": "0.001",
    "g/cm3": "1000",
    "N/mm": "1000",
    "h": "3600",
}
# NIST SP 811:2008, Appendix B.8, derived from those above; printed to the digits given here.
DERIVED = {
    "psi": 6894.757293168361,
    "lbf.ft": 1.3558179483314,
    "lbf.in": 0.1129848290276167,
    "inHg": 3386.389,
    "hp": 745.69987158,
}
# NIST SP 811:2008, Appendix B.8, to the seven digits printed there: lbf/in and lbf/ft (spring
# rates), ozf.in, kgf/cm2; kgf/mm and kgf/cm follow from the kilogram-force, which is exact.
RATES = {
    "lb/in": 175.1268, "lbs/in": 175.1268, "lb/ft": 14.59390, "kg/mm": 9806.65, "kg/cm": 980.665,
    "ozf.in": 7.061552e-3, "oz-in": 7.061552e-3, "in-oz": 7.061552e-3, "kg/cm2": 98066.5,
    "kg/cm^2": 98066.5,
}  # fmt: skip

SPELLINGS = [
    ("millimeter", ["mm", "millimetre", "millimeters"]),
    ("inch", ["in", "inch", "inches", '"', "”", "in."]),
    ("foot", ["ft", "feet", "'", "′"]),
    ("foot * force_pound", ["ft-lb", "ft.lb", "ft lb", "lbf.ft", "lb-ft", "ft lbf", "ft. lbs."]),
    ("force_pound * inch", ["in-lb", "lbf.in", "inch-pounds", "lb.in"]),
    ("meter * newton", ["N.m", "Nm", "N m", "N·m", "N-m", "N*m", "newton * meter"]),
    ("force_kilogram * meter", ["kgf.m", "kg-m", "kgf m"]),
    ("revolutions_per_minute", ["rpm", "RPM", "1/min", "r/min", "/min"]),
    ("degree_Celsius", ["C", "°C", "degC", "deg C", "celsius"]),
    ("degree_Fahrenheit", ["F", "°F", "degF", "fahrenheit"]),
    ("delta_degree_Celsius", ["delta_degC", "delta degC", "delta_degree_Celsius", "delta °C"]),
    ("delta_degree_Fahrenheit", ["delta_degF", "delta degF"]),
    ("degree", ["deg", "°", "degree", "degrees"]),
    ("turn", ["turn", "turns", "rev", "revs"]),
    ("ohm", ["ohm", "Ω", "ohms", "\u2126"]),
    ("kiloohm", ["kohm", "kΩ"]),
    ("centimeter ** 3", ["cm3", "cm³", "cm^3", "cm**3", "centimeter ** 3"]),
    ("kilogram / meter ** 3", ["kg/m3", "kg/m³", "kg/m^3", "kilogram / meter ** 3"]),
    ("fluid_ounce", ["US fl oz", "US fluid ounce", "U.S. fl. oz.", "us fl oz"]),
    ("imperial_gallon", ["UK gal", "imp gal", "imperial gallon", "UK gallons", "imperial_gallon"]),
    ("percent", ["%", "percent"]),
    ("pound_force_per_square_inch", ["psi", "PSI", "lb/in2"]),
    ("kilometer / hour", ["km/h"]),
    ("month", ["month", "months"]),
    ("", ["", "count", "dimensionless"]),
]


@pytest.mark.parametrize(("text", "size"), EXACT.items())
def test_defined_factors_are_exact(text, size):
    assert units.unit(text).factor == Fraction(size)


@pytest.mark.parametrize(("text", "size"), DERIVED.items())
def test_derived_factors_as_printed(text, size):
    assert float(units.unit(text).factor) == pytest.approx(
        size, rel=2e-7 if text == "inHg" else 1e-11
    )


@pytest.mark.parametrize(("text", "size"), RATES.items())
def test_spring_rates_and_small_torques_as_printed(text, size):
    assert float(units.unit(text).factor) == pytest.approx(size, rel=5e-7)


@pytest.mark.parametrize("known", dimensions.KNOWN.items(), ids=lambda known: known[1].words)
def test_what_the_trade_calls_a_dimension_has_the_units_that_people_use_for_it(known):
    dimension, named = known
    for text in (named.si_name, *named.usual):
        assert units.unit(text).dimension == dimension, text


def test_what_is_wanted_instead_is_said_with_a_unit_where_there_is_one():
    length = readings.quantity("12 mm")
    with pytest.raises(BadInput, match="a pressure is wanted, in kPa for instance"):
        units.number_in(length, units.unit("kPa"))
    with pytest.raises(BadInput, match=r"a plain number is wanted\.$"):
        units.number_in(length, units.unit(""))


@pytest.mark.parametrize(("name", "texts"), SPELLINGS)
def test_spellings_of_one_unit(name, texts):
    for text in texts:
        found = units.unit(text)
        assert found.name == name, text
        assert found.text == text


@pytest.mark.parametrize("name", [name for name, _ in SPELLINGS if name != "fluid_ounce"])
def test_pints_own_name_is_read_as_well(name):
    assert units.unit(name).name == name


@pytest.mark.parametrize(
    "text", ["gallon", "gal", "pint", "qt", "quarts", "fl oz", "floz", "gal/h"]
)
def test_measures_of_two_countries_need_the_country(text):
    with pytest.raises(BadInput, match=r"write US .* or UK"):
        units.unit(text)


@pytest.mark.parametrize(
    ("text", "near"),
    [("MM", "mm"), ("Mm", "mm"), ("KPA", "kPa"), ("Kpa", "kPa"), ("KG", "kg"), ("ML", "ml"),
     ("k", "K"), ("milimeter", "millimeter"), ("kPaa", "kPa"), ("farenheit", "fahrenheit")],
)  # fmt: skip
def test_slip_of_the_hand_gets_the_near_word(text, near):
    with pytest.raises(BadInput) as caught:
        units.unit(text)
    assert f"did you mean {near}?" in str(caught.value)


@pytest.mark.parametrize(
    "text",
    ["W/m*K", "mm/", "/", "m**99", "m^0", "m***2", "(m)", "2 mm", "m-s", "c", "speed_of_light",
     "dB", "__import__('os')", "x" * 10_000, "mm" + " * mm" * 7, "\x1b[31m", "1", "1/2"],
)  # fmt: skip
def test_what_is_no_unit(text):
    with pytest.raises(BadInput) as caught:
        units.unit(text)
    assert len(str(caught.value)) < 200


def test_joule_and_newton_metre_share_a_dimension_but_hertz_and_rpm_do_not():
    assert units.unit("J").dimension == units.unit("N.m").dimension
    assert units.unit("Hz").dimension != units.unit("rpm").dimension
    assert units.unit("turn").dimension != ()


def test_natures():
    assert units.unit("degC").quantity_kind == "temperature"
    assert units.unit("degC").offset == Fraction("273.15")
    assert units.unit("degF").offset == Fraction(45967, 180)
    assert units.unit("delta_degF").quantity_kind == "difference"
    assert units.unit("delta_degF").offset == 0
    assert units.unit("K").quantity_kind == ""
    assert units.unit("%").quantity_kind == "percent"
    assert units.unit("%").dimension == ()
    per_degree = units.unit("J/degC")
    assert (per_degree.quantity_kind, per_degree.offset, per_degree.factor) == ("", 0, 1)


@pytest.mark.parametrize(
    ("typed", "wanted", "name"),
    [("kg", "N", "force_kilogram"), ("lb", "lbf", "force_pound"), ("kg", "g", "kilogram"),
     ("C", "delta_degC", "delta_degree_Celsius"), ("F", "degC", "degree_Fahrenheit"),
     ("m", "s", "minute"), ("m", "mm", "meter"), ("nm", "N.m", "meter * newton")],
)  # fmt: skip
def test_short_names_in_the_light_of_what_is_wanted(typed, wanted, name):
    assert units.unit(typed, units.light_of(units.unit(wanted))).name == name


def test_conversions():
    quarter = units.of(Fraction(5, 4), units.unit("in"))
    assert units.number_in(quarter, units.unit("mm")) == Fraction("31.75")
    frost = units.of(Fraction(-40), units.unit("degF"))
    assert units.number_in(frost, units.unit("degC")) == -40
    assert units.number_in(frost, units.unit("K")) == Fraction("233.15")
    half = units.of(Fraction(540), units.unit("deg"))
    assert units.number_in(half, units.unit("turn")) == Fraction(3, 2)
    assert units.number_in(units.of(0, units.unit("mm")), units.unit("in")) == 0


@pytest.mark.parametrize(
    ("one", "other"), [("mm", "kPa"), ("degC", "delta_degC"), ("delta_degF", "degF"), ("turn", "")]
)
def test_what_does_not_convert(one, other):
    with pytest.raises(BadInput, match="is wanted"):
        units.number_in(units.of(1, units.unit(one)), units.unit(other))


@pytest.mark.parametrize(
    ("text", "si"),
    [("kPa", "pascal"), ("lbf", "newton"), ("in", "meter"), ("degF", "kelvin"), ("deg", "radian"),
     ("g/cm3", "kilogram / meter ** 3"), ("ft-lb", "meter * newton"), ("rpm", "radian / second"),
     ("cc", "meter ** 3"), ("", ""), ("%", ""),
     ("W/m/K", "kilogram * meter / kelvin / second ** 3")],
)  # fmt: skip
def test_name_of_the_coherent_si_unit_is_itself_a_unit_of_size_one(text, si):
    dimension = units.unit(text).dimension
    assert units.si_unit_name(dimension) == si
    again = units.unit(si)
    assert (again.dimension, again.factor, again.offset) == (dimension, 1, 0)


def test_words_for_messages():
    assert units.dimension_name(units.unit("mm").dimension) == "length"
    assert units.dimension_name(()) == "plain number"
    assert units.dimension_name((), "percent") == "percentage"
    assert (
        units.dimension_name(units.unit("K").dimension, "difference")
        == "difference of temperatures"
    )
    assert "mm" in units.near(units.unit("m").dimension)


@pytest.mark.parametrize("text", ["mm", "kPa", "lbf.ft", "degF", "US gal", "km/h", "rpm"])
@given(number=st.fractions(min_value=-1000, max_value=1000, max_denominator=1000))
def test_there_and_back_is_exact(text, number):
    unit = units.unit(text)
    assert units.number_in(units.of(number, unit), unit) == number


@settings(max_examples=300)
@given(st.text(max_size=60))
def test_any_text_is_a_unit_or_refused(text):
    try:
        found = units.unit(text)
    except BadInput as refusal:
        assert str(refusal)
    else:
        assert isinstance(found.factor, Fraction)
        assert found.factor > 0


@settings(max_examples=300)
@given(st.lists(st.sampled_from(["mm", "kPa", "degC", "s", "/", "*", " ", ".", "^2", "**-3", "1"])))
def test_any_product_is_a_unit_or_refused(parts):
    try:
        found = units.unit("".join(parts))
    except BadInput:
        return
    assert all(power for _, power in found.dimension)


PROGRAM = """
import sys, threading
from inspect_tui.core.quantities import units
from inspect_tui.core.readings import parse as readings
assert "pint" not in sys.modules, "pint is imported too early"
import pint
built = []
whole = pint.UnitRegistry
pint.UnitRegistry = lambda **given: built.append(1) or whole(**given)
threads = [threading.Thread(target=units.warm_up) for _ in range(4)]
for thread in threads: thread.start()
assert units.unit("kPa").factor == 1000
for thread in threads: thread.join()
assert built == [1], built
"""


def test_pint_is_imported_late_and_its_registry_built_once_for_all_threads():
    done = subprocess.run([sys.executable, "-c", PROGRAM], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr


@pytest.mark.parametrize("known", dimensions.KNOWN.items(), ids=lambda one: one[1].words)
def test_every_dimension_is_that_of_its_units(known):
    dimension, row = known
    for text in row.usual:
        assert units.unit(text, row.light).dimension == dimension
    coherent = units.unit(row.si_name, row.light)
    assert (coherent.dimension, coherent.factor) == (dimension, 1)


@pytest.mark.parametrize("text", ["dag", "daN", "hm", "Tm", "pm", "EPa", "hW"])
def test_symbols_with_prefixes_that_nobody_uses_are_slips_of_the_hand(text):
    with pytest.raises(BadInput, match=f'There is no unit "{text}"'):
        units.unit(text)
    assert units.unit("hPa").factor == 100


def test_threads_agree():
    texts = ["mile", "furlong", "knot", "torr", "slug", "dyne", "acre", "poise"] * 4
    found: list[tuple[str, units.Unit]] = []

    def look(text):
        found.append((text, units.unit(text)))

    threads = [threading.Thread(target=look, args=(text,)) for text in texts]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(found) == len(texts)
    assert len(set(found)) == 8
