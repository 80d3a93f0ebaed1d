"""Units and quantities: pint behind it, imported when first needed.

A `Quantity` is a number in coherent SI together with its dimension. Conversions are exact
(fractions), so that a value on its limit is on it in any unit.

pint is asked once per unit for its size; every calculation after that is on `Quantity`. Text goes
to pint only word by word, after this module's own short grammar has taken it apart.

Who calls it: readings (typed text), expression (arithmetic), limits, results, reports.
"""

from __future__ import annotations

import re
import threading
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from typing import Any

from inspect_tui.core.quantities import dimensions, unit_aliases, unit_table
from inspect_tui.core.quantities.dimensions import Dimension as Dimension
from inspect_tui.core.text.suggestions import suggest
from inspect_tui.errors import BadInput

Number = Fraction | float


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit as written in a file, with its exact way to SI: si = number * factor + offset."""

    text: str
    """As written in the checklist or sheet, for showing: `mm`, `kPa`, `degC`, `turn`; "" plain."""
    name: str
    """pint's name: `millimeter`, `percent`, "" for plain numbers."""
    dimension: Dimension
    factor: Fraction
    offset: Fraction = Fraction(0)
    quantity_kind: str = ""
    """"" ordinary, "temperature" (an absolute one, offset unit), "difference" (delta_degC),
    "percent"."""

    def __hash__(self) -> int:
        """By its words: to hash its fractions takes longer than most things that are kept by it."""
        return hash((self.text, self.name, self.quantity_kind))


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number in coherent SI with its dimension."""

    si: Number
    dimension: Dimension = ()
    quantity_kind: str = ""
    """As for Unit: "", "temperature", "difference" or "percent" (si is then the ratio, 0.05)."""


PLAIN = Unit("", "", (), Fraction(1))
LONGEST = 40
"""Characters of a unit; longer text is no unit."""

_WORD = (
    r"(?P<name>[^\W\d]+(?:_[^\W\d]+)*(?:_H2O)?|%|‰|°[CF]?)(?:(?:\*\*|\^)?(?P<power>[-+]?[1-9]))?"
)
_FULL_STOP = r"(?<=[^\W\d])\.(?= |$)"
_KEPT = {"meter", "kilogram", "second", "ampere", "kelvin", "mole", "candela", "radian"}
_LONG_PREFIXED = r"(?:micro|milli|centi|deci|deca|hecto|kilo|mega|giga|nano|pico).{3,}"
_SYMBOL_PREFIXES = {"micro", "milli", "centi", "deci", "kilo", "nano", ""}
_LARGE = {"pascal", "newton", "ohm", "watt", "joule", "hertz", "volt"}
_COUNTRY_NAMES = ("gallon", "quart", "pint", "fluid_ounce", "gill", "cup", "fluid_dram", "minim")
_NOT_OF_A_SHED = {
    "speed_of_light", "pi", "molar", "link", "chain", "rod", "hand", "point", "pica", "barn", "bit",
    "byte", "didot", "cicero", "scaled_point", "survey_foot",
}  # fmt: skip
"""pint's units that are other things here: `12 links` of a chain are no surveyor's links."""
_COUNTRY_PREFIX = r"(?i)US_|imperial_|UK_|british_"
_MARKS = str.maketrans({
    "¹": "1", "²": "2", "³": "3", "⁻": "-", "·": ".", "⋅": ".", "−": "-", "μ": "µ", "\u2126": "Ω",
    "”": '"', "″": '"', "“": '"', "’": "'", "′": "'", "\u00a0": " ", "\u202f": " ",
    "\u2009": " ", "º": "°",
})  # fmt: skip

_lock = threading.RLock()
_registry: Any = None


def _pint() -> Any:
    """pint's registry, built once however many threads ask."""
    global _registry
    if _registry is None:
        with _lock:
            if _registry is None:
                import pint

                _registry = pint.UnitRegistry(non_int_type=Fraction)
    return _registry


def warm_up() -> None:
    """Import pint and build its registry (called in a thread right after the first paint)."""
    _pint()


def unit(text: str, light: str = "") -> Unit:
    """The unit that a file or a person wrote. Raises BadInput with a near word if unknown.

    Args:
        text: `mm`, `N.m`, `US fl oz`, `kg/m3`, or any of pint's names.
        light: The kind of thing that is wanted, where a short name has two meanings
            (see `light_of`).
    """
    return _shown(text[: 4 * LONGEST], light)


@lru_cache(maxsize=2048)
def _shown(text: str, light: str) -> Unit:
    """The unit of a text, which it shows as it was written."""
    written = re.sub(_FULL_STOP, "", " ".join(text.translate(_MARKS).split()))
    if len(written) > LONGEST:
        raise BadInput(f'"{written[:LONGEST]}..." is too long for a unit.', "Write one such as mm.")
    found = _unit(written, light)
    shown = text.strip()
    return found if found.text == shown else replace(found, text=shown)


@lru_cache(maxsize=2048)
def _unit(written: str, light: str) -> Unit:
    if written in ("", "dimensionless"):
        return PLAIN
    if written.lower() in ("ton", "tons"):
        raise BadInput(f'"{written}" could be one of three;', "write t (1000 kg) or short_ton.")
    if light == "volume" and written.lower() in ("oz", "ounce", "ounces"):
        raise _whose(written, "fl oz")
    country = unit_aliases.of_two_countries(written)
    if country is not None:
        name, short = country
        if name is None:
            raise _whose(written, short)
        return _built(written, ((name, 1),))
    factors = unit_aliases.in_light(written, light) or unit_aliases.usual_meaning(written)
    found = _built(written, factors or _taken_apart(written))
    return difference_unit(found) if light == "difference" else found


def _whose(written: str, short: str) -> BadInput:
    return BadInput(
        f'"{written}" is not the same in the United States and in Britain:',
        f"write US {short} or UK {short}.",
    )


def _taken_apart(written: str) -> unit_aliases.Factors:
    """Words, small powers, products and quotients: `kg/m^3`, `newton * meter`, `m/s`."""
    factors: list[tuple[str, int]] = []
    parts = re.split(r" ?/ ?", written)
    if parts[0] == "1" and len(parts) > 1:
        parts[0] = ""
    for place, part in enumerate(parts):
        sign = -1 if place else 1
        joined = re.sub(r" ?(\*\*|\^) ?", r"\1", part)
        words = re.split(r" ?(?:(?<!\*)\*(?!\*)|\.) ?| ", joined)
        if place and len(words) > 1:
            raise BadInput(
                f'"{written}" can be read in two ways:', 'write each divisor with its own "/".'
            )
        if words == [""] and not place:
            continue
        for word in words:
            found = re.fullmatch(_WORD, word)
            if not found:
                raise _unknown(written)
            country = unit_aliases.of_two_countries(found["name"])
            if country is not None:
                raise _whose(written, country[1])
            factors.append((found["name"], sign * int(found["power"] or 1)))
    if not factors or len(factors) > 6:
        raise _unknown(written)
    return tuple(factors)


def _built(written: str, factors: unit_aliases.Factors) -> Unit:
    """Multiplies the factors: size, dimension and pint's name of the whole."""
    size = Fraction(1)
    roots: dict[str, Fraction] = {}
    names: dict[str, int] = {}
    for word, power in _meanings(factors):
        single = _single(written, word)
        if single.quantity_kind == "temperature":
            if len(factors) == 1 and power == 1:
                return replace(single, text=written)
            single = _single(written, f"delta_{single.name}")
        size *= single.factor**power
        names[single.name] = names.get(single.name, 0) + power
        for root, times in single.dimension:
            roots[root] = roots.get(root, Fraction(0)) + times * power
    quantity_kind = ""
    if len(names) == 1 and (only := next(iter(names.items())))[1] == 1:
        quantity_kind = _quantity_kind(only[0])
    dimension = tuple(sorted((root, times) for root, times in roots.items() if times))
    return Unit(
        written, dimensions.product_name(names), dimension, size, quantity_kind=quantity_kind
    )


def _meanings(factors: unit_aliases.Factors) -> unit_aliases.Factors:
    """Each word of a product in the trade's meaning, where that is a single unit."""
    taken: list[tuple[str, int]] = []
    for word, power in factors:
        usual = unit_aliases.usual_meaning(word)
        taken.extend((name, times * power) for name, times in usual or ((word, 1),))
    return tuple(taken)


def _quantity_kind(name: str) -> str:
    if name.startswith("delta_"):
        return "difference"
    return "percent" if name == "percent" else ""


def _single(written: str, word: str) -> Unit:
    """One word: from the table of the usual ones, else by pint."""
    known = unit_table.row(word)
    if known is None:
        return by_pint(written, word)
    name, size, roots, offset, quantity_kind = known
    dimension = tuple((root, Fraction(power)) for root, power in roots.items())
    return Unit(word, name, dimension, Fraction(size), Fraction(offset), quantity_kind)


@lru_cache(maxsize=2048)
def by_pint(written: str, word: str) -> Unit:
    """One word, by pint. Raises BadInput for what is no unit that people can mean."""
    registry = _pint()
    with _lock:
        candidates = registry.parse_unit_name(word)
        if not candidates or not _sensible(word, candidates[0]):
            raise _unknown(written)
        prefix, stem, _plural = candidates[0]
        name = prefix + stem
        definition = registry._units[stem]
        if definition.is_logarithmic:
            raise BadInput(f'"{written}" is a logarithmic unit;', "write a unit such as kPa or V.")
        if prefix and not definition.is_multiplicative:
            raise _unknown(written)  # there are no kilodegrees Celsius
        registry.get_name(name)
        factor, pint_roots = registry.get_root_units(name)
        size = Fraction(factor)
        roots: dict[str, Fraction] = {}
        for root, power in pint_roots._units.items():
            if root == "gram":
                size /= Fraction(1000) ** int(power)
                roots["kilogram"] = Fraction(power)
            elif root in _KEPT:
                roots[root] = Fraction(power)
        dimension = tuple(sorted(roots.items()))
        if definition.is_multiplicative:
            if not dimension and size == 1 and stem == "count":
                return PLAIN
            return Unit(word, name, dimension, size, quantity_kind=_quantity_kind(name))
        offset = Fraction(definition.converter.offset)
        return Unit(word, name, dimension, size, offset, "temperature")


def _sensible(word: str, candidate: tuple[str, str, str]) -> bool:
    """Whether pint's reading of a word is what a person can have meant.

    pint reads `MM` as megamolar, `Mm` as megameter and `k` as Boltzmann's constant; here those are
    slips of the hand.
    """
    prefix, stem, _plural = candidate
    if (
        stem in _COUNTRY_NAMES
        and not re.match(_COUNTRY_PREFIX, word)
        and word not in _COUNTRY_NAMES
    ):
        return False
    if stem.endswith("_constant") or stem in _NOT_OF_A_SHED:
        return False
    if stem == "thou" and word.endswith(("th", "ths")):  # 64ths, mths
        return False
    if len(word) <= 2:
        return word in unit_aliases.SYMBOLS or not word.isalpha()
    if not prefix or (word.startswith(prefix) and re.fullmatch(_LONG_PREFIXED, word)):
        return True
    if prefix in ("mega", "giga"):
        return stem in _LARGE
    return prefix in _SYMBOL_PREFIXES or prefix + stem == "hectopascal"


def _unknown(written: str) -> BadInput:
    """The error for an unknown unit, with the nearest that people use."""
    hint = suggest(written, unit_aliases.USUAL, 0.5) or "write one such as mm, kPa or N.m."
    return BadInput(f'There is no unit "{written}":', hint)


def light_of(wanted: Unit | None) -> str:
    """The light in which short names are read where `wanted` is expected; "" for none."""
    if wanted is None:
        return ""
    return (
        wanted.quantity_kind
        if wanted.quantity_kind in ("temperature", "difference")
        else dimensions.light(wanted.dimension)
    )


def difference_unit(unit: Unit) -> Unit:
    """The unit of a difference of two values in this one."""
    if unit.quantity_kind != "temperature":
        return unit
    return Unit(
        unit.text, unit.name, unit.dimension, unit.factor, Fraction(0), quantity_kind="difference"
    )


def of(number: Number, in_unit: Unit) -> Quantity:
    """A number in a unit as a quantity."""
    return Quantity(
        number * in_unit.factor + in_unit.offset, in_unit.dimension, in_unit.quantity_kind
    )


def number_in(quantity: Quantity, in_unit: Unit) -> Number:
    """The number of a quantity in a unit; BadInput if the dimensions differ."""
    if quantity.dimension != in_unit.dimension or {
        quantity.quantity_kind,
        in_unit.quantity_kind,
    } == {
        "temperature",
        "difference",
    }:
        is_now = dimensions.with_article(quantity.dimension, quantity.quantity_kind)
        wanted = dimensions.with_article(in_unit.dimension, in_unit.quantity_kind)
        such_as = f", in {in_unit.text} for instance" if in_unit.text else ""
        raise BadInput(f"This is {is_now};", f"{wanted} is wanted{such_as}.")
    return (quantity.si - in_unit.offset) / in_unit.factor


def dimension_name(dimension: Dimension, quantity_kind: str = "") -> str:
    """The dimension in words for a message: `length`, `pressure`, `plain number`, `m/s`."""
    return dimensions.in_words(dimension, quantity_kind)


def near(dimension: Dimension) -> list[str]:
    """A few unit names of this dimension, for a message: mm, cm, in."""
    return dimensions.usual_units(dimension)


def si_unit_name(dimension: Dimension) -> str:
    """pint's name of the coherent SI unit: `pascal`, `newton`, `kilogram / meter ** 3`; "" plain.

    A torque is `meter * newton`, a speed of rotation `radian / second`.
    """
    return dimensions.si_name(dimension)
