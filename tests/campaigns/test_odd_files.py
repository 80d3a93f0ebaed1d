"""The campaign of odd files in short; the long one is run by hand."""

from __future__ import annotations

import pytest

from tests.campaigns import every_command, odd_files

RECORD = next(each for each in every_command.EXAMPLES if each.name == "record")


@pytest.fixture(scope="module")
def staged():
    with every_command.stage() as folder:
        yield folder


def test_something_odd_at_a_path_is_said_or_passed_by(staged):
    faults = [
        fault for example in every_command.EXAMPLES for fault in odd_files.some(staged, example, 60)
    ]
    assert faults == []


@pytest.mark.parametrize("kind", odd_files.KINDS)
def test_something_odd_beside_the_log_that_is_recorded_in(staged, kind):
    paths = odd_files.paths_of(staged, RECORD)
    assert f"store/sessions/{every_command.OPEN}.owner" in paths
    faults = [odd_files.fault_of(staged, RECORD, path, kind) for path in paths]
    assert not any(faults), faults


def test_the_campaign_sees_a_link_that_is_followed(staged, monkeypatch):
    from inspect_tui.files.log import lock

    def follow(self):
        self._owner.write_text("who")

    monkeypatch.setattr(lock.LogLock, "_say_who", follow)
    path = f"store/sessions/{every_command.OPEN}.owner"
    fault = odd_files.fault_of(staged, RECORD, path, "link to nothing")
    assert "what the link leads to was written" in fault


def test_the_campaign_sees_a_pipe_that_is_waited_for(staged, monkeypatch):
    from inspect_tui.files.log import lock

    monkeypatch.setattr(odd_files, "LONGEST", 1)
    monkeypatch.setattr(lock, "_said", lambda file: file.read_text() if file.exists() else "")
    fault = odd_files.fault_of(staged, RECORD, f"store/sessions/{every_command.OPEN}.held", "pipe")
    assert "did not end" in fault
