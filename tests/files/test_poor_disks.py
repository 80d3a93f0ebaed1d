"""Network folders and sticks: what they can't do, and a close that fails."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from inspect_tui.errors import NotSaved, Refused
from inspect_tui.files import atomic_write
from inspect_tui.files.disk import make_folder
from inspect_tui.files.log.replace import replace_with_superset
from inspect_tui.files.log.writer import Writer, read
from tests.files.log_examples import note, opened


def refuse(number):
    """A call that the disk can't do."""

    def call(*rest, **named):
        raise OSError(number, os.strerror(number))

    return call


@pytest.mark.parametrize("number", [errno.EINVAL, errno.ENOTSUP, errno.ENOSYS])
def test_a_disk_that_flushes_no_folders_takes_a_log(tmp_path, monkeypatch, number):
    real = os.fsync

    def flush(descriptor):
        if os.path.isdir(f"/proc/self/fd/{descriptor}"):  # noqa: PTH112
            raise OSError(number, os.strerror(number))
        return real(descriptor)

    monkeypatch.setattr(os, "fsync", flush)
    path = tmp_path / "store" / "sessions" / "new.toml"
    with Writer.create(path, opened()) as writer:
        writer.append([note("x")])
    assert read(path).whole


@pytest.mark.parametrize("number", [errno.EPERM, errno.ENOSYS, errno.ENOTSUP, errno.EXDEV])
def test_a_report_where_nothing_can_be_renamed(tmp_path, monkeypatch, number):
    monkeypatch.setattr(os, "replace", refuse(number))
    path = tmp_path / "report.md"
    atomic_write.write(path, b"a longer first one", atomic_write.anything)
    atomic_write.write(path, b"second", atomic_write.anything)
    assert path.read_bytes() == b"second"
    assert [each.name for each in tmp_path.iterdir()] == ["report.md"]


def test_a_copy_takes_a_logs_place_where_nothing_can_be_renamed(fresh, tmp_path, monkeypatch):
    known = fresh.read_bytes()
    longer = tmp_path / "longer.toml"
    longer.write_bytes(known)
    with Writer.open(longer) as writer:
        writer.append([note("more")])
    monkeypatch.setattr(os, "replace", refuse(errno.EPERM))
    aside = replace_with_superset(fresh, known, longer.read_bytes())
    assert fresh.read_bytes() == longer.read_bytes()
    assert aside.read_bytes() == known


@pytest.fixture
def combined(fresh, tmp_path):
    """A longer copy of the log."""
    path = tmp_path / "longer.toml"
    path.write_bytes(fresh.read_bytes())
    with Writer.open(path) as writer:
        writer.append([note("more")])
    return path.read_bytes()


def test_a_disk_that_fails_half_way_names_the_file_that_holds_the_log(fresh, combined, monkeypatch):
    known = fresh.read_bytes()
    real, place = os.open, os.fspath(fresh)

    def full(path, flags, *rest, **named):
        descriptor = real(path, flags, *rest, **named)
        if os.fspath(path) == place and flags & os.O_TRUNC:
            os.close(descriptor)
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return descriptor

    monkeypatch.setattr(os, "replace", refuse(errno.EPERM))
    monkeypatch.setattr(os, "open", full)
    with pytest.raises(
        NotSaved, match=r"the disk is full\. What stood here is whole in (\S+)\.$"
    ) as said:
        replace_with_superset(fresh, known, combined)
    (aside,) = fresh.parent.glob("*.before-*")
    assert aside.name in str(said.value) and aside.read_bytes() == known


def test_what_a_power_cut_left_aside_in_part_is_made_anew(fresh, combined):
    known = fresh.read_bytes()
    aside = replace_with_superset(fresh, known, combined)
    fresh.write_bytes(known)
    aside.write_bytes(known[:100])
    assert replace_with_superset(fresh, known, combined) == aside
    assert aside.read_bytes() == known and fresh.read_bytes() == combined


def test_another_file_in_its_place_is_left(fresh, combined):
    known = fresh.read_bytes()
    aside = replace_with_superset(fresh, known, combined)
    fresh.write_bytes(known)
    aside.write_bytes(b"mine")
    with pytest.raises(Refused, match="never written over"):
        replace_with_superset(fresh, known, combined)
    assert aside.read_bytes() == b"mine" and fresh.read_bytes() == known


def test_a_close_that_fails_is_said_and_loses_nothing(fresh, monkeypatch):
    writer = Writer.open(fresh)
    writer.append([note("x")])
    real, mine = os.close, writer._descriptor

    def close(descriptor):
        real(descriptor)
        if descriptor == mine:
            raise OSError(errno.EIO, os.strerror(errno.EIO))

    monkeypatch.setattr(os, "close", close)
    writer.close()
    monkeypatch.undo()
    assert "complained when fresh.toml was closed" in writer.close_note
    assert "verify fresh" in writer.close_note
    with Writer.open(fresh, wait=0) as again:
        assert len(again.contents.entries) == 2
        assert again.close_note == ""


def test_new_folders_are_private_and_a_file_in_the_way_is_told(tmp_path):
    make_folder(tmp_path / "a" / "b")
    make_folder(tmp_path / "a" / "b")
    assert {(tmp_path / name).stat().st_mode & 0o777 for name in ("a", "a/b")} == {0o700}
    Path(tmp_path / "file").touch()
    with pytest.raises(FileExistsError):
        make_folder(tmp_path / "file")
