"""Lines that become steps, and lists made of them."""

from __future__ import annotations

import tomllib
from datetime import UTC, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.core.definitions import load as definitions
from inspect_tui.core.definitions import own_items
from inspect_tui.core.model.targets import Target
from inspect_tui.core.readings.parse import quantity
from inspect_tui.errors import BadInput
from inspect_tui.files.store import Store
from inspect_tui.workflow.inspection import Inspection
from tests.builders import checklist, inference, section, step


def compiled(*lines):
    text = own_items.list_of("mine", "Mine", lines)
    loaded = definitions.load_checklist(text, "mine.toml")
    assert loaded.problems == (), [str(problem) for problem in loaded.problems]
    return loaded.compiled


@pytest.mark.parametrize(
    ("line", "reading", "kind", "unit", "options"),
    [
        ("Look under the seat", "done", "check", "", ()),
        ("Belt width | mm", "value", "number", "mm", ()),
        ("Warm up | min", "value", "number", "min", ()),
        ("Stamp |  | min 3", "value", "number", "", ()),
        ("Coolant | one of clear, dark, milky", "value", "choice", "", ("clear", "dark", "milky")),
        ("Coolant|ONE OF clear,dark", "value", "choice", "", ("clear", "dark")),
    ],
)
def test_a_line_is_a_step_with_one_reading(line, reading, kind, unit, options):
    (step,) = compiled(line).checklist.steps
    assert (step.id, step.title) == ("own-1", line.partition("|")[0].strip())
    (found,) = step.readings
    assert (found.id, found.kind, found.unit, found.options) == (reading, kind, unit, options)


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("P | kPa | min 33", {"min": "33 kPa"}),
        ("P | kPa | max 12", {"max": "12 kPa"}),
        ("P | kPa | MAX 12,5", {"max": "12.5 kPa"}),
        ("P | kPa | max 4 psi", {"max": "4 psi"}),
        ("P | kPa | target 5 +- 1", {"target": "5 kPa", "tolerance": "1 kPa"}),
        ("P | kPa | target 5 ± 0.5", {"target": "5 kPa", "tolerance": "0.5 kPa"}),
        ("P | kPa | target 5 +/- 10 %", {"target": "5 kPa", "tolerance": "10 %"}),
        ("P | kPa | target 5+-1", {"target": "5 kPa", "tolerance": "1 kPa"}),
        ("P | mm | max 1-1/4 in", {"max": "31.75 mm"}),
        ("P | mm | min 1/3", {"min": "1/3 mm"}),
        ("P | mm | min -2", {"min": "-2 mm"}),
        ("T | degC | target 20 +- 5", {"target": "20 degC", "tolerance": "5 delta_degC"}),
        ("S | % | min 30", {"min": "30 %"}),
        ("S | % | target 30 +- 5", {"target": "30 %", "tolerance": "5 %"}),
    ],
)
def test_a_limit_is_in_the_line_s_unit(line, expected):
    limits = compiled(line).limits["own-1", "value"]
    found = {side: one.evaluate(lambda name: None) for side, one in limits.items()}
    assert found == {side: quantity(text) for side, text in expected.items()}


def test_the_first_option_is_the_wanted_one():
    limits = compiled("Coolant | one of clear, dark").limits["own-1", "value"]
    assert limits["equal"].evaluate(lambda name: None) == "clear"


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("", "no label"),
        (" | mm", "no label"),
        ("a |", "nothing stands behind the bar"),
        ("a | furlung", 'no unit "furlung"'),
        ("a | mm | 33", "is no limit"),
        ("a | mm | min", "is no limit"),
        ("a | mm | min spec.belt", "is not a number"),
        ("a | mm | min 3 kPa", "is a pressure"),
        ("a | rpm | min 1,800", "could be 1800 or 1.8"),
        ("a | mm | min 5 %", "is a percentage"),
        ("a | mm | target 5", "wants its tolerance"),
        ("a | mm | target 5 +- 1 +- 2", "wants its tolerance"),
        ("a | mm | target 5 +- -1", "negative"),
        ("a | degC | target 20 +- 5 %", "is a percentage"),
        ("a | min 3", "where its unit should"),
        ("a | mm | min 3 | max 5", "too many parts"),
        ("a | one of b", "two options or more"),
        ("a | one of", "two options or more"),
        ("a | one of b, B", "given twice"),
        ("a | one of b,,c", "two options or more"),
        ("a | one of b, c | min 3", "behind its options"),
        ("a" * 300, "too long"),
    ],
)
def test_what_is_no_item_is_refused_in_words(line, words):
    with pytest.raises(BadInput) as caught:
        own_items.list_of("mine", "Mine", ["Look", line])
    assert words in str(caught.value)
    assert str(caught.value).isprintable()


@given(st.text(max_size=40) | st.text("a|minmaxtargetoneof +-,.0123456789%°", max_size=30))
@settings(max_examples=300, deadline=None)
def test_any_line_is_a_sound_list_or_refused(line):
    try:
        text = own_items.list_of("mine", "Mine", [line])
    except BadInput as error:
        assert str(error).isprintable()
        return
    problems = definitions.load_checklist(text, "mine.toml").problems
    assert [str(problem) for problem in problems if not problem.note] == []


# --- added to a list ----------------------------------------------------------------------------


def ids(text):
    data = tomllib.loads(text)
    return {one["id"]: [step["id"] for step in one.get("step", [])] for one in data["section"]}


def test_items_stand_in_a_section_of_their_own_at_the_end():
    text = checklist("# mine\n", step("belt"), inference("x", "belt.done and belt.done"))
    made = own_items.with_items(text, ["Seat", "Width | mm"])
    assert made.startswith(text)
    assert ids(made) == {"drive": ["belt"], "own": ["own-1", "own-2"]}
    assert own_items.with_items(text, []) == text


def test_a_list_of_one_s_own_goes_on_counting():
    text = own_items.list_of("mine", "Mine", ["Seat", "Width | mm"])
    made = own_items.with_items(text, ["Lamp"])
    assert ids(made) == {"own": ["own-1", "own-2", "own-3"]}
    assert ids(own_items.with_items(made, ["Horn"]))["own"][-1] == "own-4"
    assert definitions.load_checklist(made, "f").sound


def test_a_section_of_one_s_own_that_is_not_the_last_grows_too():
    text = checklist(section("own"), step("own-7"), section("drive"), step("belt"))
    made = own_items.with_items(text, ["Lamp"])
    assert ids(made) == {"own": ["own-7", "own-8"], "drive": ["belt"]}


def test_a_text_without_a_last_line_end_is_ended_first():
    text = checklist(step("belt")).rstrip("\n")
    assert ids(own_items.with_items(text, ["Seat"])) == {"drive": ["belt"], "own": ["own-1"]}


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("Look under the seat", "a tick"),
        ("Belt width | mm", "a number in mm"),
        ("Pressure | kPa | min 33", "a number in kPa, at least 33"),
        ("Gap | mm | target 5 +- 1", "a number in mm, 5 ± 1"),
        ("Coolant | one of clear, milky", "a choice, clear is right"),
    ],
)
def test_a_line_is_said_in_words_while_it_is_typed(line, words):
    assert own_items.words_of(line) == words


def test_a_step_added_while_walking_takes_the_same_lines(tmp_path):
    store = Store(tmp_path / "store")
    clock = lambda: datetime(2026, 11, 2, tzinfo=UTC)  # noqa: E731
    with Inspection.new(store, "before-every-ride", "ostrebek-440", "Ada", clock) as held:
        section = held.results.checklist.section[0].id
        step = held.job.add_line(section, "Pressure | kPa | min 33")
        held.record([(Target(step, "value", None), "20")], "as-found")
        tick = held.job.add_line(section, "Smell of fuel gone")
        choice = held.job.add_line(section, "Coolant | one of clear, milky")
        with pytest.raises(BadInput):
            held.job.add_line(section, "Pressure | kPa | least 33")
        session = held.session.id
    with Inspection.open(store, session, clock) as held:
        row = held.results.row(step, "value", None, "as-found")
        assert row.judged.verdict == "fail"
        assert held.results.step(tick).step.readings[0].id == "done"
        assert held.results.step(choice).step.readings[0].options == ("clear", "milky")
