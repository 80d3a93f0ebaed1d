"""A unit as a person types it beside a number: `IN`, `kpa`, `Celsius`, `out`, `k`.

A file's unit goes by `units.unit` alone, letter by letter. Behind a typed one stands a reading
whose dimension is known, and in that light more can be told: capitals don't matter where only one
unit can be meant, a degree sign on a thermometer is a degree of its scale, and `kg` on an old
pressure gauge is kg/cm² (which is asked about). What could be two things is refused.
"""

from __future__ import annotations

import re
from dataclasses import replace
from functools import lru_cache
from typing import NamedTuple

from inspect_tui.core.quantities import dimensions, unit_aliases, units
from inspect_tui.core.quantities.units import Unit
from inspect_tui.errors import BadInput


class TypedUnit(NamedTuple):
    """What a typed unit was taken for."""

    unit: Unit
    question: str = ""
    """What was assumed and is to be asked, with `{}` for the amount; "" where nothing was."""


_DEGREE = r"(?i)°|deg(?:ree)?s?"
_PART_OF_LENGTH = r"(?i)(?:hundredth|thousandth)s?"
_FILLER = r"(?i)^(?:-|of (?:an? )?|an? )(?=[^\W\d])"
_OUT = r"(?P<unit>.*?) ?\b(?:out|open)(?: from (?:the )?(?:seat(?:ed)?|closed))?\.?"
_AS_PRESSURE = {
    **dict.fromkeys(("kg", "kgs", "kilo", "kilos", "kgf", "kp"), "kg/cm2"),
    "kg/cm": "kg/cm2",
    **dict.fromkeys(("lb", "lbs", "pound", "pounds", "lb/in", "lbs/in"), "psi"),
}
_AS_TORQUE = {
    "ft/lb": "lbf.ft", "ft/lbs": "lbf.ft", "in/lb": "lbf.in", "in/lbs": "lbf.in", "n/m": "N.m",
    "kg/m": "kgf.m", "kg/cm": "kgf.cm",
}  # fmt: skip
_AS_ROTATION = ("rev", "revs", "u/min", "tr/min", "rounds")
_POUNDS_OF_TORQUE = ("lb", "lbs", "pound", "pounds", "kg", "kgs", "kilo", "kilos")
_LITTLE = ("millimeter", "milliliter", "millimeter_Hg", "millibar")
"""Units whose million-fold nobody means by a capital M."""
_EXTRA = {
    "celsius": "degC", "centigrade": "degC", "fahrenheit": "degF", "kelvin": "K", "kmph": "km/h",
    "km/hr": "km/h", "mi/h": "mph",
}  # fmt: skip


def typed_unit(text: str, wanted: Unit | None) -> TypedUnit:
    """The unit that was meant.

    Args:
        text: What stood behind the number; not empty.
        wanted: The unit of what is asked for; None where any will do.

    Raises:
        BadInput: no unit, one of another dimension, or one of several.
    """
    return _typed(text, wanted)


@lru_cache(maxsize=1024)
def _typed(text: str, wanted: Unit | None) -> TypedUnit:
    _refuse_ambiguous(text, wanted)
    refusal: BadInput | None = None
    of_another_dimension: Unit | None = None
    try:
        found = units.unit(text, units.light_of(wanted))
        if _fits(found, wanted):
            return TypedUnit(found)
        of_another_dimension = found
    except BadInput as error:
        refusal = error
    for attempt in (_scale_of, _usual_slip, _thousands_of, _without_words, _whatever_case):
        meant = attempt(text, wanted)
        if meant is not None:
            return meant
    if of_another_dimension is not None:  # whoever asked says what is wanted
        return TypedUnit(of_another_dimension)
    raise refusal or BadInput(f'There is no unit "{text}".')


def _fits(found: Unit, wanted: Unit | None) -> bool:
    """Whether the dimension does; a difference for a temperature is refused by whoever asked."""
    return wanted is None or found.dimension == wanted.dimension


def _refuse_ambiguous(text: str, wanted: Unit | None) -> None:
    """Short words that mean two things where this is asked for."""
    if text == "k" and (wanted is None or wanted.quantity_kind):
        raise BadInput('There is no unit "k" here:', "write the number in full.")
    if wanted is None:
        return
    if text == "m" and wanted.dimension == dimensions.TIME and wanted.factor > 86400:
        raise BadInput('"m" could be months or minutes;', "write 5 months.")
    part = re.fullmatch(_PART_OF_LENGTH, text)
    if part and wanted.dimension == dimensions.LENGTH and wanted.name != "inch":
        raise BadInput(
            f'"{text}" could be of a millimetre or of an inch;',
            "write it such as 0.05 mm or 5 thou.",
        )


def _scale_of(text: str, wanted: Unit | None) -> TypedUnit | None:
    """A bare degree where a temperature is wanted counts on the scale that is asked for."""
    if wanted is None or not re.fullmatch(_DEGREE, text.rstrip(".")):
        return None
    if wanted.quantity_kind in ("temperature", "difference"):
        return TypedUnit(wanted)
    return None


def _usual_slip(text: str, wanted: Unit | None) -> TypedUnit | None:
    """`8.3 kg` or `95 lb` on a pressure gauge, `25 ft/lb`; a torque in pounds is refused."""
    if wanted is None:
        return None
    word = text.lower().rstrip(".")
    if wanted.dimension == dimensions.PRESSURE and word in _AS_PRESSURE:
        meant = units.unit(_AS_PRESSURE[word])
        shown = "kg/cm²" if meant.text == "kg/cm2" else meant.text
        return TypedUnit(meant, _taken(text, shown))
    if wanted.dimension == dimensions.TORQUE and word in _AS_TORQUE:
        meant = units.unit(_AS_TORQUE[word])
        return TypedUnit(meant, _taken(text, meant.text))
    if wanted.dimension == dimensions.ROTATION and word in _AS_ROTATION:
        return TypedUnit(units.unit("rpm"))
    if wanted.dimension == dimensions.MASS and word in ("kilo", "kilos"):
        return TypedUnit(units.unit("kg"))
    if wanted.dimension == dimensions.TORQUE and word in _POUNDS_OF_TORQUE:
        hint = "write ft-lb or in-lb." if word[0] in "lp" else "write kgf.m or kgf.cm."
        raise BadInput(f'A torque in "{text}" can be read in two ways;', hint)
    return None


def _taken(text: str, shown: str) -> str:
    return f"{{}} {text} was taken as {{}} {shown}; if that isn't so, write the unit in full"


def _thousands_of(text: str, wanted: Unit | None) -> TypedUnit | None:
    """`5k`: thousands of the unit that is asked for; of a resistance kiloohms."""
    if wanted is None or wanted.quantity_kind in ("temperature", "difference", "percent"):
        return None
    if wanted.dimension == dimensions.RESISTANCE:
        name = {"k": "kohm", "K": "kohm", "M": "Mohm", "R": "ohm"}.get(text)
        return TypedUnit(units.unit(name)) if name else None
    part = re.fullmatch(_PART_OF_LENGTH, text)
    if part and wanted.name == "inch":
        divisor = 100 if text[:1].lower() == "h" else 1000
        return TypedUnit(replace(wanted, name=f"1/{divisor} inch", factor=wanted.factor / divisor))
    if text not in ("k", "K"):
        return None
    if wanted.name.startswith("kilo"):
        raise BadInput(
            f'"{text}" could be thousands or {wanted.text};', f"write it such as 5 {wanted.text}."
        )
    return TypedUnit(replace(wanted, name=f"1000 {wanted.name}", factor=wanted.factor * 1000))


def _without_words(text: str, wanted: Unit | None) -> TypedUnit | None:
    """The same without the words that people put around a unit."""
    if wanted is not None and wanted.name == "turn":
        found = re.fullmatch(_OUT, text.lower())
        if found:
            return TypedUnit(wanted) if not found["unit"] else _typed(found["unit"], wanted)
    shorter = re.sub(_FILLER, "", text)
    return _typed(shorter, wanted) if shorter != text else None


def _whatever_case(text: str, wanted: Unit | None) -> TypedUnit | None:
    """The one usual unit that differs only in capitals, where only one can be meant."""
    found: dict[tuple[object, ...], Unit] = {}
    for spelling in _spellings().get(text.casefold(), ()):
        try:
            unit = units.unit(spelling, units.light_of(wanted))
        except BadInput:
            continue  # a spelling that needs a country, or another light
        if _fits(unit, wanted):
            found.setdefault((unit.dimension, unit.factor, unit.offset, unit.quantity_kind), unit)
    if not found and wanted is not None:
        try:
            unit = units.unit(text.lower(), units.light_of(wanted))
        except BadInput:
            return None
        if _fits(unit, wanted):
            found[()] = unit
    if len(found) > 1:
        names = " or ".join(sorted(unit.text for unit in found.values()))
        raise BadInput(f'"{text}" could be {names};', "write which.")
    for unit in found.values():
        if text[:1] == "M" and unit.name.startswith("milli") and unit.name not in _LITTLE:
            raise BadInput(f'"{text}" begins with M for mega;', f"write {unit.text} if meant.")
        return TypedUnit(unit)
    return None


@lru_cache(maxsize=1)
def _spellings() -> dict[str, tuple[str, ...]]:
    """Usual spellings by their lower case."""
    listed: dict[str, tuple[str, ...]] = {}
    for spelling in (*unit_aliases.USUAL, *sorted(unit_aliases.SYMBOLS), *unit_aliases.ONE_WORD):
        folded = spelling.casefold()
        if spelling not in listed.get(folded, ()):
            listed[folded] = (*listed.get(folded, ()), spelling)
    for word, spelling in _EXTRA.items():
        listed[word] = (*listed.get(word, ()), spelling)
    return listed
