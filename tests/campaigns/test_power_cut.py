"""The campaign of power cuts in short, and that it sees what it is for."""

from __future__ import annotations

import os
from types import SimpleNamespace

import pytest

from inspect_tui.files import disk
from inspect_tui.files.log import file_ops
from inspect_tui.files.log import writer as log
from tests.campaigns.power_cut import campaign


@pytest.fixture
def folder(tmp_path):
    return tmp_path.resolve()


def test_no_power_cut_loses_what_was_acknowledged(folder):
    cases, holed, faults = campaign(folder, every=11)
    assert faults == []
    assert cases > 200
    assert holed >= 3


def test_a_name_that_is_not_flushed_is_seen(folder, monkeypatch):
    for module in (disk, file_ops):
        monkeypatch.setattr(module, "flush_folder", lambda folder: None)
    _, _, faults = campaign(folder, every=200)
    assert any("the log is gone" in fault for fault in faults)


def test_a_write_that_is_not_flushed_is_seen(folder, monkeypatch):
    unflushed = SimpleNamespace(**{**vars(os), "fsync": lambda descriptor: None})
    monkeypatch.setattr(log, "os", unflushed)
    _, _, faults = campaign(folder, every=200)
    assert any("acknowledged entries" in fault for fault in faults)
