"""A sheet's jet chart as a table: bands of temperature down, of altitude across.

What is wrong with the bands is said in words: those that overlap, and the air that none holds.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from inspect_tui.core.model.machine import Figure, JetBand, Machine
from inspect_tui.core.quantities import parse_number, units
from inspect_tui.core.readings.parse import as_a_file_writes_it, quantity
from inspect_tui.core.text.sanitize import ellipsize, sanitize
from inspect_tui.core.text.unit_text import format_unit
from inspect_tui.errors import BadInput, InspectError

TEMPERATURE, ALTITUDE = "degC", "m"
"""The units of edges that are typed without one."""
_BETWEEN = re.compile(r"\s+to\s+|\s*\.\.+\s*|\s*…\s*|\s*[;,]\s+", re.IGNORECASE)


@dataclass(frozen=True, slots=True, order=True)
class Edges:
    """A band's edges in one direction; the lower one belongs to it. Ordered from below."""

    low: Fraction
    """K or m."""
    high: Fraction
    texts: tuple[str, str]
    """As the sheet writes them."""

    @property
    def words(self) -> str:
        """`-29 to -18 °C`."""
        low, high = self.low_words, self.high_words
        unit = format_unit(parse_number.amount(self.texts[1]).unit)
        return f"{low.removesuffix(f' {unit}')} to {high}"

    @property
    def low_words(self) -> str:
        """`-29 °C`."""
        return _edge_words(self.texts[0])

    @property
    def high_words(self) -> str:
        """`-18 °C`."""
        return _edge_words(self.texts[1])

    def overlaps(self, other: Edges) -> bool:
        """Whether some air lies in both."""
        return self.low < other.high and other.low < self.high


def _edge_words(text: str) -> str:
    unit = parse_number.amount(text).unit
    return f"{text.removesuffix(unit).strip()} {format_unit(unit)}"


@dataclass(frozen=True, slots=True)
class ChartTable:
    """The chart, its bands in order."""

    temperatures: tuple[Edges, ...]
    altitudes: tuple[Edges, ...]
    settings: tuple[str, ...]
    """The settings that some band has."""
    bands: dict[tuple[Edges, Edges], int]
    """By temperature and altitude: the band's number in the sheet."""
    values: tuple[dict[str, Figure], ...]
    """Of each band of the sheet: its settings."""

    def value(self, temperature: Edges, altitude: Edges, setting: str) -> Figure | None:
        """A band's setting; None where there is none."""
        number = self.bands.get((temperature, altitude))
        return None if number is None else self.values[number].get(setting)


def chart_table(machine: Machine) -> ChartTable:
    """The table of a sheet; a band that can't be read is left out (`check` says why)."""
    found: dict[tuple[Edges, Edges], int] = {}
    settings: dict[str, None] = {}
    for number, band in enumerate(machine.jet_chart):
        places = _places(band)
        if places is not None:
            found.setdefault(places, number)
            settings |= dict.fromkeys(band.settings)
    return ChartTable(
        tuple(sorted({temperature for temperature, _ in found})),
        tuple(sorted({altitude for _, altitude in found})),
        tuple(settings),
        found,
        tuple(dict(band.settings) for band in machine.jet_chart),
    )


def _places(band: JetBand) -> tuple[Edges, Edges] | None:
    try:
        return _edges(band.temperature, TEMPERATURE), _edges(band.altitude, ALTITUDE)
    except InspectError:
        return None


def _edges(texts: Sequence[str], unit_text: str) -> Edges:
    unit = units.unit(unit_text)
    low, high = (quantity(text, unit) for text in texts)
    for text, found in zip(texts, (low, high), strict=True):
        if tuple(found.dimension) != tuple(unit.dimension) or found.quantity_kind == "difference":
            raise BadInput(f"'{ellipsize(text)}' is none;", f"write such as '-18 {unit_text}'.")
    if not low.si < high.si:
        raise BadInput(f"'{ellipsize(texts[0])}' is not below '{ellipsize(texts[1])}';",
                       "write the lower edge first.")  # fmt: skip
    return Edges(Fraction(low.si), Fraction(high.si), (texts[0], texts[1]))


def typed_edges(text: str, unit: str) -> Edges:
    """Edges as a person types them: `-29 to -18`, `0 to 2000 ft`, `600 m .. 1500 m`.

    Args:
        text: As typed.
        unit: Of edges without one: `TEMPERATURE` or `ALTITUDE`.

    Raises:
        BadInput: it is no pair of edges, in words.
    """
    example = "-29 to -18" if unit == TEMPERATURE else "0 to 600"
    parts = _BETWEEN.split(sanitize(text).strip())
    if len(parts) != 2 or not all(parts):
        raise BadInput(f"'{ellipsize(text)}' has no two edges;", f"write such as '{example}'.")
    common = parse_number.amount(parts[1]).unit or unit
    texts = []
    for part in parts:
        part = re.sub(r"(?<=\d),(?=\d)", ".", part)
        part = as_a_file_writes_it(part, units.unit(common))
        texts.append(part if parse_number.amount(part).unit else f"{part} {common}")
    return _edges(texts, unit)


def troubles(table: ChartTable) -> tuple[str, ...]:
    """What is wrong with the bands together, a sentence each: overlaps first, then gaps."""
    said = []
    bands = list(table.bands)
    for at, (temperature, altitude) in enumerate(bands):
        for other_temperature, other_altitude in bands[at + 1 :]:
            if temperature.overlaps(other_temperature) and altitude.overlaps(other_altitude):
                said.append(
                    f"{temperature.words} at {altitude.words} and {other_temperature.words} at "
                    f"{other_altitude.words} overlap."
                )
    said += _gaps(table.temperatures)
    said += _gaps(table.altitudes)
    holes = [
        f"{temperature.words} at {altitude.words}"
        for temperature in table.temperatures
        for altitude in table.altitudes
        if not any(one.overlaps(temperature) and other.overlaps(altitude) for one, other in bands)
    ]
    if holes:
        more = f" and {len(holes) - 1} more" if len(holes) > 1 else ""
        said.append(f"Nothing yet for {holes[0]}{more}.")
    return tuple(said)


def _gaps(edges: Iterable[Edges]) -> list[str]:
    said, reached = [], None
    for one in edges:
        if reached is not None and one.low > reached.high:
            said.append(f"A gap between {reached.high_words} and {one.low_words}.")
        if reached is None or one.high > reached.high:
            reached = one
    return said


__all__ = [
    "ALTITUDE", "TEMPERATURE", "ChartTable", "Edges", "chart_table", "troubles", "typed_edges",
]  # fmt: skip
