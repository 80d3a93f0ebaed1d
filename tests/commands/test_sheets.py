"""A person's own lists and machines, begun at the prompt."""

from __future__ import annotations

import json
import tomllib

import pytest
from builders import checklist, figure, reading, sheet, step


def put(folder, name, text):
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"{name}.toml"
    path.write_text(text, encoding="utf-8")
    return path


# --- new-list -----------------------------------------------------------------------------------


def test_a_list_of_lines_is_an_ordinary_checklist(run, places):
    ran = run(
        "new-list", "evening", "--title", "One evening", "--item", "Seat",
        "--item", "Belt | mm | min 31", "--item", "Coolant | one of clear, dark",
    )  # fmt: skip
    assert (ran.status, ran.out) == (0, "evening\n")
    path = places.checklists / "evening.toml"
    assert str(path) in ran.err
    assert path.stat().st_mode & 0o777 == 0o600
    data = tomllib.loads(path.read_text(encoding="utf-8"))
    assert (data["id"], data["title"], data["revision"]) == ("evening", "One evening", 1)
    assert [one["id"] for one in data["section"]] == ["own"]
    assert [one["id"] for one in data["section"][0]["step"]] == ["own-1", "own-2", "own-3"]
    assert run("check", "evening").err == "1 file: no problems.\n"
    put(places.machines, "bed", sheet())
    session = run("new", "evening", "bed", "--by", "A. Tester").out.strip()
    ran = run("record", session, "own-1.done=yes", "own-2.value=30", "own-3.value=clear")
    assert ran.status == 0, ran.err
    assert "own-2.value = 30 mm: fail" in ran.out


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["pre-season", "--title", "T", "--item", "a"], "called 'pre-season' already"),
        (["own", "--title", "T", "--item", "a"], "called 'own' already"),
        (["../x", "--title", "T", "--item", "a"], "can't be an id"),
        (["1st", "--title", "T", "--item", "a"], "can't be an id"),
        (["x" * 90, "--title", "T", "--item", "a"], "can't be an id"),
        (["new", "--title", " ", "--item", "a"], "title is missing"),
        (["new", "--title", "T", "--item", "a | furlung"], 'no unit "furlung"'),
        (["new", "--title", "T", "--item", "a", "b | mm | 3"], "is no limit"),
        (["new", "--title", "T"], "--item"),
    ],
)
def test_a_list_that_can_t_be_made_is_2_and_leaves_nothing(run, places, arguments, words):
    put(places.checklists, "own", checklist(step("a"), id_="own"))
    before = sorted(places.store.rglob("*"))
    ran = run("new-list", *arguments)
    assert (ran.status, ran.out) == (2, "")
    assert words in ran.err
    assert sorted(places.store.rglob("*")) == before


# --- new-sheet ----------------------------------------------------------------------------------


def test_a_machine_begins_with_its_name(run, places):
    ran = run(
        "new-sheet", "blue", "--name", "The blue one", "--cylinders", "PTO, MAG",
        "--fact", "cooling=liquid", "--fact", "battery=yes", "--fact", "pistons=2",
        "--fact", "tank=38.5",
    )  # fmt: skip
    assert (ran.status, ran.out) == (0, "blue\n")
    text = (places.machines / "blue.toml").read_text(encoding="utf-8")
    assert tomllib.loads(text) == {
        "id": "blue", "name": "The blue one", "cylinders": ["PTO", "MAG"],
        "machine": {"cooling": "liquid", "battery": True, "pistons": 2, "tank": 38.5},
    }  # fmt: skip
    assert run("check", "blue").out == ""
    assert run("new", "pre-season", "blue", "--by", "A").status == 0


def test_a_machine_without_cylinders_walks_what_has_none(run, places):
    put(
        places.checklists,
        "short",
        checklist(step("jets", reading("a"), per="cylinder"), step("belt"), id_="short"),
    )
    assert run("new-sheet", "trailer", "--name", "Trailer").status == 0
    session = run("new", "short", "trailer", "--by", "A").out.strip()
    assert run("record", session, "belt.done=yes").status == 0
    states = {each["id"]: each["state"] for each in json.loads(
        run("status", session, "--json").out)["steps"]}  # fmt: skip
    assert states == {"jets": "not-needed", "belt": "done"}
    assert run("sign", session, "--by", "A").status == 0
    for form in ("md", "html", "json", "csv"):
        assert run("export", session, "--to", form).status == 0


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["tindrak-600", "--name", "N"], "called 'tindrak-600' already"),
        (["blue one", "--name", "N"], "is no id; write a letter"),
        (["blue", "--name", "\x1b[2J"], "name is missing"),
        (["blue", "--name", "N", "--cylinders", "A,,B"], "name is empty"),
        (["blue", "--name", "N", "--cylinders", "A,A"], "named twice"),
        (["blue", "--name", "N", "--fact", "cooling"], "is no fact"),
        (["blue", "--name", "N", "--fact", "a b=c"], "is no fact"),
        (["blue"], "--name"),
    ],
)
def test_a_machine_that_can_t_be_is_2_and_leaves_nothing(run, places, arguments, words):
    ran = run("new-sheet", *arguments)
    assert (ran.status, ran.out) == (2, "")
    assert words in ran.err
    assert not list(places.machines.iterdir())


# --- sheet --------------------------------------------------------------------------------------

LIST = checklist(
    step("belt", reading("width", limit='{ min = "spec.belt_min", max = "spec.belt_max" }')),
    step("jets", reading("main", unit="", limit='{ equal = "spec.main_jet" }'), per="cylinder"),
    step("needles", reading("n", "text", limit='{ equal = "spec.needle" }'), per="cylinder"),
    figure("belt_min", "Belt width, least", unit='"mm"'),
    id_="mine",
)  # fmt: skip
BED = sheet(
    facts={"cooling": '"liquid"'},
    spec={"belt_min": '"31.5 mm"', "main_jet": '[240, "?"]', "odd": "3"},
    words={"needle": '["6K", "6L"]'},
    source={"belt_min": '"manual, page 12"'},
)


def test_a_sheet_as_data(run, places):
    put(places.checklists, "mine", LIST)
    put(places.machines, "bed", BED)
    found = json.loads(run("sheet", "bed", "--for", "mine", "--json").out)
    assert found["machine"] == "bed"
    assert found["missing"] == ["belt_max", "main_jet"]
    assert found["figures"][0] == {
        "name": "belt_min", "cylinder": None, "label": "Belt width, least", "unit": "mm",
        "value": 31.5, "source": "manual, page 12", "used_by": ["belt"],
    }  # fmt: skip
    rows = [(row["name"], row["cylinder"], row["value"]) for row in found["figures"]]
    assert rows == [
        ("belt_min", None, 31.5), ("main_jet", "PTO", 240), ("odd", None, 3),
        ("needle", "PTO", "6K"), ("needle", "MAG", "6L"),
    ]  # fmt: skip
    assert found["figures"][2]["used_by"] == []
    assert json.loads(run("sheet", "bed", "--json").out)["missing"] == []


def test_a_sheet_in_words(run, places):
    put(places.checklists, "mine", LIST)
    put(places.machines, "bed", BED)
    ran = run("sheet", "bed", "--for", "mine")
    assert ran.status == 0
    assert "belt_min = 31.5 mm: Belt width, least (manual, page 12)" in ran.out
    assert "main_jet@PTO = 240" in ran.out
    assert "missing: belt_max" in ran.out


def test_a_list_or_machine_that_is_not_there_is_named(run, places):
    put(places.machines, "bed", BED)
    assert "Was bed meant?" in run("sheet", "bde").err
    ran = run("sheet", "bed", "--for", "pre-seson")
    assert ran.status == 2 and "Was pre-season meant?" in ran.err
