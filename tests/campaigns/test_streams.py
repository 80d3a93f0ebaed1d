"""The campaign of full, closed and left streams in short; the long one is run by hand."""

from __future__ import annotations

import pytest

from inspect_tui.commands import COMMANDS
from tests.campaigns import every_command, streams


@pytest.fixture(scope="module")
def staged():
    with every_command.stage() as folder:
        yield folder


def test_every_command_has_an_example():
    missing = set(COMMANDS) - every_command.named()
    assert not missing, f"add a line for {missing} to EXAMPLES in tests/campaigns/every_command.py"


@pytest.mark.parametrize("example", every_command.EXAMPLES, ids=lambda each: " ".join(each.words))
def test_what_becomes_of_the_words_never_changes_what_was_done(staged, example):
    assert streams.faults_of(staged, example, streams.FEW) == []


def test_the_campaign_sees_a_status_that_lies(staged, monkeypatch):
    from inspect_tui.commands import streams as guarded

    monkeypatch.setattr(guarded, "status_after", lambda out, status, prints: 0 if out.error else 2)
    example = next(
        each for each in every_command.EXAMPLES if each.words[0] == "check" and each.status
    )
    assert streams.faults_of(staged, example, streams.FEW)
