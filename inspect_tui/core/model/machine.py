"""The machine sheet: cylinders, facts, specification, jet chart, each with its source.

Frozen model of the TOML file; `core/definitions/load.py` makes it from text.
"""

from __future__ import annotations

import msgspec

Figure = int | float | str | tuple[int | float | str, ...]
"""A number, a quantity `"12 mm"`, or a list with one value per cylinder."""
Words = str | tuple[str, ...]
Fact = str | int | float | bool


class JetBand(msgspec.Struct, frozen=True):
    """One band of the factory's jet chart; the lower edge is included, the upper is not."""

    temperature: tuple[str, str]
    altitude: tuple[str, str]
    settings: dict[str, Figure]
    """Named as in `spec`: `main_jet = [250, 240, 250]`."""


class Machine(msgspec.Struct, frozen=True):
    """One machine."""

    id: str
    name: str
    cylinders: tuple[str, ...]
    machine: dict[str, Fact] = {}
    spec: dict[str, Figure] = {}
    """Figures that are numbers or quantities."""
    spec_text: dict[str, Words] = {}
    """Figures that are words (`[spec.text]`)."""
    source: dict[str, str] = {}
    jet_chart: tuple[JetBand, ...] = ()
