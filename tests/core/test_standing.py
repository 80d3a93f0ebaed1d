"""Readings as they stand, as they stood before, and as a decision saw them.

The session makes them of the log's entries when they are asked for; here a plain replay copies
everything at every entry, and both must say the same at every place in the log.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.core.model.log_entry import Entry
from inspect_tui.core.session.replay import Recorded, Replay

START = datetime(2026, 10, 3, 8, 0, tzinfo=UTC)
PHASES = ("as-found", "as-left")


def opened():
    return Entry(0, "opened", START, "Ann", {"session": "s", "checklist": "", "machine": ""})


def reading(step, cylinder, phase, value, verdict, moved_from, photo):
    keys = {
        "step": step, "reading": "gap", "cylinder": cylinder, "phase": phase,
        "entered": str(value), "value": value, "unit": "mm", "verdict": verdict,
        "moved_from": moved_from, "photo": photo,
    }  # fmt: skip
    return "reading", {key: said for key, said in keys.items() if said is not None}


READING = st.builds(
    reading,
    st.sampled_from(("belt", "reeds")),
    st.sampled_from((None, "PTO", "MAG")),
    st.sampled_from(PHASES),
    st.one_of(st.integers(0, 9), st.floats(0, 9), st.booleans(), st.sampled_from(("6K", "worn"))),
    st.sampled_from((None, "pass", "fail", "uncertain", "none")),
    st.sampled_from((None, None, *PHASES, "elsewhere")),
    st.sampled_from((None, "a" * 64 + ".jpg", "holiday.jpg")),
)
# What the session can't take changes nothing that stands.
OFF = st.builds(
    lambda made, key, value: ("reading", {**made[1], key: value}),
    READING,
    st.sampled_from(("value", "entered", "step", "cylinder")),
    st.sampled_from((float("nan"), float("-inf"), [1], START)),
)
DECISION = st.just(("decision", {"finding": "F1", "decision": "later"}))
ACTS = st.lists(st.one_of(READING, READING, DECISION, OFF), max_size=40)
NUMBERS = st.lists(st.integers(0, 5), min_size=40, max_size=40)


class Plain:
    """Everything made and copied at once."""

    def __init__(self):
        self.readings, self.earlier, self.basis = {}, {}, {}

    def take(self, entry):
        if entry.kind == "decision":
            self.basis = {key: row.value for key, row in self.readings.items()}
            return
        keys = entry.keys
        if not all(type(keys.get(key, "")) is str for key in ("step", "cylinder", "entered")):
            return
        if isinstance(keys["value"], list | datetime) or keys["value"] in (float("-inf"),):
            return
        if keys["value"] != keys["value"]:
            return
        place = keys["step"], keys["reading"], keys.get("cylinder")
        for phase in (keys["phase"], keys.get("moved_from")):
            old = self.readings.pop((*place, phase), None)
            if old is not None:
                self.earlier.setdefault((*place, phase), []).append(old)
        photo = keys.get("photo", "")
        self.readings[(*place, keys["phase"])] = Recorded(
            *place, keys["phase"], keys["entered"], keys["value"], keys["unit"], entry.at,
            entry.by, entry.n, verdict=keys.get("verdict", ""),
            photo=photo if photo.startswith("a") else "",
        )  # fmt: skip


@given(ACTS, NUMBERS)
def test_what_is_made_when_asked_for_equals_what_is_copied_at_every_entry(acts, numbers):
    """Numbers in any order, as a broken log has them."""
    replay, plain = Replay(opened()), Plain()
    seen = []
    for n, (kind, keys) in zip(numbers, acts, strict=False):
        entry = Entry(n, kind, START + timedelta(minutes=n), "Ann", keys)
        replay.take(entry)
        plain.take(entry)
        earlier = {key: tuple(rows) for key, rows in plain.earlier.items()}
        seen.append((replay.session(), dict(plain.readings), earlier, plain.basis))
    # All looked at when the log is over: what was given out before must not have changed.
    for session, readings, earlier, basis in seen:
        assert list(session.readings.items()) == list(readings.items())
        assert list(session.earlier.items()) == list(earlier.items())
        decision = session.decisions.get("F1")
        assert dict(decision.basis if decision else {}) == basis
        for key in (*readings, *earlier):
            rows = earlier.get(key, ())
            assert (key in session.earlier) == bool(rows)
            assert session.earlier.count(key) == len(rows)
            assert list(session.earlier.verdicts(key)) == [row.verdict for row in rows]
            assert (decision.basis if decision else {}).get(key) == basis.get(key)


WITHDRAWN = st.integers(0, 40).map(lambda of: ("withdrawn", {"of": of}))
SKIPPED = st.builds(
    lambda step, whole: ("skipped", {"step": step, "why": "x", **({} if whole else PLACED)}),
    st.sampled_from(("belt", "reeds")),
    st.booleans(),
)
PLACED = {"reading": "gap", "cylinder": "PTO"}


@given(st.lists(st.one_of(READING, READING, SKIPPED, DECISION, WITHDRAWN), max_size=40))
def test_what_was_taken_back_stands_as_if_it_had_never_been_taken(acts):
    log = [opened()]
    log += [Entry(n, kind, START, "Ann", keys) for n, (kind, keys) in enumerate(acts, 1)]
    replay = Replay(log[0])
    seen = []
    for place, entry in enumerate(log[1:], 1):
        replay.take(entry)
        session = replay.session()
        gone = {each.of for each in session.withdrawn}
        anew = Replay(log[0])
        for each in log[1 : place + 1]:
            if each.kind != "withdrawn" and not (each.kind == "reading" and each.n in gone):
                anew.take(each)
        bare = anew.session()
        assert dict(session.readings) == dict(bare.readings)
        assert dict(session.skips) == dict(bare.skips)
        standing = {row.n for row in session.readings.values()}
        for key, rows in session.earlier.items():
            numbers = [row.n for row in rows]
            assert len(set(numbers)) == len(numbers)
            assert not standing & set(numbers), key
        decision = session.decisions.get("F1")
        seen.append((session, dict(decision.basis if decision else {}), dict(session.earlier)))
    for session, basis, earlier in seen:
        decision = session.decisions.get("F1")
        assert dict(decision.basis if decision else {}) == basis
        assert dict(session.earlier) == earlier


def test_a_reading_that_stands_is_the_same_object_from_session_to_session():
    """What was worked out of it is kept by it."""
    replay = Replay(opened())
    for n, step in enumerate(("belt", "reeds"), 1):
        kind, keys = reading(step, None, "as-found", n, "pass", None, None)
        replay.take(Entry(n, kind, START, "Ann", keys))
        if n == 1:
            before = replay.session()
    key = ("belt", "gap", None, "as-found")
    assert replay.session().readings[key] is before.readings[key]
