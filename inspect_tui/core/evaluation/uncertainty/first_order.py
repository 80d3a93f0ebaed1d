"""The probability that a sum of normal and rectangular errors stays on one side of a limit.

In closed form where there is one (JCGM 101:2008, 6.4; JCGM 106:2012, 7.2 to 7.4), else by the
Fourier series of the distribution function, whose characteristic function is the product of the
parts'. A normal distribution of the same standard deviation serves where several rectangles are
small beside the rest.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

NEARLY_NORMAL = 0.1
"""Sum of (r^2/3v)^2 up to which the rectangles' shape is not seen."""
_MAX_TERMS = 399
_MIN_TERMS = 30
_NEGLIGIBLE = 1e-5
_SHARP = 1e-9
"""Share of a rectangle's half-width below which a blur is not seen."""


def probability_above_zero(
    distance: float, deviation: float, half_widths: Sequence[float] = ()
) -> float:
    """Probability that a value `distance` above its limit, less its error, is above 0.

    Args:
        distance: From the limit to the value, positive inside; any unit.
        deviation: Standard deviation of the normal part, the same unit, 0 or more.
        half_widths: Of the rectangular parts, the same unit; their sign doesn't count.
    """
    widths = [abs(width) for width in half_widths if width]
    rectangles = sum(width * width for width in widths) / 3
    variance = deviation * deviation + rectangles
    if variance == 0:
        return 1.0 if distance >= 0 else 0.0
    if len(widths) == 1:
        return _one_rectangle(distance, deviation, widths[0])
    if sum((width * width / 3 / variance) ** 2 for width in widths) <= NEARLY_NORMAL:
        return normal_cdf(distance / math.sqrt(variance))
    return _series(distance, deviation, widths)


def normal_cdf(z: float) -> float:
    """The standard normal distribution function."""
    return math.erfc(-z / math.sqrt(2)) / 2


def _one_rectangle(distance: float, deviation: float, width: float) -> float:
    """A rectangle blurred by a normal error: the mean of the normal function over its width."""
    if deviation <= _SHARP * width:
        return min(1.0, max(0.0, (distance + width) / (2 * width)))
    upper, lower = (distance + width) / deviation, (distance - width) / deviation
    return deviation / (2 * width) * (_normal_integral(upper) - _normal_integral(lower))


def _normal_integral(z: float) -> float:
    """The integral of the normal distribution function up to z."""
    return z * normal_cdf(z) + math.exp(-z * z / 2) / math.sqrt(2 * math.pi)


def _series(distance: float, deviation: float, widths: Sequence[float]) -> float:
    half_period = sum(widths) + 6 * deviation + abs(distance)
    total = 0.5 + distance / (2 * half_period)
    for k in range(1, _MAX_TERMS + 1):
        w = k * math.pi / half_period
        blur = math.exp(-((deviation * w) ** 2) / 2)
        size = blur
        fade = blur
        for width in widths:
            size *= math.sin(w * width) / (w * width)
            fade /= max(1.0, w * width)
        total += size * math.sin(w * distance) / (k * math.pi)
        if k >= _MIN_TERMS and fade < _NEGLIGIBLE * k:
            break
    return min(1.0, max(0.0, total))
