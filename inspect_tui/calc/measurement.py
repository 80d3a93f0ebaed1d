"""Measuring: spread between readings, repeats, and the one rule that decides a verdict."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction
from typing import Literal

from inspect_tui.calc import distributions as quantiles
from inspect_tui.calc.input_checks import OutOfRange, Real, above, at_least, between, number, size
from inspect_tui.calc.registry import Input, Outcome, Refusal, Result, declare

MIN_CONFORMANCE_PROBABILITY = 0.95
"""Probability of being inside the limits from which a reading passes."""
MAX_FAILING_PROBABILITY = 0.05
"""Probability up to which it fails."""

_CONFIDENCE_TAIL = 0.025
"""One side of a two-sided 95 % interval."""
_NOISE = 1e-12
"""Scatter below this part of the readings is rounding of floats, no outlier."""


def _normal_between(low: float, high: float) -> float:
    """Probability of a standard normal value from low to high, without losing a small tail."""
    if low > 0:
        low, high = -high, -low
    return (math.erfc(-high / math.sqrt(2)) - math.erfc(-low / math.sqrt(2))) / 2


def _standardised(limit: Real, value: Real, standard: Real) -> float:
    """(limit - value)/u as a float; a distance beyond all numbers counts as infinite."""
    distance = Fraction(limit) - Fraction(value)
    try:
        return float(distance / Fraction(standard))
    except OverflowError:
        return math.inf if distance > 0 else -math.inf


def probability_inside(
    value: Real, expanded_uncertainty: Real, low: Real | None, high: Real | None
) -> float:
    """Probability that the true value lies inside the limits.

    p = Phi((high - y)/u) - Phi((low - y)/u), u = U/2, one term alone where there is one limit
    (JCGM 106:2012, 7.2 to 7.4). With U = 0 it is 1 or 0, and a value on the limit is inside. All
    numbers in one unit; low or high may be None, not both.

    Raises:
        ValueError: no limit at all, low above high, a negative uncertainty, or nan or inf.
    """
    y = number("value", value)
    expanded = at_least("uncertainty", expanded_uncertainty)
    lower = None if low is None else number("min", low)
    upper = None if high is None else number("max", high)
    if lower is None and upper is None:
        raise ValueError("min or max must be given; got neither")
    if lower is not None and upper is not None and lower > upper:
        raise OutOfRange("min must be at most max ({}); got {}", ("max", upper), ("min", lower))
    if expanded == 0:
        inside = (lower is None or lower <= y) and (upper is None or y <= upper)
        return 1.0 if inside else 0.0
    standard = Fraction(expanded) / 2
    below = -math.inf if lower is None else _standardised(lower, y, standard)
    above = math.inf if upper is None else _standardised(upper, y, standard)
    return _normal_between(below, above)


def verdict_for(probability: float, *, inside: bool) -> Literal["pass", "fail", "uncertain"]:
    """`pass` from 0.95, `fail` up to 0.05, between them `uncertain`.

    A value inside its limits is never `fail`: where the probability alone would say so, the gauge
    is coarser than the zone.

    Args:
        probability: Of being inside.
        inside: Whether the value itself lies inside.
    """
    if probability >= MIN_CONFORMANCE_PROBABILITY:
        return "pass"
    return "fail" if probability <= MAX_FAILING_PROBABILITY and not inside else "uncertain"


@declare(
    subject="measurement",
    title="Verdict on a value with its uncertainty",
    inputs=(
        Input("value", "like:value", "value that was read", "13.6 mm", at=13.6, u=0.1),
        Input("uncertainty", "like:value", "expanded, k = 2", "3.6 mm", at=3.6, difference=True),
        Input("min", "like:value", "lowest that is in", "12.5 mm", at=12.5, optional=True),
        Input("max", "like:value", "highest that is in", "16.3 mm", at=16.3, optional=True),
    ),
    results=(
        Result("probability", "", "probability of being inside", propagates=False),
        Result("verdict", None, "pass, fail or uncertain"),
    ),
    formula="p = Phi((max - y)/u) - Phi((min - y)/u), u = U/2; pass from 0.95, fail up to 0.05",
    source="JCGM 106:2012, 7.2 to 7.4; ISO 14253-1:2017",
    valid=(
        "Normal errors, no prior knowledge; min or max or both. U = 0: the value itself decides, "
        "on the limit is in. A value inside is never fail: the gauge is then too coarse."
    ),
    harm="An uncertainty stated too small passes what is out.",
    refuses=(
        Refusal({"uncertainty": -1}, "uncertainty must be at least 0; got -1"),
        Refusal({"min": None, "max": None}, "min or max must be given; got neither"),
        Refusal({"min": 20}, "min must be at most max (16.3); got 20"),
    ),
)  # fmt: skip
def conformance(
    *,
    value: Real,
    uncertainty: Real,
    min: Real | None = None,  # noqa: A002 - the names that checklists use
    max: Real | None = None,  # noqa: A002
) -> dict[str, Outcome]:
    """Probability that the true value lies inside the limits, and the verdict."""
    probability = probability_inside(value, uncertainty, min, max)
    inside = (min is None or min <= value) and (max is None or value <= max)
    return {"probability": probability, "verdict": verdict_for(probability, inside=inside)}


_VALUES = Input(
    "values", "like:values", "readings, all of one thing", "120; 118; 108",
    at=(120.0, 118.0, 108.0), u=0.4, many=True,
)  # fmt: skip


@declare(
    subject="measurement",
    title="Spread between readings",
    inputs=(_VALUES,),
    results=(
        Result("spread", "like:values", "highest less lowest", difference=True),
        Result("percent", "percent", "spread over the highest; none where that is not above 0"),
        Result("mean", "like:values", "mean"),
    ),
    formula="highest - lowest; (highest - lowest)/highest 100",
    source="definition",
    valid=(
        "One or more readings of one gauge; no percentage of temperatures. That more than 10 % "
        "between compression readings is too much is common practice, no standard."
    ),
    harm="Cylinders that are all equally worn show no spread.",
    refuses=(Refusal({"values": ()}, "values must be a list of at least 1"),),
)
def spread(*, values: Sequence[Real]) -> dict[str, Outcome]:
    """How far readings of the same thing lie apart, from cylinder to cylinder.

    Where the readings lie closer together than their uncertainty, first-order propagation misstates
    that of the spread.
    """
    highest, lowest = max(values), min(values)
    apart = highest - lowest
    percent = apart / highest * 100 if highest > 0 else None
    mean = sum((Fraction(value) for value in values), Fraction(0)) / len(values)
    exact = all(isinstance(value, Fraction) for value in values)
    return {"spread": apart, "percent": percent, "mean": mean if exact else float(mean)}


def _outlier(listed: Sequence[Real], mean: Real, deviation: float) -> Real | None:
    """The reading that Grubbs' test flags at 5 %, two-sided, or None."""
    if len(listed) < 3 or deviation <= _NOISE * float(max(map(size, listed))):
        return None
    furthest = max(listed, key=lambda value: size(value - mean))
    distance = float(size(furthest - mean)) / deviation
    return furthest if distance > quantiles.grubbs_limit(len(listed)) else None


@declare(
    subject="measurement",
    title="Mean and uncertainty of repeats",
    inputs=(
        Input("values", "like:values", "readings, all of one thing", "31.7; 31.9; 31.6; 31.8",
              at=(31.7, 31.9, 31.6, 31.8), u=0.1, many=True, fewest=2),
    ),
    results=(
        Result("mean", "like:values", "mean"),
        Result("standard_uncertainty", "like:values", "of the mean", difference=True,
               propagates=False),
        Result("expanded", "like:values", "half-width, 95 %, Student's t", difference=True,
               propagates=False),
        Result("outlier", "like:values", "value that Grubbs' test flags (from three readings), or "
               "none", propagates=False),
    ),
    formula=(
        "u = s/sqrt(n); expanded = t(95 %, n - 1) u; Grubbs' G = max|x - mean|/s against its "
        "two-sided 5 % limit"
    ),
    source="JCGM 100:2008, 4.2 and G.3; Grubbs 1969",
    valid=(
        "Two or more readings that scatter independently and normally; the gauge's own error is "
        "not in it. Two tell little: t is 12.7."
    ),
    harm="A flagged reading means measure again, never leave it out in silence.",
    refuses=(Refusal({"values": (1.0,)}, "values must be a list of at least 2"),),
)  # fmt: skip
def repeat_readings(*, values: Sequence[Real]) -> dict[str, Outcome]:
    """What a few readings of one thing tell: mean, uncertainty, and whether one sticks out."""
    count = len(values)
    exact_mean = sum((Fraction(value) for value in values), Fraction(0)) / count
    squares = sum(((Fraction(value) - exact_mean) ** 2 for value in values), Fraction(0))
    deviation = math.sqrt(squares / (count - 1))
    standard = deviation / math.sqrt(count)
    exact = all(isinstance(value, Fraction) for value in values)
    return {
        "mean": exact_mean if exact else float(exact_mean),
        "standard_uncertainty": standard,
        "expanded": standard * quantiles.t_quantile(_CONFIDENCE_TAIL, count - 1),
        "outlier": _outlier(values, exact_mean, deviation),
    }


_ROOM = Fraction(29315, 100)
"""K, 20 degC: ISO 1."""


@declare(
    subject="measurement",
    title="Length at the reference temperature",
    inputs=(
        Input("length", "m", "length as it was read", "64.07 mm", above(0, 10),
              at=0.064, u=0.00001),
        Input("expansion", "1/K", "coefficient of expansion: steel 11.5e-6, aluminium 23e-6",
              "11.5e-6 1/K", between(-0.000_01, 0.000_3), at=0.000_011_5, u=0.000_000_5),
        Input("temperature", "K", "of the part when it was read", "-10 degC",
              between(153.15, 573.15), at=263.15, u=1.0),
        Input("reference", "K", "temperature to state it for", "20 degC",
              between(153.15, 573.15), at=293.15, optional=True, default=_ROOM),
    ),
    results=(Result("length", "m", "length at the reference temperature", "mm", "m"),),
    formula="length/(1 + expansion (t - reference))",
    source="linear expansion; ISO 1:2016 for 20 degC",
    valid=(
        "A part at one temperature, read with a gauge that is right at its own; what a gauge of "
        "the same metal reads at the same temperature needs no correction."
    ),
    harm="In the cold a bore measures small and a clearance wide: 0.02 mm on 65 mm of aluminium.",
    refuses=(
        Refusal({"expansion": 11.5}, "expansion must be from -1e-05 1/K to 0.0003 1/K"),
        Refusal({"temperature": -10}, "temperature must be from 153.15 K"),
        Refusal({"length": 0}, "length must be above 0 m"),
    ),
)  # fmt: skip
def length_at_reference(
    *, length: Real, expansion: Real, temperature: Real, reference: Real = _ROOM
) -> dict[str, Outcome]:
    """What a part that was measured warm or cold measures at the reference temperature."""
    return {"length": length / (1 + expansion * (temperature - reference))}
