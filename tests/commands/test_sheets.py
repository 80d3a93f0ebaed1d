"""A person's own lists and machines, begun at the prompt."""

from __future__ import annotations

import json
import tomllib
from concurrent.futures import ThreadPoolExecutor

import pytest

from inspect_tui.workflow.sheet_figures import set_figures
from tests.builders import checklist, figure, reading, sheet, step


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
    assert "Did you mean bed?" in run("sheet", "bde").err
    ran = run("sheet", "bed", "--for", "pre-seson")
    assert ran.status == 2 and "Did you mean pre-season?" in ran.err


# --- figure -------------------------------------------------------------------------------------


def text_of(places, name="bed"):
    return (places.machines / f"{name}.toml").read_text(encoding="utf-8")


def data_of(places, name="bed"):
    return tomllib.loads(text_of(places, name))


def test_a_figure_goes_into_the_sheet_with_its_source(run, places):
    put(places.checklists, "mine", LIST)
    put(places.machines, "bed", "# the blue one\n" + BED)
    ran = run("figure", "bed", "belt_min=31", "belt_max=34 mm", "--source", "decal")
    assert (ran.status, ran.err) == (0, "")
    assert ran.out == "belt_min = 31 mm\nbelt_max = 34 mm\n"  # as the list, and the sheet, have it
    data = data_of(places)
    assert (data["spec"]["belt_min"], data["spec"]["belt_max"]) == ("31 mm", "34 mm")
    assert data["source"] == {"belt_min": "decal", "belt_max": "decal"}
    assert text_of(places).startswith("# the blue one\n")
    assert run("check", "bed").status == 0


def test_one_cylinder_s_figure(run, places):
    put(places.checklists, "mine", LIST)
    put(places.machines, "bed", BED)
    assert run("figure", "bed", "main_jet@MAG=230", "needle@PTO=6J", "--source", "s").status == 0
    data = data_of(places)
    assert data["spec"]["main_jet"] == [240, 230]
    assert data["spec"]["text"]["needle"] == ["6J", "6L"]
    assert run("figure", "bed", "gap@PTO=0.5 mm", "--source", "s").status == 0
    assert data_of(places)["spec"]["gap"] == ["0.5 mm", "?"]
    assert run("figure", "bed", "main_jet=250; 240", "--source", "s").out == "main_jet = 250; 240\n"
    assert data_of(places)["spec"]["main_jet"] == [250, 240]


def test_a_word_goes_to_the_words(run, places):
    put(places.checklists, "mine", LIST)
    put(places.machines, "bed", sheet())
    assert run("figure", "bed", "needle=6K; 6L", "--source", "s").status == 0
    assert data_of(places)["spec"]["text"]["needle"] == ["6K", "6L"]


def test_a_sheet_that_ships_is_copied_first(run, places):
    ran = run("figure", "tindrak-600", "odd_one=3", "--source", "measured")
    assert ran.status == 0
    assert "No list asks for odd_one" in ran.err
    text = text_of(places, "tindrak-600")
    assert tomllib.loads(text)["spec"]["odd_one"] == 3
    assert text.splitlines()[0].startswith("#")
    listed = run("machines").out
    assert "tindrak-600" in listed and "your own" in listed


def test_a_copy_never_goes_where_a_link_to_nothing_leads(run, places, tmp_path):
    places.make()
    (places.machines / "tindrak-600.toml").symlink_to(tmp_path / "elsewhere")
    ran = run("figure", "tindrak-600", "main_jet=260", "--source", "measured")
    assert ran.status == 2 and "is a link to nothing" in ran.err
    assert not (tmp_path / "elsewhere").exists()


def test_line_ends_and_a_byte_order_mark_stay(run, places):
    path = places.machines / "bed.toml"
    path.write_bytes(b"\xef\xbb\xbf" + BED.replace("\n", "\r\n").encode())
    assert run("figure", "bed", "toe=3 mm", "--source", "decal").status == 0
    data = path.read_bytes()
    assert data.startswith(b"\xef\xbb\xbf")
    assert data.count(b"\n") == data.count(b"\r\n")
    assert path.stat().st_mode & 0o777 == 0o600


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["belt_min=10 kPa"], "is a pressure"),
        (["belt_min=wide"], "not a number"),
        (["main_jet=1; 2; 3"], "3 values, and the machine 2 cylinders"),
        (["main_jet@PTP=3"], "Did you mean PTO?"),
        (["main_jet@=3"], "no cylinder"),
        (["belt_min"], "is no figure"),
        (["belt min=3"], "is no figure"),
        (["belt_min="], "no value"),
        (["belt_min=31", "belt_min=32"], "given twice"),
        (["belt_max=33", "belt_min=wide"], "not a number"),
        (["main_jet=12 mm"], "plain number"),
    ],
)
def test_what_is_no_figure_is_2_and_changes_nothing(run, places, arguments, words):
    put(places.checklists, "mine", LIST)
    put(places.machines, "bed", BED)
    ran = run("figure", "bed", *arguments, "--source", "s")
    assert (ran.status, ran.out) == (2, "")
    assert words in ran.err
    assert text_of(places) == BED


def test_a_figure_says_where_it_comes_from(run, places):
    put(places.machines, "bed", BED)
    assert run("figure", "bed", "belt_min=31").status == 2
    assert run("figure", "bed", "belt_min=31", "--source", " ").status == 2
    assert "Did you mean bed?" in run("figure", "bde", "belt_min=31", "--source", "s").err


def test_a_figure_that_no_list_asks_for_is_said(run, places):
    put(places.checklists, "mine", LIST)
    put(places.machines, "bed", BED)
    ran = run("figure", "bed", "belt_mni=31 mm", "--source", "s")
    assert ran.status == 0
    assert ran.err == "No list asks for belt_mni; did you mean belt_min?\n"


def test_a_sheet_with_problems_is_not_changed(run, places):
    put(places.machines, "bed", BED + "spce = 3\n")
    ran = run("figure", "bed", "belt_min=31 mm", "--source", "s")
    assert ran.status == 1
    assert "spce" in ran.err


@pytest.fixture
def session(run, places):
    put(places.checklists, "mine", LIST)
    put(places.machines, "bed", BED.replace('belt_min = "31.5 mm"\n', ""))
    session = run("new", "mine", "bed", "--by", "A. Tester").out.strip()
    assert run("record", session, "belt.width=31 mm", "jets.main@PTO=240").status == 0
    return session


def kinds(places, session):
    return tomllib.loads(places.log(session).read_text(encoding="utf-8"))["entry"]


def verdict(run, session, reading="width", cylinder=None):
    rows = json.loads(run("status", session, "--json").out)["readings"]
    return next(
        row["verdict"] for row in rows
        if (row["reading"], row["cylinder"]) == (reading, cylinder)
    )  # fmt: skip


def test_a_figure_of_a_session_goes_into_its_log_and_the_sheet(run, places, session):
    assert verdict(run, session) == "none"
    ran = run("figure", session, "belt_min=31.5", "main_jet@PTO=250", "--source", "page 12")
    assert ran.status == 0, ran.err
    assert ran.out == "belt_min = 31.5 mm\nmain_jet@PTO = 250\n"
    first, second = kinds(places, session)[-2:]
    assert (first["kind"], first["name"], first["value"], first["source"]) == (
        "sheet", "belt_min", "31.5 mm", "page 12",
    )  # fmt: skip
    assert (second["cylinder"], second["value"]) == ("PTO", 250)
    assert verdict(run, session) == "fail"
    assert "Width" in ran.err or "width" in ran.err  # what changed its verdict is said
    data = data_of(places)
    assert data["spec"]["belt_min"] == "31.5 mm"
    assert data["spec"]["main_jet"] == [250, "?"]
    assert run("verify", session).status == 0


def test_what_is_no_figure_writes_nothing_into_a_session(run, places, session):
    log, sheet_text = places.log(session).read_bytes(), text_of(places)
    for value, status in (("belt_min=10 kPa", 2), ("main_jet@NO=3", 2), ("9=3", 2)):
        assert run("figure", session, "belt_max=35 mm", value, "--source", "s").status == status
    put(places.machines, "bed", "spec = 3\n" + BED)
    assert run("figure", session, "belt_max=35 mm", "--source", "s").status == 1
    put(places.machines, "bed", sheet_text)
    assert places.log(session).read_bytes() == log


def test_a_signed_session_takes_no_figure_and_the_sheet_stays(run, places, session):
    assert run("sign", session, "--by", "A", "--accept-open", "as it is").status == 0
    before = text_of(places)
    assert run("figure", session, "belt_min=31.5", "--source", "s").status == 1
    assert text_of(places) == before


def test_a_machine_without_a_sheet_here_gets_the_session_s(run, places, session):
    (places.machines / "bed.toml").unlink()
    assert run("figure", session, "belt_min=31.5", "--source", "s").status == 0
    assert data_of(places)["spec"]["belt_min"] == "31.5 mm"
    assert data_of(places)["cylinders"] == ["PTO", "MAG"]


def test_of_changes_at_once_none_is_lost(places):
    put(places.machines, "bed", sheet())
    with ThreadPoolExecutor(6) as pool:
        done = [
            pool.submit(set_figures, places, "bed", [f"figure_{n}={n}"], "measured")
            for n in range(12)
        ]
        for one in done:
            one.result()
    assert data_of(places)["spec"] == {f"figure_{n}": n for n in range(12)}
    assert not [path for path in places.machines.iterdir() if path.name != "bed.toml"]
