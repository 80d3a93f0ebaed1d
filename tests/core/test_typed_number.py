"""Words, units and repeats of typed numbers, piece by piece: what planted faults left standing."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.core.quantities import units
from inspect_tui.core.quantities.number_words import in_figures
from inspect_tui.core.quantities.typed_unit import typed_unit
from inspect_tui.core.readings.typed_number import MAX_REPEATS, read_number, read_value
from inspect_tui.errors import BadInput

MM, KPA, DEGC = units.unit("mm"), units.unit("kPa"), units.unit("degC")


@pytest.mark.parametrize(
    ("said", "figures"),
    [
        ("half", "1/2"), ("a half", "1/2"), ("a quarter of a turn", "1/4 turn"),
        ("half an inch", "1/2 inch"), ("quarter turn", "1/4 turn"), ("1/2 of an inch", "1/2 inch"),
        ("two thirds", "2/3"), ("three-quarters", "3/4"), ("11/64ths in", "11/64 in"),
        ("11 64ths", "11/64"), ("1/3rd", "1/3"), ("3 16ths", "3/16"), ("a 16th", "1/16"),
        ("one and a half", "1-1/2"), ("one-and-a-half", "1-1/2"), ("1 & 1/4 in", "1-1/4 in"),
        ("1 three quarters", "1-3/4"), ("2 plus a half", "2-1/2"), ("1 a half", "1 1/2"),
        ("twenty five", "25"), ("twenty-five mm", "25 mm"), ("five eight", "5 8"),
        ("two hundred and forty", "240"), ("two hundred forty", "240"), ("one hundred", "100"),
        ("hundred", "hundred"), ("a hundred", "100"), ("six thousand rpm", "6000 rpm"),
        ("two thousand and five", "2005"), ("twelve hundred", "1200"), ("thousand", "thousand"),
        ("two hundred and mm", "200 and mm"), ("twenty and five", "20 and 5"),
        ("a dozen", "12"), ("two dozen", "24"), ("twenty thirty", "20 30"),
        ("two point five", "2.5"), ("zero point two five mm", "0.25 mm"), ("two point", "2 point"),
        ("two out five", "2 out 5"), ("minus 20", "-20"), ("minus twenty C", "-20 C"),
        ("neg. 5", "-5"), ("negative a half", "-1/2"), ("minus", "minus"), ("plus 3", "3"),
        ("plus", "plus"), ("+ three", "+3"), ("an inch", "an inch"), ("a", "a"), ("of", "of"),
        ("5 of", "5 of"), ("5 a", "5 a"), ("half a", "1/2 a"), ("mm", "mm"), ("", ""),
        ("one turn and a quarter", "1 turn and 1/4"), ("ten °", "10°"), ("12", "12"),
        ("5 and 6", "5 and 6"), ("nil", "0"),
    ],
)  # fmt: skip
def test_numbers_in_words(said, figures):
    assert in_figures(said) == figures


ONES = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
]
TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
PARTS = {"half": 2, "third": 3, "quarter": 4, "fourth": 4, "fifth": 5, "sixth": 6, "eighth": 8,
         "tenth": 10, "twelfth": 12, "sixteenth": 16, "32nd": 32, "64th": 64}  # fmt: skip


def test_every_number_below_a_hundred_and_every_part():
    for number in range(100):
        tens, ones = divmod(number, 10)
        word = ONES[number] if number < 20 else TENS[tens - 2] + (f"-{ONES[ones]}" if ones else "")
        assert in_figures(word) == str(number)
        assert in_figures(f"three hundred and {word}") == str(300 + number) or not number
    for word, part in PARTS.items():
        assert in_figures(f"one {word}") == f"1/{part}"


@pytest.mark.parametrize(
    ("text", "hint"),
    [("lb", "ft-lb or in-lb"), ("pounds", "ft-lb or in-lb"), ("lbs", "ft-lb or in-lb"),
     ("kg", "kgf.m or kgf.cm"), ("kilos", "kgf.m or kgf.cm")],
)  # fmt: skip
def test_a_torque_in_pounds_or_kilos_is_asked_for_its_arm(text, hint):
    with pytest.raises(BadInput, match="can be read in two ways") as caught:
        typed_unit(text, units.unit("N.m"))
    assert caught.value.hint == f"write {hint}."


def test_a_lone_k_says_nothing_where_nothing_is_wanted_or_a_temperature_is():
    for wanted in (None, DEGC, units.unit("%")):
        with pytest.raises(BadInput, match='There is no unit "k" here'):
            typed_unit("k", wanted)


@given(st.text("0123456789abcdefhilnoqrstuvwxyz/-+., ", max_size=30))
def test_figures_stay_as_they_are(text):
    once = in_figures(text)
    assert in_figures(once) == once or any(word in once for word in ("/", "-", "and", "plus"))


@pytest.mark.parametrize(
    ("text", "wanted", "name"),
    [
        ("FATHOM", "m", "fathom"), ("Torr", "kPa", "torr"),  # no usual words, so by small letters
        ("IN", "mm", "inch"), ("kpa", "kPa", "kilopascal"), ("°", "degF", "degree_Fahrenheit"),
        ("deg.", "degC", "degree_Celsius"), ("of a turn", "turn", "turn"), ("out", "turn", "turn"),
        ("turns out", "deg", "turn"), ("kilos", "kg", "kilogram"), ("revs", "rpm",
        "revolutions_per_minute"), ("R", "kohm", "ohm"), ("M", "ohm", "megaohm"),
        ("MOhm", "ohm", "megaohm"), ("ML", "L", "milliliter"), ("MBAR", "kPa", "millibar"),
    ],
)  # fmt: skip
def test_units_in_the_light_of_what_is_wanted(text, wanted, name):
    if (text, wanted) == ("turns out", "deg"):
        with pytest.raises(BadInput):
            typed_unit(text, units.unit(wanted))
        return
    assert typed_unit(text, units.unit(wanted)).unit.name == name


@pytest.mark.parametrize("text", ["k", "out", "of", "xyz", "#"])
def test_what_is_no_unit_where_any_will_do(text):
    with pytest.raises(BadInput):
        typed_unit(text, None)


def test_what_is_a_unit_where_any_will_do():
    assert typed_unit("m", None).unit.name == "meter"
    assert typed_unit("IN", None).unit.name == "inch"


def test_what_was_assumed_is_asked_in_the_units_own_words():
    assert "{} kg was taken as {} kg/cm²;" in typed_unit("kg", KPA).question
    assert "{} lb was taken as {} psi;" in typed_unit("lb", KPA).question
    assert typed_unit("psi", KPA).question == ""


def test_a_temperature_is_no_difference():
    assert typed_unit("delta_degC", DEGC).unit.quantity_kind == "difference"
    for text, wanted in (("5 delta_degC", "degC"), ("5 K; 5 degF", "delta_degC")):
        read = read_number if wanted == "degC" else read_value
        with pytest.raises(BadInput):
            read(text, units.unit(wanted))
    with pytest.raises(BadInput, match="is a difference of temperatures"):
        read_number("5 delta_degC", DEGC)
    with pytest.raises(BadInput, match="below absolute zero"):
        read_number("-1 K", DEGC)


def test_repeats():
    assert read_number(";".join(["1"] * MAX_REPEATS), MM).quantity.si == Fraction("0.001")
    with pytest.raises(BadInput, match="too many repeats"):
        read_number(";".join(["1"] * (MAX_REPEATS + 1)), MM)
    with pytest.raises(BadInput, match='"2 kPa" is of another kind than the repeats before'):
        read_number("1 mm; 2 kPa", None)
    assert read_number("1; 2", MM).expanded is not None
    assert read_number("1; 1", MM).expanded is None
    assert read_number("25.4; 1 in; 1 in", MM).quantity.si == Fraction("0.0254")
    assert read_number("1; 1; 1 in", MM).quantity.si == Fraction("0.0254")
    assert "kg/cm²" in read_number("8 kg; 8.1 kg", KPA).question


def test_a_value_alone():
    assert read_value("12 mm", MM).si == Fraction("0.012")
    for text in ("1; 2", "1 ± 0.1", "1 ± 1 %"):
        with pytest.raises(BadInput, match="the value alone"):
            read_value(text, MM)
    with pytest.raises(BadInput, match=r"^8 kg was taken as 8 kg/cm²"):
        read_value("8 kg", KPA)


@pytest.mark.parametrize(
    ("text", "wanted", "expanded"),
    [
        ("5 ± 1 mm", MM, "0.001"), ("5 mm ± 1", MM, "0.001"), ("5 mm ± 1 in", MM, "0.0254"),
        ("5 ± 1 in", MM, "0.0254"), ("5 in ± 20 %", MM, "0.0254"), ("20 ± 9 F", DEGC, "5"),
        ("20 ± 1 °", DEGC, "1"), ("5 ± half", MM, "0.0005"), ("-5 mm ± 20 %", MM, "0.001"),
        ("50 ± 2 %", units.unit("%"), "0.02"), ("50 % ± 2", units.unit("%"), "0.02"),
        ("100 ± 5 KPA", KPA, "5000"),
    ],
)  # fmt: skip
def test_stated_uncertainties(text, wanted, expanded):
    assert read_number(text, wanted).expanded == Fraction(expanded)


def test_a_share_asked_for_as_a_plain_number():
    for text in ("0.5", "50 %", "50:50", "half"):
        assert read_number(text, None, fraction=True).quantity.si == Fraction(1, 2)
    assert read_number("50 ± 2 %", None, fraction=True).expanded == Fraction(1, 50)
    assert read_number("50 ± 2 %", MM).expanded == Fraction(1, 1000)
