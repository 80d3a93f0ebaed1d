"""Which reading is asked next: laws that hold for any state of a list."""

from __future__ import annotations

import pytest

from inspect_tui.core.evaluation.validate import Target
from inspect_tui.tui.base import reading_order
from inspect_tui.workflow.inspection import Inspection

EVERY = [
    Target("belt", "width"), Target("belt", "cracks"), Target("belt", "picture"),
    Target("guard", "on"),
    Target("jets", "main", "PTO"), Target("jets", "main", "centre"), Target("jets", "main", "MAG"),
    Target("jets", "turns", "PTO"), Target("jets", "turns", "centre"),
    Target("jets", "turns", "MAG"),
    Target("first-start", "ran"), Target("look", "done"),
]  # fmt: skip


@pytest.fixture
def inspection(places, clock, session):
    with Inspection.open(places, session, clock) as opened:
        yield opened


def test_readings_go_across_the_cylinders(inspection):
    assert reading_order.every_target(inspection.results) == EVERY


def test_following_the_next_one_visits_every_needed_reading_once(inspection):
    answers = {"width": "32", "cracks": "none", "on": "yes", "main": "240", "turns": "1",
               "ran": "yes", "done": "yes", "picture": "taken"}  # fmt: skip
    asked = []
    at = reading_order.next_target(inspection.results, None, "belt", "as-found")
    while at is not None:
        asked.append(at)
        inspection.record([(at, answers[at.reading])])
        at = reading_order.next_target(inspection.results, at, at.step, "as-found")
    assert asked == EVERY  # an optional one in its turn too


def test_an_optional_reading_is_asked_in_its_turn_alone(inspection):
    picture = EVERY[2]
    inspection.record([(EVERY[0], "32"), (EVERY[1], "none")])
    results = inspection.results
    after = reading_order.next_target(results, EVERY[1], "belt", "as-found")
    assert after == picture
    passed = frozenset({picture})
    assert reading_order.next_target(results, EVERY[1], "belt", "as-found", passed) == EVERY[3]
    assert reading_order.next_target(results, EVERY[-1], "look", "as-found") == EVERY[3]


def test_what_was_passed_over_comes_round_again(inspection):
    last = EVERY[-1]
    inspection.record([(last, "yes")])
    assert reading_order.next_target(inspection.results, last, "look", "as-found") == EVERY[0]


def test_as_left_stays_in_the_step_then_goes_to_findings(inspection):
    inspection.record([(EVERY[0], "30"), (EVERY[1], "none")])
    inspection.record([(EVERY[4], "999")])
    results = inspection.results
    assert reading_order.next_target(results, EVERY[0], "belt", "as-left") == EVERY[1]
    for target, text in ((EVERY[0], "33"), (EVERY[1], "none"), (EVERY[2], "x")):
        inspection.record([(target, text)], "as-left")
    found = reading_order.next_target(inspection.results, EVERY[2], "belt", "as-left")
    assert found is not None and found.step == "jets"


def test_edges_of_the_list_and_of_the_grid(inspection):
    results = inspection.results
    assert reading_order.beside(results, EVERY[0], "belt", -1) == EVERY[0]
    assert reading_order.beside(results, EVERY[-1], "look", 1) == EVERY[-1]
    assert reading_order.in_grid(results, EVERY[4], 0, -1) is None
    assert reading_order.in_grid(results, EVERY[4], 1, 1) == Target("jets", "turns", "centre")
    assert reading_order.in_grid(results, EVERY[0], 1, 0) is None
    assert reading_order.step_beside(results, "look", 1) == "look"


@pytest.mark.parametrize(
    ("words", "first"), [("belt", "belt"), ("JETS", "jets"), ("eng start", "first-start")]
)
def test_steps_are_found_by_parts_of_their_names(inspection, words, first):
    assert reading_order.matching(inspection.results, words)[0].step.id == first


def test_no_words_match_every_step_and_nonsense_none(inspection):
    assert len(reading_order.matching(inspection.results, "")) == 5
    assert reading_order.matching(inspection.results, "zzz") == []
