"""One inference's readings, and the pressures that several cases share."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

Typed = str | list[str]


@dataclass(frozen=True)
class Case:
    """One inference's readings."""

    speak: dict[str, Typed]
    silent: dict[str, Typed]
    at: str | None = "PTO"
    facts: Mapping[str, bool | str] = field(default_factory=dict)
    """Facts in which this machine differs from the shipped sheet; without a chart it has none."""


APART: list[str] = ["850 kPa", "850 kPa", "700 kPa"]
ALIKE: list[str] = ["850 kPa", "850 kPa", "840 kPa"]
