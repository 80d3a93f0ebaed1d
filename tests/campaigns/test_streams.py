"""The campaign of full, closed and left streams in short; the long one is run by hand."""

from __future__ import annotations

import pytest

from inspect_tui.commands import COMMANDS
from inspect_tui.commands.declared.spec import Command, arg
from tests.campaigns import every_command, streams


@pytest.fixture(scope="module")
def staged():
    with every_command.stage() as folder:
        yield folder


def test_every_command_and_every_file_that_it_takes_has_an_example():
    """So that no campaign can pass by a command that was added; what each writes is held below."""
    lacking = every_command.lacking()
    assert not lacking, f"add to EXAMPLES in tests/campaigns/every_command.py: {lacking}"


def test_a_command_that_was_added_is_asked_for(monkeypatch):
    taken = Command(
        "weigh", "weighs", "x:y", (arg("--scale", metavar="FILE"), arg("what", metavar="FILE"))
    )
    monkeypatch.setitem(COMMANDS, "weigh", taken)
    assert every_command.lacking() == [
        "weigh has no example",
        "weigh prints nothing that counts: what does it write?",
        "weigh takes a file as --scale, and no example gives it one",
    ]


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
