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
async def test_a_refusal_is_said_and_enter_tries_again(
    job, session, monkeypatch, call, number, words
):
    async with job(session) as pilot:
        before = pilot.log()
        with monkeypatch.context() as broken:
            broken.setattr(os, call, refuse(number))
            await type_in(pilot, "32", "enter")
            assert words in shown(pilot) and "Enter tries again" in shown(pilot)
            assert "saved:" not in shown(pilot)
            assert pilot.app.screen.question.field.value == "32"
            assert pilot.log() == before
        await type_in(pilot, "", "enter")
        assert 'entered = "32"' in pilot.log()
        assert "saved: Width 32 mm" in shown(pilot)


async def test_what_is_typed_can_be_kept_on_another_disk(job, session, monkeypatch, tmp_path):
    stick = tmp_path / "stick"
    stick.mkdir()
    async with job(session) as pilot:
        known = pilot.log()
        with monkeypatch.context() as broken:
            broken.setattr(pilot.app.inspection.log._writer, "_write", refuse_saving)
            await type_in(pilot, "32", "enter")
            pilot.app.screen.action_keep_copy()
            await type_in(pilot, str(tmp_path / "none"), "enter")
            assert "There is no folder" in shown(pilot)
            pilot.app.screen.question.field.put("")
            await type_in(pilot, str(stick), "enter")
            assert "entries are in" in shown(pilot) and "not entered yet" not in shown(pilot)
        assert pilot.app.screen.question.field.value == "32"
        (copy,) = stick.glob("*.toml")
        assert copy.read_text(encoding="utf-8") == known and log.read(copy).whole
        (beside,) = stick.glob("*.txt")
        assert "belt.width, as-found: 32\n" in beside.read_text(encoding="utf-8")
        await type_in(pilot, "", "enter")
        assert 'entered = "32"' in pilot.log()


async def test_a_note_that_is_not_saved_is_kept_too(job, session, monkeypatch, tmp_path):
    async with job(session) as pilot:
        with monkeypatch.context() as broken:
            broken.setattr(pilot.app.inspection.log._writer, "_write", refuse_saving)
            pilot.app.screen.action_note()
            await type_in(pilot, "loose bolt", "enter")
            pilot.app.screen.action_keep_copy()
            await type_in(pilot, str(tmp_path), "enter")
        (beside,) = tmp_path.glob("*.unsaved.txt")
        assert "NOTE: loose bolt\n" in beside.read_text(encoding="utf-8")
        assert pilot.app.screen.question.field.value == "loose bolt"
        await type_in(pilot, "", "enter")
        assert 'text = "loose bolt"' in pilot.log()


async def test_a_copy_that_fails_advises_another_folder(job, session, monkeypatch, tmp_path):
    async with job(session) as pilot:
        monkeypatch.setattr(pilot.app.inspection.log, "keep_copy", lambda *_: refuse_saving(b""))
        pilot.app.screen.action_keep_copy()
        await type_in(pilot, str(tmp_path), "enter")
        assert "Type another folder" in shown(pilot) and "Keep a copy" not in shown(pilot)


async def test_long_words_that_are_not_saved_want_a_second_escape(job, session):
    async with job(session) as pilot:
        pilot.app.screen.action_note()
        await type_in(pilot, "the left bolt of the guard is loose")
        await pilot.press("escape")
        await pilot.pause()
        assert "Esc again clears them" in shown(pilot)
        assert pilot.app.screen.question.field.value == "the left bolt of the guard is loose"
        await pilot.press("escape")
        await pilot.pause()
        assert "Cleared: the left bolt of the guard is loose" in shown(pilot)
        assert pilot.app.screen.mode is None and 'kind = "note"' not in pilot.log()


def refuse_saving(data):
    """In place of the writer's last step."""
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
