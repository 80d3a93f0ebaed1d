"""What stands beside a log, or is on its way to a place: no link followed, no pipe waited for."""

from __future__ import annotations

import errno
import os
import stat
import threading
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from inspect_tui.errors import AlreadyThere, BadInput, NotSaved, Refused
from inspect_tui.files import atomic_write, new_file
from inspect_tui.files.atomic_write import anything
from inspect_tui.files.disk import bytes_of
from inspect_tui.files.log.writer import Writer, read
from tests.files.log_examples import note, opened

KINDS = ("link", "link to nothing", "pipe", "folder", "second name")


def plant(path, kind, victim):
    """Put something odd at a path; what a link leads to must stay as it is."""
    if kind == "link":
        victim.write_bytes(b"mine")
        path.symlink_to(victim)
    elif kind == "link to nothing":
        path.symlink_to(victim)
    elif kind == "pipe":
        os.mkfifo(path)
    elif kind == "folder":
        path.mkdir()
    else:
        victim.write_bytes(b"mine")
        path.hardlink_to(victim)


def untouched(kind, victim):
    if kind in ("link", "second name"):
        return victim.read_bytes() == b"mine"
    return not victim.exists()


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("suffix", [".owner", ".owner-new", ".held", ".torn"])
def test_an_odd_file_beside_a_log_is_neither_written_nor_waited_for(fresh, tmp_path, kind, suffix):
    victim = tmp_path / "victim"
    plant(fresh.with_suffix(suffix), kind, victim)
    with fresh.open("ab") as file:
        file.write(b"[[entry]]\n")
    with Writer.open(fresh) as writer:
        assert "moved to" in writer.mended
        writer.append([note("saved")])
    assert read(fresh).entries[-1].get("text") == "saved"
    assert untouched(kind, victim)
    torn = fresh.with_suffix(".torn")
    assert torn.is_file() and not torn.is_symlink() and b"[[entry]]" in torn.read_bytes()
    assert stat.S_IMODE(torn.stat().st_mode) == 0o600


@pytest.mark.parametrize("kind", KINDS[:4])
def test_an_odd_file_in_the_locks_place_is_said(fresh, tmp_path, kind):
    fresh.with_suffix(".lock").unlink(missing_ok=True)
    plant(fresh.with_suffix(".lock"), kind, tmp_path / "victim")
    with pytest.raises(NotSaved, match=r"fresh\.lock is a (link|pipe|folder)"):
        Writer.open(fresh)
    assert untouched(kind, tmp_path / "victim")


@pytest.mark.parametrize("kind", KINDS)
def test_a_new_log_is_never_made_through_what_stands_there(tmp_path, kind):
    path = tmp_path / "new.toml"
    plant(path, kind, tmp_path / "victim")
    with pytest.raises(AlreadyThere):
        Writer.create(path, opened())
    assert untouched(kind, tmp_path / "victim")
    assert not list(tmp_path.glob(".inspect-tui-*"))


@pytest.mark.parametrize("kind", ["pipe", "folder"])
def test_what_is_no_file_is_not_read(tmp_path, kind):
    plant(tmp_path / "x", kind, tmp_path / "victim")
    with pytest.raises(BadInput, match="is no file"):
        bytes_of(tmp_path / "x", "log")


# --- prepared beside, then put in place -----------------------------------------------------------


def test_a_new_file_is_private_and_unseen_until_it_is_whole(tmp_path):
    path = tmp_path / "x.toml"
    file = new_file.NewFile(path)
    (beside,) = tmp_path.iterdir()
    assert stat.S_IMODE(beside.stat().st_mode) == 0o600
    file.write(b"all of it")
    assert not path.exists()
    file.put(replace=False)
    assert path.read_bytes() == b"all of it" and list(tmp_path.iterdir()) == [path]
    os.close(file.descriptor)


def test_what_a_killed_program_left_is_swept_and_what_a_living_one_prepares_is_not(tmp_path):
    living = new_file.NewFile(tmp_path / "x")
    child = os.fork()
    if child == 0:
        new_file.NewFile(tmp_path / "x")
        os._exit(0)
    os.waitpid(child, 0)
    assert len(list(tmp_path.iterdir())) == 2
    new_file.sweep(tmp_path)
    living.write(b"goes on")
    living.put(replace=False)
    assert [path.name for path in tmp_path.iterdir()] == ["x"]
    os.close(living.descriptor)


def test_a_persons_folder_is_swept_of_one_name_alone(tmp_path):
    child = os.fork()
    if child == 0:
        new_file.NewFile(tmp_path / "x")
        new_file.NewFile(tmp_path / "y")
        os._exit(0)
    os.waitpid(child, 0)
    new_file.sweep(tmp_path, tmp_path / "x")
    assert len(list(tmp_path.iterdir())) == 1


@pytest.mark.parametrize("number", [1, 38, 95])  # EPERM, ENOSYS, ENOTSUP
def test_a_disk_without_links_takes_new_files_too(tmp_path, monkeypatch, number):
    def refuse(*_):
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, "link", refuse)
    new_file.write_new(tmp_path / "x", b"1", replace=False)
    with pytest.raises(FileExistsError):
        new_file.write_new(tmp_path / "x", b"2", replace=False)
    assert (tmp_path / "x").read_bytes() == b"1"
    assert len(list(tmp_path.iterdir())) == 1


def several_at_once(path: Path, ways: list[Callable[[], object]]) -> list[int]:
    """Each way makes the same name in a process of its own, all let go at one moment."""
    begin, go = os.pipe()
    children = []
    for number, way in enumerate(ways):
        child = os.fork()
        if child == 0:
            status = 2
            try:
                os.close(go)
                os.read(begin, 1)
                way()
                new_file.write_new(path, b"%d" % number * 1000, replace=False)
                status = 0
            except FileExistsError:
                status = 1
            finally:
                os._exit(status)
        children.append(child)
    os.close(begin)
    os.close(go)
    return [os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in children]


def no_locks(*_):
    raise OSError(errno.ENOLCK, os.strerror(errno.ENOLCK))


@pytest.mark.parametrize("locks", [True, False])
def test_of_two_who_make_one_name_without_links_one_alone_has_it(tmp_path, monkeypatch, locks):
    """The other comes between the look and the rename, where it would have been written over."""

    def refuse(*_):
        raise OSError(errno.EPERM, os.strerror(errno.EPERM))

    monkeypatch.setattr(os, "link", refuse)
    if not locks:
        monkeypatch.setattr(new_file.fcntl, "flock", no_locks)
    real = os.path.lexists
    path = tmp_path / "x"
    looked: list[int] = []

    def look(asked):
        there = real(asked)
        if Path(asked) == path and not there and not looked:
            looked.append(1)  # both are past the look before either goes on, if both can be
            (tmp_path / f"looked-{os.getpid()}").touch()
            end = time.monotonic() + 0.5
            while len(list(tmp_path.glob("looked-*"))) < 2 and time.monotonic() < end:
                time.sleep(0.01)
        return there

    monkeypatch.setattr(os.path, "lexists", look)
    ended = several_at_once(path, [lambda: None, lambda: None])
    assert sorted(ended) == [0, 1]
    assert path.read_bytes() == b"%d" % ended.index(0) * 1000
    assert [each.name for each in tmp_path.iterdir() if each.name.startswith(".")] == []


def test_who_was_killed_while_taking_a_name_without_links_is_in_nobodys_way(tmp_path, monkeypatch):
    def refuse(*_):
        raise OSError(errno.EPERM, os.strerror(errno.EPERM))

    monkeypatch.setattr(os, "link", refuse)
    child = os.fork()
    if child == 0:
        monkeypatch.setattr(Path, "rename", lambda *_: os._exit(9))
        new_file.write_new(tmp_path / "x", b"killed", replace=False)
        os._exit(0)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 9
    assert not (tmp_path / "x").exists()
    new_file.write_new(tmp_path / "x", b"next", replace=False)
    assert (tmp_path / "x").read_bytes() == b"next"
    new_file.sweep(tmp_path)
    assert [each.name for each in tmp_path.iterdir()] == ["x"]


# --- where a person says that a file shall go --------------------------------------------------


def test_a_pipe_with_a_reader_gets_the_bytes(tmp_path):
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    read_back = []
    reader = threading.Thread(target=lambda: read_back.append(pipe.read_bytes()))
    reader.start()
    atomic_write.write(pipe, b"x" * 200_000, anything)
    reader.join()
    assert read_back == [b"x" * 200_000]
    assert stat.S_ISFIFO(pipe.stat().st_mode)


def test_a_pipe_that_nobody_reads_is_said(tmp_path, monkeypatch):
    monkeypatch.setattr(atomic_write, "WAIT_FOR_READER", 0.05)
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(NotSaved, match="nobody reads it"):
        atomic_write.write(tmp_path / "pipe", b"x", anything)


def test_devices_are_written_to_and_stay():
    with pytest.raises(NotSaved, match="the disk is full"):
        atomic_write.write(Path("/dev/full"), b"x", anything)
    atomic_write.write(Path(os.devnull), b"x", anything)
    assert stat.S_ISCHR(Path(os.devnull).stat().st_mode)


def test_a_link_is_followed_to_its_file_and_stays(tmp_path):
    folder = tmp_path / "elsewhere"
    folder.mkdir()
    link = tmp_path / "report.md"
    link.symlink_to(folder / "report.md")
    for text in (b"first", b"second"):
        atomic_write.write(link, text, anything)
        assert link.is_symlink() and (folder / "report.md").read_bytes() == text


def test_what_may_not_be_replaced_stays(tmp_path):
    own = tmp_path / "my-sheet.toml"
    own.write_bytes(b'id = "mine"\n')
    with pytest.raises(BadInput, match="did not export, so it stays"):
        atomic_write.write(own, b"x", lambda there: there.startswith(b"# "))
    (tmp_path / "log").write_bytes(b"[[entry]]\n")
    with pytest.raises(BadInput, match="session log"):
        atomic_write.write(tmp_path / "log", b"x", anything)
    (tmp_path / "empty").touch()
    atomic_write.write(tmp_path / "empty", b"x", lambda there: False)
    for each in (tmp_path, tmp_path / "none" / "x", tmp_path / "log" / "x", tmp_path / ("x" * 300)):
        with pytest.raises((BadInput, NotSaved, Refused)):
            atomic_write.write(each, b"x", anything)
    assert own.read_bytes() == b'id = "mine"\n'
