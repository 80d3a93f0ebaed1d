"""The factory's jet chart: the band for the air to be ridden in, and its neighbours near an edge.

A chart is a set of bands of temperature and altitude (the lower edge belongs to the band). Rich is
the safe side: where the forecast lies near an edge, the colder or lower neighbour is named too.
Lean is the dangerous side of a two-stroke; plugs decide.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from inspect_tui.core.definitions.spec_values import parsed_figure, words_of, written
from inspect_tui.core.expressions.values import Missing, Value
from inspect_tui.core.model.machine import JetBand, Machine
from inspect_tui.core.presentation.figures import format_reading
from inspect_tui.core.quantities import units
from inspect_tui.core.readings import parse as readings
from inspect_tui.core.text.formatting import format_value
from inspect_tui.errors import InspectError

NEAR_KELVIN = Fraction(3)
"""How near an edge in temperature a forecast makes the neighbour worth a look (common practice)."""
NEAR_METRES = Fraction(100)
"""The same in altitude (common practice)."""


@dataclass(frozen=True, slots=True)
class Band:
    """One band of the chart, its edges in coherent SI."""

    coldest: Fraction
    """K, included."""
    warmest: Fraction
    """K, not included."""
    lowest: Fraction
    """m, included."""
    highest: Fraction
    """m, not included."""
    settings: Mapping[str, Value]
    text: str
    """As the sheet writes it: `-25 °C to -10 °C, 0 m to 600 m`."""

    def holds(self, temperature: Fraction, altitude: Fraction) -> bool:
        """Whether this air lies in the band."""
        return self.coldest <= temperature < self.warmest and self.lowest <= altitude < self.highest


@dataclass(frozen=True, slots=True)
class ChartLookup:
    """What the chart says for one air."""

    band: Band
    neighbours: tuple[Band, ...] = ()
    """Bands within 3 K or 100 m of this air, the richer side first as far as the sheet orders."""


def bands(machine: Machine) -> tuple[Band, ...]:
    """The chart's bands; one that can't be read is left out (`check` has said why)."""
    found = []
    for band in machine.jet_chart:
        made = _band(band, machine)
        if made is not None:
            found.append(made)
    return tuple(found)


def has_bands(machine: Machine) -> bool:
    """Whether the sheet has a chart: one band at least that can be read."""
    return any(_limits(band) is not None for band in machine.jet_chart)


def _limits(band: JetBand) -> tuple[Fraction, Fraction, Fraction, Fraction] | None:
    """Its edges, temperature and then altitude; None where they can't be read."""
    try:
        cold, warm = (_number(edge, "degC") for edge in band.temperature)
        low, high = (_number(edge, "m") for edge in band.altitude)
    except InspectError:
        return None
    return cold, warm, low, high


def _band(band: JetBand, machine: Machine) -> Band | None:
    limits = _limits(band)
    if limits is None:
        return None
    settings = {}
    for name, figure in band.settings.items():
        # What the sheet has as words is one here too: `6K` is a needle, and no temperature.
        value = words_of(figure) if name in machine.spec_text else parsed_figure(figure)
        if value is not None:
            settings[written(name)] = value
    text = f"{_edges(band.temperature, 'degC')}, {_edges(band.altitude, 'm')}"
    return Band(*limits, settings, text)


def _edges(texts: Iterable[str], unit: str) -> str:
    """Both edges as the sheet writes them, converted in brackets where that is in another unit."""
    wanted = units.unit(unit)
    numbers = ((text, units.number_in(readings.quantity(text, wanted), wanted)) for text in texts)
    return " to ".join(format_reading(text, number, unit) for text, number in numbers)


def _number(text: str, unit: str) -> Fraction:
    wanted = units.unit(unit)
    quantity = readings.quantity(text, wanted)
    units.number_in(quantity, wanted)
    return Fraction(quantity.si)


def look_up(
    chart: tuple[Band, ...], temperature: Fraction | float, altitude: Fraction | float
) -> ChartLookup | Missing:
    """The band for this air.

    Args:
        chart: The machine's bands.
        temperature: K.
        altitude: m.

    Returns:
        The band and its neighbours, or why there is none.
    """
    if not chart:
        return Missing("the sheet has no jet chart", measured=True)
    warm, high = Fraction(temperature), Fraction(altitude)
    here = [band for band in chart if band.holds(warm, high)]
    if not here:
        celsius = format_value(warm - Fraction("273.15"), "degC", digits=3)
        return Missing(
            f"the jet chart has no band for {celsius} at {format_value(high, 'm', digits=3)}",
            measured=True,
        )
    band = here[0]
    near: list[Band] = []
    for warmer in (-NEAR_KELVIN, Fraction(0), NEAR_KELVIN):
        for higher in (-NEAR_METRES, Fraction(0), NEAR_METRES):
            for other in chart:
                within = other.holds(warm + warmer, high + higher)
                if within and other is not band and other not in near:
                    near.append(other)
    return ChartLookup(band, tuple(near))
