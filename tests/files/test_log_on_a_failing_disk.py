"""A disk that is full, read-only or broken while a log is written."""

import errno
import os
import stat
from pathlib import Path

import pytest

from inspect_tui.errors import NotSaved
from inspect_tui.files.log.writer import Writer, read
from tests.files.log_examples import note, opened


def failing(number):
    """A system call that fails."""

    def call(*arguments):
        raise OSError(number, os.strerror(number))

    return call


def failing_half_way(number, real=os.write):
    """os.write that takes half of what it is given, then fails."""
    calls = []

    def write(descriptor, data):
        calls.append(len(data))
        if len(calls) > 1:
            raise OSError(number, os.strerror(number))
        return real(descriptor, bytes(data)[: len(data) // 2])

    return write


REASONS = [
    (errno.ENOSPC, "the disk is full"),
    (errno.EIO, "the disk reported an error"),
    (errno.EROFS, "the disk is read-only"),
    (errno.EACCES, "no permission"),
    (errno.ENOMEM, "cannot allocate memory"),
]


@pytest.mark.parametrize(("number", "words"), REASONS)
@pytest.mark.parametrize("way", [failing, failing_half_way])
def test_a_disk_that_takes_no_more(fresh, monkeypatch, number, words, way):
    before = fresh.read_bytes()
    with Writer.open(fresh) as writer:
        monkeypatch.setattr(os, "write", way(number))
        with pytest.raises(NotSaved, match=words):
            writer.append([note("lost")])
        assert fresh.read_bytes() == before
        monkeypatch.undo()
        writer.append([note("saved")])
    contents = read(fresh)
    assert contents.whole
    assert [entry.get("text") for entry in contents.entries[1:]] == ["saved"]


@pytest.mark.parametrize(("number", "words"), REASONS[:2])
def test_a_flush_that_fails(fresh, monkeypatch, number, words):
    before = fresh.read_bytes()
    with Writer.open(fresh) as writer:
        monkeypatch.setattr(os, "fsync", failing(number))
        with pytest.raises(NotSaved, match=words):
            writer.append([note("lost")])
        assert fresh.read_bytes() == before
        with pytest.raises(NotSaved, match="can't be made sure of"):
            writer.append([note("not yet")])
        assert fresh.read_bytes() == before
        monkeypatch.undo()
        writer.append([note("saved")])
    assert [entry.get("text") for entry in read(fresh).entries[1:]] == ["saved"]


def test_what_the_flush_before_the_next_write_shows_changed_is_not_built_upon(fresh, monkeypatch):
    with Writer.open(fresh) as writer:
        with monkeypatch.context() as broken:
            broken.setattr(os, "fsync", failing(errno.EIO))
            with pytest.raises(NotSaved, match="reported an error"):
                writer.append([note("lost")])

        def flush(descriptor):
            data = fresh.read_bytes()
            with fresh.open("r+b") as file:
                file.write(bytes(len(data)))

        monkeypatch.setattr(os, "fsync", flush)
        with pytest.raises(NotSaved, match="can't be made sure of"):
            writer.append([note("lost too")])


def test_after_a_failed_flush_only_what_reads_back_right_is_built_upon(fresh, monkeypatch):
    before = fresh.read_bytes()
    answers = iter([OSError(errno.EIO, "once"), None])

    def once(descriptor):
        if (answer := next(answers)) is not None:
            raise answer

    with Writer.open(fresh) as writer:
        monkeypatch.setattr(os, "fsync", once)
        with pytest.raises(NotSaved, match="the disk reported an error"):
            writer.append([note("lost")])
        monkeypatch.undo()
        decayed = before.replace(b"A. Tester", b"A. Toster")
        fresh.write_bytes(decayed)
        with pytest.raises(NotSaved, match="open it again"):
            writer.append([note("not yet")])
        assert fresh.read_bytes() == decayed
        fresh.write_bytes(before)
        writer.append([note("saved")])
    assert [entry.get("text") for entry in read(fresh).entries[1:]] == ["saved"]


def test_after_a_failure_nothing_of_another_program_is_cut_off(fresh, monkeypatch):
    with Writer.open(fresh) as writer:
        with monkeypatch.context() as broken:
            broken.setattr(os, "fsync", failing(errno.EIO))
            with pytest.raises(NotSaved):
                writer.append([note("lost")])
        with fresh.open("ab") as file:
            file.write(b"# mine\n")
        with pytest.raises(NotSaved, match="another program has changed"):
            writer.append([note("x")])
    assert fresh.read_bytes().endswith(b"# mine\n")


def test_a_write_that_cannot_be_cut_back_is_torn_and_mended(fresh, monkeypatch):
    before = fresh.read_bytes()
    with Writer.open(fresh) as writer:
        monkeypatch.setattr(os, "write", failing_half_way(errno.EIO))
        monkeypatch.setattr(os, "ftruncate", failing(errno.EIO))
        with pytest.raises(NotSaved):
            writer.append([note("lost")])
        with pytest.raises(NotSaved, match="can't be made sure of"):
            writer.append([note("not yet")])
        monkeypatch.undo()
    assert read(fresh).torn
    with Writer.open(fresh) as writer:
        assert writer.mended
    assert fresh.read_bytes() == before


def test_a_write_that_could_not_be_cut_back_is_cut_back_before_the_next(fresh, monkeypatch):
    with Writer.open(fresh) as writer:
        with monkeypatch.context() as broken:
            broken.setattr(os, "write", failing_half_way(errno.EIO))
            broken.setattr(os, "ftruncate", failing(errno.EIO))
            with pytest.raises(NotSaved):
                writer.append([note("lost")])
        assert read(fresh).torn
        writer.append([note("saved")])
    assert read(fresh).whole
    assert [entry.get("text") for entry in read(fresh).entries[1:]] == ["saved"]


def test_short_writes_are_gone_on_with(fresh, monkeypatch):
    real = os.write
    with Writer.open(fresh) as writer:
        monkeypatch.setattr(os, "write", lambda fd, data: real(fd, bytes(data)[:7]))
        writer.append([note("in small pieces")])
    assert read(fresh).whole


def test_one_write_and_one_flush_for_all_entries(fresh, monkeypatch):
    calls = []
    real_write, real_flush = os.write, os.fsync
    monkeypatch.setattr(os, "write", lambda *a: calls.append("write") or real_write(*a))
    monkeypatch.setattr(os, "fsync", lambda *a: calls.append("flush") or real_flush(*a))
    with Writer.open(fresh) as writer:
        calls.clear()
        writer.append([note("a"), note("b"), note("c")])
        assert calls == ["write", "flush"]


def test_an_interrupt_in_the_middle_leaves_the_log_as_it_was(fresh, monkeypatch):
    before = fresh.read_bytes()

    def interrupted(descriptor):
        raise KeyboardInterrupt

    with Writer.open(fresh) as writer:
        monkeypatch.setattr(os, "fsync", interrupted)
        with pytest.raises(KeyboardInterrupt):
            writer.append([note("lost")])
        monkeypatch.undo()
        assert fresh.read_bytes() == before


@pytest.mark.parametrize("call", ["write", "fsync"])
def test_a_new_log_that_fails_leaves_nothing_under_its_name(tmp_path, monkeypatch, call):
    path = tmp_path / "new.toml"
    monkeypatch.setattr(os, call, failing(errno.ENOSPC))
    with pytest.raises(NotSaved, match="the disk is full"):
        Writer.create(path, opened())
    monkeypatch.undo()
    assert not path.exists()
    Writer.create(path, opened()).close()
    assert read(path).whole


def test_a_folder_that_is_a_file(tmp_path):
    (tmp_path / "sessions").touch()
    with pytest.raises(NotSaved, match="can't be made"):
        Writer.create(tmp_path / "sessions" / "new.toml", opened())


def test_a_log_that_another_program_changed_takes_nothing(fresh):
    with Writer.open(fresh) as writer:
        with fresh.open("ab") as file:
            file.write(b"# mine\n")
        with pytest.raises(NotSaved, match="another program has changed"):
            writer.append([note("x")])
    assert fresh.read_bytes().endswith(b"# mine\n")


def test_a_log_that_was_replaced_or_removed_takes_nothing(fresh, tmp_path):
    with Writer.open(fresh) as writer:
        copy = tmp_path / "copy"
        copy.write_bytes(fresh.read_bytes())
        copy.replace(fresh)
        with pytest.raises(NotSaved, match="another program has changed"):
            writer.append([note("x")])
        fresh.unlink()
        with pytest.raises(NotSaved, match="can't be reached any more"):
            writer.append([note("x")])


def test_a_torn_end_that_cannot_be_put_aside_stays(fresh, monkeypatch):
    with fresh.open("ab") as file:
        file.write(b"[[entry]]\n")
    before = fresh.read_bytes()
    monkeypatch.setattr(os, "write", failing(errno.ENOSPC))
    with pytest.raises(NotSaved, match=r"torn end .* the disk is full"):
        Writer.open(fresh)
    monkeypatch.undo()
    assert fresh.read_bytes() == before
    assert fresh.with_suffix(".torn").read_bytes() == b""
    Writer.open(fresh, wait=0).close()


def calls_of(monkeypatch):
    """What is written, flushed and cut, in order, by name of file."""
    calls = []

    def watch(name):
        real = getattr(os, name)

        def call(descriptor, *rest):
            folder = stat.S_ISDIR(os.fstat(descriptor).st_mode)
            file = Path(f"/proc/self/fd/{descriptor}").readlink().name
            calls.append((name, "folder" if folder else file))
            return real(descriptor, *rest)

        monkeypatch.setattr(os, name, call)

    for name in ("write", "fsync", "ftruncate"):
        watch(name)
    return calls


proc_only = pytest.mark.skipif(not Path("/proc/self/fd").is_dir(), reason="needs /proc")


@proc_only
def test_a_new_logs_name_is_lasting_too(tmp_path, monkeypatch):
    calls = calls_of(monkeypatch)
    Writer.create(tmp_path / "new.toml", opened()).close()
    prepared = "beside"  # whatever it is called until it is whole
    ours = [
        (call, prepared if name.endswith(".new") else name)
        for call, name in calls
        if name.endswith(".new") or name in ("new.toml", "folder")
    ]
    assert ours == [("write", prepared), ("fsync", prepared), ("fsync", "folder")]


@proc_only
def test_a_torn_end_is_safe_elsewhere_before_the_log_is_cut(fresh, monkeypatch):
    with fresh.open("ab") as file:
        file.write(b"[[entry]]\n")
    calls = calls_of(monkeypatch)
    Writer.open(fresh).close()
    ours = [call for call in calls if call[1] in ("fresh.toml", "fresh.torn", "folder")]
    assert ours == [
        ("write", "fresh.torn"),
        ("fsync", "fresh.torn"),
        ("fsync", "folder"),
        ("ftruncate", "fresh.toml"),
        ("fsync", "fresh.toml"),
    ]
