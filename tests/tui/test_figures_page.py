"""The page of all figures: a sheet of one's own filled with the manual on the knees."""

from __future__ import annotations

import tomllib

import pytest

from inspect_tui.errors import BadInput
from inspect_tui.files.store import Store
from inspect_tui.tui.base.sheet_desk import SheetDesk
from inspect_tui.tui.screens import figures_text
from inspect_tui.tui.screens.figures import FiguresScreen
from inspect_tui.tui.screens.figures_state import FiguresState, one_key
from inspect_tui.workflow.inspection import Inspection
from inspect_tui.workflow.machine_figures import MachineFigures
from inspect_tui.workflow.sheets import new_machine
from tests.tui.conftest import screen_text, settled, type_in


@pytest.fixture
def store(tmp_path):
    return Store(tmp_path / "store")


def begun(store, cylinders="PTO, MAG", checklist="pre-season"):
    machine = new_machine(store, "Own", cylinders)
    figures = MachineFigures(store, machine, checklist)
    return machine, figures, FiguresState.begun(figures.page())


def at(state, name):
    return state.to([row.name for row in state.rows].index(name))


def read(store, machine):
    return tomllib.loads((store.machines / f"{machine}.toml").read_text(encoding="utf-8"))


def test_facts_come_first_and_one_key_answers_them(store):
    machine, figures, state = begun(store)
    assert state.row.is_fact and state.row.label == "Cooling"
    assert one_key(state, "2") == "fan" and one_key(state, "9") == "" and not one_key(state, "x")
    figures.enter(state.row, None, "fan", "")
    assert read(store, machine)["machine"] == {"cooling": "fan"}
    state = state.with_page(figures.page()).next()
    assert state.row.label == "Brake" and state.row.about.kind == "choice"
    with pytest.raises(BadInput, match="is no answer"):
        figures.trouble(state.row, None, "rope")


def test_what_a_fact_rules_out_is_asked_no_more(store):
    _, figures, state = begun(store)
    assert "reed_gap_max" in {row.name for row in state.rows}
    inlet = at(state, "inlet").row
    figures.enter(inlet, None, "piston port", "")
    assert "reed_gap_max" not in {row.name for row in state.with_page(figures.page()).rows}


def test_each_cylinder_in_turn_then_the_next_figure(store):
    machine, figures, state = begun(store)
    state = at(state, "main_jet")
    assert (state.cylinder, figures_text.hint(state)) == ("PTO", "Enter: next · ? not known")
    figures.enter(state.row, "PTO", "240", "manual, page 12")
    state = state.with_page(figures.page()).next()
    assert (state.cylinder, state.same()) == ("MAG", "240")
    figures.enter(state.row, "MAG", state.same(), "manual, page 12")
    state = state.with_page(figures.page()).next()
    assert state.row.name != "main_jet"
    made = read(store, machine)
    assert made["spec"]["main_jet"] == [240, 240]
    assert made["source"]["main_jet"] == "manual, page 12"


@pytest.mark.parametrize("cylinders", ["PTO, MAG", "1", ""])
def test_a_decimal_comma_is_one_number_whatever_the_cylinders(store, cylinders):
    machine, figures, state = begun(store, cylinders)
    row = at(state, "belt_width_min").row
    figures.trouble(row, None, "31,5")
    figures.enter(row, None, "31,5", "manual")
    assert read(store, machine)["spec"]["belt_width_min"] == "31.5 mm"


def test_words_find_a_figure_and_leave_it_asked(store):
    _, figures, state = begun(store)
    figures.enter(at(state, "brake").row, None, "cable", "")  # some rows are gone by that
    state = state.with_page(figures.page()).searching("belt wid")
    assert [row.name for row in state.rows] == ["belt_width_min", "belt_width_new"]
    state = state.to(1).found()
    assert state.row.name == "belt_width_new" and len(state.rows) > 50
    assert "No figure has" in figures_text.table(state.searching("zzz"), 80, 9).plain


def test_not_known_is_an_answer_and_the_count_says_so(store):
    _, _, state = begun(store)
    before = state.missing
    state = state.unknown()
    assert state.missing == before - 1 and "Cooling" in state.said
    assert figures_text.count(state).endswith("1 not known")
    assert state.row.label == "Brake"
    keys = state.keys
    assert [key for key in keys if key not in state.not_known] == [
        key for key in state.ordered("missing").keys if key not in state.not_known
    ] and state.ordered("missing").keys[-1] in state.not_known  # fmt: skip


def test_the_asked_row_is_always_among_those_that_are_drawn(store):
    _, _, state = begun(store)
    for width, height in ((80, 13), (40, 8), (120, 30)):
        for place in (0, 5, len(state.rows) - 1):
            drawn = figures_text.table(state.to(place), width, height).plain.split("\n")
            assert len(drawn) <= height and all(len(line) <= width for line in drawn)
            assert sum("▶" in line for line in drawn) == 1


def test_an_outboard_list_asks_for_its_own_figures(store):
    _, figures, state = begun(store, "1", "outboard-season")
    names = {row.name for row in state.rows}
    assert "propeller_torque" in names and "belt_width_min" not in names
    desk = SheetDesk(store, figures.machine_id, "outboard-season", lists=("lay-up", "pre-season"))
    assert desk.other_list() and desk.page().checklist != "Outboard season"


def test_a_shipped_sheet_is_copied_first(store):
    figures = MachineFigures(store, "ostrebek-440")
    row = at(FiguresState.begun(figures.page()), "drive_spring_rate").row
    assert figures.page().checklist == "Pre-season inspection" and row.is_missing
    figures.enter(row, None, "9", "measured")
    made = (store.machines / "ostrebek-440.toml").read_text(encoding="utf-8")
    assert made.startswith("# An invented machine") and "drive_spring_rate = " in made


def test_in_a_session_facts_and_figures_go_into_the_log_and_say_what_they_change(places, clock):
    with Inspection.new(places, "bench", "test-bed", "R. Tester", clock) as held:
        desk = SheetDesk(places, "test-bed", inspection=held)
        state = FiguresState.begun(desk.page(), "section")
        row = at(state, "belt_width_min").row
        from inspect_tui.core.model.targets import Target

        held.record([(Target("belt", "width", None), "31.5")], "as-found")
        outcome = desk.enter(row, None, "32", "decal")
        assert outcome.ok
        said = " ".join(outcome.said)
        assert "Width as found: pass, now fail" in said and "belt.width" not in said
        log = places.log(held.session.id).read_text(encoding="utf-8")
        assert 'name = "belt_width_min"' in log and "32 mm" in log


def test_a_fact_of_a_session_hides_the_step_and_is_replayed(tmp_path, clock):
    store = Store(tmp_path / "store")
    machine = new_machine(store, "Own", "1")
    with Inspection.new(store, "pre-season", machine, "Ada", clock) as held:
        desk = SheetDesk(store, machine, inspection=held)
        row = at(FiguresState.begun(desk.page()), "battery").row
        outcome = desk.enter(row, None, "no", "")
        assert outcome.ok and any(one.startswith("Not needed now:") for one in outcome.said)
        hidden = [each.step.id for each in held.results.steps if each.state == "not-needed"]
        session = held.session.id
    assert hidden
    with Inspection.open(store, session, clock) as again:
        states = {each.step.id: each.state for each in again.results.steps}
        assert all(states[step] == "not-needed" for step in hidden)
        assert again.machine.machine == {"battery": False}


async def test_from_the_walk_a_figure_is_typed_with_its_source(job, session, places):
    async with job(session) as pilot:
        await type_in(pilot, "/.")
        await settled(pilot)
        screen = pilot.app.screen
        assert isinstance(screen, FiguresScreen)
        await type_in(pilot, "/main", "enter")
        await type_in(pilot, "250", "enter")
        assert screen.state.asks == "source" and "Where from?" in screen_text(pilot.app)
        await type_in(pilot, "12", "enter")
        assert screen.state.asks == "source" and screen.field.value == "12"
        assert "manual, page 12" in " ".join(screen_text(pilot.app).split())
        await pilot.press("backspace", "backspace")
        await type_in(pilot, "decal", "enter")
        assert screen.state.source == "decal" and "✓ In the sheet" in screen_text(pilot.app)
        assert "value = 250" in pilot.log()
        await pilot.press("escape")
        await settled(pilot)
        assert pilot.app.screen is not screen
    made = tomllib.loads((places.machines / "test-bed.toml").read_text(encoding="utf-8"))
    assert made["spec"]["main_jet"][0] == 250
