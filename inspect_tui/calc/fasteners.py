"""Bolts: torque through an extension, torque for a preload, proof load."""

from __future__ import annotations

import math
from fractions import Fraction

from inspect_tui.calc.input_checks import OutOfRange, Real, above, between
from inspect_tui.calc.registry import Input, Outcome, Refusal, Result, declare

PROOF_STRESS = {
    "4.6": 225,
    "4.8": 310,
    "5.6": 280,
    "5.8": 380,
    "6.8": 440,
    "8.8": 580,
    "9.8": 650,
    "10.9": 830,
    "12.9": 970,
}
"""Stress under proof load in MPa by property class, ISO 898-1:2013 table 3 (seen at nfgab.se).
Class 8.8 is 600 above 16 mm; class 9.8 is made up to 16 mm only."""

THICK = Fraction(16_001, 1_000_000)
"""m; just above M16, where class 8.8 changes and 9.8 ends."""


_STRONGEST = 1500
"""MPa: no bolt carries more over its nominal section."""


@declare(
    subject="fasteners",
    title="Torque wrench setting with an extension",
    inputs=(
        Input("torque", "N*m", "torque wanted at the bolt", "60 N*m", between(0, 2000), at=60.0),
        Input("wrench", "m", "middle of the grip to the square drive", "400 mm",
              between(0.05, 2), at=0.4, u=0.005),
        Input("extension", "m", "square drive to the bolt", "50 mm",
              between(0, 1), at=0.05, u=0.001),
        Input("angle", "rad", "extension against the wrench; 0 is straight out, 90 degree square "
              "to it", "45 degree", between(-math.pi, math.pi), at=0.7, u=0.03,
              optional=True, default=0),
    ),
    results=(Result("setting", "N*m", "what to set the wrench to", sane=between(0, 3000)),),
    formula="T L/(L + E cos a)",
    source="US Army TM 9-254; engineersedge.com; statics",
    valid=(
        "A hand pull at the middle of the grip; at 90 degrees, and along the bolt (a socket bar), "
        "the extension changes nothing. Turned back it may take up to two thirds of the wrench."
    ),
    harm="Without the correction the bolt gets more than was asked for.",
    refuses=(
        Refusal({"wrench": 0}, "wrench must be from 0.05 m"),
        Refusal({"angle": math.pi, "extension": 0.39}, "extension must not reach back to the hand"),
        Refusal({"angle": math.pi, "extension": 0.8}, "extension must not reach back to the hand"),
        Refusal({"angle": 90}, "angle must be from"),
        Refusal({"extension": 0.9}, "extension must be at most twice the wrench (0.8 m)"),
    ),
)  # fmt: skip
def torque_with_extension(
    *, torque: Real, wrench: Real, extension: Real, angle: Real = 0
) -> dict[str, Outcome]:
    """What to set a torque wrench to when a crowfoot lengthens it."""
    if extension > 2 * wrench:
        raise OutOfRange(
            "extension must be at most twice the wrench ({}); got {}",
            ("wrench", 2 * wrench), ("extension", extension),
        )  # fmt: skip
    along: Real = extension if angle == 0 else float(extension) * math.cos(angle)
    lever = wrench + along
    # Where less is left, a hand's breadth on the grip changes the torque by more than the wrench
    # itself is off.
    if lever * 3 < wrench * (1 - Fraction(1, 10**9)):
        raise OutOfRange(
            "extension must not reach back to the hand (a third of the wrench, {}, has to be left "
            "as the lever at this angle); got {}",
            ("wrench", wrench / 3), ("extension", extension),
        )  # fmt: skip
    return {"setting": torque * wrench / lever}


@declare(
    subject="fasteners",
    title="Torque for a preload",
    inputs=(
        Input("force", "N", "preload", "16 kN", between(0, 3_000_000), at=15_900.0, u=500.0),
        Input("diameter", "m", "nominal diameter of the thread", "8 mm",
              between(0.001, 0.064), at=0.008),
        Input("nut_factor", "", "0.2 dry, 0.15 oiled", "0.2", between(0.03, 1), at=0.2, u=0.02),
    ),
    results=(Result("torque", "N*m", "torque at the bolt", sane=between(0, 20_000)),),
    formula="T = K F d",
    source="Shigley ch. 8-15 (from memory)",
    valid=(
        "Plausibility only: preload scatters by 25 to 35 %; the machine's own torque goes first, "
        "and threads in aluminium or magnesium fail before the bolt. Threads of 1 to 64 mm."
    ),
    harm="A dry factor on an oiled thread overloads the bolt by a third.",
    refuses=(
        Refusal({"nut_factor": 20}, "nut_factor must be from 0.03 to 1; got 20"),
        Refusal({"diameter": 0.1}, "diameter must be from 0.001 m to 0.064 m; got 0.1 m"),
        Refusal({"force": 160_000}, "force must be at most"),
    ),
    thin="a rule of thumb with 25 to 35 % scatter",
)  # fmt: skip
def tightening_torque(*, force: Real, diameter: Real, nut_factor: Real) -> dict[str, Outcome]:
    """Torque that gives a bolt a preload, roughly."""
    most = _STRONGEST * 1e6 * math.pi / 4 * float(diameter) ** 2
    if force > most:
        raise OutOfRange(
            "force must be at most {}, which tears any bolt of diameter {}; got {}",
            ("force", most), ("diameter", diameter), ("force", force),
        )  # fmt: skip
    return {"torque": nut_factor * force * diameter}


@declare(
    subject="fasteners",
    title="Stress area and proof load of a metric bolt",
    inputs=(
        Input("diameter", "m", "nominal diameter of the thread", "8 mm",
              between(0.0016, 0.039), at=0.008, u=0.00002),
        Input("pitch", "m", "pitch of the thread", "1.25 mm", above(0, 0.012), at=0.00125),
        Input("property_class", None, "figures on the head", "8.8",
              at="8.8", choices=tuple(PROOF_STRESS)),
    ),
    results=(
        Result("stress_area", "m**2", "stress area of the thread", "mm**2"),
        Result("proof_load", "N", "load without a lasting stretch", "kN"),
    ),
    formula="As = pi/4 (d - 0.9382 P)^2; proof load = As Sp",
    source="ISO 898-1:2013, table of mechanical properties (seen at nfgab.se)",
    valid=(
        "Steel bolts, 1.6 mm to 39 mm (9.8 up to 16 mm), pitch up to 0.3 times the diameter; not "
        "threads in aluminium or magnesium. Printed proof loads are rounded, up to 0.7 % off."
    ),
    harm="A class read off wrongly can double the figure.",
    refuses=(
        Refusal({"property_class": "7.7"}, "property_class must be '4.6'"),
        Refusal({"property_class": "9.8", "diameter": 0.02}, "class 9.8"),
        Refusal({"diameter": 8}, "diameter must be from 0.0016 m to 0.039 m; got 8 m"),
        Refusal({"pitch": 0.003}, "pitch must be at most 0.3 times the diameter (0.0024 m)"),
    ),
)  # fmt: skip
def proof_load(*, diameter: Real, pitch: Real, property_class: str) -> dict[str, Outcome]:
    """What a metric bolt carries without a lasting stretch."""
    if pitch * 10 > diameter * 3:
        raise OutOfRange(
            "pitch must be at most 0.3 times the diameter ({}); got {}",
            ("pitch", diameter * 3 / 10), ("pitch", pitch),
        )  # fmt: skip
    if property_class == "9.8" and diameter > THICK:
        raise OutOfRange(
            "diameter must be at most {} for class 9.8; got {}",
            ("diameter", Fraction(16, 1000)), ("diameter", diameter),
        )  # fmt: skip
    thick = property_class == "8.8" and diameter > THICK
    stress = 600 if thick else PROOF_STRESS[property_class]
    area = math.pi / 4 * (float(diameter) - 0.9382 * float(pitch)) ** 2
    return {"stress_area": area, "proof_load": area * stress * 1e6}
