"""Which names an expression can't do without: what is said of it holds for every value of them."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.core.evaluation.checklist_on_machine import ChecklistOnMachine
from inspect_tui.core.evaluation.evaluate import evaluate
from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.expressions.expression import NOT_MEASURED, Missing, Name, parse
from inspect_tui.core.quantities.units import Quantity
from inspect_tui.core.session.replay import replay
from tests.shipped import PAIRS
from tests.sound_machine import walked

WORDS = ("a", "b", "c", "d")
NAMES = {word: Name("value", "belt", word) for word in WORDS}
LEAVES = st.sampled_from(
    [*WORDS, "spec.s", "machine.m", "1", "0", "'3 mm'", "'light'", "true", "[a, b]", "[1, 2]"]
)


def grown(inner):
    two = st.tuples(inner, inner)
    return st.one_of(
        two.map("({0[0]} + {0[1]})".format), two.map("({0[0]} * {0[1]})".format),
        two.map("({0[0]} < {0[1]})".format), two.map("({0[0]} == {0[1]})".format),
        two.map("({0[0]} and {0[1]})".format), two.map("({0[0]} or {0[1]})".format),
        st.tuples(inner, inner, inner).map("({0[0]} < {0[1]} != {0[2]})".format),
        two.map("max({0[0]}, {0[1]})".format), inner.map("mean({})".format),
        inner.map("(not {})".format), inner.map("(-{})".format), inner.map("({})**0".format),
        inner.map("round({})".format), two.map("spread([{0[0]}, {0[1]}])".format),
        two.map("chain_sag(span={0[0]}, slack={0[1]})".format),
        two.map("coolant_exchange(volume={0[0]}, now=1, wanted=1, fresh={0[1]})".format),
        two.map("swapped_parts(found={0[0]}, expected={0[1]})".format),
    )  # fmt: skip


TEXTS = st.recursive(LEAVES, grown, max_leaves=8)
VALUES = st.sampled_from(
    [Quantity(Fraction(0)), Quantity(Fraction(3)), True, False, "light", (True, False), (),
     (Quantity(Fraction(1)), Quantity(Fraction(2))), NOT_MEASURED,
     Missing("the sheet lacks it", measured=True)]
)  # fmt: skip


def is_missing(value):
    return isinstance(value, Missing)


@settings(max_examples=400)
@given(TEXTS, st.fixed_dictionaries({word: VALUES for word in (*WORDS, "s", "m")}))
def test_what_needs_all_has_no_value_while_one_lacks(text, values):
    made = parse(text, NAMES)
    if made.needs_all and any(is_missing(values[name.id]) for name in made.names):
        assert is_missing(made.evaluate(lambda name: values[name.id]))


@settings(max_examples=400)
@given(TEXTS, st.fixed_dictionaries({"s": VALUES, "m": VALUES}), st.booleans())
def test_what_needs_one_is_not_true_while_all_readings_lack(text, values, unknown):
    made = parse(text, NAMES)
    lacks = Missing("nobody knows", measured=True) if unknown else NOT_MEASURED
    if made.needs_one:
        assert made.evaluate(lambda name: values.get(name.id, lacks)) is not True


@pytest.mark.parametrize(
    ("text", "needs_all", "needs_one"),
    [
        ("a - spec.s", True, True),
        ("a > 3 and machine.m == 'fan'", False, True),
        ("a > 3 or machine.m == 'fan'", False, False),
        ("a > 3 or b < 2", False, True),
        ("not (a > 3 and machine.m == 'fan')", False, False),
        ("not (a > 3 or machine.m == 'fan')", False, True),
        ("1 < a < 3", False, True),
        ("not 1 < a < 3", False, False),
        ("spec.s > 2", True, False),
        ("(a > 1 or true) == true", False, False),
    ],
)
def test_what_is_known_of_usual_forms(text, needs_all, needs_one):
    made = parse(text, NAMES)
    assert (made.needs_all, made.needs_one) == (needs_all, needs_one)


@pytest.mark.parametrize("pair", PAIRS)
@settings(max_examples=4)
@given(st.data())
def test_what_is_not_worked_out_would_come_to_nothing(pair, data):
    """Any part of a shipped list's readings: the same results where every value is worked out."""
    walk = walked(*pair, optional=True)
    begun, *readings = walk.entries
    places = data.draw(st.sets(st.integers(0, len(readings) - 1), max_size=12))
    session = replay([begun, *(readings[place] for place in sorted(places))])
    definitions = walk.evaluation.definitions
    with pytest.MonkeyPatch.context() as patched:
        for shortcut in ("needs_all", "needs_one"):
            patched.setattr(ChecklistOnMachine, shortcut, lambda *_: False)
        whole = evaluate(Evaluator(definitions, session))
    assert evaluate(Evaluator(definitions, session)) == whole
