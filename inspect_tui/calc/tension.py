"""Tension of a track or a belt from how far a known load pushes it in."""

from __future__ import annotations

from inspect_tui.calc import input_checks as ranges
from inspect_tui.calc.input_checks import Real, refusing
from inspect_tui.calc.registry import Calculation, Input, Outcome, Result


@refusing
def span_tension(*, force: Real, span: Real, deflection: Real) -> dict[str, Outcome]:
    """Tension of a free span from the deflection under a load at its middle.

    T = F L/(4 d), the taut string.

    Inputs: force F, N (a hung mass times 9.80665 m/s2); span L, m, between the points where the
    track or belt leaves its wheels; deflection d, m, caused by the force alone (own sag taken
    off). Results: tension, N, along the span; the strand's own end tension is larger by
    sqrt(1 + (2d/L)^2), 0.08 % at d = L/50 and 2 % at L/10.

    Valid for a deflection up to a quarter of the span; bending stiffness, stretch and wheels that
    move are not considered. For an uncertainty above 10 % of the deflection first-order
    propagation falls short, since T goes with 1/d. Source: statics of a taut string (Hibbeler;
    Meriam and Kraige, from memory). Harm: stiffness makes a belt seem tighter than it is.

    Raises:
        ValueError: an input outside its range.
    """
    load = ranges.above("force", force, unit="N")
    length = ranges.above("span", span, unit="m")
    depth = ranges.above("deflection", deflection, unit="m")
    if depth * 4 > length:
        raise ValueError(
            f"deflection must be at most a quarter of the span ({ranges.said(length / 4, 'm')}); "
            f"got {ranges.said(deflection, 'm')}"
        )
    return {"tension": load * length / (4 * depth)}


@refusing
def deflection_at_load(
    *, deflection: Real, load: Real, other_load: Real, unloaded: Real = 0
) -> dict[str, Outcome]:
    """What the deflection would be with another weight, so that it can be compared with a figure.

    d2 = d0 + (d - d0) F2/F1, at constant tension.

    Inputs: deflection d, m, total, with the load on; load F1 and other_load F2, both forces or
    both masses; unloaded d0, m, the sag without a load, from the same level. Results: deflection,
    m, total, from the same level (with the same load it is the deflection that was measured).

    Valid for moderate changes, other_load within about 1.5 times or one 1.5th of the load: a real
    track or belt stretches and the suspension moves. Refused beyond ten times. Source: statics of a
    taut string (from memory). Harm: without the unloaded sag the change is overstated.

    Raises:
        ValueError: an input outside its range.
    """
    total = ranges.at_least("deflection", deflection, unit="m")
    first = ranges.above("load", load)
    second = ranges.above("other_load", other_load)
    sag = ranges.at_least("unloaded", unloaded, unit="m")
    if sag > total:
        raise ValueError(
            f"unloaded must be at most the deflection ({ranges.said(total, 'm')}); "
            f"got {ranges.said(unloaded, 'm')}"
        )
    if not first <= 10 * second or not second <= 10 * first:
        raise ValueError(
            "other_load must be within ten times the load either way; "
            f"got {ranges.said(other_load)} beside {ranges.said(load)}"
        )
    return {"deflection": sag + (total - sag) * second / first}


SPAN_TENSION = Calculation(
    name="span_tension",
    subject="drive",
    title="Tension of a track or belt from its deflection",
    inputs=(
        Input("force", "N", "force at the middle of the span", "50 N"),
        Input("span", "m", "free length between the wheels", "1 m"),
        Input("deflection", "m", "deflection caused by the force", "20 mm"),
    ),
    results=(Result("tension", "N", "tension along the span", "N"),),
    function=span_tension,
    formula="T = F L/(4 d)",
    source="statics of a taut string (Hibbeler; Meriam and Kraige, from memory)",
    valid="Deflection up to a quarter of the span (2 % low at a tenth); no stiffness, no stretch.",
    harm="A stiff belt or track seems tighter than it is.",
)

DEFLECTION_AT_LOAD = Calculation(
    name="deflection_at_load",
    subject="drive",
    title="Deflection with another weight",
    inputs=(
        Input("deflection", "m", "deflection with the load on", "35 mm"),
        Input("load", "like:load", "weight or force that was used", "7.3 kg"),
        Input("other_load", "like:load", "weight or force to compare with", "10 kg"),
        Input("unloaded", "m", "sag without a load", "5 mm", optional=True, default=0),
    ),
    results=(Result("deflection", "m", "deflection with the other load", "mm"),),
    function=deflection_at_load,
    formula="d2 = d0 + (d - d0) F2/F1",
    source="statics of a taut string (from memory)",
    valid="Constant tension: loads within about 1.5 times of each other; refused beyond 10 times.",
    harm="Leaving out the unloaded sag overstates the change.",
)
