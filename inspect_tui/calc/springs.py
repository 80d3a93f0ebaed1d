"""Helical compression springs: rate from two points or from the wire, and the solid length."""

from __future__ import annotations

from fractions import Fraction

from inspect_tui.calc.input_checks import OutOfRange, Real, above, between
from inspect_tui.calc.registry import Input, Outcome, Refusal, Result, declare

_FORCES = between(0, 50_000)
"""N."""
_LENGTHS = above(0, 2)
"""m."""
_WIRES = between(0.0001, 0.05)
"""m."""
_LONGEST = 10
"""Times: a spring is not that much longer free than under a load."""


@declare(
    subject="drive",
    title="Spring rate from two points",
    inputs=(
        Input("force_1", "N", "force at the first length", "200 N", _FORCES, at=200.0, u=2.0),
        Input("length_1", "m", "length under the first force", "60 mm",
              _LENGTHS, at=0.06, u=0.0002),
        Input("force_2", "N", "force at the second length", "320 N", _FORCES, at=320.0, u=2.0),
        Input("length_2", "m", "length under the second force", "48 mm",
              _LENGTHS, at=0.048, u=0.0002),
    ),
    results=(
        Result("rate", "N/m", "force per length", "N/mm", sane=between(0, 10_000_000)),
        Result("free_length", "m", "length without a force", "mm"),
    ),
    formula="k = (F2 - F1)/(h1 - h2); free length = h1 + F1/k",
    source="definition of the rate; EN 13906-1",
    valid=(
        "A linear compression spring whose coils do not touch, the larger force at the shorter "
        "length. Where the two lengths lie close their errors decide."
    ),
    harm="A soft clutch spring shifts early and slips the belt.",
    refuses=(
        Refusal({"length_2": 0.06}, "length_2 must differ from length_1; got 0.06 m for both"),
        Refusal({"force_2": 100}, "force_2 must be the larger force at the shorter length"),
        Refusal({"force_1": -1}, "force_1 must be from 0 N"),
        Refusal({"force_2": 200.5}, "force_1 and force_2 must lie further apart"),
    ),
)  # fmt: skip
def spring_rate(
    *, force_1: Real, length_1: Real, force_2: Real, length_2: Real
) -> dict[str, Outcome]:
    """Rate and free length of a compression spring from two forces and the lengths under them.

    Clutch springs are preloaded: compare the force at two lengths, not the free length alone. Where
    the difference of the lengths is known to 10 % or worse first-order propagation falls short.
    """
    if length_1 == length_2:
        raise OutOfRange(
            "length_2 must differ from length_1; got {} for both", ("length_2", length_2)
        )
    rate = (force_2 - force_1) / (length_1 - length_2)
    if not rate > 0:
        raise OutOfRange(
            "force_2 must be the larger force at the shorter length, or the smaller at the longer; "
            "got {} at {} and {} at {}",
            ("force_1", force_1), ("length_1", length_1),
            ("force_2", force_2), ("length_2", length_2),
        )  # fmt: skip
    free = length_1 + force_1 / rate
    if free > _LONGEST * max(length_1, length_2):
        raise OutOfRange(
            "force_1 and force_2 must lie further apart, or the spring would be {} long without a "
            "load; got {} at {} and {} at {}",
            ("length_1", free), ("force_1", force_1), ("length_1", length_1),
            ("force_2", force_2), ("length_2", length_2),
        )  # fmt: skip
    return {"rate": rate, "free_length": free}


@declare(
    subject="drive",
    title="Spring rate from the wire",
    inputs=(
        Input("wire", "m", "diameter of the wire", "5 mm", _WIRES, at=0.005, u=0.00001),
        Input("mean_diameter", "m", "middle of wire to middle of wire: outer less one wire",
              "40 mm", above(0, 1), at=0.04, u=0.0002),
        Input("active_coils", "", "coils that work: total less 2 with squared ends", "5",
              between(0.5, 200), at=5.0, u=0.1),
        Input("shear_modulus", "Pa", "shear modulus; spring steel about 80 GPa", "81.37 GPa",
              between(10**10, 2 * 10**11), at=8.0e10, u=1.0e9),
    ),
    results=(Result("rate", "N/m", "force per length", "N/mm", sane=between(0, 10_000_000)),),
    formula="k = G d^4/(8 D^3 n)",
    source="Shigley ch. 10 (from memory); EN 13906-1; Bhandari examples 10.1 and 10.7",
    valid="Round wire, D/d from 2 to 50 (good from 4 to 20); no conical or progressive spring.",
    harm="Paint on the wire makes the spring seem stiffer: 1 % of the wire is 4 % of the rate.",
    refuses=(
        Refusal({"mean_diameter": 0.005}, "mean_diameter must be from 2 to 50 times the wire"),
        Refusal({"active_coils": 0}, "active_coils must be from 0.5 to 200"),
        Refusal({"shear_modulus": 80}, "shear_modulus must be from"),
    ),
)  # fmt: skip
def wire_spring_rate(
    *, wire: Real, mean_diameter: Real, active_coils: Real, shear_modulus: Real
) -> dict[str, Outcome]:
    """Rate of a helical compression spring from its wire."""
    if not 2 * wire <= mean_diameter <= 50 * wire:
        raise OutOfRange(
            "mean_diameter must be from 2 to 50 times the wire ({}); got {}",
            ("wire", wire), ("mean_diameter", mean_diameter),
        )  # fmt: skip
    return {"rate": shear_modulus * wire**4 / (8 * mean_diameter**3 * active_coils)}


@declare(
    subject="drive",
    title="Length of a spring pressed solid",
    inputs=(
        Input("wire", "m", "diameter of the wire", "5 mm", _WIRES, at=0.005, u=0.00001),
        Input("total_coils", "", "all coils, those of the ends too", "7",
              between(Fraction(5, 2), 200), at=7.0, u=0.1),
    ),
    results=(Result("length", "m", "length at which the coils touch", "mm"),),
    formula="wire total_coils",
    source="Shigley table 10-1, squared and ground ends (from memory); Bhandari example 10.1",
    valid="Squared and ground ends; squared ones that are not ground are longer by one wire.",
    harm="A spring that goes solid before its stop breaks, or bends what holds it.",
    refuses=(
        Refusal({"wire": 5}, "wire must be from 0.0001 m to 0.05 m; got 5 m"),
        Refusal({"total_coils": 2}, "total_coils must be from 2.5 to 200"),
    ),
)  # fmt: skip
def spring_solid_length(*, wire: Real, total_coils: Real) -> dict[str, Outcome]:
    """The length at which the coils of a compression spring touch."""
    return {"length": wire * total_coils}
