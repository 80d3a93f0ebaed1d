"""The campaign of stores that a sync program left in disorder, in short."""

from __future__ import annotations

import random

from inspect_tui.files.log.names import NameCheck
from tests.campaigns import synced
from tests.campaigns.every_command import Example, stage


def test_a_store_in_disorder_is_answered_and_loses_nothing():
    count, faults = synced.run(6, 7, 8)
    assert faults == [] and count == 48


def test_the_campaign_sees_a_log_that_is_written_to_under_anothers_name(monkeypatch):
    monkeypatch.setattr("inspect_tui.files.log.writer.check_name", lambda *_: NameCheck())
    with stage() as folder:
        first, second, _ = synced.with_sessions_of_its_own(folder)
        monkeypatch.setattr(synced, "MISHAPS", (synced.exchanged,))
        monkeypatch.setattr(
            synced,
            "_files",
            lambda store, _: [store / f"sessions/{n}.toml" for n in (first, second)],
        )
        note = Example(("note", first, "belt", "x"), 0, True)
        for seed in range(9):
            if faults := synced.faults_of(folder, random.Random(seed), [note]):
                assert "under another's name" in faults[0]
                return
    raise AssertionError("not seen")
