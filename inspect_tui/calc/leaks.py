"""Leaks: pressure that a closed crankcase loses, and a cylinder on a leak-down tester."""

from __future__ import annotations

import math
from fractions import Fraction

from inspect_tui.calc.atmosphere import PRESSURES, TEMPERATURES
from inspect_tui.calc.input_checks import OutOfRange, Real, above, between
from inspect_tui.calc.registry import Input, Outcome, Refusal, Result, declare

_ROOM = Fraction(29315, 100)
"""K, 20 degC."""
_AIR = 101_325
"""Pa."""
_RISE = Fraction(1, 5)
"""Of the test pressure: a closed space that gained more was read the wrong way round."""


@declare(
    subject="engine",
    title="Pressure that a closed space loses",
    inputs=(
        Input("start", "Pa", "gauge pressure at the start; below 0 a vacuum", "40 kPa",
              between(-100_000, 1_000_000), at=40_000.0, u=250.0),
        Input("end", "Pa", "gauge pressure at the end", "38 kPa",
              between(-100_000, 1_000_000), at=36_000.0, u=250.0),
        Input("time", "s", "from start to end", "6 min", between(1, 1_000_000), at=360.0, u=2.0),
        Input("ambient", "Pa", "pressure of the air", "101.325 kPa", PRESSURES,
              at=_AIR, optional=True, default=_AIR),
        Input("temperature_start", "K", "of the space at the start", "20 degC", TEMPERATURES,
              at=293.15, u=0.2, optional=True, default=_ROOM),
        Input("temperature_end", "K", "of the space at the end", "19 degC", TEMPERATURES,
              at=292.65, u=0.2, optional=True, default=_ROOM),
    ),
    results=(
        Result("rate", "Pa/s", "fall over time", "kPa/min"),
        Result("fall", "Pa", "fall without what the temperature did", "kPa"),
    ),
    formula="fall = (start + ambient) T_end/T_start - (end + ambient); rate = fall/time",
    source="ideal gas in a closed volume; pressure-change leak testing (common practice)",
    valid=(
        "A volume that keeps its size, air as an ideal gas, ambient the same throughout. One "
        "degree is 0.34 % of the absolute pressure: 0.5 kPa at 40 kPa of test pressure."
    ),
    harm="A space that warms up during the test hides its leak; a blank that leaks fakes one.",
    refuses=(
        Refusal({"end": 50_000}, "end must not be above start"),
        Refusal({"time": 0}, "time must be from 1 s"),
        Refusal({"ambient": 0}, "ambient must be from 30000 Pa"),
        Refusal({"start": -90_000, "ambient": 80_000}, "start must be above a perfect vacuum"),
        Refusal({"temperature_end": 19}, "temperature_end must be from 213.15 K"),
    ),
)  # fmt: skip
def pressure_decay(
    *,
    start: Real,
    end: Real,
    time: Real,
    ambient: Real = _AIR,
    temperature_start: Real = _ROOM,
    temperature_end: Real = _ROOM,
) -> dict[str, Outcome]:
    """How fast a closed space loses pressure, the gas law's share of the temperature taken out.

    Negative: it gained pressure, as a vacuum does that leaks.
    """
    if start + ambient <= 0 or end + ambient <= 0:
        name, value = ("start", start) if start + ambient <= 0 else ("end", end)
        raise OutOfRange(
            f"{name} must be above a perfect vacuum ({{}} below the air); got {{}}",
            (name, ambient), (name, value),
        )  # fmt: skip
    fall = (start + ambient) * temperature_end / temperature_start - (end + ambient)
    if start > 0 and -fall > _RISE * start:
        raise OutOfRange(
            "end must not be above start by more than the temperature explains: a closed space "
            "gains nothing; got {} after {}",
            ("end", end), ("start", start),
        )  # fmt: skip
    return {"rate": fall / time, "fall": fall}


_ORIFICE = Fraction(1016, 1_000_000)
"""m, 0.040 in."""
_CHOKED = (2 / 2.4) ** 3.5
"""0.5283: pressure ratio from which on air flows at its own speed of sound."""


def _flow(upstream: float, ratio: float) -> float:
    """What flows through a hole of unit area, but for a factor that is the same for both holes.

    p0 sqrt(r^(2/k) - r^((k+1)/k)), k = 1.4, r = p/p0, held at its greatest from 0.5283 down
    (isentropic flow of an ideal gas; NACA Report 1135, equations of one-dimensional flow).
    """
    r = max(ratio, _CHOKED)
    # r^(2/k) (1 - r^((k-1)/k)), the difference taken by its logarithm: it holds for small drops.
    return upstream * math.sqrt(r ** (2 / 1.4) * -math.expm1(math.log(r) * 0.4 / 1.4))


@declare(
    subject="engine",
    title="Leak-down of a cylinder",
    inputs=(
        Input("supply", "Pa", "regulated pressure before the orifice", "80 psi",
              above(0, 2_000_000), at=550_000.0, u=3000.0),
        Input("held", "Pa", "pressure that the cylinder holds behind it", "70 psi",
              above(0, 2_000_000), at=480_000.0, u=3000.0),
        Input("orifice", "m", "diameter of the tester's orifice", "0.040 in",
              between(0.0001, 0.01), at=0.001016, optional=True, default=_ORIFICE),
        Input("ambient", "Pa", "pressure of the air", "101.325 kPa",
              PRESSURES, at=101_325.0, u=200.0, optional=True, default=_AIR),
    ),
    results=(
        Result("percent", "percent", "loss, of the supply's gauge pressure"),
        Result("hole", "m", "diameter of one round hole that would leak as much", "mm",
               sane=between(0, 0.05)),
    ),
    formula=(
        "percent = (supply - held)/supply 100; hole = orifice sqrt(flow(supply, held)/flow(held, "
        "ambient)), flow = p0 sqrt(r^(2/k) - r^((k+1)/k)), k = 1.4, r not below 0.5283"
    ),
    source="FAA AC 43.13-1B (0.040 in orifice, 80 psi); NACA Report 1135 for the flow",
    valid=(
        "Piston held near the top, ports shut; air as an ideal gas, both holes with the same "
        "coefficient of discharge, the same temperature before both."
    ),
    harm="Testers differ in their orifice: a percentage means nothing beside another tester's.",
    refuses=(
        Refusal({"held": 600_000}, "held must be at most the supply (550000 Pa); got 600000 Pa"),
        Refusal({"held": 0}, "held must be above 0 Pa"),
        Refusal({"supply": 80_000_000}, "supply must be above 0 Pa, at most 2000000 Pa"),
        Refusal({"orifice": 0.04}, "orifice must be from 0.0001 m"),
        Refusal({"ambient": 0}, "ambient must be from 30000 Pa"),
        Refusal({"held": 0.001}, "above the 0.05 m that any machine has"),
    ),
)  # fmt: skip
def leak_down(
    *,
    supply: Real,
    held: Real,
    orifice: Real = _ORIFICE,
    ambient: Real = _AIR,
) -> dict[str, Outcome]:
    """What a leak-down tester's two gauges say: the loss, and the size of the leak.

    Close to a tight cylinder the hole goes with the root of the loss and first-order propagation
    falls short.
    """
    if held > supply:
        raise OutOfRange(
            "held must be at most the supply ({}); got {}", ("supply", supply), ("held", held)
        )
    before, behind = float(supply + ambient), float(held + ambient)
    into = _flow(before, behind / before)
    out = _flow(behind, float(ambient) / behind)
    return {
        "percent": (supply - held) / supply * 100,
        "hole": float(orifice) * math.sqrt(into / out),
    }
