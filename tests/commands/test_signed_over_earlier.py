"""A session that was signed over open safety steps: the next of that machine says so, everywhere.

That nobody runs a machine in which such a step is open without being told: common practice.
"""

from __future__ import annotations

import json

import pytest

from tests.builders import checklist, reading, section, step

CHECK = reading("ok", kind="check", label="In order")


def gate(name: str, title: str, stops: str = "start") -> str:
    return step(name, CHECK, title=title, safety="true", gate=f'"{stops}"')


GATES = [gate(f"g{number}", f"Gate {number}") for number in range(1, 7)]
FULL = checklist(section("all"), *GATES, gate("latch", "Latch", "move"), id_="full", title="Full")
RIDE = checklist(
    section("all"),
    step("start", CHECK, title="Start", begins='"start"'),
    step("off", CHECK, title="Move off", begins='"move"'),
    id_="ride",
    title="Ride",
)  # fmt: skip
AGAIN = checklist(section("all"), *GATES, id_="look", title="Again")


@pytest.fixture
def go(shed):
    return shed({"full": FULL, "ride": RIDE, "look": AGAIN})


@pytest.fixture
def ride(go):
    """The ride after a full session signed with six gates of the start and one of moving open."""
    full = go("new", "full", "sled", "--by", "A. Tester").out.strip()
    accepted = [f"--accept=g{number}=no time" for number in range(1, 7)]
    words = ["--accept-open", "no time", "--accept=latch=no time", *accepted]
    go("sign", full, "--by", "A. Tester", *words)
    return go("new", "ride", "sled", "--by", "A. Tester").out.strip()


START = "6 steps that stop the start open: 'Gate 1', 'Gate 2', 'Gate 3', 'Gate 4' and 2 more"
MOVE = "1 step that stops moving open: 'Latch'"


def test_the_plan_says_it_in_words_and_its_lists_stay_of_this_session(go, ride):
    said = go("plan", ride).out
    assert "Stops the start: 'Full' of " in said and f"was signed with {START}\n" in said
    assert f"was signed with {MOVE}\n" in said
    plan = json.loads(go("plan", ride, "--json").out)
    assert plan["stops_start"] == plan["stops_move"] == []
    assert json.loads(go("status", ride, "--json").out)["carried"] == []


def test_it_is_said_before_the_engine_runs_and_before_it_moves_and_is_logged(go, ride):
    told = go("record", ride, "start.ok=yes").err
    assert "Before the engine runs: 'Full' of" in told and START in told and MOVE not in told
    told = go("record", ride, "off.ok=yes").err
    assert START in told and MOVE in told
    shown = " ".join(go("export", ride, "--to", "md", "--with-log").out.split())
    assert "Advice not followed: Before the engine runs: 'Full' of" in shown.replace("\\", "")


def test_page_one_and_the_tag_say_it(go, ride, tmp_path):
    page = " ".join(go("export", ride, "--to", "md").out.split()).replace("\\", "")
    assert "NOT TO BE RUN, because" in page
    assert "Do not start the engine: 'Full' of" in page and START in page
    go("tag", ride, "-o", tmp_path / "tag.pdf")


def test_until_a_later_session_passes_the_same_steps(go, ride):
    again = go("new", "look", "sled", "--by", "A. Tester").out.strip()
    go("record", again, *(f"g{number}.ok=yes" for number in range(1, 6)))
    later = go("new", "ride", "sled", "--by", "A. Tester").out.strip()
    said = go("plan", later).out
    assert "is not signed, and has 1 step that stops the start open: 'Gate 6'\n" in said
    assert MOVE in said and "Gate 1" not in said
    go("record", again, "g6.ok=yes")
    said = go("plan", later).out
    assert "that stop the start" not in said and "that stops the start" not in said
    assert MOVE in said


def test_a_job_that_takes_them_in_names_them_itself(go, ride):
    again = go("new", "look", "sled", "--by", "A. Tester").out.strip()
    said = go("plan", again).out
    assert said.count("Gate 1") == 2, said  # as what stops, and as what comes next
    assert "open: 'Gate" not in said


def test_a_hit_in_what_was_signed_over_is_a_short_line_in_words(go, ride):
    (hit, *_) = [line for line in go("search", "gate 4").out.splitlines() if "Gate 4" in line]
    assert "(g4)" not in hit and len(hit) < 240
    rows = json.loads(go("search", "gate 4", "--json").out)
    assert any(len(row["text"]) > 300 and "(g4)" in row["text"] for row in rows)


def test_a_part_that_is_here_is_said_to_be_here(go):
    full = go("new", "full", "sled", "--by", "A. Tester").out.strip()
    name = go("add-finding", full, "g1", "worn").out.strip()
    go("decide", full, name, "get-part", "--part", "Lever")
    later = go("new", "ride", "sled", "--by", "A. Tester").out.strip()
    assert "part: Lever]" in go("plan", later).out
    go("got", "sled", "Lever")
    assert "part: Lever (it is here: fit it)]" in go("plan", later).out


def test_a_day_that_has_gone_by_is_said(go):
    full = go("new", "full", "sled", "--by", "A. Tester").out.strip()
    name = go("add-finding", full, "g1", "worn").out.strip()
    ran = go("decide", full, name, "later", "--until", "2020-01-01")
    assert "2020-01-01 has gone by" in ran.err and not ran.out
    assert not go("decide", full, name, "later", "--until", "2199-01-01").err
