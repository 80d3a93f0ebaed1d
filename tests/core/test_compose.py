"""Lists that take in steps and sections of others."""

from __future__ import annotations

import tomllib
from datetime import UTC, datetime

import pytest
import tomli_w
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.core.definitions import load as definitions
from inspect_tui.core.definitions import of_log
from inspect_tui.core.definitions.sheets import write_toml
from inspect_tui.core.evaluation.checklist_on_machine import ChecklistOnMachine
from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.expressions.expression import NOT_MEASURED
from inspect_tui.core.model.log_entry import AS_FOUND, Entry
from inspect_tui.core.session.replay import replay
from tests.builders import checklist, derived, figure, inference, reading, section, sheet, step, use

AT = datetime(2026, 11, 2, tzinfo=UTC)
BASE = checklist(
    step("dead"),
    step(
        "belt",
        reading("width", uncertainty='"0.2 mm"', limit='{ min = "spec.belt_min" }'),
        derived("wear", "spec.belt_new - width + boots.gap"),
        after='["dead", "boots"]',
        disturbed_by='["boots", "carb"]',
        how='"""Two\nlines with "quotes" and \\\\."""',
    ),
    section("intake"),
    step("boots", reading("crack", "choice", options='["none", "through"]'), reading("gap")),
    step(
        "plugs", reading("colour", "choice", options='["tan", "light"]'),
        only_if="\"boots.gap > '1 mm'\"",
    ),
    step("carb", after='["boots"]'),
    inference(
        "leak", "boots.crack == 'through' and plugs.colour == 'light'",
        look_at='["boots", "dead"]', explains='["plugs.colour", "boots.gap"]',
    ),
    inference("worn", "belt.wear > '1 mm' and plugs.colour == 'light'"),
    inference("deep", "boots.gap > '1 mm' and belt.width < '3 mm'"),
    figure("belt_min", "Belt width, least", unit='"mm"'),
    figure("toe", "Toe"),
    id_="base",
    top='cautions = ["Of the whole job."]\n',
)  # fmt: skip


class Shelf:
    """Lists in a dictionary."""

    def __init__(self, *texts):
        self.lists = {tomllib.loads(text)["id"]: text for text in texts}

    def text(self, list_id):
        return self.lists.get(list_id)

    def ids(self):
        return list(self.lists)


def composed(*tables, shelf=(BASE,), **head):
    text = checklist(*tables, id_="mine", **head)
    loaded = definitions.load_checklist(text, "mine.toml", Shelf(*shelf))
    return text, loaded


def errors(loaded):
    return [str(problem) for problem in loaded.problems if not problem.note]


def test_a_step_stands_in_the_place_of_its_use():
    _, loaded = composed(step("first"), use("base:belt"), step("last", after='["belt"]'))
    assert errors(loaded) == []
    steps = loaded.compiled.checklist.steps
    assert [each.id for each in steps] == ["first", "belt", "last"]
    theirs = definitions.load_checklist(BASE, "base.toml").compiled.steps["belt"]
    assert steps[1].readings == theirs.readings
    assert steps[1].how == theirs.how
    assert steps[1].after == ()  # neither was taken
    assert steps[1].disturbed_by == ()
    assert steps[2].after == ("belt",)


def test_a_section_stands_in_the_place_of_its_use():
    _, loaded = composed(section("own"), step("first"), use("base:intake", of="section"))
    assert errors(loaded) == []
    sections = loaded.compiled.checklist.section
    assert [each.id for each in sections] == ["own", "intake"]
    assert [each.id for each in sections[1].step] == ["boots", "plugs", "carb"]
    assert loaded.compiled.steps["carb"].after == ("boots",)


def test_the_text_is_whole_by_itself_and_keeps_what_the_person_wrote():
    text, loaded = composed("# my own words\n" + step("first"), use("base:belt") + "# at the end\n")
    made = loaded.composed.text
    alone = definitions.load_checklist(made, "made.toml")
    assert tomllib.loads(made) == loaded.composed.data
    assert alone.compiled is None or alone.compiled.checklist == loaded.compiled.checklist
    assert of_log.compile_trusted(made).checklist == loaded.compiled.checklist
    assert "# my own words\n" in made and "# at the end\n" in made
    assert "use = " not in made
    assert 'use = "base:belt"' in text  # what the person wrote is not touched


def test_a_list_without_use_is_opened_with_its_own_text():
    text, loaded = composed(step("first"))
    assert loaded.composed.text is text


def test_inferences_come_along_where_all_their_readings_do():
    def names(*taken):
        compiled = composed(*(use(f"base:{each}") for each in taken))[1].compiled
        return {each.id: each for each in compiled.checklist.inference}

    assert set(names("belt")) == set()
    # `worn` rests on boots.gap through the derived value that it names.
    assert set(names("belt", "plugs")) == set()
    assert set(names("belt", "boots")) == {"deep"}
    found = names("boots", "plugs", "belt")
    assert set(found) == {"leak", "worn", "deep"}
    assert found["leak"].look_at == ("boots",)
    assert found["leak"].explains == ("plugs.colour", "boots.gap")


def test_an_inference_of_one_s_own_stays_one_s_own():
    own = inference("leak", "boots.crack == 'through' and first.done", "Mine.")
    _, loaded = composed(step("first"), use("base:boots"), use("base:plugs"), own)
    assert [each.says for each in loaded.compiled.checklist.inference] == ["Mine."]


def test_figures_come_along_that_a_taken_step_asks_for():
    _, loaded = composed(use("base:belt"))
    assert set(loaded.compiled.checklist.figure) == {"belt_min"}
    own = figure("belt_min", "Mine")
    _, loaded = composed(use("base:belt"), own)
    assert loaded.compiled.checklist.figure["belt_min"].label == "Mine"
    assert not loaded.compiled.checklist.cautions  # they speak of the other list's whole job


def test_a_reading_that_was_not_taken_is_not_measured_and_noted():
    text, loaded = composed(use("base:belt"), use("base:plugs"))
    notes = [str(problem) for problem in loaded.problems]
    line = text[: text.index("base:belt")].count("\n") + 1
    assert notes == [
        f"mine.toml:{line}: section.step.use: note: base:belt, derived.value: 'spec.belt_new - "
        "width + boots.gap' asks for boots.gap, which was not taken; it counts as not measured.",
        f"mine.toml:{line + 2}: section.step.use: note: base:plugs, only_if: 'boots.gap > '1 mm'' "
        "asks for boots.gap, which was not taken; it counts as not measured.",
    ]
    machine = definitions.load_machine(sheet(spec={"belt_new": '"38 mm"'}), "bed.toml").machine
    for compiled in (loaded.compiled, of_log.compile_trusted(loaded.composed.text)):
        session = replay([Entry(0, "opened", AT, "A. Tester", {"session": "s"})])
        lookup = Evaluator(ChecklistOnMachine(compiled, machine), session).lookup(None, AS_FOUND)
        assert compiled.only_if["plugs"].evaluate(lookup) is NOT_MEASURED
        assert compiled.value["belt", "wear"].evaluate(lookup) is NOT_MEASURED


def test_lists_take_from_lists_that_take():
    middle = checklist(use("base:belt"), use("base:carb"), id_="middle")
    _, loaded = composed(use("middle:belt"), shelf=(BASE, middle))
    assert errors(loaded) == []
    assert [each.id for each in loaded.compiled.checklist.steps] == ["belt"]
    assert any("boots.gap" in problem.message for problem in loaded.problems)


def test_what_is_missing_for_a_machine_is_noted_at_the_use():
    text, loaded = composed(use("base:belt"))
    machine = definitions.load_machine(sheet(), "bed.toml").machine
    problems = definitions.check_together(loaded, text, "mine.toml", machine)
    assert {problem.path for problem in problems} == {"section.step.use"}
    assert any("spec.belt_min" in problem.message for problem in problems)
    assert all(problem.note for problem in problems)


@pytest.mark.parametrize(
    ("rows", "path", "words"),
    [
        (use("base:belts"), "section.step.use", "has no step 'belts'; did you mean belt?"),
        (use("bas:belt"), "section.step.use", "no checklist 'bas'; did you mean base?"),
        (use("base"), "section.step.use", "write LIST:STEP, such as"),
        (use("base:belt.width"), "section.step.use", "write LIST:STEP"),
        (use("../base:belt"), "section.step.use", "write LIST:STEP"),
        (use("base:intake"), "section.step.use", "'intake' is a section of 'base'; write it in"),
        (use("base:belt", of="section"), "section.use", "'belt' is a step of 'base'; write it"),
        (use("base:dirve", of="section"), "section.use", "did you mean drive?"),
        (use("mine:belt"), "section.step.use", "in a circle"),
        (use("base:belt") + 'title = "Mine"\n', "section.step.title", "use stands alone"),
        (use("base:belt") + reading("x") + "\n", "section.step.reading", "use stands alone"),
        (step("belt") + use("base:belt"), "section.step.use", "already a step"),
        (use("base:belt") + use("base:belt"), "section.step.use", "already a step"),
        (use("base:belt") + step("belt"), "section.step.id", "already a step"),
        ("[[section.step]]\nuse = 3\n", "section.step.use", "write a text in quotes"),
        ('[[section.step]]\nuse = ""\n', "section.step.use", "use is empty"),
        (use("round:a"), "section.step.use", "in a circle"),
        (use("broken:a"), "section.step.use", "can't be taken from"),
        (use("faulty:a"), "section.step.use", "faulty:a, reading.unit"),
    ],
)  # fmt: skip
def test_what_can_t_be_taken_is_said_at_its_use(rows, path, words):
    round_ = checklist(use("mine:a"), id_="round")
    faulty = checklist(step("a", reading("x", unit="milimeter")), id_="faulty")
    shelf = Shelf(BASE, round_, faulty)
    shelf.lists["broken"] = 'id = "broken\n'
    text = checklist(rows, id_="mine")
    loaded = definitions.load_checklist(text, "mine.toml", shelf)
    found = [problem for problem in loaded.problems if not problem.note]
    assert len(found) == 1, errors(loaded)
    assert found[0].path == path
    assert words in found[0].message
    key = path.rpartition(".")[2]
    assert key in text.splitlines()[found[0].line - 1]
    assert not loaded.sound


def test_without_other_lists_nothing_can_be_taken():
    loaded = definitions.load_checklist(checklist(use("base:belt")), "mine.toml")
    assert "no checklist 'base'" in errors(loaded)[0]


@pytest.mark.parametrize(
    "text",
    [
        'id = "mine"\ntitle = "M"\n'
        'section = [{ id = "s", title = "S", step = [{ use = "base:belt" }] }]\n',
        'id = "mine"\ntitle = "M"\n[[section]]\nid = "s"\ntitle = "S"\n'
        '[[section.step]]\nuse = """\\\n  base:belt"""\n',
        'id = "mine"\r\ntitle = "M"\r\n[[section]]\r\nid = "s"\r\ntitle = "S"\r\n'
        '[[section.step]]\r\nuse = "base:belt"\r\n',
        'id = "mine"\ntitle = "M"\n[[section]]\nid = "s"\ntitle = "S"\n'
        '[["section".step]]\nuse = "base:belt"',
    ],
)  # fmt: skip
def test_however_a_use_is_written_the_text_reads_back(text):
    loaded = definitions.load_checklist(text, "mine.toml", Shelf(BASE))
    assert errors(loaded) == []
    assert tomllib.loads(loaded.composed.text) == loaded.composed.data
    assert [each.id for each in loaded.compiled.checklist.steps] == ["belt"]


# --- the writer ---------------------------------------------------------------------------------

KEYS = st.text(max_size=6) | st.sampled_from(["section", "step", "reading", "limit", "a b"])
WORDS = st.text(max_size=12) | st.sampled_from(['"""', '\\"""', "a\nb", '"\n"', "\r\n", "\x00\x7f"])
VALUES = st.recursive(
    st.booleans()
    | st.integers(-(2**63), 2**63 - 1)
    | st.floats(allow_nan=False)
    | WORDS
    | st.dates()
    | st.datetimes(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=3),
    max_leaves=12,
)


@given(st.dictionaries(KEYS, VALUES, max_size=4))
@settings(max_examples=150, deadline=None)
def test_what_is_written_reads_back(data):
    data = tomllib.loads(tomli_w.dumps(data))  # what TOML can hold at all
    assert tomllib.loads(write_toml.document(data)) == data
