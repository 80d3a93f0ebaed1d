"""Jets: how far two differ in flow, and which one keeps the mixture when the air changes.

Two systems of numbers are in use: bore numbers (hundredths of a millimetre, flow goes with their
square) and flow numbers (flow is the number). They are never compared with each other.
"""

from __future__ import annotations

import math

from inspect_tui.calc import atmosphere
from inspect_tui.calc import input_checks as ranges
from inspect_tui.calc.input_checks import Real, refusing
from inspect_tui.calc.registry import Calculation, Input, Outcome, Result

NUMBERINGS = ("bore", "flow")

_NOISE = 1e-9
"""Relative: a jet that is a multiple of the step but for rounding of floats is that multiple."""


def _flow_percent(jet_a: Real, jet_b: Real, numbering: str) -> Real:
    """Flow of jet b over that of jet a, in percent of a's."""
    ratio = jet_b / jet_a
    return (ratio * ratio - 1) * 100 if numbering == "bore" else (ratio - 1) * 100


@refusing
def jet_difference(*, jet_a: Real, jet_b: Real, numbering: str) -> dict[str, Outcome]:
    """How much more (or less) jet b flows than jet a.

    By bore numbers percent = ((b/a)^2 - 1) 100; by flow numbers percent = (b/a - 1) 100.

    Inputs: jet_a, jet_b, the numbers stamped on them, plain; numbering, `bore` or `flow`. Results:
    percent, the flow of b over a (negative: b is leaner).

    Valid for two jets of one maker and one system of numbers; the same coefficient of discharge
    is assumed, so report it to 1 % only. Source: geometry; flow through an orifice goes with its
    area (Heywood, ch. 7, from memory). Harm: the wrong system halves or doubles the percentage.

    Raises:
        ValueError: a jet that is not above 0, or another word for the numbering.
    """
    first = ranges.above("jet_a", jet_a)
    second = ranges.above("jet_b", jet_b)
    ranges.word("numbering", numbering, NUMBERINGS)
    return {"percent": _flow_percent(first, second, numbering)}


def _richer_multiple(exact: Real, step: Real) -> Real:
    """The next multiple of the step upwards; a bigger number is richer in both systems."""
    steps = exact / step
    near = round(steps)
    if ranges.size(steps - near) <= _NOISE * max(1, steps):
        return near * step
    return math.ceil(steps) * step


@refusing
def jet_for_air(
    *,
    jet: Real,
    base_temperature: Real,
    base_pressure: Real,
    temperature: Real,
    pressure: Real,
    numbering: str,
    step: Real,
) -> dict[str, Outcome]:
    """The main jet that keeps the mixture when the air's density changes.

    sigma = (pressure/temperature)/(base_pressure/base_temperature); the flow area goes with
    sqrt(sigma), so exact = jet sqrt(sigma) by flow numbers and jet sigma^(1/4) by bore numbers.

    Inputs: jet, the number that is right for the base air; base_temperature and temperature, K;
    base_pressure and pressure, Pa, at the place (not reduced to sea level); numbering, `bore` or
    `flow`; step, how far apart the numbers on sale lie. Results: exact, the number that comes out;
    jet, the next richer (higher) multiple of the step; percent, the change of fuel flow that the
    air asks for, from the base jet to the exact one: 100 (sqrt(sigma) - 1) in either numbering
    (negative: the air wants less). It tells how far off the base jet would be if it stayed in, not
    how far the rounded jet goes; for that use jet_difference.

    Valid for the main jet at wide-open throttle, dry air, -60 degC to 60 degC, 30 kPa to 110 kPa.
    Constant coefficient of discharge; needle and pilot circuits, exhaust and fuel are not
    considered. Source: Heywood, Internal Combustion Engine Fundamentals, ch. 7, elementary
    carburettor (from memory); derivation seen at aviation.sarangan.org. Harm: the lean side (cold,
    dense air, low ground) burns pistons; the factory's jet chart goes first, the number is rounded
    to the richer jet, and the plugs decide.

    Raises:
        ValueError: an input outside its range.
    """
    base = ranges.above("jet", jet)
    size = ranges.above("step", step)
    ranges.word("numbering", numbering, NUMBERINGS)
    cold, here = (
        ranges.temperature("base_temperature", base_temperature),
        ranges.temperature("temperature", temperature),
    )
    low, high = atmosphere.LOWEST_PRESSURE, atmosphere.HIGHEST_PRESSURE
    before = ranges.between("base_pressure", base_pressure, low, high, "Pa")
    now = ranges.between("pressure", pressure, low, high, "Pa")
    if base > 100_000 * size:
        raise ValueError(
            f"step must be at least a 100000th of jet; got {ranges.said(step)} "
            f"for a jet of {ranges.said(jet)}"
        )
    sigma = float(now / here) / float(before / cold)
    power = 0.5 if numbering == "flow" else 0.25
    exact: Real = base if sigma == 1 else float(base) * sigma**power
    return {
        "exact": exact,
        "jet": _richer_multiple(exact, size),
        "percent": (math.sqrt(sigma) - 1) * 100,
    }


_NUMBERING = Input(
    "numbering",
    None,
    "what the numbers mean: bore in 1/100 mm, or flow",
    "bore",
    choices=NUMBERINGS,
)

JET_DIFFERENCE = Calculation(
    name="jet_difference",
    subject="air and jets",
    title="Difference in flow between two jets",
    inputs=(
        Input("jet_a", "", "number on the first jet", "150"),
        Input("jet_b", "", "number on the second jet", "155"),
        _NUMBERING,
    ),
    results=(Result("percent", "percent", "flow of b over a"),),
    function=jet_difference,
    formula="bore: ((b/a)^2 - 1) 100; flow: (b/a - 1) 100",
    source="geometry; orifice flow (Heywood, ch. 7, from memory)",
    valid="Two jets of one maker and one system of numbers; good to about 1 %.",
    harm="The wrong system of numbers halves or doubles the difference.",
)

JET_FOR_AIR = Calculation(
    name="jet_for_air",
    subject="air and jets",
    title="Main jet for another air",
    inputs=(
        Input("jet", "", "number of the main jet that is right in the base air", "240"),
        Input("base_temperature", "K", "temperature that the jet is right for", "-15 degC"),
        Input("base_pressure", "Pa", "pressure that the jet is right for", "101.3 kPa"),
        Input("temperature", "K", "temperature to jet for: the coldest expected", "-30 degC"),
        Input("pressure", "Pa", "pressure at the place to jet for", "95 kPa"),
        _NUMBERING,
        Input("step", "", "how far apart the numbers on sale lie", "5"),
    ),
    results=(
        Result("exact", "", "number that comes out"),
        Result("jet", "", "next richer jet"),
        Result("percent", "percent", "change of fuel flow that the air asks for"),
    ),
    function=jet_for_air,
    formula="sigma = density/base density; flow: jet sqrt(sigma); bore: jet sigma^(1/4)",
    source="Heywood, ch. 7, elementary carburettor (from memory); aviation.sarangan.org",
    valid=(
        "Main jet at full throttle, dry air, -60 degC to 60 degC, 30 kPa to 110 kPa; needle, "
        "pilot, exhaust and fuel stay as they are."
    ),
    harm=(
        "Lean is the dangerous side: cold, dense air burns pistons. The factory's jet chart goes "
        "first, round to the richer jet, and the plugs decide."
    ),
)
