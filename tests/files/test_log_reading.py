"""Reading a log: what is whole, torn, broken, and what is said about it."""

from hashlib import sha256
from io import BytesIO
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.core.model.log_entry import Entry
from inspect_tui.errors import BadInput
from inspect_tui.files.log import reader
from inspect_tui.files.log.block import block
from inspect_tui.files.log.reader import contents_of, read_through
from inspect_tui.files.log.writer import Writer, read
from tests.files.log_examples import EXAMPLE, blocks_of, note, opened, seal_by_hand
from tests.readme_verifier import first_fault

DATA = EXAMPLE.read_bytes()
BLOCKS = blocks_of(DATA)
ENDS = [len(seal_by_hand(BLOCKS[: count + 1])) for count in range(3)]


def numbered(*entries):
    """Blocks of entries, n = 0, 1, 2 ..."""
    return [
        block(entry).replace(b"\nn = 0\n", b"\nn = %d\n" % n, 1) for n, entry in enumerate(entries)
    ]


def notes(count):
    return numbered(opened(), *(note(f"number {n}", n) for n in range(1, count)))


def problems_of(data):
    return contents_of(data, "x.toml").problems


def test_the_published_example_is_accepted_as_it_is():
    contents = read(EXAMPLE)
    assert contents.whole
    assert contents.torn_in_words == ""
    assert [entry.kind for entry in contents.entries] == ["opened", "reading", "note"]
    reading = contents.entries[1]
    assert (reading.get("entered"), reading.get("value")) == ("1 1/4 in", 31.75)
    assert contents.entries[2].get("text").splitlines()[1:] == ["[[entry]]", 'seal = "not a seal"']


def test_its_seals_are_what_hashlib_gives():
    assert seal_by_hand(BLOCKS) == DATA
    assert [entry.seal.encode() in DATA for entry in read(EXAMPLE).entries] == [True] * 3


def test_its_entries_are_written_as_the_same_bytes():
    assert [block(entry) for entry in read(EXAMPLE).entries] == BLOCKS


def test_reading_writes_nothing(example):
    before = sorted(example.parent.iterdir())
    read(example)
    assert sorted(example.parent.iterdir()) == before


@given(st.integers(0, len(DATA)))
def test_any_beginning_of_a_log_keeps_its_complete_entries(length):
    if length < ENDS[0]:
        with pytest.raises(BadInput, match="no session log"):
            contents_of(DATA[:length], "x.toml")
        return
    contents = contents_of(DATA[:length], "x.toml")
    complete = max(end for end in ENDS if end <= length)
    assert len(contents.entries) == ENDS.index(complete) + 1
    assert contents.torn == DATA[complete:length]
    assert contents.problems == ()
    assert all(entry.sound for entry in contents.entries)
    assert bool(contents.torn_in_words) == (length not in ENDS)


def noticed(data):
    """Whether somebody is told that this is not the log it was."""
    try:
        return not contents_of(data, "x.toml").whole
    except BadInput:
        return True


@settings(max_examples=400)
@given(st.integers(0, len(DATA) - 1), st.integers(1, 255))
def test_any_changed_byte_is_noticed(at, by):
    changed = bytearray(DATA)
    changed[at] ^= by
    assert noticed(bytes(changed))


@settings(max_examples=200)
@given(st.integers(0, len(DATA)), st.binary(min_size=1, max_size=3))
def test_anything_put_in_is_noticed(at, more):
    assert noticed(DATA[:at] + more + DATA[at:])


@given(st.integers(0, len(DATA) - 1), st.integers(1, 300))
def test_anything_cut_out_before_the_last_entry_is_noticed(at, length):
    changed = DATA[:at] + DATA[at + length :]
    if changed in {DATA[:end] for end in ENDS}:
        return
    assert noticed(changed)


@settings(max_examples=200)
@given(st.binary(max_size=200))
def test_any_bytes_are_a_log_or_refused_in_words(data):
    with pytest.raises(BadInput, match="no session log"):
        contents_of(data, "x.toml")
    contents = contents_of(DATA + data, "x.toml")
    assert contents.torn == data
    assert len(contents.entries) == 3


@settings(max_examples=300)
@given(st.lists(st.sampled_from([*DATA.splitlines(keepends=True), b"\r\n", b"x"]), max_size=12))
def test_any_mixture_of_lines_is_read_without_a_crash(lines):
    contents = contents_of(DATA + b"".join(lines), "x.toml")
    assert [entry.sound for entry in contents.entries[:3]] == [True] * 3
    if lines:
        assert not contents.whole


def test_a_last_line_end_that_is_missing_is_torn_and_said():
    contents = contents_of(DATA[:-1], "x.toml")
    assert contents.torn == DATA[ENDS[1] : -1]
    first = DATA[: ENDS[1]].count(b"\n") + 1
    assert contents.torn_in_words.startswith(f"Line {first}: ")
    assert "lacks its line end" in contents.torn_in_words


@pytest.mark.parametrize("n", [0, 1, 2])
def test_a_changed_entry_is_the_only_one_named(n):
    changed = [data.replace(b'Tester"', b'Taster"', 1) if at == n else data
               for at, data in enumerate(BLOCKS)]  # fmt: skip
    seals = [DATA[end - 74 : end] for end in ENDS]
    data = b"".join(part for pair in zip(changed, seals, strict=True) for part in pair)
    contents = contents_of(data, "x.toml")
    line = DATA[: [0, *ENDS][n]].count(b"\n") + 1
    (problem,) = contents.problems
    assert problem.startswith(f"Entry {n} (line {line}): its seal doesn't hold")
    assert [entry.sound for entry in contents.entries] == [at != n for at in range(3)]
    assert contents.entries[n].by == "R. Taster"


@pytest.mark.parametrize("n", [0, 1])
def test_a_changed_seal_names_its_own_entry_alone(n):
    at = ENDS[n] - 10
    digit = b"1" if DATA[at : at + 1] == b"0" else b"0"
    for wrong in (digit, b"X"):
        contents = contents_of(DATA[:at] + wrong + DATA[at + 1 :], "x.toml")
        assert [entry.sound for entry in contents.entries] == [at != n for at in range(3)]
        (problem,) = contents.problems
        assert problem.startswith(f"Entry {n} (line ")
        assert "seal" in problem


def test_a_seal_line_that_is_gone():
    data = DATA[: ENDS[0]] + BLOCKS[1] + DATA[ENDS[1] :]
    contents = contents_of(data, "x.toml")
    (problem,) = contents.problems
    assert problem == "Entry 1 (line 12): its seal line is missing or damaged."
    assert [entry.sound for entry in contents.entries] == [True, False, True]


def test_an_entry_cut_out():
    data = DATA[: ENDS[0]] + DATA[ENDS[1] :]
    (problem,) = problems_of(data)
    assert problem.startswith("Entry 2 (line 12): entry 1 is missing before it")


def test_several_entries_cut_out():
    log = seal_by_hand(notes(6))
    ends = [len(seal_by_hand(notes(6)[: n + 1])) for n in range(6)]
    (problem,) = problems_of(log[: ends[1]] + log[ends[4] :])
    assert "entries 2 to 4 are missing before it" in problem


def test_one_put_forward_is_not_called_missing_where_another_is():
    """Entry 2 stands behind entry 4, and entry 3 is gone: 2 isn't missing, it was moved."""
    blocks = notes(6)
    ends = [0, *(len(seal_by_hand(blocks[: n + 1])) for n in range(6))]
    log = seal_by_hand(blocks)
    parts = [log[a:b] for a, b in pairwise(ends)]
    problems = problems_of(b"".join([parts[0], parts[1], parts[4], parts[2], parts[5]]))
    assert not any("missing" in problem for problem in problems if problem.startswith("Entry 4 "))
    assert any(problem.startswith("Entry 4 ") for problem in problems)


def test_the_first_entry_cut_out():
    problems = problems_of(DATA[ENDS[0] :])
    assert "entry 0 is missing before it" in problems[0]
    assert "a log begins with an 'opened' entry, not 'reading'" in problems[1]


@pytest.mark.parametrize("seal", ["0" * 64, "f" * 64])
def test_the_first_entry_alone_is_held_against_its_seal_too(tmp_path, seal):
    path = tmp_path / "log.toml"
    path.write_bytes(DATA)
    assert reader.first_entry(path).kind == "opened"
    at = DATA.index(b'seal = "') + len(b'seal = "')
    path.write_bytes(DATA[:at] + seal.encode() + DATA[at + 64 :])
    with pytest.raises(BadInput, match="its first entry doesn't hold"):
        reader.first_entry(path)


def test_a_first_entry_of_any_length_is_found(tmp_path):
    """The list that a session is opened with may take several reads, and end anywhere in one."""
    for length in (10, 2**18 - 150, 2**18 - 60, 2**18, 2**19 + 7):
        path = tmp_path / f"{length}.toml"
        with Writer.create(path, opened(checklist="#" * length)) as writer:
            writer.append([note("x")])
        first = read(path).entries[0]
        assert reader.first_entry(path) == first
        assert reader.first_seal(path) == first.seal


def test_only_a_torn_log_has_a_line_where_it_is_torn():
    assert contents_of(DATA, "log.toml").torn_line == 0
    torn = contents_of(DATA[:-1], "log.toml")
    assert torn.torn_line == DATA[: ENDS[-2]].count(b"\n") + 1


def test_two_entries_exchanged():
    blocks = notes(5)
    ends = [0, *(len(seal_by_hand(blocks[: n + 1])) for n in range(5))]
    log = seal_by_hand(blocks)
    parts = [log[a:b] for a, b in pairwise(ends)]
    problems = problems_of(b"".join([parts[0], parts[2], parts[1], *parts[3:]]))
    moved = [problem for problem in problems if "moved" in problem]
    assert [problem.split(" (")[0] for problem in moved] == ["Entry 2", "Entry 1", "Entry 3"]
    assert not any(problem.startswith("Entry 4 ") for problem in problems)


def test_an_entry_copied():
    problems = problems_of(DATA[: ENDS[1]] + DATA[ENDS[0] :])
    assert len(problems) == 1
    assert problems[0].startswith("Entry 1 (line 25): it was sealed right after entry 0 (line 1)")


def test_an_entry_put_in_with_a_seal_of_its_own():
    extra = numbered(opened(), note("forged"))[1]
    forged = seal_by_hand([BLOCKS[0], extra])
    problems = problems_of(forged + DATA[ENDS[0] :])
    assert any("put in" in problem and "Entry 1 " in problem for problem in problems)


@pytest.mark.parametrize(("n", "other"), [(1, 5), (3, 0), (2, 3)])
def test_a_wrong_n_under_a_good_seal_is_named_alone(n, other):
    blocks = notes(5)
    blocks[n] = blocks[n].replace(b"\nn = %d\n" % n, b"\nn = %d\n" % other)
    contents = contents_of(seal_by_hand(blocks), "x.toml")
    (problem,) = contents.problems
    assert problem.startswith(f"Entry {other} (line ")
    assert f"entry {n}" in problem


@pytest.mark.parametrize("n", [10**9, 2**63, 10**30, 10**4000])
def test_an_n_beyond_all_logs_is_named(n):
    blocks = notes(3)
    blocks[1] = blocks[1].replace(b"\nn = 1\n", b"\nn = %d\n" % n)
    problems = problems_of(seal_by_hand(blocks))
    assert any("no whole number from 0 to" in problem for problem in problems)


def test_time_that_runs_backwards():
    blocks = numbered(opened(), note("a", 5), note("b", 4), note("c", 6))
    contents = contents_of(seal_by_hand(blocks), "x.toml")
    (problem,) = contents.problems
    assert problem.startswith("Entry 2 (line ")
    assert "earlier" in problem


def test_times_are_compared_as_moments():
    blocks = numbered(opened(), note("a", 61), note("b", 62))
    blocks[1] = blocks[1].replace(b"T09:01:00+00:00", b"T11:01:00+02:00")
    assert problems_of(seal_by_hand(blocks)) == ()


def test_a_changed_time_is_named_once():
    log = seal_by_hand(notes(4)).replace(b"T08:02:00", b"T09:02:00")
    (problem,) = problems_of(log)
    assert problem.startswith("Entry 2 ")


def test_line_ends_turned_over():
    contents = contents_of(DATA.replace(b"\n", b"\r\n"), "x.toml")
    assert not contents.whole
    (problem,) = contents.problems
    assert problem.startswith("Line 1: holds a CR, and 31 more lines too")
    assert [entry.kind for entry in contents.entries] == ["opened", "reading", "note"]


def test_one_cr_inside_a_line():
    contents = contents_of(DATA.replace(b"belt", b"be\rlt", 1), "x.toml")
    assert any(problem.startswith("Line 9: holds a CR;") for problem in contents.problems)
    contents = contents_of(DATA.replace(b"n = 1\n", b"n = 1\r\n", 1), "x.toml")
    (problem,) = contents.problems
    assert problem.startswith("Line 13: holds a CR;")


@pytest.mark.parametrize("more", [b"\n", b"# a remark\n", b'x = "y"\n', b"\xef\xbb\xbf"])
@pytest.mark.parametrize("end", [0, *ENDS[:2]])
def test_text_between_entries(more, end):
    contents = contents_of(DATA[:end] + more + DATA[end:], "x.toml")
    line = DATA[:end].count(b"\n") + 1
    assert contents.problems[0].startswith(f"Line {line}: ")
    if end == 0 or more[-1:] == b"\n":
        assert len(contents.problems) == 1
        assert all(entry.sound for entry in contents.entries)


def test_a_doubled_seal_line():
    line = DATA[ENDS[0] - 74 : ENDS[0]]
    (problem,) = problems_of(DATA[: ENDS[0]] + line + DATA[ENDS[0] :])
    assert problem == "Line 12: a seal line that closes no entry."


def test_a_block_without_its_first_line():
    problems = problems_of(DATA.replace(b"[[entry]]\nn = 1", b"[[Entry]]\nn = 1"))
    assert problems[0] == "Line 12: the block doesn't begin with the line [[entry]]."
    assert not any("Entry 2" in problem for problem in problems)


def test_a_kind_of_a_later_program_is_kept():
    blocks = numbered(opened(), note("a"))
    blocks[1] = blocks[1].replace(b'"note"', b'"weather-balloon"')
    contents = contents_of(seal_by_hand(blocks), "x.toml")
    assert contents.whole
    assert (contents.entries[1].kind, contents.entries[1].sound) == ("weather-balloon", True)


def test_a_newer_format_is_said():
    (problem,) = problems_of(seal_by_hand(numbered(opened(format=2))))
    assert problem.startswith("Entry 0 (line 1) is of format 2, newer than")


def test_recorded_after_the_sign_off():
    signed = note("x").keys | {"open": [], "accepted": ""}
    late = numbered(
        opened(),
        Entry(0, "signed", note("").at, "A. Tester", signed),
        Entry(0, "addendum", note("").at, "A. Tester", {"text": "allowed"}),
        note("too late"),
    )
    (problem,) = problems_of(seal_by_hand(late))
    assert problem.startswith("Entry 3 ")
    assert "after the sign-off" in problem


def test_no_file_and_odd_names(tmp_path):
    for path in (tmp_path / "none.toml", Path("nul\0.toml"), tmp_path / ("x" * 5000)):
        with pytest.raises(BadInput, match="There is no log"):
            read(path)
    with pytest.raises(BadInput, match="is no file"):
        read(tmp_path)
    (tmp_path / "empty.toml").touch()
    with pytest.raises(BadInput, match="empty"):
        read(tmp_path / "empty.toml")


@settings(max_examples=300)
@given(st.integers(0, len(DATA) - 1), st.integers(0, 255))
def test_the_small_verifier_says_the_same_of_any_changed_byte(at, value):
    changed = bytearray(DATA)
    changed[at] = value
    assert bool(first_fault(bytes(changed))) == noticed(bytes(changed))


@given(st.integers(0, len(DATA)))
def test_the_small_verifier_says_the_same_of_any_beginning(length):
    assert bool(first_fault(DATA[:length])) == noticed(DATA[:length])


@given(st.data())
@settings(max_examples=300)
def test_a_file_read_in_parts_says_what_its_bytes_say(data):
    """Whatever is off, wherever the parts end."""
    blocks = notes(data.draw(st.integers(1, 6)))
    whole = bytearray(seal_by_hand(blocks))
    for _ in range(data.draw(st.integers(0, 2))):
        at = data.draw(st.integers(0, len(whole)))
        end = data.draw(st.sampled_from((at, at + 1, len(whole))))
        odd = data.draw(st.sampled_from((b"", b"x", b"\r", b"\r\n", b"\0", b"\n", b"[[entry]]\n")))
        whole[at:end] = odd
    if data.draw(st.booleans()):
        whole = whole.replace(b"\n", b"\r\n", data.draw(st.integers(-1, 20)))
    said = bytes(whole)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(reader, "_PART", data.draw(st.sampled_from((1, 7, 150, 400, 1 << 18))))
        try:
            expected = contents_of(said, "x.toml")
        except BadInput as error:
            with pytest.raises(BadInput) as raised:
                read_through(BytesIO(said), "x.toml")
            assert str(raised.value) == str(error)
            return
        found, length, digest = read_through(BytesIO(said), "x.toml")
    assert found == expected
    assert length == len(said) - len(expected.torn)
    assert digest.digest() == sha256(said[:length]).digest()


def test_a_stray_seal_line_where_a_part_ends_is_said(monkeypatch):
    whole = seal_by_hand(notes(3))
    monkeypatch.setattr(reader, "_PART", len(whole))
    said = whole + b'seal = "' + b"0" * 64 + b'"\n'
    assert read_through(BytesIO(said), "x.toml")[0] == contents_of(said, "x.toml")
    assert contents_of(said, "x.toml").problems


@pytest.mark.parametrize("part", [1, 100, 1 << 18])
def test_a_whole_file_is_never_read_into_one_piece(part, monkeypatch):
    """Every read is of a part; the second reading of all of it is for what is off."""
    monkeypatch.setattr(reader, "_PART", part)
    data = seal_by_hand(notes(40))
    asked = []

    class File(BytesIO):
        def read(self, size=-1):
            asked.append(size)
            return super().read(size)

    assert read_through(File(data), "x.toml").contents.whole
    longest = max(map(len, notes(40))) + 80
    assert all(0 < size <= max(part, 2 * longest) for size in asked)
