"""The bridge to the register: dimensions, words, groups, and text from the prompt."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import inspect_tui.calc
from inspect_tui.calc import REGISTER
from inspect_tui.calc.registry import Calculation, Input, Result
from inspect_tui.core.expressions import calculations
from inspect_tui.core.expressions.signatures import signature
from inspect_tui.core.quantities import units
from inspect_tui.core.quantities.units import Quantity
from inspect_tui.core.readings import parse as readings
from inspect_tui.errors import BadInput


def made(name, inputs, results, function):
    return Calculation(
        name=name,
        subject="measurement",
        title="Made for a test",
        inputs=inputs,
        results=results,
        function=function,
        formula="",
        source="",
        valid="",
    )


def _work(*, force, length, share=Fraction(0), way="up"):
    if length < 0:
        raise ValueError("length must be 0 or more; got less")
    return {"work": force * length, "share": share * 100, "way": way}


WORK = made(
    "work",
    (
        Input("force", "N", "force", "50 N"),
        Input("length", "m", "way", "1 m"),
        Input("share", "fraction", "share", "5 %", optional=True),
        Input("way", None, "up or down", "up", optional=True, choices=("up", "down")),
    ),
    (Result("work", "J", "work"), Result("share", "percent", "share"), Result("way", None, "way")),
    _work,
)
WORK_DONE = made(
    "work_done",
    (Input("rise", "K", "rise", "5 delta_degC", difference=True),),
    (Result("done", "K", "rise", difference=True),),
    lambda *, rise: {"done": rise},
)
WARMTH = made(
    "warmth",
    (Input("air", "K", "air", "-20 degC"),),
    (Result("air", "K", "air"), Result("list", None, "nothing")),
    lambda *, air: {"air": air, "list": ()},
)
BROKEN = made("broken", (), (Result("x", "", "x"),), lambda: {"x": 1 / 0})


@pytest.fixture
def made_register(monkeypatch):
    register = {one.name: one for one in (WORK, WORK_DONE, WARMTH, BROKEN)}
    monkeypatch.setattr(inspect_tui.calc, "REGISTER", register)


def q(text):
    return readings.quantity(text)


# --- names ------------------------------------------------------------------------------------


def test_resolve():
    assert calculations.resolve("spread") == (REGISTER["spread"], "spread")
    assert calculations.resolve("spread_percent") == (REGISTER["spread"], "percent")
    assert calculations.resolve("air_density_relative_density")[1] == "relative_density"
    assert calculations.resolve("spread_nothing") is None
    assert calculations.resolve("spread_") is None
    assert calculations.resolve("spre") is None
    assert calculations.resolve("") is None


def test_a_registered_name_comes_before_a_shorter_one_with_a_key(made_register):
    assert calculations.resolve("work_done") == (WORK_DONE, "done")
    assert calculations.resolve("work_done_done") == (WORK_DONE, "done")
    assert calculations.resolve("work_share") == (WORK, "share")


def test_no_two_meanings_in_the_register():
    meant = [f"{one.name}_{result.key}" for one in REGISTER.values() for result in one.results]
    assert len(set(meant)) == len(meant)
    assert not set(meant) & set(REGISTER)


def test_an_unknown_calculation_names_the_nearest():
    with pytest.raises(BadInput, match="did you mean span_tension"):
        calculations.calculation("span_tensoin")
    with pytest.raises(BadInput, match="known are"):
        calculations.call("zzz\x1b[31m", {})


# --- signatures -------------------------------------------------------------------------------


def test_signature(made_register):
    work = signature(calculations.calculation("work"))
    assert work.input("force").dimension == units.unit("N").dimension
    assert work.input("share").sort == "fraction"
    assert work.input("share").optional
    assert work.input("way").sort == "word"
    assert work.input("nothing") is None
    assert work.result("work").dimension == units.unit("N.m").dimension
    assert work.result("share").quantity_kind == "percent"
    assert work.result("way").sort == "word"
    warmth, done = (signature(calculations.calculation(name)) for name in ("warmth", "work_done"))
    assert warmth.input("air").quantity_kind == "temperature"
    assert done.result("done").quantity_kind == "difference"


def test_signature_of_a_group():
    spread = signature(calculations.calculation("spread"))
    values = spread.input("values")
    assert (values.sort, values.many) == ("like", True)
    assert spread.result("mean").group == values.group
    assert spread.result("spread").difference


@pytest.mark.parametrize("name", REGISTER)
def test_every_signature_holds_for_the_registers_own_examples(name):
    found = REGISTER[name]
    sides = signature(REGISTER[name])
    outcome = calculations.from_text(name, {one.name: one.example for one in found.inputs})
    assert list(outcome) == [result.key for result in found.results]
    for key, value in outcome.items():
        side = sides.result(key)
        if isinstance(value, Quantity) and side.sort == "quantity":
            assert (value.dimension, value.quantity_kind) == (side.dimension, side.quantity_kind)


def test_a_slope_is_of_one_group_over_the_other():
    slope = signature(REGISTER["wear_trend"]).result("slope")
    assert (slope.sort, slope.group, slope.per) == ("like", "values", "at")
    outcome = calculations.from_text(
        "wear_trend", {"at": "0; 1; 2 h", "values": "3; 2; 1 mm", "when": "4 h"}
    )
    assert units.number_in(outcome["slope"], units.unit("mm/h")) == -1
    assert outcome["half_width"].dimension == units.unit("mm").dimension


# --- calls ------------------------------------------------------------------------------------


def test_call_converts_and_keeps_fractions(made_register):
    outcome = calculations.call("work", {"force": q("1 kgf"), "length": q("1 ft")})
    assert outcome["work"] == Quantity(
        Fraction("9.80665") * Fraction("0.3048"), units.unit("J").dimension
    )
    assert outcome["share"] == Quantity(0, (), "percent")
    assert outcome["way"] == "up"


def test_fractions_in_plain_and_percent(made_register):
    force, length = q("1 N"), q("1 m")
    for text in ("5 %", "0.05"):
        outcome = calculations.call("work", {"force": force, "length": length, "share": q(text)})
        assert outcome["share"] == Quantity(Fraction(1, 20), (), "percent")


def test_zero_counts_as_given(made_register):
    outcome = calculations.call("work", {"force": q("0 N"), "length": q("0 m"), "share": q("0")})
    assert outcome["work"].si == 0


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ({"force": "1 N"}, "work needs length, such as '1 m'"),
        ({"force": "1 N", "length": "1"}, "length needs a unit, such as '1 m'"),
        ({"force": "1 N", "length": "0"}, "length needs a unit"),
        ({"force": "1 N", "length": "1 kPa"}, "length is a pressure; a length is wanted"),
        ({"force": "1 N", "length": "5 %"}, "length is a percentage"),
        ({"force": "1 N", "length": "1 m", "share": "1 m"}, "share is a length"),
        ({"force": "1 N", "length": "1 m", "lenght": "1 m"}, "did you mean length"),
        ({"force": "1 N", "length": "-1 m"}, "length must be 0 or more; got less"),
    ],
)
def test_call_refused(made_register, arguments, said):
    with pytest.raises(BadInput) as caught:
        calculations.call("work", {key: q(text) for key, text in arguments.items()})
    assert said in str(caught.value)


def test_words(made_register):
    given_ = {"force": q("1 N"), "length": q("1 m")}
    assert calculations.call("work", {**given_, "way": "DOWN"})["way"] == "down"
    for way, said in (("sideways", "choose from up, down"), (q("1"), "is a word")):
        with pytest.raises(BadInput, match=said):
            calculations.call("work", {**given_, "way": way})
    with pytest.raises(BadInput, match="is a number"):
        calculations.call("work", {**given_, "force": "much"})
    with pytest.raises(BadInput, match="not a list"):
        calculations.call("work", {**given_, "force": (q("1 N"), q("2 N"))})


def test_temperatures_and_differences(made_register):
    assert calculations.call("warmth", {"air": q("-40 degF")})["air"] == Quantity(
        Fraction("233.15"), units.unit("K").dimension, "temperature"
    )
    assert calculations.call("warmth", {"air": q("300 K")})["list"] == ()
    assert calculations.from_text("work_done", {"rise": "9 F"})["done"] == Quantity(
        5, units.unit("K").dimension, "difference"
    )
    with pytest.raises(BadInput, match="difference of temperatures"):
        calculations.call("warmth", {"air": q("5 delta_degC")})
    with pytest.raises(BadInput, match="is a temperature"):
        calculations.call("work_done", {"rise": q("5 degC")})


def test_a_calculation_that_breaks_is_said_in_words(made_register):
    with pytest.raises(BadInput, match="can't be worked out"):
        calculations.call("broken", {})


# --- groups of one dimension ------------------------------------------------------------------


def test_a_group_keeps_its_dimension():
    pressures = calculations.from_text("spread", {"values": "120 psi; 118 psi; 108 psi"})
    assert units.number_in(pressures["spread"], units.unit("psi")) == 12
    assert pressures["percent"] == Quantity(Fraction(1, 10), (), "percent")
    assert calculations.from_text("spread", {"values": "120,118,108"})["spread"].si == 12
    warm = calculations.from_text("spread", {"values": "20 C; 68 F; 22 C"})
    assert warm["spread"] == Quantity(2, units.unit("K").dimension, "difference")
    assert warm["mean"].quantity_kind == "temperature"


@pytest.mark.parametrize(
    "values", ["1 mm; 2 kPa", "1 mm; 2; 3", "20 C; 5 delta_degC", "5 %; 5", "1 mm; two"]
)
def test_a_group_of_two_kinds_is_refused(values):
    with pytest.raises(BadInput, match="values"):
        calculations.from_text("spread", {"values": values})


def test_a_unit_behind_the_last_is_that_of_all():
    one = calculations.from_text("spread", {"values": "120; 118; 108 psi"})
    assert one == calculations.from_text("spread", {"values": "120 psi; 118 psi; 108 psi"})
    assert one == calculations.from_text("spread", {"values": "120,118,108 psi"})


def test_uncertainty_of_a_temperature_is_a_difference():
    outcome = calculations.from_text(
        "conformance", {"value": "20 degC", "uncertainty": "1.8 F", "max": "21 C"}
    )
    # One standard uncertainty is 0.5 K: Phi(2) = 0.97725, any table of the normal distribution.
    assert outcome["probability"].si == pytest.approx(0.97725, abs=1e-5)
    assert outcome["verdict"] == "pass"


def test_lists_of_words_and_numbers():
    swapped = calculations.from_text("swapped_parts", {"found": "230,240", "expected": "240;230"})
    assert swapped["explained"] is True
    words = calculations.from_text("swapped_parts", {"found": "6L; 6K", "expected": "6K; 6L"})
    assert words["explained"] is True
    with pytest.raises(BadInput):
        calculations.call("swapped_parts", {"found": (q("1 mm"),), "expected": (q("1 kPa"),)})


# --- text from the prompt ---------------------------------------------------------------------


def test_units_do_not_matter():
    metric = {"force": "49.03325 N", "span": "304.8 mm", "deflection": "25.4 mm"}
    trade = {"force": "5 kg", "span": "1'", "deflection": '1"'}
    one = calculations.from_text("span_tension", metric)["tension"]
    assert one == calculations.from_text("span_tension", trade)["tension"]


@pytest.mark.parametrize(
    ("pairs", "said"),
    [
        ([("force", "50 N"), ("span", "1"), ("deflection", "20 mm")], "span needs a unit"),
        ([("force", "50 N"), ("force", "50 N")], "force is given twice"),
        ([("force", " ")], "force is empty"),
        ([("force", "1/0 N")], "force: "),
        ([("force", "5 mm")], "force: "),
        ([("span", "9" * 5000)], "span is too long"),
        ([("spam", "1 m")], "did you mean span"),
        ([("\x1b[31m", "1 m")], "has no input"),
        ([], "span_tension needs force"),
    ],
)
def test_text_refused(pairs, said):
    with pytest.raises(BadInput) as caught:
        calculations.from_text("span_tension", pairs)
    assert said in str(caught.value)
    assert "\x1b" not in str(caught.value)


@pytest.mark.parametrize("values", ["1;;2", ";", "1; 2;", ";".join("1" * 101)])
def test_broken_lists_are_refused(values):
    with pytest.raises(BadInput, match="values: "):
        calculations.from_text("spread", {"values": values})


@settings(max_examples=200)
@given(
    st.sampled_from(sorted(REGISTER)),
    st.dictionaries(st.integers(0, 5), st.text(max_size=40), max_size=6),
)
def test_any_text_is_worked_out_or_refused(name, texts):
    names = [one.name for one in REGISTER[name].inputs]
    written = {names[place % len(names)]: text for place, text in texts.items()}
    try:
        outcome = calculations.from_text(name, written)
    except BadInput as refusal:
        assert str(refusal)
    else:
        assert outcome


AMOUNTS = st.builds(
    "{}{}".format,
    st.sampled_from(["0", "1", "-1", "1e-30", "1e30", "0.5", "8", "1/3"]),
    st.sampled_from(["", " mm", " N", " kPa", " degC", " %", " rpm", " l", " delta_degF"]),
)


@settings(max_examples=300)
@given(st.sampled_from(sorted(REGISTER)), st.data())
def test_extreme_figures_are_worked_out_or_refused(name, data):
    written = {one.name: data.draw(AMOUNTS | st.just(one.example)) for one in REGISTER[name].inputs}
    try:
        outcome = calculations.from_text(name, written)
    except BadInput as refusal:
        assert str(refusal)
    else:
        assert list(outcome) == [result.key for result in REGISTER[name].results]
