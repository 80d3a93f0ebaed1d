"""Every inference of the shipped lists speaks on its readings, and on no fewer."""

from __future__ import annotations

import tomllib

import msgspec
import pytest

from inspect_tui.core.definitions.of_log import Compiled
from inspect_tui.core.evaluation.checklist_on_machine import ChecklistOnMachine
from inspect_tui.core.evaluation.evaluate_entries import evaluate_session
from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.model.checklist import Inference
from inspect_tui.core.model.log_entry import AS_FOUND
from inspect_tui.core.model.machine import Machine
from tests.shipped import (
    LISTS,
    OF_OUTBOARDS,
    checklist,
    machine,
    on_machine,
    recorded,
    text_of,
)
from tests.shipped_cases import CASES, Case, Typed


def speaks(stem: str, name: str, typed: dict[str, Typed]) -> bool:
    """Whether an inference holds on these readings, for the cylinder that its case names."""
    listed, made, inference, case, _ = case_of(stem, name)
    with_facts = ChecklistOnMachine(listed, made) if case.facts else on_machine(stem, made.id)
    evaluation = Evaluator(with_facts, recorded(listed, made, typed))
    at = case.at if inference.per else None
    return listed.inference[name].evaluate(evaluation.lookup(at, AS_FOUND)) is True


def inferences() -> list[tuple[str, str]]:
    """Those that stand in a list's own file; what comes along with `use` is tried where it is."""
    found = []
    for stem in LISTS:
        data = tomllib.loads(text_of(stem))
        found += [(stem, each["id"]) for each in data.get("inference", [])]
    return found


def case_of(stem: str, name: str) -> tuple[Compiled, Machine, Inference, Case, str]:
    listed = checklist(stem)
    inference = next(each for each in listed.checklist.inference if each.id == name)
    case = CASES[stem][name]
    finding = f"I.{name}" + (f"@{case.at}" if inference.per else "")
    made = machine("ormvessa-6" if stem in OF_OUTBOARDS else "tindrak-600")
    if case.facts:
        chart = made.jet_chart if case.facts.get("jet_chart", True) else ()
        facts = {**made.machine, **case.facts}
        made = msgspec.structs.replace(made, machine=facts, jet_chart=chart)
    return listed, made, inference, case, finding


@pytest.mark.parametrize("stem", LISTS)
def test_every_inference_has_its_case(stem: str):
    own = {name for listed, name in inferences() if listed == stem}
    assert set(CASES.get(stem, {})) == own
    everywhere = {name for _, name in inferences()}
    assert {each.id for each in checklist(stem).checklist.inference} <= everywhere


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
    case = CASES[stem][name]
    assert not speaks(stem, name, case.speak | case.silent)


@pytest.mark.parametrize(("stem", "name"), inferences())
def test_an_inference_is_silent_while_any_of_its_readings_is_missing(stem: str, name: str):
    case = CASES[stem][name]
    assert len(case.speak) >= 2
    for place in case.speak:
        rest = {key: value for key, value in case.speak.items() if key != place}
        assert not speaks(stem, name, rest), place


@pytest.mark.parametrize("stem", LISTS)
def test_an_inference_rests_on_two_readings_or_more(stem: str):
    on_sled = on_machine(stem, "ormvessa-6" if stem in OF_OUTBOARDS else "tindrak-600")
    for name, expression in checklist(stem).inference.items():
        leaves = on_sled.input_readings(expression, None)
        assert len({(step, reading) for step, reading, _ in leaves}) >= 2, name
