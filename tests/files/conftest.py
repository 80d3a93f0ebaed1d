"""Logs to read and to write on."""

import pytest

from inspect_tui.files.log.writer import Writer
from tests.files.log_examples import EXAMPLE, opened


@pytest.fixture
def example(tmp_path):
    """A copy of the log of three entries."""
    path = tmp_path / "example.toml"
    path.write_bytes(EXAMPLE.read_bytes())
    return path


@pytest.fixture
def fresh(tmp_path):
    """The path of a new log with its first entry alone."""
    path = tmp_path / "sessions" / "fresh.toml"
    Writer.create(path, opened()).close()
    return path
