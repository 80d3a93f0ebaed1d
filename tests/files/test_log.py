"""Writing a log: appended, flushed, torn, locked, and a disk that fails."""

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

from inspect_tui.core.model.log_entry import Entry
from inspect_tui.core.text.formatting import pluralize
from inspect_tui.errors import BadInput, NotSaved, Refused
from inspect_tui.files.log import writer as log_module
from inspect_tui.files.log.writer import Writer, read
from tests.files.log_examples import EXAMPLE, START, blocks_of, note, opened, seal_by_hand

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


def test_what_follows_is_made_of_the_last_entry_as_it_was_sealed(fresh):
    seen = []

    def following(last):
        seen.append(last)
        return note(f"after {last.seal}", 3)

    with Writer.open(fresh) as writer:
        written = writer.append([note("one"), note("two", 2)], following)
    assert [entry.get("text") for entry in written] == ["one", "two", f"after {written[1].seal}"]
    assert seen == [written[1]] and written[1].seal


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
            assert f"({pluralize(len(torn), 'byte')}) was moved to fresh.torn" in writer.mended
    aside = fresh.with_suffix(".torn")
    assert aside.read_bytes() == b"[[entry]]\nn = 1\nki[[en"
    assert mode(aside) == 0o600
    assert read(fresh).whole


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


def test_of_several_faults_the_first_is_named_and_the_others_are_counted(fresh):
    with Writer.open(fresh) as writer:
        writer.append([note("one"), note("two"), note("three")])
    fresh.write_bytes(fresh.read_bytes().replace(b'"one"', b'"uno"').replace(b"three", b"drei."))
    with pytest.raises(Refused, match="nothing is added to it: Entry 1 ") as refusal:
        Writer.open(fresh)
    assert "There is 1 more." in refusal.value.hint


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


def test_the_module_offers_what_the_others_use():
    assert set(log_module.__all__) == {"Contents", "Writer", "block", "read"}


def test_a_log_reached_by_a_link_has_the_same_lock(fresh, tmp_path):
    link = tmp_path / "link.toml"
    link.symlink_to(fresh)
    with Writer.open(link) as writer:
        with pytest.raises(Refused, match="process"):
            Writer.open(fresh, wait=0)
        writer.append([note("x")])
    assert read(fresh).whole
    assert sorted(path.name for path in tmp_path.iterdir()) == ["link.toml", "sessions"]


@pytest.mark.parametrize("name", ["log.lock", "log.torn", "log.owner", "log"])
def test_no_companion_is_the_log_itself(tmp_path, name):
    path = tmp_path / name
    path.write_bytes(DATA + b"[[entry]]")
    with Writer.open(path) as writer:
        assert writer.mended
    assert path.read_bytes() == DATA
    assert (tmp_path / f"{name}.torn").read_bytes() == b"[[entry]]"
