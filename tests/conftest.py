"""Shared by all tests: a store of its own, a fixed clock, the command line in this process."""

from __future__ import annotations

import os
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from inspect_tui.cli import main
from inspect_tui.files.store import Store

# How long an example takes says something of the machine, and nothing of the program. What a check
# run draws is the same each time; at a desk it is new each time.
settings.register_profile(
    "steady", deadline=None, suppress_health_check=[HealthCheck.too_slow],
    derandomize="CI" in os.environ,
)  # fmt: skip
settings.load_profile("steady")


@pytest.fixture(scope="session")
def cache_folder(tmp_path_factory) -> Path:
    """What is kept for the next time, one for all tests: it changes nothing but the time."""
    folder: Path = tmp_path_factory.mktemp("cache")
    return folder


@pytest.fixture(autouse=True)
def own_store(tmp_path, cache_folder, monkeypatch):
    """No test sees a person's own store, or what is kept for it."""
    monkeypatch.setenv("INSPECT_TUI_HOME", str(tmp_path / "store"))
    monkeypatch.setenv("XDG_CACHE_HOME", str(cache_folder))
    monkeypatch.setenv("INSPECT_TUI_TRACE", "1")


@pytest.fixture
def places(tmp_path) -> Store:
    """A store of this test's own."""
    made = Store(tmp_path / "store")
    made.make()
    return made


@pytest.fixture
def clock():
    """A clock that goes on by a second at each look."""
    at = datetime(2026, 11, 2, 18, 0, 0, tzinfo=UTC)

    def now() -> datetime:
        nonlocal at
        at += timedelta(seconds=1)
        return at

    return now


@dataclass
class Ran:
    """How a command ended."""

    status: int
    out: str
    err: str


@pytest.fixture
def run(capsys):
    """Run a command in this process."""

    def go(*arguments: str | Path) -> Ran:
        capsys.readouterr()
        status = main([str(argument) for argument in arguments])
        said = capsys.readouterr()
        return Ran(status, said.out, said.err)

    return go
