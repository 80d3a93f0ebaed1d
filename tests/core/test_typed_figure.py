"""What is typed for a figure of a sheet, and sheets in which a figure is known in part."""

from __future__ import annotations

import pytest

from inspect_tui.core.definitions import load as definitions
from inspect_tui.core.definitions import of_log
from inspect_tui.core.definitions.checks.figures_used import compared_with, steps_asking
from inspect_tui.core.definitions.sheets.typed_figure import (
    Expected,
    expected_of,
    typed_figure,
    with_figures,
)
from inspect_tui.core.definitions.spec_values import figures, known_in_part, with_figure
from inspect_tui.core.model.figures import FigureDescription
from inspect_tui.core.readings.parse import quantity
from inspect_tui.errors import BadInput
from tests.builders import checklist, derived, reading, sheet, step


def machine(*cylinders, **tables):
    loaded = definitions.load_machine(sheet(*cylinders, **tables), "bed.toml")
    assert loaded.machine is not None, [str(problem) for problem in loaded.problems]
    return loaded.machine


TRIPLE = ("PTO", "centre", "MAG")


@pytest.mark.parametrize(
    ("text", "unit", "expected"),
    [
        ("31.5", "mm", "31.5 mm"),
        ("31,5 mm", "mm", "31,5 mm"),
        ("1-1/4 in", "mm", "1-1/4 in"),
        ("240", "", 240),
        ("31.7", "", 31.7),
        ("240; 230; 240", "", (240, 230, 240)),
        ("240, 230, 240", "", (240, 230, 240)),
        ("240,230,240", "", (240, 230, 240)),
        ("[240, 230, 240]", "", (240, 230, 240)),
        ("[240; ?; 240]", "", (240, "?", 240)),
        ("0.5; 0.6 mm; ?", "mm", ("0.5 mm", "0.6 mm", "?")),
        ("28,5", "mm", "28,5 mm"),
        ("50:1", "", "50:1"),
        ("10 IN", "mm", "254 mm"),
        ("minus 20", "degC", "-20 degC"),
        ("one and a half turns", "turn", "1.5 turn"),
        ("5°30'", "deg", "5.5 deg"),
        ("830 KPA", "kPa", "830 kPa"),
        ("1 turn 40 deg", "turn", "10/9 turn"),
        ("50:50", "%", "50 %"),
    ],
)
def test_numbers_take_the_unit_that_manuals_give(text, unit, expected):
    found = typed_figure("x", text, machine(*TRIPLE), Expected(unit, words=False))
    assert (found.value, found.words) == (expected, False)


@pytest.mark.parametrize(
    ("text", "expected"),
    [("6K", "6K"), ("flow", "flow"), ("6K; 6K; 6L", ("6K", "6K", "6L")),
     ("6K, 6K, 6L", ("6K", "6K", "6L")), ("Ngk, long", "Ngk, long")],
)  # fmt: skip
def test_words_stay_words(text, expected):
    found = typed_figure("x", text, machine(*TRIPLE), Expected(words=True))
    assert (found.value, found.words) == (expected, True)


@pytest.mark.parametrize(
    ("text", "unit", "words"),
    [
        ("", "mm", "no value"),
        ("10 kPa", "mm", "is a pressure"),
        ("nonsense", "mm", "not a number"),
        ("12 mm", "", "is a plain number"),
        ("1; 2", "", "2 values, and the machine 3 cylinders"),
        ("?", "mm", "leave x out"),
        ("x" * 300, "mm", "too long"),
        ("1:50", "", "could be 50:1"),
        ("1.800", "rpm", "could be 1800"),
        ("60/40", "%", "could be 60 %"),
        ("8 kg", "kPa", "was taken as"),
        ("5 ± 1 mm", "mm", "more than a value"),
    ],
)
def test_what_is_no_figure_is_refused_in_words(text, unit, words):
    with pytest.raises(BadInput) as caught:
        typed_figure("x", text, machine(*TRIPLE), Expected(unit, words=False))
    assert words in str(caught.value)


def test_a_comma_between_two_numbers_is_asked_about_on_a_twin():
    with pytest.raises(BadInput, match=r"240; 230 or 240\.230"):
        typed_figure("x", "240,230", machine(), Expected(words=False))
    assert typed_figure("x", "240, 230", machine(), Expected(words=False)).value == (240, 230)
    assert typed_figure("x", "28,5 mm", machine(), Expected("mm", words=False)).value == "28,5 mm"


def test_where_one_value_is_meant_a_comma_is_a_decimal_comma_on_a_twin():
    twin = machine()
    assert len(twin.cylinders) == 2
    width = FigureDescription("Belt width, least", "mm")
    jet = FigureDescription("Main jet", per="cylinder")
    assert typed_figure("x", "31,5", twin, expected_of("x", twin, width, None)).value == "31,5 mm"
    for_one = typed_figure("x", "240,5", twin, expected_of("x", twin, jet, None), "PTO")
    assert for_one.value == 240.5
    with pytest.raises(BadInput, match="one number, or two"):
        typed_figure("x", "240,230", twin, expected_of("x", twin, jet, None))


def test_one_cylinder_s_value_is_one_value():
    with pytest.raises(BadInput, match="one cylinder's"):
        typed_figure("x", "1; 2; 3", machine(*TRIPLE), Expected(words=False), "PTO")
    assert typed_figure("x", "?", machine(*TRIPLE), Expected(words=False), "PTO").value == "?"


LIST = checklist(
    step(
        "belt",
        reading("width", limit='{ min = "spec.belt_min", max = "spec.belt_new + \'1 mm\'" }'),
        derived("worn", "spec.belt_new - width"),
        reading("code", "text", limit='{ equal = "spec.belt_code" }'),
    ),
    step("jets", reading("main", unit="", limit='{ equal = "spec.main_jet" }'), per="cylinder"),
    step("again", reading("main", unit="", limit='{ max = "spec.main_jet" }'), per="cylinder"),
)


def test_a_list_says_what_a_figure_has_to_be():
    compiled = definitions.load_checklist(LIST, "list.toml").compiled
    assert steps_asking(compiled) == {
        "belt_min": ["belt"], "belt_new": ["belt"], "belt_code": ["belt"],
        "main_jet": ["jets", "again"],
    }  # fmt: skip

    def expected(name, about=None, **tables):
        return expected_of(name, machine(**tables), about, compared_with(compiled, name))

    assert expected("belt_min") == Expected("mm", words=False)
    assert expected("belt_code") == Expected("", words=True)
    assert expected("main_jet") == Expected("", words=False)
    assert expected("belt_new") == Expected()  # held against nothing as it stands
    alone = Expected("in", words=False, alone=True)
    assert expected("belt_new", FigureDescription("New belt", "in")) == alone
    # As the sheet has it already comes first.
    assert expected("belt_min", spec={"belt_min": '"1 in"'}).unit == "in"
    assert expected("belt_min", words={"belt_min": '"wide"'}).words is True
    # `6K` is a needle, and no temperature, where a list asks for a word.
    assert typed_figure("belt_code", "6K", machine(), expected("belt_code")).words


# --- known in part ------------------------------------------------------------------------------


def test_a_figure_known_in_part_is_there_for_its_cylinder_alone():
    made = machine(
        *TRIPLE, spec={"gap": '["?", "0.5 mm", "?"]'}, words={"needle": '["6K", "?", "?"]'}
    )
    assert figures(made) == {}
    assert known_in_part(made) == {
        ("gap", "centre"): quantity("0.5 mm"), ("needle", "PTO"): "6K"
    }  # fmt: skip


def test_figures_of_a_session_are_laid_over_the_sheet():
    made = machine(*TRIPLE, spec={"belt-min": '"31 mm"', "main_jet": "[240, 230, 240]"})
    assert with_figure(made, "belt_min", "32 mm").spec["belt-min"] == "32 mm"
    assert with_figure(made, "main_jet", 250, "MAG").spec["main_jet"] == (240, 230, 250)
    grown = with_figure(with_figure(made, "gap", "0.5 mm", "PTO"), "gap", "0.6 mm", "MAG")
    assert grown.spec["gap"] == ("0.5 mm", "?", "0.6 mm")
    assert with_figure(made, "needle", "rich").spec_text["needle"] == "rich"
    assert with_figure(made, "needle", ["6J", "6K", "6L"], words=True).spec_text == {
        "needle": ("6J", "6K", "6L")
    }
    assert with_figure(made, "belt-min", "30 mm", "PTO").spec["belt-min"] == (
        "30 mm", "31 mm", "31 mm",
    )  # fmt: skip
    assert with_figure(made, "gap", "1 mm", "nobody") == made


def test_figures_of_a_session_are_words_where_its_list_asks_for_words():
    compiled = definitions.load_checklist(LIST, "list.toml").compiled
    made = with_figures(
        machine(), compiled, [("belt_code", "6K", None), ("belt_min", "31 mm", None),
                              ("main_jet", 240, "PTO"), ("main_jet", 230, "MAG")],
    )  # fmt: skip
    assert made.spec_text == {"belt_code": "6K"}
    assert made.spec == {"belt_min": "31 mm", "main_jet": (240, 230)}


# --- machines with one cylinder or none ---------------------------------------------------------


@pytest.mark.parametrize("names", ["[]", '["single"]'])
def test_a_machine_may_have_one_cylinder_or_none(names):
    text = f'id = "bed"\nname = "Bed"\ncylinders = {names}\n'
    loaded = definitions.load_machine(text, "bed.toml")
    assert loaded.problems == ()
    assert of_log.trusted_machine(text) == loaded.machine
    listed = definitions.load_checklist(LIST, "list.toml")
    problems = definitions.check_together(listed, LIST, "list.toml", loaded.machine)
    assert all(problem.note for problem in problems)
