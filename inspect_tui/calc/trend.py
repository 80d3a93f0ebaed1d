"""Wear against the meter: a straight line through earlier readings, and what it foretells."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

from inspect_tui.calc.distributions import t_quantile
from inspect_tui.calc.input_checks import OutOfRange, Real, size
from inspect_tui.calc.registry import Input, Outcome, Refusal, Result, declare

_TAIL = 0.025
"""One side of a two-sided 95 % interval."""
_FURTHEST = 10
"""Times the range of the readings: a line foretells nothing further on."""


@declare(
    subject="measurement",
    title="Trend of wear against the meter",
    inputs=(
        Input("at", "like:at", "what the meter showed at each reading", "0; 900; 1700; 2600 km",
              at=(0.0, 1.0, 2.0, 3.0), many=True, fewest=3, label="meter"),
        Input("values", "like:values", "the readings, in that order", "34.9; 34.2; 33.6; 33.1 mm",
              at=(10.0, 9.1, 7.9, 7.0), u=0.1, many=True, fewest=3),
        Input("when", "like:at", "what the meter will show", "3500 km", at=5.0,
              label="meter then"),
    ),
    results=(
        Result("value", "like:values", "what a reading is likely to be then"),
        Result("half_width", "like:values", "of its 95 % interval, for one new reading",
               difference=True, propagates=False),
        Result("slope", "like:values/like:at", "change with the meter"),
        Result("slope_low", "like:values/like:at", "lowest that the readings allow, 95 %",
               propagates=False),
        Result("slope_high", "like:values/like:at", "highest that the readings allow, 95 %",
               propagates=False),
    ),
    formula=(
        "least squares; half_width = t s sqrt(1 + 1/n + (when - mean)^2/Sxx); slope +- t "
        "s/sqrt(Sxx), t of 95 % with n - 2 degrees of freedom"
    ),
    source="NIST/SEMATECH e-Handbook 4.1.4.1 and 4.5.2; Student's t",
    valid=(
        "Wear that goes evenly with the meter, no part replaced or set in between, readings that "
        "scatter alike; up to ten times the readings' range away from them."
    ),
    harm="Three readings tell little: t is 12.7, and a limit may be passed well before the line.",
    refuses=(
        Refusal({"at": (0.0, 1.0)}, "at must be a list of at least 3"),
        Refusal({"values": (10.0, 9.1, 7.9)}, "values must be as many as at (4); got 3"),
        Refusal({"at": (2.0, 2.0, 2.0, 2.0)}, "at must differ"),
        Refusal({"when": 5000.0}, "when must be within 10 times the range of at"),
    ),
)  # fmt: skip
def wear_trend(*, at: Sequence[Real], values: Sequence[Real], when: Real) -> dict[str, Outcome]:
    """What a reading will probably be at another meter reading, and how fast it changes."""
    count = len(at)
    if len(values) != count:
        raise ValueError(f"values must be as many as at ({count}); got {len(values)}")
    exact = all(isinstance(one, Fraction) for one in (*at, *values, when))
    places, readings = _alike(at, exact), _alike(values, exact)
    middle = sum(places) / count
    across = sum((place - middle) ** 2 for place in places)
    if across == 0:
        raise OutOfRange("at must differ from reading to reading; got {} for all", ("at", at[0]))
    reach: Real = (when if exact else float(when)) - middle
    if size(reach) > _FURTHEST * (max(places) - min(places)):
        raise ValueError(
            f"when must be within {_FURTHEST} times the range of at: a line foretells no further"
        )
    level = sum(readings) / count
    both = [(x - middle, y - level) for x, y in zip(places, readings, strict=True)]
    slope = sum(x * y for x, y in both) / across
    rest = sum((y - slope * x) ** 2 for x, y in both)
    scatter = math.sqrt(rest / (count - 2))
    t = t_quantile(_TAIL, count - 2)
    half = t * scatter * math.sqrt(1 + 1 / count + float(reach) ** 2 / float(across))
    lean = t * scatter / math.sqrt(across)
    return {
        "value": level + slope * reach,
        "half_width": half,
        "slope": slope,
        "slope_low": float(slope) - lean,
        "slope_high": float(slope) + lean,
    }


def _alike(numbers: Sequence[Real], exact: bool) -> list[Real]:
    """All fractions, or all floats: the two mixed are slow."""
    return list(numbers) if exact else [float(one) for one in numbers]
