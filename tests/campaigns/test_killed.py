"""The short form of the campaign of killed commands."""

from __future__ import annotations

from tests.campaigns.killed import campaign


def test_no_kill_loses_what_was_acknowledged(tmp_path):
    kills, _, faults = campaign(30, 20261104, tmp_path)
    assert kills == 30
    assert faults == []
