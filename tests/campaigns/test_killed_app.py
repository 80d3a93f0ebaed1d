"""The short form of the campaign of the killed app."""

from __future__ import annotations

import pytest

from tests.campaigns.killed_app import campaign

pytestmark = pytest.mark.terminal


def test_no_kill_loses_what_the_screen_called_saved(tmp_path):
    kills, acknowledged, _, faults = campaign(4, 20261105, tmp_path)
    assert kills == 4
    assert faults == []
    assert acknowledged > 0
