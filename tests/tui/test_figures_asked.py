"""Figures that the sheet lacks: said at their step, typed there with a source, judged at once.

The bench list's own figures; what a wear limit does to a verdict is the list's `min`.
"""

from __future__ import annotations

import tomllib

import pytest

from inspect_tui.core.definitions import load as definitions
from inspect_tui.tui.base.sheet_desk import SheetDesk
from inspect_tui.tui.screens.figures_state import FiguresState
from inspect_tui.workflow import sheets
from inspect_tui.workflow.inspection import Inspection

FIGURES = """
[figure.belt_width_min]
label = "Belt width, [least]"
unit = "mm"
where = "manual: belt; its sleeve"

[figure.main_jet]
label = "Main jet"
per = "cylinder"
"""


@pytest.fixture
def bare(places, clock):
    """A session of a machine whose sheet has its name and cylinders alone."""
    checklist = places.checklists / "bench.toml"
    own = checklist.read_text(encoding="utf-8") + FIGURES  # the list's own words come first
    checklist.write_text(own, encoding="utf-8")
    machine = sheets.new_machine(places, "Öwn sled", "PTO, centre, MAG")
    with Inspection.new(places, "bench", machine, "Ada", clock) as inspection:
        inspection.cautions.confirm()
        return inspection.session.id


def sheet_of(places, name="own-sled"):
    return tomllib.loads((places.machines / f"{name}.toml").read_text(encoding="utf-8"))


def test_the_step_says_what_the_manual_calls_the_figure_and_takes_it(walk, places, bare):
    at = walk(bare)
    assert "The sheet lacks: Belt width, [least] in mm. / # types it" in at.text
    at.type("30", "enter")
    assert at.results.row("belt", "width", None, "as-found").judged.verdict == "none"
    at.press("/", "#")
    assert "What does the manual say? Belt width, [least] in mm" in at.text
    assert "manual: belt; its sleeve" in at.text and "Enter: not known" in at.text
    at.type("31,5", "enter")
    assert "Where from: manual page, decal, measured?" in at.text
    at.press("enter")
    assert "Say where it comes from" in at.text and at.entries("sheet") == 0
    at.type("manual p. 12", "enter")
    assert at.results.row("belt", "width", None, "as-found").judged.verdict == "fail"
    assert "In the sheet: Belt width, [least] 31,5" in at.text and "now" in at.text
    assert "lacks" not in at.text and at.entries("sheet") == 1
    sheet = sheet_of(places)
    assert sheet["spec"]["belt_width_min"] == "31,5 mm"
    assert sheet["source"]["belt_width_min"] == "manual p. 12"
    assert at.target.reading == "cracks"  # what was asked before


def test_a_decimal_comma_is_one_number_on_a_twin_too(walk, places, clock, bare):
    machine = sheets.new_machine(places, "Öwn twin", "PTO, MAG")
    with Inspection.new(places, "bench", machine, "Ada", clock) as inspection:
        inspection.cautions.confirm()
        session = inspection.session.id
    at = walk(session)
    at.press("/", "#")
    at.type("31,5", "enter")
    at.type("manual p. 12", "enter")
    assert sheet_of(places, machine)["spec"]["belt_width_min"] == "31,5 mm"
    at.go("jets")
    at.press("/", "#")
    at.type("240,230", "enter")  # a jet of each cylinder, or a fraction of one: both are named
    assert "240; 230" in at.text and at.state.prompt.purpose == "figure"


def test_what_can_be_no_such_figure_is_refused_before_its_source_is_asked(walk, bare):
    at = walk(bare)
    at.press("/", "#")
    at.type("31 kg", "enter")
    assert at.state.prompt.purpose == "figure" and at.field == "31 kg"
    assert "mm" in at.state.said.plain and at.entries("sheet") == 0
    at.press("escape")
    assert at.state.prompt is None and at.field == ""


def test_enter_says_not_known_and_the_line_goes(walk, places, bare):
    at = walk(bare)
    at.type("30")
    at.do("figure")
    at.press("enter")
    assert "Not known: Belt width, [least]" in at.text and "The sheet lacks:" not in at.text
    assert at.field == "30" and at.entries("sheet") == 0 and "spec" not in sheet_of(places)
    at.do("figure")  # found after all
    at.type("29", "enter")
    at.type("decal", "enter")
    at.press("enter")
    assert at.results.row("belt", "width", None, "as-found").judged.verdict == "pass"


def test_not_known_is_said_once_and_kept_in_the_sheet(walk, places, clock, bare):
    at = walk(bare)
    at.do("figure")
    at.press("enter")
    sheet = places.machines / "own-sled.toml"
    assert sheet_of(places)["source"] == {"belt_width_min": "not known"}
    assert not definitions.load_machine(sheet.read_text(encoding="utf-8"), "x").problems
    with Inspection.new(places, "bench", "own-sled", "Ada", clock) as inspection:
        inspection.cautions.confirm()
        later = inspection.session.id
    again = walk(later)
    assert "The sheet lacks:" not in again.text  # neither here, nor on the page of figures
    page = SheetDesk(places, "own-sled", "bench")
    state = FiguresState.begun(page.page())
    row = next(each for each in state.rows if each.name == "belt_width_min")
    assert state.is_unknown(row) and not state.is_open(row)
    again.do("figure")  # it can be given all the same
    again.type("29", "enter")
    again.type("decal", "enter")
    assert sheet_of(places)["source"] == {"belt_width_min": "decal"}
    row = next(each for each in page.page().rows if each.name == "belt_width_min")
    assert not row.is_missing and not row.is_not_known


def test_not_known_on_the_page_of_figures_stays(places, bare):
    page = SheetDesk(places, "own-sled", "bench")
    state = FiguresState.begun(page.page())
    row = next(each for each in state.rows if each.name == "main_jet")
    assert page.mark_not_known(row) == ""
    state = FiguresState.begun(page.page())
    assert [each.name for each in state.rows if state.is_unknown(each)] == ["main_jet"]
    (places.machines / "own-sled.toml").unlink()
    assert "own-sled" in page.mark_not_known(row)


def test_one_for_each_cylinder_and_the_same_source_again(walk, places, bare):
    at = walk(bare)
    at.do("figure")
    at.type("31", "enter")
    at.type("decal", "enter")
    at.go("jets")
    at.do("figure")
    assert "One for all, or one for each: PTO; centre; MAG" in at.text
    at.type("240; 230; 240", "enter")
    assert "Enter: decal" in at.text
    at.press("enter")
    assert sheet_of(places)["spec"]["main_jet"] == [240, 230, 240]
    assert sheet_of(places)["source"]["main_jet"] == "decal"
    at.do("figure")
    assert "every figure that this list asks for" in at.text and at.state.prompt is None


def test_the_list_and_its_figure_typed_in_one_go(walk, bare):
    at = walk(bare)
    at.burst("/#31\rdecal\r32\r")
    assert at.entered == [("width", None, "32")]
    assert at.results.row("belt", "width", None, "as-found").judged.verdict == "pass"


def test_a_log_to_read_asks_for_no_figure(walk, bare):
    at = walk(bare, write=False)
    assert "The sheet lacks:" not in at.text
    at.do("figure")
    assert at.state.prompt is None and "reading only" in at.text


def test_a_whole_sheet_lacks_nothing(walk, session):
    at = walk(session)
    assert not at.state.view.missing and "lacks" not in at.text


@pytest.mark.parametrize(
    ("said", "names"),
    [
        ("1", ["1"]),
        (" 2 ", ["1", "2"]),
        ("12", [str(each) for each in range(1, 13)]),
        ("13", ["13"]),
        ("0", ["0"]),
        ("PTO, 2", ["PTO", "2"]),
        ("", []),
    ],
)
def test_a_number_of_cylinders_names_them(places, said, names):
    assert sheet_of(places, sheets.new_machine(places, "Own sled", said))["cylinders"] == names


@pytest.mark.parametrize(
    ("name", "made"),
    [
        ("Own sled", "own-sled"),
        ("  [b]Åse's  '97 ", "b-ase-s-97"),
        ("97", "machine-97"),
        ("雪", "machine"),
        ("x" * 90, "x" * 40),
    ],
)
def test_a_name_makes_an_id_and_the_second_one_another(places, name, made):
    assert sheets.new_machine(places, name) == made
    assert sheets.new_machine(places, name, "1,2") == f"{made}-2"
    assert sheets.new_machine(places, name) == f"{made}-3"
    assert sheet_of(places, made)["name"] == name.strip().replace("  ", " ") or "  " in name
    assert sheet_of(places, f"{made}-2")["cylinders"] == ["1", "2"]
