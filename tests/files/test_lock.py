"""Who has a log open: the system's lock, a file where there is none, and what was left behind."""

from __future__ import annotations

import errno
import fcntl
import os
import platform
import subprocess
import sys
import time
from pathlib import Path

import pytest

from inspect_tui.errors import NotSaved, Refused
from inspect_tui.files.log import system_lock
from inspect_tui.files.log.writer import Writer, read
from tests.files.log_examples import note

ROOT = Path(__file__).parents[2]
HERE = platform.node()
SINCE = "since 2026-11-02T18:00:00+00:00"


def dead():
    """The number of a process that has ended."""
    ended = subprocess.Popen([sys.executable, "-c", ""])
    ended.wait()
    return ended.pid


def without_locks(monkeypatch, number=errno.ENOTSUP):
    """A disk that has no locks."""

    def refuse(descriptor, operation):
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(fcntl, "flock", refuse)


@pytest.fixture(params=["ENOSYS", "ENOTSUP", "ENOLCK", "EINVAL", "EPERM"])
def no_locks(request, monkeypatch):
    without_locks(monkeypatch, getattr(errno, request.param))


def test_without_locks_a_file_stands_for_one(fresh, no_locks, recwarn):
    with Writer.open(fresh, wait=0) as writer:
        held = fresh.with_suffix(".held")
        assert f"{held.name} stands for one" in writer.lock_note
        assert held.read_text().startswith(f"process {os.getpid()} of ")
        assert held.stat().st_mode & 0o777 == 0o600
        with pytest.raises(Refused, match=rf"process {os.getpid()} of .*delete .*{held.name}"):
            Writer.open(fresh, wait=0)
        writer.append([note("x")])
    assert not held.exists()
    assert read(fresh).whole
    assert [str(one.message) for one in recwarn if one.category is UserWarning] == []
    Writer.open(fresh, wait=0).close()


def test_with_locks_nothing_is_said_and_no_file_stands_for_one(fresh):
    with Writer.open(fresh) as writer:
        assert writer.lock_note == ""
        assert not fresh.with_suffix(".held").exists()


def test_what_a_dead_program_left_is_recognised(fresh, monkeypatch):
    without_locks(monkeypatch)
    held = fresh.with_suffix(".held")
    left = f"process {dead()} of robin on {HERE} {SINCE}"
    held.write_text(left)
    with Writer.open(fresh, wait=0) as writer:
        assert f"left by {left}, which runs no more" in writer.lock_note
        writer.append([note("x")])
    assert not held.exists()


def test_one_without_a_name_is_left_by_a_program_that_was_killed_making_it(fresh, monkeypatch):
    without_locks(monkeypatch)
    held = fresh.with_suffix(".held")
    held.write_text("")
    with Writer.open(fresh, wait=3) as writer:
        assert "left by another program" in writer.lock_note
        assert held.read_text().startswith(f"process {os.getpid()} of ")


def test_one_that_may_not_be_read_is_not_taken_for_one_without_a_name(fresh, monkeypatch):
    """Another person's: their file is for their own eyes."""
    without_locks(monkeypatch)
    held = fresh.with_suffix(".held")
    held.write_text(f"process 1 of root on {HERE} {SINCE}")
    real = os.open

    def refuse(path, flags, *rest):
        if str(path).endswith(held.name) and not flags & os.O_CREAT:
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
        return real(path, flags, *rest)

    monkeypatch.setattr(os, "open", refuse)
    with pytest.raises(Refused, match=rf"written by another program.*delete .*{held.name}"):
        Writer.open(fresh, wait=1.5)
    assert held.exists()


@pytest.mark.parametrize("name", ["\udcff", "a\nb", "long" * 100], ids=ascii)
def test_no_name_of_a_person_or_a_computer_keeps_a_log_from_being_opened(fresh, monkeypatch, name):
    monkeypatch.setenv("LOGNAME", name)
    monkeypatch.setattr(platform, "node", lambda: name)
    Writer.open(fresh, wait=0).close()
    without_locks(monkeypatch)
    with Writer.open(fresh, wait=0):
        left = fresh.with_suffix(".held").read_text(encoding="utf-8")
    fresh.with_suffix(".held").write_text(
        left.replace(f"process {os.getpid()} ", f"process {dead()} "), encoding="utf-8"
    )
    with Writer.open(fresh, wait=0) as writer:
        assert "which runs no more" in writer.lock_note


def test_two_that_find_the_same_one_left_behind_do_not_both_have_it(fresh, monkeypatch):
    without_locks(monkeypatch)
    held = fresh.with_suffix(".held")
    left = f"process {dead()} of robin on {HERE} {SINCE}"
    rival = f"process {os.getppid()} of robin on {HERE} {SINCE}"
    held.write_text(left)

    def meanwhile(seconds, real=time.sleep):
        """The other one takes away what was just made, thinking it the one left behind."""
        if held.read_text().startswith(f"process {os.getpid()} of "):
            held.unlink()
            held.write_text(rival)
        real(seconds)

    monkeypatch.setattr(time, "sleep", meanwhile)
    with pytest.raises(Refused, match=rf"process {os.getppid()} of robin"):
        Writer.open(fresh, wait=0)
    assert held.read_text() == rival


def test_a_number_that_this_process_got_again_holds_nothing(fresh, monkeypatch):
    without_locks(monkeypatch)
    fresh.with_suffix(".held").write_text(f"process {os.getpid()} of robin on {HERE} {SINCE}")
    Writer.open(fresh, wait=0).close()


@pytest.mark.parametrize(
    "line",
    [
        f"process 1 of root on {HERE} {SINCE}",
        f"process 4194303 of robin on another-laptop {SINCE}",
        "",
        "\x1b[2J nonsense",
    ],
    ids=["somebody-else-s", "another-computer-s", "nobody-s", "nonsense"],
)
def test_what_may_be_held_is_refused_with_its_owner_and_the_way_out(fresh, monkeypatch, line):
    without_locks(monkeypatch)
    held = fresh.with_suffix(".held")
    held.write_text(line)
    with pytest.raises(Refused, match=rf"delete .*{held.name}") as refusal:
        Writer.open(fresh, wait=0)
    assert str(refusal.value).isprintable()
    assert (line[:20] or "another program").replace("\x1b", " ").strip() in str(refusal.value)
    assert held.read_text() == line


def test_a_folder_that_takes_no_file_takes_no_lock(fresh, monkeypatch):
    without_locks(monkeypatch, errno.EPERM)
    real = os.open

    def refuse(path, flags, *rest, **named):
        if os.fspath(path).endswith(".held"):
            raise OSError(errno.EROFS, os.strerror(errno.EROFS))
        return real(path, flags, *rest, **named)

    monkeypatch.setattr(os, "open", refuse)
    with pytest.raises(NotSaved, match=r"can't be locked .* the disk is read-only"):
        Writer.open(fresh, wait=0)


@pytest.mark.parametrize(("suffix", "more"), [(".owner", ""), (".held", "delete fresh.held")])
def test_another_computer_that_may_have_it_open_is_named(fresh, suffix, more):
    said = f"process 12 of robin on another-laptop {SINCE}"
    fresh.with_suffix(suffix).write_text(said)
    with Writer.open(fresh, wait=0) as writer:
        assert "may be open on another computer" in writer.lock_note
        assert said in writer.lock_note and more in writer.lock_note
        writer.append([note("x")])
    assert read(fresh).whole


def test_an_owner_file_left_on_this_computer_means_nothing(fresh):
    fresh.with_suffix(".owner").write_text(f"process {dead()} of robin on {HERE} {SINCE}")
    with Writer.open(fresh, wait=0) as writer:
        assert writer.lock_note == ""


KILLED = """
import errno, fcntl, os, signal, sys
from pathlib import Path
from inspect_tui.files.log.writer import Writer
def refuse(descriptor, operation):
    raise OSError(errno.ENOTSUP, "no locks")
fcntl.flock = refuse
Writer.open(Path(sys.argv[1]))
os.kill(os.getpid(), signal.SIGKILL)
"""


def test_a_killed_program_leaves_a_file_that_is_taken_over(fresh, monkeypatch):
    subprocess.run([sys.executable, "-c", KILLED, str(fresh)], cwd=ROOT, check=False)
    assert fresh.with_suffix(".held").exists()
    without_locks(monkeypatch)
    with Writer.open(fresh, wait=0) as writer:
        assert "runs no more" in writer.lock_note


def test_the_systems_own_lock_is_taken_where_there_is_one(tmp_path, monkeypatch):
    assert isinstance(system_lock.system_lock(tmp_path / "x"), system_lock.SystemLock)
    monkeypatch.setattr(system_lock, "fcntl", None)
    assert isinstance(system_lock.system_lock(tmp_path / "x"), system_lock.PortableLock)
