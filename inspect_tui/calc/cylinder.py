"""The cylinder: compression, its ratio, and the ring in a worn bore."""

from __future__ import annotations

import math

from inspect_tui.calc import atmosphere
from inspect_tui.calc.crank import STROKE
from inspect_tui.calc.input_checks import OutOfRange, Real, between
from inspect_tui.calc.registry import Input, Outcome, Refusal, Result, declare


@declare(
    subject="engine",
    title="Compression reading brought to sea level",
    inputs=(
        Input("reading", "Pa", "what the gauge shows, above the air", "110 psi",
              between(0, 5_000_000), at=760_000.0, u=7000.0),
        Input("altitude", "m", "height where it was read", "1500 m",
              atmosphere.ALTITUDES, at=1500.0, u=10.0),
    ),
    results=(Result("reading", "Pa", "what it would show at sea level (101.325 kPa)", "psi",
               sane=between(0, 8_000_000)),),
    formula="g p0/pa: cranking pressure, absolute, goes with the pressure of the air",
    source="ratio of absolute pressures (own derivation; no published table found)",
    valid=(
        "-500 m to 11000 m in standard air; throttle wide open, same cranking speed and "
        "temperature. Spread between cylinders and the trend tell more than the figure."
    ),
    harm="Too great a height makes a worn cylinder look sound.",
    refuses=(
        Refusal({"reading": -1}, "reading must be from 0 Pa"),
        Refusal({"altitude": 12_000}, "altitude must be from -500 m"),
    ),
)  # fmt: skip
def compression_at_sea_level(*, reading: Real, altitude: Real) -> dict[str, Outcome]:
    """What a compression gauge would have read at sea level."""
    ratio = atmosphere.SEA_LEVEL_PRESSURE / atmosphere.standard_pressure(altitude)
    return {"reading": reading if altitude == 0 else float(reading) * ratio}


@declare(
    subject="engine",
    title="Compression ratio from volumes",
    inputs=(
        Input("bore", "m", "diameter of the bore", "65 mm", between(0.01, 0.2), at=0.065, u=1e-5),
        STROKE,
        Input("chamber", "m**3", "volume left at top dead centre, of one cylinder", "30 mL",
              between(1e-7, 0.002), at=0.000_03, u=0.000_000_3),
        Input("trapped_stroke", "m", "stroke from where the exhaust port is shut; the whole one "
              "unless given", "32 mm", between(0.001, 0.3), at=0.032, u=0.0002, optional=True),
    ),
    results=(
        Result("ratio", "", "volume over the piston, at its start over at its end",
               sane=between(1, 40)),
        Result("swept", "m**3", "volume that the whole stroke sweeps, of one cylinder", "mL"),
    ),
    formula="(pi/4 bore^2 trapped_stroke + chamber)/chamber; swept = pi/4 bore^2 stroke",
    source="definition (Heywood ch. 2.2, from memory)",
    valid=(
        "Chamber measured with the plug in, to its end. Over the whole stroke it is the geometric "
        "ratio, over the trapped one the corrected: never compare the two."
    ),
    harm="Too high a ratio knocks holes into pistons on ordinary fuel.",
    refuses=(
        Refusal({"chamber": 30}, "chamber must be from 1e-07 m**3"),
        Refusal({"chamber": 0.000_001}, "above the 40 that any machine has"),
        Refusal({"trapped_stroke": 0.07}, "trapped_stroke must be at most the stroke (0.064 m)"),
        Refusal({"bore": 0}, "bore must be from 0.01 m"),
    ),
)  # fmt: skip
def compression_ratio(
    *, bore: Real, stroke: Real, chamber: Real, trapped_stroke: Real | None = None
) -> dict[str, Outcome]:
    """Compression ratio and swept volume of one cylinder."""
    trapped = stroke if trapped_stroke is None else trapped_stroke
    if trapped > stroke:
        raise OutOfRange(
            "trapped_stroke must be at most the stroke ({}); got {}",
            ("stroke", stroke), ("trapped_stroke", trapped),
        )  # fmt: skip
    area = math.pi / 4 * float(bore) ** 2
    return {"ratio": area * float(trapped / chamber) + 1, "swept": area * float(stroke)}


@declare(
    subject="engine",
    title="Ring gap in a worn bore",
    inputs=(
        Input("gap", "m", "end gap in the unworn bore", "0.3 mm", between(0, 0.01),
              at=0.0003, u=0.00002),
        Input("bore_wear", "m", "how much wider the bore is, on diameter", "0.05 mm",
              between(-0.001, 0.002), at=0.00005, u=0.000005),
    ),
    results=(Result("gap", "m", "end gap where the bore is worn so far", "mm",
                    sane=between(0, 0.02)),),
    formula="gap + pi bore_wear",
    source="geometry: the bore's circumference grows by pi times its diameter",
    valid="A ring that fills the bore all round; wear of the ring's own face adds to it.",
    harm="A gap measured at the unworn top hides what the ring has where it works.",
    refuses=(
        Refusal({"gap": 0.3}, "gap must be from 0 m to 0.01 m; got 0.3 m"),
        Refusal({"bore_wear": 0.05}, "bore_wear must be from -0.001 m"),
        Refusal({"bore_wear": -0.0005}, "below the 0 m that any machine has"),
    ),
)  # fmt: skip
def ring_gap(*, gap: Real, bore_wear: Real) -> dict[str, Outcome]:
    """The end gap of a ring where the bore is worn, from its gap where it is not.

    A negative wear is a narrower bore: from the worn place to the unworn one.
    """
    return {"gap": gap if bore_wear == 0 else float(gap) + math.pi * float(bore_wear)}
