"""Units as people write them: `m³`, `°C`, `N·m`, `lbf·ft`, `months`.

Pure. A list writes `m3` and `degC`, pint `kilogram / meter ** 3`; a screen or a report neither.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache
from typing import Final

_WRITTEN: Final[dict[str, str]] = {
    "degC": "°C", "deg_C": "°C", "degree_Celsius": "°C", "celsius": "°C",
    "degF": "°F", "degree_Fahrenheit": "°F", "fahrenheit": "°F",
    "delta_degC": "°C", "delta_degree_Celsius": "°C",
    "delta_degF": "°F", "delta_degree_Fahrenheit": "°F",
    "deg": "°", "degree": "°", "percent": "%", "ohm": "Ω", "kohm": "kΩ", "Mohm": "MΩ",
    "mohm": "mΩ", "inch": "in", "foot": "ft", "feet": "ft", "pound": "lb", "force_pound": "lbf",
    "force_kilogram": "kgf", "ounce": "oz", "pascal": "Pa", "kilopascal": "kPa", "newton": "N",
    "kilonewton": "kN", "meter": "m", "millimeter": "mm", "centimeter": "cm", "kilometer": "km",
    "kilogram": "kg", "gram": "g", "second": "s", "minute": "min", "hour": "h", "ampere": "A",
    "ampere_hour": "Ah", "volt": "V", "watt": "W", "kilowatt": "kW", "horsepower": "hp",
    "joule": "J", "hertz": "Hz", "kelvin": "K", "radian": "rad", "liter": "L",
    "milliliter": "mL", "cubic_centimeter": "cm³", "revolutions_per_minute": "rpm",
    "mile_per_hour": "mph", "kilometer_per_hour": "km/h", "pound_force_per_square_inch": "psi",
    "inch_Hg": "inHg", "millimeter_Hg": "mmHg", "hectopascal": "hPa", "kiloohm": "kΩ",
    "C": "°C", "F": "°F", "milliampere": "mA", "millivolt": "mV", "megapascal": "MPa",
    "cubic_inch": "in³", "milligram": "mg", "standard_atmosphere": "atm",
    "gallon": "US gal", "imperial_gallon": "UK gal", "quart": "US qt", "imperial_quart": "UK qt",
    "pint": "US pt", "imperial_pint": "UK pt", "fluid_ounce": "US fl oz",
    "imperial_fluid_ounce": "UK fl oz",
}  # fmt: skip
_SEVERAL: Final[dict[str, str]] = {
    "turn": "turns", "day": "days", "month": "months", "year": "years", "tooth": "teeth",
    "link": "links", "hole": "holes", "pull": "pulls",
}  # fmt: skip
AT_THE_NUMBER: Final = ("°", '"', "'")
"""Units that stand at the number without a space."""
_FORCES = ("N", "kN", "lbf", "kgf", "ozf")
_POWER = r"(?<=[^\W\d])(?: ?\*\* ?|\^)?(-?[1-9])(?!\d)"
_RAISED = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")


_IN_PROSE: Final = {"degC": "°C", "degF": "°F", "kg/m3": "kg/m³"}


def with_units(text: str) -> str:
    """A sentence with its units as people write them; the register of calculations has `degF`."""
    return re.sub(r"\b(?:degC|degF|kg/m3)\b", lambda found: _IN_PROSE[found[0]], text)


def amount_of_sheet(text: str) -> str:
    """A sheet's quantity as people write it: `5 turn` as `5 turns`, `-40 degC` as `-40 °C`."""
    found = re.fullmatch(r"(-?\d+(?:[.,]\d+)?) (\S+)", text)
    if found is None:
        return text
    unit = format_unit(found[2], Fraction(found[1].replace(",", ".")))
    return f"{found[1]}{'' if unit in AT_THE_NUMBER else ' '}{unit}"


# The same few units stand behind all that is shown.
@lru_cache(maxsize=512)
def _alone(unit: str) -> str:
    """A unit of one, or with no number before it."""
    if " fl oz" in unit or unit[:3] in ("US ", "UK "):
        return unit
    divided = [
        "·".join(
            sorted(
                (_factor(word) for word in re.split(r" ?(?:(?<!\*)\*(?!\*)|\.) ?", part)),
                key=lambda word: word not in _FORCES,  # the trade says lbf·ft, pint foot * pound
            )
        )
        for part in re.split(r" ?/ ?", unit)
    ]
    return "/".join(divided)


def format_unit(unit: str, number: Fraction | float | int | None = None) -> str:
    """A unit as people write it: `m3` as `m³`, `degC` as `°C`, `month` as `months` of several.

    Args:
        unit: As written in a list, or pint's name (`kilogram / meter ** 3`).
        number: Of how many; None where the unit stands alone.

    Returns:
        Text that `units.unit` reads as the same unit (a difference of temperatures where one is
        wanted); "" for a plain number.
    """
    if unit in _SEVERAL:
        one = number is None or (number != 0 and -1 <= number <= 1)
        return unit if one else _SEVERAL[unit]
    return _alone(unit)


def _factor(word: str) -> str:
    found = re.search(_POWER, word)
    if not found or found.end() != len(word) or word.endswith("H2O"):
        return _WRITTEN.get(word, word)
    base = word[: found.start()]
    return _WRITTEN.get(base, base) + found[1].translate(_RAISED)
