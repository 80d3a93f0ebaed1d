"""Measuring: spread between readings, repeats, and the one rule that decides a verdict."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

from inspect_tui.calc import distributions as quantiles
from inspect_tui.calc import input_checks as ranges
from inspect_tui.calc.input_checks import Real, refusing
from inspect_tui.calc.registry import Calculation, Input, Outcome, Result

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
    y = ranges.number("value", value)
    expanded = ranges.at_least("uncertainty", expanded_uncertainty)
    lower = None if low is None else ranges.number("min", low)
    upper = None if high is None else ranges.number("max", high)
    if lower is None and upper is None:
        raise ValueError("min or max must be given; got neither")
    if lower is not None and upper is not None and lower > upper:
        raise ValueError(
            f"min must be at most max ({ranges.said(upper)}); got {ranges.said(lower)}"
        )
    if expanded == 0:
        inside = (lower is None or lower <= y) and (upper is None or y <= upper)
        return 1.0 if inside else 0.0
    standard = Fraction(expanded) / 2
    below = -math.inf if lower is None else _standardised(lower, y, standard)
    above = math.inf if upper is None else _standardised(upper, y, standard)
    return _normal_between(below, above)


def verdict_for(probability: float) -> str:
    """`pass` from 0.95, `fail` up to 0.05, between them `uncertain`."""
    if probability >= MIN_CONFORMANCE_PROBABILITY:
        return "pass"
    return "fail" if probability <= MAX_FAILING_PROBABILITY else "uncertain"


@refusing
def conformance(
    *,
    value: Real,
    uncertainty: Real,
    min: Real | None = None,  # noqa: A002 - the names that checklists use
    max: Real | None = None,  # noqa: A002
) -> dict[str, Outcome]:
    """Probability that the true value lies inside the limits, and the verdict.

    p = Phi((max - y)/u) - Phi((min - y)/u), u = U/2; pass from 0.95, fail up to 0.05, between them
    uncertain: measure again or with a better gauge.

    Inputs: value y; uncertainty U, expanded, k = 2, 0 or more; min and max, at least one; all in
    one unit. Results: probability; verdict. With U = 0 the value itself decides, and on the limit
    is in.

    Valid for a normal spread of errors and no prior knowledge of the part. Source: JCGM 106:2012,
    7.2 to 7.4; ISO 14253-1:2017. Harm: an uncertainty stated too small passes what is out.

    Raises:
        ValueError: an input outside its range, no limit, or min above max.
    """
    probability = probability_inside(value, uncertainty, min, max)
    return {"probability": probability, "verdict": verdict_for(probability)}


@refusing
def spread(*, values: Sequence[Real]) -> dict[str, Outcome]:
    """How far readings of the same thing lie apart, from cylinder to cylinder.

    spread = highest - lowest; percent = spread/highest 100; mean.

    Inputs: values, one or more, all in one unit. Results: spread and mean in that unit; percent
    of the highest, none where the highest is not above 0.

    Valid for any readings of one gauge; the percentage makes no sense for temperatures. That more
    than 10 % between compression readings is too much is common practice, no standard. Where the
    readings lie closer together than their uncertainty, first-order propagation misstates that of
    the spread. Source: definition. Harm: all cylinders equally worn show no spread.

    Raises:
        ValueError: an empty list, or something in it that is no finite number.
    """
    listed = ranges.several("values", values, 1)
    highest, lowest = max(listed), min(listed)
    apart = highest - lowest
    percent = apart / highest * 100 if highest > 0 else None
    mean = sum((Fraction(value) for value in listed), Fraction(0)) / len(listed)
    exact = all(isinstance(value, Fraction) for value in listed)
    return {"spread": apart, "percent": percent, "mean": mean if exact else float(mean)}


def _outlier(listed: Sequence[Real], mean: Real, deviation: float) -> Real | None:
    """The reading that Grubbs' test flags at 5 %, two-sided, or None."""
    if len(listed) < 3 or deviation <= _NOISE * float(max(map(ranges.size, listed))):
        return None
    furthest = max(listed, key=lambda value: ranges.size(value - mean))
    distance = float(ranges.size(furthest - mean)) / deviation
    return furthest if distance > quantiles.grubbs_limit(len(listed)) else None


@refusing
def repeat_readings(*, values: Sequence[Real]) -> dict[str, Outcome]:
    """What a few readings of one thing tell: mean, uncertainty, and whether one sticks out.

    u = s/sqrt(n); expanded = t(95 %, n - 1) u; Grubbs' G = max|x - mean|/s against its 5 % limit.

    Inputs: values, two or more, all in one unit. Results: mean; standard_uncertainty of the mean;
    expanded, half the width of the 95 % interval (Student's t); outlier, the value that Grubbs'
    two-sided test flags at 5 % (from three readings), or none.

    Valid for readings that scatter independently and normally; what the gauge itself is off by is
    not in it. Two readings tell little: t is 12.7. Source: JCGM 100:2008, 4.2 and G.3; Grubbs 1969.
    Harm: a flagged reading means "measure again", never leave it out in silence.

    Raises:
        ValueError: fewer than two values, or something in them that is no finite number.
    """
    listed = ranges.several("values", values, 2)
    count = len(listed)
    exact_mean = sum((Fraction(value) for value in listed), Fraction(0)) / count
    squares = sum(((Fraction(value) - exact_mean) ** 2 for value in listed), Fraction(0))
    deviation = math.sqrt(squares / (count - 1))
    standard = deviation / math.sqrt(count)
    exact = all(isinstance(value, Fraction) for value in listed)
    return {
        "mean": exact_mean if exact else float(exact_mean),
        "standard_uncertainty": standard,
        "expanded": standard * quantiles.t_quantile(_CONFIDENCE_TAIL, count - 1),
        "outlier": _outlier(listed, exact_mean, deviation),
    }


_VALUES = Input("values", "like:values", "readings, all of one thing", "120; 118; 108", many=True)

SPREAD = Calculation(
    name="spread",
    subject="measurement",
    title="Spread between readings",
    inputs=(_VALUES,),
    results=(
        Result("spread", "like:values", "highest less lowest", difference=True),
        Result("percent", "percent", "spread over the highest"),
        Result("mean", "like:values", "mean"),
    ),
    function=spread,
    formula="highest - lowest; (highest - lowest)/highest 100",
    source="definition",
    valid="One or more readings; no percentage of temperatures, nor of a highest of 0 or less.",
    harm="Cylinders that are all equally worn show no spread.",
)

CONFORMANCE = Calculation(
    name="conformance",
    subject="measurement",
    title="Verdict on a value with its uncertainty",
    inputs=(
        Input("value", "like:value", "value that was read", "13.6 mm"),
        Input("uncertainty", "like:value", "expanded, k = 2", "3.6 mm", difference=True),
        Input("min", "like:value", "lowest that is in", "12.5 mm", optional=True),
        Input("max", "like:value", "highest that is in", "16.3 mm", optional=True),
    ),
    results=(
        Result("probability", "", "probability of being inside"),
        Result("verdict", None, "pass, fail or uncertain"),
    ),
    function=conformance,
    formula="p = Phi((max - y)/u) - Phi((min - y)/u), u = U/2; pass from 0.95, fail up to 0.05",
    source="JCGM 106:2012, 7.2 to 7.4; ISO 14253-1:2017",
    valid="Normal errors, no prior knowledge; min or max or both. U = 0: the value decides.",
    harm="An uncertainty stated too small passes what is out.",
)

REPEAT_READINGS = Calculation(
    name="repeat_readings",
    subject="measurement",
    title="Mean and uncertainty of repeats",
    inputs=(_VALUES,),
    results=(
        Result("mean", "like:values", "mean"),
        Result("standard_uncertainty", "like:values", "of the mean", difference=True),
        Result("expanded", "like:values", "half-width, 95 %, Student's t", difference=True),
        Result("outlier", "like:values", "value that sticks out, if any"),
    ),
    function=repeat_readings,
    formula="u = s/sqrt(n); expanded = t(95 %, n - 1) u; Grubbs' test at 5 %",
    source="JCGM 100:2008, 4.2 and G.3; Grubbs 1969",
    valid="Two or more independent readings; the gauge's own error is not in it.",
    harm="A flagged reading means measure again, never leave it out in silence.",
)
