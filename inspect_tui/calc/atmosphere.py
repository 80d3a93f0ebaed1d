"""Air: the standard atmosphere, the pressure where the machine stands, the density of the air."""

from __future__ import annotations

import math

from inspect_tui.calc.input_checks import Real, between
from inspect_tui.calc.registry import Input, Outcome, Refusal, Result, declare

SEA_LEVEL_TEMPERATURE = 288.15
"""K, ISO 2533."""
SEA_LEVEL_PRESSURE = 101325.0
"""Pa, ISO 2533."""
SEA_LEVEL_DENSITY = 1.225
"""kg/m3, ISO 2533."""
LAPSE_RATE = 0.0065
"""K per metre of geopotential height, ISO 2533, up to 11 km."""
GRAVITY = 9.80665
"""m/s2, ISO 2533 (and the 3rd CGPM)."""
GAS_CONSTANT_AIR = 287.05287
"""J/(kg K), dry air, ISO 2533."""
GAS_CONSTANT_VAPOUR = 461.52
"""J/(kg K), water vapour."""
PRESSURE_EXPONENT = GRAVITY / (LAPSE_RATE * GAS_CONSTANT_AIR)
"""5.25588: pressure goes with temperature to this power."""

ALTITUDES = between(-500, 11_000)
"""m, geopotential: where the troposphere's formulas hold."""
PRESSURES = between(30_000, 110_000)
"""Pa: of any air that a person stands in."""
TEMPERATURES = between(213.15, 333.15)
"""K: -60 degC to 60 degC, of any air or fluid in a shed or on a trail."""


def standard_pressure(altitude: Real) -> float:
    """Pressure of the standard atmosphere in Pa at a geopotential height in m (not checked)."""
    ratio = 1 - LAPSE_RATE * float(altitude) / SEA_LEVEL_TEMPERATURE
    return float(SEA_LEVEL_PRESSURE * ratio**PRESSURE_EXPONENT)


def dry_air_density(temperature: Real, pressure: Real) -> float:
    """Density of dry air in kg/m3 from K and Pa, ideal gas (not checked)."""
    return float(pressure) / (GAS_CONSTANT_AIR * float(temperature))


def saturation_pressure_over_water(temperature: Real) -> float:
    """Saturation vapour pressure in Pa over liquid water (supercooled below 0 degC).

    e = 611.21 exp((18.678 - t/234.5) t/(257.14 + t)), t in degC (Buck 1996; coefficients seen in
    public code). Over water also below freezing, because that is how weather stations state
    relative humidity. Within 0.4 % of Hyland-Wexler from -40 to 30 degC.
    """
    celsius = float(temperature) - 273.15
    return 611.21 * math.exp((18.678 - celsius / 234.5) * celsius / (257.14 + celsius))


@declare(
    subject="air and jets",
    title="Standard atmosphere at a height",
    inputs=(
        Input(
            "altitude", "m", "height above sea level (geopotential)", "6000 ft",
            ALTITUDES, at=1500.0, u=10.0,
        ),
    ),
    results=(
        Result("pressure", "Pa", "pressure of the air", "kPa"),
        Result("temperature", "K", "temperature of the air", "degC"),
        Result("density", "kg/m**3", "density of dry air"),
    ),
    formula="T = T0 - L H; p = p0 (T/T0)^(g0/(L R)); rho = p/(R T)",
    source="ISO 2533:1975; US Standard Atmosphere 1976",
    valid="-500 m to 11000 m, geopotential height; dry air on a standard day, not today's weather.",
    harm="Cold air is denser than this table says: jetting by it alone errs to the lean side.",
    refuses=(Refusal({"altitude": 11_001}, "altitude must be from -500 m to 11000 m"),),
)  # fmt: skip
def standard_atmosphere(*, altitude: Real) -> dict[str, Outcome]:
    """Pressure, temperature and density of the standard atmosphere.

    The height on the map is within 0.02 % in density of the geopotential one up to 3000 m.
    """
    temperature = SEA_LEVEL_TEMPERATURE - LAPSE_RATE * float(altitude)
    pressure = standard_pressure(altitude)
    return {
        "pressure": pressure,
        "temperature": temperature,
        "density": dry_air_density(temperature, pressure),
    }


@declare(
    subject="air and jets",
    title="Pressure at the place from a weather report",
    inputs=(
        Input(
            "qnh", "Pa", "pressure reduced to sea level, from the weather report", "1013 hPa",
            between(85_000, 110_000), at=101_800.0, u=50.0, label="sea-level pressure",
        ),
        Input(
            "altitude", "m", "height of the place above sea level", "6000 ft",
            ALTITUDES, at=1500.0, u=10.0,
        ),
    ),
    results=(Result("pressure", "Pa", "pressure where the machine stands", "kPa"),),
    formula="p = p0 ((QNH/p0)^n - L H/T0)^(1/n), n = L R/g0 = 0.190263",
    source="ICAO Doc 7488 and the definition of QNH (from memory)",
    valid="850 hPa to 1100 hPa, -500 m to 11000 m; standard fall of pressure down to sea level.",
    harm="The reported sea-level pressure itself would make the air look too dense.",
    refuses=(Refusal({"qnh": 1013}, "qnh must be from 85000 Pa"),),
)  # fmt: skip
def station_pressure(*, qnh: Real, altitude: Real) -> dict[str, Outcome]:
    """The pressure of the air where the machine stands, from a weather report.

    A pressure reduced by the day's own temperature (QFF) is off by some hPa on a very cold or hot
    day. Taking the report's pressure itself for that of the place errs to the rich side.
    """
    base = (float(qnh) / SEA_LEVEL_PRESSURE) ** (1 / PRESSURE_EXPONENT)
    base -= LAPSE_RATE * float(altitude) / SEA_LEVEL_TEMPERATURE
    return {"pressure": SEA_LEVEL_PRESSURE * base**PRESSURE_EXPONENT}


@declare(
    subject="air and jets",
    title="Density of the air",
    inputs=(
        Input(
            "temperature", "K", "temperature of the air", "-20 degC",
            TEMPERATURES, at=258.15, u=0.5,
        ),
        Input(
            "pressure", "Pa", "pressure at the place (not reduced to sea level)", "95 kPa",
            PRESSURES, at=84_500.0, u=100.0,
        ),
        Input(
            "relative_humidity", "fraction", "relative humidity over water", "70 %",
            between(0, 1), at=0.6, u=0.05, optional=True, default=0,
        ),
    ),
    results=(
        Result("density", "kg/m**3", "density of the moist air"),
        Result("relative_density", "", "density against 1.225 kg/m3"),
        Result("density_altitude", "m", "height where the standard air is as dense", "m"),
    ),
    formula=(
        "rho = (p - e)/(R T) + e/(Rv T), e = RH * Buck's saturation pressure over water; density "
        "altitude = (T0/L)(1 - (rho/1.225)^(1/4.25588))"
    ),
    source="ideal gas of two parts with the constants of ISO 2533; Buck 1996 for saturation",
    valid="-60 degC to 60 degC, 30 kPa to 110 kPa; ideal gas, low by 0.14 % at -40 degC.",
    harm="Too low a density leads to too small a jet: the lean side.",
    refuses=(
        Refusal({"temperature": 20}, "temperature must be from 213.15 K to 333.15 K; got 20 K"),
        Refusal({"pressure": 101.325}, "pressure must be from 30000 Pa"),
        Refusal({"relative_humidity": 70}, "relative_humidity must be from 0 to 1; got 70"),
    ),
)  # fmt: skip
def air_density(
    *, temperature: Real, pressure: Real, relative_humidity: Real = 0
) -> dict[str, Outcome]:
    """Density of moist air, as such, relative to the standard, and as a density altitude.

    The humidity is over water, as weather stations give it, also below freezing; the density
    altitude is negative in air denser than the standard sea level's.
    """
    kelvin, pascal = float(temperature), float(pressure)
    vapour = float(relative_humidity) * saturation_pressure_over_water(kelvin)
    density = dry_air_density(kelvin, pascal - vapour) + vapour / (GAS_CONSTANT_VAPOUR * kelvin)
    relative = density / SEA_LEVEL_DENSITY
    fall = relative ** (1 / (PRESSURE_EXPONENT - 1))
    return {
        "density": density,
        "relative_density": relative,
        "density_altitude": SEA_LEVEL_TEMPERATURE / LAPSE_RATE * (1 - fall),
    }
