"""Logs that were written anew by hand, rightly sealed: what they can't say is named."""

import hashlib
from datetime import timedelta

import pytest

from inspect_tui.core.model.log_entry import Entry
from inspect_tui.files.log import writer as log
from inspect_tui.files.log.block import block
from tests.campaigns.changes import sealed


@pytest.fixture
def forged(session, definitions, run):
    """Write the session's log anew with more entries; `verify` and `take` are asked."""
    path = definitions.log(session)

    def go(*kinds, **keys):
        entries = [*log.read(path).entries]
        for kind in kinds:
            entries.append(Entry(len(entries), kind, entries[-1].at, "R", keys))
        path.write_bytes(sealed(tuple(map(block, entries))))
        return entries[-1].at, run("verify", session)

    return go


SIGNED = {"open": [], "accepted": "", "step": "belt", "text": "x"}


@pytest.mark.parametrize(
    ("kinds", "says"),
    [
        (("opened",), "lacks|opened once"), (("signed", "note"), "after the sign-off"),
        (("signed", "signed"), "after the sign-off"), (("signed", "resumed"), "after the sign-off"),
        (("combined",), "carries no other copy"), (("signature",), "without a sign-off"),
        (("signed", "signature"), "can't be read"),
    ],
)  # fmt: skip
def test_an_entry_that_cannot_stand_there(forged, kinds, says, run, definitions, session, tmp_path):
    _, ran = forged(*kinds, **SIGNED)
    assert ran.status == 1
    assert any(word in ran.err for word in says.split("|")), ran.err
    taken = run("--store", tmp_path / "other", "receive", definitions.log(session))
    assert taken.status == 1
    assert not (tmp_path / "other").exists()


def test_a_clock_that_ran_backwards_is_said(forged, session, definitions):
    at = log.read(definitions.log(session)).entries[-1].at
    _, ran = forged("note", "note", **SIGNED, clock=at - timedelta(days=900))
    assert ran.status == 0
    assert "and of 1 more: the computer's clock ran backwards; it said 20" in ran.out


@pytest.mark.parametrize("clock", ["yesterday", 5, True, "late"])
def test_a_clock_that_can_not_be_is_named(forged, session, definitions, clock):
    at = log.read(definitions.log(session)).entries[-1].at
    _, ran = forged("note", **SIGNED, clock=at + timedelta(1) if clock == "late" else clock)
    assert ran.status == 1
    assert "its 'clock' is no time before its own" in ran.err


@pytest.mark.parametrize("length", (1, 2, 8, 15))
def test_the_beginning_of_a_seal_is_no_seal(run, session, definitions, length):
    last = log.read(definitions.log(session)).entries[-1].seal
    assert run("verify", session, "--seal", last[:length]).status == 2
    assert run("verify", session, "--seal", last[:16].upper()).status == 0
    assert run("verify", session, "--seal", f"  {last[:8]} - {last[8:16]}\t").status == 0
    other = hashlib.sha256(last.encode()).hexdigest()[:16]
    assert run("verify", session, "--seal", other).status == 1
