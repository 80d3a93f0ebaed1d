"""`check`, and lists that take from others, seen from the command line."""

from __future__ import annotations

import tomllib

import pytest

from tests.builders import checklist, derived, figure, inference, reading, section, sheet, step, use

GAUGE = reading("width", limit='{ min = "spec.belt_min" }')
BASE = checklist(step("belt", GAUGE), step("boots", reading("gap")), id_="base")


def put(folder, name, text):
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"{name}.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


# --- what can be checked ------------------------------------------------------------------------


def test_files_are_named_by_path_or_id(run, places, tmp_path):
    put(places.checklists, "base", BASE)
    put(places.machines, "bed", sheet(spec={"belt_min": '"31 mm"', "belt_mni": "3"}))
    put(places.figures, "mine", figure("belt_min"))
    for names in (["base"], [tmp_path / "store/checklists/base.toml"], ["mine"], ["sled"]):
        ran = run("check", *names)
        assert (ran.status, ran.out) == (0, "")
        assert ran.err == "1 file: no problems.\n"
    ran = run("check", "base", "bed", "mine", "sled")
    assert ran.status == 0
    assert "belt_mni" in ran.out


def test_an_id_that_a_list_and_a_sheet_share_means_both(run, places):
    put(places.checklists, "bed", checklist(step("a"), id_="bed"))
    put(places.machines, "bed", sheet())
    assert run("check", "bed").err == "2 files: no problems.\n"


@pytest.mark.parametrize(
    ("name", "words"),
    [("bsae", "did you mean base?"), ("nothing-like-it", "known are"), ("a/b.toml", "no file")],
)
def test_what_is_not_there_is_2_and_said_with_the_nearest(run, places, name, words):
    put(places.checklists, "base", BASE)
    ran = run("check", name)
    assert (ran.status, ran.out) == (2, "")
    assert words in ran.err
    assert ran.err.count("\n") == 1


def test_whatever_is_wrong_inside_is_1(run, places):
    wrong = {
        "list": 'id = "list"\n[[section]]\nid = 3\n',
        "sheet": 'id = "sheet"\ncylinders = 3\n',
        "figures": "[figure.a]\nunit = 3\n",
        "drawing": "[drawing]\nname = 3\n",
        "bytes": b'id = "\xff"\n',
        "nul": b"id = 3\0\n",
        "no-toml": "id = \n",
        "empty": "",
    }
    for name, text in wrong.items():
        path = put(places.store / "aside", name, text)
        ran = run("check", path)
        assert ran.status == 1, name
        assert ran.out.startswith(f"{path}:"), name
        assert ran.err == "", name


# --- what is noted ------------------------------------------------------------------------------


def notes(ran):
    assert ran.status == 0, ran.out
    return [line.partition("note: ")[2] for line in ran.out.splitlines()]


def test_a_figure_that_no_list_asks_for_is_noted_with_the_nearest(run, places):
    put(places.checklists, "base", BASE)
    path = put(places.machines, "bed", sheet(spec={"belt_mni": "3"}, words={"zzz": '"x"'}))
    ran = run("check", path)
    assert notes(ran) == [
        "no list asks for 'belt_mni'; did you mean belt_min?",
        "no list asks for 'zzz'.",
    ]
    assert f"{path}:5: spec.belt_mni: note: " in ran.out
    assert f"{path}:7: spec.text.zzz: note: " in ran.out
    path = put(places.figures, "mine", figure("belt_mni"))
    assert notes(run("check", path)) == ["no list asks for 'belt_mni'; did you mean belt_min?"]


def test_a_list_on_the_same_command_line_asks_too(run, places, tmp_path):
    path = put(places.machines, "bed", sheet(spec={"belt_min": '"31 mm"'}))
    assert len(notes(run("check", path))) == 1
    assert notes(run("check", path, put(tmp_path, "base", BASE)))[1:] == []


def test_a_figure_that_the_sheet_lacks_is_noted(run, places, tmp_path):
    path = put(tmp_path, "base", BASE)
    ran = run("check", path, put(tmp_path, "bed", sheet()))
    assert notes(ran) == ["the sheet 'bed' has no spec.belt_min; its readings are not judged."]


NONE_FITTED = {"options": '["clear", "dark", "none fitted"]'}
PASSES = {"limit": '{ equal = ["clear", "none fitted"] }'}
FLUID = reading("fluid", "choice", **NONE_FITTED, **PASSES)


@pytest.mark.parametrize(
    ("rows", "noted"),
    [
        ([FLUID], True),
        ([FLUID.replace("none fitted", "not fitted")], True),
        ([FLUID.replace("none fitted", "no brake fitted")], True),
        ([FLUID.replace("none fitted", "none")], False),  # a good answer to "how many leaks?"
        ([reading("fluid", "choice", **NONE_FITTED, limit='{ equal = "clear" }')], False),
        (
            [FLUID, derived("is-there", "fluid != 'none fitted' or machine.brake == 'cable'", "",
                            limit="{ equal = true }")],
            False,
        ),
        ([FLUID, derived("is-there", "fluid != 'none fitted' or machine.brake == 'cable'", "")],
         True),
        ([FLUID, derived("other", "fluid != 'none fitted'", "", limit="{ equal = true }")], True),
    ],
)  # fmt: skip
def test_an_answer_that_is_held_against_no_fact_is_noted(run, tmp_path, rows, noted):
    found = notes(run("check", put(tmp_path, "list", checklist(step("brake", *rows)))))
    assert any("passes on any machine" in each for each in found) == noted


def test_an_inference_holds_an_answer_too(run, tmp_path):
    text = checklist(
        step("brake", FLUID),
        step("lever"),
        inference(
            "looked", "brake.fluid == 'none fitted' and machine.brake != 'cable' and lever.done"
        ),
    )  # fmt: skip
    assert notes(run("check", put(tmp_path, "list", text))) == []


def test_a_reading_of_another_list_is_looked_up(run, places, tmp_path):
    def of(reference, unit="mm"):
        row = reading("wide", unit=unit, same_as=f'"{reference}"')
        return run("check", put(tmp_path, "list", checklist(step("a", row))))

    put(places.checklists, "base", BASE)
    assert of("base:belt.width").out == ""
    assert of("base:belt.width", "in").out == ""
    for reference, unit, words in (
        ("base:belt.widht", "mm", "did you mean width?"),
        ("base:bolt.width", "mm", "did you mean belt?"),
        ("base:belt.width", "kPa", "carry on like with like"),
    ):
        ran = of(reference, unit)
        assert ran.status == 1
        assert words in ran.out and ":15: section.step.reading.same_as: " in ran.out
    assert notes(of("bsae:belt.width")) == ["There is no checklist 'bsae' here; did you mean base?"]


def test_a_drawing_is_looked_up(run, tmp_path):
    text = checklist(step("a"), top='drawing = "seld"\n')
    ran = run("check", put(tmp_path, "list", text))
    assert ran.status == 1
    assert "drawing: There is no drawing 'seld'; did you mean sled?" in ran.out
    text = checklist(section("nowhere"), step("a"), top='drawing = "sled"\n')
    assert "has no place for 'nowhere'" in notes(run("check", put(tmp_path, "list", text)))[0]


# --- taking from other lists --------------------------------------------------------------------


def mine(*rows):
    return checklist(*rows, id_="mine")


def opened_with(places, session):
    text = places.log(session).read_text(encoding="utf-8")
    return tomllib.loads(text)["entry"][0]["checklist"]


def test_a_session_is_opened_with_the_list_as_composed(run, places, tmp_path):
    put(places.checklists, "base", BASE)
    path = put(tmp_path, "mine", mine("# my own\n", use("base:belt")))
    ran = run("new", path, put(tmp_path, "bed", sheet()), "--by", "A. Tester")
    assert ran.status == 0, ran.err
    text = opened_with(places, ran.out.strip())
    assert "# my own" in text and "use =" not in text
    assert [each["id"] for each in tomllib.loads(text)["section"][0]["step"]] == ["belt"]
    # What the other list becomes afterwards changes nothing.
    put(places.checklists, "base", "no list any more")
    assert run("record", ran.out.strip(), "belt.width=34 mm").status == 0
    assert run("verify", ran.out.strip()).status == 0


def test_the_person_s_own_list_comes_first_then_what_ships_then_beside(run, places, tmp_path):
    path = put(tmp_path, "mine", mine(use("base:belt")))
    beside = put(tmp_path, "base", BASE.replace('title = "belt"', 'title = "Beside"'))
    bed = put(tmp_path, "bed", sheet())
    session = run("new", path, bed, "--by", "A").out.strip()
    assert "Beside" in opened_with(places, session)
    put(places.checklists, "base", BASE.replace('title = "belt"', 'title = "Own"'))
    session = run("new", path, bed, "--by", "A").out.strip()
    assert "Own" in opened_with(places, session)
    beside.unlink()
    assert run("check", path).status == 0


def test_a_shipped_step_can_be_taken(run, places, tmp_path):
    path = put(tmp_path, "mine", mine(use("pre-season:belt-width"), use("pre-season:identity")))
    ran = run("check", path)
    assert ran.status == 0, ran.out
    ran = run("new", path, "tindrak-600", "--by", "A. Tester")
    assert ran.status == 0, ran.err
    assert run("status", ran.out.strip()).status == 0


def test_what_can_t_be_taken_stops_a_session(run, places, tmp_path):
    path = put(tmp_path, "mine", mine(use("base:belt")))
    ran = run("new", path, put(tmp_path, "bed", sheet()), "--by", "A. Tester")
    assert ran.status == 1
    assert "There is no checklist 'base'" in ran.err
    assert not list(places.sessions.glob("*.toml"))


def test_lists_that_take_are_listed_with_what_they_take(run, places):
    put(places.checklists, "base", BASE)
    put(places.checklists, "mine", mine(use("base:belt"), use("base:boots")))
    line = next(row for row in run("checklists").out.splitlines() if row.startswith("mine"))
    assert "2 steps" in line
