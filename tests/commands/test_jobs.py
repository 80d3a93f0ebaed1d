"""Commands about the job: what it takes in, taking back, setting aside, the plan, parts."""

from __future__ import annotations

import json

import pytest


def listed(run, *command):
    ran = run(*command, "--json")
    assert ran.status == 0, ran.err
    return json.loads(ran.out)


def test_only_leaves_the_rest_out_and_widen_takes_it_in(run, definitions, status):
    ran = run("new", "short", "test-bed", "--by", "X", "--only", "drive", "main-jet")
    session = ran.out.strip()
    states = {each["id"]: each["state"] for each in status(session)["steps"]}
    assert states["compression"] == "left-out" and states["main-jet"] == "open"
    assert "Left out of this job" in run("status", session).out
    assert run("widen", session, "compression").out == "Taken in: compression\n"
    assert "takes all of it in" in run("widen", session, "compression").err
    assert run("widen", session, "compressor").status == 2
    assert run("new", "short", "test-bed", "--by", "X", "--only", "drives").status == 2


def test_items_are_steps_of_ones_own(run, definitions, status):
    ran = run("new", "short", "test-bed", "--by", "X", "--only", "belt", "--item",
              "Hitch pin play | mm | max 1", "Look under the seat")  # fmt: skip
    session = ran.out.strip()
    states = {each["id"]: each["state"] for each in status(session)["steps"]}
    assert (states["own-1"], states["own-2"], states["compression"]) == ("open", "open", "left-out")
    assert run("record", session, "own-1.value=1.5", "own-2.done=yes").status == 0
    assert [each["id"] for each in status(session)["findings"]] == ["own-1.value"]
    before = run("sessions").out
    assert run("new", "short", "test-bed", "--by", "X", "--item", "|").status == 2
    assert run("sessions").out == before


def test_the_last_reading_is_taken_back(run, session, status):
    run("record", session, "belt.width=31")
    run("record", session, "belt.width=32")
    assert run("take-back", session).out == "Taken back: belt.width as found, 32.\n"
    assert [row["entered"] for row in status(session)["readings"]] == ["31"]
    run("take-back", session)
    assert run("take-back", session).status == 1
    assert run("verify", session).status == 0


def test_a_session_set_aside_is_readable_and_never_the_last(run, session, status, definitions):
    other = run("new", "short", "test-bed", "--by", "X").out.strip()
    assert run("set-aside", other).status == 2
    assert run("set-aside", other, "--why", "begun twice").status == 0
    assert status(other)["state"] == "set-aside"
    assert status("last")["session"] == session
    assert run("record", other, "belt.width=31").status == 1
    assert "begun twice" in run("export", other, "--to", "md").out
    assert run("set-aside", other, "--why", "again").status == 1


def test_unknown_has_a_row_without_a_value(run, session, status, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert run("record", session, "belt.width=unknown").status == 0
    (row,) = status(session)["readings"]
    assert (row["entered"], row["value"], row["verdict"]) == ("unknown", None, "none")
    for form in ("md", "html", "csv", "json", "pdf"):
        assert run("export", session, "--to", form, "-o", f"report.{form}").status == 0, form
    assert "not known" in run("export", session, "--to", "md").out
    assert '"value": "unknown"' not in run("export", session, "--to", "json").out


def test_the_plan_has_its_keys(run, session):
    plan = listed(run, "plan", session)
    assert list(plan) == [
        "stops_start", "stops_move", "again", "to_decide", "to_get", "to_do", "minutes_left",
        "done", "of", "next",
    ]  # fmt: skip
    assert list(plan["to_do"][0]) == ["section", "steps", "minutes", "tools"]
    assert (plan["done"], plan["of"]) == (0, sum(len(each["steps"]) for each in plan["to_do"]))
    assert run("plan", session).out.endswith(f"({plan['next']})\n")


@pytest.fixture
def worn(run, session):
    run("record", session, "belt.width=20")
    return session


def test_a_part_wants_its_name_and_is_listed_got_and_fitted(run, worn):
    finding = listed(run, "findings", worn)[0]["id"]
    assert run("decide", worn, finding, "get-part").status == 2
    assert run("decide", worn, finding, "get-part", "--part", "Belt", "--quantity", "x").status == 2
    assert run("decide", worn, finding, "put-right", "--part", "Belt").status == 2
    wanted = ("--part", "Belt", "--quantity", "2", "--number", "417-1")
    assert run("decide", worn, finding, "get-part", *wanted).status == 0
    row = {
        "part": "Belt", "quantity": 2, "number": "417-1", "machine": "test-bed", "session": worn,
        "for": [finding], "state": "to get",
    }  # fmt: skip
    for of in ([], ["test-bed"], [worn]):
        assert listed(run, "parts", *of) == [row]
    assert listed(run, "plan", worn)["to_get"] == ["Belt"]
    assert run("got", "test-bed", "belt").status == 0
    assert listed(run, "parts")[0]["state"] == "got"
    assert run("got", "test-bed", "Belt", "--fitted").status == 0
    assert listed(run, "parts")[0]["state"] == "fitted"
    assert "fitted already" in run("got", "test-bed", "Belt", "--fitted").err
    assert run("got", "test-bed", "Chain").status == 2
    assert run("got", "test-bad", "Belt").status == 2
    assert run("verify", worn).status == 0


def test_parts_of_a_session_set_aside_are_not_wanted(run, worn):
    run("decide", worn, "belt.width", "get-part", "--part", "Belt")
    run("set-aside", worn, "--why", "the wrong machine")
    assert listed(run, "parts") == []


def test_findings_are_the_rows_of_status(run, worn, status):
    assert listed(run, "findings", worn) == status(worn)["findings"]
    assert "belt.width" in run("findings", worn).out
