"""Dimensions in words: what they are called, which units people use for them, their SI unit.

A dimension is a sorted tuple of (root unit, power). Angles count as `radian`, so that a speed of
rotation is no frequency and turns never mix with plain numbers.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

Dimension = tuple[tuple[str, Fraction], ...]
"""Sorted (root unit, power) pairs; angles count (`radian`), so turns never mix with numbers."""


@dataclass(frozen=True, slots=True)
class Known:
    """A dimension that the trade has a word for."""

    words: str
    si_name: str
    """pint's name of the coherent SI unit."""
    usual: tuple[str, ...]
    """Units that people use, the likeliest first."""
    light: str = ""
    """The light in which a short unit name is read; see `spellings.in_light`."""


_ROOTS = ("kg", "m", "s", "A", "K", "rad")
_ROOT_NAMES = {
    "kg": "kilogram", "m": "meter", "s": "second", "A": "ampere", "K": "kelvin", "rad": "radian",
}  # fmt: skip
_SHORT = {name: short for short, name in _ROOT_NAMES.items()} | {"mole": "mol", "candela": "cd"}


def _of(**powers: int) -> Dimension:
    return tuple(sorted((_ROOT_NAMES[root], Fraction(power)) for root, power in powers.items()))


LENGTH = _of(m=1)
TIME = _of(s=1)
TEMPERATURE = _of(K=1)
PRESSURE = _of(kg=1, m=-1, s=-2)
FORCE = _of(kg=1, m=1, s=-2)
TORQUE = _of(kg=1, m=2, s=-2)
ANGLE = _of(rad=1)
MASS = _of(kg=1)
VOLUME = _of(m=3)
RESISTANCE = _of(kg=1, m=2, s=-3, A=-2)
ROTATION = _of(rad=1, s=-1)

KNOWN: dict[Dimension, Known] = {
    (): Known("plain number", "", ()),
    LENGTH: Known("length", "meter", ("mm", "cm", "in")),
    _of(m=2): Known("area", "meter ** 2", ("mm2", "cm2", "in2")),
    VOLUME: Known("volume", "meter ** 3", ("ml", "l", "US fl oz"), "volume"),
    MASS: Known("mass", "kilogram", ("g", "kg", "lb")),
    TIME: Known("time", "second", ("s", "min", "h"), "time"),
    FORCE: Known("force", "newton", ("N", "kgf", "lbf"), "force"),
    PRESSURE: Known("pressure", "pascal", ("kPa", "bar", "psi")),
    _of(kg=1, m=-1, s=-3): Known("rate of pressure", "pascal / second", ("kPa/min", "psi/min")),
    _of(K=-1): Known("coefficient of expansion", "1 / kelvin", ("1/K",)),
    TORQUE: Known("torque", "meter * newton", ("N.m", "lbf.ft", "kgf.m"), "torque"),
    _of(m=1, s=-1): Known("speed", "meter / second", ("km/h", "mph", "m/s")),
    _of(m=1, s=-2): Known("acceleration", "meter / second ** 2", ("m/s2",)),
    ANGLE: Known("angle", "radian", ("deg", "turn"), "angle"),
    ROTATION: Known("speed of rotation", "radian / second", ("rpm",)),
    _of(s=-1): Known("frequency", "hertz", ("Hz",)),
    TEMPERATURE: Known("temperature", "kelvin", ("degC", "degF")),
    _of(A=1): Known("current", "ampere", ("A", "mA")),
    _of(A=1, s=1): Known("electric charge", "coulomb", ("Ah",)),
    _of(kg=1, m=2, s=-3, A=-1): Known("voltage", "volt", ("V", "mV")),
    RESISTANCE: Known("resistance", "ohm", ("ohm", "kohm")),
    _of(kg=1, m=2, s=-3): Known("power", "watt", ("W", "kW", "hp")),
    _of(kg=1, m=-3): Known("density", "kilogram / meter ** 3", ("kg/m3", "g/cm3")),
    _of(kg=1, s=-2): Known("spring rate", "newton / meter", ("N/mm", "lbf/in")),
    _of(m=3, s=-1): Known("flow", "meter ** 3 / second", ("l/min",)),
    _of(kg=1, s=-1): Known("mass flow", "kilogram / second", ("kg/h",)),
}


def light(dimension: Dimension) -> str:
    """The light in which a short unit name is read where this dimension is wanted."""
    known = KNOWN.get(dimension)
    return known.light if known else ""


def in_words(dimension: Dimension, quantity_kind: str = "") -> str:
    """The dimension in words for a message: `length`, `pressure`, `plain number`, `m2/s`."""
    if quantity_kind == "percent":
        return "percentage"
    if quantity_kind == "difference":
        return "difference of temperatures"
    known = KNOWN.get(dimension)
    return known.words if known else f"quantity in {_short_name(dimension)}"


def with_article(dimension: Dimension, quantity_kind: str = "") -> str:
    """As `in_words`, with its article: `a length`, `an angle`."""
    words = in_words(dimension, quantity_kind)
    return f"{'an' if words[0] in 'aeiou' else 'a'} {words}"


def usual_units(dimension: Dimension) -> list[str]:
    """A few unit names of this dimension, for a message: mm, cm, in."""
    known = KNOWN.get(dimension)
    return list(known.usual) if known else [_short_name(dimension)]


def si_name(dimension: Dimension) -> str:
    """pint's name of the coherent SI unit; "" for a plain number."""
    known = KNOWN.get(dimension)
    return known.si_name if known else product_name(dict(dimension))


def product_name(powers: Mapping[str, int | Fraction]) -> str:
    """A product in pint's manner: factors by name, then the divisors, each with its power."""
    above = [_power(name, times) for name, times in sorted(powers.items()) if name and times > 0]
    below = [_power(name, -times) for name, times in sorted(powers.items()) if name and times < 0]
    first = " * ".join(above) or ("1" if below else "")
    return " / ".join([first, *below])


def _power(name: str, times: int | Fraction) -> str:
    return name if times == 1 else f"{name} ** {times}"


def _short_name(dimension: Dimension) -> str:
    """SI symbols: `kg.m2/s3`."""
    above = [f"{_SHORT[root]}{'' if n == 1 else n}" for root, n in dimension if n > 0]
    below = [f"{_SHORT[root]}{'' if n == -1 else -n}" for root, n in dimension if n < 0]
    return "/".join([".".join(above) or "1", *below])
