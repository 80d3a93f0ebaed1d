"""What is said beside a step: the next move of a setting, how far a system is, what explains it.

Worked out in memory, so that each case is a line.
"""

from __future__ import annotations

import pytest

from inspect_tui.core.evaluation.conclusions.candidate import CandidateFinding
from inspect_tui.core.evaluation.conclusions.grouping import explained
from inspect_tui.core.evaluation.job.acts import sheet_fact
from inspect_tui.core.evaluation.job.plan_fits import BUDGETS, fits
from inspect_tui.core.evaluation.job.safety import FAILED_AND_AGAIN, safety_trouble
from inspect_tui.core.evaluation.job.setup_card import setup_card
from inspect_tui.core.evaluation.job.systems import systems_of
from inspect_tui.core.model.log_entry import AS_FOUND, AS_LEFT
from inspect_tui.core.model.targets import Target
from inspect_tui.errors import BadInput
from tests.builders import checklist, section, setting, step
from tests.small_session import MACHINE, derived, evaluated, given, number, one_step

SPEC = MACHINE + '[spec]\nmost = "8 mm"\n'


def moves(expression, *readings, least="0.25"):
    text = one_step(
        number("toe", limit="{ min = 2, max = 8 }"),
        number("other"),
        setting("rod", "toe", expression, "turn", more="Longer", less="Shorter", least=least,
                limit="{ min = -6, max = 6 }"),
    )  # fmt: skip
    return evaluated(text, *readings, machine=SPEC).results.settings


@pytest.mark.parametrize(
    ("turns", "words", "suggested"),
    [
        ("2", "Longer: 2 turns. Then measure", True),
        ("-2", "Shorter: 2 turns. Then measure", True),
        ("0.25", "Longer: 1/4 turn", True),
        ("0.2", "less than a move is missing; measure again as left", False),
        ("0", "less than a move is missing", False),
        ("6", "Longer: 6 turns", True),
        ("7", "past what may be moved", False),
        ("-7", "past what may be moved", False),
    ],
)
def test_a_move_is_suggested_from_the_least_to_the_most(turns, words, suggested):
    (row,) = moves(f"toe * {turns} / '1 mm/turn'", given("s.toe", "1"))
    assert words in row.words
    assert row.suggested is suggested


def test_what_is_in_place_is_not_moved_and_what_is_not_measured_is_not_worked_out():
    (row,) = moves("'2 turn'", given("s.toe", "5"))
    assert row.words == "toe is in place: nothing to move." and row.move is None
    assert moves("(other - toe) / '1 mm/turn'", given("s.toe", "1")) == ()
    (row,) = moves("(spec.gone - toe) / '1 mm/turn'", given("s.toe", "1"))
    assert row.words.startswith("No move can be worked out: ") and row.move is None


TWO = checklist(
    section("drive", "Drive"),
    step("belt", number("width", limit="{ min = 30 }"), safety="true"),
    step("chain", number("slack")),
    section("cold", "Cold side"),
    step("pump", number("flow", "l/min")),
)


def test_each_system_says_how_far_it_is_and_whether_a_safety_step_is_unpassed():
    systems = systems_of(evaluated(TWO, given("chain.slack", "5")).results)
    assert [(one.section, one.title, one.note) for one in systems] == [
        ("drive", "Drive", "1 of 2 steps"), ("cold", "Cold side", "0 of 1 step"),
    ]  # fmt: skip
    assert [one.safety for one in systems] == [True, False]
    done = [given("chain.slack", "5"), given("belt.width", "31"), given("pump.flow", "3")]
    for one in systems_of(evaluated(TWO, *done).results):
        assert (one.state, one.note, one.safety) == ("done", "", False)


def test_what_the_limits_of_a_step_judge_is_its_own_readings_and_those_worked_with():
    text = one_step(number("a"), number("b"), number("c", limit="{ min = 1 }"),
                    derived("y", "a + c", limit="{ min = 1 }"), derived("z", "b + c"))  # fmt: skip
    judged = evaluated(text).evaluator.definitions.judged_readings
    assert judged == {("s", "a"), ("s", "c")}


def test_a_value_that_cannot_be_worked_out_asks_nothing():
    """The figure that the derived value wants stands nowhere; what is typed is taken as it is."""
    text = one_step(number("a"), derived("y", "a - spec.gone", limit="{ min = 1, max = 2 }"))
    validator = evaluated(text, machine=SPEC).validator
    (asked,) = validator.validate([(Target("s", "a", None), "700")], AS_FOUND)
    assert asked.question == ""


def case(id_, kind, explains=(), rests_on=(), sure="", reading_id="x"):
    return CandidateFinding(
        id=id_, step="s", reading=reading_id, cylinder=None, text="", evidence=(), is_active=True,
        places=(), kind=kind, sure=sure, explains=frozenset(explains), rests_on=tuple(rests_on),
    )  # fmt: skip


X, Y = ("s", "x", None), ("s", "y", None)


@pytest.mark.parametrize("order", [("low", "medium", "high"), ("medium", "low"), ("low", "medium")])
def test_a_finding_stands_under_the_surest_that_explains_it(order):
    heads = [case(f"I.{sure}", "inference", [X], sure=sure, reading_id=None) for sure in order]
    surest = next(sure for sure in ("high", "medium", "low") if sure in order)
    assert explained([*heads, case("s.x", "value", [X])]) == {"s.x": f"I.{surest}"}
    exchanged = case("X.s", "exchanged", [X], reading_id=None)
    assert explained([*heads, exchanged, case("s.x", "value", [X])]) == {"s.x": "X.s"}


def test_what_rests_on_nothing_is_explained_by_nothing():
    head = case("I.i", "inference", [X], sure="high", reading_id=None)
    assert explained([head, case("s.y", "value", [Y], reading_id="y")]) == {}
    worked_out = case("s.y", "value", [Y], rests_on=[X], reading_id="y")
    assert explained([head, worked_out]) == {"s.y": "I.i"}


def test_the_times_that_a_person_has_are_as_long_as_it_takes_and_three_that_double():
    no_end, *minutes = BUDGETS
    assert no_end is None
    assert minutes == [30 * 2**step for step in range(3)]
    long = "".join(step(f"s{n}", number("x"), minutes="30") for n in range(5))
    results = evaluated(checklist(long)).results
    assert [len(fits(results, each, "").steps) for each in BUDGETS] == [5, 1, 2, 4]


def test_what_is_not_worked_out_yet_has_no_line_on_the_card():
    text = one_step(
        number("toe", setup="true"), number("other"),
        derived("off", "toe - other", setup="true"), derived("gone", "toe - spec.gone"),
    )  # fmt: skip
    lines = setup_card(evaluated(text, given("s.toe", "1"), machine=SPEC).results)
    assert [line.item.id for line in lines] == ["toe"]
    both = [given("s.toe", "1"), given("s.other", "3")]
    lines = setup_card(evaluated(text, *both, machine=SPEC).results)
    assert [line.item.id for line in lines] == ["toe", "off"]
    assert lines[1].values[0].standing.value == -2


def test_what_work_upset_at_the_last_cylinder_is_said_there():
    text = checklist(
        step("a", number("x"), derived("y", "x - '1 mm'", limit="{ min = 1 }"),
             per="cylinder", disturbed_by='["b"]'),
        step("b", number("r")),
    )  # fmt: skip
    left = [given("a.x@MAG", "5", phase="as-left"), given("b.r", "1", phase="as-left")]
    results = evaluated(text, *left).results
    assert results.step("a").stale == (("x", "MAG"),)
    (row,) = results.derived
    assert (row.cylinder, row.phase, row.upset_by) == ("MAG", "as-left", "b")


@pytest.mark.parametrize(
    ("width", "trouble"), [("5", "is to be measured again"), ("1", FAILED_AND_AGAIN)]
)
def test_a_safety_step_that_failed_before_it_was_upset_is_said_to_have(width, trouble):
    text = checklist(
        step("a", number("x", limit="{ min = 3 }"), safety="true", disturbed_by='["b"]'),
        step("b", number("r")),
    )
    left = [given("a.x", width, phase="as-left"), given("b.r", "1", phase="as-left")]
    result = evaluated(text, *left).results.step("a")
    assert (result.state, safety_trouble(result)) == ("again", trouble)
    alone = evaluated(text, given("a.x", width)).results.step("a")
    assert not alone.failed_before
    assert safety_trouble(alone) == ("failed" if width == "1" else "")


def test_a_reading_far_from_the_other_cylinders_is_asked_about():
    lot = one_step(number("p", "kPa"), per_cylinder=True)
    known = evaluated(lot, given("s.p@PTO", "827"), given("s.p@centre", "834"))
    for text, question in (("120", "was it 120 psi (827.4 kPa)?"), ("830", "")):
        (asked,) = known.validator.validate([(Target("s", "p", "MAG"), text)], AS_FOUND)
        assert asked.question.endswith(question) and bool(asked.question) == bool(question)


def test_a_reading_of_each_cylinder_wants_its_cylinder_unless_all_are_meant():
    validator = evaluated(one_step(number("p", "kPa"), per_cylinder=True)).validator
    with pytest.raises(BadInput, match="cylinder"):
        validator.place(Target("s", "p", None))
    assert validator.place(Target("s", "p", None), need_cylinder=False).id == "p"
    assert validator.place(Target("s", "p", "MAG")).id == "p"


def test_a_bare_number_that_puts_a_derived_value_off_by_a_unit_is_asked_about():
    both = derived("both", "p + q", "kPa", limit="{ min = 700, max = 900 }")
    known = evaluated(one_step(number("p", "kPa"), number("q", "kPa"), both), given("s.q", "5"))
    for typed, question in (("120", True), ("800", False), ("120 kPa", False)):
        (asked,) = known.validator.validate([(Target("s", "p", None), typed)], AS_FOUND)
        assert asked.question.endswith("was it 120 psi?") is question, asked.question


def test_a_fact_of_the_machine_is_written_under_a_name_that_it_can_have():
    known = evaluated(one_step(number("x")))
    kind, keys = sheet_fact(known, "cooling", "liquid", "manual, page 3")
    assert (kind, keys["value"], keys["source"]) == ("sheet", "liquid", "manual, page 3")
    for name in ("co oling", "", "9lives", "a.b"):
        with pytest.raises(BadInput, match="is no name of a fact"):
            sheet_fact(known, name, "liquid", "manual")


def test_what_a_setting_brings_to_its_limit_stands_on_the_card():
    text = one_step(
        number("toe", limit="{ min = 2, max = 8 }"), number("wear", limit="{ max = 3 }"),
        setting("rod", "toe", "toe / '1 mm/turn'", "turn"),
    )  # fmt: skip
    lines = setup_card(evaluated(text, given("s.toe", "1"), given("s.wear", "1")).results)
    assert [line.item.id for line in lines] == ["toe"]


@pytest.mark.parametrize(("phase", "advised"), [(AS_FOUND, True), (AS_LEFT, False)])
def test_an_upset_step_is_advised_against_until_it_is_measured_as_left(phase, advised):
    text = checklist(
        step("a", number("x", limit="{ min = 3 }"), disturbed_by='["b"]'), step("b", number("r"))
    )
    left = [given("a.x", "5", phase="as-left"), given("b.r", "1", phase="as-left")]
    known = evaluated(text, *left)
    assert known.results.step("a").upset_by == "b"
    lot = known.validator.validate([(Target("a", "x", None), "5")], phase)
    (said,) = known.validator.advice(known.results, lot, phase)
    assert any("measure it again as left" in line for line in said) is advised
