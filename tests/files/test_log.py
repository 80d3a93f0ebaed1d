"""Writing a log: appended, flushed, torn, locked, and a disk that fails."""

import errno
import os
import stat
import tempfile
import threading
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from log_examples import EXAMPLE, START, blocks_of, note, opened, seal_by_hand

from inspect_tui.core.entries import Entry
from inspect_tui.errors import BadInput, NotSaved, Refused
from inspect_tui.files import log as log_module
from inspect_tui.files.log import Writer, read

DATA = EXAMPLE.read_bytes()


def mode(path):
    return stat.S_IMODE(path.stat().st_mode)


def test_a_new_log_is_whole_and_private(tmp_path):
    path = tmp_path / "store" / "sessions" / "new.toml"
    with Writer.create(path, opened()) as writer:
        assert writer.contents.entries[0].kind == "opened"
        assert read(path).whole
    assert mode(path) == 0o600
    assert mode(path.parent) == 0o700
    assert seal_by_hand(blocks_of(path.read_bytes())) == path.read_bytes()


def test_a_new_log_is_never_written_over_another(fresh):
    before = fresh.read_bytes()
    with pytest.raises(Refused, match="already"):
        Writer.create(fresh, opened(program="other"))
    assert fresh.read_bytes() == before
    Writer.open(fresh, wait=0).close()


def test_a_log_begins_with_its_opening(tmp_path):
    with pytest.raises(BadInput, match="opened"):
        Writer.create(tmp_path / "new.toml", note("x"))
    with pytest.raises(BadInput, match="lacks 'session'"):
        Writer.create(tmp_path / "new.toml", opened(session=None))
    assert list(tmp_path.iterdir()) == []


def test_what_is_appended_reads_back_as_it_was_returned(fresh):
    with Writer.open(fresh) as writer:
        first = writer.append([note("one\ntwo"), note("0", 2)])
        second = writer.append([note("", 3)])
        assert writer.append([]) == ()
    contents = read(fresh)
    assert contents.whole
    assert contents.entries[1:] == first + second
    assert [entry.n for entry in contents.entries] == [0, 1, 2, 3]
    assert seal_by_hand(blocks_of(fresh.read_bytes())) == fresh.read_bytes()


def test_entries_come_back_as_the_file_holds_them(fresh):
    entry = replace(note("x"), at=START + timedelta(seconds=61, microseconds=7))
    entry.keys.update(cylinder=None, photos=("a.jpg", "b.jpg"))
    with Writer.open(fresh) as writer:
        (back,) = writer.append([entry])
    assert back.at == START + timedelta(seconds=61)
    assert back.keys == {"step": "belt", "text": "x", "photos": ["a.jpg", "b.jpg"]}


def test_the_published_example_goes_on(example):
    with Writer.open(example) as writer:
        assert writer.mended == ""
        writer.append([replace(note("later"), at=START + timedelta(days=300))])
    assert example.read_bytes().startswith(DATA)
    assert read(example).whole
    assert len(read(example).entries) == 4


@settings(max_examples=60, deadline=None)
@given(st.integers(1, len(DATA) - 1))
def test_a_torn_end_is_moved_aside_and_nothing_else_is_lost(length):
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "torn.toml"
        path.write_bytes(DATA[:length])
        try:
            torn = read(path).torn
        except BadInput:
            with pytest.raises(BadInput, match="no session log"):
                Writer.open(path)
            assert path.read_bytes() == DATA[:length]
            return
        with Writer.open(path) as writer:
            assert bool(writer.mended) == bool(torn)
            writer.append([replace(note("after"), at=START + timedelta(days=300))])
        aside = path.with_suffix(".torn")
        assert (aside.read_bytes() if torn else b"") == torn
        assert path.read_bytes().startswith(DATA[: length - len(torn)])
        assert read(path).whole
        assert read(path).entries[-1].get("text") == "after"


def test_a_second_torn_end_goes_behind_the_first(fresh):
    for torn in (b"[[entry]]\nn = 1\nki", b"[[en"):
        with fresh.open("ab") as file:
            file.write(torn)
        with Writer.open(fresh) as writer:
            assert f"{len(torn)} bytes were moved to fresh.torn" in writer.mended
    aside = fresh.with_suffix(".torn")
    assert aside.read_bytes() == b"[[entry]]\nn = 1\nki[[en"
    assert mode(aside) == 0o600
    assert read(fresh).whole


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


def test_the_second_writer_is_refused_and_told_who_has_it(fresh):
    with Writer.open(fresh):
        for _ in range(2):
            with pytest.raises(Refused, match=rf"process {os.getpid()} of \S+ on \S+") as refusal:
                Writer.open(fresh, wait=0)
            assert fresh.name in str(refusal.value)
        with pytest.raises(Refused):
            Writer.create(fresh, opened())
    Writer.open(fresh, wait=0).close()


def test_an_odd_owner_file_moves_no_cursor(fresh):
    with Writer.open(fresh):
        fresh.with_suffix(".owner").write_bytes(b"\x1b[2J\xff me " + b"x" * 5000)
        with pytest.raises(Refused) as refusal:
            Writer.open(fresh, wait=0)
        assert "\x1b" not in str(refusal.value)
        assert len(str(refusal.value)) < 500
        fresh.with_suffix(".owner").unlink()
        with pytest.raises(Refused, match="another program"):
            Writer.open(fresh, wait=0)


def test_lock_files_left_behind_mean_nothing(fresh):
    fresh.with_suffix(".lock").write_text("")
    fresh.with_suffix(".owner").write_text("process 1 of somebody")
    with Writer.open(fresh, wait=0) as writer:
        writer.append([note("x")])
    assert not fresh.with_suffix(".owner").exists()


def test_the_lock_is_given_back_after_every_refusal(fresh, example):
    example.write_bytes(DATA.replace(b"31.75", b"31.25"))
    with pytest.raises(Refused):
        Writer.open(example, wait=0)
    Writer.open(example, wait=0, despite_broken=True).close()
    writer = Writer.open(fresh, wait=0)
    writer.close()
    writer.close()
    with pytest.raises(NotSaved, match="closed"):
        writer.append([note("x")])


def test_closed_in_another_thread(fresh):
    writer = Writer.open(fresh)
    worker = threading.Thread(target=writer.close)
    worker.start()
    worker.join()
    Writer.open(fresh, wait=0).close()


def test_appended_from_several_threads(fresh):
    with Writer.open(fresh) as writer:
        workers = [
            threading.Thread(
                target=lambda w=w: [writer.append([note(f"{w}-{i}")]) for i in range(9)]
            )
            for w in range(4)
        ]
        for worker in workers:
            worker.start()
        for worker in workers:
            worker.join()
    contents = read(fresh)
    assert contents.whole
    assert len(contents.entries) == 37


def test_a_broken_log_takes_nothing_without_a_word(example):
    broken = DATA.replace(b"31.75", b"31.25")
    example.write_bytes(broken)
    with pytest.raises(Refused, match=r"Entry 1 \(line 12\): its seal doesn't hold") as refusal:
        Writer.open(example)
    assert refusal.value.status == 1
    assert example.read_bytes() == broken
    with Writer.open(example, despite_broken=True) as writer:
        writer.append([replace(note("known"), at=START + timedelta(days=300))])
    contents = read(example)
    assert example.read_bytes().startswith(broken)
    assert len(contents.problems) == 1
    assert [entry.sound for entry in contents.entries] == [True, False, True, True]


def test_a_log_with_turned_over_line_ends_goes_on_when_told_to(example):
    example.write_bytes(DATA.replace(b"\n", b"\r\n"))
    with pytest.raises(Refused, match="CR"):
        Writer.open(example)
    with Writer.open(example, despite_broken=True) as writer:
        writer.append([replace(note("known"), at=START + timedelta(days=300))])
    contents = read(example)
    assert len(contents.problems) == 1
    assert len(contents.entries) == 4


def test_wrong_numbers_alone_refuse_too(tmp_path):
    blocks = [b"[[entry]]\nn = 5\n" + block.split(b"\n", 2)[2] for block in blocks_of(DATA)[:1]]
    path = tmp_path / "five.toml"
    path.write_bytes(seal_by_hand(blocks))
    with pytest.raises(Refused, match="entries 0 to 4 are missing"):
        Writer.open(path)


def test_no_such_session(tmp_path):
    with pytest.raises(BadInput, match="There is no log"):
        Writer.open(tmp_path / "none.toml")
    assert list(tmp_path.iterdir()) == []


def test_a_clock_that_is_behind_never_turns_time_back(fresh):
    early = replace(note("x"), at=START - timedelta(days=4000))
    with Writer.open(fresh) as writer:
        assert writer.clock_note == ""
        (entry,) = writer.append([early])
        assert "set the clock" in writer.clock_note
    assert entry.at == START
    assert entry.get("clock") == early.at
    assert read(fresh).whole


def test_after_the_sign_off_only_what_may_follow(fresh):
    signed = Entry(0, "signed", START, "A. Tester", {"open": [], "accepted": ""})
    addendum = Entry(0, "addendum", START, "A. Tester", {"text": "belt changed"})
    with Writer.open(fresh) as writer:
        with pytest.raises(Refused, match="signed"):
            writer.append([signed, note("x")])
        writer.append([signed, addendum])
    with Writer.open(fresh) as writer:
        with pytest.raises(Refused, match="signed"):
            writer.append([note("x")])
        writer.append([addendum])
    assert [entry.kind for entry in read(fresh).entries[1:]] == ["signed", "addendum", "addendum"]


def test_one_bad_entry_keeps_all_of_them_out(fresh):
    before = fresh.read_bytes()
    with Writer.open(fresh) as writer:
        with pytest.raises(BadInput):
            writer.append([note("good"), note("\ud800")])
        with pytest.raises(BadInput, match="lacks 'step'"):
            writer.append([Entry(0, "reading", START, "A", {"reading": "width"})])
        assert fresh.read_bytes() == before
        (entry,) = writer.append([note("good")])
    assert entry.n == 1
    assert read(fresh).whole


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
        monkeypatch.undo()
        with pytest.raises(NotSaved, match="open it again"):
            writer.append([note("not yet")])
        assert fresh.read_bytes() == before
    with Writer.open(fresh) as writer:
        writer.append([note("saved")])
    assert [entry.get("text") for entry in read(fresh).entries[1:]] == ["saved"]


def test_a_write_that_cannot_be_cut_back_is_torn_and_mended(fresh, monkeypatch):
    before = fresh.read_bytes()
    with Writer.open(fresh) as writer:
        monkeypatch.setattr(os, "write", failing_half_way(errno.EIO))
        monkeypatch.setattr(os, "ftruncate", failing(errno.EIO))
        with pytest.raises(NotSaved):
            writer.append([note("lost")])
        monkeypatch.undo()
        with pytest.raises(NotSaved, match="open it again"):
            writer.append([note("not yet")])
    assert read(fresh).torn
    with Writer.open(fresh) as writer:
        assert writer.mended
    assert fresh.read_bytes() == before


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
        with pytest.raises(NotSaved, match="can't be found any more"):
            writer.append([note("x")])


def test_the_module_offers_what_the_others_use():
    assert set(log_module.__all__) == {"Contents", "Writer", "block", "read"}
