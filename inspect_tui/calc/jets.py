"""Jets: how far two differ in flow, and which one keeps the mixture when the air changes.

Two systems of numbers are in use: bore numbers (hundredths of a millimetre, flow goes with their
square) and flow numbers (flow is the number). They are never compared with each other.
"""

from __future__ import annotations

import math

from inspect_tui.calc.atmosphere import PRESSURES, TEMPERATURES
from inspect_tui.calc.input_checks import OutOfRange, Real, above, between, size
from inspect_tui.calc.registry import Input, Outcome, Refusal, Result, declare

NUMBERINGS = ("bore", "flow")

_NOISE = 1e-9
"""Relative: a jet that is a multiple of the step but for rounding of floats is that multiple."""
_JETS = above(0, 2000)
"""Numbers on jets: the bore in millimetres (1.4) to the largest flow numbers."""
_FURTHEST = 4
"""Times: two jets for one place never differ more; beyond it they are of two systems."""

_NUMBERING = Input(
    "numbering", None, "what the numbers mean: bore in 1/100 mm, or flow", "bore",
    at="bore", choices=NUMBERINGS,
)  # fmt: skip


def _flow_percent(jet_a: Real, jet_b: Real, numbering: str) -> Real:
    """Flow of jet b over that of jet a, in percent of a's."""
    ratio = jet_b / jet_a
    return (ratio * ratio - 1) * 100 if numbering == "bore" else (ratio - 1) * 100


@declare(
    subject="air and jets",
    title="Difference in flow between two jets",
    inputs=(
        Input(
            "jet_a", "", "number on the first jet", "150", _JETS, at=150.0, u=0.5, label="first jet"
        ),
        Input(
            "jet_b",
            "",
            "number on the second jet",
            "155",
            _JETS,
            at=155.0,
            u=0.5,
            label="second jet",
        ),
        _NUMBERING,
    ),
    results=(Result("percent", "percent", "flow of b over a"),),
    formula="bore: ((b/a)^2 - 1) 100; flow: (b/a - 1) 100",
    source="geometry; flow through an orifice goes with its area (Heywood, ch. 7, from memory)",
    valid="Two jets of one maker and one system of numbers; good to about 1 %.",
    harm="The wrong system of numbers halves or doubles the difference.",
    refuses=(
        Refusal({"jet_a": 0}, "jet_a must be above 0, at most 2000; got 0"),
        Refusal({"jet_b": -1}, "jet_b must be above 0"),
        Refusal({"jet_b": 1.5}, "jet_b must be within 4 times jet_a (150)"),
        Refusal({"numbering": "size"}, "numbering must be 'bore' or 'flow'; got 'size'"),
    ),
)
def jet_difference(*, jet_a: Real, jet_b: Real, numbering: str) -> dict[str, Outcome]:
    """How much more (or less) jet b flows than jet a; negative: b is leaner.

    The same coefficient of discharge is assumed.
    """
    if max(jet_a, jet_b) > _FURTHEST * min(jet_a, jet_b):
        raise OutOfRange(
            f"jet_b must be within {_FURTHEST} times jet_a ({{}}) either way, or they are not of "
            "one system of numbers; got {}",
            ("jet_a", jet_a), ("jet_b", jet_b),
        )  # fmt: skip
    return {"percent": _flow_percent(jet_a, jet_b, numbering)}


def _richer_multiple(exact: Real, step: Real) -> Real:
    """The next multiple of the step upwards; a bigger number is richer in both systems."""
    steps = exact / step
    near = round(steps)
    if size(steps - near) <= _NOISE * max(1, steps):
        return near * step
    return math.ceil(steps) * step


@declare(
    subject="air and jets",
    title="Main jet for another air",
    inputs=(
        Input("jet", "", "number of the main jet that is right in the base air", "240",
              _JETS, at=240.0),
        Input("base_temperature", "K", "temperature that the jet is right for", "-15 degC",
              TEMPERATURES, at=258.15, u=0.5),
        Input("base_pressure", "Pa", "pressure that the jet is right for", "101.3 kPa",
              PRESSURES, at=101_325.0, u=100.0),
        Input("temperature", "K", "temperature to jet for: the coldest expected", "-30 degC",
              TEMPERATURES, at=243.15, u=0.5),
        Input("pressure", "Pa", "pressure at the place to jet for", "95 kPa",
              PRESSURES, at=84_500.0, u=100.0),
        Input("numbering", None, "what the numbers mean: bore in 1/100 mm, or flow", "bore",
              at="flow", choices=NUMBERINGS),
        Input("step", "", "how far apart the numbers on sale lie", "5", between(0.001, 100),
              at=5.0),
    ),
    results=(
        Result("exact", "", "number that comes out"),
        Result("jet", "", "next richer jet: the next higher multiple of the step",
               propagates=False),
        Result("percent", "percent", "change of fuel flow that the air asks for"),
    ),
    formula=(
        "sigma = (pressure/temperature)/(base_pressure/base_temperature); flow numbers: jet "
        "sqrt(sigma); bore numbers: jet sigma^(1/4); percent = 100 (sqrt(sigma) - 1)"
    ),
    source=(
        "Heywood, Internal Combustion Engine Fundamentals, ch. 7, elementary carburettor (from "
        "memory); derivation seen at aviation.sarangan.org"
    ),
    valid=(
        "Main jet at full throttle, dry air, -60 degC to 60 degC, 30 kPa to 110 kPa; needle, "
        "pilot, exhaust and fuel stay as they are."
    ),
    harm=(
        "Lean is the dangerous side: cold, dense air burns pistons. The factory's jet chart goes "
        "first, round to the richer jet, and the plugs decide."
    ),
    refuses=(
        Refusal({"step": 0}, "step must be from 0.001 to 100; got 0"),
        Refusal({"jet": 2.4}, "step must be at most a quarter of jet"),
        Refusal({"jet": 0}, "jet must be above 0"),
        Refusal({"temperature": 0}, "temperature must be from 213.15 K"),
        Refusal({"base_pressure": 0}, "base_pressure must be from 30000 Pa"),
    ),
)  # fmt: skip
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

    The percentage is the change of fuel flow from the base jet to the exact one, in either
    numbering (negative: the air wants less). It tells how far off the base jet would be if it
    stayed in, not how far the rounded jet goes; for that use jet_difference. The pressures are
    those of the place, not reduced to sea level.
    """
    if step * 4 > jet:
        raise OutOfRange(
            "step must be at most a quarter of jet ({}); got {}", ("jet", jet / 4), ("step", step)
        )
    sigma = float(pressure / temperature) / float(base_pressure / base_temperature)
    power = 0.5 if numbering == "flow" else 0.25
    exact: Real = jet if sigma == 1 else float(jet) * sigma**power
    return {
        "exact": exact,
        "jet": _richer_multiple(exact, step),
        "percent": (math.sqrt(sigma) - 1) * 100,
    }
