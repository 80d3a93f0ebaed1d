"""What was put off comes up in the sessions after it, once, until it is settled."""

from __future__ import annotations

from datetime import date

import pytest

from inspect_tui.core.seasons.carried import carried_into, in_the_way, still_carried
from inspect_tui.core.seasons.machine_state import state_after
from inspect_tui.tui.base.styling import carried_words
from tests.seasons.machines import day, finding, session, value


def ids(*summaries, checklist="first-ride"):
    return [each.id for each in carried_into(checklist, state_after(summaries))]


@pytest.mark.parametrize(
    ("keys", "comes"),
    [
        ({}, True),
        ({"until": "first-ride"}, True),
        ({"until": "lay-up"}, False),
        ({"until": "2031-01-01"}, True),
        ({"decision": "get-part", "part": "belt"}, True),
        ({"decision": None}, True),  # signed over
        ({"decision": "run-as-found", "put_off": False}, False),
        ({"decision": "put-right", "put_off": False}, False),
    ],
)
def test_what_comes_up_in_the_first_ride(keys, comes):
    assert ids(session(0, findings=(finding("belt.width", **keys),))) == (
        ["carried:belt.width"] if comes else []
    )


def test_each_once_from_the_newest():
    rows = carried_into("first-ride", state_after([
        session(0, findings=(finding("belt.width", text="old words"),)),
        session(400, findings=(finding("belt.width", text="new words"),)),
    ]))  # fmt: skip
    assert [(row.session, row.text) for row in rows] == [("s400", "new words")]


def test_the_same_reading_settles_it_in_a_session_between():
    assert not ids(
        session(0, findings=(finding("belt.width"),)),
        session(400, values=(value("belt", "width", 34.0, day(400)),)),
    )
    assert ids(
        session(0, findings=(finding("belt.width"),)),
        session(400, values=(value("belt", "width", 34.0, day(400), verdict="none"),)),
    )


def test_a_decision_on_a_carried_one_is_the_newest_word():
    first = session(0, findings=(finding("belt.width"),))
    closed = finding("carried:belt.width", decision="run-as-found", put_off=False)
    again = finding("carried:belt.width", decision="later", until="lay-up")
    assert not ids(first, session(300, findings=(closed,)))
    assert not ids(first, session(300, findings=(again,)))
    (row,) = carried_into("lay-up", state_after([first, session(300, findings=(again,))]))
    assert (row.session, row.text, row.until) == ("s300", "belt.width is off", "lay-up")


def test_two_persons_findings_of_one_id_are_told_apart():
    rows = ids(
        session(0, findings=(finding("F1", own=True),)),
        session(300, findings=(finding("F1", own=True),)),
    )
    assert sorted(rows) == ["carried:s0:F1", "carried:s300:F1"]


def test_one_of_two_that_share_an_id_is_closed_by_its_full_name():
    closed = finding("carried:s0:F1", decision="run-as-found", put_off=False)
    rows = ids(
        session(0, findings=(finding("F1", own=True),)),
        session(300, findings=(finding("F1", own=True),)),
        session(500, findings=(closed,)),
    )
    assert rows == ["carried:F1"]


def test_a_session_set_aside_leaves_nothing():
    assert not ids(session(0, state="set-aside", findings=(finding("belt.width"),)))
    assert ids(session(0, state="open", findings=(finding("belt.width"),)))


@pytest.mark.parametrize(
    ("verdict", "decided", "left"),
    [("pass", (), 0), ("fail", (), 0), ("none", (), 1), ("none", ("carried:belt.width",), 0)],
)
def test_what_settles_it_here(verdict, decided, left):
    rows = carried_into("first-ride", state_after([session(0, findings=(finding("belt.width"),))]))
    here = {("belt", "width", None): verdict}
    assert len(still_carried(rows, here, decided)) == left


@pytest.mark.parametrize(
    ("until", "left_out", "blocks"),
    [("", (), 1), ("2026-04-01", (), 1), ("2026-04-02", (), 0), ("", ("belt",), 0)],
)
def test_what_the_sign_off_waits_for(until, left_out, blocks):
    rows = carried_into(
        "x", state_after([session(0, findings=(finding("belt.width", until=until),))])
    )
    assert len(in_the_way(rows, date(2026, 4, 1), left_out)) == blocks


def test_words_that_end_in_a_full_stop_go_on_without_it():
    (row,) = carried_into("first-ride", state_after([
        session(0, findings=(finding("belt.width", text="Width: narrow (by chance)."),)),
    ]))  # fmt: skip
    assert carried_words(row, {}).startswith("Width: narrow (by chance); ")
