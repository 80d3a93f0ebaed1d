"""At the prompt: a log that is broken, renamed, or open elsewhere."""

from __future__ import annotations

import errno
import fcntl
import os
from pathlib import Path

from inspect_tui.workflow.inspection import Inspection


def test_a_broken_log_is_gone_on_with_only_when_that_is_said(definitions, run, session, status):
    path = definitions.log(session)
    path.write_bytes(path.read_bytes().replace(b"R. Tester", b"R. Tasted", 1))
    broken = path.read_bytes()
    ran = run("record", session, "belt.width=32")
    assert ran.status == 1 and "--despite-broken" in ran.err
    assert path.read_bytes() == broken
    ran = run("record", session, "belt.width=32", "--despite-broken")
    assert ran.status == 0 and "its seal doesn't hold" in ran.err
    assert path.read_bytes().startswith(broken)
    assert [row["entered"] for row in status(session)["readings"]] == ["32"]
    assert run("verify", session).status == 1


def test_the_owner_is_named(definitions, run, session, clock):
    with Inspection.open(definitions, session, clock):
        ran = run("note", session, "belt", "x")
    assert ran.status == 1
    assert f"process {os.getpid()} of" in ran.err and "Close it there first" in ran.err


def test_a_disk_without_locks_is_said_in_a_sentence(definitions, run, session, monkeypatch):
    def refuse(descriptor, operation):
        raise OSError(errno.ENOTSUP, os.strerror(errno.ENOTSUP))

    monkeypatch.setattr(fcntl, "flock", refuse)
    ran = run("note", session, "belt", "x")
    assert ran.status == 0
    assert len(ran.err.splitlines()) == 1 and "has no locks" in ran.err


def test_a_renamed_log_verifies_and_says_so(definitions, run, session):
    path = definitions.log(session)
    path.rename(path.with_name("last-winter.toml"))
    ran = run("verify", "last-winter")
    assert ran.status == 0
    assert "it was renamed, which changes nothing in it" in ran.out + ran.err


def test_a_session_id_inside_a_log_is_no_path(definitions, run, session, clock, tmp_path):
    path = definitions.log(session)
    text = path.read_bytes().replace(f'session = "{session}"'.encode(), b'session = "../../out"')
    path.write_bytes(text)
    held = Inspection.open(definitions, session, clock, write=False)
    with held:
        saved = Path(held.save_report("md"))
    assert saved == definitions.store / "reports" / f"{session}.md"
    assert not list(tmp_path.rglob("out.md"))
