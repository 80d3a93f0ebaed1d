"""Calculations, one module a subject: pure functions, and the register of them all.

The TOML's expressions, the `calc` command and the app read `REGISTER`; nothing here imports any
other part of the package, and nothing but the standard library is imported at all.
"""

from __future__ import annotations

from difflib import get_close_matches

from inspect_tui.calc.atmosphere import AIR_DENSITY, STANDARD_ATMOSPHERE, STATION_PRESSURE
from inspect_tui.calc.chain import CHAIN_ELONGATION, CHAIN_LENGTH, CHAIN_SAG
from inspect_tui.calc.crank import COMPRESSION_AT_SEA_LEVEL, PISTON_POSITION, TIMING_ANGLE
from inspect_tui.calc.drive import BELT_LENGTH, FLYWEIGHT_FORCE, ROAD_SPEED, TOE
from inspect_tui.calc.fasteners import PROOF_LOAD, TIGHTENING_TORQUE, TORQUE_WITH_EXTENSION
from inspect_tui.calc.fluids import (
    COOLANT_FREEZE_POINT,
    ELECTROLYTE_FREEZE_POINT,
    OIL_FOR_FUEL,
    OIL_RATIO,
)
from inspect_tui.calc.jets import JET_DIFFERENCE, JET_FOR_AIR
from inspect_tui.calc.measurement import CONFORMANCE, REPEAT_READINGS, SPREAD
from inspect_tui.calc.registry import Calculation
from inspect_tui.calc.springs import SPRING_RATE, WIRE_SPRING_RATE
from inspect_tui.calc.swapped_parts import SWAPPED_PARTS
from inspect_tui.calc.tension import DEFLECTION_AT_LOAD, SPAN_TENSION

__all__ = ["REGISTER", "calculation"]

REGISTER: dict[str, Calculation] = {
    entry.name: entry
    for entry in (
        STANDARD_ATMOSPHERE,
        STATION_PRESSURE,
        AIR_DENSITY,
        JET_DIFFERENCE,
        JET_FOR_AIR,
        SPAN_TENSION,
        DEFLECTION_AT_LOAD,
        CHAIN_ELONGATION,
        CHAIN_LENGTH,
        CHAIN_SAG,
        SPRING_RATE,
        WIRE_SPRING_RATE,
        PISTON_POSITION,
        TIMING_ANGLE,
        COMPRESSION_AT_SEA_LEVEL,
        SPREAD,
        SWAPPED_PARTS,
        TORQUE_WITH_EXTENSION,
        TIGHTENING_TORQUE,
        CONFORMANCE,
        REPEAT_READINGS,
        ROAD_SPEED,
        BELT_LENGTH,
        FLYWEIGHT_FORCE,
        OIL_FOR_FUEL,
        OIL_RATIO,
        TOE,
        COOLANT_FREEZE_POINT,
        ELECTROLYTE_FREEZE_POINT,
        PROOF_LOAD,
    )
}
"""Every calculation by its name, in the order in which people read them."""


def calculation(name: str) -> Calculation:
    """The calculation of that name.

    Raises:
        ValueError: there is none; the message names the nearest one.
    """
    found = REGISTER.get(name)
    if found is not None:
        return found
    near = get_close_matches(name, REGISTER, n=1)
    hint = f"; did you mean {near[0]}?" if near else ""
    raise ValueError(f"no calculation is called {name!r}{hint}")
