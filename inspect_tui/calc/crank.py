"""The slider-crank: piston position, timing angle, port timing."""

from __future__ import annotations

import math

from inspect_tui.calc.input_checks import OutOfRange, Real, above, between
from inspect_tui.calc.registry import Input, Outcome, Refusal, Result, declare

STROKES = between(0.01, 0.3)
"""m."""
STROKE = Input("stroke", "m", "stroke of the engine", "60 mm", STROKES, at=0.064)
_ROD = Input("rod", "m", "connecting rod, centre to centre", "120 mm", above(0, 1), at=0.125)
_ROD_REFUSAL = Refusal({"rod": 0.04}, "rod must be from 0.75 to 5 times the stroke (0.064 m)")
_HEYWOOD = "Heywood ch. 2.2 (from memory)"


def _radius_and_rod(stroke: Real, rod: Real) -> tuple[float, float]:
    """Crank radius and rod length in m."""
    if not 3 * stroke <= 4 * rod or not rod <= 5 * stroke:
        raise OutOfRange(
            "rod must be from 0.75 to 5 times the stroke ({}); got {}",
            ("stroke", stroke), ("rod", rod),
        )  # fmt: skip
    return float(stroke) / 2, float(rod)


def _angle(radius: float, link: float, distance: float) -> float:
    """The crank angle in rad at which the piston stands so far below top dead centre.

    1 - cos t = y (2 l - y)/(2 r h): the half angle keeps its digits near dead centre.
    """
    half = distance * (2 * link - distance) / (4 * radius * (radius + link - distance))
    return 2 * math.asin(math.sqrt(min(1.0, half)))


@declare(
    subject="engine",
    title="Piston position at a crank angle",
    inputs=(
        STROKE,
        _ROD,
        Input("angle", "rad", "crank angle before (or after) top dead centre", "20 degree",
              between(0, math.pi), at=0.3, u=0.005),
    ),
    results=(Result("distance", "m", "distance before top dead centre", "mm"),),
    formula="y = r + l - r cos t - sqrt(l^2 - r^2 sin^2 t), r = stroke/2",
    source=_HEYWOOD,
    valid="0 to 180 degrees, wrist pin without offset.",
    harm="A dial gauge in an angled plug hole reads long: timing_angle takes its tilt.",
    refuses=(
        _ROD_REFUSAL,
        Refusal({"angle": 20}, "angle must be from 0 rad to"),
    ),
)  # fmt: skip
def piston_position(*, stroke: Real, rod: Real, angle: Real) -> dict[str, Outcome]:
    """How far the piston stands below top dead centre at a crank angle.

    At angles under a few degrees the curve is a parabola and first-order propagation understates
    the uncertainty.
    """
    radius, link = _radius_and_rod(stroke, rod)
    turn = float(angle)
    side = radius * math.sin(turn)
    # Written without differences of nearly equal lengths, so that it holds near dead centre.
    drop = 2 * radius * math.sin(turn / 2) ** 2
    return {"distance": drop + side * side / (link + math.sqrt(link * link - side * side))}


@declare(
    subject="engine",
    title="Crank angle from piston position",
    inputs=(
        STROKE,
        _ROD,
        Input("distance", "m", "what the gauge shows, from top dead centre", "2 mm",
              between(0, 0.6), at=0.002, u=0.00003),
        Input("tilt", "rad", "of the gauge in the plug hole against the bore", "20 degree",
              between(0, math.pi / 3), at=0.2, u=0.02, optional=True, default=0),
    ),
    results=(Result("angle", "rad", "crank angle before top dead centre", "degree"),),
    formula="cos t = (r^2 + h^2 - l^2)/(2 r h), h = r + l - y, y = distance cos(tilt)",
    source=f"{_HEYWOOD}, solved for the angle",
    valid=(
        "Piston movement from 0 to the stroke, wrist pin without offset; near 2 mm an error of "
        "0.05 mm is 0.2 to 0.3 degrees, closer to dead centre more. Tilt up to 60 degrees."
    ),
    harm="Too much advance holes pistons; a tilted gauge reads long, so more than there is.",
    refuses=(
        _ROD_REFUSAL,
        Refusal({"distance": 0.07}, "distance must be at most"),
        Refusal({"distance": -0.001}, "distance must be from 0 m"),
        Refusal({"stroke": 0}, "stroke must be from 0.01 m"),
        Refusal({"tilt": 20}, "tilt must be from 0 rad to"),
    ),
)  # fmt: skip
def timing_angle(*, stroke: Real, rod: Real, distance: Real, tilt: Real = 0) -> dict[str, Outcome]:
    """The crank angle at which the piston stands a distance before top dead centre.

    Where the distance is hardly larger than its own uncertainty first-order propagation no longer
    holds.
    """
    radius, link = _radius_and_rod(stroke, rod)
    lean = math.cos(tilt)
    moved = float(distance) * lean
    if moved > 2 * radius * (1 + 1e-12):
        raise OutOfRange(
            "distance must be at most {}, where the piston has gone its stroke; got {}",
            ("distance", 2 * radius / lean), ("distance", distance),
        )  # fmt: skip
    return {"angle": _angle(radius, link, min(moved, 2 * radius))}


@declare(
    subject="engine",
    title="How long a port is open",
    inputs=(
        STROKE,
        _ROD,
        Input("depth", "m", "port's upper edge below the crown at top dead centre", "30 mm",
              above(0, 0.3), at=0.03, u=0.0002),
    ),
    results=(Result("duration", "rad", "crank angle over which it is open", "degree"),),
    formula="2 pi - 2 t, t the crank angle at which the piston has gone the depth",
    source=f"{_HEYWOOD}, the slider-crank solved for the angle",
    valid="A port that the crown opens (exhaust, transfer), depth up to the stroke; no pin offset.",
    harm="Raised ports move the power up and take it from where the clutch engages.",
    refuses=(
        _ROD_REFUSAL,
        Refusal({"depth": 0.07}, "depth must be at most the stroke (0.064 m); got 0.07 m"),
        Refusal({"depth": 0}, "depth must be above 0 m"),
    ),
)  # fmt: skip
def port_timing(*, stroke: Real, rod: Real, depth: Real) -> dict[str, Outcome]:
    """Over how much of a turn the crown leaves a port open, from where its upper edge lies."""
    radius, link = _radius_and_rod(stroke, rod)
    if depth > stroke:
        raise OutOfRange(
            "depth must be at most the stroke ({}); got {}", ("stroke", stroke), ("depth", depth)
        )
    return {"duration": 2 * math.pi - 2 * _angle(radius, link, float(depth))}
