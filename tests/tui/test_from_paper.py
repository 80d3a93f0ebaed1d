"""Readings that were written on blank sheets, typed in afterwards in the same order."""

from __future__ import annotations

import json

from inspect_tui.files.log import writer as log
from inspect_tui.tui.walk import question_text
from inspect_tui.workflow import papers
from inspect_tui.workflow.inspection import Inspection, Target
from tests.report.write_golden import drawn_by


def begun(walk, session):
    plain = walk(session)
    plain.do("from_paper")
    plain.type("2026-11-01", "enter")
    plain.type("Ada", "enter")
    return plain


def readings(plain):
    entries = plain.desk.inspection.entries
    return [entry for entry in entries if entry.kind == "reading"]


def title(plain):
    return question_text.asked(plain.state).title


def test_day_and_hand_are_asked_once_and_kept_with_each_reading(walk, session, places):
    plain = begun(walk, session)
    assert plain.target.step == "belt" and "1 ○ AS FOUND FROM PAPER" in title(plain)
    plain.type("32", "enter")
    plain.type("none", "enter")
    kept = [entry.keys.get("paper") for entry in readings(plain)]
    assert kept == ["2026-11-01, Ada", "2026-11-01, Ada"]
    plain.do("from_paper")  # again: no more
    plain.type("as new", "enter")
    assert "paper" not in readings(plain)[-1].keys
    assert not log.read(places.log(session)).problems


def test_a_day_that_is_none_or_has_not_come_is_asked_again(walk, session):
    plain = walk(session)
    plain.do("from_paper")
    for day, said in (("yesterday", "year-month-day"), ("2031-01-01", "has not come yet")):
        plain.type(day, "enter")
        assert said in plain.text and not plain.state.paper
        plain.press(*["backspace"] * len(day))
    plain.type("2026-11-02", "enter")
    plain.type("Ada", "enter")
    assert plain.state.paper == "2026-11-02, Ada"


def test_every_export_names_it_and_the_log_verifies(walk, session, places, clock):
    plain = begun(walk, session)
    plain.type("32", "enter")
    plain.desk.inspection.close()
    with Inspection.open(places, session, clock, write=False) as held:
        exported = json.loads(held.export("json"))
        assert '"paper": "2026-11-01, Ada"' in json.dumps(exported)
        for form in ("md", "html"):
            assert "from paper: 2026-11-01, Ada" in held.export(form).decode()
        moved = held.session.readings["belt", "width", None, "as-found"]
        assert moved.paper == "2026-11-01, Ada"
    with Inspection.open(places, session, clock) as held:
        held.move(Target("belt", "width", None), "as-found")
        assert held.session.readings["belt", "width", None, "as-left"].paper == "2026-11-01, Ada"


def test_the_screen_asks_in_the_order_and_with_the_numbers_of_the_sheets(
    walk, session, places, clock
):
    """The numbers are those of the printed steps: the paper's own blocks are looked at."""
    drawn = drawn_by(lambda: papers.blank_sheets(places, "bench", "test-bed", clock()))
    plain = begun(walk, session)
    asked = []
    for text in ("32", "none", "", "yes"):
        if plain.state.gate is not None:
            plain.press("enter")  # the step's caution
        asked.append((plain.state.step, title(plain)))
        plain.type(text, "enter")
    for number, step, name in (("1", "belt", "Belt x"), ("2", "guard", "Guard")):
        assert any(number in line and name in line for line in drawn.split("\n"))
        shown = next(text for at, text in asked if at == step)
        assert f"{number} ○ AS FOUND FROM PAPER" in shown
