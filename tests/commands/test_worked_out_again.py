"""verify works each value and verdict out again: logs whose seals hold and whose words don't."""

from __future__ import annotations

import pytest

from inspect_tui.core.model.log_entry import Entry
from inspect_tui.files.log import writer as log
from inspect_tui.files.log.block import block, seal_line, seal_of


@pytest.fixture
def recorded(session, run):
    """A session with a reading that passes, one that fails, and a sign-off."""
    assert run("record", session, "belt.width=32 mm", "belt.cracks=surface").status == 0
    assert run("record", session, "main-jet.stamp@PTO=250").status == 0
    signed = ("--by", "R", "--accept-open", "all of it", "--accept", "brake=holds")
    assert run("sign", session, *signed).status == 0
    return session


@pytest.fixture
def rewritten(recorded, places):
    """Writes the log anew with a change: every seal holds, as its owner can have it."""

    def write(old, new, **keys):
        path = places.log(recorded)
        data = seal = b""
        for entry in log.read(path).entries:
            if entry.get("reading") == keys.get("reading", "width"):
                more = {key: value for key, value in keys.items() if key != "reading"}
                entry = Entry(
                    entry.n, keys.get("kind", entry.kind), entry.at, entry.by,
                    {**entry.keys, **{key: each for key, each in more.items() if key != "kind"}},
                )  # fmt: skip
            each = block(entry).replace(old, new)
            seal = seal_of(seal, each).encode()
            data += each + seal_line(seal.decode())
        path.write_bytes(data)
        return recorded

    return write


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ({"value": 33}, "'32 mm' is 32, and 33 stands there"),
        ({"value": "wide"}, "'32 mm' is 32, and wide stands there"),
        ({"verdict": "fail"}, "is 'pass' by the entries up to it, and 'fail' stands there"),
        ({"verdict": "splendid"}, "'splendid' stands there"),
        ({"unit": "in"}, "its unit is mm, and in stands there"),
        ({"phase": "as-hoped"}, "'as-hoped' is no phase"),
        ({"step": "nothing"}, "the checklist has no such step"),
        ({"entered": "30 mm"}, "'30 mm' is 30, and 32 stands there"),
        ({"cylinder": "PTO"}, "no such cylinder"),
        ({"reading": "cracks", "value": "through"}, "'surface' is surface, and through stands"),
        ({"reading": "stamp", "cylinder": "nobody"}, "no such cylinder"),
    ],
)
def test_each_difference_is_named_and_the_answer_is_no(rewritten, run, keys, words, tmp_path):
    session = rewritten(b"", b"", **keys)
    ran = run("verify", session)
    assert ran.status == 1
    assert words in ran.err
    # In a packed file and behind an export too.
    assert run("export", session, "--to", "md", "-o", tmp_path / "r.md").status == 0
    ran = run("verify", tmp_path / "r.md")
    assert ran.status == 1 and words in ran.err
    assert run("pack", session, "-o", tmp_path / "p.zip").status == 0
    ran = run("verify", tmp_path / "p.zip")
    assert ran.status == 1 and words in ran.err


def test_a_verdict_by_an_older_programs_rule_is_said_and_no_fault(rewritten, run):
    session = rewritten(b'program = "inspect-tui 0.', b'program = "inspect-tui 0.', verdict="fail")
    assert run("verify", session).status == 1
    session = rewritten(b'program = "inspect-tui 0.2', b'program = "inspect-tui 0.1')
    ran = run("verify", session)
    assert (ran.status, ran.err) == (0, "")
    assert "'fail' stands there" in ran.out


def test_a_value_that_an_older_program_wrote_is_a_fault_all_the_same(rewritten, run):
    session = rewritten(b'program = "inspect-tui 0.2', b'program = "inspect-tui 0.1', value=33)
    assert run("verify", session).status == 1


def test_an_unknown_kind_is_said_and_no_fault(rewritten, run):
    session = rewritten(b"", b"", kind="polished")
    ran = run("verify", session)
    assert (ran.status, ran.err) == (0, "")
    assert "is of the kind 'polished', which this program doesn't know" in ran.out


def test_a_decision_that_is_none_is_said_and_leaves_the_finding_open(session, run, places):
    assert run("add-finding", session, "belt", "frayed").status == 0
    assert run("decide", session, "F1", "later").status == 0
    path = places.log(session)
    data = seal = b""
    for entry in log.read(path).entries:
        each = block(entry).replace(b'decision = "later"', b'decision = "hope"')
        seal = seal_of(seal, each).encode()
        data += each + seal_line(seal.decode())
    path.write_bytes(data)
    ran = run("verify", session)
    assert ran.status == 0 and "Entry 2 ('decision') can't be understood" in ran.out
    assert "F1 has no decision" in run("sign", session, "--by", "R").err


def test_a_checklist_that_can_not_be_used_is_a_fault(rewritten, run):
    session = rewritten(b'title = \\"Short look\\"', b"title = ")
    ran = run("verify", session)
    assert ran.status == 1 and "can't be worked out again" in ran.err


def test_a_sound_log_says_nothing_of_it(recorded, run):
    ran = run("verify", recorded)
    assert (ran.status, ran.err) == (0, "")
    assert len(ran.out.splitlines()) == 2  # whole; signed off


def test_verify_writes_nothing(recorded, run, places):
    before = {
        path: (path.stat().st_mtime_ns, path.stat().st_ino) for path in places.store.rglob("*")
    }
    path = places.log(recorded)
    whole = path.read_bytes()
    for data in (whole, whole + b"[[entry]]\n", whole[:-1], whole.replace(b"\n", b"\r\n", 1)):
        other = places.store.parent / "x.toml"
        other.write_bytes(data)
        assert run("verify", other).status == (0 if data == whole else 1)
        assert other.read_bytes() == data
    run("verify", recorded)
    after = {
        path: (path.stat().st_mtime_ns, path.stat().st_ino) for path in places.store.rglob("*")
    }
    assert after == before
