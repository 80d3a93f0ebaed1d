"""Tension of a track or a belt from how far a known load pushes it in."""

from __future__ import annotations

from inspect_tui.calc.input_checks import OutOfRange, Real, above, between
from inspect_tui.calc.registry import Input, Outcome, Refusal, Result, declare

_TEXTBOOK = "statics of a taut string (Hibbeler; Meriam and Kraige, from memory)"


@declare(
    subject="drive",
    title="Tension of a track or belt from its deflection",
    inputs=(
        Input("force", "N", "force at the middle of the span", "50 N",
              above(0, 5000), at=71.6, u=0.5),
        Input("span", "m", "free length between the wheels", "1 m", above(0, 10), at=0.9, u=0.003),
        Input("deflection", "m", "deflection caused by the force alone, own sag taken off",
              "20 mm", above(0, 2.5), at=0.035, u=0.0005),
    ),
    results=(Result("tension", "N", "tension along the span", "N", sane=between(0, 200_000)),),
    formula="T = F L/(4 d)",
    source=_TEXTBOOK,
    valid=(
        "Deflection from a thousandth to a quarter of the span (2 % low at a tenth); no stiffness, "
        "no stretch, no wheels that move."
    ),
    harm="A stiff belt or track seems tighter than it is.",
    refuses=(
        Refusal({"deflection": 0}, "deflection must be above 0 m, at most 2.5 m; got 0 m"),
        Refusal({"deflection": 0.5}, "deflection must be at most a quarter of the span (0.225 m)"),
        Refusal({"deflection": 0.00002}, "deflection must be at least a thousandth of the span"),
        Refusal({"force": 0}, "force must be above 0 N"),
        Refusal({"span": -1}, "span must be above 0 m"),
    ),
)  # fmt: skip
def span_tension(*, force: Real, span: Real, deflection: Real) -> dict[str, Outcome]:
    """Tension of a free span from the deflection under a load at its middle.

    The strand's own end tension is larger by sqrt(1 + (2d/L)^2), 0.08 % at d = L/50 and 2 % at
    L/10. For an uncertainty above 10 % of the deflection first-order propagation falls short, since
    T goes with 1/d.
    """
    if deflection * 4 > span:
        raise OutOfRange(
            "deflection must be at most a quarter of the span ({}); got {}",
            ("span", span / 4), ("deflection", deflection),
        )  # fmt: skip
    if deflection * 1_000_001 < span * 1000:
        raise OutOfRange(
            "deflection must be at least a thousandth of the span ({}); got {}",
            ("deflection", span / 1000), ("deflection", deflection),
        )  # fmt: skip
    return {"tension": force * span / (4 * deflection)}


@declare(
    subject="drive",
    title="Deflection with another weight",
    inputs=(
        Input("deflection", "m", "deflection with the load on", "35 mm",
              between(0, 1), at=0.042, u=0.0005),
        Input("load", "like:load", "weight or force that was used", "7.3 kg",
              above(0, 10_000), at=10.0, u=0.05),
        Input("other_load", "like:load", "weight or force to compare with", "10 kg",
              above(0, 10_000), at=7.3),
        Input("unloaded", "m", "sag without a load, from the same level", "5 mm",
              between(0, 1), at=0.004, u=0.0005, optional=True, default=0),
    ),
    results=(
        Result("deflection", "m", "deflection with the other load", "mm", sane=between(0, 2)),
    ),
    formula="d2 = d0 + (d - d0) F2/F1, at constant tension",
    source=_TEXTBOOK,
    valid=(
        "Loads within about 1.5 times of each other, since a real track or belt stretches and the "
        "suspension moves; refused beyond 10 times."
    ),
    harm="Leaving out the unloaded sag overstates the change.",
    refuses=(
        Refusal({"load": 0}, "load must be above 0"),
        Refusal({"other_load": 1000}, "other_load must be within ten times"),
        Refusal({"unloaded": 0.9}, "unloaded must be at most the deflection (0.042 m); got 0.9 m"),
        Refusal({"deflection": -1}, "deflection must be from 0 m"),
    ),
)  # fmt: skip
def deflection_at_load(
    *, deflection: Real, load: Real, other_load: Real, unloaded: Real = 0
) -> dict[str, Outcome]:
    """What the deflection would be with another weight, so that it can be compared with a figure.

    Both loads are forces, or both masses. With the same load it is the deflection that was
    measured.
    """
    if unloaded > deflection:
        raise OutOfRange(
            "unloaded must be at most the deflection ({}); got {}",
            ("deflection", deflection), ("unloaded", unloaded),
        )  # fmt: skip
    if not load <= 10 * other_load or not other_load <= 10 * load:
        raise OutOfRange(
            "other_load must be within ten times the load either way; got {} beside {}",
            ("other_load", other_load), ("load", load),
        )  # fmt: skip
    return {"deflection": unloaded + (deflection - unloaded) * other_load / load}
