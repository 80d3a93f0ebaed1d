"""Bolts: torque through an extension, torque for a preload, proof load."""

from __future__ import annotations

import math
from fractions import Fraction

from inspect_tui.calc import input_checks as ranges
from inspect_tui.calc.input_checks import Real, refusing
from inspect_tui.calc.registry import Calculation, Input, Outcome, Result

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


@refusing
def torque_with_extension(
    *, torque: Real, wrench: Real, extension: Real, angle: Real = 0
) -> dict[str, Outcome]:
    """What to set a torque wrench to when a crowfoot lengthens it.

    setting = T L/(L + E cos a).

    Inputs: torque T, N m, wanted at the bolt; wrench L, m, middle of the grip to the square drive;
    extension E, m, square drive to the bolt, 0 or more; angle a, rad, between the extension and
    the wrench's length, -pi to pi: 0 straight out, pi/2 square to it, where nothing changes.
    Results: setting, N m.

    Valid for a hand pull at the middle of the grip; refused where the bolt would lie at or behind
    the hand. An extension in line with the bolt (a socket bar) changes nothing. Source: US Army TM
    9-254; engineersedge.com; statics. Harm: without the correction the bolt gets more than was
    asked for.

    Raises:
        ValueError: an input outside its range.
    """
    wanted = ranges.at_least("torque", torque, unit="N*m")
    length = ranges.above("wrench", wrench, unit="m")
    beyond = ranges.at_least("extension", extension, unit="m")
    turned = ranges.between("angle", angle, -math.pi, math.pi, "rad")
    along: Real = beyond if turned == 0 else float(beyond) * math.cos(turned)
    lever = length + along
    if not lever > length / 1000:
        raise ValueError(
            "extension must not reach back to the hand "
            f"(less than {ranges.said(wrench, 'm')} at this angle); "
            f"got {ranges.said(extension, 'm')}"
        )
    return {"setting": wanted * length / lever}


@refusing
def tightening_torque(*, force: Real, diameter: Real, nut_factor: Real) -> dict[str, Outcome]:
    """Torque that gives a bolt a preload, roughly.

    T = K F d.

    Inputs: force F, N, preload; diameter d, m, nominal; nut_factor K, 0.03 to 1 (about 0.2 dry,
    0.15 oiled). Results: torque, N m.

    Valid as a check of plausibility only: the same torque gives a preload that scatters by 25 to 35
    %. The machine's own torque goes first, and threads in aluminium or magnesium fail before the
    bolt. Source: Shigley ch. 8-15 (from memory). Harm: a dry factor on an oiled thread overloads
    the bolt by a third.

    Raises:
        ValueError: an input outside its range.
    """
    preload = ranges.at_least("force", force, unit="N")
    nominal = ranges.above("diameter", diameter, unit="m")
    factor = ranges.between("nut_factor", nut_factor, Fraction(3, 100), 1)
    return {"torque": factor * preload * nominal}


def _class_name(property_class: object) -> str:
    """The property class as written on the head, also from a number: 8.8 and '8.8'."""
    if isinstance(property_class, (int, float, Fraction)) and not isinstance(property_class, bool):
        property_class = f"{float(ranges.number('property_class', property_class)):.6g}"
    return ranges.word("property_class", property_class, tuple(PROOF_STRESS))


@refusing
def proof_load(*, diameter: Real, pitch: Real, property_class: str) -> dict[str, Outcome]:
    """What a metric bolt carries without a lasting stretch.

    As = pi/4 (d - 0.9382 P)^2; proof load = As Sp.

    Inputs: diameter d, m, nominal, 1.6 to 39 mm; pitch P, m, up to 0.3 d; property_class, the two
    figures on the head: 4.6, 4.8, 5.6, 5.8, 6.8, 8.8, 9.8, 10.9, 12.9. Results: stress_area, m2;
    proof_load, N.

    Valid for steel bolts of ISO 898-1 (9.8 up to 16 mm only); the printed proof loads are
    rounded and differ by up to 0.7 %. Not for threads in aluminium or magnesium, which fail first.
    Source: ISO 898-1:2013, table of mechanical properties (seen at nfgab.se). Harm: a class read
    off wrongly can double the figure.

    Raises:
        ValueError: an input outside its range, or an unknown class.
    """
    nominal = ranges.between("diameter", diameter, Fraction(16, 10_000), Fraction(39, 1000), "m")
    step = ranges.above("pitch", pitch, unit="m")
    if step * 10 > nominal * 3:
        raise ValueError(
            f"pitch must be at most 0.3 times the diameter ({ranges.said(nominal * 3 / 10, 'm')}); "
            f"got {ranges.said(pitch, 'm')}"
        )
    name = _class_name(property_class)
    if name == "9.8" and nominal > THICK:
        raise ValueError(
            f"diameter must be at most 0.016 m for class 9.8; got {ranges.said(diameter, 'm')}"
        )
    stress = 600 if name == "8.8" and nominal > THICK else PROOF_STRESS[name]
    area = math.pi / 4 * (float(nominal) - 0.9382 * float(step)) ** 2
    return {"stress_area": area, "proof_load": area * stress * 1e6}


TORQUE_WITH_EXTENSION = Calculation(
    name="torque_with_extension",
    subject="fasteners",
    title="Torque wrench setting with an extension",
    inputs=(
        Input("torque", "N*m", "torque wanted at the bolt", "60 N*m"),
        Input("wrench", "m", "middle of the grip to the square drive", "400 mm"),
        Input("extension", "m", "square drive to the bolt", "50 mm"),
        Input(
            "angle",
            "rad",
            "extension against the wrench; 0 is straight out",
            "45 degree",
            optional=True,
            default=0,
        ),
    ),
    results=(Result("setting", "N*m", "what to set the wrench to", "N*m"),),
    function=torque_with_extension,
    formula="T L/(L + E cos a)",
    source="US Army TM 9-254; engineersedge.com; statics",
    valid="Pull at the middle of the grip; at 90 degrees the extension changes nothing.",
    harm="Without the correction the bolt gets more than was asked for.",
)

TIGHTENING_TORQUE = Calculation(
    name="tightening_torque",
    subject="fasteners",
    title="Torque for a preload",
    inputs=(
        Input("force", "N", "preload", "16 kN"),
        Input("diameter", "m", "nominal diameter of the thread", "8 mm"),
        Input("nut_factor", "", "0.2 dry, 0.15 oiled", "0.2"),
    ),
    results=(Result("torque", "N*m", "torque at the bolt", "N*m"),),
    function=tightening_torque,
    formula="T = K F d",
    source="Shigley ch. 8-15 (from memory)",
    valid="Plausibility only: preload scatters by 25 to 35 %; the machine's own torque goes first.",
    harm="A dry factor on an oiled thread overloads the bolt by a third.",
)

PROOF_LOAD = Calculation(
    name="proof_load",
    subject="fasteners",
    title="Stress area and proof load of a metric bolt",
    inputs=(
        Input("diameter", "m", "nominal diameter of the thread", "8 mm"),
        Input("pitch", "m", "pitch of the thread", "1.25 mm"),
        Input(
            "property_class",
            None,
            "figures on the head",
            "8.8",
            choices=tuple(PROOF_STRESS),
        ),
    ),
    results=(
        Result("stress_area", "m**2", "stress area of the thread", "mm**2"),
        Result("proof_load", "N", "load without a lasting stretch", "kN"),
    ),
    function=proof_load,
    formula="As = pi/4 (d - 0.9382 P)^2; As Sp",
    source="ISO 898-1:2013, mechanical properties (seen at nfgab.se)",
    valid="Steel bolts, 1.6 mm to 39 mm; not threads in aluminium or magnesium.",
    harm="A class read off wrongly can double the figure.",
)
