"""Crank and cylinder: piston position, timing angle, compression reading."""

from __future__ import annotations

import math

from inspect_tui.calc import atmosphere
from inspect_tui.calc import input_checks as ranges
from inspect_tui.calc.input_checks import Real, refusing
from inspect_tui.calc.registry import Calculation, Input, Outcome, Result


def _stroke_and_rod(stroke: Real, rod: Real) -> tuple[float, float]:
    """Crank radius and rod length in m."""
    travel = ranges.above("stroke", stroke, unit="m")
    link = ranges.above("rod", rod, unit="m")
    if not link * 2 > travel:
        raise ValueError(
            f"rod must be longer than half the stroke ({ranges.said(travel / 2, 'm')}); "
            f"got {ranges.said(rod, 'm')}"
        )
    return float(travel) / 2, float(link)


@refusing
def piston_position(*, stroke: Real, rod: Real, angle: Real) -> dict[str, Outcome]:
    """How far the piston stands below top dead centre at a crank angle.

    y = r + l - r cos t - sqrt(l^2 - r^2 sin^2 t), r = stroke/2.

    Inputs: stroke, m; rod l, m, centre to centre, longer than half the stroke; angle t, rad,
    before (or after) top dead centre, 0 to pi. Results: distance, m, before top dead centre.

    Valid for a wrist pin without offset. Source: Heywood ch. 2.2 (from memory). Harm: a dial gauge
    in an angled plug hole reads long: distance = reading times the cosine of the hole's angle.
    At angles under a few degrees the curve is a parabola and first-order propagation understates
    the uncertainty.

    Raises:
        ValueError: an input outside its range.
    """
    radius, link = _stroke_and_rod(stroke, rod)
    turn = float(ranges.between("angle", angle, 0, math.pi, "rad"))
    side = radius * math.sin(turn)
    # Written without differences of nearly equal lengths, so that it holds near dead centre.
    drop = 2 * radius * math.sin(turn / 2) ** 2
    return {"distance": drop + side * side / (link + math.sqrt(link * link - side * side))}


@refusing
def timing_angle(*, stroke: Real, rod: Real, distance: Real) -> dict[str, Outcome]:
    """The crank angle at which the piston stands a distance before top dead centre.

    cos t = (r^2 + h^2 - l^2)/(2 r h), h = r + l - y; r = stroke/2.

    Inputs: stroke, m; rod l, m, centre to centre; distance y, m, 0 to the stroke. Results: angle,
    rad, before top dead centre.

    Valid for a wrist pin without offset. Near 2 mm a 0.05 mm error is 0.2 to 0.3 degrees,
    closer to dead centre more; where the distance is hardly larger than its own uncertainty
    first-order propagation no longer holds.
    Source: Heywood ch. 2.2 (from memory), solved for the angle. Harm: too large an angle is too
    much advance, which holes pistons.

    Raises:
        ValueError: an input outside its range.
    """
    radius, link = _stroke_and_rod(stroke, rod)
    travel = 2 * radius
    y = float(ranges.between("distance", distance, 0, travel, "m"))
    height = radius + link - y
    # 1 - cos t = y (2 l - y)/(2 r h): the half angle keeps its digits near dead centre.
    half = y * (2 * link - y) / (4 * radius * height)
    return {"angle": 2 * math.asin(math.sqrt(min(1.0, half)))}


@refusing
def compression_at_sea_level(*, reading: Real, altitude: Real) -> dict[str, Outcome]:
    """What a compression gauge would have read at sea level.

    g0 = g p0/pa: cranking pressure, absolute, goes with the pressure of the air.

    Inputs: reading g, Pa, as the gauge shows it (above the air), 0 or more; altitude, m, where it
    was read. Results: reading, Pa, gauge, at 101.325 kPa.

    Valid from -500 m to 11000 m in standard air, throttle wide open, the same cranking speed and
    temperature. Source: ratio of absolute pressures (own derivation; no published table was found
    to check it against). Harm: corrected with too great a height a worn cylinder looks sound;
    spread between the cylinders and the trend tell more than the figure.

    Raises:
        ValueError: an input outside its range.
    """
    gauge = ranges.at_least("reading", reading, unit="Pa")
    height = atmosphere.altitude_in_range(altitude)
    ratio = atmosphere.SEA_LEVEL_PRESSURE / atmosphere.standard_pressure(height)
    return {"reading": gauge if height == 0 else float(gauge) * ratio}


_STROKE = Input("stroke", "m", "stroke of the engine", "60 mm")
_ROD = Input("rod", "m", "connecting rod, centre to centre", "120 mm")

PISTON_POSITION = Calculation(
    name="piston_position",
    subject="engine",
    title="Piston position at a crank angle",
    inputs=(
        _STROKE,
        _ROD,
        Input("angle", "rad", "crank angle before top dead centre", "20 degree"),
    ),
    results=(Result("distance", "m", "distance before top dead centre", "mm"),),
    function=piston_position,
    formula="y = r + l - r cos t - sqrt(l^2 - r^2 sin^2 t), r = stroke/2",
    source="Heywood ch. 2.2 (from memory)",
    valid="0 to 180 degrees, wrist pin without offset.",
    harm="A dial gauge in an angled plug hole reads long.",
)

TIMING_ANGLE = Calculation(
    name="timing_angle",
    subject="engine",
    title="Crank angle from piston position",
    inputs=(
        _STROKE,
        _ROD,
        Input("distance", "m", "distance before top dead centre", "2 mm"),
    ),
    results=(Result("angle", "rad", "crank angle before top dead centre", "degree"),),
    function=timing_angle,
    formula="cos t = (r^2 + h^2 - l^2)/(2 r h), h = r + l - y, r = stroke/2",
    source="Heywood ch. 2.2 (from memory), solved for the angle",
    valid="0 to the stroke, wrist pin without offset; 0.05 mm is 0.2 to 0.3 degrees near 2 mm.",
    harm="Too much advance holes pistons.",
)

COMPRESSION_AT_SEA_LEVEL = Calculation(
    name="compression_at_sea_level",
    subject="engine",
    title="Compression reading brought to sea level",
    inputs=(
        Input("reading", "Pa", "what the gauge shows", "110 psi"),
        Input("altitude", "m", "height where it was read", "1500 m"),
    ),
    results=(Result("reading", "Pa", "what it would show at sea level", "psi"),),
    function=compression_at_sea_level,
    formula="g p0/pa",
    source="ratio of absolute pressures (own derivation; no published table found)",
    valid="-500 m to 11000 m in standard air; throttle wide open, same cranking speed.",
    harm="Too great a height makes a worn cylinder look sound.",
)
