"""The one cylinder that stands apart from the others by more than chance gives.

Each cylinder's deviation from its own target is held against the others' mean, weighted by their
uncertainties. The limit is for all cylinders of a row together: 1 sound row in 100. With more than
two cylinders one is named only where the others agree among themselves (their range, at 1 %). The
median of the others was tried in place of the mean; it finds less at every size.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

CHANCE = 0.01
"""Of any claim in a sound row."""
_NOISE = 1e-9
"""Relative: on the limit is no claim, whatever the last digit of a float says."""
_RANGES = (
    3.6428, 4.1203, 4.4028, 4.6028, 4.7570, 4.8822, 4.9872, 5.0775, 5.1566, 5.2270, 5.2902,
)  # fmt: skip
"""99 % quantiles of the range of two to twelve standard normal values (studentized range, infinite
degrees of freedom; Grubbs 1969 gives the test, scipy 1.17 the figures)."""


@dataclass(frozen=True, slots=True)
class Apart:
    """Which cylinder stands apart, and by how much."""

    cylinder: int | None
    """From 0; None where they differ and none stands apart."""
    distance: float
    """From the others' mean, signed; of two from each other; else the range of all."""
    told: float
    """What can be told, in the same unit: the limit of chance for this distance."""


def claim_limit(cylinders: int) -> float:
    """In standard uncertainties: how far the furthest may lie from the others by chance."""
    if cylinders == 2:
        return NormalDist().inv_cdf(1 - CHANCE / 2)
    return NormalDist().inv_cdf(1 - CHANCE / 2 / cylinders)


def range_limit(cylinders: int) -> float:
    """In standard uncertainties: how far the others may lie apart by chance; of one nought."""
    if cylinders < 2:
        return 0.0
    return _RANGES[min(cylinders, len(_RANGES) + 1) - 2]


def stands_apart(
    deviations: Sequence[float], uncertainties: Sequence[float], divisions: Sequence[float] = ()
) -> Apart | None:
    """The claim that a row of cylinders allows; None where chance explains it.

    Args:
        deviations: Of each cylinder from its own target, one unit.
        uncertainties: Standard, of each, above 0, the same unit.
        divisions: Of each reading's gauge, where it is known: two readings within one division of
            each other may be the same value.
    """
    count = len(deviations)
    if count < 2:
        return None
    weights = [1 / u**2 for u in uncertainties]
    best, size, limit, distance = -1, 0.0, 0.0, 0.0
    for number, (deviation, u) in enumerate(zip(deviations, uncertainties, strict=True)):
        others = sum(weights) - weights[number]
        rest = [(d, w) for at, (d, w) in enumerate(zip(deviations, weights, strict=True))
                if at != number]  # fmt: skip
        mean = sum(d * w for d, w in rest) / others
        scale = math.sqrt(u**2 + 1 / others)
        z = abs(deviation - mean) / scale
        if z > size * (1 + _NOISE):
            best, size, distance, limit = number, z, deviation - mean, claim_limit(count) * scale
    if size <= claim_limit(count) * (1 + _NOISE):
        return None
    apart = max(deviations) - min(deviations)
    if divisions and apart <= max(divisions) * (1 + _NOISE):
        return None
    if count == 2:
        return Apart(best, distance, limit)
    rest_only = [d for at, d in enumerate(deviations) if at != best]
    allowed = range_limit(count - 1) * max(
        u for at, u in enumerate(uncertainties) if at != best
    )  # fmt: skip
    if max(rest_only) - min(rest_only) > allowed:
        return Apart(None, apart, limit)
    return Apart(best, distance, limit)
