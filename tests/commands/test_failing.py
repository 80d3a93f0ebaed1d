"""The sentence about a fault inside the program comes whatever else is odd."""

from __future__ import annotations

import argparse
import errno
import os
import time

import pytest

from inspect_tui.commands.common import refuse_impossible_clock
from inspect_tui.commands.crash import in_words
from inspect_tui.errors import BadInput
from inspect_tui.files.log import writer as log
from inspect_tui.files.log.block import block, seal_line, seal_of


def test_a_zone_that_there_can_not_be_hides_no_fault(places, monkeypatch):
    monkeypatch.setenv("TZ", "UTC-167")
    time.tzset()
    try:
        said = in_words(KeyError("x"), argparse.Namespace(store=str(places.store)))
    finally:
        monkeypatch.undo()
        time.tzset()
    (details,) = (places.store / "faults").iterdir()
    assert "KeyError" in said and str(details) in said


@pytest.mark.parametrize("seconds", [9_223_372_036, -62_135_596_800, None])
def test_a_clock_that_cannot_be_counted_by_is_one_sentence(run, places, monkeypatch, seconds):
    """Python counts nanoseconds in 64 bits, and so do most of the libraries."""

    def there():
        if seconds is None:
            raise OverflowError("timestamp too large to convert to C _PyTime_t")
        return float(seconds)

    monkeypatch.setattr("inspect_tui.commands.common.time.time", there)
    ran = run("sessions")
    assert (ran.status, ran.out) == (2, "")
    assert "clock is before the year 1701 or past 2260" in ran.err
    assert len(ran.err.splitlines()) == 1
    monkeypatch.undo()


@pytest.mark.parametrize("seconds", [-1, -2_208_988_800, 0, 9_000_000_000])
def test_a_wrong_clock_that_can_be_counted_by_is_worked_with(monkeypatch, seconds):
    monkeypatch.setattr("inspect_tui.commands.common.time.time", lambda: float(seconds))
    refuse_impossible_clock()
    monkeypatch.undo()


def test_a_log_that_was_touched_past_2262_is_listed(run, places):
    made = run("new", "pre-season", "tindrak-600", "--by", "A").out.strip()
    path = places.log(made)
    try:
        os.utime(path, (11_000_000_000, 11_000_000_000))
    except OSError:
        return  # a disk that knows no such time
    for _ in range(2):
        ran = run("sessions")
        assert ran.status == 0 and made in ran.out, ran.err
    assert run("note", made, "carb-boots", "x").status in (0, 2)
    assert run("status", made).status == 0


@pytest.mark.parametrize("at", ["9999-12-31T23:59:59-23:59", "0001-01-01T00:00:00+23:59"])
def test_a_time_that_is_outside_the_calendar_elsewhere_is_a_fault_of_the_log(run, places, at):
    """In UTC it would be in the year 10000, or before the first one."""
    made = run("new", "pre-season", "tindrak-600", "--by", "A").out.strip()
    path = places.log(made)
    data = seal = b""
    for entry in log.read(path).entries:
        each = block(entry).replace(entry.at.isoformat().encode(), at.encode())
        seal = seal_of(seal, each).encode()
        data += each + seal_line(seal.decode())
    path.write_bytes(data)
    ran = run("verify", made)
    assert ran.status == 1 and "of the years 2 to 9998" in ran.err
    for words in (
        ["sessions"],
        ["status", made],
        ["due"],
        ["search", "x"],
        ["export", made, "--to", "pdf", "-o", places.store / "x.pdf"],
    ):
        assert run(*words).status == 0, words


def test_sessions_that_cannot_be_looked_into_never_gainsay_what_was_written(
    run, places, monkeypatch
):
    """An entry that is on the disk is status 0; else who repeats the command has it twice."""
    made = run("new", "pre-season", "tindrak-600", "--by", "A").out.strip()
    assert run("add-finding", made, "belt-width", "cracked").status == 0
    before = places.log(made).read_bytes()

    def failing(*_):
        raise BadInput("sessions can't be looked into.")

    monkeypatch.setattr("inspect_tui.workflow.earlier_sessions.EarlierSessions.of", failing)
    ran = run("decide", made, "F1", "put-right")
    assert ran.status == 2 and "can't be looked into" in ran.err
    assert places.log(made).read_bytes() == before
    ran = run("new", "pre-season", "tindrak-600", "--by", "A")
    assert (ran.status, ran.out) == (0, f"{made}-2\n")


@pytest.mark.parametrize("command", ["tag", "pack"])
def test_a_folder_that_the_disk_does_not_tell_of_is_said(
    run, places, tmp_path, monkeypatch, command
):
    made = run("new", "pre-season", "tindrak-600", "--by", "A").out.strip()
    real = os.stat

    def failing(path, *rest, **named):
        if str(path) == str(tmp_path / "out"):
            raise OSError(errno.EIO, os.strerror(errno.EIO))
        return real(path, *rest, **named)

    (tmp_path / "out").mkdir()
    monkeypatch.setattr(os, "stat", failing)
    ran = run(command, made, "-o", tmp_path / "out" / "x")
    monkeypatch.undo()
    assert ran.status == 2 and "can't be written: its folder is missing" in ran.err
