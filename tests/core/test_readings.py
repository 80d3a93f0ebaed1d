"""Typed text: each of the eight kinds, the trade's ways of writing, and what is refused."""

from fractions import Fraction

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from inspect_tui.core.model.checklist import KINDS, Limit, Reading
from inspect_tui.core.presentation.figures import format_reading
from inspect_tui.core.quantities import units
from inspect_tui.core.readings import parse as readings
from inspect_tui.core.readings.parse import ParsedReading
from inspect_tui.core.text.formatting import format_value
from inspect_tui.core.text.sanitize import sanitize
from inspect_tui.errors import BadInput


def asked(unit="", kind="number", **more):
    return Reading(id="gap", label="Gap", kind=kind, unit=unit, **more)


def value(text, unit="", kind="number", **more):
    return readings.read(text, asked(unit, kind, **more)).value


def refusal(text, unit="mm", kind="number", **more):
    with pytest.raises(BadInput) as caught:
        readings.read(text, asked(unit, kind, **more))
    said = str(caught.value)
    assert "\n" not in said
    assert len(said) < 250
    return said


# Published in NIST SP 811:2008, Appendix B.8, or exact by the inch of 25.4 mm and such.
ENTRIES = [
    ("31.7", "mm", "31.7"),
    ("31,7 mm", "mm", "31.7"),
    ("28,5", "mm", "28.5"),
    ("1-1/4", "in", "1.25"),
    ("1 1/4 in", "mm", "31.75"),
    ('1-3/8"', "mm", "34.925"),
    ("1/64 in", "mm", "0.396875"),
    ("27/64 in", "mm", "10.715625"),
    (".028 in", "mm", "0.7112"),
    ("½ in", "mm", "12.7"),
    ("1½ in", "mm", "38.1"),
    ("1 ½″", "mm", "38.1"),
    ("5' 6\"", "in", "66"),
    ("5 ft 6-1/2 in", "in", "66.5"),
    ("9 1/2 turns", "turn", "9.5"),
    ("540 deg", "turn", "1.5"),
    ("-20 C", "degC", "-20"),
    ("−5 °C", "degC", "-5"),
    ("-40 F", "degC", "-40"),
    ("68 °F", "degC", "20"),
    ("300 K", "degC", "26.85"),
    ("9 F", "delta_degC", "5"),
    ("5 °C", "delta_degF", "9"),
    ("-5", "delta_degC", "-5"),
    ("5 degrees C", "delta_degC", "5"),
    ("5 DEGREES CELSIUS", "delta_degC", "5"),
    ("9 degrees fahrenheit", "delta_degC", "5"),
    ("three quarters", "degF", "0.75"),
    ("6000 ft", "m", "1828.8"),
    ("3.5 kgf.m", "N.m", "34.32327500"),
    ("1 kg", "N", "9.80665"),
    ("10 lb", "lbf", "10"),
    ("1 lbf", "N", "4.4482216152605"),
    ("25 ft-lb", "lbf.ft", "25"),
    ("300 in-lb", "ft-lb", "25"),
    ("8 bar", "kPa", "800"),
    ("1 US fl oz", "ml", "29.5735295625"),
    ("1 UK gal", "l", "4.54609"),
    ("450 cc", "ml", "450"),
    ("6000 1/min", "rpm", "6000"),
    ("2 m", "s", "120"),
    ("+3", "mm", "3"),
    ("1e3", "mm", "1000"),
    ("0", "mm", "0"),
    ("50:1", "", "50"),
    ("5", "%", "5"),
    ("5 %", "%", "5"),
    ("  12\u00a0mm ", "mm", "12"),
]


@pytest.mark.parametrize(("text", "unit", "number"), ENTRIES)
def test_number(text, unit, number):
    typed = readings.read(text, asked(unit))
    assert typed.value == Fraction(number)
    assert isinstance(typed.value, Fraction)
    assert typed.unit == unit
    assert typed.uncertainty is None


def test_entered_is_what_was_typed_without_what_steers_a_terminal():
    assert readings.read(" \x1b[31m1-1/4\u200b in\r", asked("mm")).entered == "1-1/4 in"


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "Nothing was typed"),
        ("\x00\u200b ", "Nothing was typed"),
        ("9" * 5000, "too long"),
        ("9" * 190, "too many digits"),
        ("1 18", "two numbers"),
        ("1/0", "divides by zero"),
        ("1 1/0", "divides by zero"),
        ("1/2/3", "not a number with a unit"),
        ("1 5/4", "1 or more"),
        ("nan", "not a number"),
        ("inf", "not a number"),
        ("1e400", "too large"),
        ("1e16", "too large"),
        ("1e999999999999", "too large"),
        ("1,234.5", "more than one way"),
        ("1.234,5", "more than one way"),
        ("31.7, 31.8", "more than one way|two numbers|not a number with a unit"),
        ("1,2,3", "semicolon"),
        ("5 kPa", 'is a pressure; a length is wanted, such as "12 mm"'),
        ("5 %", "is a percentage; a length is wanted"),
        ("50:1", "is a ratio; a length is wanted"),
        ("3 MN", "is a force; a length is wanted"),
        ("3 furrlong", "no unit"),
        ("--5", "not a number"),
        ("about 5", "not a number"),
        ("5 or so", "no unit"),
        ("0x10", "no unit"),
        ("1_000", "not a number with a unit"),
        ("٣", "not a number"),
        ("31.6; ; 31.5", "empty"),
        ("31.6; ± 2", "not a number|without ±"),
        ("31.6 ± -1", "can't be negative"),
        ("31.6 ± 1 ± 2", "more than one uncertainty"),
        ("31.6 ± 1 kPa", "another kind|is a pressure"),
        (";" * 150, "too many repeats"),
        ("=cmd|' /C calc'!A0", "not a number"),
    ],
)
def test_number_refused(text, reason):
    import re

    assert re.search(reason, refusal(text)), refusal(text)


@pytest.mark.parametrize(
    ("text", "unit"), [("-300 C", "degC"), ("-500 F", "degC"), ("-1 K", "degC"), ("-274", "degC")]
)
def test_below_absolute_zero(text, unit):
    assert "absolute zero" in refusal(text, unit)


@pytest.mark.parametrize("text", ["5 gal", "3 pints", "1 qt", "8 fl oz", "8 oz"])
def test_whose_gallon(text):
    assert "United States" in refusal(text, "ml")


def test_a_unit_less_reading_takes_no_unit():
    assert "plain number is wanted" in refusal("5 mm", "")
    assert "plain number is wanted" in refusal("5 %", "")


def test_difference_and_temperature_do_not_mix():
    for text in ("5 delta_degC", "5 DELTA_DEGC", "9 delta_degf"):
        assert "is a difference of temperatures; a temp" in refusal(text, "degC")


@pytest.mark.parametrize("text", ["-5 K", "-274 C", "-460 F", "-300"])
def test_nothing_is_colder_than_nothing(text):
    """0 K is -273.15 °C and -459.67 °F (BIPM SI Brochure, 9th ed., 2.3.1)."""
    assert "below absolute zero (-273.15 °C)" in refusal(text, "degC")
    with pytest.raises(BadInput, match="below absolute zero"):  # as a list or a sheet writes it
        readings.quantity(text, units.unit("degC"))


# --- uncertainty and repeats ------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "unit", "number", "uncertainty"),
    [
        ("31.7 ± 0.2", "mm", "31.7", "0.2"),
        ("31,7 +/- 0,2 mm", "mm", "31.7", "0.2"),
        ("1.25 ± 0.01 in", "mm", "31.75", "0.254"),
        ("1.25 in ± 0.01", "mm", "31.75", "0.254"),
        ("1.25 in ± 0.1 mm", "mm", "31.75", "0.1"),
        ("-200 ± 2 %", "mm", "-200", "4"),
        ("68 F ± 9 F", "degC", "20", "5"),
        ("20 ± 1 C", "degC", "20", "1"),
        ("0 ± 0", "mm", "0", "0"),
        ("10 ± 1 %", "%", "10", "1"),
    ],
)
def test_stated_uncertainty(text, unit, number, uncertainty):
    typed = readings.read(text, asked(unit))
    assert (typed.value, typed.uncertainty) == (Fraction(number), Fraction(uncertainty))


def test_repeats_give_mean_and_students_half_width():
    typed = readings.read("31.6; 31.7; 31.5", asked("mm"))
    assert typed.value == Fraction("31.6")
    assert typed.repeats == (Fraction("31.6"), Fraction("31.7"), Fraction("31.5"))
    # t(95 %, 2 degrees of freedom) = 4.303: JCGM 100:2008, table G.2. s = 0.1, n = 3.
    assert typed.uncertainty == pytest.approx(4.303 * 0.1 / 3**0.5, rel=1e-4)


@pytest.mark.parametrize("text", ["1; 1.5; 2 in", "1 in; 1.5 in; 2 in", "25.4; 1.5 in; 50.8"])
def test_unit_of_repeats(text):
    assert readings.read(text, asked("mm")).value == Fraction("38.1")


def test_a_bare_repeat_beside_two_units_counts_in_the_readings_own():
    assert readings.read("1 in; 25.4; 25.4", asked("mm")).value == Fraction("25.4")


def test_equal_repeats_state_no_uncertainty():
    assert readings.read("31.5; 31.5", asked("mm")).uncertainty is None


# --- the other kinds --------------------------------------------------------------------------


@pytest.mark.parametrize(("text", "count"), [("12", 12), ("0", 0), ("12.0", 12), ("1e3", 1000)])
def test_count(text, count):
    found = value(text, kind="count")
    assert found == count
    assert isinstance(found, int)


@pytest.mark.parametrize("text", ["1.5", "-1", "1/2", "12 mm", "many", "3; 4", "12:1", "1e20"])
def test_count_refused(text):
    refusal(text, "", "count")


@pytest.mark.parametrize(
    ("text", "answer"),
    [("yes", True), ("Y", True), ("TRUE", True), ("ok", True), ("no", False), ("n", False),
     ("false", False), ("NOK", False), ("not ok", False), ("1", True), ("0", False),
     ("good", True), ("bad", False), ("done", True)],
)  # fmt: skip
def test_check(text, answer):
    assert value(text, kind="check") is answer


def test_ok_is_the_wanted_answer():
    leaking = {"kind": "check", "limit": Limit(equal=False)}
    assert value("ok", **leaking) is False
    assert value("nok", **leaking) is True
    assert value("yes", **leaking) is True
    assert value("no", **leaking) is False
    assert value("ok", kind="check", limit=Limit(equal=True)) is True


@pytest.mark.parametrize("text", ["x", "2", "+", "maybe", "oui", "01"])
def test_check_refused(text):
    assert "yes or no" in refusal(text, "", "check")


GRADES = ("none", "light", "heavy", "lost")


@pytest.mark.parametrize(
    ("text", "option"),
    [("light", "light"), ("HEAVY", "heavy"), ("n", "none"), ("li", "light"), ("3", "heavy")],
)
def test_choice(text, option):
    assert value(text, kind="choice", options=GRADES) == option


@pytest.mark.parametrize("unit", ["g", "l", "s", "ohm", "rpm", "km", "mi"])
def test_nothing_at_all_is_taken_and_less_than_nothing_is_not(unit):
    assert value("0", unit) == 0
    assert value("0.5", unit) == Fraction(1, 2)
    assert "less than nothing" in refusal("-0.5", unit)
    assert value("-0.5", "mm") == Fraction(-1, 2)


def test_how_long_a_text_and_how_large_a_number_may_be():
    assert value("x" * 2000, kind="text") == "x" * 2000
    for more in (2001, 2002, 5000):
        assert f"too long ({more} characters)" in refusal("x" * more, "", "text")
    assert value("999999999999999", "mm") == 10**15 - 1
    for text in ("1000000000000000", "-1000000000000000", "1000000000000001"):
        assert "too large for a measured value" in refusal(text, "mm")


def test_a_number_of_two_hundred_signs_is_still_looked_at():
    with pytest.raises(BadInput, match="too many digits"):
        readings.quantity("5." + "0" * 198)
    with pytest.raises(BadInput, match=r"too long for a number \(201 characters\)"):
        readings.quantity("5." + "0" * 199)


def test_how_far_counts_and_timers_reach():
    assert value("1000000000000", kind="count") == 10**12
    assert "too large for a count" in refusal("1000000000001", "", "count")
    assert value("999999999999", kind="timer") == 10**12 - 1
    assert "too long for a timer" in refusal("1000000000000", "", "timer")


def test_the_hundredth_of_a_hundred_is_chosen_by_its_place_too():
    parts = tuple(f"part {n}" for n in range(1, 101))
    assert value("100", kind="choice", options=parts) == "part 100"
    assert value("99", kind="choice", options=parts) == "part 99"


@pytest.mark.parametrize(
    ("text", "said"),
    [("l", "light and lost"), ("hevy", "did you mean heavy"), ("5", "choose from none, light"),
     ("0", "choose from"), ("zzz", "choose from")],
)  # fmt: skip
def test_choice_refused(text, said):
    assert said in refusal(text, "", "choice", options=GRADES)


def test_a_number_among_the_options_is_that_option():
    grooves = ("2", "3", "1")
    assert [value(text, kind="choice", options=grooves) for text in "123"] == ["1", "2", "3"]
    assert value("1", kind="choice", options=("20W", "30W")) == "20W"
    refusal("2", "", "choice", options=("20W", "30W"))


def test_text_and_photo():
    assert value(" 6\x1b[2JK\u202e\u200b-2\t\n ", kind="text") == "6K-2"
    assert value("IMG_0012.jpg on the phone", kind="photo") == "IMG_0012.jpg on the phone"
    assert value("[bold]=1+1 ../../etc", kind="text") == "[bold]=1+1 ../../etc"
    assert "too long" in refusal("x" * 2001, "", "text")


def test_date():
    assert value("2026-11-02", kind="date") == "2026-11-02"
    for text in ("2026-02-30", "2.11.2026", "11/02/2026", "20261102", "2026-W01-1", "tomorrow"):
        refusal(text, "", "date")


@pytest.mark.parametrize(
    ("text", "seconds"),
    [("1:30", "90"), ("0:00", "0"), ("1:02:03", "3723"), ("90", "90"), ("90 s", "90"),
     ("1.5 min", "90"), ("1:02,5", "62.5"), ("2 m", "120"), ("1 min 30 s", "90"),
     ("0.5 s", "1/2"), ("0 s", "0")],
)  # fmt: skip
def test_timer(text, seconds):
    typed = readings.read(text, asked(kind="timer"))
    assert (typed.value, typed.unit) == (Fraction(seconds), "s")


@pytest.mark.parametrize("text", ["1:60", "1:2", "-5", "1:75:00", ":30", "5 mm", "1:30:"])
def test_timer_refused(text):
    refusal(text, "", "timer")


# --- quantities of files ----------------------------------------------------------------------


def test_quantity():
    assert readings.quantity("12 mm").si == Fraction("0.012")
    assert readings.quantity("240") == units.Quantity(Fraction(240))
    assert readings.quantity("240", units.unit("mm")).si == Fraction("0.24")
    assert readings.quantity("240", units.unit("mm"), bare=False) == units.Quantity(Fraction(240))
    assert readings.quantity("5 %", units.unit("mm")) == units.Quantity(
        Fraction(1, 20), (), "percent"
    )
    assert readings.quantity("7.3 kg", units.unit("N")).si == Fraction("71.588545")
    for text in ("3 kPa", "", "12 quux"):
        with pytest.raises(BadInput):
            readings.quantity(text, units.unit("mm"))


# --- showing ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("number", "shown"),
    [(0.1 + 0.2, "0.3"), (Fraction(127, 4), "31.75"), (Fraction(1, 3), "0.33333"), (12, "12"),
     (123456.7, "123457"), (1234567, "1234567"), (0, "0"), (-0.0, "0"), (-2.5, "-2.5"),
     (827.3708751802, "827.37"), (Fraction(1, 10), "0.1"), (0.000123456, "0.000123456"),
     (100, "100"), (99999.96, "100000"), (0.999999999, "1"), (1e20, "1e20"), (2.5e-9, "2.5e-9"),
     (float("nan"), "not a number")],
)  # fmt: skip
def test_show(number, shown):
    assert format_value(number) == shown


def test_show_with_units_answers_and_digits():
    assert format_value(Fraction("31.75"), "mm") == "31.75 mm"
    assert format_value(Fraction(5, 4), "turn") == "1.25 turns"
    assert format_value(5, "%") == "5 %"
    assert format_value(Fraction("1.25"), '"') == '1.25"'
    assert (format_value(True), format_value(False)) == ("yes", "no")
    assert format_value("2026-11-02") == "2026-11-02"
    assert format_value(827.37, "kPa", 2) == "827 kPa"
    assert format_value(0.82737, digits=2) == "0.83"


# --- slips ------------------------------------------------------------------------------------


def slip(text, unit, low, high):
    reading = asked(unit)
    return readings.probable_slip(readings.read(text, reading), reading, low, high)


@pytest.mark.parametrize(
    ("text", "unit", "low", "high", "meant"),
    [
        ("1.25 mm", "mm", 30, 33, "1.25 in (31.75 mm)"),
        ("1.25", "mm", 30, 33, "1.25 in (31.75 mm)"),
        ("31.7 in", "mm", 30, 33, "31.7 mm"),
        ("31.75", "in", 1.2, 1.3, "31.75 mm (1.25 in)"),
        ("3.17", "mm", 30, 33, "31.7 mm"),
        ("3170", "mm", 30, 33, "31.7 mm"),
        ("1.25", "mm", Fraction("31.5"), None, "1.25 in (31.75 mm)"),
        ("120", "kPa", 800, 900, "120 psi (827.4 kPa)"),
        ("827", "psi", 100, None, "827 kPa (119.9 psi)"),
        ("5", "mm", 0, 0.5, "0.5 mm"),
        ("5", "mm", None, 0.5, "0.5 mm"),
        ("68", "degC", 15, 25, "68 °F (20 °C)"),
        ("20", "mm", -2, 2, "2 mm"),
        ("762", "mm", 25, 35, "30 mm"),  # converted once more than was wanted: 25.4 times over
        ("1.25", "in", 30, 33, "31.75 in"),
        ("18", "psi", 120, 140, "124.1 psi"),  # 6.895 times under
    ],
)
def test_probable_slip(text, unit, low, high, meant):
    question = slip(text, unit, low, high)
    assert question is not None
    assert question.endswith(f"was it {meant}?")


def test_wording_of_a_slip():
    assert slip("1.25 mm", "mm", 30, 33) == (
        "1.25 mm is far outside 30 to 33 mm; was it 1.25 in (31.75 mm)?"
    )


@pytest.mark.parametrize(
    ("text", "unit", "low", "high"),
    [
        ("28", "mm", Fraction("31.5"), None),  # a worn belt
        ("31.7", "mm", 30, 33),
        ("1.25 in", "mm", 30, 33),
        ("0", "mm", 30, 33),
        ("0.02", "mm", None, 0.5),  # good: far below an upper limit
        ("12", "mm", 30, 33),  # bad, but no usual slip explains it
        ("-20", "degC", 15, 25),  # cold, no slip
        ("0", "degC", 15, 25),
        ("5", "mm", None, None),
        ("90", "kPa", 100, 1000),  # little below
        ("5", "mm", 33, 30),
        ("5", "mm", None, 0),
        ("5", "mm", 0, 0),
        ("-5", "mm", None, -1),
    ],
)
def test_no_slip(text, unit, low, high):
    assert slip(text, unit, low, high) is None


def test_words_are_no_slip():
    check = asked(kind="check")
    assert readings.probable_slip(readings.read("yes", check), check, 0, 1) is None


# --- laws -------------------------------------------------------------------------------------


@given(st.integers(0, 400), st.sampled_from([1, 2, 4, 8, 16, 32, 64]), st.integers(0, 63))
def test_inch_and_mm_give_the_same_value_exactly(whole, parts, top):
    inches = whole + Fraction(top % parts, parts)
    in_mm = inches * Fraction("25.4")
    decimal = f"{in_mm.numerator * (10**12 // in_mm.denominator)}e-12"
    written = f"{whole}-{top % parts}/{parts} in"
    assert value(written, "mm") == value(decimal, "mm") == in_mm
    assert value(written, "in") == value(f"{decimal} mm", "in") == inches


@given(st.decimals(-99999, 99999, places=1), st.sampled_from(["mm", "kPa", "turn", "", "%", '"']))
def test_what_is_shown_reads_as_the_same_value(number, unit):
    shown = format_value(Fraction(number), unit)
    assert value(shown, unit) == Fraction(number)


@given(st.floats(-1e14, 1e14).filter(lambda number: abs(number) > 1e-25 or not number))
@example(9.999999e-8)
@example(-9.999999e13)
def test_what_is_shown_is_within_its_last_digit(number):
    again = value(format_value(number))
    assert abs(again - Fraction(number)) <= abs(Fraction(number)) / 10**4


PIECES = [
    " ,", "and ", "1 ", "1mm ", "- ", "&", "1/", "half ", "a ", "one ", "below ", "0.", "°",
    "'", '"',
    "min ", "±", "; ", "twenty ", "hundred ", "of a ", "out ", "to ", ":", "1,", "in ",
    " 1-1/4", "k",
]  # fmt: skip


@settings(max_examples=600)
@given(
    st.text(max_size=300)
    | st.lists(st.sampled_from(PIECES)).map("".join)
    | st.text("0123456789.,/-+ ±;:eEmins\"'%°\x1b[", max_size=40)
)
@example("1" * 30 + "/" + "3" * 30)
@example("\ud800")
@example("\x1b]0;title\x07")
@example("²")
@example("5 ²")
@example("½½")
@example("1e-30 mm")
@example("1 mm" + " ," * 90 + "x")
@example("1 turn" + " and" * 45 + " x")
def test_any_text_whatsoever_is_understood_or_refused(text):
    for kind in KINDS:
        unit = {"number": "mm", "timer": "s"}.get(kind, "")
        reading = asked(unit, kind, options=("good", "worn"))
        try:
            typed = readings.read(text, reading)
        except BadInput as refusal:
            assert str(refusal)
            assert "\x1b" not in str(refusal)
        else:
            assert isinstance(typed, ParsedReading)
            assert typed.entered == sanitize(text)
            assert "\x1b" not in typed.entered
            readings.probable_slip(typed, reading, 30, 33)
            assert format_reading(typed.entered, typed.value, typed.unit)


@given(st.text())
def test_clean_is_idempotent_and_safe_to_write(text):
    once = sanitize(text)
    assert sanitize(once) == once
    assert all(sign.isprintable() or sign == " " for sign in once if sign.isascii())
    once.encode()


def test_clean_keeps_lines_on_request():
    assert sanitize("a\nb\r\nc") == "a b  c"
    assert sanitize("a\nb\tc", lines=True) == "a\nb c"


def test_an_unknown_time_keeps_the_unit_of_times():
    assert readings.read("?", asked(kind="timer")).unit == "s"


@pytest.mark.parametrize(
    ("text", "asked"),
    [("light", ""), ("HEAVY", ""), ("li", "'li' was taken as 'light'; is that right?"),
     ("3", "'3' was taken as 'heavy'; is that right?")],
)  # fmt: skip
def test_an_option_that_is_not_written_out_is_asked_about(text, asked):
    reading = Reading("r", "Reading", "choice", options=GRADES)
    assert readings.read(text, reading).question == asked
