"""Deciding about findings without an app: groups, marks, questions in turn, presses a fault."""

from __future__ import annotations

from dataclasses import replace

import pytest

from inspect_tui.tui.screens.findings_lines import UNDECIDED
from inspect_tui.tui.screens.findings_state import OTHER_DATE, Question
from inspect_tui.workflow.inspection import Inspection, Target
from tests.test_thirty_faults import recorded
from tests.tui.plain_deciding import Deciding


@pytest.fixture
def deciding(places, clock, session):
    with Inspection.open(places, session, clock) as held:
        held.record([(Target("belt", "width", None), "30"), (Target("guard", "on", None), "no")])
        held.record([(Target("belt", "cracks", None), "through")])
        held.record([(Target("jets", "main", each), "220") for each in ("PTO", "centre", "MAG")])
        yield Deciding(held)


def test_safety_stands_first_with_step_and_cylinder_in_words(deciding):
    lines = deciding.state.lines
    assert (lines[0].part, lines[0].title) == ("safety", "Guard")
    assert "Main jets, PTO" in [line.title for line in lines]
    assert all(line.part in UNDECIDED for line in lines)
    shown = [line.title + line.said + line.decided for line in lines]
    assert not any("guard.on" in text or "jets.main" in text for text in shown)


def test_one_decision_for_all_that_are_marked(deciding):
    state = deciding.state
    for each in ("PTO", "centre", "MAG"):
        state.go(f"jets.main@{each}")
        deciding.press("space")
        assert state.at == f"jets.main@{each}"  # the sign stays where it was marked
    assert state.marked == {"jets.main@PTO", "jets.main@centre", "jets.main@MAG"}
    question = deciding.press("l")
    assert "3 findings" in question.title and dict(question.offers)["2026-11-09"]
    # Until when is offered by the words of the lists, never by their ids.
    assert dict(question.offers)["first-ride"] == "before the first ride"
    question = deciding.answer("first-ride")
    assert question.about == "why"
    deciding.answer("jets come on Friday")
    found = {each.id: each for each in deciding.inspection.results.findings}
    for each in ("PTO", "centre", "MAG"):
        one = found[f"jets.main@{each}"]
        assert (one.decision, one.until, one.why) == ("later", "first-ride", "jets come on Friday")
    assert not state.marked and state.line.part in UNDECIDED
    assert {line.decided for line in state.lines if line.part == "decided"} == {
        "put right later, before the first ride"
    }


def test_a_part_is_asked_for_in_turn_with_what_the_finding_suggests(deciding):
    deciding.state.go("belt.width")
    question = deciding.press("g")
    assert (question.about, question.filled) == ("part", "Belt x[/]y: width")
    question = deciding.answer("Drive belt")
    assert (question.about, question.filled) == ("quantity", "1")
    assert deciding.answer("many").trouble  # asked again
    question = deciding.answer("2")
    assert question.about == "number" and not question.needed
    deciding.answer("B-77")
    (part,) = deciding.inspection.job.parts
    assert (part.part, part.quantity, part.number) == ("Drive belt", 2, "B-77")


def test_a_part_for_several_findings_is_one(deciding):
    for each in ("belt.width", "belt.cracks"):
        deciding.state.go(each)
        deciding.press("space")
    deciding.press("g")
    question = deciding.answer("Drive belt")
    assert (question.words, question.filled) == ("How many in all?", "1")
    deciding.answer("1")
    deciding.answer("")
    (part,) = deciding.inspection.job.parts
    assert (part.quantity, set(part.findings)) == (1, {"belt.width", "belt.cracks"})
    # Decided otherwise since, the one that it was counted with: it is still one.
    first = deciding.inspection.session.decisions
    counted = next(each for each in part.findings if first[each].quantity)
    deciding.inspection.decide(counted, "run-as-found", "it will do")
    (part,) = deciding.inspection.job.parts
    assert part.quantity == 1 and len(part.findings) == 1


def test_nothing_is_put_off_until_the_list_that_is_being_walked(deciding):
    own = deciding.inspection.results.checklist.id
    state = deciding.state
    state._offers = ()
    view = replace(deciding.desk.view(), put_off={own: "before this", "other": "before that"})
    state.show(view, ())
    offered = [value for value, _ in state.offers]
    assert "other" in offered and own not in offered


def test_a_date_is_offered_and_another_one_is_held_to_its_form(deciding):
    deciding.state.go("belt.width")
    deciding.press("l")
    assert deciding.answer("date").about == "date"
    assert "2026-12-20" in deciding.answer("soon").trouble
    deciding.answer("2026-12-24")
    deciding.answer("")
    assert deciding.inspection.session.decisions["belt.width"].until == "2026-12-24"


def test_what_stands_is_changed_only_by_the_same_key_again(deciding):
    deciding.state.go("belt.width")
    deciding.press("r")
    deciding.answer("known")
    deciding.state.go("belt.width")
    assert deciding.press("p") is None and "p again" in deciding.state.said
    deciding.state.leave()
    assert deciding.press("p") is None  # asked once more
    deciding.press("p")
    assert deciding.inspection.session.decisions["belt.width"].decision == "put-right"
    # Another line, or another mark, and it is asked anew.
    deciding.state.go("belt.width")
    deciding.press("l")
    deciding.state.go("belt.cracks")
    assert deciding.state.asks_twice is None


def test_all_or_none_is_written(deciding):
    before = len(deciding.inspection.entries)
    state = deciding.state
    state.go("belt.width")
    assert isinstance(state.decide("later"), Question)
    state.leave()
    assert len(deciding.inspection.entries) == before
    state.mark_all()
    assert state.marked == {line.id for line in state.undecided}
    deciding.press("p")
    assert len(deciding.inspection.entries) == before + len(deciding.inspection.session.decisions)
    assert {line.part for line in state.lines} == {"put-right"}


def test_an_open_session_that_is_only_read_decides_nothing(places, clock, session):
    with Inspection.open(places, session, clock, write=False) as held:
        deciding = Deciding(held)
        assert deciding.press("p") is None and "only be read" in deciding.state.said


def test_thirty_faults_are_decided_in_few_presses(tmp_path, clock):
    """Twelve put right, six put off, four run as found, the rest each a part of its own.

    One by one it took a key, its Enters and the way to the next: 3, 14 (`first-ride` typed out),
    3 and, with twelve letters of a part's name, 16.
    """
    with recorded(tmp_path / "story", clock) as held:
        deciding = Deciding(held)
        lines = [line.id for line in deciding.state.undecided]
        chunks = {"p": lines[:12], "l": lines[12:18], "r": lines[18:22]}
        for key, ids in chunks.items():
            deciding.state.go(ids[0])
            for each in ids:
                deciding.presses += deciding.state.at != each  # a press on the way past a member
                deciding.state.go(each)
                deciding.press("space")
            question = deciding.press(key)
            if key == "l":
                deciding.answer("first-ride")
            if question is not None:
                deciding.answer()
        for each in lines[22:]:
            assert deciding.state.at == each  # the sign stands where something is left
            question = deciding.press("g")
            deciding.answer(question.filled)
            deciding.answer("1")
            deciding.answer()
        assert not deciding.state.undecided
        parts = len(lines) - 22
        before = 12 * 3 + 6 * 14 + 4 * 3 + parts * 16
        print(f"{len(lines)} lines: {deciding.presses} presses, {deciding.decisions} decisions "
              f"(before: {before} presses, {len(lines)} decisions)")  # fmt: skip
        assert deciding.presses <= 2.5 * 30 and deciding.decisions == 3 + parts
        assert before > 2 * deciding.presses


def test_a_day_that_has_gone_by_is_asked_again(deciding):
    deciding.press("l")
    deciding.answer(OTHER_DATE)
    assert "gone by" in deciding.answer("2020-01-01").trouble
