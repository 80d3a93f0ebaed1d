"""Value + limit + uncertainty -> verdict and margin. Nothing else in the program judges.

The one decision rule (JCGM 106:2012, ISO 14253-1): with an expanded uncertainty U (k = 2) the
probability that the true value lies inside decides: at least 0.95 passes, at most 0.05 fails,
between them it is uncertain, and so is a value inside a zone that is too narrow for its gauge.
Without an uncertainty the value itself decides, and a value on its limit is in.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from inspect_tui.calc.measurement import (
    MIN_CONFORMANCE_PROBABILITY,
    probability_inside,
    verdict_for,
)
from inspect_tui.core.expressions.expression import Missing, Value
from inspect_tui.core.model.results import ConformityResult, ToleranceInterval, Verdict
from inspect_tui.core.presentation import wording
from inspect_tui.core.presentation.figures import probability_words
from inspect_tui.core.presentation.row_words import limit_words
from inspect_tui.core.quantities import units
from inspect_tui.core.quantities.units import Number, Quantity, Unit
from inspect_tui.core.text.formatting import format_value
from inspect_tui.core.text.stamps import same_stamp
from inspect_tui.errors import InspectError

NOISE = 1e-12
"""Relative rounding noise of a calculation in floating point; a value this near is on its limit."""
FINEST = 100
"""A gauge this many times finer is not suggested: the value is as good as on its limit."""
NO_FIGURE = "the sheet has no figure for it"
"""Of a limit: the value's own label stands beside it, which says more than the figure's name."""
ONE_SIDED = 1.6448536269514722
"""Normal quantile of `MIN_CONFORMANCE_PROBABILITY`, in standard uncertainties."""


def zone(sides: Mapping[str, Value | Missing], unit: Unit) -> ToleranceInterval:
    """The limits of one value, worked out from the sides that the checklist gives.

    Args:
        sides: `min`, `max`, `target`, `tolerance`, `equal` as evaluated.
        unit: The value's own unit; the zone's numbers are in it.

    Returns:
        The zone; its `reason` is set where a side can't be worked out.
    """
    missing = [side for side in sides.values() if isinstance(side, Missing)]
    known = {name: side for name, side in sides.items() if not isinstance(side, Missing)}
    try:
        if not missing:
            return _zone(known, unit)
        # The side that is there still judges what lies beyond it.
        there = {name: side for name, side in known.items() if name in ("min", "max")}
        lacking = NO_FIGURE if missing[0].is_figure else missing[0].reason
        return replace(_zone(there, unit), reason=lacking)
    except InspectError as error:
        return ToleranceInterval(reason=error.message)


def _zone(sides: Mapping[str, Value | Missing], unit: Unit) -> ToleranceInterval:
    if "equal" in sides:
        return _equal(sides["equal"], unit)
    low: Number | None = None
    high: Number | None = None
    if "target" in sides:
        target = _number(sides["target"], unit)
        tolerance = _tolerance(sides.get("tolerance"), target, unit)
        low, high = target - tolerance, target + tolerance
    if "min" in sides:
        low = _number(sides["min"], unit)
    if "max" in sides:
        high = _number(sides["max"], unit)
    if low is not None and high is not None and low > high:
        least, most = (limit_words(end, end, unit.text) for end in (low, high))
        return ToleranceInterval(reason=f"the lower limit {least} is above the upper {most}")
    return ToleranceInterval(low, high, text=limit_words(low, high, unit.text))


def _equal(side: object, unit: Unit) -> ToleranceInterval:
    if isinstance(side, Quantity):
        number = _number(side, unit)
        return ToleranceInterval(number, number, text=limit_words(number, number, unit.text))
    if isinstance(side, bool):
        return ToleranceInterval(equal=(side,), text="yes" if side else "no")
    if isinstance(side, tuple):
        return ToleranceInterval(equal=side, text=" or ".join(str(word) for word in side))
    return ToleranceInterval(equal=(side,), text=str(side))


def _number(side: object, unit: Unit) -> Number:
    if not isinstance(side, Quantity):
        return _refuse(side)
    return units.number_in(side, unit)


def _refuse(side: object) -> Number:
    what = "a list" if isinstance(side, tuple) else f"'{side}'"
    raise InspectError(f"the limit gives {what} where a number is wanted")


def _tolerance(side: object, target: Number, unit: Unit) -> Number:
    if side is None:
        return Fraction(0)
    if not isinstance(side, Quantity):
        return _refuse(side)
    if side.quantity_kind == "percent" and unit.quantity_kind != "percent":
        return _size(target * side.si)
    return side.si / unit.factor


def _size(number: Number) -> Number:
    return -number if number < 0 else number


def assess_conformity(
    value: Number | bool | str,
    zone: ToleranceInterval | None,
    unit: str,
    uncertainty: Number | None = None,
    probability: float | None = None,
    repeats: int | None = None,
) -> ConformityResult:
    """The verdict of a value.

    Args:
        value: A number in its own unit, an answer or a text.
        zone: The limits in the same unit, or None where the checklist has none.
        unit: The unit's text, for the words.
        uncertainty: Expanded (k = 2), own unit; None where none is stated.
        probability: That the true value lies inside, where it isn't the normal distribution's with
            that uncertainty (a kink, a limit that is uncertain itself); else None.
        repeats: Of how many repeats the mean would settle it, where that is known.
    """
    if zone is None:
        return ConformityResult("none", None, uncertainty)
    if zone.reason:
        if not isinstance(value, bool | str) and (zone.low is not None or zone.high is not None):
            judged = _judge_number(value, zone, unit, uncertainty, probability, repeats)
            if judged.verdict == "fail":
                return judged
        return ConformityResult("none", zone, uncertainty, words=f"not judged: {zone.reason}")
    if zone.equal:
        return _judge_answer(value, zone, probability)
    if isinstance(value, bool | str) or (zone.low is None and zone.high is None):
        return ConformityResult(
            "none", zone, uncertainty, words="not judged: the limit is for a number"
        )
    return _judge_number(value, zone, unit, uncertainty, probability, repeats)


def _judge_answer(
    value: Number | bool | str, zone: ToleranceInterval, probability: float | None
) -> ConformityResult:
    same = [wanted for wanted in zone.equal if _same(value, wanted)]
    known = float(bool(same)) if probability is None else probability
    verdict = verdict_for(known, inside=bool(same))
    if verdict == "fail":
        words = f"fail, wanted: {zone.text}"
    elif verdict == "pass":
        words = "pass"
        if same and isinstance(value, str) and value.casefold() != str(same[0]).casefold():
            words += f", {value} taken as {same[0]}"
    else:
        words = (
            f"too close to call, {probability_words(known)}: measure again or with a better gauge"
        )
    return ConformityResult(verdict, zone, probability=probability, words=words)


def _same(value: object, wanted: object) -> bool:
    if isinstance(value, str) and isinstance(wanted, str):
        return same_stamp(value, wanted)
    return type(value) is type(wanted) and value == wanted


def _judge_number(
    value: Number,
    zone: ToleranceInterval,
    unit: str,
    uncertainty: Number | None,
    probability: float | None,
    repeats: int | None,
) -> ConformityResult:
    outside = [low - value for low in (zone.low,) if low is not None]
    outside += [value - high for high in (zone.high,) if high is not None]
    off = max(outside)
    if isinstance(off, float) and abs(off) <= NOISE * abs(float(value)):
        off = 0
    verdict: Verdict
    if probability is None and not uncertainty:
        verdict = "pass" if off <= 0 else "fail"
        words = _words(verdict, value, zone, unit, off)
        return ConformityResult(verdict, zone, uncertainty, signed_margin=off, words=words)
    if probability is None:
        probability = probability_inside(value, uncertainty or 0, zone.low, zone.high)
    verdict = verdict_for(probability, inside=off <= 0)
    words = _words(verdict, value, zone, unit, off)
    if verdict == "uncertain":
        words += (
            f", {probability_words(probability)}: measure again or with a better gauge"
            + what_would_decide(value, zone, off, uncertainty, unit, repeats)
        )
    return ConformityResult(verdict, zone, uncertainty, probability, off, words)


def _words(verdict: Verdict, value: Number, zone: ToleranceInterval, unit: str, off: Number) -> str:
    if verdict == "pass":
        return "pass"
    side = "under" if zone.low is not None and zone.low - value == off else "over"
    size = wording.distance(off, unit)
    if verdict == "fail":
        return f"fail: {size} {side}"
    if off == 0:
        return "too close to call, on the limit"
    return f"too close to call, {size} " + (f"{side} the limit" if off > 0 else "inside the limit")


def what_would_decide(
    value: Number,
    zone: ToleranceInterval,
    off: Number,
    uncertainty: Number | None,
    unit: str,
    repeats: int | None = None,
) -> str:
    """What would settle a value that is too close to call: a gauge this good, or repeats.

    Nothing settles a value on its limit, and a gauge a hundred times finer is nobody's.
    """
    wanted = gauge_that_decides(float(value), zone, float(off))
    if not uncertainty or float(uncertainty) > FINEST * wanted:  # on its limit nothing is wanted
        return ""
    gauge = format_value(wanted, wording.difference_unit(unit), digits=2)
    said = f"one good to ±{gauge}" if wanted < float(uncertainty) else ""
    if repeats is not None:
        said += f"{', or ' if said else ''}the mean of {repeats}, if it stays where it is,"
    return f" ({said} would settle it)" if said else ""


def gauge_that_decides(value: float, zone: ToleranceInterval, off: float) -> float:
    """The largest expanded uncertainty with which this value would be decided; 0 on the limit.

    With one limit in reach that is the distance over 1.645 standard uncertainties (JCGM 106,
    one-sided); inside a narrow zone the other limit takes its part.
    """
    if off == 0:
        return 0.0
    one_sided = 2 * abs(off) / ONE_SIDED
    if off > 0 or zone.low is None or zone.high is None:
        return one_sided
    low, high = 0.0, one_sided
    for _ in range(40):
        middle = (low + high) / 2
        inside = probability_inside(value, middle, float(zone.low), float(zone.high))
        low, high = (middle, high) if inside >= MIN_CONFORMANCE_PROBABILITY else (low, middle)
    return low
