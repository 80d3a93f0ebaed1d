"""Where the details of a fault are kept."""

from __future__ import annotations

import tempfile
from datetime import UTC, datetime

import pytest

from inspect_tui.files import crash_report

AT = datetime(2026, 11, 2, 18, 0, tzinfo=UTC)


@pytest.fixture
def no_passing_folder(monkeypatch):
    """A computer where no folder for passing files can be written."""

    def none():
        raise FileNotFoundError("no usable temporary directory")

    monkeypatch.setattr(tempfile, "gettempdir", none)


def test_the_store_keeps_them(tmp_path, no_passing_folder):
    kept = crash_report.keep(KeyError("x"), tmp_path / "store", AT)
    assert kept is not None and kept.parent == tmp_path / "store" / "faults"
    assert "KeyError: 'x'" in kept.read_text(encoding="utf-8")
    assert kept.stat().st_mode & 0o777 == 0o600


def test_the_passing_folder_does_where_the_store_takes_nothing(tmp_path, monkeypatch):
    passing = tmp_path / "passing"
    passing.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(passing))
    store = tmp_path / "store"
    store.write_text("a file in the way", encoding="utf-8")
    kept = crash_report.keep(KeyError("x"), store, AT)
    assert kept is not None and kept.parent == passing


def test_nothing_is_said_to_be_kept_where_no_disk_took_it(no_passing_folder):
    assert crash_report.keep(KeyError("x"), None, AT) is None
