"""The campaign of killed and failing calls in short; the long one is run by hand."""

from __future__ import annotations

import pytest

from inspect_tui.files import new_file
from inspect_tui.files.log import file_ops
from tests.campaigns import calls, every_command


@pytest.fixture(scope="module")
def staged():
    with every_command.stage() as folder:
        yield folder


@pytest.mark.parametrize("example", calls.WRITING, ids=lambda each: " ".join(each.words))
def test_a_killed_or_failing_call_loses_nothing_and_is_made_good(staged, example):
    assert calls.some(staged, example, 20) == []


def test_the_campaign_sees_what_stands_there_in_part(staged, monkeypatch):
    def in_place(path, data):
        """As it would be without preparing it beside."""
        descriptor = file_ops.os.open(path, file_ops.os.O_RDWR | file_ops.os.O_CREAT, 0o600)
        file_ops.os.write(descriptor, data)
        return descriptor

    monkeypatch.setattr("inspect_tui.files.log.writer.new_file", in_place)
    new = next(each for each in calls.WRITING if each.name == "new")
    _, faults = calls.campaign(staged, new, ())
    assert any("stands there in part" in fault for fault in faults)


def test_the_campaign_sees_what_is_left_lying(staged, monkeypatch):
    monkeypatch.setattr(new_file, "_delete_if_left", lambda path: None)
    photo = next(each for each in calls.WRITING if each.name == "photo")
    _, faults = calls.campaign(staged, photo, ())
    assert any("left lying" in fault for fault in faults)
