"""Logs that were moved, sent, or synced in part; and clocks that were set back or moved on."""

from __future__ import annotations

import time
from datetime import UTC, datetime, timedelta, timezone

import pytest

from inspect_tui.core.model.log_entry import Entry
from inspect_tui.errors import BadInput, Refused
from inspect_tui.files.log.writer import Writer, read
from tests.files.log_examples import EXAMPLE, START

DATA = EXAMPLE.read_bytes()


def after(path, at):
    """Record a note at this time; the entry as it is read back, and what was said of the clock."""
    with Writer.open(path) as writer:
        writer.append([Entry(0, "note", at, "A. Tester", {"step": "belt", "text": "x"})])
        said = writer.clock_note
    assert read(path).whole
    return read(path).entries[-1], said


@pytest.fixture
def summer_time(monkeypatch):
    """A computer where summer time ends on 2026-10-25 at 4:00 and begins on 2027-03-28 at 3:00."""
    monkeypatch.setenv("TZ", "EET-2EEST,M3.5.0/3,M10.5.0/4")
    time.tzset()
    yield lambda *utc: datetime(*utc, tzinfo=UTC).astimezone()
    monkeypatch.undo()
    time.tzset()


# --- line ends, parts, names ---------------------------------------------------------------------


def test_a_mail_programs_line_ends_are_told_from_a_change(example):
    example.write_bytes(DATA.replace(b"\n", b"\r\n"))
    (said,) = read(example).problems
    assert "every seal holds" in said and "mail program" in said
    example.write_bytes(DATA.replace(b"\n", b"\r\n").replace(b"31.75", b"31.25"))
    said, *more = read(example).problems
    assert "every seal holds" not in said
    assert "changed after it was written" in more[0]


def test_going_on_all_the_same_has_its_option_named(example):
    example.write_bytes(DATA.replace(b"\n", b"\r\n"))
    with pytest.raises(Refused, match="--despite-broken"):
        Writer.open(example)


@pytest.mark.parametrize("length", range(1, len(DATA), 41))
def test_a_copy_made_in_part_is_torn_and_not_forged(tmp_path, length):
    path = tmp_path / "part.toml"
    path.write_bytes(DATA[:length])
    try:
        contents = read(path)
    except BadInput as error:
        assert "first entry is not complete" in str(error)
        return
    assert contents.problems == ()


@pytest.mark.parametrize("room", [1, 100, 4096])
def test_room_that_was_never_filled_is_told(example, room):
    example.write_bytes(DATA + bytes(room))
    contents = read(example)
    assert contents.problems == ()
    assert "NUL" in contents.torn_in_words and "copy made in part" in contents.torn_in_words
    with Writer.open(example) as writer:
        assert writer.mended
    assert example.read_bytes() == DATA
    assert example.with_suffix(".torn").read_bytes() == bytes(room)


def test_a_hole_in_the_middle_is_told_from_a_change(example):
    middle = len(DATA) // 2
    example.write_bytes(DATA[:middle] + bytes(64) + DATA[middle + 64 :])
    assert any("NUL, which nobody types" in text for text in read(example).problems)
    example.write_bytes(DATA.replace(b"31.75", b"31.25"))
    assert not any("NUL" in text for text in read(example).problems)


def test_a_renamed_and_moved_log_verifies_and_goes_on(example, tmp_path):
    elsewhere = tmp_path / "stick" / "my old log.toml"
    elsewhere.parent.mkdir()
    example.rename(elsewhere)
    assert read(elsewhere).whole
    entry, _ = after(elsewhere, START + timedelta(days=400))
    assert entry.n == 3


# --- clocks --------------------------------------------------------------------------------------


def test_a_laptop_in_another_zone_goes_on_without_a_word(fresh):
    west = timezone(timedelta(hours=-9))
    later = (START + timedelta(minutes=5)).astimezone(west)
    entry, said = after(fresh, later)
    assert said == ""
    assert entry.at == later and entry.at.utcoffset() == timedelta(hours=-9)
    entry, said = after(fresh, START + timedelta(minutes=6))
    assert said == "" and entry.get("clock") is None


def test_the_hour_that_comes_twice_is_no_clock_set_back(fresh, summer_time):
    summer, winter = summer_time(2026, 10, 25, 0, 50), summer_time(2026, 10, 25, 1, 10)
    assert (summer.hour, summer.minute) > (winter.hour, winter.minute)
    first, said = after(fresh, summer)
    assert said == ""
    second, said = after(fresh, winter)
    assert said == "" and second.get("clock") is None
    assert second.at - first.at == timedelta(minutes=20)


def test_the_hour_that_is_left_out_leaves_nothing_out(fresh, summer_time):
    before, behind = summer_time(2027, 3, 28, 0, 59), summer_time(2027, 3, 28, 1, 1)
    assert behind.hour - before.hour == 2
    first, _ = after(fresh, before)
    second, said = after(fresh, behind)
    assert said == "" and second.at - first.at == timedelta(minutes=2)


def test_a_clock_set_back_is_said_once_and_keeps_both_times(fresh):
    back = START - timedelta(days=1)
    entry, said = after(fresh, back)
    assert "set the clock" in said
    assert entry.at == START and entry.get("clock") == back
    entry, said = after(fresh, START + timedelta(hours=1))
    assert said == "" and entry.get("clock") is None


def test_a_clock_far_ahead_once_does_not_stop_the_log(fresh):
    after(fresh, START.replace(year=2099))
    entry, said = after(fresh, START + timedelta(days=1))
    assert "set the clock" in said
    assert entry.at.year == 2099 and entry.get("clock") == START + timedelta(days=1)
