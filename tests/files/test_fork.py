"""Copies of a log: as mail and syncs leave them, and where two part."""

from __future__ import annotations

from dataclasses import replace

import pytest

from inspect_tui.core.model.log_entry import Entry
from inspect_tui.errors import Refused
from inspect_tui.files.log import compare
from inspect_tui.files.log import replace as whole_logs
from inspect_tui.files.log import writer as log
from inspect_tui.files.log.block import block, seal_line, seal_of
from tests.files.log_examples import START, note, opened


def data_of(*entries):
    """The bytes of a log of these entries."""
    data, seal = b"", b""
    for n, entry in enumerate(entries):
        made = block(replace(entry, n=n))
        seal = seal_of(seal, made).encode()
        data += made + seal_line(seal.decode())
    return data


def entries_of(data):
    return compare.copy_of(data, "x.toml").entries


COMMON = [opened(), note("both", 1)]
OURS = data_of(*COMMON, note("ours", 2), note("ours too", 3))
THEIRS = data_of(*COMMON, note("theirs", 2))
SHORT = data_of(*COMMON)


@pytest.mark.parametrize(
    "mangle",
    [
        lambda data: data.replace(b"\n", b"\r\n"),
        lambda data: b"\xef\xbb\xbf" + data,
        lambda data: data[:-1],
        lambda data: data + b"\n\r\n  \n",
        lambda data: b"\xef\xbb\xbf" + data.replace(b"\n", b"\r\n")[:-2],
    ],
)
def test_what_mail_programs_do_is_told_from_forgery_and_undone(mangle):
    copy = compare.copy_of(mangle(OURS), "mailed.toml")
    assert copy.data == OURS
    assert "nothing else was changed" in copy.said
    assert compare.copy_of(OURS, "x.toml").said == ""


def test_a_change_under_turned_line_ends_is_forgery():
    forged = OURS.replace(b"ours too", b"ours, too").replace(b"\n", b"\r\n")
    with pytest.raises(Refused, match=r"changed after it was written, and not only by its line"):
        compare.copy_of(forged, "mailed.toml")


def test_a_copy_synced_in_part_says_so():
    with pytest.raises(Refused, match=r"cut short.*The 3 entries before hold") as caught:
        compare.copy_of(OURS[:-40], "part.toml")
    assert caught.value.hint == "Copy it again."
    second = OURS.index(b"[[entry]]", 1)
    with pytest.raises(Refused, match=r"cut short.*The 1 entry before holds\."):
        compare.copy_of(OURS[: second + 12], "part.toml")


@pytest.mark.parametrize(
    ("here", "there", "relation"),
    [
        (OURS, OURS, "same"),
        (OURS, SHORT, "longer here"),
        (SHORT, THEIRS, "longer there"),
        (OURS, THEIRS, "fork"),
    ],
)
def test_how_two_copies_stand_to_each_other(here, there, relation):
    found = compare.compare(entries_of(here), entries_of(there))
    assert found.relation == relation
    if relation == "fork":
        assert found.common.n == 1
        assert [entry.get("text") for entry in found.here] == ["ours", "ours too"]
        assert [entry.get("text") for entry in found.there] == ["theirs"]


def test_two_sessions_that_share_only_the_id():
    other = data_of(replace(opened(), by="Somebody Else"))
    with pytest.raises(Refused, match="share nothing but the id"):
        compare.compare(entries_of(OURS), entries_of(other))


def combined_entry(here, there, **wrong):
    found = compare.compare(entries_of(here), entries_of(there))
    keys = {
        "common": found.common.n, "common_seal": found.common.seal, "entries": len(found.there),
        "last_seal": found.there[-1].seal, "log": compare.rest_after(there, found.common).decode(),
    }  # fmt: skip
    return Entry(-1, "combined", START.replace(hour=12), "A. Tester", keys | wrong)


def test_what_a_combined_entry_carries_is_the_other_copy_byte_for_byte():
    combined = combined_entry(OURS, THEIRS)
    whole = data_of(*COMMON, note("ours", 2), note("ours too", 3), combined)
    read = entries_of(whole)
    assert compare.problems(read) == []
    end = OURS.index(b'text = "ours"')
    start = OURS.rindex(b"[[entry]]", 0, end)
    assert OURS[:start] + read[-1].get("log").encode() == THEIRS
    assert [entry.get("text") for entry in compare.carried(read[-1])] == ["theirs"]
    assert compare.compare(read, entries_of(THEIRS)).relation == "carried here"
    assert compare.compare(entries_of(THEIRS), read).relation == "carried there"


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"log": None}, "carries no other copy"),
        ({"log": "x"}, "cut short"),
        ({"log": ""}, "cut short"),
        ({"common": 0}, "whose entry 1 doesn't hold"),
        ({"common": 7}, "whose entry 8 doesn't hold"),
        ({"common_seal": "0" * 64}, "whose entry 2 doesn't hold"),
        ({"entries": 5}, "says something else"),
        ({"last_seal": "0" * 64}, "says something else"),
    ],
)
def test_a_combined_entry_that_carries_something_else_is_named(wrong, words):
    combined = combined_entry(OURS, THEIRS, **wrong)
    read = entries_of(data_of(*COMMON, note("ours", 2), note("ours too", 3), combined))
    (said,) = compare.problems(read)
    assert said.startswith("Entry 4 ")
    assert words in said


def test_a_changed_letter_in_what_is_carried_is_named():
    combined = combined_entry(OURS, THEIRS)
    combined.keys["log"] = combined.keys["log"].replace("theirs", "others")
    read = entries_of(data_of(*COMMON, note("ours", 2), combined))
    assert "doesn't hold" in compare.problems(read)[0]


def test_a_carried_copy_of_another_log_does_not_follow_on():
    other = data_of(opened(), note("elsewhere", 1), note("more", 2))
    shared = entries_of(other)[1]
    combined = combined_entry(OURS, THEIRS)
    combined.keys.update(
        common_seal=shared.seal, entries=1, last_seal=entries_of(other)[2].seal,
        log=compare.rest_after(other, shared).decode(),
    )  # fmt: skip
    read = entries_of(data_of(*COMMON, note("ours", 2), combined))
    assert compare.problems(read) == ["Entry 3 carries a copy that doesn't follow on entry 1."]


def test_a_carried_copy_with_nothing_before_it_does_not_follow_on():
    whole = data_of(*COMMON, note("ours", 2), combined_entry(OURS, THEIRS))
    last = entries_of(whole)[-1:]
    assert compare.problems(last) == ["Entry 3 carries a copy that doesn't follow on entry 1."]


def test_joins_within_joins_are_checked():
    inner = data_of(*COMMON, note("ours", 2), combined_entry(OURS, THEIRS))
    third = data_of(*COMMON, note("third", 2))
    outer = combined_entry(third, inner)
    read = entries_of(data_of(*COMMON, note("third", 2), outer))
    assert compare.problems(read) == []
    texts = [entry.get("text") for entry in compare.all_carried(read)]
    assert "theirs" in texts and "ours" in texts
    copies = [
        (combined.n, [each.get("text") for each in whole])
        for combined, whole in compare.copies(read)
    ]
    assert [(n, texts[2:3]) for n, texts in copies] == [(3, ["ours"]), (3, ["theirs"])]


def test_two_copies_that_were_combined_thirty_times_are_gone_through_once_each():
    entries = list(COMMON)
    for day in range(30):
        there = data_of(*entries, note(f"theirs {day}", 2))
        entries.append(note(f"ours {day}", 2))
        entries.append(replace(combined_entry(data_of(*entries), there), at=entries[-1].at))
    read = entries_of(data_of(*entries))
    assert compare.problems(read) == []
    copies = list(compare.copies(read))
    assert [combined.n for combined, _ in copies] == [
        entry.n for entry in read if entry.kind == "combined"
    ]
    assert [whole[-1].get("text") for _, whole in copies] == [f"theirs {n}" for n in range(30)]


def test_a_log_is_extended_only_by_a_copy_that_begins_with_it(tmp_path):
    path = tmp_path / "s.toml"
    path.write_bytes(SHORT)
    with log.Writer.open(path) as writer:
        with pytest.raises(Refused):
            writer.extend(OURS.replace(b"both", b"bush"))
        assert writer.extend(SHORT) == 0
        assert writer.extend(OURS) == 2
        with pytest.raises(Refused):
            writer.extend(THEIRS)
        writer.append([note("after", 9)])
    assert path.read_bytes().startswith(OURS)
    assert log.read(path).whole


def test_a_log_gives_way_and_stays_beside(tmp_path):
    path = tmp_path / "s.toml"
    path.write_bytes(THEIRS)
    with pytest.raises(Refused, match="written meanwhile"):
        whole_logs.replace_with_superset(path, SHORT, OURS)
    aside = whole_logs.replace_with_superset(path, THEIRS, OURS)
    assert path.read_bytes() == OURS
    assert aside.read_bytes() == THEIRS
    assert aside.suffix != ".toml"
    with pytest.raises(Refused, match="already"):
        whole_logs.import_log(path, OURS)
