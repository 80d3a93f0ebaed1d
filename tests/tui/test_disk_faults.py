"""A disk that refuses while the app is open: said, kept in the field, or elsewhere."""

from __future__ import annotations

import errno
import os
import re

import pytest

from inspect_tui.errors import BadInput, NotSaved
from inspect_tui.files.log import writer as log
from inspect_tui.tui.app import make_app
from inspect_tui.workflow.inspection import Inspection
from tests.tui.conftest import screen_text, settled, type_in

WORDS = [
    ("write", errno.ENOSPC, "the disk is full"),
    ("write", errno.EROFS, "the disk is read-only"),
    ("fsync", errno.EIO, "the disk reported an error"),
]


def refuse(number):
    """A call that fails."""

    def call(*given):
        raise OSError(number, os.strerror(number))

    return call


def shown(pilot):
    """The screen's words, however they are broken into lines."""
    return re.sub(r"[\s│]+", " ", pilot.screen_text())


@pytest.mark.parametrize(("call", "number", "words"), WORDS)
def test_a_refusal_is_said_and_enter_tries_again(walk, session, monkeypatch, call, number, words):
    at = walk(session)
    before = at.log
    with monkeypatch.context() as broken:
        broken.setattr(os, call, refuse(number))
        at.type("32", "enter")
        assert words in at.text and "Enter tries again" in at.text and "saved:" not in at.text
        assert at.field == "32" and at.log == before
    at.press("enter")
    assert 'entered = "32"' in at.log and "saved: Width 32 mm" in at.text


async def test_a_refusal_is_seen_on_the_screen(job, session, monkeypatch):
    async with job(session) as pilot:
        with monkeypatch.context() as broken:
            broken.setattr(os, "write", refuse(errno.ENOSPC))
            await type_in(pilot, "32", "enter")
            assert "the disk is full" in shown(pilot) and "Enter tries again" in shown(pilot)
        await type_in(pilot, "", "enter")
        assert "saved: Width 32 mm" in shown(pilot)


def test_what_is_typed_can_be_kept_on_another_disk(walk, session, monkeypatch, tmp_path):
    stick = tmp_path / "stick"
    stick.mkdir()
    at = walk(session)
    known = at.log
    with monkeypatch.context() as broken:
        broken.setattr(os, "write", refuse(errno.ENOSPC))
        at.type("32", "enter")
        at.do("keep_copy")
        at.type(str(tmp_path / "none"), "enter")
        assert "There is no folder" in at.text
    at.press("ctrl+u")
    at.type(str(stick), "enter")
    assert "entries are in" in at.text and "not entered yet" not in at.text
    assert at.field == "32"
    (copy,) = stick.glob("*.toml")
    assert copy.read_text(encoding="utf-8") == known and log.read(copy).whole
    (beside,) = stick.glob("*.txt")
    assert "belt.width, as-found: 32\n" in beside.read_text(encoding="utf-8")
    at.press("enter")
    assert 'entered = "32"' in at.log


def test_a_note_that_is_not_saved_is_kept_too(walk, session, monkeypatch, tmp_path):
    at = walk(session)
    with monkeypatch.context() as broken:
        broken.setattr(Inspection, "note", refuse_saving)
        at.do("note")
        at.type("loose bolt", "enter")
        at.do("keep_copy")
        at.type(str(tmp_path), "enter")
    (beside,) = tmp_path.glob("*.unsaved.txt")
    assert "NOTE: loose bolt\n" in beside.read_text(encoding="utf-8")
    assert at.field == "loose bolt"
    at.press("enter")
    assert 'text = "loose bolt"' in at.log


def test_a_copy_that_fails_advises_another_folder(walk, session, monkeypatch, tmp_path):
    at = walk(session)
    monkeypatch.setattr(at.desk.inspection.log, "keep_copy", refuse_saving)
    at.do("keep_copy")
    at.type(str(tmp_path), "enter")
    assert "Type another folder" in at.text and "Keep a copy" not in at.text


def test_long_words_that_are_not_saved_want_a_second_escape(walk, session):
    at = walk(session)
    at.do("note")
    at.type("the left bolt of the guard is loose")
    at.press("escape")
    assert "Esc again clears them" in at.text
    assert at.field == "the left bolt of the guard is loose"
    at.press("escape")
    assert "Cleared: the left bolt of the guard is loose" in at.text
    assert at.state.prompt is None and at.entries("note") == 0


def refuse_saving(*given):
    """In place of what writes."""
    raise NotSaved("Not saved in the log: the disk is full.")


async def test_a_log_whose_disk_is_gone_is_written_from_memory(places, clock, session, tmp_path):
    stick = tmp_path / "stick"
    stick.mkdir()
    with Inspection.open(places, session, clock) as held:
        held.note("belt", "before")
        known = places.log(session).read_bytes()
        places.log(session).unlink()
        held.log.keep_copy(stick)
        held.log.keep_copy(stick)
        with pytest.raises(BadInput, match="is where the log lies"):
            held.log.keep_copy(places.sessions)
    assert (stick / f"{session}.toml").read_bytes() == known
    assert (stick / f"{session}-2.toml").read_bytes() == known


async def test_the_same_session_twice_names_the_owner_and_opens_for_reading(
    job, places, clock, session
):
    with Inspection.open(places, session, clock):
        async with job(session) as pilot:
            assert f"process {os.getpid()} of" in shown(pilot)
            assert "for reading only" in shown(pilot)


async def test_read_only_on_request_writes_nothing(places, clock, session):
    before = places.log(session).read_bytes()
    app = make_app(places, clock, session=session, read_only=True)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        assert "reading only, as asked" in re.sub(r"[\s│]+", " ", screen_text(app))
        assert "state read-only" in screen_text(app)
        assert "READ-ONLY" in screen_text(app)
        await type_in(pilot, "32", "enter")
        assert "nothing was recorded. Esc clears it." in re.sub(r"[\s│]+", " ", screen_text(app))
        assert app.screen.question.field.value == "32"
        with Inspection.open(places, session, clock):  # the lock is free
            pass
    assert places.log(session).read_bytes() == before
    assert {path.suffix for path in places.sessions.iterdir()} <= {".toml", ".lock"}


async def test_a_broken_log_can_be_gone_on_with_when_that_is_said(places, clock, session):
    path = places.log(session)
    path.write_bytes(path.read_bytes().replace(b"R. Tester", b"R. Tasted", 1))
    app = make_app(places, clock, session=session, despite_broken=True)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        assert "its seal doesn't hold" in re.sub(r"[\s│]+", " ", screen_text(app))
        await type_in(pilot, "32", "enter")
        assert "✗ broken log, open" in screen_text(app)  # as long as it is open
    assert b'entered = "32"' in path.read_bytes()
