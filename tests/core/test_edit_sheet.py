"""Changes to a sheet's text: only what was asked for, whatever stands around it."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.core.definitions import load as definitions
from inspect_tui.core.definitions.sheets import edit_sheet
from inspect_tui.errors import Refused

SHEET = """\
# the blue one
id = "bed"            # never change
name = "Test bed"
cylinders = ["PTO", "centre", "MAG"]

[machine]
cooling = "liquid"

# from the manual of 1998
[spec]
belt_min = "31.5 mm"  # page 12
main_jet = [
    240,  # PTO
    230,
    240,
]
# belongs to the words below

[spec.text]
needle = ["6K", "6K", "6L"]

# where from
[source]
belt_min = "manual"

# the chart
[[jet_chart]]
temperature = ["-29 degC", "-18 degC"]
altitude = ["0 m", "600 m"]
main_jet = [250, 240, 250]
# the end
"""


def lines_added(made, text=SHEET):
    """The lines that are new; every old line stands in its order."""
    old, new = text.splitlines(keepends=True), made.splitlines(keepends=True)
    added, at = [], 0
    for line in new:
        if at < len(old) and line == old[at]:
            at += 1
        else:
            added.append(line)
    assert at == len(old), "a line was lost or changed"
    return added


def test_a_value_is_changed_where_it_stands():
    made = edit_sheet.set_figure(SHEET, "belt_min", "31 mm")
    assert made == SHEET.replace('"31.5 mm"  # page 12', '"31 mm"  # page 12')
    made = edit_sheet.set_figure(SHEET, "needle", ["6J", "6K", "6L"], words=True)
    assert tomllib.loads(made)["spec"]["text"]["needle"] == ["6J", "6K", "6L"]
    assert "# where from" in made


def test_one_cylinder_s_value_is_changed_in_its_list():
    made = edit_sheet.set_figure(SHEET, "main_jet", 250, place=(0, 3))
    assert made == SHEET.replace("240,  # PTO", "250,  # PTO")
    made = edit_sheet.set_figure(SHEET, "needle", "6J", words=True, place=(2, 3))
    assert made == SHEET.replace('"6L"', '"6J"')


def test_a_new_figure_stands_behind_the_last_of_its_table():
    made = edit_sheet.set_figure(SHEET, "toe", "3 mm")
    assert lines_added(made) == ['toe = "3 mm"\n']
    assert ']\ntoe = "3 mm"\n# belongs to the words below\n' in made
    made = edit_sheet.set_figure(SHEET, "stamp", "A", words=True)
    assert '"6L"]\nstamp = "A"\n\n# where from' in made
    made = edit_sheet.set_source(SHEET, "toe", "decal")
    assert 'belt_min = "manual"\ntoe = "decal"\n\n# the chart' in made
    made = edit_sheet.set_fact(SHEET, "reverse", True)
    assert 'cooling = "liquid"\nreverse = true\n\n# from the manual' in made


def test_one_cylinder_s_value_of_a_new_figure_leaves_the_others_open():
    made = edit_sheet.set_figure(SHEET, "gap", "0.5 mm", place=(1, 3))
    assert lines_added(made) == ['gap = ["?", "0.5 mm", "?"]\n']
    made = edit_sheet.set_figure(made, "gap", "0.6 mm", place=(2, 3))
    assert tomllib.loads(made)["spec"]["gap"] == ["?", "0.5 mm", "0.6 mm"]
    loaded = definitions.load_machine(made, "bed.toml")
    assert loaded.sound


def test_a_figure_for_all_becomes_a_list_where_one_cylinder_differs():
    made = edit_sheet.set_figure(SHEET, "belt_min", "30 mm", place=(2, 3))
    assert tomllib.loads(made)["spec"]["belt_min"] == ["31.5 mm", "31.5 mm", "30 mm"]
    assert "# page 12" in made


def test_tables_that_are_not_there_come_at_the_end():
    bare = 'id = "bed"\nname = "Bed"\ncylinders = []'
    made = edit_sheet.set_figure(bare, "toe", "3 mm")
    made = edit_sheet.set_figure(made, "needle", "6K", words=True)
    made = edit_sheet.set_source(made, "toe", "decal")
    made = edit_sheet.set_fact(made, "cooling", "air")
    assert made == (
        f'{bare}\n\n[spec]\ntoe = "3 mm"\n\n[spec.text]\nneedle = "6K"\n'
        '\n[source]\ntoe = "decal"\n\n[machine]\ncooling = "air"\n'
    )
    assert definitions.load_machine(made, "bed.toml").problems == ()


def test_a_band_comes_behind_the_others():
    made = edit_sheet.add_band(
        SHEET, ("-18 degC", "-7 degC"), ("0 m", "600 m"), {"main_jet": [240, 230, 240]}
    )
    assert lines_added(made)[0] == "\n"
    assert made.startswith(SHEET)
    loaded = definitions.load_machine(made, "bed.toml")
    assert loaded.problems == ()
    assert [band.settings["main_jet"][0] for band in loaded.machine.jet_chart] == [250, 240]


@pytest.mark.parametrize(
    "text",
    [
        'spec = { toe = "1 mm" }\n',
        'spec.toe = "1 mm"\nspec.sag = 3\nname = "x"\n',
        '[spec.text]\nneedle = "6K"\n# here\n[source]\na = "b"\n',
        '"spec" = { "toe" = 3 }\n',
        "[spec]\n# nothing yet\n[source]\n",
        '[spec]\nhow = """\n[source]\n"""\n# after\n[machine]\n',
        "['spec']\ntoe = 3\n",
        "[spec]\r\ntoe = 3\r\n# after\r\n[source]\r\n",
        "[spec]",
        "",
    ],
)
def test_however_a_sheet_is_written_the_figure_is_in_it(text):
    made = edit_sheet.set_figure(text, "belt_min", "31 mm")
    old, new = tomllib.loads(text), tomllib.loads(made)
    assert new["spec"].pop("belt_min") == "31 mm"
    assert new["spec"] == old.get("spec", {})
    assert {**new, "spec": {}} == {**old, "spec": {}}
    assert made.count("#") == text.count("#")
    if "\r\n" in text:
        assert "\n" not in made.replace("\r\n", "")


@pytest.mark.parametrize("text", ["id = ", "spec = 3\n", "spec = [1]\n"])
def test_what_can_t_be_changed_is_refused(text):
    with pytest.raises(Refused):
        edit_sheet.set_figure(text, "toe", 3)


def test_a_list_of_another_length_is_refused():
    with pytest.raises(Refused, match="3 values"):
        edit_sheet.set_figure(SHEET, "main_jet", 240, place=(0, 2))


KEYS = st.sampled_from(["toe", "sag", "belt_min", "a-b", "x1"])
VALUES = st.integers(0, 300) | st.sampled_from(["3 mm", "1-1/4 in", 'with "quotes"', "#no comment"])
BETWEEN = st.sampled_from(["", "\n", "# a comment\n", "\n# a comment\n\n", "  \n"])


@st.composite
def sheets(draw):
    text = draw(BETWEEN) + 'id = "bed"\n'
    for header in draw(st.permutations(["spec", "source", "machine", "spec.text"])):
        if draw(st.booleans()):
            text += f"{draw(BETWEEN)}[{header}]{draw(st.sampled_from(['', '  # head']))}\n"
            for key in draw(st.sets(KEYS, max_size=3)):
                text += f'{draw(BETWEEN)}{key} = "v"{draw(st.sampled_from(["", " # why"]))}\n'
    return text + draw(BETWEEN)


@given(sheets(), KEYS, VALUES)
@settings(max_examples=150, deadline=None)
def test_one_change_is_one_change(text, key, value):
    made = edit_sheet.set_figure(text, key, value)
    old, new = tomllib.loads(text), tomllib.loads(made)
    had = key in old.get("spec", {})
    old.setdefault("spec", {})[key] = value
    assert new == old
    # Comments alone have a blank behind their sign here.
    assert made.count("# ") == text.count("# ")
    if not had:
        lines_added(made, text if text.endswith("\n") else text + "\n")
