"""What each kind of entry does to a session, before the sign-off and after it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from inspect_tui.core.model.log_entry import AFTER_SIGNED, KINDS, Entry
from inspect_tui.core.session.merge import plan_merge
from inspect_tui.core.session.replay import replay

START = datetime(2026, 10, 3, 8, 0, tzinfo=UTC)
FOUND = ("belt", "width", None, "as-found")


def entry(n: int, kind: str, **keys: object) -> Entry:
    return Entry(n, kind, START + timedelta(minutes=n), "Ann", keys)


def log(*acts: tuple[str, dict[str, object]], **opened: object) -> list[Entry]:
    head = {"session": "s", "checklist": "", "machine": "", **opened}
    return [
        entry(0, "opened", **head),
        *(entry(n, kind, **keys) for n, (kind, keys) in enumerate(acts, 1)),
    ]


def reading(value: object, **more: object) -> tuple[str, dict[str, object]]:
    keys = {"step": "belt", "reading": "width", "phase": "as-found", "entered": str(value)}
    return "reading", {**keys, "value": value, "unit": "mm", "verdict": "pass", **more}


ACTS = {
    "reading": reading(31),
    "withdrawn": ("withdrawn", {"of": 1}),
    "note": ("note", {"step": "belt", "text": "dusty"}),
    "skipped": ("skipped", {"step": "belt", "why": "no light"}),
    "step-added": ("step-added", {"section": "drive", "step": "added-1", "title": "Look"}),
    "widened": ("widened", {"ids": ["brake"]}),
    "set-aside": ("set-aside", {"why": "the wrong sled"}),
    "finding": ("finding", {"id": "F1", "step": "belt", "text": "frayed"}),
    "decision": ("decision", {"finding": "F1", "decision": "later", "until": "2026-12-20"}),
    "caution": ("caution", {"step": "belt", "text": "Key out."}),
    "conditions": ("conditions", {"temperature": "-12 C"}),
    "photo": ("photo", {"step": "belt", "photo": "a" * 64 + ".jpg", "name": "belt.jpg"}),
    "sheet": ("sheet", {"name": "belt_min", "value": "31 mm", "source": "manual"}),
    "part": ("part", {"part": "belt", "state": "got"}),
    "signed": ("signed", {"open": []}),
    "signature": ("signature", {"signature": "..."}),
    "addendum": ("addendum", {"text": "later words"}),
    "resumed": ("resumed", {}),
    "combined": ("combined", {"common": 1, "entries": 2, "last_seal": "f" * 64}),
}
QUIET = {"signature", "resumed"}
"""Kinds that are kept in the log and change nothing of what stands."""


def test_every_kind_is_tried_here():
    assert set(ACTS) | {"opened"} == set(KINDS)


def standing(entries: list[Entry]) -> dict[str, object]:
    session = replay(entries)
    plain = {name: getattr(session, name) for name in session.__dataclass_fields__}
    plain["earlier"] = dict(session.earlier)
    for counted in ("entries", "last", "unknown"):
        del plain[counted]
    return plain


@pytest.mark.parametrize("kind", sorted(ACTS))
def test_an_entry_before_the_sign_off_counts_and_is_understood(kind):
    before = log(reading(30))
    after = [*before, entry(2, *ACTS[kind][:1], **ACTS[kind][1])]
    assert not replay(after).unknown
    assert (standing(before) == standing(after)) == (kind in QUIET)


@pytest.mark.parametrize("kind", sorted(ACTS))
def test_after_the_sign_off_only_what_may_follow_it_counts(kind):
    """Anything else is kept, apart, and changes nothing: not a value, a decision, the state."""
    signed = log(reading(30), ("signed", {"open": []}))
    after = [*signed, entry(3, ACTS[kind][0], **ACTS[kind][1])]
    session = replay(after)
    if kind in AFTER_SIGNED:
        assert not session.unknown
        assert (standing(signed) == standing(after)) == (kind in QUIET)
    else:
        assert [each.n for each in session.unknown] == [3]
        assert standing(signed) == standing(after)
    assert session.state == "signed"
    assert session.signed.n == 2


def test_every_entry_is_counted_also_what_is_not_understood():
    """The next entry's number: what is supposed of readings goes by it."""
    for acts in ([], [reading(31)], [reading(31), ("note", {}), ("who-knows", {})]):
        entries = log(*acts)
        assert replay(entries).entries == len(entries) == entries[-1].n + 1


def test_a_second_sign_off_is_not_the_sign_off():
    session = replay(log(("signed", {"open": []}), ("signed", {"open": ["all"]})))
    assert session.signed.n == 1 and session.signed.open == ()


def test_an_unknown_kind_is_kept_before_and_after_the_sign_off():
    session = replay(log(("song", {"text": "la"}), ("signed", {"open": []}), ("song", {})))
    assert [each.n for each in session.unknown] == [1, 3]


def test_a_kind_of_an_earlier_program_counts_as_what_it_is_called_now():
    session = replay(log(("joined", ACTS["combined"][1])))
    assert session.combined[0].common == 1 and not session.unknown


def test_a_reading_answered_unknown_has_no_value():
    kind, keys = reading("?")
    del keys["value"]
    session = replay(log((kind, keys)))
    assert session.readings[FOUND].value is None
    assert session.readings[FOUND].entered == "?"


def test_without_a_value_any_other_answer_is_not_understood():
    kind, keys = reading("31")
    del keys["value"]
    session = replay(log((kind, keys)))
    assert not session.readings and [each.n for each in session.unknown] == [1]


def test_taking_back_the_last_value_lets_the_one_before_stand_again():
    session = replay(log(reading(30), reading(31), ("withdrawn", {"of": 2})))
    assert session.readings[FOUND].value == 30
    assert [row.value for row in session.earlier[FOUND]] == [31]
    assert [each.of for each in session.withdrawn] == [2]


def test_taking_back_the_only_value_leaves_none_and_its_skip_stands_again():
    skip = ("skipped", {"step": "belt", "why": "no light"})
    session = replay(log(skip, reading(31), ("withdrawn", {"of": 2})))
    assert not session.readings
    assert session.skips["belt", None, None].why == "no light"


def test_taking_back_a_value_that_was_moved_puts_it_where_it_was():
    moved = reading(30, phase="as-left", moved_from="as-found")
    session = replay(log(reading(30), moved, ("withdrawn", {"of": 2})))
    assert list(session.readings) == [FOUND]


@pytest.mark.parametrize("of", [0, 7, "1", True, None, 1.0])
def test_taking_back_what_is_no_reading_is_kept_as_not_understood(of):
    session = replay(log(reading(30), ("withdrawn", {"of": of})))
    assert session.readings[FOUND].value == 30
    assert [each.n for each in session.unknown] == [2]


def test_what_the_job_takes_in_stands_in_the_session():
    session = replay(log(("widened", {"ids": ["brake", "lights"]}), only=["drive"]))
    assert session.only == ("drive",) and session.widened == ("brake", "lights")
    assert replay(log()).only is None


def test_a_session_set_aside_says_why_and_is_neither_open_nor_signed():
    session = replay(log(ACTS["set-aside"]))
    assert session.state == "set-aside" and session.set_aside.why == "the wrong sled"


@pytest.mark.parametrize("value", [1.5, "31 mm", ["1 mm", "2 mm"]])
def test_a_figure_of_the_sheet_is_kept_as_it_was_entered(value):
    (figure,) = replay(log(("sheet", {"name": "gap", "value": value, "cylinder": "PTO"}))).figures
    assert figure.value == (tuple(value) if isinstance(value, list) else value)
    assert (figure.name, figure.cylinder) == ("gap", "PTO")


@pytest.mark.parametrize("state", ["lost", "", 1])
def test_a_part_is_got_or_fitted(state):
    session = replay(log(("part", {"part": "belt", "state": state})))
    assert not session.parts and len(session.unknown) == 1


# --- two copies ---------------------------------------------------------------------------------


def test_what_the_other_copy_took_back_itself_is_not_written_again():
    here = log(reading(30), ("note", {"step": "belt", "text": "here"}))
    there = [entry(2, *reading(31)[:1], **reading(31)[1]), entry(3, "withdrawn", of=2)]
    assert plan_merge(here, 1, there).entries == ()


def test_what_the_other_copy_took_back_of_the_common_part_is_taken_back_here():
    here = log(reading(30), ("note", {"step": "belt", "text": "here"}))
    (again,) = plan_merge(here, 1, [entry(2, "withdrawn", of=1)]).entries
    assert (again.kind, again.keys["of"]) == ("withdrawn", 1)


@pytest.mark.parametrize(
    ("kind", "ours", "theirs"),
    [
        ("sheet", {"name": "gap", "value": "1 mm"}, {"name": "gap", "value": "2 mm"}),
        ("part", {"part": "belt", "state": "fitted"}, {"part": "belt", "state": "got"}),
    ],
)
def test_of_a_figure_and_of_a_part_the_one_said_last_stands(kind, ours, theirs):
    here = log(reading(30), (kind, ours))
    earlier = Entry(2, kind, START + timedelta(seconds=90), "Bo", theirs)
    later = Entry(2, kind, START + timedelta(minutes=9), "Bo", theirs)
    assert [one.keys for one in plan_merge(here, 1, [earlier]).entries][-1].items() >= ours.items()
    assert [one.keys for one in plan_merge(here, 1, [later]).entries][-1].items() >= theirs.items()


def test_a_decision_that_is_none_leaves_what_stood():
    """A later program's, or nobody's: over it nothing may be signed as decided."""
    put_off = ("decision", {"finding": "F1", "decision": "later"})
    odd = ("decision", {"finding": "F1", "decision": "hope"})
    session = replay(log(odd))
    assert session.decisions == {} and [each.n for each in session.unknown] == [1]
    session = replay(log(put_off, odd))
    assert session.decisions["F1"].decision == "later"
