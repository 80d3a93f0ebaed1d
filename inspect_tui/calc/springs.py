"""Springs: the rate from two measured points, and from the wire."""

from __future__ import annotations

from inspect_tui.calc import input_checks as ranges
from inspect_tui.calc.input_checks import Real, refusing
from inspect_tui.calc.registry import Calculation, Input, Outcome, Result


@refusing
def spring_rate(
    *, force_1: Real, length_1: Real, force_2: Real, length_2: Real
) -> dict[str, Outcome]:
    """Rate and free length of a compression spring from two forces and the lengths under them.

    k = (F2 - F1)/(h1 - h2); free length = h1 + F1/k.

    Inputs: force_1, force_2, N, 0 or more; length_1, length_2, m, the spring's length under each.
    Results: rate, N/m; free_length, m.

    Valid for a linear compression spring whose coils do not touch; the larger force must go with
    the shorter length. Clutch springs are preloaded: compare the force at two lengths, not the
    free length alone. The two lengths decide the uncertainty: it is large when they lie close, and
    where their difference is known to 10 % or worse first-order propagation falls short.
    Source: definition of the rate; EN 13906-1. Harm: a soft spring shifts early and slips.

    Raises:
        ValueError: an input outside its range, or two points that are no compression spring's.
    """
    first = ranges.at_least("force_1", force_1, unit="N")
    second = ranges.at_least("force_2", force_2, unit="N")
    long = ranges.above("length_1", length_1, unit="m")
    short = ranges.above("length_2", length_2, unit="m")
    if long == short:
        raise ValueError(
            f"length_2 must differ from length_1; got {ranges.said(length_2, 'm')} for both"
        )
    rate = (second - first) / (long - short)
    if not rate > 0:
        raise ValueError(
            "force_2 must be the larger force at the shorter length, or the smaller at the longer; "
            f"got {ranges.said(force_1, 'N')} at {ranges.said(length_1, 'm')} and "
            f"{ranges.said(force_2, 'N')} at {ranges.said(length_2, 'm')}"
        )
    return {"rate": rate, "free_length": long + first / rate}


@refusing
def wire_spring_rate(
    *, wire: Real, mean_diameter: Real, active_coils: Real, shear_modulus: Real
) -> dict[str, Outcome]:
    """Rate of a helical compression spring from its wire.

    k = G d^4/(8 D^3 n).

    Inputs: wire d, m; mean_diameter D, m, middle of wire to middle of wire (outer less one wire);
    active_coils n (total less 2 for squared ends), 0.5 or more; shear_modulus G, Pa, 10 to 200 GPa
    (about 79 to 82 GPa for spring steel). Results: rate, N/m.

    Valid for round wire and a spring index D/d of about 4 to 20; refused below 2 and above 50.
    Conical and progressive springs are excluded. The wire counts to the fourth power: 1 % of d is
    4 % of the rate. Source: Shigley ch. 10 (from memory); EN 13906-1; Bhandari examples 10.1, 10.7.
    Harm: paint on the wire makes the spring seem stiffer than it is.

    Raises:
        ValueError: an input outside its range.
    """
    thick = ranges.above("wire", wire, unit="m")
    mean = ranges.above("mean_diameter", mean_diameter, unit="m")
    if not 2 * thick <= mean <= 50 * thick:
        raise ValueError(
            "mean_diameter must be from 2 to 50 times the wire "
            f"({ranges.said(thick, 'm')}); got {ranges.said(mean_diameter, 'm')}"
        )
    coils = ranges.between("active_coils", active_coils, 0.5, 1000)
    modulus = ranges.between("shear_modulus", shear_modulus, 10**10, 2 * 10**11, "Pa")
    return {"rate": modulus * thick**4 / (8 * mean**3 * coils)}


SPRING_RATE = Calculation(
    name="spring_rate",
    subject="drive",
    title="Spring rate from two points",
    inputs=(
        Input("force_1", "N", "force at the first length", "200 N"),
        Input("length_1", "m", "length under the first force", "60 mm"),
        Input("force_2", "N", "force at the second length", "320 N"),
        Input("length_2", "m", "length under the second force", "48 mm"),
    ),
    results=(
        Result("rate", "N/m", "force per length", "N/mm"),
        Result("free_length", "m", "length without a force", "mm"),
    ),
    function=spring_rate,
    formula="k = (F2 - F1)/(h1 - h2); free length = h1 + F1/k",
    source="definition of the rate; EN 13906-1",
    valid="A linear compression spring whose coils do not touch.",
    harm="A soft clutch spring shifts early and slips the belt.",
)

WIRE_SPRING_RATE = Calculation(
    name="wire_spring_rate",
    subject="drive",
    title="Spring rate from the wire",
    inputs=(
        Input("wire", "m", "diameter of the wire", "5 mm"),
        Input("mean_diameter", "m", "outer diameter less one wire", "40 mm"),
        Input("active_coils", "", "coils that work: total less 2 with squared ends", "5"),
        Input("shear_modulus", "Pa", "shear modulus; spring steel about 80 GPa", "81.37 GPa"),
    ),
    results=(Result("rate", "N/m", "force per length", "N/mm"),),
    function=wire_spring_rate,
    formula="k = G d^4/(8 D^3 n)",
    source="Shigley ch. 10 (from memory); EN 13906-1; Bhandari ex. 10.1, 10.7",
    valid="Round wire, D/d from 2 to 50 (good from 4 to 20); no conical or progressive spring.",
    harm="Paint on the wire makes the spring seem stiffer: 1 % of the wire is 4 % of the rate.",
)
