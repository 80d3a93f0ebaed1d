"""Air: the standard atmosphere, the pressure where the machine stands, the density of the air."""

from __future__ import annotations

import math

from inspect_tui.calc import input_checks as ranges
from inspect_tui.calc.input_checks import Real, refusing
from inspect_tui.calc.registry import Calculation, Input, Outcome, Result

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

LOWEST_ALTITUDE, HIGHEST_ALTITUDE = -500, 11_000
LOWEST_PRESSURE, HIGHEST_PRESSURE = 30_000, 110_000


def standard_pressure(altitude: Real) -> float:
    """Pressure of the standard atmosphere in Pa at a geopotential height in m (not checked)."""
    ratio = 1 - LAPSE_RATE * float(altitude) / SEA_LEVEL_TEMPERATURE
    return float(SEA_LEVEL_PRESSURE * ratio**PRESSURE_EXPONENT)


def altitude_in_range(value: object) -> Real:
    """A height in m that the formulas of the troposphere cover, or ValueError."""
    return ranges.between("altitude", value, LOWEST_ALTITUDE, HIGHEST_ALTITUDE, "m")


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


@refusing
def standard_atmosphere(*, altitude: Real) -> dict[str, Outcome]:
    """Pressure, temperature and density of the standard atmosphere.

    T = T0 - L H; p = p0 (T/T0)^(g0/(L R)); rho = p/(R T), with T0 288.15 K, p0 101325 Pa,
    L 0.0065 K/m, g0 9.80665 m/s2, R 287.05287 J/(kg K).

    Inputs: altitude H, m, geopotential (the height on the map is within 0.02 % in density of it up
    to 3000 m). Results: pressure, Pa; temperature, K; density, kg/m3.

    Valid from -500 m to 11000 m; dry air on a standard day, which no real day is: for jetting
    measure temperature and pressure. Source: ISO 2533:1975; US Standard Atmosphere 1976. Harm:
    winter air is denser than the standard one at the same height, so an engine jetted by this
    table alone would run lean.

    Raises:
        ValueError: altitude outside its range.
    """
    height = altitude_in_range(altitude)
    temperature = SEA_LEVEL_TEMPERATURE - LAPSE_RATE * float(height)
    pressure = standard_pressure(height)
    return {
        "pressure": pressure,
        "temperature": temperature,
        "density": dry_air_density(temperature, pressure),
    }


@refusing
def station_pressure(*, qnh: Real, altitude: Real) -> dict[str, Outcome]:
    """The pressure of the air where the machine stands, from a weather report.

    p = p0 ((QNH/p0)^n - L H/T0)^(1/n), n = L R/g0 = 0.190263.

    Inputs: qnh, Pa, the report's pressure reduced to sea level; altitude of the place, m. Results:
    pressure, Pa.

    Valid for qnh from 85000 Pa to 110000 Pa and -500 m to 11000 m. Assumes the standard fall of
    pressure between the place and sea level, so that a QFF of a very cold or hot day is off by
    some hPa. Source: ICAO Doc 7488 and the definition of QNH (from memory). Harm: taking the QNH
    itself for the pressure makes the air look too dense, which errs to the rich side.

    Raises:
        ValueError: an input outside its range.
    """
    reduced = float(ranges.between("qnh", qnh, 85_000, 110_000, "Pa"))
    height = float(altitude_in_range(altitude))
    base = (reduced / SEA_LEVEL_PRESSURE) ** (1 / PRESSURE_EXPONENT)
    base -= LAPSE_RATE * height / SEA_LEVEL_TEMPERATURE
    return {"pressure": SEA_LEVEL_PRESSURE * base**PRESSURE_EXPONENT}


@refusing
def air_density(
    *, temperature: Real, pressure: Real, relative_humidity: Real = 0
) -> dict[str, Outcome]:
    """Density of moist air, as such, relative to the standard, and as a density altitude.

    rho = (p - e)/(R T) + e/(Rv T), e = relative_humidity * saturation pressure over water (Buck);
    relative density = rho/1.225 kg/m3; density altitude = (T0/L)(1 - (rho/1.225)^(1/4.25588)).

    Inputs: temperature, K; pressure at the place (station pressure, not QNH), Pa;
    relative_humidity, fraction 0 to 1, over water as weather stations give it, also below
    freezing. Results: density, kg/m3; relative_density; density_altitude, m (negative in air
    denser than the standard sea level's).

    Valid from -60 degC to 60 degC and 30 kPa to 110 kPa. Ideal gas: low by 0.04 % at 20 degC and
    by 0.14 % at -40 degC. Source: ideal gas of two parts with the constants of ISO 2533; Buck
    (1996) for saturation. Harm: too low a density leads to too small a jet, the lean side.

    Raises:
        ValueError: an input outside its range.
    """
    kelvin = float(ranges.temperature("temperature", temperature))
    pascal = float(ranges.between("pressure", pressure, LOWEST_PRESSURE, HIGHEST_PRESSURE, "Pa"))
    humidity = float(ranges.between("relative_humidity", relative_humidity, 0, 1))
    vapour = humidity * saturation_pressure_over_water(kelvin)
    density = dry_air_density(kelvin, pascal - vapour) + vapour / (GAS_CONSTANT_VAPOUR * kelvin)
    relative = density / SEA_LEVEL_DENSITY
    fall = relative ** (1 / (PRESSURE_EXPONENT - 1))
    return {
        "density": density,
        "relative_density": relative,
        "density_altitude": SEA_LEVEL_TEMPERATURE / LAPSE_RATE * (1 - fall),
    }


STANDARD_ATMOSPHERE = Calculation(
    name="standard_atmosphere",
    subject="air and jets",
    title="Standard atmosphere at a height",
    inputs=(Input("altitude", "m", "height above sea level (geopotential)", "6000 ft"),),
    results=(
        Result("pressure", "Pa", "pressure of the air", "kPa"),
        Result("temperature", "K", "temperature of the air", "degC"),
        Result("density", "kg/m**3", "density of dry air", "kg/m**3"),
    ),
    function=standard_atmosphere,
    formula="T = T0 - L H; p = p0 (T/T0)^(g0/(L R)); rho = p/(R T)",
    source="ISO 2533:1975; US Standard Atmosphere 1976",
    valid="-500 m to 11000 m, geopotential height; dry air on a standard day, not today's weather.",
    harm="Cold air is denser than this table says: jetting by it alone errs to the lean side.",
)

STATION_PRESSURE = Calculation(
    name="station_pressure",
    subject="air and jets",
    title="Pressure at the place from a weather report",
    inputs=(
        Input("qnh", "Pa", "pressure reduced to sea level, from the weather report", "1013 hPa"),
        Input("altitude", "m", "height of the place above sea level", "6000 ft"),
    ),
    results=(Result("pressure", "Pa", "pressure where the machine stands", "kPa"),),
    function=station_pressure,
    formula="p = p0 ((QNH/p0)^n - L H/T0)^(1/n), n = 0.190263",
    source="ICAO Doc 7488 and the definition of QNH (from memory)",
    valid="850 hPa to 1100 hPa, -500 m to 11000 m; standard fall of pressure down to sea level.",
    harm="The reported sea-level pressure itself would make the air look too dense.",
)

AIR_DENSITY = Calculation(
    name="air_density",
    subject="air and jets",
    title="Density of the air",
    inputs=(
        Input("temperature", "K", "temperature of the air", "-20 degC"),
        Input("pressure", "Pa", "pressure at the place (not reduced to sea level)", "95 kPa"),
        Input(
            "relative_humidity",
            "fraction",
            "relative humidity over water",
            "70 %",
            optional=True,
            default=0,
        ),
    ),
    results=(
        Result("density", "kg/m**3", "density of the moist air", "kg/m**3"),
        Result("relative_density", "", "density against 1.225 kg/m3"),
        Result("density_altitude", "m", "height where the standard air is as dense", "m"),
    ),
    function=air_density,
    formula="rho = (p - e)/(R T) + e/(Rv T); e = RH * Buck's saturation pressure over water",
    source="ideal gas with ISO 2533 constants; Buck 1996",
    valid="-60 degC to 60 degC, 30 kPa to 110 kPa; ideal gas, low by 0.14 % at -40 degC.",
    harm="Too low a density leads to too small a jet: the lean side.",
)
