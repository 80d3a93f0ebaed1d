"""The machine sheet: cylinders, facts, specification, jet chart, each with its source.

Frozen model of the TOML file; `core/definitions/load.py` makes it from text. Each field declares
a key of the file (see `declaration`).
"""

from __future__ import annotations

from typing import Annotated

import msgspec

from inspect_tui.core.model.declaration import ID, key

Figure = int | float | str | tuple[int | float | str, ...]
"""A number, a quantity `"12 mm"`, or a list with one value per cylinder."""
MAX_CYLINDERS = 24
UNKNOWN = "?"
"""In a list with one value per cylinder: that of a cylinder whose figure isn't known yet."""
NOT_KNOWN = "not known"
"""Where a figure comes from that nobody knows: it is missing, and not asked for again."""
Words = str | tuple[str, ...]
Fact = str | int | float | bool


class JetBand(msgspec.Struct, frozen=True):
    """One band of the factory's jet chart; the lower edge is included, the upper is not."""

    temperature: Annotated[
        tuple[str, str],
        key("The band's edges; the lower one is in it.", ["-29 degC", "-18 degC"]),
    ]  # fmt: skip
    altitude: Annotated[
        tuple[str, str], key("The band's edges, the lower one first.", ["0 m", "600 m"])
    ]
    settings: Annotated[
        dict[str, Figure],
        key("A setting for that air, named as in `[spec]`.", [250, 240, 250], place="rest"),
    ]


class Machine(msgspec.Struct, frozen=True):
    """One machine."""

    id: Annotated[
        str, key("What commands and sessions call the machine.", "hill-rescue-3", pattern=ID)
    ]
    name: Annotated[str, key("What people call it.", "The blue one")]
    cylinders: Annotated[
        tuple[str, ...],
        key(
            "The cylinders' own names, in the order in which figures list them; none for a "
            "machine without.",
            ["PTO", "centre", "MAG"],
            wanted='a list of names, such as ["PTO", "MAG"]',
        ),
    ]  # fmt: skip
    machine: Annotated[
        dict[str, Fact],
        key(
            "Facts that steps ask for as `machine.NAME`: text, a number, true or false.",
            {"cooling": "liquid", "fuel_tank": 40},
        ),
    ] = {}
    spec: Annotated[
        dict[str, Figure],
        key(
            'Figures that steps ask for as `spec.NAME`: a number, a quantity such as `"12 mm"`, or '
            "a list with one value for each cylinder.",
            {"belt_width_min": "31.5 mm", "main_jet": [240, 230, 240]},
        ),
    ] = {}  # fmt: skip
    spec_text: Annotated[
        dict[str, Words],
        key(
            "Figures that are words, or a list of them; `spec.NAME` finds these too.",
            {"jet_numbering": "flow", "needle": ["6K", "6K", "6L"]},
            place="spec.text",
        ),
    ] = {}  # fmt: skip
    source: Annotated[
        dict[str, str], key("Where a figure or fact comes from.", {"main_jet": "manual, page 12"})
    ] = {}
    jet_chart: Annotated[
        tuple[JetBand, ...],
        key("A band of the factory's jet chart: its edges, and its settings named as in `[spec]`."),
    ] = ()
