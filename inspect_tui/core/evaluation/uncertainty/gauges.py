"""What a gauge's name says of it: `micrometer ±0,02 mm`, `rule, resolution: 1 mm`, `±.05`.

An amount behind `±` (`+-`, `+/-`) is the expanded uncertainty (k = 2) and goes before what the
list says of such gauges; one behind `resolution` is the division, which bounds what the list says
from below. A bare figure is in the reading's own unit. What can't be read, or is of another kind
than the reading, is said and not used: the list's own figures stand then.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from inspect_tui.core.model.checklist import Kind
from inspect_tui.core.quantities import parse_number, units
from inspect_tui.core.quantities.units import Unit
from inspect_tui.core.readings import parse as readings
from inspect_tui.core.text.sanitize import ellipsize
from inspect_tui.errors import BadInput

Amount = tuple[bool, Fraction]
"""(relative, size): a part of the value, or an amount in the reading's own unit."""
NUMBERS: tuple[Kind, ...] = ("number", "timer")
"""Kinds whose readings have an uncertainty."""
_MARKS = re.compile(
    r"(?P<plus_minus>±|\+ ?/ ?-|\+ ?-)|\bresolution\b ?(?:[:=]|of\b|is\b)?", re.IGNORECASE
)
_END = re.compile(r"[;()]|,(?![0-9])|$")
_BEGINS_A_NUMBER = re.compile(r"[0-9.,]")


@dataclass(frozen=True, slots=True)
class GaugeStatement:
    """What a gauge's name states."""

    expanded: Amount | None = None
    """Expanded uncertainty (k = 2)."""
    division: Fraction | None = None
    """Resolution, own unit, full width."""
    trouble: str = ""
    """What in it is not used, and why; a sentence."""


NOTHING = GaugeStatement()


def difference(text: str, unit: Unit) -> Amount:
    """An uncertainty as written: `1 mm`, `5 %` (of the value), of a temperature `1 degC`.

    Raises:
        BadInput: no amount, or of another kind than the unit.
    """
    found = readings.quantity(text, units.difference_unit(unit))
    if found.quantity_kind == "percent" and unit.quantity_kind != "percent":
        return True, abs(Fraction(found.si))
    return False, abs(Fraction(found.si) / unit.factor)


@lru_cache(maxsize=256)
def gauge_statement(gauge: str, unit: Unit) -> GaugeStatement:
    """What the name of a gauge states for a reading in this unit.

    Args:
        gauge: As it was written; "" for none.
        unit: The reading's own.
    """
    if not gauge:
        return NOTHING
    try:
        plain = parse_number.plainly(gauge[: parse_number.LONGEST])
    except BadInput:
        return NOTHING
    expanded: Amount | None = None
    division: Fraction | None = None
    marks = list(_MARKS.finditer(plain))
    ends = [*(mark.start() for mark in marks), len(plain)][1:]
    for mark, end in zip(marks, ends, strict=True):
        plus_minus = mark["plus_minus"] is not None
        text = _said(plain[mark.end() : end])
        if not plus_minus and not _BEGINS_A_NUMBER.match(text):
            continue  # the word alone, as in `fine resolution`
        try:
            amount = _amount(text, unit)
            if plus_minus and expanded is None:
                expanded = amount
            elif not plus_minus and division is None and not amount[0]:
                division = amount[1]
            else:
                raise BadInput("it is not known what it is of")
        except BadInput as error:
            shown = ellipsize(f"{mark[0].strip()} {text}".strip())
            reason = error.message.rstrip(".;:")
            return GaugeStatement(
                trouble=f"Of the gauge '{ellipsize(gauge)}', \"{shown}\" is not used: {reason}."
            )
    return GaugeStatement(expanded, division)


def _said(text: str) -> str:
    """What stands behind a mark, up to a bracket, a semicolon or a comma that is no decimal."""
    end = _END.search(text)
    assert end is not None
    return text[: end.start()].strip()


def _amount(text: str, unit: Unit) -> Amount:
    """The amount at the beginning of a text: the words behind its unit may say anything else."""
    words = text.split()
    first: BadInput | None = None
    for count in range(min(len(words), 5), 0, -1):
        try:
            amount = difference(" ".join(words[:count]), unit)
        except BadInput as error:
            first = error
            continue
        if count < len(words) and not parse_number.amount(" ".join(words[:count])).unit:
            # `±0.05 mn`: a figure with something behind it that is no unit says too little.
            break
        if amount[1] == 0:
            raise BadInput("no gauge is exact")
        return amount
    raise first or BadInput("there is no amount")
