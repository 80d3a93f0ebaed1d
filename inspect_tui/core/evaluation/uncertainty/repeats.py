"""What repeats of one reading tell, beside what is stated of its gauge.

Repeats can only help: with a stated uncertainty they reduce the part that differs from reading to
reading, as far as it is known which part that is, and never widen it, unless they scatter more
than it explains (chi-square at 1 %); then the scatter is said and counts. Student's t comes in
only where the scatter itself is what is known of the error. Resolution is not averaged out while
the repeats fall on the same few divisions. Sources: JCGM 100:2008, 4.2, F.2.2.1 and G.4; Grubbs
1969.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from inspect_tui.calc.distributions import chi_square_quantile, grubbs_limit
from inspect_tui.calc.measurement import MIN_CONFORMANCE_PROBABILITY
from inspect_tui.core.evaluation.uncertainty.first_order import normal_cdf

SURE = 0.99
"""Chi-square probability from which repeats scatter more than is stated."""
ONE_SIDED = 1.6448536269514722
"""Normal quantile of `MIN_CONFORMANCE_PROBABILITY`."""
MAX_SUGGESTED = 25
"""More repeats than this are not suggested; another gauge is the better advice."""
_NOISE = 1e-12
"""Relative scatter that is rounding of floats."""


@dataclass(frozen=True, slots=True)
class StatedError:
    """What is stated of a gauge, as standard uncertainties in the reading's own unit."""

    whole: float | None = None
    """Of one reading; None where nothing is stated."""
    between: float | None = None
    """The part of it that differs from reading to reading; None where that isn't known."""
    division: float = 0.0
    """The gauge's resolution, full width; 0 where it isn't known."""

    @property
    def resolution(self) -> float:
        """The standard uncertainty of reading to whole divisions (JCGM 100:2008, F.2.2.1)."""
        return self.division / math.sqrt(12)

    @property
    def common(self) -> float:
        """What no repeat averages out, where it is known which part that is."""
        if self.whole is None or self.between is None:
            return 0.0
        return math.sqrt(max(0.0, self.whole**2 - self.between**2 - self.resolution**2))

    @property
    def own(self) -> float:
        """The normal part that differs from reading to reading, or may."""
        if self.between is not None:
            return self.between
        if self.whole is None:
            return 0.0
        return math.sqrt(max(0.0, self.whole**2 - self.resolution**2))


@dataclass(frozen=True, slots=True)
class ErrorOfMean:
    """The error of one reading, or of the mean of its repeats, in the reading's own unit."""

    own: float = 0.0
    """Standard deviation of what differs from reading to reading."""
    half_resolution: float = 0.0
    """Half-width of the rectangle."""
    common: float = 0.0
    """Standard deviation of the gauge's own error."""
    degrees_of_freedom: float = math.inf
    """Of `own`."""
    known: bool = False
    """Whether anything is stated or was seen of it; else it counts as exact."""
    exceeded: bool = False
    """The repeats scatter more than what is stated explains."""
    outlier: float | None = None
    """The repeat that Grubbs' test questions at 5 %, two-sided."""

    @property
    def standard(self) -> float:
        """All parts together."""
        return math.sqrt(self.own**2 + self.half_resolution**2 / 3 + self.common**2)

    @property
    def effective_degrees_of_freedom(self) -> float:
        """Of `standard` (Welch-Satterthwaite, JCGM 100:2008, G.4.1)."""
        if not math.isfinite(self.degrees_of_freedom) or not self.own:
            return math.inf
        return self.standard**4 * self.degrees_of_freedom / self.own**4


def error_of_one(stated: StatedError) -> ErrorOfMean:
    """The error of a single reading."""
    return ErrorOfMean(
        stated.own, stated.division / 2, stated.common,
        known=stated.whole is not None or stated.division > 0,
    )  # fmt: skip


def error_of_mean(values: Sequence[float], stated: StatedError) -> ErrorOfMean:
    """The error of the mean of two or more repeats.

    Args:
        values: The repeats, own unit.
        stated: What is stated of one reading of this gauge.
    """
    count = len(values)
    mean = math.fsum(values) / count
    scatter = math.sqrt(math.fsum((value - mean) ** 2 for value in values) / (count - 1))
    if scatter <= _NOISE * max(map(abs, values)):
        scatter = 0.0
    found = _of_scatter(scatter, count, stated)
    return replace(found, outlier=_outlier(values, mean, scatter))


def _of_scatter(scatter: float, count: int, stated: StatedError) -> ErrorOfMean:
    if stated.whole is None and not stated.division:
        if not scatter:
            return ErrorOfMean()  # equal repeats say nothing of a gauge of which nothing is known
        return ErrorOfMean(scatter / math.sqrt(count), 0.0, 0.0, count - 1, known=True)
    explained = stated.whole or 0.0
    if stated.between is not None or stated.whole is None:
        explained = math.hypot(stated.own, stated.resolution)
    if _exceeds(scatter, explained, count):
        of_mean = scatter / math.sqrt(count)
        if stated.between is None and stated.whole is not None:
            # Which part is the gauge's own isn't known, so all of it may differ between readings.
            own = math.hypot(stated.whole, of_mean)
            freedom = own**4 * (count - 1) / of_mean**4
            return ErrorOfMean(own, degrees_of_freedom=freedom, known=True, exceeded=True)
        return ErrorOfMean(of_mean, 0.0, stated.common, count - 1, known=True, exceeded=True)
    if stated.between is None and stated.whole is not None:
        return error_of_one(stated)
    half = stated.division / 2
    averaged = scatter >= half  # the divisions differ enough for their error to average out
    return ErrorOfMean(
        stated.own / math.sqrt(count), half / math.sqrt(count) if averaged else half,
        stated.common, known=True,
    )  # fmt: skip


def excess(scatter: float, explained: float, count: int) -> float:
    """The chi-square of a scatter against what is stated, (n - 1) s^2/u^2."""
    if explained == 0:
        return math.inf if scatter else 0.0
    return (count - 1) * (scatter / explained) ** 2


def _exceeds(scatter: float, explained: float, count: int) -> bool:
    return excess(scatter, explained, count) > chi_square_quantile(SURE, count - 1)


def _outlier(values: Sequence[float], mean: float, scatter: float) -> float | None:
    if len(values) < 3 or not scatter:
        return None
    furthest = max(values, key=lambda value: abs(value - mean))
    return furthest if abs(furthest - mean) / scatter > grubbs_limit(len(values)) else None


def repeats_that_decide(
    distance: float, stated: StatedError, error: ErrorOfMean, now: int, width: float | None = None
) -> int | None:
    """Of how many repeats the mean would decide, if it stays where it is; None where none would.

    Args:
        distance: To the nearest limit, own unit, positive inside and negative beyond it.
        stated: What is stated of one reading.
        error: That of the reading as it stands.
        now: How many repeats there are already, 1 for a single reading.
        width: Of the zone, where it has two limits.
    """
    if stated.whole is None or stated.between is None or error.exceeded:
        return None
    away = abs(distance)
    fixed = stated.common**2 + stated.resolution**2
    room = (away / ONE_SIDED) ** 2 - fixed
    if room <= 0:
        return None
    count = math.ceil(stated.between**2 / room * (1 - _NOISE))
    if not now < count <= MAX_SUGGESTED:
        return None
    if width is not None and distance > 0:
        # Inside, both limits take their part.
        u = math.sqrt(fixed + stated.between**2 / count)
        inside = normal_cdf(distance / u) + normal_cdf((width - distance) / u) - 1
        if inside < MIN_CONFORMANCE_PROBABILITY:
            return None
    return count
