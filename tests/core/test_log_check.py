"""Values and verdicts of a log, worked out anew from the entries up to each."""

from __future__ import annotations

from dataclasses import replace

import pytest

from inspect_tui.core.evaluation.log_check import differences, rejudged
from inspect_tui.core.model.log_entry import AS_LEFT
from inspect_tui.errors import Refused
from inspect_tui.workflow.inspection import Inspection, Target
from tests.builders import checklist, reading, section, step

CHECKLIST = checklist(
    section("drive"),
    step(
        "belt",
        reading("new", label="Width of a new one"),
        reading("width", label="Width", limit="{ min = \"new - '2 mm'\" }"),
        reading("frayed", "check", label="Frayed", limit="{ equal = false }"),
        title="Belt",
    ),
    step(
        "plugs",
        reading("gap", label="Gap", limit='{ target = "spec.gap", tolerance = "0.1 mm" }'),
        title="Plugs",
        per="cylinder",
    ),
    id_="short",
    title="Short look",
)
MACHINE = 'id = "bed"\nname = "Bed"\ncylinders = ["PTO", "MAG"]\n[spec]\ngap = "0.7 mm"\n'


@pytest.fixture
def entries(places, clock):
    (places.checklists / "short.toml").write_text(CHECKLIST, encoding="utf-8")
    (places.machines / "bed.toml").write_text(MACHINE, encoding="utf-8")
    with Inspection.new(places, "short", "bed", "R. Tester", clock) as inspection:
        inspection.record([(Target("belt", "width"), "31"), (Target("belt", "new"), "1 1/4 in")])
        inspection.record([(Target("belt", "width"), "31.5")])
        inspection.record([(Target("belt", "frayed"), "no")])
        inspection.record([(Target("plugs", "gap", "PTO"), "0.7"),
                           (Target("plugs", "gap", "MAG"), "unknown")])  # fmt: skip
        inspection.record([(Target("plugs", "gap", "PTO"), "0.9 mm")], AS_LEFT)
        inspection.add_step("drive", "Noise", "mm")
        inspection.record([(Target("added-1", "value"), "3")])
        inspection.move(Target("plugs", "gap", "PTO"), "as-left")
        return inspection.entries


def test_what_was_recorded_follows_from_what_was_entered(entries):
    verdicts = [each.get("verdict") for each in entries if each.kind == "reading"]
    assert verdicts[:3] == ["none", "none", "pass"]  # the first was there before its limit
    assert differences(entries) == ()


def test_what_stands_behind_other_entries_is_worked_out_too(entries):
    """A note, an added step, an entry whose seal broke: the readings after it are still held."""
    behind, number = changed(entries, 7, verdict="pass")
    assert [each.n for each in differences(behind)] == [number]
    broken = (*behind[:1], replace(behind[1], sound=False), *behind[2:])
    assert number in [each.n for each in differences(broken)]


def changed(entries, number, **keys):
    """The log with other keys in its reading of that number (from 0)."""
    (place, entry) = [(at, each) for at, each in enumerate(entries) if each.kind == "reading"][
        number
    ]
    kept = {key: value for key, value in {**entry.keys, **keys}.items() if value is not None}
    return (*entries[:place], replace(entry, keys=kept), *entries[place + 1 :]), entry.n


@pytest.mark.parametrize(
    ("number", "keys", "words"),
    [
        (0, {"verdict": "pass"}, "belt.width: '31' is 'none' by the entries up to it, and 'pass'"),
        (2, {"value": 30.5}, "'31.5' is 31.5, and 30.5 stands there"),
        (2, {"entered": "20"}, "'20' is 20, and 31.5 stands there"),
        (2, {"unit": "in"}, "its unit is mm, and in stands there"),
        (2, {"unit": None}, "its unit is mm, and none stands there"),
        (3, {"value": 0}, "'no' is False, and 0 stands there"),
        (4, {"step": "plug"}, "plug.gap@PTO: the checklist has no such step"),
        (4, {"reading": "gaps"}, "plugs.gaps@PTO: the step has no such reading"),
        (4, {"cylinder": "centre"}, "plugs.gap@centre: the machine has no such cylinder"),
        (4, {"cylinder": None}, "plugs.gap: its cylinder is missing"),
        (4, {"phase": "as-new"}, "plugs.gap@PTO: 'as-new' is no phase"),
        (4, {"entered": "broad"}, "'broad' can't be that reading"),
        (4, {"entered": None}, "a reading has its step, reading, phase and entered as texts"),
        (4, {"step": ["plugs"]}, "a reading has its step"),
        (4, {"value": [1]}, "plugs.gap@PTO has no value that can be read"),
        (5, {"value": 0.7}, "'unknown' is no value, and 0.7 stands there"),
        (5, {"verdict": "pass"}, "plugs.gap@MAG: 'unknown' is 'none'"),
    ],
)
def test_a_reading_that_does_not_follow_is_named_with_its_entry(entries, number, keys, words):
    forged, n = changed(entries, number, **keys)
    found = [each for each in differences(forged) if each.n == n]
    assert any(each.text.startswith(f"Entry {n}: ") and words in each.text for each in found), found
    assert not any(each.by_earlier_rule for each in found)


def test_what_does_not_begin_with_its_opening_is_no_session(entries):
    for first in (entries[1:], ()):
        with pytest.raises(Refused, match="does not begin with its 'opened' entry"):
            differences(first)


@pytest.mark.parametrize("hash_", ["0" * 64, "f" * 64])
def test_the_value_of_a_photo_is_its_hash(entries, hash_):
    photo, wrong = f"{'a' * 64}.jpg", f"'sha256:{hash_[:8]}"
    forged, n = changed(entries, 2, photo=photo, value=f"sha256:{hash_}")
    said = [each.text for each in differences(forged) if each.n == n]
    assert any(wrong in text and "is not the hash of its photo" in text for text in said)
    sound, n = changed(entries, 2, photo=photo, value=f"sha256:{'a' * 64}")
    assert not any("hash" in each.text for each in differences(sound))


def test_what_follows_from_a_later_entry_is_no_excuse(entries):
    """The width of 31 mm would pass by the new belt's width, which came after it."""
    forged, n = changed(entries, 0, verdict="pass")
    assert [each.n for each in differences(forged)] == [n]


def test_only_the_verdict_of_an_earlier_programs_log_is_merely_said(entries):
    head = replace(entries[0], keys={**entries[0].keys, "program": "inspect-tui 0.1.0"})
    forged, _ = changed((head, *entries[1:]), 2, verdict="fail")
    assert [each.by_earlier_rule for each in differences(forged)] == [True]
    forged, _ = changed((head, *entries[1:]), 2, value=30.5)
    assert [each.by_earlier_rule for each in differences(forged)] == [False]


def test_readings_whose_seal_broke_and_those_after_the_sign_off_are_not_judged(entries):
    forged, n = changed(entries, 2, value=30.5)
    broken = tuple(replace(each, sound=each.n != n) for each in forged)
    assert differences(broken) == ()
    signed = replace(entries[1], n=len(entries), kind="signed", keys={"open": []})
    late = replace(changed(entries, 2, value=1)[0][n], n=len(entries) + 1)
    assert differences((*entries, signed, late)) == ()


def test_entries_of_another_copy_are_judged_where_they_are_written(entries):
    """There a new belt of 40 mm was measured before; here it is 31.75 mm."""
    other = replace(entries[2], n=-1, keys={**entries[1].keys, "verdict": "fail"})
    (written,) = rejudged(entries, [other])
    assert written.keys["verdict"] == "pass"
    assert rejudged(entries, [replace(other, kind="note", keys={"text": "x"})])[0].kind == "note"


@pytest.mark.parametrize(
    "keys",
    [
        {"step": None}, {"reading": None}, {"phase": None}, {"entered": None}, {"step": ["belt"]},
        {"step": "gone"}, {"cylinder": "PTO"},
    ],
)  # fmt: skip
def test_a_reading_that_the_list_does_not_have_is_written_as_it_came(entries, keys):
    """Nothing follows from it, so its verdict is the other copy's; it is no reason to stop."""
    kept = {**entries[1].keys, "verdict": "fail", **keys}
    other = replace(entries[2], n=-1, keys={k: v for k, v in kept.items() if v is not None})
    sound = replace(entries[2], n=-2, keys={**entries[1].keys, "verdict": "fail"})
    first, second = rejudged(entries, [other, sound])
    assert first == other
    assert second.keys["verdict"] == "pass"
