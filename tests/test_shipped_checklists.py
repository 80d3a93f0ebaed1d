"""The lists and sheets that ship: sound, complete, and every inference speaks when it should."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from functools import cache

import msgspec
import pytest
from shipped import LISTS, SHEETS, checklist, loaded, machine, text_of
from shipped_cases import CASES, Case, Typed

from inspect_tui.core.definitions import load as definitions
from inspect_tui.core.definitions.load import Compiled
from inspect_tui.core.evaluation.checklist_on_machine import ChecklistOnMachine
from inspect_tui.core.evaluation.evaluate_entries import evaluate_session
from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.model.checklist import Checklist, Derived, Inference, Reading, Step
from inspect_tui.core.model.log_entry import AS_FOUND, FORMAT, Entry
from inspect_tui.core.model.machine import Machine
from inspect_tui.core.readings import parse as readings
from inspect_tui.core.session.replay import Session, replay

LEFT_OUT = {
    "ostrebek-440": {
        "drive_spring_rate", "steering_play_max", "idle_screw_lift", "spindle_arm",
    },
    "tindrak-600": set(),
}  # fmt: skip
"""Figures that a sheet lacks on purpose."""
NOT_ITS_KIND = {
    "ostrebek-440": {"cap_pressure", "reed_gap_max"},
    "tindrak-600": {"fan_belt_min", "fan_belt_max"},
}
"""Figures of parts that a machine does not have."""


def values(listed: Checklist) -> Iterator[tuple[Step, Reading | Derived]]:
    for step in listed.steps:
        for value in (*step.reading, *step.derived):
            yield step, value


# --- sound and whole ------------------------------------------------------------------------


def test_the_lists_and_sheets_that_histories_hang_on_still_ship():
    assert {"before-every-ride", "first-ride", "lay-up", "pre-season"} <= set(LISTS)
    assert {"ostrebek-440", "tindrak-600"} <= set(SHEETS)


@pytest.mark.parametrize("stem", LISTS)
def test_a_list_has_no_problem_and_is_named_as_its_file(stem: str):
    listed = checklist(stem).checklist
    assert listed.id == stem
    assert [str(problem) for problem in loaded(stem).problems] == []


@pytest.mark.parametrize("sheet", SHEETS)
@pytest.mark.parametrize("stem", LISTS)
def test_a_list_with_a_sheet_lacks_only_what_was_left_out_on_purpose(stem: str, sheet: str):
    problems = definitions.check_together(
        loaded(stem), text_of(stem), f"{stem}.toml", machine(sheet)
    )
    assert [str(problem) for problem in problems if not problem.note] == []
    allowed = LEFT_OUT[sheet] | NOT_ITS_KIND[sheet]
    surplus = [
        str(problem) for problem in problems if not any(name in problem.message for name in allowed)
    ]
    assert surplus == []


@pytest.mark.parametrize("sheet", SHEETS)
def test_a_sheet_has_what_it_says_and_lacks_what_it_says(sheet: str):
    made = machine(sheet)
    have = set(made.spec) | set(made.spec_text)
    assert not have & (LEFT_OUT[sheet] | NOT_ITS_KIND[sheet])
    assert set(made.source) == have
    assert all("invented" in words for words in made.source.values())
    assert "invented" in made.name


def test_the_triple_differs_by_cylinder_and_has_a_chart():
    triple = machine("tindrak-600")
    assert triple.cylinders == ("PTO", "centre", "MAG")
    mains = triple.spec["main_jet"]
    assert isinstance(mains, tuple | list)
    assert mains[0] == mains[2] != mains[1]
    needles = triple.spec_text["needle"]
    assert len(set(needles)) == 2
    assert triple.spec_text["jet_numbering"] in ("bore", "flow")
    bands = {(band.temperature, band.altitude) for band in triple.jet_chart}
    assert len(bands) == 9
    assert all(len(band.settings["main_jet"]) == 3 for band in triple.jet_chart)


def test_the_pre_season_list_is_as_long_as_the_work():
    listed = checklist("pre-season").checklist
    assert 60 <= len(listed.steps) <= 125
    assert sum(len(step.readings) for step in listed.steps) >= 100
    assert sum(len(step.derived) for step in listed.steps) >= 15
    assert sum(bool(step.caution) for step in listed.steps) >= 8
    assert len(listed.inference) >= 12
    assert listed.cautions


@pytest.mark.parametrize("stem", LISTS)
def test_every_step_says_how_and_most_say_why_and_with_what(stem: str):
    steps = checklist(stem).checklist.steps
    assert [step.id for step in steps if not step.how] == []
    assert sum(bool(step.why) for step in steps) >= 0.8 * len(steps)
    assert [step.id for step in steps if len(step.title) > 26] == []
    assert checklist(stem).checklist.cautions


def test_most_pre_season_steps_name_their_tools():
    steps = checklist("pre-season").checklist.steps
    assert sum(bool(step.tools) for step in steps) > 0.7 * len(steps)


@pytest.mark.parametrize("stem", LISTS)
def test_every_limit_and_inference_has_a_source(stem: str):
    listed = checklist(stem).checklist
    bare = [
        f"{step.id}.{value.id}"
        for step, value in values(listed)
        if value.limit is not None and not value.source
    ]
    assert bare == []
    assert [each.id for each in listed.inference if not each.source] == []


@pytest.mark.parametrize("stem", LISTS)
def test_a_limit_from_the_sheet_says_so_and_no_other_does(stem: str):
    wrong = []
    for step, value in values(checklist(stem).checklist):
        if value.limit is None:
            continue
        sides = [value.limit.min, value.limit.max, value.limit.target, value.limit.equal]
        if isinstance(value, Derived) and "chart." in value.value:
            sides.append(value.value)
        from_sheet = any(
            isinstance(side, str) and ("spec." in side or "chart." in side) for side in sides
        )
        if from_sheet and "sheet" not in value.source and value.source != "common practice":
            wrong.append(f"{step.id}.{value.id}")
        if "sheet" in value.source and not from_sheet and value.limit.equal is None:
            wrong.append(f"{step.id}.{value.id}")
    assert wrong == []


# --- order of work --------------------------------------------------------------------------


@pytest.mark.parametrize("stem", LISTS)
def test_walking_in_order_follows_all_advice(stem: str):
    order = [step.id for step in checklist(stem).checklist.steps]
    for at, step in enumerate(checklist(stem).checklist.steps):
        assert set(step.after) <= set(order[:at]), step.id
        assert set(step.disturbed_by) <= set(order[at + 1 :]), step.id


@pytest.mark.parametrize("stem", LISTS)
def test_what_must_pass_comes_before_what_begins(stem: str):
    steps = checklist(stem).checklist.steps
    begins = {step.begins: at for at, step in enumerate(steps) if step.begins}
    for at, step in enumerate(steps):
        if step.gate:
            assert at < begins.get(step.gate, len(steps)), step.id


def test_the_pre_season_list_gates_start_and_move():
    steps = checklist("pre-season").checklist.steps
    gates = {gate: {step.id for step in steps if step.gate == gate} for gate in ("start", "move")}
    assert gates["start"] >= {
        "throttle-play", "stop-switch", "fuel-lines", "guards", "drive-clutch", "place", "slide",
        "carb-parts", "fuel-drip",
    }  # fmt: skip
    assert gates["move"] >= {
        "brake-lever", "parking-latch", "steering-play", "ski-toe", "chain-slack",
        "chain-bearings", "track-body", "oil-moving", "boots", "pressure-test", "idle",
    }  # fmt: skip
    assert {step.begins for step in steps} == {"", "start", "move"}


# --- inferences -----------------------------------------------------------------------------


def recorded(listed: Compiled, made: Machine, typed: dict[str, Typed]) -> Session:
    """A session in which these readings are recorded as found."""
    at = datetime(2026, 11, 2, 18, 0, tzinfo=UTC)
    head = {
        "format": FORMAT, "program": "test", "session": "test", "checklist": "", "machine": "",
    }  # fmt: skip
    entries = [Entry(0, "opened", at, "R. Tester", head)]
    for place, texts in typed.items():
        step_id, reading_id = place.split(".")
        step = listed.steps[step_id]
        reading = next(each for each in step.readings if each.id == reading_id)
        cylinders = made.cylinders if step.per_cylinder else (None,)
        for cylinder, text in zip(
            cylinders, texts if isinstance(texts, list) else [texts], strict=False
        ):
            if not text:
                continue
            value = readings.read(text, reading).value
            keys = {
                "step": step_id, "reading": reading_id, "cylinder": cylinder,
                "phase": AS_FOUND, "entered": text, "unit": reading.unit, "verdict": "none",
                "value": value if isinstance(value, bool | int | str) else float(value),
            }  # fmt: skip
            keys = {key: part for key, part in keys.items() if part is not None}
            entries.append(Entry(len(entries), "reading", at, "R. Tester", keys))
    session = replay(entries)
    assert not session.unknown
    return session


@cache
def on_machine(stem: str) -> ChecklistOnMachine:
    return ChecklistOnMachine(checklist(stem), machine("tindrak-600"))


def speaks(stem: str, name: str, typed: dict[str, Typed]) -> bool:
    """Whether an inference holds on these readings, for the cylinder that its case names."""
    listed, made, inference, case, _ = case_of(stem, name)
    with_facts = ChecklistOnMachine(listed, made) if case.facts else on_machine(stem)
    evaluation = Evaluator(with_facts, recorded(listed, made, typed))
    at = case.at if inference.per else None
    return listed.inference[name].evaluate(evaluation.lookup(at, AS_FOUND)) is True


def inferences() -> list[tuple[str, str]]:
    found = []
    for stem in LISTS:
        found += [(stem, each.id) for each in checklist(stem).checklist.inference]
    return found


def case_for(stem: str, name: str) -> Case:
    """The case of an inference; of one that came from another list, that list's."""
    found = (cases[name] for cases in (CASES.get(stem, {}), *CASES.values()) if name in cases)
    return next(found)


def case_of(stem: str, name: str) -> tuple[Compiled, Machine, Inference, Case, str]:
    listed = checklist(stem)
    inference = next(each for each in listed.checklist.inference if each.id == name)
    case = case_for(stem, name)
    finding = f"I.{name}" + (f"@{case.at}" if inference.per else "")
    made = machine("tindrak-600")
    if case.facts:
        chart = made.jet_chart if case.facts.get("jet_chart", True) else ()
        facts = {**made.machine, **case.facts}
        made = msgspec.structs.replace(made, machine=facts, jet_chart=chart)
    return listed, made, inference, case, finding


@pytest.mark.parametrize("stem", LISTS)
def test_every_inference_has_its_case(stem: str):
    named = {each.id for each in checklist(stem).checklist.inference}
    assert set(CASES.get(stem, {})) <= named
    assert named <= {name for cases in CASES.values() for name in cases}


@pytest.mark.parametrize(("stem", "name"), inferences())
def test_an_inference_speaks_on_its_readings_and_says_how_sure(stem: str, name: str):
    listed, made, inference, case, finding = case_of(stem, name)
    assert speaks(stem, name, case.speak)
    results = evaluate_session(listed, made, recorded(listed, made, case.speak)).results
    assert finding in {each.id for each in results.findings if each.open}
    assert inference.sure in ("high", "medium", "low")
    assert inference.look_at
    assert set(inference.look_at) <= set(listed.steps)


@pytest.mark.parametrize(("stem", "name"), inferences())
def test_an_inference_is_silent_where_one_reading_is_good(stem: str, name: str):
    case = case_for(stem, name)
    assert not speaks(stem, name, case.speak | case.silent)


@pytest.mark.parametrize(("stem", "name"), inferences())
def test_an_inference_is_silent_while_any_of_its_readings_is_missing(stem: str, name: str):
    case = case_for(stem, name)
    assert len(case.speak) >= 2
    for place in case.speak:
        rest = {key: value for key, value in case.speak.items() if key != place}
        assert not speaks(stem, name, rest), place


@pytest.mark.parametrize("stem", LISTS)
def test_an_inference_rests_on_two_readings_or_more(stem: str):
    on_sled = on_machine(stem)
    for name, expression in checklist(stem).inference.items():
        leaves = on_sled.input_readings(expression, None)
        assert len({(step, reading) for step, reading, _ in leaves}) >= 2, name
