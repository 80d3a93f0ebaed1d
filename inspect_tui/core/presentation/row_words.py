"""A recorded or worked-out value as every screen, command and report says it.

Pure. As it was typed, converted beside it, rounded to its uncertainty, on its own side of a limit.
"""

from __future__ import annotations

from inspect_tui.core.model.results import (
    ConformityResult,
    DerivedRow,
    ReadingRow,
    ToleranceInterval,
)
from inspect_tui.core.presentation.figures import format_quantity, format_reading
from inspect_tui.core.quantities.units import Number
from inspect_tui.core.text.formatting import clock_words, format_value, is_clock
from inspect_tui.core.text.unit_text import format_unit


def row_words(row: ReadingRow | DerivedRow) -> str:
    """A row's value: `95 psi (655 kPa)`, `about 5/8 turn`, `unknown`; why there is none."""
    if isinstance(row, ReadingRow):
        return entered_words(row.entered, None if row.unknown else row.value, row.unit, row.judged)
    if row.value is None:
        return missing(row.reason)
    return format_quantity(row.value, row.unit, row.judged.uncertainty, edges(row.judged.zone))


def entered_words(
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


def limit_words(low: Number | None, high: Number | None, unit: str) -> str:
    """A zone: `31.5 mm or more`, `30 to 35 mm`, `1 to 1-1/4 turns`, `5:00 or more`; or nothing."""
    if low is None:
        return "" if high is None else f"{limit_number(high, unit)} or less"
    if high is None:
        return f"{limit_number(low, unit)} or more"
    if low == high:
        return limit_number(low, unit)
    if unit == "s" and (is_clock(low) or is_clock(high)):
        return f"{clock_words(low)} to {clock_words(high)}"
    first = limit_number(low, unit).removesuffix(format_unit(unit, low)).rstrip()
    return f"{first} to {limit_number(high, unit)}"


def limit_number(number: Number, unit: str) -> str:
    """A limit, never rounded: turns as people write fractions of them, a minute as on a watch."""
    if unit == "turn":
        turns = format_quantity(number, unit)
        if not turns.startswith(("about", "less")):
            return turns
    return clock_words(number) if unit == "s" and is_clock(number) else format_value(number, unit)


def edges(zone: ToleranceInterval | None) -> tuple[Number | None, ...]:
    """The ends of a zone, on whose side a rounded value stays."""
    return () if zone is None else (zone.low, zone.high)
