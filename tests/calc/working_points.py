"""The working points of `working_points.toml`, as keyword arguments."""

from __future__ import annotations

import tomllib
from pathlib import Path

TABLE = tomllib.loads(Path(__file__).with_suffix(".toml").read_text(encoding="utf-8"))


def point(name: str) -> dict[str, object]:
    """Every input of a calculation at its ordinary working point."""
    return {
        key: entry["value"] if isinstance(entry, dict) else entry
        for key, entry in TABLE[name].items()
    }


def uncertain(name: str) -> dict[str, float]:
    """The inputs that carry an uncertainty, with their standard uncertainty."""
    return {key: entry["u"] for key, entry in TABLE[name].items() if isinstance(entry, dict)}
