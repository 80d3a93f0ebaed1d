"""How the trade writes units: the spellings that files and people use, and what they mean.

A spelling leads to factors of pint's names (`foot * force_pound`), so that pint stays the one
place that knows how large a unit is. Anything that is not here goes by the grammar in `units`.
"""

from __future__ import annotations

import re

Factors = tuple[tuple[str, int], ...]
"""(pint's name, power) in the order written."""

TORQUE = "torque"
"""Lights in which a short name is read; see `in_light`."""
FORCE = "force"
TEMPERATURE = "temperature"
DIFFERENCE = "difference"
TIME = "time"
VOLUME = "volume"
ANGLE = "angle"

MEASURES_OF_TWO_COUNTRIES = (
    r"(?i)(?:(?P<us>u\.?s\.?|american)|(?P<uk>u\.?k\.?|imp\.?|imperial|british))?[ _-]?"
    r"(?:(?:liquid|fluid)[ _](?=gal|q|p))?"
    r"(?P<what>gal(?:lon)?|q(?:uar)?t|p(?:in)?t|fl(?:uid)?\.?[ _]?(?:ounce|oz))s?\.?"
)
"""Gallon, quart, pint and fluid ounce, which differ between the United States and Britain."""

_FOOT_POUND = (
    r"(?:(?P<l1>ft|foot|feet|in|inch)[-. ]?(?:lbs?|lbf|pounds?)"
    r"|(?:lbs?|lbf|pounds?)[-. ]?(?P<l2>ft|foot|feet|in|inch))"
)
_KILOGRAM_METRE = r"(?:kgf?|kp)[-. ]?(?P<l1>c?m)|(?P<l2>c?m)[-. ]?(?:kgf?|kp)"
_NEWTON_METRE = r"(?P<k>k?)N[-. ]?(?P<l>[cm]?m)"
_DIFFERENCE = r"(?:delta[ _]?|Δ ?)(?:deg(?:ree)?[ _]?|°)?(?P<s>C|F|Celsius|Fahrenheit)"
_COUNTRIES = {
    "g": ("gallon", "imperial_gallon"),
    "q": ("quart", "imperial_quart"),
    "p": ("pint", "imperial_pint"),
    "f": ("fluid_ounce", "imperial_fluid_ounce"),
}
_SHORT = {"g": "gal", "q": "qt", "p": "pt", "f": "fl oz"}

_CM, _IN, _MIN = "centimeter", "inch", "minute"
ONE_WORD: dict[str, str] = {
    '"': _IN, "''": _IN, "ins": _IN, "'": "foot", "feet": "foot",
    "mil": "thou", "mils": "thou", "um": "micrometer", "micron": "micrometer",
    "metre": "meter", "metres": "meter", "millimetre": "millimeter",
    "millimetres": "millimeter", "centimetre": _CM, "centimetres": _CM,
    "kilometre": "kilometer", "kilometres": "kilometer",
    "litre": "liter", "litres": "liter", "millilitre": "milliliter", "millilitres": "milliliter",
    "l": "liter", "L": "liter", "ltr": "liter", "ml": "milliliter", "mL": "milliliter",
    "cc": "cubic_centimeter", "CC": "cubic_centimeter", "ccm": "cubic_centimeter",
    "ci": "cubic_inch", "cu in": "cubic_inch",
    "C": "degree_Celsius", "°C": "degree_Celsius", "° C": "degree_Celsius",
    "C°": "degree_Celsius", "F°": "degree_Fahrenheit", "degrees Celsius": "degree_Celsius",
    "degrees Fahrenheit": "degree_Fahrenheit",
    "deg C": "degree_Celsius", "degrees C": "degree_Celsius", "degrees F": "degree_Fahrenheit",
    "F": "degree_Fahrenheit", "°F": "degree_Fahrenheit",
    "° F": "degree_Fahrenheit", "deg F": "degree_Fahrenheit", "K": "kelvin", "°K": "kelvin",
    "°": "degree", "deg": "degree", "degs": "degree",
    "PSI": "psi", "psig": "psi", "lb/in2": "psi", "lb/in^2": "psi", "lbf/in2": "psi",
    "lbf/in^2": "psi", "lb/sq in": "psi", "lbs/in2": "psi",
    "inHg": "inch_Hg", "in Hg": "inch_Hg", "in.Hg": "inch_Hg", '"Hg': "inch_Hg",
    "mmHg": "millimeter_Hg", "mm Hg": "millimeter_Hg", "cmHg": "centimeter_Hg",
    "inH2O": "inch_H2O", "in H2O": "inch_H2O", "cmH2O": "centimeter_H2O",
    "atm": "standard_atmosphere",
    "rpm": "revolutions_per_minute", "r.p.m": "revolutions_per_minute",
    "RPM": "revolutions_per_minute", "1/min": "revolutions_per_minute",
    "/min": "revolutions_per_minute",
    "r/min": "revolutions_per_minute", "rev/min": "revolutions_per_minute",
    "min-1": "revolutions_per_minute", "min^-1": "revolutions_per_minute",
    "rev": "turn", "revs": "turn", "tr": "turn",
    "mph": "mile_per_hour", "MPH": "mile_per_hour", "kph": "kilometer_per_hour",
    "kmh": "kilometer_per_hour", "kmph": "kilometer_per_hour", "fps": "foot_per_second",
    "amp": "ampere", "amps": "ampere", "kgs": "kilogram", "lb": "pound", "lbs": "pound",
    "oz": "ounce",
    "kp": "force_kilogram", "lbf": "force_pound", "ozf": "force_ounce", "gf": "force_gram",
    "PS": "metric_horsepower", "hp": "horsepower", "HP": "horsepower", "bhp": "horsepower",
    "V DC": "volt", "VDC": "volt", "V AC": "volt", "VAC": "volt", "Ω": "ohm", "ohms": "ohm",
    "kΩ": "kiloohm", "kohm": "kiloohm", "kilohm": "kiloohm", "kilohms": "kiloohm",
    "megohm": "megaohm", "megohms": "megaohm", "MΩ": "megaohm", "MOhm": "megaohm",
    "MOHM": "megaohm", "Mohm": "megaohm", "mΩ": "milliohm",
    "A.h": "ampere_hour", "A h": "ampere_hour", "Ah": "ampere_hour",
    "%": "percent", "pct": "percent", "per cent": "percent",
    "sec": "second", "secs": "second", "mins": _MIN, "hr": "hour", "hrs": "hour",
    "mos": "month", "mth": "month", "mths": "month", "yr": "year", "yrs": "year", "mo": "month",
}  # fmt: skip
"""Spellings of one unit."""
_SEVERAL: dict[str, Factors] = {
    "kg/cm2": (("force_kilogram", 1), (_CM, -2)),
    "kg/cm^2": (("force_kilogram", 1), (_CM, -2)),
    "kg/mm": (("force_kilogram", 1), ("millimeter", -1)),
    "kg/cm": (("force_kilogram", 1), (_CM, -1)),
    "lb/in": (("force_pound", 1), (_IN, -1)),
    "lbs/in": (("force_pound", 1), (_IN, -1)),
    "lb/ft": (("force_pound", 1), ("foot", -1)),
    "ozf.in": (("force_ounce", 1), (_IN, 1)),
    "oz-in": (("force_ounce", 1), (_IN, 1)),
    "in-oz": (("force_ounce", 1), (_IN, 1)),
}

_IN_LIGHT: dict[str, dict[str, str]] = {
    FORCE: {
        "kg": "force_kilogram", "kgs": "force_kilogram", "kilo": "force_kilogram",
        "kilos": "force_kilogram", "lb": "force_pound", "lbs": "force_pound",
        "pound": "force_pound", "pounds": "force_pound", "oz": "force_ounce", "g": "force_gram",
    },
    TEMPERATURE: {"c": "degree_Celsius", "f": "degree_Fahrenheit"},
    DIFFERENCE: {
        **dict.fromkeys(
            ("C", "c", "°C", "° C", "degC", "deg C", "degree_Celsius", "celsius"),
            "delta_degree_Celsius",
        ),
        **dict.fromkeys(
            ("F", "f", "°F", "° F", "degF", "deg F", "degree_Fahrenheit", "fahrenheit"),
            "delta_degree_Fahrenheit",
        ),
    },
    TIME: {"m": _MIN, "mn": _MIN, "y": "year", "'": _MIN, '"': "second", "''": "second"},
    ANGLE: {
        "'": "arcminute", "min": "arcminute", "m": "arcminute",
        '"': "arcsecond", "''": "arcsecond", "s": "arcsecond", "sec": "arcsecond",
    },
}  # fmt: skip

USUAL = (
    "mm", "cm", "m", "km", "in", "inch", "ft", "mi", "thou", "yd", "kPa", "MPa", "bar", "mbar",
    "psi", "Pa", "hPa", "inHg", "mmHg", "N", "kN", "kgf", "lbf", "lb", "oz", "g", "kg", "mg",
    "N.m", "Nm", "lbf.ft", "ft-lb", "in-lb", "lbf.in", "kgf.m", "kgf.cm", "rpm", "km/h", "mph",
    "m/s", "turn", "turns", "deg", "rad", "degC", "degF", "K", "delta_degC", "delta_degF", "V",
    "mV", "A", "mA", "Ah", "ohm", "kohm", "W", "kW", "hp", "s", "min", "h", "l", "L", "ml", "mL",
    "cc", "cm3", "US fl oz", "UK fl oz", "US gal", "UK gal", "US qt", "US pt", "%", "percent",
    "N/mm", "kg/m3", "g/cm3", "day", "month", "year", "millimeter", "centimeter", "meter",
    "kilometer", "inches", "foot", "mile", "pascal", "newton", "kilogram", "gram", "pound",
    "ounce", "volt", "ampere", "second", "minute", "hour", "liter", "degree", "radian", "kelvin",
    "gallon", "quart", "pint", "celsius", "fahrenheit", "joule", "watt", "hertz", "Hz", "J",
)  # fmt: skip
"""What people write most: the words that a mistyped unit is compared with."""

_SYMBOLS_WRITTEN = (
    "m g s h d t N K A V W J l L T H S Pa in ft mi yd oz lb kg mg mm cm km dm nm µm ms µs ns us "
    "um mV kV mA µA uA kA mW kW MW kJ MJ Wh Ah Hz kN mN MN ml mL cl cL dl dL hl cc hp cd lm lx "
    "Wb µF uF nF pF mF mH µH uH nH ha kt"
)
SYMBOLS = frozenset(_SYMBOLS_WRITTEN.split())
"""Symbols of one or two letters that count as units; pint's others (`c` the speed of light, `k`
Boltzmann's constant, `b` a bit) are slips of the hand here."""


def usual_meaning(text: str) -> Factors | None:
    """What a spelling of the trade means, or None where it is not one."""
    one = ONE_WORD.get(text)
    if one is not None:
        return ((one, 1),)
    several = _SEVERAL.get(text)
    if several is not None:
        return several
    found = re.fullmatch(_FOOT_POUND, text)
    if found:
        length = found["l1"] or found["l2"]
        return (("force_pound", 1), ("foot" if length.startswith("f") else _IN, 1))
    found = re.fullmatch(_KILOGRAM_METRE, text)
    if found:
        length = found["l1"] or found["l2"]
        return (("force_kilogram", 1), ("meter" if length == "m" else _CM, 1))
    found = re.fullmatch(_NEWTON_METRE, text)
    if found:
        length = {"m": "meter", "cm": _CM, "mm": "millimeter"}[found["l"]]
        return (("kilonewton" if found["k"] else "newton", 1), (length, 1))
    found = re.fullmatch(_DIFFERENCE, text)
    if found:
        scale = "Celsius" if found["s"].startswith("C") else "Fahrenheit"
        return ((f"delta_degree_{scale}", 1),)
    return None


def of_two_countries(text: str) -> tuple[str | None, str] | None:
    """Reads gallon, quart, pint and fluid ounce.

    Returns:
        None where the text is no such measure; else pint's name, or None where it is not said
        whose measure it is, and the short name for a message (`gal`).
    """
    found = re.fullmatch(MEASURES_OF_TWO_COUNTRIES, text)
    if not found:
        return None
    first = found["what"][0].lower()
    american, british = _COUNTRIES[first]
    name = american if found["us"] else british if found["uk"] else None
    return name, _SHORT[first]


def in_light(text: str, light: str) -> Factors | None:
    """What a short name means where a `light` (force, temperature ...) is wanted, or None."""
    if light == TORQUE and text in ("nm", "NM", "N-M", "n.m"):
        return (("newton", 1), ("meter", 1))
    name = _IN_LIGHT.get(light, {}).get(text)
    return None if name is None else ((name, 1),)
