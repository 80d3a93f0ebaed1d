"""Logs that an earlier program wrote, kept as they were: read, carried on, exported, verified.

`older-program-*.toml` in tests/files/data were written by version 0.1.0 as it was before its
outward names were settled: the kind `joined`, the key `joined_from`, and the list keys `needs`,
`when` and `before` in the text of the checklist.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

DATA = Path(__file__).parent.parent / "files" / "data"
SESSION = "2026-11-26-old-sled-older"


@pytest.fixture
def earlier(definitions):
    """Puts one of the kept logs into the store."""

    def put(which):
        path = definitions.log(SESSION)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes((DATA / f"older-program-{which}.toml").read_bytes())
        return path

    return put


@pytest.mark.parametrize("which", ["open", "signed", "other-side"])
def test_an_earlier_log_verifies_and_is_shown(earlier, run, which):
    path = earlier(which)
    before = path.read_bytes()
    ran = run("verify", SESSION)
    assert (ran.status, ran.err) == (0, "")
    shown = json.loads(run("status", SESSION, "--json").out)
    states = {step["id"]: step["state"] for step in shown["steps"]}
    assert states["coolant"] == "not-needed"  # the list's `when`: this machine has a fan
    assert states["fan"] == "done" and states["belt"] == "done"
    for form in ("md", "html", "csv", "json"):
        assert run("export", SESSION, "--to", form).status == 0
    assert path.read_bytes() == before


def test_what_was_joined_is_shown_as_combined(earlier, run):
    earlier("signed")
    text = run("export", SESSION, "--to", "md", "--with-log").out
    assert "combined with a copy that went on apart after entry 4" in text
    assert "taken 2026-11-26 17:51+00:00, entry 6 of its own copy" in text
    assert "unknown kind" not in text


def test_an_earlier_log_is_carried_on(earlier, run):
    path = earlier("open")
    before = path.read_bytes()
    assert run("record", SESSION, "fan.play=6", "--as-left").status == 0
    assert run("note", SESSION, "belt", "carried on").status == 0
    assert path.read_bytes().startswith(before)
    assert run("verify", SESSION).status == 0


def test_an_earlier_log_is_packed_received_and_combined(earlier, run, definitions, tmp_path):
    """The other side went on; what both wrote is there once, under today's kind."""
    path = earlier("open")
    there = tmp_path / "there"
    (there / "sessions").mkdir(parents=True)
    other = there / "sessions" / f"{SESSION}.toml"
    other.write_bytes((DATA / "older-program-other-side.toml").read_bytes())
    # The other side's copy is known already: it is what the `joined` entry carries.
    assert "is here already" in run("receive", other).out
    assert run("--store", there, "record", SESSION, "fan.play=7", "--as-left").status == 0
    assert run("combine", SESSION, other, "--by", "R. Tester").status == 0
    text = path.read_text(encoding="utf-8")
    assert text.count('\nkind = "joined"\n') == 1 and text.count('\nkind = "combined"\n') == 1
    assert run("verify", SESSION).status == 0
    findings = json.loads(run("status", SESSION, "--json").out)["findings"]
    assert {each["id"] for each in findings if each["id"].startswith("F")} == {"F1", "F2"}
    assert run("pack", SESSION, "-o", tmp_path / "all.zip").status == 0
    assert run("--store", tmp_path / "third", "receive", tmp_path / "all.zip").status == 0
    assert run("--store", tmp_path / "third", "verify", SESSION).status == 0
