"""What the last session left of a reading, and how far it is from there now. Pure."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from inspect_tui.core.model.checklist import Reading, Step
from inspect_tui.core.model.log_entry import TAKEN_OVER
from inspect_tui.core.presentation.figures import format_quantity, format_reading
from inspect_tui.core.quantities import dimensions, units
from inspect_tui.core.quantities.units import Number
from inspect_tui.core.readings import plausibility
from inspect_tui.core.seasons.history import NUMBERS, Place
from inspect_tui.core.seasons.machine_state import LastValue, MachineState
from inspect_tui.core.seasons.summary import PastValue
from inspect_tui.core.seasons.units import converted, span_converted

DIFFERENCES = {"degC": "delta_degC", "degF": "delta_degF"}
"""The unit of a difference, where it is another one."""


@dataclass(frozen=True, slots=True)
class Change:
    """How far a value is off the last one."""

    by: float
    """In the reading's unit; below nought it is less now."""
    explained: float
    """What the uncertainties explain, expanded (k = 2), in the reading's unit."""
    gauges: int
    """How many of the two uncertainties are stated."""

    @property
    def is_real(self) -> bool:
        """Whether it is more than the uncertainties explain; never where none is stated."""
        return self.gauges > 0 and abs(self.by) > self.explained


def last_values(
    state: MachineState, steps: Iterable[Step], cylinders: Iterable[str]
) -> Mapping[Place, LastValue]:
    """By place, what the newest earlier session left of each reading of a list.

    Another list's value counts where it has the same step and reading, or where one of the two
    carries the other on (`same_as`); only one of the same kind and dimension.

    Args:
        state: The machine after the sessions before.
        steps: Of the list; those added on the spot are no list's and have none.
        cylinders: The machine's.
    """
    found: dict[Place, LastValue] = {}
    names = tuple(cylinders)
    for step in steps:
        for reading in step.readings:
            for cylinder in names if step.per_cylinder else (None,):
                last = _last(state, step.id, reading, cylinder)
                if last is not None:
                    found[step.id, reading.id, cylinder] = last
    return found


def _last(
    state: MachineState, step: str, reading: Reading, cylinder: str | None
) -> LastValue | None:
    places = [(step, reading.id)]
    if reading.carries_on is not None:
        places.append(reading.carries_on)
    alike = (
        each
        for place in places
        for each in state.lasts(*place, cylinder)
        if _is_alike(reading, each.value)
    )
    return max(alike, key=lambda each: each.value.at, default=None)


def _is_alike(reading: Reading, value: PastValue) -> bool:
    if value.kind != reading.kind or value.unit == reading.unit:
        return value.kind == reading.kind
    return converted(value.value, value.unit, reading.unit) is not None


def is_set_by_hand(reading: Reading) -> bool:
    """Whether the last value may be entered as it was: it is set, not measured."""
    return reading.by_hand or reading.stays


def change_since(
    reading: Reading, last: PastValue, value: object, uncertainty: Number | None
) -> Change | None:
    """How far a value is off the last one; None where that says nothing.

    A difference counts against the root of both squares (GUM 5.1.2, independent, k = 2). A meter,
    the air and what is set by hand differ by their nature.

    Args:
        reading: What was taken.
        last: What was left of it.
        value: Now, in the reading's unit.
        uncertainty: Of `value`, expanded (k = 2), in its unit; None where none is stated.
    """
    if reading.kind not in NUMBERS or reading.meter or reading.condition:
        return None
    if is_set_by_hand(reading):
        return None
    then = converted(last.value, last.unit, reading.unit)
    now = converted(value, reading.unit, reading.unit)
    if then is None or now is None:
        return None
    stated = [
        float(each)
        for each in (uncertainty, span_converted(last.uncertainty, last.unit, reading.unit))
        if each is not None
    ]
    return Change(now - then, math.hypot(*stated), len(stated))


def last_question(reading: Reading, last: PastValue, value: Number, written: str) -> str:
    """What is asked of a value that misses the last one by a usual slip; "" where nothing is.

    The air, a meter, hours and months differ by their nature.

    Args:
        reading: What was taken.
        last: What was left of it.
        value: Now, in the reading's unit.
        written: pint's name of the unit that was typed; "" for a bare number.
    """
    if reading.kind != "number" or reading.meter or reading.condition:
        return ""
    own = units.unit(reading.unit)
    then = converted(last.value, last.unit, reading.unit)
    if own.dimension == dimensions.TIME or then is None:
        return ""
    number = Fraction(then).limit_denominator(10**6)
    asked = plausibility.beside_neighbours(
        Fraction(value), own, [number], written, f"last time's, on {last.at:%Y-%m-%d},"
    )
    return asked or ""


def last_words(last: PastValue) -> str:
    """What was left and when: `34.6 mm on 2026-03-12`."""
    shown = format_reading(last.entered, last.value, last.unit, last.uncertainty)
    return f"{shown} on {last.at:%Y-%m-%d}"


def change_words(reading: Reading, change: Change | None) -> str:
    """`0.9 mm less than last time, more than both gauges explain`; "" where it is not."""
    if change is None or not change.is_real:
        return ""
    unit = DIFFERENCES.get(reading.unit, reading.unit)
    size = format_quantity(abs(change.by), unit, change.explained)
    gauges = "both gauges explain" if change.gauges > 1 else "the gauge explains"
    return f"{size} {'less' if change.by < 0 else 'more'} than last time, more than {gauges}"


def taken_over(last: PastValue) -> str:
    """What the log says of a setting that was taken over and not looked at: a reading's state."""
    return f"{TAKEN_OVER}, left on {last.at:%Y-%m-%d}"


def known_words(last: PastValue) -> str:
    """Why a reading is not taken again."""
    return f"known: {last_words(last)}"
