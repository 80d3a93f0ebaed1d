"""Where things lie: the store of this person, and the checklists that ship. Getters write nothing.

A store holds `sessions/ID.toml`, `checklists/ID.toml`, `machines/ID.toml`.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Places:
    """The folders of one store."""

    store: Path

    @property
    def sessions(self) -> Path:
        """The session logs."""
        return self.store / "sessions"

    @property
    def checklists(self) -> Path:
        """The person's own checklists; they come before the shipped ones."""
        return self.store / "checklists"

    @property
    def machines(self) -> Path:
        """The person's own machine sheets."""
        return self.store / "machines"

    def log(self, session: str) -> Path:
        """The log file of a session id; BadInput if the id can't be one."""
        raise NotImplementedError

    def make(self) -> None:
        """Make the folders, private to their owner (0700)."""
        raise NotImplementedError


def store(given: str | None = None) -> Places:
    """The store: what was given, else INSPECT_TUI_HOME, else the platform's data folder."""
    raise NotImplementedError


def shipped() -> Path:
    """The folder of the checklists that ship: in the wheel, or beside the package in a checkout."""
    raise NotImplementedError
