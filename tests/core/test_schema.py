"""The JSON Schema of definition files, held to the `jsonschema` library and to `check`.

JSON Schema: draft 2020-12 (json-schema.org), whose own meta-schema judges ours.
"""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from inspect_tui.core.definitions import json_schema
from inspect_tui.core.definitions import load as definitions
from inspect_tui.core.definitions.checks import check_form
from inspect_tui.core.definitions.problems import ProblemCollector

ROOT = Path(__file__).parents[2] / "checklists"
LISTS = sorted(ROOT.glob("*.toml"))
SHEETS = sorted((ROOT / "machines").glob("*.toml"))
FIGURES = sorted((ROOT / "figures").glob("*.toml"))
BAD = sorted((Path(__file__).parent / "data" / "bad").glob("*.toml"))
VALIDATORS = {what: Draft202012Validator(json_schema.schema(what)) for what in json_schema.MODELS}
FORMS = {
    "checklist": check_form.check_form,
    "sheet": check_form.check_sheet_form,
    "figures": check_form.check_figures_form,
}


def faults(what, data):
    return [error.message for error in VALIDATORS[what].iter_errors(data)]


def has_form(what, data):
    complaints = ProblemCollector()
    FORMS[what](data, complaints)
    return not complaints.problems("", "f")


def of_file(path):
    found = path.name.partition("-")[0]
    return {"list": "checklist"}.get(found, found)


@pytest.mark.parametrize("what", list(json_schema.MODELS))
def test_it_is_a_schema_of_its_draft(what, run):
    Draft202012Validator.check_schema(json_schema.schema(what))
    ran = run("schema", what)
    assert ran.status == 0
    assert json.loads(ran.out) == json_schema.schema(what)
    assert json.loads(ran.out)["$schema"] == "https://json-schema.org/draft/2020-12/schema"


def test_an_unknown_kind_of_file_is_refused(run):
    assert run("schema", "checklists").status == 2


@pytest.mark.parametrize(
    ("what", "path"),
    [
        *(("checklist", path) for path in LISTS),
        *(("sheet", path) for path in SHEETS),
        *(("figures", path) for path in FIGURES),
    ],
    ids=lambda value: value.stem if isinstance(value, Path) else value,
)
def test_what_ships_is_valid(what, path):
    assert faults(what, tomllib.loads(path.read_text(encoding="utf-8"))) == []


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.stem)
def test_a_broken_file_is_invalid_where_its_form_is_wrong(path):
    """The schema knows the form alone; that is all that it may say, and all of it."""
    what, text = of_file(path), path.read_text(encoding="utf-8")
    try:
        data = tomllib.loads(text)
        json.dumps(data, allow_nan=False)
    except ValueError:  # no TOML, or with a number that JSON has not
        return
    if not has_form(what, data):
        assert faults(what, data)
    elif faults(what, data):
        load = {
            "checklist": definitions.load_checklist,
            "sheet": definitions.load_machine,
            "figures": definitions.load_figures,
        }[what]
        assert any(not problem.note for problem in load(text, path.name).problems)


def test_broken_files_of_both_kinds_are_among_them():
    broken = {
        what: [
            path.stem
            for path in BAD
            if of_file(path) == what and "syntax" not in path.stem and _invalid(what, path)
        ]
        for what in ("checklist", "sheet")
    }
    assert len(broken["checklist"]) > 20
    assert len(broken["sheet"]) > 5


def _invalid(what, path):
    try:
        return bool(faults(what, tomllib.loads(path.read_text(encoding="utf-8"))))
    except tomllib.TOMLDecodeError:
        return False


@pytest.mark.parametrize("what", list(json_schema.MODELS))
def test_every_key_has_help_and_its_examples_are_valid(what):
    whole = json_schema.schema(what)
    tables = [whole, *whole.get("$defs", {}).values()]
    for table in tables:
        assert table["description"]
        for name, about in table["properties"].items():
            assert about["description"].endswith("."), name
            each = {**about, "$defs": whole.get("$defs", {})}
            for example in about.get("examples", []):
                errors = [
                    error.message for error in Draft202012Validator(each).iter_errors(example)
                ]
                assert errors == [], name


NAMES = [
    "id", "title", "revision", "cautions", "section", "inference", "drawing", "figure", "step",
    "use", "how", "tools", "only_if", "per", "minutes", "safety", "gate", "after", "every",
    "reading", "derived", "setting", "label", "kind", "unit", "options", "optional", "limit",
    "uncertainty", "unknown", "meter", "same_as", "min", "equal", "value", "move", "moves", "more",
    "less", "when", "says", "sure", "explains", "where",
]  # fmt: skip
VALUES = st.one_of(
    st.booleans(),
    st.integers(-2, 3),
    st.floats(-2, 3),
    st.sampled_from(
        ["", " ", "a", "number", "cylinder", "start", "fail", "hours", "high", "a:b", "a:b.c"]
    ),
)
TREE = st.recursive(
    VALUES,
    lambda inner: (
        st.lists(inner, max_size=2) | st.dictionaries(st.sampled_from(NAMES), inner, max_size=4)
    ),
    max_leaves=15,
)
STEP = st.dictionaries(st.sampled_from(NAMES), TREE, max_size=5)


@given(st.dictionaries(st.sampled_from(NAMES), TREE, max_size=5), st.lists(STEP, max_size=2))
@settings(max_examples=200, deadline=None)
def test_the_schema_and_check_agree_on_any_form(data, steps):
    """Ids and references have patterns, which `check` says in its own words elsewhere."""
    whole = {
        "id": "a", "title": "A", "section": [{"id": "b", "title": "B", "step": steps}], **data
    }  # fmt: skip
    for what in ("checklist", "figures"):
        valid = _without_patterns(what)
        assert has_form(what, whole) == (not list(valid.iter_errors(whole)))


def _without_patterns(what, known={}):  # noqa: B006
    if what not in known:
        text = json.dumps(json_schema.schema(what))
        data = json.loads(text)
        _strip(data)
        known[what] = Draft202012Validator(data)
    return known[what]


def _strip(data):
    """Patterns other than 'not empty' become that one."""
    if isinstance(data, dict):
        if isinstance(data.get("pattern"), str) and data["pattern"] != r"\S":
            data["pattern"] = r"\S"
        for value in data.values():
            _strip(value)
    elif isinstance(data, list):
        for value in data:
            _strip(value)
