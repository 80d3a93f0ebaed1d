"""A session that grows entry by entry comes to the same as its whole log at once."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.core.evaluation.evaluate_entries import LiveEvaluation, evaluate_entries
from inspect_tui.core.evaluation.log_check import differences, rejudged
from inspect_tui.core.model.log_entry import Entry
from tests.builders import checklist, derived, inference, reading, section, setting, sheet, step

LIST = checklist(
    section("drive", "Drive"),
    step("belt", reading("width", limit='{ min = "spec.belt_min" }', uncertainty='"0.2 mm"'),
         reading("new"), derived("worn", "new - width", limit="{ max = 2 }"),
         disturbed_by='["gap"]', safety="true"),
    step("gap", reading("front"), reading("rear"),
         derived("toe", "front - rear", limit="{ min = 1 }"), setting("rods", "front", "toe")),
    section("engine", "Engine"),
    step("jets", reading("main", unit="", limit='{ equal = "spec.main_jet" }'), per="cylinder",
         only_if='"gap.front > \'1 mm\' or spec.belt_min > \'0 mm\'"'),
    step("ride", begins='"move"', after='["jets"]'),
    inference("slack", "belt.width < '31 mm' and gap.front > '2 mm'"),
)  # fmt: skip
SHEET = sheet(spec={"belt_min": '"31 mm"', "main_jet": "[240, 230]"})
START = datetime(2026, 11, 2, tzinfo=UTC)
FIGURES = (
    ("belt_min", None, "30 mm"), ("belt_min", None, "33 mm"), ("main_jet", "PTO", 230),
    ("main_jet", None, [230, 240]), ("wheel", None, 3),
)  # fmt: skip
FINDINGS = ("belt.width", "belt.worn", "gap.toe", "jets.main@PTO", "X.jets", "I.slack", "F1")


def taken(place, cylinder, phase, value, moved):
    step, reading = place.split(".")
    keys = {"step": step, "reading": reading, "phase": phase, "entered": str(value)}
    if value != "?":
        keys["value"] = value
    if step == "jets":
        keys["cylinder"] = cylinder
    if moved is not None and moved != phase:
        keys["moved_from"] = moved
    return "reading", keys


PHASES = st.sampled_from(["as-found", "as-left"])
ACTS = st.one_of(
    st.builds(
        taken, st.sampled_from(["belt.width", "belt.new", "gap.front", "gap.rear", "jets.main"]),
        st.sampled_from(["PTO", "MAG"]), PHASES, st.sampled_from([1, 3, 30, 32, 230, 240, "?"]),
        st.one_of(st.none(), st.none(), PHASES),
    ),
    st.integers(1, 20).map(lambda of: ("withdrawn", {"of": of})),
    st.sampled_from(["belt", "gap", "jets"]).map(lambda step: ("skipped", {"step": step,
                                                                           "why": "dark"})),
    st.sampled_from(FIGURES).map(
        lambda one: ("sheet", {"name": one[0], "value": one[2], "source": "manual",
                               **({"cylinder": one[1]} if one[1] else {})})
    ),
    st.builds(
        lambda finding, decision: ("decision", {"finding": finding, "decision": decision}),
        st.sampled_from(FINDINGS), st.sampled_from(["put-right", "run-as-found", "later"]),
    ),
    st.sampled_from(["engine", "belt"]).map(lambda one: ("widened", {"ids": [one]})),
    st.just(("finding", {"id": "F1", "step": "belt", "text": "frayed"})),
    st.just(("step-added", {"section": "engine", "step": "added-1", "title": "Look"})),
)  # fmt: skip


def log(acts, only):
    head = {"session": "s", "program": "t", "checklist": LIST, "machine": SHEET}
    head |= {"only": ["drive"]} if only else {}
    at = (START + timedelta(seconds=n // 2) for n in range(1, len(acts) + 1))
    return [
        Entry(0, "opened", START, "Ann", head),
        *(
            Entry(n, kind, when, "Ann", keys)
            for n, (when, (kind, keys)) in enumerate(zip(at, acts, strict=True), 1)
        ),
    ]


@settings(max_examples=60)
@given(st.lists(ACTS, max_size=20), st.booleans())
def test_entry_by_entry_and_all_at_once_come_to_the_same(acts, only):
    entries = log(acts, only)
    live = LiveEvaluation(entries[:1])
    for place, entry in enumerate(entries[1:], 2):
        grown, anew = live.take([entry]), evaluate_entries(entries[:place])
        assert grown.results == anew.results
        for row in anew.results.readings:
            key = (row.step, row.reading, row.cylinder, row.phase)
            assert grown.results.row(*key) == row


@settings(max_examples=40)
@given(st.lists(ACTS, max_size=15))
def test_what_is_judged_entry_by_entry_has_no_difference(acts):
    entries = log(acts, only=False)
    judged = [*entries[:1], *rejudged(entries[:1], entries[1:])]
    by_verdict = [each for each in differences(judged) if " by the entries up to it" in each.text]
    assert by_verdict == []
