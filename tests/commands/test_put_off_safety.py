"""A safety step that failed and was put off is named until somebody looked at it.

That a known fault of the brakes is said before the next ride: common practice.
"""

from __future__ import annotations

import json

import pytest

from tests.builders import checklist, reading, section, step

TICK = step("lamp", reading("lit", kind="check", label="Lit"), title="Lamp")
FULL = checklist(
    section("brakes"),
    step(
        "lever",
        reading("feel", kind="choice", label="Feel", options='["firm", "sinks"]',
                limit='{ equal = "firm" }'),
        title="Brake lever",
        safety="true",
        gate='"move"',
    ),
    TICK,
    id_="full",
    title="All of it",
)  # fmt: skip
SHORT = checklist(section("brakes"), TICK, id_="short", title="Quick look")
NAMED = "Brake lever: Feel: sinks"


@pytest.fixture
def go(shed):
    return shed({"full": FULL, "short": SHORT})


@pytest.fixture
def ride(go):
    """A session of the short list, which has no brake, after one whose brake was put off."""
    full = go("new", "full", "sled", "--by", "A. Tester").out.strip()
    go("record", full, "lever.feel=sinks", "lamp.lit=yes")
    go("decide", full, "lever.feel", "later", "--until", "short")
    go("sign", full, "--by", "A. Tester", "--accept", "lever=bleed it first")
    return go("new", "short", "sled", "--by", "A. Tester").out.strip()


def page_one(go, session):
    return " ".join(go("export", session, "--to", "md").out.split()).replace("\\", "")


def test_the_prompt_names_it_and_the_lists_of_the_plan_stay(go, ride):
    said = go("plan", ride).out
    assert f"Stops moving: carried:lever.feel: {NAMED}" in said
    assert f"carried:lever.feel: {NAMED}" in go("findings", ride).out
    plan = json.loads(go("plan", ride, "--json").out)
    assert plan["stops_start"] == plan["stops_move"] == plan["to_decide"] == []


def test_page_one_and_the_tag_name_it_before_and_after_it_is_put_off_again(go, ride, tmp_path):
    go("record", ride, "lamp.lit=yes")
    go("decide", ride, "carried:lever.feel", "later", "--until", "2199-01-01", "--why", "parts")
    for when in ("open", "signed"):
        page = page_one(go, ride)
        assert "NOT TO BE RUN, because" in page, when
        assert "Do not move the machine: 'Brake lever' failed earlier and was put off" in page
        assert page.count(NAMED) >= 1 and "A finding of an earlier session" not in page
        go("tag", ride, "-o", tmp_path / f"{when}.pdf")
        if when == "open":
            go("sign", ride, "--by", "A. Tester")


def test_signing_over_it_names_the_step_and_that_it_is_safety(go, ride):
    go("record", ride, "lamp.lit=yes")
    refused = " ".join(go("sign", ride, "--by", "A. Tester", status=1).err.split())
    assert f"safety, {NAMED}" in refused


def test_looked_at_again_and_firm_it_stops_nothing(go, ride):
    again = go("new", "full", "sled", "--by", "A. Tester").out.strip()
    go("record", again, "lever.feel=firm", "lamp.lit=yes")
    assert "NOT TO BE RUN" not in page_one(go, again)
    assert "Brake lever" not in go("findings", again).out
