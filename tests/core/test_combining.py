"""What one log is made of two: which side stands, and what is called anew."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.core.model.log_entry import Entry
from inspect_tui.core.session.merge import plan_merge
from inspect_tui.core.session.replay import replay

START = datetime(2026, 10, 3, 8, 0, tzinfo=UTC)


def entry(n, kind, minutes, by="Ann", **keys):
    return Entry(n, kind, START + timedelta(minutes=minutes), by, keys, f"{by}{n}")


def opened():
    return entry(0, "opened", 0, session="s", checklist="", machine="", format=1)


def reading(n, minutes, entered, by="Ann", *, step="belt", phase="as-found", **keys):
    return entry(
        n, "reading", minutes, by, step=step, reading="width", phase=phase, entered=entered,
        value=float(entered), unit="mm", **keys,
    )  # fmt: skip


def combined(here, there):
    """The session after the join, and what was said."""
    common = 0
    plan = plan_merge(here, common, there)
    n = len(here)
    at = START + timedelta(days=1)
    entries = [
        *here,
        Entry(n, "combined", at, "Ann", {"common": 0, "entries": len(there), "last_seal": "x"}),
        *(Entry(n + 1 + k, one.kind, at, one.by, one.keys) for k, one in enumerate(plan.entries)),
    ]
    return replay(entries), plan.said


WIDTH = ("belt", "width", None, "as-found")


@pytest.mark.parametrize(("ours", "theirs", "stands"), [(5, 9, "31"), (9, 5, "32"), (5, 5, "32")])
def test_of_one_reading_the_one_taken_last_stands_and_the_other_is_kept(ours, theirs, stands):
    session, said = combined([opened(), reading(1, ours, "32")], [reading(1, theirs, "31", "Bob")])
    assert session.readings[WIDTH].entered == stands
    kept = {row.entered for row in session.earlier[WIDTH]} | {stands}
    assert kept == {"31", "32"}
    assert len(said) == 1
    assert "32" in said[0] and "31" in said[0]


def test_a_caution_that_both_confirmed_stands_once_and_keeps_nothing_else_out():
    caution = {"step": "belt", "text": "Key out."}
    session, _ = combined(
        [opened(), entry(1, "caution", 1, **caution)],
        [
            entry(1, "caution", 2, "Bob", **caution),
            entry(2, "caution", 3, "Bob", step="fan", text="Guard on."),
            reading(3, 4, "31", "Bob"),
            entry(4, "note", 5, "Bob", step="belt", text="worn"),
        ],
    )
    assert [one.step for one in session.cautions] == ["belt", "fan"]
    assert session.readings[WIDTH].entered == "31"
    assert [one.text for one in session.notes] == ["worn"]


def test_takes_of_one_second_are_said_as_copies_that_differed():
    _, said = combined([opened(), reading(1, 5, "32")], [reading(1, 5, "31", "Bob")])
    assert said[0].endswith("Two copies differed at one second; here stands.")
    _, said = combined([opened(), reading(1, 5, "32")], [reading(1, 6, "31", "Bob")])
    assert "copies differed" not in said[0]


def test_a_reading_keeps_who_took_it_and_when():
    session, _ = combined([opened(), entry(1, "note", 2, step="belt", text="x")],
                        [reading(1, 7, "31", "Bob")])  # fmt: skip
    row = session.readings[WIDTH]
    assert (row.by, row.at) == ("Bob", START + timedelta(minutes=7))


def test_what_was_decided_before_the_fork_is_not_said_again():
    plan = plan_merge(
        [opened(), reading(1, 5, "32")], 1, [entry(2, "note", 6, step="belt", text="n")]
    )
    assert [one.kind for one in plan.entries] == ["note"]


def test_findings_and_added_steps_of_both_sides_stay_apart():
    here = [
        opened(),
        entry(1, "finding", 1, id="F1", step="belt", text="ours"),
        entry(2, "step-added", 2, section="drive", step="added-1", title="Ours"),
    ]
    there = [
        entry(1, "finding", 1, "Bob", id="F1", step="belt", text="theirs"),
        entry(2, "step-added", 2, "Bob", section="drive", step="added-1", title="Theirs"),
        entry(3, "reading", 3, "Bob", step="added-1", reading="value", phase="as-found",
              entered="3", value=3),
        entry(4, "decision", 4, "Bob", finding="F1", decision="run-as-found"),
        entry(5, "decision", 5, "Bob", finding="added-1.value", decision="put-right"),
        entry(6, "finding", 6, "Bob", id="F2", step="added-1", text="more"),
    ]  # fmt: skip
    session, said = combined(here, there)
    assert [(one.id, one.step, one.text) for one in session.findings] == [
        ("F1", "belt", "ours"), ("F2", "belt", "theirs"), ("F3", "added-2", "more"),
    ]  # fmt: skip
    assert [(one.id, one.title) for one in session.added] == [
        ("added-1", "Ours"), ("added-2", "Theirs"),
    ]  # fmt: skip
    assert set(session.decisions) == {"F2", "added-2.value"}
    assert ("added-2", "value", None, "as-found") in session.readings
    assert said == ()


def test_a_later_reading_of_ours_lifts_an_earlier_skip_of_theirs():
    skip = entry(1, "skipped", 5, "Bob", step="belt", why="cold")
    session, _ = combined([opened(), reading(1, 9, "32")], [skip])
    assert session.skips == {}
    session, _ = combined([opened(), reading(1, 3, "32")], [skip])
    assert set(session.skips) == {("belt", None, None)}


OF_ONE_THING = {
    "decision": ({"finding": "belt.width", "decision": "later"}, {"decision": "put-right"}),
    "sheet": ({"name": "gap", "value": "0.6 mm", "source": "book"}, {"value": "0.7 mm"}),
    "part": ({"part": "belt", "state": "got"}, {"state": "fitted"}),
    "skipped": ({"step": "belt", "why": "cold"}, {"why": "no gauge"}),
}


@pytest.mark.parametrize("kind", OF_ONE_THING)
@pytest.mark.parametrize(("ours", "theirs", "stands"), [(5, 9, "there"), (9, 5, "here")])
def test_of_one_thing_said_on_both_sides_the_later_one_stands(kind, ours, theirs, stands):
    keys, other = OF_ONE_THING[kind]
    session, said = combined(
        [opened(), entry(1, kind, ours, **keys)],
        [entry(1, kind, theirs, "Bob", **{**keys, **other})],
    )
    lists = {"decision": session.decisions, "sheet": session.figures, "part": session.parts,
             "skipped": session.skips}  # fmt: skip
    found = lists[kind]
    last = list(found.values() if isinstance(found, dict) else found)[-1]
    assert last.by == ("Bob" if stands == "there" else "Ann")
    assert len(said) == 1 and said[0].endswith(f"that is {stands}.")


def test_of_several_readings_of_theirs_the_last_is_said():
    theirs = [reading(1, 6, "31", "Bob"), reading(2, 9, "30", "Bob")]
    session, (said,) = combined([opened(), reading(1, 5, "32")], theirs)
    assert session.readings[WIDTH].entered == "30"
    assert "30" in said and "31" not in said


@pytest.mark.parametrize("kind", OF_ONE_THING)
def test_of_two_things_neither_side_is_asked(kind):
    keys, _ = OF_ONE_THING[kind]
    apart = {"decision": "finding", "sheet": "name", "part": "part", "skipped": "step"}[kind]
    _, said = combined(
        [opened(), entry(1, kind, 5, **keys)],
        [entry(1, kind, 9, "Bob", **{**keys, apart: "another"})],
    )
    assert said == ()


def test_conditions_go_by_the_later_one_too():
    ours, theirs = (
        entry(1, "conditions", 9, temperature="-5 C"),
        entry(1, "conditions", 5, "Bob", temperature="-9 C", qnh="1000 hPa"),
    )
    session, _ = combined([opened(), ours], [theirs])
    assert session.conditions == {"temperature": "-5 C", "qnh": "1000 hPa"}
    assert "taken" not in session.conditions


def test_a_sign_off_of_the_other_side_is_not_taken_over():
    session, _ = combined(
        [opened(), entry(1, "note", 1, step="belt", text="ours")],
        [entry(1, "signed", 2, "Bob", open=[], accepted=None), entry(2, "addendum", 3, text="x")],
    )
    assert session.signed is None
    assert session.addenda == ()


def test_a_signed_log_takes_nothing_over():
    here = [opened(), entry(1, "signed", 1, open=[])]
    session, _ = combined(here, [reading(1, 5, "31", "Bob")])
    assert session.readings == {}
    assert session.signed is not None
    assert session.unknown == ()
    assert len(session.combined) == 1


def test_what_came_from_here_is_not_taken_back():
    """Bob combined both, we went on, and now combine his: our own entries don't come twice."""
    ours = [
        opened(),
        entry(1, "finding", 1, id="F1", step="belt", text="ours"),
        entry(2, "note", 2, step="belt", text="later here"),
    ]
    at = START + timedelta(minutes=1)
    theirs = [
        entry(1, "finding", 1, "Bob", id="F1", step="belt", text="theirs"),
        entry(2, "combined", 8, "Bob", common=0, entries=1, last_seal="x"),
        Entry(3, "finding", START + timedelta(minutes=8), "Ann",
              {"id": "F2", "step": "belt", "text": "ours", "was": "F1", "taken": at,
               "combined_from": 1}),
        entry(4, "decision", 9, "Bob", finding="F2", decision="run-as-found"),
    ]  # fmt: skip
    session, _ = combined(ours, theirs)
    assert [(one.id, one.text) for one in session.findings] == [("F1", "ours"), ("F2", "theirs")]
    assert set(session.decisions) == {"F1"}


sides = st.lists(
    st.tuples(
        st.sampled_from(["belt", "chain"]), st.sampled_from(["as-found", "as-left"]),
        st.integers(0, 30), st.integers(1, 99),
    ),
    max_size=6,
)  # fmt: skip


def side(rows, by):
    rows = sorted(rows, key=lambda row: row[2])
    return [
        reading(1 + k, minutes, str(value), by, step=step, phase=phase)
        for k, (step, phase, minutes, value) in enumerate(rows)
    ]


@given(sides, sides)
def test_whatever_was_read_on_both_sides_the_last_stands_and_nothing_is_lost(ours, theirs):
    here, there = side(ours, "Ann"), side(theirs, "Bob")
    session, _ = combined([opened(), *here], there)
    seen: dict[object, set[str]] = {}
    for row in [*session.readings.values(), *(r for k in session.earlier.values() for r in k)]:
        seen.setdefault((row.step, row.phase), set()).add(f"{row.by} {row.entered}")
    for one in [*here, *there]:
        key = (one.get("step"), one.get("phase"))
        assert f"{one.by} {one.get('entered')}" in seen[key]
        stands = session.readings[(key[0], "width", None, key[1])]
        assert stands.at >= one.at
        if one.by == "Ann" and one.at == stands.at:
            assert stands.by == "Ann"


def test_a_reading_that_they_took_back_is_left_out_and_what_came_after_it_is_not():
    theirs = [
        reading(1, 3, "31", "Bob"),
        entry(2, "withdrawn", 4, "Bob", of=1),
        entry(3, "note", 5, "Bob", step="belt", text="measured at the wrong place"),
    ]
    session, _ = combined([opened(), reading(1, 1, "32")], theirs)
    assert session.readings[WIDTH].entered == "32"
    assert [note.text for note in session.notes] == ["measured at the wrong place"]
