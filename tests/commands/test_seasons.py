"""From one session to the next, at the prompt: carried, last, due, history."""

from __future__ import annotations

import json

import pytest

from tests.builders import checklist, reading, section, step

LIST = checklist(
    section("drive"),
    step(
        "belt",
        reading("width", label="Width", uncertainty='"0.1 mm"', limit="{ min = 33 }"),
        title="Belt",
        every='["500 km", "24 months"]',
    ),
    step(
        "meter", reading("odometer", unit="km", label="Odometer", meter='"odometer"'), title="Meter"
    ),
    id_="NAME",
    title="A look",
)
NO_BELT = (
    LIST[: LIST.index('[[section.step]]\nid = "belt"')]
    + LIST[LIST.index('[[section.step]]\nid = "meter"') :]
)


LISTS = {"look": LIST, "ride": LIST, "short": NO_BELT}


@pytest.fixture
def go(shed):
    return shed({name: text.replace("NAME", name) for name, text in LISTS.items()}, '"PTO", "MAG"')


def new(go, checklist="look") -> str:
    return go("new", checklist, "sled", "--by", "A. Tester").out.strip()


def state(go, session) -> dict:
    return json.loads(go("status", session, "--json").out)


@pytest.fixture
def first(go):
    """A signed session whose thin belt was put off until the first ride."""
    session = new(go)
    go("record", session, "belt.width=32", "meter.odometer=2100")
    go("decide", session, "belt.width", "later", "--until", "ride", "--why", "still grips")
    go("sign", session, "--by", "A. Tester")
    return session


def test_what_was_put_off_comes_up_with_its_old_words(go, first):
    assert state(go, new(go))["carried"] == []  # until another list
    (row,) = state(go, new(go, "ride"))["carried"]
    assert row["id"] == "carried:belt.width" and row["from"] == first
    assert (row["finding"], row["step"], row["decision"]) == ("belt.width", "belt", "later")
    assert (row["why"], row["until"], row["part"]) == ("still grips", "ride", None)
    assert "32" in row["text"]


def test_the_same_reading_closes_it(go, first):
    ride = new(go, "ride")
    go("record", ride, "belt.width=34.5", "meter.odometer=2200")
    found = state(go, ride)
    assert found["carried"] == []
    last = {row["reading"]: row["last"] for row in found["readings"]}
    assert (last["width"]["value"], last["width"]["unit"]) == (32, "mm")
    assert last["width"]["session"] == first and len(last["width"]["date"]) == 10
    go("sign", ride, "--by", "A. Tester")


def test_signing_over_one_is_refused_until_it_is_decided(go, first):
    ride = new(go, "ride")
    go("skip", ride, "belt", "--why", "no time")
    go("record", ride, "meter.odometer=2200")
    refused = go("sign", ride, "--by", "A. Tester", status=1)
    assert "carried:belt.width" in refused.err
    go("decide", ride, "carried:nothing", "run-as-found", status=2)
    go("decide", ride, "carried:belt.width", "run-as-found", "--why", "rides well")
    go("sign", ride, "--by", "A. Tester")
    assert state(go, new(go, "ride"))["carried"] == []


def test_one_put_off_again_until_a_day_that_has_not_come_is_no_bar(go, first):
    ride = new(go, "ride")
    go("skip", ride, "belt", "--why", "no time")
    go("record", ride, "meter.odometer=2200")
    go("decide", ride, "carried:belt.width", "later", "--until", "2199-01-01")
    go("sign", ride, "--by", "A. Tester")
    again = new(go, "ride")
    (row,) = state(go, again)["carried"]
    assert (row["until"], row["from"]) == ("2199-01-01", ride)
    go("skip", again, "belt", "--why", "no time")
    go("record", again, "meter.odometer=2300")
    go("sign", again, "--by", "A. Tester")


def test_a_list_that_lacks_the_reading_wants_a_decision(go):
    session = new(go)
    go("record", session, "belt.width=32", "meter.odometer=2100")
    go("decide", session, "belt.width", "get-part", "--part", "belt")
    go("sign", session, "--by", "A. Tester")
    short = new(go, "short")
    go("record", short, "meter.odometer=2200")
    (row,) = state(go, short)["carried"]
    assert row["part"] == "belt"
    go("sign", short, "--by", "A. Tester", status=1)
    go("decide", short, row["id"], "put-right")
    go("sign", short, "--by", "A. Tester")


def test_what_was_signed_over_is_carried(go):
    session = new(go)
    go("record", session, "belt.width=32", "meter.odometer=2100")
    go("sign", session, "--by", "A. Tester", "--accept-open", "rides to the dump only")
    (row,) = state(go, new(go, "short"))["carried"]
    assert (row["finding"], row["decision"]) == ("belt.width", None)


def test_a_session_begun_by_mistake_leaves_nothing(go, first):
    mistake = new(go, "ride")
    go("record", mistake, "belt.width=35")
    go("set-aside", mistake, "--why", "the other sled")
    assert [row["id"] for row in state(go, new(go, "ride"))["carried"]] == ["carried:belt.width"]
    assert (
        json.loads(go("history", "sled", "--json").out)["readings"][0]["points"][-1]["value"] == 32
    )


def test_due_has_a_row_for_each_interval(go, first):
    rows = json.loads(go("due", "--json").out)
    assert [(row["machine"], row["step"], row["checklist"]) for row in rows] == [
        ("sled", "belt", "look")
    ] * 2
    assert rows[0]["due_at"] == "2600 km" and rows[0]["by"] is None and rows[0]["late"] is False
    assert len(rows[1]["due_at"]) == 10
    assert json.loads(go("due", "sled", "--json").out) == rows
    go("due", "slad", status=2)


def test_history_has_points_and_says_why_no_trend(go, first):
    data = json.loads(go("history", "sled", "--reading", "belt.width", "--json").out)
    (figure,) = data["readings"]
    (point,) = figure["points"]
    assert data["machine"] == "sled" and figure["unit"] == "mm"
    assert (point["session"], point["meter"], point["value"]) == (first, 2100, 32)
    assert (point["uncertainty"], point["phase"], point["verdict"]) == (0.1, "as-found", "fail")
    assert figure["trend"]["why_not"] == "too few readings" and figure["trend"]["reached"] is None
    go("history", "sled", "--reading", "belt.witdh", status=2)


def test_search_names_the_entry(go, first):
    (row,) = json.loads(go("search", "still grips", "--json").out)
    assert row["session"] == first and "still grips" in row["text"] and row["entry"] > 0
