"""The lists and sheets that ship: sound, complete, and every inference speaks when it should."""

from __future__ import annotations

import pytest

from inspect_tui.core.definitions import load as definitions
from inspect_tui.core.definitions.checks.check_glossary import asked_in
from inspect_tui.core.model.checklist import Derived
from inspect_tui.core.model.figures import Glossary
from inspect_tui.core.quantities import units
from inspect_tui.core.readings.parse import quantity
from tests.shipped import (
    FOLDER,
    LISTS,
    PAIRS,
    SHEETS,
    checklist,
    loaded,
    machine,
    text_of,
    values,
)

LEFT_OUT = {
    "ormvessa-6": set(),
    "ostrebek-440": {
        "drive_spring_rate", "steering_play_max", "idle_screw_lift", "spindle_arm",
    },
    "tindrak-600": set(),
}  # fmt: skip
"""Figures that a sheet lacks on purpose."""
NOT_ITS_KIND = {
    "ormvessa-6": set(),
    "ostrebek-440": {"cap_pressure", "reed_gap_max"},
    "tindrak-600": {"fan_belt_min", "fan_belt_max"},
}
"""Figures of parts that a machine does not have."""


# --- sound and whole ------------------------------------------------------------------------


def test_the_lists_and_sheets_that_histories_hang_on_still_ship():
    assert {"before-every-ride", "first-ride", "lay-up", "pre-season"} <= set(LISTS)
    assert {"ostrebek-440", "tindrak-600"} <= set(SHEETS)


@pytest.mark.parametrize("stem", LISTS)
def test_a_list_has_no_problem_and_is_named_as_its_file(stem: str):
    listed = checklist(stem).checklist
    assert listed.id == stem
    assert [str(problem) for problem in loaded(stem).problems] == []


@pytest.mark.parametrize(("stem", "sheet"), PAIRS)
def test_a_list_with_a_sheet_lacks_only_what_was_left_out_on_purpose(stem: str, sheet: str):
    found = loaded(stem)
    problems = definitions.check_together(found, text_of(stem), f"{stem}.toml", machine(sheet))
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


# --- the glossary of figures ----------------------------------------------------------------


def glossary() -> Glossary:
    text = (FOLDER / "figures" / "figures.toml").read_text(encoding="utf-8")
    asked = set().union(*(asked_in(text_of(stem)) for stem in LISTS))
    found = definitions.load_figures(text, "figures.toml", asked)
    assert [str(problem) for problem in found.problems] == []
    assert found.figures is not None
    return found.figures.figure


def test_every_figure_that_a_list_asks_for_is_in_the_glossary_with_where_one_finds_it():
    asked = set().union(*(asked_in(text_of(stem)) for stem in LISTS)) - {"NAME"}
    about = glossary()
    assert asked == set(about)
    assert [name for name, one in about.items() if not one.where or not one.label] == []
    assert len({one.label for one in about.values()}) == len(about)


@pytest.mark.parametrize("sheet", SHEETS)
def test_a_sheets_figures_fit_what_the_glossary_says_of_them(sheet: str):
    about = glossary()
    made = machine(sheet)
    for name, figure in made.spec.items():
        each = figure if isinstance(figure, tuple) else (figure,)
        assert (
            isinstance(figure, tuple) == (about[name].per == "cylinder") or len(made.cylinders) == 1
        ), name
        for one in each:
            unit = units.unit(about[name].unit)
            units.number_in(quantity(str(one), unit), unit)  # raises where it doesn't fit
    for name, words in made.spec_text.items():
        assert about[name].unit == ""
        assert isinstance(words, tuple) == (about[name].per == "cylinder"), name


# --- what later sessions, the plan and the findings hang on -----------------------------------

HARMLESS = {
    "before-every-ride": {"brake", "steering", "lights"},
    "bought-machine": {
        "papers", "story", "odometer", "bundle", "intake", "oil-tank", "oil-on-a-stick", "tunnel",
        "reckoning",
    },
    "first-ride": {"carried", "jets-today", "diary"},
    "lay-up": {"figures", "tag", "get", "cover"},
    "outboard-season": {
        "ob-photos", "ob-identity", "gear-fill", "anodes", "water-ways", "clip-wiring",
    },
    "pre-season": {
        "photos", "identity", "place-air", "last-time", "boots", "air-screw", "carb-identity",
        "main-jet", "needle", "needle-jet", "slide", "float-level", "enricher", "idle-height",
        "belt-width", "spare-belt", "aboard",
    },
}  # fmt: skip
"""Steps at which nothing can hurt: looking, copying, measuring what lies on the bench."""


@pytest.mark.parametrize("stem", LISTS)
def test_a_step_that_can_hurt_says_so(stem: str):
    steps = checklist(stem).checklist.steps
    silent = {step.id for step in steps if not step.caution}
    assert silent <= HARMLESS.get(stem, HARMLESS["pre-season"])


@pytest.mark.parametrize("stem", LISTS)
def test_every_step_says_what_it_takes_and_each_finding_finds_its_cause(stem: str):
    listed = checklist(stem).checklist
    assert [step.id for step in listed.steps if not step.minutes] == []
    known = {f"{step.id}.{value.id}" for step, value in values(listed)}
    if "how = " in text_of(stem):
        named = {place for each in listed.inference for place in each.explains}
        assert named <= known
    assert [each.id for each in listed.inference if not each.explains] == []


def test_ids_that_histories_hang_on_stay():
    there = {
        (stem, f"{step.id}.{value.id}")
        for stem in LISTS
        for step, value in values(checklist(stem).checklist)
    }
    for line in (FOLDER.parent / "tests" / "shipped_ids.txt").read_text("utf-8").splitlines():
        step, ids = line.split(": ")
        stem, step_id = step.split()
        for one in ids.split():
            assert (stem, f"{step_id}.{one}") in there


@pytest.mark.parametrize("stem", LISTS)
def test_what_carries_on_is_there_in_the_other_list(stem: str):
    for step, value in values(checklist(stem).checklist):
        if isinstance(value, Derived) or not value.same_as:
            continue
        other, place = value.same_as.split(":")
        step_id, name = place.split(".")
        found = checklist(other).steps[step_id]
        (same,) = (one for one in (*found.readings, *found.derived) if one.id == name)
        assert units.unit(same.unit).dimension == units.unit(value.unit).dimension, step.id
        assert found.per_cylinder == step.per_cylinder, step.id
