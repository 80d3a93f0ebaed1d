"""Values, limits and verdicts as a page says them: as typed, converted beside it, rounded."""

from __future__ import annotations

from inspect_tui.core.model.checklist import Derived, Reading
from inspect_tui.core.model.results import ConformityResult
from inspect_tui.core.model.results import ToleranceInterval as Zone
from inspect_tui.core.presentation import wording
from inspect_tui.core.presentation.figures import (
    format_quantity,
    format_uncertainty,
    probability_words,
)
from inspect_tui.core.presentation.row_words import limit_number
from inspect_tui.core.quantities.units import Number
from inspect_tui.core.text.unit_text import format_unit


def limit_words(zone: Zone | None) -> str:
    """A zone: `31.5 mm or more`, `30 to 35 mm`, `1 to 1-1/4 turns`, `K41`; why there is none."""
    if zone is None:
        return ""
    if zone.reason:
        return f"no limit: {zone.reason}"
    return zone.text


def sheet_words(item: Reading | Derived, zone: Zone | None, unit: str) -> str:
    """What the sheet says: a target with its tolerance, else the limit."""
    limit = item.limit
    if limit is None or zone is None:
        return ""
    if limit.target is None or zone.low is None or zone.high is None or zone.reason:
        return limit_words(zone)
    target = (zone.low + zone.high) / 2
    tolerance = (zone.high - zone.low) / 2
    said = limit_number(target, unit)
    if not tolerance:
        return said
    number = said.removesuffix(format_unit(unit, target)).rstrip()
    return f"{number} ± {limit_number(tolerance, wording.difference_unit(unit))}"


def verdict_brief(value: Number | bool | str | None, unit: str, judged: ConformityResult) -> str:
    """A verdict in a few words: `pass`, `3 mm over`, `wanted: clean`, `too close to call`."""
    if judged.zone is None:
        return ""
    if judged.verdict == "none":
        return "" if judged.zone.reason else judged.words
    off = _off(value, unit, judged)
    if judged.verdict == "pass":
        return judged.words or "pass"
    if judged.verdict == "fail":
        return off or judged.words.removeprefix("fail: ").removeprefix("fail, ")
    chance = "" if judged.probability is None else f", {probability_words(judged.probability)}"
    return f"too close to call{f': {off}' if off else ''}{chance}"


def uncertainty_brief(judged: ConformityResult, unit: str) -> str:
    """`±0.5 mm` of a value that was judged by it; else nothing."""
    if judged.zone is None or not judged.uncertainty or judged.zone.equal:
        return ""
    return format_uncertainty(judged.uncertainty, wording.difference_unit(unit))


def _off(value: Number | bool | str | None, unit: str, judged: ConformityResult) -> str:
    """How far from the nearest limit, and on which side."""
    off, zone = judged.signed_margin, judged.zone
    if off is None or value is None or isinstance(value, bool | str) or zone is None:
        return ""
    if off == 0:
        return "on the limit"
    size = format_quantity(max(off, -off), wording.difference_unit(unit), judged.uncertainty)
    if off < 0:
        return f"{size} inside"
    return f"{size} {'under' if zone.low is not None and value < zone.low else 'over'}"
