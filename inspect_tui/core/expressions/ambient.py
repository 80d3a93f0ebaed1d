"""The air of a session: typed once, used by every step that needs it.

A session's `conditions` hold what was typed; a reading whose checklist says `condition` counts
too, and the later of the two stands. Pressure follows from QNH and altitude, else from the
standard atmosphere at that altitude.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache
from typing import Final

from inspect_tui.core.expressions import calculation_rows, calculations
from inspect_tui.core.expressions.columns import Rows, Sampled, Samples
from inspect_tui.core.expressions.values import NOT_MEASURED, Missing, Value
from inspect_tui.core.quantities import units
from inspect_tui.core.quantities.typed_amount import refuse_thousands
from inspect_tui.core.quantities.units import Quantity, Unit
from inspect_tui.core.readings.typed_number import read_value
from inspect_tui.core.text.formatting import format_value
from inspect_tui.core.text.sanitize import sanitize
from inspect_tui.errors import BadInput, InspectError

UNITS: Final = {
    "temperature": "degC", "qnh": "hPa", "altitude": "m", "relative_humidity": "percent",
}  # fmt: skip
"""What is typed of the air, and the unit of a bare number."""
WORKED_OUT: Final = ("pressure", "density")
"""What follows from it."""
NAMES: Final = (*UNITS, *WORKED_OUT)
"""What `conditions.NAME` may say in an expression."""


_RANGES: Final = {
    "temperature": ("air_density", "The temperature of the air"),
    "qnh": ("station_pressure", "A sea-level pressure"),
    "altitude": ("standard_atmosphere", "A height above the sea"),
    "relative_humidity": ("air_density", "A relative humidity"),
}  # fmt: skip
"""By condition: the calculation whose range the air can be in, and what it is called."""


def refuse_impossible(name: str, value: Quantity, unit: Unit) -> None:
    """Air that there can't be is refused before it is written, in the unit that was typed.

    A log may hold such a figure: what rests on it can't be worked out, and says why.

    Args:
        name: One of `UNITS`.
        value: As typed.
        unit: In which it was typed.

    Raises:
        BadInput: it is outside the range of the calculations that rest on it.
    """
    used, thing = _RANGES[name]
    takes = next(one.takes for one in calculations.calculation(used).inputs if one.name == name)
    if takes is None or takes.holds(value.si):
        return
    ends = [Quantity(end, value.dimension, value.quantity_kind) for end in (takes.low, takes.high)]
    low, high = (units.number_in(end, unit) for end in ends)
    got = units.number_in(value, unit)
    shown = f"{format_value(low, digits=4)} to {format_value(high, unit.text, digits=4)}"
    own = units.unit(UNITS[name])
    if unit.name != own.name:
        low, high = (units.number_in(end, own) for end in ends)
        shown += f" ({format_value(low)} to {format_value(high, own.text)})"
    raise BadInput(f"{thing} of {format_value(got, unit.text)} can't be;", f"it is {shown}.")


@lru_cache(maxsize=64)  # asked for again by every value that rests on the air
def typed(name: str, text: str) -> Quantity:
    """One condition as typed. Raises BadInput in words, also for air that there can't be."""
    wanted = units.unit(UNITS[name])
    if name == "altitude":
        refuse_thousands(text)
    quantity = read_value(sanitize(text), wanted)
    number = units.number_in(quantity, wanted)
    if name == "relative_humidity" and not 0 <= number <= 100:
        raise BadInput(
            f"A relative humidity of {format_value(number)} % can't be.", "Use 0 to 100."
        )
    if name == "altitude":
        pressure = condition("pressure", {name: quantity})
        if isinstance(pressure, Missing):
            raise BadInput(pressure.reason)
    return quantity


def condition(name: str, known: dict[str, Quantity]) -> Value | Missing:
    """`conditions.NAME` from what is known of the air."""
    if name in UNITS:
        value = known.get(name)
        return NOT_MEASURED if value is None else value
    if "altitude" not in known:
        return NOT_MEASURED
    try:
        if "qnh" in known:
            answer = calculations.call(
                "station_pressure", {"qnh": known["qnh"], "altitude": known["altitude"]}
            )
        else:
            answer = calculations.call("standard_atmosphere", {"altitude": known["altitude"]})
        pressure = answer["pressure"]
        if name == "pressure":
            return pressure if isinstance(pressure, Quantity) else NOT_MEASURED
        if "temperature" not in known:
            return NOT_MEASURED
        humidity = known.get("relative_humidity", Quantity(Fraction(0)))
        density = calculations.call(
            "air_density",
            {
                "temperature": known["temperature"], "pressure": pressure,  # type: ignore[dict-item]
                "relative_humidity": humidity,
            },
        )["density"]  # fmt: skip
    except InspectError as error:
        return Missing(error.message, measured=True)
    return density if isinstance(density, Quantity) else NOT_MEASURED


def condition_in_rows(
    rows: Rows, name: str, known: Mapping[str, Sampled | Missing]
) -> Sampled | Missing:
    """`conditions.NAME` in every row, from what is known of the air there.

    Raises:
        BadInput: air that there can't be.
    """
    if name in UNITS:
        return known.get(name, NOT_MEASURED)
    wanted = ["altitude"]
    wanted += ["temperature"] if name == "density" else []
    if any(one not in known or isinstance(known[one], Missing) for one in wanted):
        return NOT_MEASURED
    altitude = {"altitude": known["altitude"]}
    pressure = (
        _in_rows(rows, "pressure", "station_pressure", {**altitude, "qnh": known["qnh"]})
        if "qnh" in known
        else _in_rows(rows, "pressure", "standard_atmosphere", altitude)
    )
    if name == "pressure" or isinstance(pressure, Missing):
        return pressure
    humidity = known.get("relative_humidity", Samples(0.0))
    return _in_rows(
        rows, "density", "air_density",
        {"temperature": known["temperature"], "pressure": pressure, "relative_humidity": humidity},
    )  # fmt: skip


def _in_rows(
    rows: Rows, key: str, name: str, arguments: Mapping[str, Sampled | Missing]
) -> Sampled | Missing:
    there = {word: value for word, value in arguments.items() if not isinstance(value, Missing)}
    if len(there) < len(arguments):
        return NOT_MEASURED
    return calculation_rows.call(rows, calculations.calculation(name), key, there)
