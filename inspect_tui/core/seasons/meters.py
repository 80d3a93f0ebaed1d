"""A meter that reads less than it did: was it replaced, or turned back? Pure."""

from __future__ import annotations

from inspect_tui.core.model.checklist import Reading
from inspect_tui.core.seasons.machine_state import MachineState
from inspect_tui.core.seasons.units import converted
from inspect_tui.core.text.formatting import format_value


def meter_question(state: MachineState, reading: Reading, value: object) -> str:
    """What is asked before a meter's reading is saved that is below the last one; else "".

    Answered by saving it: from a lower reading on, a new count begins, and what was driven
    before stays driven (`MachineState`, `history_of`).

    Args:
        state: The machine after its earlier sessions.
        reading: What was read.
        value: In the reading's unit.
    """
    before = state.meters.get(reading.meter)
    if before is None:
        return ""
    then = converted(before.value, before.unit, reading.unit)
    now = converted(value, reading.unit, reading.unit)
    if then is None or now is None or now >= then:
        return ""
    read = format_value(then, reading.unit)
    return (
        f"it read {read} on {before.last:%Y-%m-%d}; was the meter replaced or turned back? "
        "Saved so, a new count begins here"
    )
