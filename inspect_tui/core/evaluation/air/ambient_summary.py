"""The air that a session reckons with, in words, and the steps that rest on it."""

from __future__ import annotations

from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.expressions import ambient
from inspect_tui.core.model.log_entry import AS_LEFT
from inspect_tui.core.model.results import Air, AirLine
from inspect_tui.core.quantities import units
from inspect_tui.core.quantities.units import Quantity
from inspect_tui.core.text.formatting import format_value

_SHOWN = {**ambient.UNITS, "pressure": "hPa", "density": "kg/m^3"}
_SIGNS = {"degC": "°C", "percent": "%", "kg/m^3": "kg/m³"}
_WORKED_OUT_DIGITS = 4


def in_force(evaluation: Evaluator) -> Air:
    """What was typed of the air, what follows from it, and where it counts."""
    known = evaluation.air(AS_LEFT)
    lines = []
    for name in ambient.NAMES:
        value = ambient.condition(name, known)
        if isinstance(value, Quantity):
            unit = _SHOWN[name]
            worked_out = name in ambient.WORKED_OUT
            number = units.number_in(value, units.unit(unit))
            shown = format_value(
                number, _SIGNS.get(unit, unit), digits=_WORKED_OUT_DIGITS if worked_out else None
            )
            lines.append(AirLine(name, shown, worked_out))
    return Air(tuple(lines), evaluation.definitions.steps_of_air)
