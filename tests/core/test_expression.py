"""Expressions: what they give, what they refuse, and that nothing in a file can harm."""

from __future__ import annotations

import ast
import operator
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.core.expressions import parser
from inspect_tui.core.expressions.expression import NOT_MEASURED, Missing, Name, Type, parse
from inspect_tui.core.quantities import units
from inspect_tui.core.quantities.units import Quantity
from inspect_tui.errors import BadInput


def q(number, unit=""):
    return units.of(Fraction(str(number)), units.unit(unit))


VALUES = {
    "width": q(31, "mm"),
    "load": q(20, "N"),
    "warm": q(20, "degC"),
    "cold": q(-10, "degC"),
    "rise": q(5, "delta_degC"),
    "kelvins": q(300, "K"),
    "wear": q(5, "%"),
    "number": q(7),
    "crack": "through",
    "done": True,
    "gaps": (q(1, "mm"), q(3, "mm"), q(2, "mm")),
    "jets": (q(240), q(230), q(240)),
    "short": (q(1, "mm"), q(3, "mm")),
    "needles": ("6K", "6L"),
    "waits": NOT_MEASURED,
    "partly": (q(1, "mm"), NOT_MEASURED),
    "return": q(2, "mm"),
}
NAMES = {word: Name("value", "belt", word) for word in VALUES} | {
    "track_tension.deflection": Name("value", "track-tension", "deflection")
}


def find(name):
    if name.where == "spec":
        return {"width_min": q("31.5", "mm")}.get(
            name.id, Missing(f"the machine sheet has no '{name.id}'", measured=True)
        )
    if name.where == "machine":
        return "Liquid"
    return VALUES.get(name.id, q(35, "mm"))


def typeof(name):
    if name.where != "value":
        return Type("any")
    value = VALUES.get(name.id, q(35, "mm"))
    if isinstance(value, Missing):
        return Type("any")
    many = isinstance(value, tuple)
    first = value[0] if many else value
    if isinstance(first, Quantity):
        return Type("quantity", first.dimension, first.quantity_kind, many)
    if isinstance(first, bool):
        return Type("bool")
    return Type("text", many=many, options=("through", "none") if name.id == "crack" else ())


def value(text):
    return parse(text, NAMES).evaluate(find)


def kind(text):
    return parse(text, NAMES).check(typeof)


SOUND = [
    ("width + '0.5 mm'", q("31.5", "mm")),
    ("'1 in' - width", q("-5.6", "mm")),
    ("width * load", Quantity(Fraction(31, 50), units.unit("N.m").dimension)),
    ("width / '2 mm'", q("15.5")),
    ("number ** 2", q(49)),
    ("-number + 10", q(3)),
    ("0.1 + 0.2", q("0.3")),
    ("1e3 / 3 * 3", q(1000)),
    ("width ** -1 * width", q(1)),
    ("warm - cold", q(30, "delta_degC")),
    ("warm + rise", q(25, "degC")),
    ("rise + warm", q(25, "degC")),
    ("warm - rise", q(15, "degC")),
    ("warm + '5 delta_degC'", q(25, "degC")),
    ("kelvins * 2", q(600, "K")),
    ("rise * 2", q(10, "delta_degC")),
    ("spread([warm, cold])", q(30, "delta_degC")),
    ("mean([warm, cold])", q(5, "degC")),
    ("wear * width", q("1.55", "mm")),
    ("wear * 2", q("0.1")),
    ("wear + '5 %'", q(10, "%")),
    ("load + '2 kg'", q("39.6133", "N")),
    ("min(gaps)", q(1, "mm")),
    ("max(gaps, '3.5 mm', width)", q(31, "mm")),
    ("mean(gaps)", q(2, "mm")),
    ("spread(gaps)", q(2, "mm")),
    ("spread(values=gaps)", q(2, "mm")),
    ("mean(1, 2, 4)", q(Fraction(7, 3))),
    ("abs(-number)", q(7)),
    ("round(2.5)", q(3)),
    ("round(-2.5)", q(-3)),
    ("round('31.75 mm', 'mm')", q(32, "mm")),
    ("round(warm, 'degC')", q(20, "degC")),
    ("gaps + '1 mm'", (q(2, "mm"), q(4, "mm"), q(3, "mm"))),
    ("gaps - gaps", (q(0, "mm"), q(0, "mm"), q(0, "mm"))),
    ("2 * gaps", (q(2, "mm"), q(6, "mm"), q(4, "mm"))),
    ("abs(short - ['2 mm', '2 mm'])", (q(1, "mm"), q(1, "mm"))),
    ("width > '3 cm'", True),
    ("width > '1 1/4 in'", False),
    ("'3 cm' < width <= '31 mm'", True),
    ("1 < 2 < 2", False),
    ("width == '0.031 m'", True),
    ("wear > '4 %'", True),
    ("warm > '10 degC'", True),
    ("warm > '290 K'", True),
    ("warm > '50 F'", True),
    ("crack == 'through'", True),
    ("crack != 'through'", False),
    ("machine.cooling == 'liquid'", True),
    ("needles == ['6K', '6L']", True),
    ("needles != ['6L', '6K']", True),
    ("jets == [240, 230, 240]", True),
    ("jets == [240, 230]", False),
    ("short == ['1 mm', '3 mm']", True),
    ("done == true", True),
    ("not done or number > 6", True),
    ("done and number < 6", False),
    ("done and not number < 6", True),
    ("track_tension.deflection - '5 mm'", q(30, "mm")),
    ("return * 2", q(4, "mm")),
    ("width - spec.width_min", q("-0.5", "mm")),
    ("span_tension(force='50 N', span='1 m', deflection='20 mm') > '600 N'", True),
    ("spread_percent(values=[120, 118, 108])", q(10, "%")),
    ("jet_difference(jet_a=150, jet_b=155, numbering='flow')", q(Fraction(10, 3), "%")),
    ("swapped_parts_explained(found=[1, 2], expected=[2, 1])", True),
    ("chain_pitch(number='40')", q("12.7", "mm")),
    ("chain_pitch(number=40)", q("12.7", "mm")),
    ("chain_elongation_limit(teeth=100)", q(2, "%")),
    ("leak_down(supply='80 psi', held='60 psi')", q(25, "%")),
    ("pressure_decay_fall(start='40 kPa', end='30 kPa', time='1 min')", q(10, "kPa")),
    ("pressure_decay(start='40 kPa', end='30 kPa', time='1 min') < '11 kPa/min'", True),
    ("electrolyte_density(specific_gravity=1.2, temperature='90 F')", q("1.204")),
    ("winding_resistance(resistance='1 ohm', temperature='20 degC')", q(1, "ohm")),
    ("coolant_exchange(volume='4 l', now='20 %', wanted='60 %')", q(2, "l")),
    ("wear_trend(at=['0 km', '1 km', '2 km'], values=gaps, when='1 km')", q(2, "mm")),
    (
        "wear_trend_slope(at=['0 km', '1 km', '2 km'], values=['3 mm', '2 mm', '1 mm'],"
        " when='4 km') * '1000 km'",
        q(-1, "m"),
    ),
    (
        "wear_trend_slope(at=['0 h', '1 h', '2 h'], values=['3 mm', '2 mm', '1 mm'],"
        " when='4 h') * '2 h'",
        q(-2, "mm"),
    ),
    ("wear_trend_slope(at=[0, 1, 2], values=[warm, warm, warm], when=3)", q(0, "delta_degC")),
]


@pytest.mark.parametrize(("text", "expected"), SOUND)
def test_value_and_type(text, expected):
    """What is sound has the value by hand, exactly, and the type of that value."""
    assert value(text) == expected
    found = kind(text)
    first = expected[0] if isinstance(expected, tuple) else expected
    if found.what == "any":
        return
    assert found.many == isinstance(expected, tuple)
    if isinstance(first, Quantity):
        assert (found.what, found.dimension, found.quantity_kind) == (
            "quantity",
            first.dimension,
            first.quantity_kind,
        )
    else:
        assert found.what == ("bool" if isinstance(first, bool) else "text")


def test_roots_and_half_powers_are_of_the_right_size():
    assert value("sqrt('4 m' * '9 m')").si == pytest.approx(6)
    assert value("sqrt('4 m' * '9 m')").dimension == units.unit("m").dimension
    assert value("number ** 0.5").si == pytest.approx(7**0.5)
    assert value("number ** -1.5").si == pytest.approx(7**-1.5)


def test_chain_example_of_the_published_companion_comes_through_an_expression():
    """Reference section 6: Ex 14.3, 121.875097 pitches (printed result)."""
    text = "chain_length(pitch='12.7 mm', teeth_a=21, teeth_b=63, centre_distance='500 mm')"
    assert float(value(text).si) == pytest.approx(121.875097, abs=5e-7)


MISSING = [
    ("waits", "not measured", False),
    ("waits + width", "not measured", False),
    ("spec.lacks + waits", "not measured", False),
    ("waits + spec.lacks", "not measured", False),
    ("spec.lacks", "has no 'lacks'", True),
    ("min(gaps, spec.lacks)", "has no 'lacks'", True),
    ("mean(partly)", "not measured", False),
    ("width / 0", "division by zero", True),
    ("width / (width - width)", "division by zero", True),
    ("(width - width) ** -1", "division by zero", True),
    ("sqrt(0 - number)", "negative", True),
    ("gaps - short", "different length", True),
    ("width + load", "add a length and a force", True),
    ("crack + 1", "no number", True),
    ("done + 1", "no number", True),
    ("span_tension(force='50 N', span='1 m', deflection='0 mm')", "deflection", True),
    ("span_tension(force='50 N', span='1 m', deflection=waits)", "not measured", False),
    ("crack and done", "yes or no", True),
    ("repeat_readings_outlier(values=[1, 1.1, 0.9])", "outlier", True),
]


@pytest.mark.parametrize(("text", "reason", "measured"), MISSING)
def test_missing_says_why(text, reason, measured):
    found = value(text)
    assert isinstance(found, Missing)
    assert reason in found.reason
    assert found.measured is measured


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("waits > 1 and false", False),
        ("false and waits > 1", False),
        ("waits > 1 or true", True),
        ("waits > 1 or number > 6", True),
        ("waits > 1 and true", NOT_MEASURED),
        ("waits > 1 or false", NOT_MEASURED),
        ("not waits", NOT_MEASURED),
        ("1 > 2 > waits", False),
    ],
)
def test_and_or_with_something_missing(text, expected):
    """Missing, unless the other side decides alone."""
    assert value(text) == expected


WRONG_DIMENSION = [
    ("width + load", "a length and a force"),
    ("width + 1", "give the plain number a unit"),
    ("width > 1", "give the plain number a unit"),
    ("width > '1'", "give the plain number a unit"),
    ("wear + 1", "'10 %'"),
    ("wear > 1", "'10 %'"),
    ("warm + warm", "only a difference"),
    ("warm * 2", "multiply or divide a temperature"),
    ("2 / warm", "multiply or divide a temperature"),
    ("warm ** 2", "multiply or divide a temperature"),
    ("-warm", "temperature"),
    ("abs(warm)", "difference"),
    ("rise - warm", "difference of temperatures"),
    ("warm > rise", "delta_degC"),
    ("done + 1", "yes or no"),
    ("crack + 1", "a text"),
    ("crack == 'thruogh'", "none of the options"),
    ("crack > 'a'", "a text"),
    ("crack == done", "compares"),
    ("done == 'yes'", "compares"),
    ("number and done", "compare it"),
    ("not width", "compare it"),
    ("gaps > '1 mm'", "min(), max()"),
    ("gaps == '1 mm'", "min(), max()"),
    ("gaps > gaps", "whole lists"),
    ("[gaps, width]", "is a list"),
    ("min(width, load)", "compare a length and a force"),
    ("spread([width, 1])", "plain number"),
    ("round(width)", "round(x, 'mm')"),
    ("round(width, 'N')", "round(x, 'mm')"),
    ("round(wear)", "round(x, '%')"),
    ("span_tension(force=load, span=1, deflection=width)", "span is a length"),
    ("span_tension(force=load, span=gaps, deflection=width)", "one value"),
    ("jet_difference(jet_a=1, jet_b=2, numbering='boar')", "choose from"),
    ("jet_difference(jet_a=crack, jet_b=2, numbering='bore')", "is a number"),
    ("spread(values=[width, load])", "force"),
    ("chain_pitch(number=width)", "is a word"),
    ("wear_trend(at=[1, 2, 3], values=gaps, when=width)", "is wanted, like the values before it"),
    ("wear_trend_slope(at=gaps, values=gaps, when=width) + '1 mm'", "a length"),
]


@pytest.mark.parametrize(("text", "words"), WRONG_DIMENSION)
def test_check_refuses_in_one_sentence(text, words):
    with pytest.raises(BadInput) as caught:
        kind(text)
    assert words in str(caught.value)
    assert "\n" not in str(caught.value)
    # What a log lets through gives no value, and never an error.
    parse(text, NAMES).evaluate(find)


@pytest.mark.parametrize(
    "text",
    [
        "", " ", "width +", "width width", "3 mm", "12mm", "width = 3", "a; b", "lambda: 1",
        "1 if done else 2", "[x for x in gaps]", "{1: 2}", "{1}", "(1, 2)", "gaps[0]", "...",
        "width.real", "width.__class__", "().__class__", "spec.a.b", "spec", "machine", "min",
        "__import__('os')", "eval('1')", "open('x')", "print(1)", "abs.real", "spec()", "spec.a()",
        "f'{width}'", "b'x'", "u'x'", "None", "1j", "0x1p3", "width // 2", "width % 2", "~1",
        "1 << 2", "1 & 2", "1 in gaps", "done is true", "done not in gaps", "*gaps", "min(*gaps)",
        "span_tension(**gaps)", "span_tension(1, 2, 3)", "min(a=1)", "min()", "abs(1, 2)",
        "round()", "round(1, 2)", "round(1, 'mm', 3)", "width ** width", "2 ** 9", "2 ** -9",
        "2 ** 0.25", "2 ** 8 ** 8", "2 ** true", "1e999", "1e31", "1e-31", "9" * 40, "nan", "inf",
        "(yield)", "(a := 1)", "await width", "'\\x00'", "width \\ + 1", "\0", "wait!", "'open",
        "span_tension(force=load, span=width)", "span_tension(force=load, force=load)",
        "span_tension(force=load, span=width, deflection=width, more=1)", "span_tensio(force=load)",
        "print", "WIDTH", "false.real", "-" * 400 + "1", "(" * 300 + "1" + ")" * 300,
        "[" * 90 + "]" * 90, "not " * 100 + "done", "1+" * 600 + "1", "1" * 2001, "((((" * 500,
    ],
)  # fmt: skip
def test_parse_lets_nothing_else_through(text):
    with pytest.raises(BadInput) as caught:
        parse(text, NAMES)
    assert "\n" not in str(caught.value)
    assert len(str(caught.value)) < 400


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("widht * 2", "did you mean width?"),
        ("track_tension.deflecton", "did you mean track_tension.deflection?"),
        ("track_tensin.deflection", "did you mean track_tension.deflection?"),
        ("track-tension.deflection", "write track_tension.deflection"),
        ("deflection * 2", "did you mean track_tension.deflection?"),
        ("spred(gaps)", "did you mean spread?"),
        ("span_tension(force=load, span=width, deflektion=width)", "did you mean deflection?"),
        ("width + 2 mm", "quotes"),
    ],
)
def test_near_word_is_named(text, words):
    with pytest.raises(BadInput) as caught:
        parse(text, NAMES)
    assert words in str(caught.value)


def test_names_are_those_of_the_file():
    found = parse("track_tension.deflection + spec.a - machine.b + width + width", NAMES)
    assert found.names == {
        Name("value", "track-tension", "deflection"),
        Name("spec", id="a"),
        Name("machine", id="b"),
        NAMES["width"],
    }
    assert len(found.uses) == 5


def test_without_a_sheet_a_figure_fits_anything():
    assert kind("width - spec.x").dimension == units.unit("mm").dimension
    assert kind("spec.x > spec.y").what == "bool"
    assert kind("spec.x + '5 degC'").what == "any"
    assert kind("min(spec.x, width)").dimension == units.unit("mm").dimension
    assert kind("machine.cooling == 'liquid'").what == "bool"
    with pytest.raises(BadInput):
        kind("spec.x * warm")


@pytest.mark.parametrize(
    "text",
    [
        "*".join(["1e30"] * 25),
        "(" * 25 + "1e30" + "**8)" * 25,
        "/".join(["1e30"] * 25),
        "(" * 20 + "1.1" + "**8)" * 20,
    ],
)
def test_intermediate_results_stay_small(text):
    """A fraction that grows goes on in floating point; one beyond all bounds is a reason."""
    found = value(text)
    if isinstance(found, Missing):
        assert "too large" in found.reason
    else:
        assert isinstance(found.si, float) or found.si.denominator.bit_length() <= 1024


def test_nested_comparisons_and_quantities_are_worked_out_once():
    """Each part is looked up once, however deep it stands."""
    looked = []

    def counting(name):
        looked.append(name)
        return find(name)

    text = "width"
    for _ in range(25):
        text = f"({text} + '1 mm')"
    assert parse(text, NAMES).evaluate(counting) == q(56, "mm")
    text = "done"
    for _ in range(12):
        text = f"(true == {text} == true)"
    assert parse(text, NAMES).evaluate(counting) is True
    assert len(looked) == 2


def test_long_list_is_refused_when_it_is_looked_up():
    found = parse("max(gaps)", NAMES).evaluate(lambda name: (q(1),) * 5000)
    assert isinstance(found, Missing)


def test_nothing_of_python_is_kept_that_is_not_named():
    """Of Python's parts of an expression, those that may stand here are exactly these."""
    allowed = {
        "Constant", "Name", "Attribute", "BinOp", "UnaryOp", "BoolOp", "Compare", "Call", "List",
    }  # fmt: skip
    for part in ast.expr.__subclasses__():
        if part.__name__ in allowed or part.__module__ != "ast":
            continue
        builder = parser.Builder("x", NAMES)
        with pytest.raises(BadInput):
            builder.node(part(lineno=1, col_offset=0, end_lineno=1, end_col_offset=1))


SMALL = st.integers(-50, 50).map(str)
SUMS = st.recursive(
    SMALL,
    lambda inner: st.tuples(inner, st.sampled_from("+-*/"), inner).map(
        lambda parts: f"({parts[0]} {parts[1]} {parts[2]})"
    ),
    max_leaves=12,
)
SIGNS = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
}


def by_hand(part):
    if isinstance(part, ast.Constant):
        return Fraction(part.value)
    if isinstance(part, ast.UnaryOp):
        return -by_hand(part.operand)
    return SIGNS[type(part.op)](by_hand(part.left), by_hand(part.right))


@given(SUMS)
@settings(max_examples=150)
def test_arithmetic_is_that_of_fractions(text):
    try:
        expected = by_hand(ast.parse(text, mode="eval").body)
    except ZeroDivisionError:
        assert value(text) == Missing("division by zero", measured=True)
        return
    assert value(text) == Quantity(expected)


@given(st.text(max_size=60) | st.text("wid+-*/().'\"0123 <>=,[]", max_size=40))
@settings(max_examples=300)
def test_any_text_is_parsed_or_refused(text):
    try:
        found = parse(text, NAMES)
    except BadInput as error:
        assert "\n" not in str(error)
        return
    found.evaluate(find)
