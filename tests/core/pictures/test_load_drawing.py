"""A drawing's file: what ships is sound, and every fault is named at its line."""

from __future__ import annotations

import pytest
import tomli_w
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.core.definitions.checks.check_drawing import DRAWING, LINE, PART, PLACE
from inspect_tui.core.definitions.load_drawing import is_drawing, load_drawing
from tests.core.pictures.picture_examples import DRAWINGS

SOUND = """\
[drawing]
name = "Small engine, left side"
size = [200, 80]
margin = 10
[[drawing.part]]
name = "case"
lines = [
  { weight = "outline", smooth = true, closed = true, points = [10, 10, 90, 10, 90, 70, 10, 70] },
  { weight = "thin", centre = [50, 40], radius = 12, arc = [0, 180], least = 60 },
  { weight = "hidden", points = [50, 40, 60, 20] },
]
[[drawing.place]]
section = "engine"
label = "engine"
at = [120, 20]
leader = "right"
x = 50
y = 40
via = [100, 30]
[[drawing.place]]
section = "papers"
label = "papers"
at = [120, 60]
leader = "none"
"""


@pytest.mark.parametrize("path", DRAWINGS, ids=lambda path: path.stem)
def test_what_ships_is_sound(path):
    loaded = load_drawing(path.read_text(encoding="utf-8"), path.name)
    assert loaded.sound and loaded.drawing is not None and not loaded.problems
    assert is_drawing(path.read_text(encoding="utf-8"))


def test_every_section_of_the_long_list_has_its_place_on_the_sled():
    from inspect_tui.core.definitions.load import load_checklist

    folder = DRAWINGS[0].parent.parent
    compiled = load_checklist((folder / "pre-season.toml").read_text("utf-8"), "list").compiled
    assert compiled is not None
    sled = load_drawing((folder / "drawings" / "sled.toml").read_text("utf-8"), "sled").drawing
    assert sled is not None
    sections = [section.id for section in compiled.checklist.section]
    assert [place.section for place in sled.places] == sections


def test_it_becomes_lines_and_places():
    drawing = load_drawing(SOUND, "f").drawing
    assert drawing is not None
    assert (drawing.name, drawing.width, drawing.height) == ("Small engine, left side", 200, 80)
    closed, half, straight = drawing.lines
    assert closed.points[0] == closed.points[-1] and len(closed.points) == 4 * 5 + 1
    assert half.min_columns == 60 and half.points[0] == (62, 40)
    assert half.points[-1] == pytest.approx((38, 40))
    assert max(y for _, y in half.points) == pytest.approx(52)  # clockwise is downwards
    assert straight.points == ((50, 40), (60, 20))
    engine, papers = drawing.places
    assert engine.at == (50, 40) and engine.via == (100, 30) and papers.at is None
    assert drawing.place("papers") is papers and drawing.place("skis") is None


@pytest.mark.parametrize(
    ("old", "new", "line", "said"),
    [
        ("size = [200, 80]", "size = [200, 0]", 3, "drawing.size: size is the list [200, 0];"),
        ("size = [200, 80]", "size = [nan, 80]", 3, "drawing.size: size is the list"),
        ("size = [200, 80]", "", 1, "drawing.size: size is missing; write width and height"),
        ("margin = 10", "margins = 10", 4, "'margins' is no key here; did you mean margin?"),
        ("margin = 10", "margin = -1", 4, "margin is -1; write a number, 0 or more."),
        ("50, 40, 60, 20]", "50, 40, 60]", 10, "points has 3 numbers, an odd count"),
        ("50, 40, 60, 20]", "50, 40]", 10, "points has 1 point; the line needs 2 at least"),
        ("50, 40, 60, 20]", "50, 40, '60', 20]", 10, "write a list of numbers, x and y in turn"),
        ("50, 40, 60, 20]", "50, 40, 1e99, 20]", 10, "write a list of numbers, x and y in turn"),
        ('"hidden"', '"hiden"', 10, "'hiden' is no weight; did you mean hidden?"),
        ('"hidden"', "3", 10, "weight is 3; write one of outline, thin, hidden."),
        ("radius = 12, ", "", 9, "A circle without radius; write a number above 0."),
        ("radius = 12", "radius = 0", 9, "radius is 0; write a number above 0."),
        ("radius = 12", "points = [0, 0, 1, 1]", 9, "A line has points and centre"),
        ("centre = [50, 40], radius = 12, arc = [0, 180], ", "", 9, "A line has no points"),
        ("arc = [0, 180]", "closed = true", 9, "A circle takes no closed; leave it out."),
        ("least = 60", "least = 1.5", 9, "least is 1.5; write a whole number of columns"),
        ('section = "papers"', 'section = "engine"', 21, "'engine' has a place already"),
        ('section = "papers"', 'section = "1st"', 21, "'1st' is no id"),
        ('label = "papers"', 'label = " x"', 22, "The label 'x' has blanks around it"),
        ('label = "papers"', f'label = "{"x" * 25}"', 22, "at most 24 characters"),
        ('leader = "right"', 'leader = "rigth"', 16, "'rigth' is no leader; did you mean right?"),
        ("x = 50\n", "", 12, "x of the place on the machine is missing; write a number for each"),
        ('leader = "none"', 'leader = "none"\nx = 1', 25, "leave x out, or name the leader's side"),
        ("at = [120, 60]", "at = [120, 20]", 23, "'papers' touches 'engine' at 46 columns and 14"),
        ("at = [120, 60]", "at = [190, 60]", 23, "'papers' lies over the edge at 46 columns"),
        ("[drawing]", "[drawings]", None, "drawing is missing"),
        ("margin = 10", "margin = ", 4, "This is no TOML"),
    ],
)  # fmt: skip
def test_every_fault_is_named_with_its_line_and_what_would_be_right(old, new, line, said):
    assert SOUND.count(old) == 1
    text = SOUND.replace(old, new)
    if old == "[drawing]":
        text = text.replace("[[drawing.", "[[drawings.")
    found = [str(problem) for problem in load_drawing(text, "small.toml").problems]
    where = "small.toml:" if line is None else f"small.toml:{line}: "
    assert any(one.startswith(where) and said in one for one in found), found


def test_all_faults_are_said_in_one_pass():
    text = SOUND.replace('"thin"', '"thn"').replace("margin = 10", "margin = true")
    text = text.replace('leader = "none"', 'leader = "nowhere"')
    problems = load_drawing(text, "f").problems
    assert [problem.line for problem in problems] == [4, 9, 24]
    assert all(str(problem).count("\n") == 0 for problem in problems)


def test_labels_that_touch_leave_a_drawing_for_larger_screens():
    loaded = load_drawing(SOUND.replace("at = [120, 60]", "at = [120, 20]"), "f")
    assert loaded.drawing is not None and not loaded.sound


def test_a_list_that_names_its_drawing_is_none():
    assert not is_drawing('id = "x"\ndrawing = "sled"\n[[section]]\nid = "a"')
    assert is_drawing("[drawing]\nname = ")  # faulty, and a drawing all the same


values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8)
    | st.sampled_from(["outline", "none", "up", "engine"]),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=4), inner),
    max_leaves=6,
)  # fmt: skip


def table(keys):
    return st.fixed_dictionaries({}, optional=dict.fromkeys(keys, values.filter(_is_toml)))


def _is_toml(value):
    try:
        tomli_w.dumps({"x": value})
    except (TypeError, ValueError, UnicodeEncodeError):
        return False
    return "None" not in repr(value)


files = st.builds(
    lambda top, part, line, place: {
        "drawing": {**top, "part": [{**part, "lines": [line]}], "place": [place, place]}
    },
    table(DRAWING), table(PART), table(LINE), table(PLACE),
)  # fmt: skip


@settings(max_examples=60)
@given(files)
def test_nothing_that_a_file_may_hold_ends_in_a_fault_of_ours(data):
    loaded = load_drawing(tomli_w.dumps(data), "f")
    assert loaded.problems
    assert all(problem.line is not None for problem in loaded.problems)
