"""What is kept of compiled lists: read back only where nobody else can have put it there."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from inspect_tui.core.definitions import kept, of_log
from inspect_tui.files import kept_definitions
from inspect_tui.files.kept_definitions import MOST, KeptDefinitions
from tests.builders import checklist, reading, sheet, step

posix = pytest.mark.skipif(os.name != "posix", reason="modes and owners are POSIX's")


@pytest.fixture
def shelf(tmp_path):
    return KeptDefinitions(tmp_path / "cache" / "definitions")


def only_file(shelf):
    (path,) = shelf.folder.iterdir()
    return path


def test_what_was_written_is_read_by_its_text_and_kind(shelf):
    assert shelf.read("checklist", "text") is None
    shelf.write("checklist", "text", b"content")
    assert shelf.read("checklist", "text") == b"content"
    assert shelf.read("machine", "text") is None
    assert shelf.read("checklist", "text ") is None


@posix
def test_file_and_folder_are_private_from_the_first_moment(shelf):
    shelf.write("checklist", "text", b"content")
    assert stat.S_IMODE(shelf.folder.stat().st_mode) == 0o700
    assert stat.S_IMODE(only_file(shelf).stat().st_mode) == 0o600


@posix
@pytest.mark.parametrize(
    "plant",
    [
        lambda path: path.chmod(0o620),
        lambda path: path.chmod(0o602),
        lambda path: path.parent.chmod(0o770),
        lambda path: path.parent.chmod(0o707),
        lambda path: os.link(path, path.parent.parent / "second-name"),
        lambda path: path.symlink_to(path.rename(path.parent.parent / "moved")),
        lambda path: path.parent.symlink_to(path.parent.rename(path.parent.parent / "moved")),
        lambda path: (path.unlink(), os.mkfifo(path)),
        lambda path: (path.unlink(), path.mkdir()),
        lambda path: path.write_bytes(path.read_bytes()[:-1]),
        lambda path: path.write_bytes(path.read_bytes() + b"x"),
        lambda path: path.write_bytes(path.read_bytes().replace(b"content", b"CONTENT")),
        lambda path: path.write_bytes(b""),
    ],
)
def test_what_others_may_have_put_there_or_is_damaged_counts_as_nothing(shelf, plant):
    shelf.write("checklist", "text", b"content")
    assert shelf.read("checklist", "text") == b"content"
    plant(only_file(shelf))
    assert shelf.read("checklist", "text") is None


@posix
def test_what_belongs_to_somebody_else_counts_as_nothing(shelf, monkeypatch):
    shelf.write("checklist", "text", b"content")
    monkeypatch.setattr(os, "geteuid", lambda: os.getuid() + 1)
    assert shelf.read("checklist", "text") is None


def test_another_program_finds_nothing(shelf, monkeypatch):
    shelf.write("checklist", "text", b"content")
    monkeypatch.setattr(kept_definitions, "_this_program", lambda: b"another")
    assert shelf.read("checklist", "text") is None


def test_where_nothing_can_be_written_nothing_is_said(tmp_path):
    (tmp_path / "file").write_text("in the way")
    shelf = KeptDefinitions(tmp_path / "file" / "definitions")
    shelf.write("checklist", "text", b"content")
    assert shelf.read("checklist", "text") is None


@pytest.mark.parametrize("named", ["relative/x", ".", "/dev/null", "/proc/1/x", "/" + "x" * 300])
def test_an_odd_cache_folder_is_none(tmp_path, monkeypatch, named):
    monkeypatch.chdir(tmp_path)
    shelf = KeptDefinitions(Path(named))
    shelf.write("checklist", "text", b"content")
    assert shelf.read("checklist", "text") is None
    assert not list(tmp_path.iterdir())


def test_a_text_of_any_characters_has_its_place(shelf):
    shelf.write("checklist", "\ud800 \0", b"content")
    assert shelf.read("checklist", "\ud800 \0") == b"content"


def test_the_oldest_make_room(shelf):
    for number in range(MOST + 5):
        shelf.write("checklist", str(number), b"content")
        os.utime(max(shelf.folder.iterdir(), key=lambda path: path.stat().st_ctime_ns),
                 ns=(number, number))  # fmt: skip
    assert len(list(shelf.folder.iterdir())) == MOST
    assert shelf.read("checklist", str(MOST + 4)) == b"content"


def test_who_verifies_reads_the_log_alone(places, run):
    """What was kept may be anything: a log's verdicts are held against its own text."""
    (places.checklists / "mine.toml").write_text(
        checklist(step("belt", reading("width", limit="{ max = 3 }")), id_="mine")
    )
    (places.machines / "bed.toml").write_text(sheet())
    made = run("new", "mine", "bed", "--by", "Ann")
    assert made.status == 0, made.err
    session = made.out.strip()
    log = places.log(session)
    from inspect_tui.workflow.open_session import KeptDefinitions as used

    text = next(
        entry.get("checklist") for entry in _entries(log, session) if entry.kind == "opened"
    )
    assert used.of_this_computer().read("checklist", text) is not None
    lax = of_log.compile_trusted(text.replace("max = 3", "max = 9"))
    used.of_this_computer().write("checklist", text, kept.pack_list(lax))
    kept.compiled_list.cache_clear()
    assert "pass" in run("record", session, "belt.width=5").out
    kept.compiled_list.cache_clear()
    used.of_this_computer().write("checklist", text, b"")
    told = run("verify", session)
    assert told.status == 1
    assert "is 'fail' by the entries up to it" in told.out + told.err


def _entries(log, session):
    from inspect_tui.files.log.reader import contents_of

    return contents_of(log.read_bytes(), session).entries
