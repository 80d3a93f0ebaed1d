"""An entry's bytes and back."""

import math
import tomllib
from datetime import UTC, date, datetime, time, timedelta, timezone
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.core.model.log_entry import Entry
from inspect_tui.errors import BadInput
from inspect_tui.files.log.block import block, entry_of, seal_of
from inspect_tui.files.log.fast_toml import plain_keys
from tests.files.log_examples import START, note, opened

texts = st.one_of(
    st.text(),
    st.text(alphabet='"\\\n\r\t[]=#\x00\x1b\x7f\x85\u2028\ufeff aé😀'),
    st.sampled_from(["[[entry]]", '[[entry]]\nn = 1\nseal = "' + "0" * 64 + '"\n', '"""', "'''"]),
)
numbers = st.one_of(
    st.integers(-(2**63), 2**63 - 1), st.floats(allow_nan=False, allow_infinity=False)
)
scalars = st.one_of(texts, numbers, st.booleans(), st.dates())
values = st.one_of(scalars, st.lists(st.one_of(scalars, st.lists(texts, max_size=2)), max_size=4))
keys = st.dictionaries(
    st.text(min_size=1, max_size=12).filter(lambda k: k not in ("n", "kind", "at", "by", "seal")),
    values,
    max_size=5,
)
offsets = st.integers(-14 * 60, 14 * 60).map(lambda m: timezone(timedelta(minutes=m)))
moments = st.datetimes().flatmap(
    lambda at: offsets.map(lambda zone: at.replace(microsecond=0, tzinfo=zone))
)


@given(st.integers(0, 10**9 - 1), moments, texts, keys)
def test_whatever_a_person_types_comes_back_as_it_was(n, at, by, own):
    data = block(Entry(n, "conditions", at, by, own))
    back, faults = entry_of(data)
    assert faults == []
    assert back == Entry(n, "conditions", at, by, own)
    assert back.at.utcoffset() == at.utcoffset()


@given(st.integers(0, 9), moments, texts, keys)
def test_every_value_stands_on_one_line_without_control_characters(n, at, by, own):
    data = block(Entry(n, "conditions", at, by, own))
    lines = data.decode().splitlines()
    assert lines[0] == "[[entry]]"
    assert len(lines) == 1 + 4 + len(own)
    assert not any(sign < 0x20 and sign not in b"\n\t" for sign in data)


@given(texts, values)
def test_a_whole_toml_reader_reads_the_same(by, value):
    data = block(Entry(3, "photo", START, by, {"x": value}))
    (entry,) = tomllib.loads(data.decode())["entry"]
    assert entry == {"n": 3, "kind": "photo", "at": START, "by": by, "x": value}
    assert type(entry["x"]) is type(value)


LINES = [
    "a = 1", "a = -0", "a = 007", "a = +1", "a = 1_000", "a = 0x10", "a = 1.5", "a = 1.",
    "a = .5", "a = 1e5", "a = 1.0e+22", "a = -0.0", "a = inf", "a = nan", "a = true",
    "a = True", "b = false", 'a = "x"', 'a = "x" # c', 'a = "x"y"', 'a = "\\"',
    'a = "\\\\"', 'a = "\\u0041"', 'a = "\\/"', 'a = "\\\\u0041"', 'a = "\\ud83d\\ude00"',
    'a = "\\n\\t\\r\\b\\f"', 'a = ""', 'a = """"""', 'a = """x"""', "a = 'x'", 'a = "',
    "a = ", "a", "", "# c", " a = 1", "a  = 1", "a = 1 ", "a = 2026-01-02",
    "a = 2026-01-02T03:04:05+01:00", "a = 2026-13-02T03:04:05+01:00",
    "a = 2026-01-02T03:04:05Z", "a = 2026-01-02T03:04:05", "a = 2026-01-02T25:04:05+01:00",
    "a = 2026-01-02T03:04:05-00:00", "a = 2026-01-02T03:04:05+24:00", "a.b = 1", '"a" = 1',
    "a = [1]", "a = { b = 1 }", "[a]", "[[entry]]", "é = 1", 'a = "é"', 'a = "\t"',
    'a = "\x00"', 'a = "\x7f"', "b = 1", "c = 2", 'seal = "x"',
    "a = 123456789012345678901234567890", "a = 2026-01-02T03:04:05.12345",
    "a = 1234567890123456789012345",
]  # fmt: skip


def the_same_or_none(text):
    quick = plain_keys(text.encode(), text)
    if quick is None:
        return
    (slow,) = tomllib.loads(text)["entry"]
    assert quick == slow
    assert [type(value) for value in quick.values()] == [type(value) for value in slow.values()]
    for key, value in quick.items():
        if isinstance(value, float):
            assert math.copysign(1, value) == math.copysign(1, slow[key])


@pytest.mark.parametrize("line", LINES)
def test_the_quick_way_gives_what_a_toml_reader_gives(line):
    the_same_or_none(f"[[entry]]\n{line}\n")


@given(st.lists(st.sampled_from(LINES), max_size=4), st.sampled_from(["\n", "\r\n", "\n\n"]))
def test_the_quick_way_gives_what_a_toml_reader_gives_or_asks_one(lines, end):
    the_same_or_none("[[entry]]\n" + "".join(line + end for line in lines))


def test_the_quick_way_is_the_usual_way():
    data = block(note('an "odd" \\ path, line one\nline two'))
    assert plain_keys(data, data.decode()) is not None


@given(st.text(alphabet='"\\nut/x é', max_size=12))
def test_the_quick_way_and_any_quoted_text(inner):
    text = f'[[entry]]\na = "{inner}"\n'
    quick = plain_keys(text.encode(), text)
    if quick is not None:
        assert quick == tomllib.loads(text)["entry"][0]


def test_what_is_none_is_left_out_and_a_whole_float_stays_a_float():
    entry = Entry(
        1, "reading", START, "A", {"cylinder": None, "value": 12.0, "zero": 0, "no": False}
    )
    data = block(entry)
    assert b"cylinder" not in data
    assert b"\nvalue = 12.0\nzero = 0\nno = false\n" in data


def test_time_is_written_with_its_offset_in_whole_seconds():
    zone = timezone(timedelta(hours=-3, minutes=-30))
    at = datetime(2026, 10, 3, 8, 0, 1, 999_999, tzinfo=zone)
    assert b"\nat = 2026-10-03T08:00:01-03:30\n" in block(Entry(0, "note", at, "A", {}))


def test_an_offset_with_seconds_is_the_same_moment_in_utc():
    at = datetime(1930, 1, 1, 0, 0, tzinfo=timezone(timedelta(minutes=19, seconds=32)))
    back, faults = entry_of(block(Entry(0, "note", at, "A", {"text": "x"})))
    assert not faults
    assert back.at == at
    assert back.at.utcoffset() == timedelta(0)


def test_dates_and_times_of_day():
    data = block(Entry(0, "note", START, "A", {"until": date(2026, 12, 1), "when": time(7, 30)}))
    assert b"\nuntil = 2026-12-01\nwhen = 07:30:00\n" in data


@pytest.mark.parametrize(
    "value", [math.nan, math.inf, -math.inf, [1.0, math.nan], [None], 2**63, {"a": 1}, [{"a": 1}],
              Fraction(1, 3), b"raw", "\ud800", 1j, time(7, 30, tzinfo=UTC)],
)  # fmt: skip
def test_what_a_log_cannot_hold_is_refused(value):
    with pytest.raises(BadInput):
        block(Entry(0, "note", START, "A", {"weight": value}))


def test_a_refusal_names_the_key():
    with pytest.raises(BadInput, match="'weight' is nan"):
        block(Entry(0, "note", START, "A", {"weight": math.nan}))


@pytest.mark.parametrize("key", ["n", "kind", "at", "by", "seal"])
def test_the_logs_own_keys_are_not_for_entries(key):
    with pytest.raises(BadInput, match=key):
        block(Entry(0, "note", START, "A", {key: "x"}))


def test_a_time_without_offset_is_refused():
    with pytest.raises(BadInput, match="no offset"):
        block(Entry(0, "note", START.replace(tzinfo=None), "A", {}))


def test_the_first_seal_is_of_the_block_alone():
    # SHA-256 of "abc": FIPS 180-2, appendix B.1.
    expected = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert seal_of(b"", b"abc") == seal_of(b"a", b"bc") == expected


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (b"n = 0\n", b"", "lacks 'n'"),
        (b"n = 0\n", b"n = true\n", "no whole number"),
        (b"n = 0\n", b"n = -1\n", "no whole number"),
        (b'kind = "opened"', b"kind = 5", "kind that is no text"),
        (b"T08:00:00+00:00", b"T08:00:00", "no date and time with an offset"),
        (b"at = 2026-10-03T08:00:00+00:00", b'at = "today"', "no date and time with an offset"),
        (b"by = ", b"[by]\nx = ", "is not one [[entry]]"),
        (b"by = ", b"bye = ", "lacks 'by'"),
        (b"by = ", b"[entry.x]\nby = ", "a table in 'x'"),
        (b"program = ", b"x.y = ", "a table in 'x'"),
        (b'program = "inspect-tui test"', b'program = """a\nb"""', "several lines"),
        (b'program = "inspect-tui test"', b"program = [\n1,\n]", "several lines"),
        (b"format = 1\n", b"", "names no format"),
        (b"format = 1\n", b"format = 2\n", "newer"),
        (b"session = ", b"sessions = ", "lacks 'session'"),
        (b'session = "2026-10-03-bench-short"', b"session = 5", "no text in 'session'"),
        (b"by = ", b"by = by = ", "no TOML"),
        (b"by = ", b"n = 1\nby = ", "no TOML"),
        (b"A. Tester", b"A. T\xffster", "no UTF-8 text, 4 lines further on"),
        (b"format = 1\n", b'seal = "x"\nformat = 1\n', "seal among its keys"),
    ],
)
def test_an_off_form_is_said(old, new, said):
    data = block(opened())
    assert old in data
    entry, faults = entry_of(data.replace(old, new, 1))
    assert said in " / ".join(faults)
    assert not entry.sound


def test_comments_and_empty_lines_are_no_fault():
    data = block(note("x")).replace(b"by = ", b"# by whom\n\nby = ")
    assert entry_of(data)[1] == []


def test_an_unreadable_block_keeps_its_text():
    entry, faults = entry_of(b"[[entry]]\nwhat\xff = is\n")
    assert faults
    assert (entry.kind, entry.n, entry.get("text")) == ("unreadable", -1, "[[entry]]\nwhat� = is\n")


def test_hostile_toml_is_no_crash():
    for inner in (b"x = " + b"9" * 5000, b"x = " + b"[" * 5000):
        _, faults = entry_of(b"[[entry]]\n" + inner + b"\n")
        assert "no TOML" in faults[0]


@pytest.mark.parametrize(
    "data", [b"entry = []\n", b"entry = 5\n", b"[entry]\nn = 0\n", b"[[entry]]\n[[entry]]\n", b"\n"]
)
def test_what_is_not_one_entry_is_none(data):
    entry, faults = entry_of(data)
    assert faults == ["is not one [[entry]] with its keys"]
    assert entry.kind == "unreadable"
