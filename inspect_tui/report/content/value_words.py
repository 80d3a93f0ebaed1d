"""Values, limits and verdicts as a page says them: as typed, converted beside it, rounded."""

from __future__ import annotations

from inspect_tui.core.model.checklist import Derived, Reading
from inspect_tui.core.model.results import ConformityResult, DerivedRow, ReadingRow
from inspect_tui.core.model.results import ToleranceInterval as Zone
from inspect_tui.core.presentation import wording
from inspect_tui.core.presentation.figures import (
    format_quantity,
    format_reading,
    format_uncertainty,
    probability_words,
)
from inspect_tui.core.presentation.unit_text import format_unit
from inspect_tui.core.quantities.units import Number
from inspect_tui.core.text.formatting import format_value


def shown(row: ReadingRow | DerivedRow) -> str:
    """A value as a page shows it, or why there is none."""
    if isinstance(row, DerivedRow):
        if row.value is None:
            return missing(row.reason)
        return format_quantity(row.value, row.unit, row.judged.uncertainty, edges(row.judged.zone))
    return shown_reading(row.entered, None if row.unknown else row.value, row.unit, row.judged)


def shown_reading(
    entered: str, value: Number | bool | str | None, unit: str, judged: ConformityResult
) -> str:
    """A reading as it was typed, and in its own unit in brackets where that is another one."""
    typed = " ".join(entered.split())
    if unit == "s" and ":" in typed:  # a watch needs no conversion
        return typed
    return format_reading(typed, value, unit, judged.uncertainty, edges(judged.zone))


def missing(reason: str) -> str:
    """Why a derived value can't be worked out."""
    if not reason or reason.startswith("not measured"):
        return reason or "not worked out"
    return f"not worked out: {reason}"


def edges(zone: Zone | None) -> tuple[Number | None, ...]:
    """The ends of a zone, on whose side a rounded value stays."""
    return () if zone is None else (zone.low, zone.high)


def limit_words(zone: Zone | None, unit: str) -> str:
    """A zone: `31.5 mm or more`, `30 to 35 mm`, `1 to 1-1/4 turns`, `K41`; why there is none."""
    if zone is None:
        return ""
    if zone.reason:
        return f"no limit: {zone.reason}"
    if zone.equal:
        return zone.text
    low, high = zone.low, zone.high
    if low is None and high is None:
        return zone.text
    if low is None or high is None or low == high:
        end = _exact(high if low is None else low, unit)
        return f"{end} or less" if low is None else f"{end} or more" if high is None else end
    first, last = _exact(low, unit), _exact(high, unit)
    return f"{first.removesuffix(_tail(low, unit)).rstrip()} to {last}"


def sheet_words(item: Reading | Derived, zone: Zone | None, unit: str) -> str:
    """What the sheet says: a target with its tolerance, else the limit."""
    limit = item.limit
    if limit is None or zone is None:
        return ""
    if limit.target is None or zone.low is None or zone.high is None or zone.reason:
        return limit_words(zone, unit)
    target = (zone.low + zone.high) / 2
    tolerance = (zone.high - zone.low) / 2
    said = _exact(target, unit)
    if not tolerance:
        return said
    number = said.removesuffix(_tail(target, unit)).rstrip()
    return f"{number} ± {_exact(tolerance, wording.difference_unit(unit))}"


def verdict_brief(value: Number | bool | str | None, unit: str, judged: ConformityResult) -> str:
    """A verdict in a few words: `pass`, `3 mm over`, `should be clean`, `too close to call`."""
    if judged.zone is None:
        return ""
    if judged.verdict == "none":
        return "" if judged.zone.reason else judged.words
    off = _off(value, unit, judged)
    if judged.verdict == "pass":
        return judged.words or "pass"
    if judged.verdict == "fail":
        return off or judged.words.removeprefix("fail: ")
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


def _exact(number: Number | None, unit: str) -> str:
    """A limit, never rounded but for turns, which people write as fractions."""
    assert number is not None
    if unit == "turn":
        turns = format_quantity(number, unit)
        if not turns.startswith("about"):
            return turns
    written = format_unit(unit, number)
    return format_value(number, written)


def _tail(number: Number, unit: str) -> str:
    """The unit that stands behind such a number, which a range names once."""
    return format_unit(unit, number)
