"""What is uncertain about a set of readings: independent sources, each moving one or more readings.

A reading may be off by its own error (normal), by its gauge's resolution (rectangular, never shared
with another reading) and by its gauge's error, which is one source for all readings of that gauge.
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from inspect_tui.core.evaluation.uncertainty import draws


@dataclass(frozen=True, slots=True)
class ReadingError:
    """The error of one reading, in whatever unit its sizes are given in."""

    own: float = 0.0
    """Standard deviation of what differs from reading to reading."""
    half_resolution: float = 0.0
    """Half-width of the rectangle."""
    common: float = 0.0
    """Standard deviation of the gauge's error."""
    gauge: Hashable = None
    """Readings with the same one share `common`."""
    degrees_of_freedom: float = math.inf
    """Of `own`, where it was found from repeats."""


@dataclass(frozen=True, slots=True)
class Source:
    """One independent source of error."""

    kind: Literal["normal", "rectangular"]
    sizes: tuple[tuple[int, float], ...]
    """(reading, standard deviation or half-width), signed."""
    degrees_of_freedom: float = math.inf

    @property
    def deviation(self) -> float:
        """Standard deviation of the source's unit draw: 1, or that of a rectangle from -1 to 1."""
        return 1.0 if self.kind == "normal" else 1 / math.sqrt(3)


def error_sources(errors: Sequence[ReadingError]) -> tuple[Source, ...]:
    """The sources of several readings' errors, in the order of the readings.

    Where they are more than there are well-chosen columns of draws, a reading's own error and its
    resolution count as one normal source.
    """
    found = _sources(errors)
    if len(found) > draws.MAX_SOURCES:
        found = _sources([_merged(error) for error in errors])
    return found


def _sources(errors: Iterable[ReadingError]) -> tuple[Source, ...]:
    listed = list(errors)
    shared: dict[Hashable, list[tuple[int, float]]] = {}
    for number, error in enumerate(listed):
        if error.common:
            shared.setdefault(error.gauge, []).append((number, error.common))
    found: list[Source] = []
    for number, error in enumerate(listed):
        if error.own:
            found.append(Source("normal", ((number, error.own),), error.degrees_of_freedom))
        if error.half_resolution:
            found.append(Source("rectangular", ((number, error.half_resolution),)))
        if error.common and error.gauge in shared:
            found.append(Source("normal", tuple(shared.pop(error.gauge))))
    return tuple(found)


def _merged(error: ReadingError) -> ReadingError:
    own = math.hypot(error.own, error.half_resolution / math.sqrt(3))
    return ReadingError(own, 0.0, error.common, error.gauge, error.degrees_of_freedom)
