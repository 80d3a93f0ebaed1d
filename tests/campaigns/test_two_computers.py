"""The campaign of two computers in short; the long one is run by hand."""

from __future__ import annotations

import re

import pytest
from hypothesis import Phase

from inspect_tui.files.log import replace
from tests.campaigns import two_computers


def test_nothing_acknowledged_is_lost_by_any_history():
    two_computers.run(10, 14, two_computers.TwoComputers)


def test_the_campaign_sees_a_loss(monkeypatch):
    real = replace.import_log

    def only_its_beginning(path, whole):
        first = re.search(rb'\nseal = "[0-9a-f]{64}"\n', whole)
        real(path, whole[: first.end()])

    monkeypatch.setattr(replace, "import_log", only_its_beginning)
    with pytest.raises(AssertionError):
        # Stops at the first loss it sees; the number only bounds a run of bad luck.
        two_computers.run(500, 14, two_computers.TwoComputers, [Phase.generate])
