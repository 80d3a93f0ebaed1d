"""Checklists and machine sheets: every fault said once, at its line, with what would be right."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import msgspec
import pytest
import tomli_w
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.core.definitions import decode, of_log
from inspect_tui.core.definitions import load as definitions
from inspect_tui.core.model.checklist import Checklist
from inspect_tui.core.model.machine import Machine
from inspect_tui.core.readings.parse import quantity
from inspect_tui.errors import Refused
from tests import shipped
from tests.builders import derived, reading, setting, step

BAD = sorted((Path(__file__).parent / "data" / "bad").glob("*.toml"))
MARK = re.compile(r"# (fault|note|whole): (\S.*?) \| (.+)$")


LOADERS = {
    "list": definitions.load_checklist,
    "sheet": definitions.load_machine,
    "figures": definitions.load_figures,
}


def load(text, file):
    kind = file.partition("-")[0]
    return LOADERS[kind](text, file)


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.stem)
def test_one_fault_gives_one_problem_at_its_line(path):
    """The mark at the end of a line says which key and which words."""
    text = path.read_text(encoding="utf-8")
    marks = [
        (number, found)
        for number, row in enumerate(text.splitlines(), 1)
        if (found := MARK.search(row))
    ]
    assert len(marks) == 1
    number, found = marks[0]
    sort, key, words = found.groups()
    loaded = load(text, path.name)
    shown = "\n".join(map(str, loaded.problems))
    assert len(loaded.problems) == 1, shown
    problem = loaded.problems[0]
    assert problem.path == ("" if key == "-" else key), shown
    assert problem.line == (None if sort == "whole" else number), shown
    assert words.casefold() in problem.message.casefold(), shown
    assert problem.note == (sort == "note")
    assert loaded.sound == (sort == "note")


HEAD = 'id = "list"\ntitle = "List"\nrevision = 2\n[[section]]\nid = "drive"\ntitle = "Drive"\n'
SHEET = """id = "bed"
name = "Test bed"
cylinders = ["PTO", "centre", "MAG"]
[machine]
cooling = "liquid"
pistons = 3
reverse = false
[spec]
width_min = "31.5 mm"
width_max = 32
wear-max = "3 %"
main_jet = [240, 230, 240]
gap = "0.5 mm"
[spec.text]
needle = ["6K", "6K", "6L"]
[source]
main_jet = "manual, page 12"
wear_max = "manual, page 13"
pistons = "seen"
jet_chart = "manual, page 14"
[[jet_chart]]
temperature = ["-29 degC", "-18 degC"]
altitude = ["0 m", "600 m"]
main_jet = [250, 240, 250]
"""


def sound(text):
    loaded = definitions.load_checklist(text, "list.toml")
    assert loaded.problems == ()
    assert loaded.compiled is not None
    return loaded


def nothing(name):
    raise AssertionError(f"{name} was asked for")


# --- every problem in one pass ---------------------------------------------------------------


def test_every_problem_of_a_file_is_said_in_the_files_order():
    text = HEAD + step(
        "belt",
        'tols = ["lamp"]',
        reading("width", unit="milimeter"),
        reading("width", kind="chioce"),
        derived("wear", "widht * 2"),
        derived("load", "wear + '3 kPa'", limit='{ min = "2 N" }'),
    )
    loaded = definitions.load_checklist(text, "a/list.toml")
    assert [(problem.line, problem.path) for problem in loaded.problems] == [
        (10, "section.step.tols"),
        (15, "section.step.reading.unit"),
        (17, "section.step.reading.id"),
        (19, "section.step.reading.kind"),
        (23, "section.step.derived.value"),
        (28, "section.step.derived.value"),
        (30, "section.step.derived.limit.min"),
    ]
    assert loaded.compiled is None
    assert not loaded.sound
    first = str(loaded.problems[0])
    assert first == (
        "a/list.toml:10: section.step.tols: 'tols' is no key here; did you mean tools?"
    )


def test_a_problem_without_a_line_leaves_it_out():
    problem = definitions.load_checklist("", "list.toml").problems[0]
    assert str(problem).startswith("list.toml: id: id is missing")


def test_lines_are_right_behind_text_of_several_lines():
    text = HEAD + step(
        "belt", 'how = """\n[[section.step]]\nid = 1\n\n"""', reading("width", unit="milimeter")
    )
    problem = definitions.load_checklist(text, "f").problems[0]
    assert text.splitlines()[problem.line - 1] == 'unit = "milimeter"'


def test_windows_line_ends_change_no_line():
    text = HEAD + step("belt", reading("width", unit="milimeter"))
    unix = definitions.load_checklist(text, "f").problems
    assert definitions.load_checklist(text.replace("\n", "\r\n"), "f").problems == unix


def test_a_files_words_can_not_steer_the_terminal():
    text = HEAD + step("belt", '"\\u001b[31mtools\\u0007" = "\\u001b]0;x\\u0007"')
    shown = str(definitions.load_checklist(text, "f\x1b[2J.toml").problems[0])
    assert shown.isprintable()


# --- what is sound ----------------------------------------------------------------------------


def test_everything_that_the_design_shows_is_sound():
    """The checklist of the design's section 4, and every kind of reading and limit beside it."""
    text = HEAD + "".join(
        [
            step(
                "track-tension",
                'how = """..."""',
                'caution = "Never by hand."',
                "safety = true",
                'gate = "start"',
                'begins = "move"',
                'after = ["boots"]',
                'disturbed_by = ["boots"]',
                "only_if = \"machine.cooling == 'liquid' and spec.width_min > '1 mm'\"",
                reading(
                    "deflection",
                    uncertainty='"1 mm"',
                    uncertainty_between='"0.5 mm"',
                    limit='{ min = "spec.gap", max = "spec.width_max" }',
                    source='"manual"',
                ),
                reading(
                    "load", unit="N", uncertainty='"5 %"', limit="{ target = 50, tolerance = 3 }"
                ),
                reading("span", limit="{ min = 100, max = '5 in' }".replace("'", '"')),
                reading("slack", limit="{ target = 30, tolerance = '10 %' }".replace("'", '"')),
                reading("turns", unit="turn", limit='{ equal = "1-1/2" }'),
                derived(
                    "tension", "span_tension(force=load, span=span, deflection=deflection)", "N"
                ),
                derived("wear", "(spec.gap - deflection) / spec.gap", "%", limit="{ max = 3 }"),
            ),
            step(
                "boots",
                reading(
                    "crack",
                    "choice",
                    "",
                    options='["none", "through"]',
                    limit='{ equal = ["none"] }',
                ),
                reading("photo", "photo", "", optional="true"),
                reading("count", "count", "", limit="{ min = 1 }"),
                reading("leaks", "check", "", limit="{ equal = false }"),
                reading("needle", "text", "", limit='{ equal = "spec.needle" }'),
                reading("name", "text", "", limit='{ equal = "MAG" }'),
                reading("seen", "date", ""),
                reading("hold", "timer", "", limit='{ min = "1 min" }'),
                reading(
                    "air", unit="degC", uncertainty="2", limit="{ target = 20, tolerance = 5 }"
                ),
                derived(
                    "rise", "air - track_tension.deflection * 0 / '1 mm' * '1 delta_degC'", "degC"
                ),
                derived("any", "crack == 'through' or leaks", ""),
                derived("spread", "spread(needle_gap)", across="true").replace(
                    'spread"\nlabel', 'gap-spread"\nlabel'
                ),
                reading("needle_gap"),
                per="cylinder",
            ),
            step("plain"),
        ]
    )
    text += """[[inference]]
id = "intake-leak"
per = "cylinder"
when = "boots.crack == 'through' and boots.leaks"
says = "Air leak at this cylinder's boot."
sure = "high"
look_at = ["plain"]
[[inference]]
id = "uneven"
when = "spread(boots.needle_gap) > '1 mm' and plain.done"
says = "Uneven."
"""
    loaded = sound(text)
    machine = definitions.load_machine(SHEET, "bed.toml")
    assert machine.problems == ()
    problems = definitions.check_together(loaded, text, "list.toml", machine.machine)
    # `width_max` is a plain number in this sheet.
    assert [problem.path for problem in problems] == ["section.step.reading.limit.max"]
    assert "plain number" in problems[0].message


def test_python_words_may_be_ids():
    """`return` and `in` are words of the trade; only the expression language's own are taken."""
    text = HEAD + step("throttle", reading("return"), derived("in", "return * 2 + throttle.return"))
    compiled = sound(text).compiled
    found = compiled.value["throttle", "in"].evaluate(lambda name: quantity("2 mm"))
    assert found == quantity("6 mm")


def test_a_calculations_name_is_free_as_an_id():
    """A call has brackets and a name has none: a step may be called as what it works out."""
    text = HEAD + step("toe", reading("front"), derived("toe", "front * 2"))
    loaded = definitions.load_checklist(text, "f")
    assert loaded.sound and not loaded.problems
    assert loaded.compiled is not None


# --- limits as expressions ---------------------------------------------------------------------


def limit_of(kind, unit, limit, **more):
    text = HEAD + step("belt", reading("width", kind, unit, limit=limit, **more))
    compiled = sound(text).compiled
    return {side: one.evaluate(nothing) for side, one in compiled.limits["belt", "width"].items()}


@pytest.mark.parametrize(
    ("kind", "unit", "limit", "expected"),
    [
        ("number", "mm", "{ min = 1.5 }", {"min": "1.5 mm"}),
        ("number", "mm", '{ min = "2" }', {"min": "2 mm"}),
        ("number", "mm", '{ max = "1-1/4 in" }', {"max": "31.75 mm"}),
        ("number", "mm", "{ max = \"'1 in' + '1 mm'\" }", {"max": "26.4 mm"}),
        ("number", "N", '{ max = "10 kg" }', {"max": "98.0665 N"}),
        ("number", "degC", "{ min = -20 }", {"min": "-20 degC"}),
        ("number", "degC", '{ min = "-4 F" }', {"min": "-20 degC"}),
        (
            "number",
            "degC",
            "{ target = 20, tolerance = 5 }",
            {"target": "20 degC", "tolerance": "5 delta_degC"},
        ),
        (
            "number",
            "mm",
            '{ target = 20, tolerance = "5 %" }',
            {"target": "20 mm", "tolerance": "5 %"},
        ),
        ("number", "%", "{ max = 3 }", {"max": "3 %"}),
        ("number", "", "{ equal = 240 }", {"equal": "240"}),
        ("count", "", "{ min = 12 }", {"min": "12"}),
        ("timer", "", "{ min = 90 }", {"min": "90 s"}),
        ("timer", "", '{ min = "2 m" }', {"min": "120 s"}),
    ],
)  # fmt: skip
def test_a_bare_number_in_a_limit_is_in_the_readings_own_unit(kind, unit, limit, expected):
    found = limit_of(kind, unit, limit)
    assert found == {side: quantity(text, bare=False) for side, text in expected.items()}


def test_good_answers_of_what_is_no_number():
    options = '["good", "fair", "bad"]'
    assert limit_of("check", "", "{ equal = true }") == {"equal": True}
    assert limit_of("check", "", "{ equal = false }") == {"equal": False}
    assert limit_of("choice", "", '{ equal = "good" }', options=options) == {"equal": "good"}
    assert limit_of("choice", "", '{ equal = ["good", "fair"] }', options=options) == {
        "equal": ("good", "fair")
    }
    assert limit_of("text", "", '{ equal = "6 mm - 2" }') == {"equal": "6 mm - 2"}
    assert limit_of("date", "", '{ equal = "2026-11-02" }') == {"equal": "2026-11-02"}


def test_a_text_can_be_held_against_the_sheet():
    text = HEAD + step("belt", reading("needle", "text", "", limit='{ equal = "spec.needle" }'))
    expression = sound(text).compiled.limits["belt", "needle"]["equal"]
    assert expression.evaluate(lambda name: f"the {name.where}'s {name.id}") == "the spec's needle"


# --- with a sheet ------------------------------------------------------------------------------


def together(*steps, sheet=SHEET):
    text = HEAD + "".join(steps)
    machine = definitions.load_machine(sheet, "bed.toml").machine
    return text, definitions.check_together(sound(text), text, "list.toml", machine)


@pytest.mark.parametrize(
    ("rows", "per", "words"),
    [
        ([reading("width", limit='{ min = "spec.width_max" }')], "", "plain number"),
        ([reading("width", unit="N", limit='{ min = "spec.gap" }')], "", "is a length"),
        ([reading("width", unit="", limit='{ equal = "spec.main_jet" }')], "", 'per = "cylinder"'),
        ([reading("width"), derived("x", "width - spec.wear_max")], "", "percentage"),
        ([reading("width", limit='{ min = "spec.needle" }')], "cylinder", "a text"),
        (["only_if = \"machine.cooling > 3\""], "", "a text"),
        (["only_if = \"machine.cooling\""], "", "a text"),
        (["only_if = \"machine.pistons == 'three'\""], "", "three"),
        (["only_if = \"spec.needle == '6K'\""], "", "list"),
        ([derived("x", "mean(spec.main_jet)", "", across="true")], "cylinder", None),
        ([reading("width", unit="", limit='{ equal = "spec.main_jet" }')], "cylinder", None),
        ([reading("width", unit="%", limit='{ max = "spec.wear_max" }')], "", None),
        ([reading("n", "text", "", limit='{ equal = "spec.needle" }')], "cylinder", None),
        (["only_if = \"machine.pistons == 3 and not machine.reverse\""], "", None),
    ],
)  # fmt: skip
def test_dimensions_with_the_sheets_figures(rows, per, words):
    text, problems = together(step("belt", *rows, per=per))
    shown = [str(problem) for problem in problems]
    if words is None:
        assert shown == []
        return
    assert len(problems) == 1, shown
    assert words in problems[0].message
    assert not problems[0].note
    assert problems[0].path.rpartition(".")[2] in text.splitlines()[problems[0].line - 1]


def test_a_figure_that_the_sheet_lacks_is_noted_once():
    _, problems = together(
        step(
            "belt",
            "only_if = \"machine.inlet == 'reed'\"",
            reading("width", limit='{ min = "spec.belt_min", max = "spec.widht_max" }'),
            reading("other", limit='{ min = "spec.belt_min" }'),
        )
    )
    assert [(problem.path, problem.note) for problem in problems] == [
        ("section.step.only_if", True),
        ("section.step.reading.limit.min", True),
        ("section.step.reading.limit.max", True),
    ]
    assert "no spec.belt_min (asked for 2 times)" in problems[1].message
    assert "did you mean width_max?" in problems[2].message
    assert "list.toml:" in str(problems[0])
    assert ": note: " in str(problems[0])


def test_a_zone_too_narrow_by_the_sheet_is_noted():
    rows = reading(
        "gap", limit='{ target = "spec.gap", tolerance = "0.1 mm" }', uncertainty='"0.2 mm"'
    )
    _, problems = together(step("plugs", rows))
    assert [(problem.path, problem.note) for problem in problems] == [
        ("section.step.reading.limit", True)
    ]
    assert "0.4 to 0.6 mm is too narrow" in problems[0].message
    _, problems = together(step("plugs", rows.replace("0.2 mm", "0.1 mm")))
    assert problems == ()


def test_limits_of_the_sheet_the_wrong_way_round():
    rows = reading("gap", limit='{ min = "spec.width_min", max = "spec.gap" }')
    _, problems = together(step("plugs", rows))
    assert len(problems) == 1
    assert "31.5 mm, is above max, 0.5 mm" in problems[0].message


def test_figures_with_a_dash_are_found():
    rows = reading("wear", unit="%", limit='{ max = "spec.wear_max" }')
    assert together(step("belt", rows))[1] == ()


# --- shipped files, and which of the two a file is ----------------------------------------------


@pytest.mark.parametrize("stem", shipped.LISTS)
def test_shipped_lists_are_sound_and_go_with_every_sled(stem):
    text = shipped.text_of(stem)
    loaded = shipped.loaded(stem)
    assert loaded.sound, "\n".join(map(str, loaded.problems))
    assert definitions.kind_of(text) == "checklist"
    for sheet in shipped.SHEETS:
        problems = definitions.check_together(loaded, text, stem, shipped.machine(sheet))
        assert [str(one) for one in problems if not one.note] == []


@pytest.mark.parametrize("stem", shipped.SHEETS)
def test_shipped_sheets_are_sound(stem):
    text = shipped.text_of(stem)
    assert definitions.load_machine(text, stem).problems == ()
    assert definitions.kind_of(text) == "machine"


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.stem)
def test_a_bad_file_is_still_known_for_what_it_wants_to_be(path):
    kinds = {"sheet": "machine", "list": "checklist", "figures": "figures"}
    wanted = kinds[path.name.partition("-")[0]]
    assert definitions.kind_of(path.read_text(encoding="utf-8")) == wanted


# --- of a log -----------------------------------------------------------------------------------


def test_a_logs_list_is_compiled_as_the_checked_one():
    for stem in shipped.LISTS:
        checked = shipped.checklist(stem)
        trusted = of_log.compile_trusted(shipped.opened_text(stem))
        assert trusted.checklist == checked.checklist
        assert trusted.steps == checked.steps
        for ours, theirs in (
            (trusted.only_if, checked.only_if),
            (trusted.value, checked.value),
            (trusted.inference, checked.inference),
        ):
            assert {key: one.text for key, one in ours.items()} == {
                key: one.text for key, one in theirs.items()
            }
        assert trusted.limits.keys() == checked.limits.keys()


@pytest.mark.parametrize("stem", [*shipped.LISTS, *shipped.SHEETS])
def test_decoding_gives_what_the_library_s_strict_one_gives(stem):
    """msgspec reads the same declarations by itself, and refuses what has not their form."""
    if stem in shipped.LISTS:
        data = tomllib.loads(shipped.opened_text(stem))
        assert decode.checklist_of(data) == msgspec.convert(data, Checklist)
        return
    data = tomllib.loads(shipped.text_of(stem))
    words = data["spec"].pop("text", {})
    settings = [
        {key: band.pop(key) for key in list(band) if key not in decode.BAND_KEYS}
        for band in data.get("jet_chart", [])
    ]
    data["spec_text"] = words
    for band, found in zip(data.get("jet_chart", []), settings, strict=True):
        band["settings"] = found
    expected = msgspec.convert(data, Machine)
    data["spec"]["text"] = data.pop("spec_text")
    for band in data.get("jet_chart", []):
        band.update(band.pop("settings"))
    assert decode.machine_of(data) == expected


def test_an_older_or_newer_list_still_opens():
    text = HEAD + step(
        "belt",
        'colour = "red"',
        reading("width", unit="furlong_of_old", limit='{ min = "spec.a +", most = 3 }'),
        derived("wear", "gone_function(width)"),
        derived("more", "width * 2"),
    )
    compiled = of_log.compile_trusted(text)
    found = compiled.value["belt", "wear"].evaluate(nothing)
    assert "no calculation 'gone_function'" in found.reason
    assert found.measured
    assert "can't be read" in compiled.limits["belt", "width"]["min"].evaluate(nothing).reason
    assert compiled.value["belt", "more"].evaluate(lambda name: quantity("2 mm")) == quantity(
        "4 mm"
    )


def test_derived_values_in_a_circle_have_a_reason_and_no_value():
    """A log is not checked again, and must not hang either."""
    text = HEAD + step("a", derived("x", "b.y + b.y")) + step("b", derived("y", "a.x + a.x"))
    compiled = of_log.compile_trusted(text)
    reasons = [
        one.evaluate(lambda name: compiled.value[name.step, name.id].evaluate(nothing)).reason
        for one in compiled.value.values()
    ]
    assert all("circle" in reason for reason in reasons)


def test_derived_values_that_double_each_time_are_refused():
    rows = [derived("d0", "'1 mm' * 1")]
    rows += [derived(f"d{n}", f"d{n - 1} + d{n - 1}") for n in range(1, 40)]
    loaded = definitions.load_checklist(HEAD + step("a", *rows), "f")
    assert not loaded.sound
    assert all("rests on too many" in problem.message for problem in loaded.problems)


@pytest.mark.parametrize(
    "text",
    [
        "", "x", "a = 1", "[[section]]", HEAD, "id = 'a'\ntitle = 'a'\nsection = 3",
        "id = 'a'\nsection = [{ id = 's', step = [1, 2] }]", "\0", "a = '\x1b[31m", "[" * 5000,
        "a = " + "[" * 5000, "a = " + "{a=" * 5000, ".".join("a" * 5000) + " = 1",
        "a = '" + "x" * 6_000_000 + "'", "\ud800", HEAD + "step = [[1]]",
    ],
)  # fmt: skip
def test_a_log_without_a_checklist_is_refused_in_words(text):
    with pytest.raises(Refused) as caught:
        of_log.compile_trusted(text)
    assert str(caught.value).isprintable()
    with pytest.raises(Refused):
        of_log.trusted_machine(text)
    for load in (definitions.load_checklist, definitions.load_machine):
        loaded = load(text, "f")
        assert not loaded.sound
        assert all(str(problem).isprintable() for problem in loaded.problems)
    assert definitions.kind_of(text) in ("checklist", "machine", "figures", "drawing")


def test_trusted_sheet():
    machine = of_log.trusted_machine(SHEET + '\n[later]\nkey = "unknown"\n')
    assert machine == definitions.load_machine(SHEET, "bed.toml").machine
    assert machine.cylinders == ("PTO", "centre", "MAG")
    assert machine.spec["main_jet"] == (240, 230, 240)
    assert machine.spec_text["needle"] == ("6K", "6K", "6L")
    assert machine.jet_chart[0].settings == {"main_jet": (250, 240, 250)}


JUNK = st.recursive(
    st.booleans()
    | st.integers(-5, 5)
    | st.floats(allow_nan=True)
    | st.sampled_from(["", "mm", "belt", "spec.a", "width + 1", "12 mm", "choice", "cylinder"]),
    lambda inner: st.lists(inner, max_size=3)
    | st.dictionaries(
        st.sampled_from(
            ["id", "title", "kind", "unit", "limit", "min", "equal", "reading", "derived", "step",
             "when", "only_if", "value", "needs", "after", "options", "per", "label",
             "uncertainty", "text", "across"]
        ),
        inner,
        max_size=5,
    ),
    max_leaves=25,
)  # fmt: skip


@given(
    st.dictionaries(
        st.sampled_from(
            [
                "section",
                "inference",
                "spec",
                "machine",
                "jet_chart",
                "source",
                "cylinders",
                "id",
                "title",
                "revision",
                "cautions",
            ]
        ),
        JUNK,
        max_size=6,
    )
)
@settings(max_examples=150, deadline=None)
def test_whatever_stands_in_a_file_is_said_in_words(data):
    """Any shape of data ends in problems with lines, never in a traceback."""
    text = tomli_w.dumps(data)
    for load in (definitions.load_checklist, definitions.load_machine):
        for problem in load(text, "f").problems:
            assert str(problem).isprintable()
            assert problem.line is None or 1 <= problem.line <= text.count("\n") + 1
    for trusted in (of_log.compile_trusted, of_log.trusted_machine):
        try:
            trusted(text)
        except Refused as error:
            assert str(error).isprintable()


# --- a step added on the spot -------------------------------------------------------------------


def test_a_step_is_added_to_its_section():
    text = HEAD + step("belt") + '[[section]]\nid = "end"\ntitle = "End"\n' + step("last")
    compiled = sound(text).compiled
    grown = of_log.add_step(compiled, "drive", "added-1", "Clip play", "mm")
    assert [one.id for one in grown.checklist.steps] == ["belt", "added-1", "last"]
    added = grown.steps["added-1"].readings[0]
    assert (added.id, added.kind, added.unit) == ("value", "number", "mm")
    assert (
        of_log.add_step(grown, "end", "added-2", "Smell").steps["added-2"].readings[0].kind
        == "text"
    )
    assert [one.id for one in compiled.checklist.steps] == ["belt", "last"]


# --- what follows where a key is left out -------------------------------------------------------


def test_a_move_changes_the_readings_of_its_step_that_it_rests_on():
    text = HEAD + step(
        "toe",
        reading("front"),
        reading("rear"),
        reading("base"),
        derived("toe", "front - rear"),
        setting("rods", "front", "-toe"),
        setting("said", "front", "-toe", moves='["front", "base"]'),
        setting("sheet", "base", "spec.wanted + '1 mm'"),
        setting("other", "rear", "belt.width - rear"),
    ) + step("belt", reading("width"))  # fmt: skip
    moves = of_log.compile_trusted(text).moves
    assert moves == {
        ("toe", "rods"): ("front", "rear"),
        ("toe", "said"): ("front", "base"),
        ("toe", "sheet"): ("base",),
        ("toe", "other"): ("rear",),
    }


def test_an_inference_explains_the_readings_that_it_names():
    text = (
        HEAD
        + step("belt", reading("width"), derived("wear", "width * 2"))
        + step("plugs", reading("gap"))
    )
    text += "".join(
        f'[[inference]]\nid = "{id_}"\nwhen = "plugs.gap > \'1 mm\' and belt.wear > \'2 mm\'"\n'
        f'says = "Look."\n{more}'
        for id_, more in (("left-out", ""), ("said", 'explains = ["belt.width"]\n'))
    )  # fmt: skip
    assert sound(text).compiled.explains == {
        "left-out": (("belt", "wear"), ("plugs", "gap")),
        "said": (("belt", "width"),),
    }


def test_after_and_disturbed_by_may_name_the_same_step():
    """They speak of different times: in which order, and what upsets it afterwards."""
    sound(HEAD + step("mark", 'after = ["idle"]', 'disturbed_by = ["idle"]') + step("idle"))


def test_a_logs_list_sees_the_air_and_the_chart_as_a_checked_one_does():
    text = HEAD + step(
        "jets",
        reading("main", unit="", limit='{ equal = "chart.main_jet" }'),
        derived("cold", "conditions.temperature < '-10 degC'", ""),
    )
    for compiled in (sound(text).compiled, of_log.compile_trusted(text)):
        (name,) = compiled.limits["jets", "main"]["equal"].names
        assert name.where == "chart"
        (name,) = compiled.value["jets", "cold"].names
        assert name.where == "conditions"


def test_an_old_key_is_one_problem_whatever_stands_in_it():
    text = HEAD + step("belt", 'needs = ["nowhere"]', 'when = "1 +"', "before = 3")
    said = [str(problem).partition("step.")[2] for problem in
            definitions.load_checklist(text, "f").problems]  # fmt: skip
    assert said == [
        "needs: 'needs' is called after now; write after.",
        "when: 'when' is called only_if now; write only_if.",
        "before: 'before' is called disturbed_by now; write disturbed_by.",
    ]
