"""A folder for files in passing: private, gone at the end, swept where a program was killed."""

from __future__ import annotations

import os
import signal
import stat
import tempfile

import pytest

from inspect_tui.files.passing_folder import passing_folder

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="kills a child")


@pytest.fixture(autouse=True)
def passing(tmp_path, monkeypatch):
    """Where this computer keeps what passes."""
    folder = tmp_path / "passing"
    folder.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(folder))
    return folder


def killed_with_a_photo() -> None:
    child = os.fork()
    if child == 0:
        with passing_folder() as folder:
            (folder / "photo.jpg").write_bytes(b"private")
            os.kill(os.getpid(), signal.SIGKILL)
    os.waitpid(child, 0)


def test_it_is_private_and_gone_at_the_end(passing):
    with passing_folder() as folder:
        assert stat.S_IMODE(folder.stat().st_mode) == 0o700
        (folder / "photo.jpg").write_bytes(b"private")
    assert list(passing.iterdir()) == []


def test_what_a_killed_program_left_is_swept_and_what_a_living_one_holds_is_not(passing):
    killed_with_a_photo()
    (left,) = passing.iterdir()
    with passing_folder() as folder:
        assert list(passing.iterdir()) == [folder] and folder != left
        with passing_folder() as another:
            assert {folder, another} == set(passing.iterdir())
        assert list(passing.iterdir()) == [folder]


def test_what_is_planted_there_is_left_alone(passing, tmp_path):
    victim = tmp_path / "victim"
    victim.mkdir(mode=0o700)
    (victim / "mine").write_bytes(b"mine")
    link = passing / "inspect-tui-passing-link"
    link.symlink_to(victim)
    os.mkfifo(passing / "inspect-tui-passing-pipe")
    (passing / "inspect-tui-passing-open").mkdir()
    (passing / "inspect-tui-passing-open").chmod(0o755)
    before = set(passing.iterdir())
    with passing_folder() as folder:
        assert set(passing.iterdir()) == before | {folder}
    assert (victim / "mine").read_bytes() == b"mine"
