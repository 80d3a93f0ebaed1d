"""Parts as they are compared: rows of stamps and measurements, and when two show the same part."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from inspect_tui.calc import input_checks as ranges
from inspect_tui.calc.input_checks import Real

Cell = Real | int | str | None
"""One attribute of one cylinder: a number, a word, or None where it is not known."""
Row = tuple[Cell, ...]
MOST_CYLINDERS = 24

_STAMPED = 9.0
"""Cost of a stamped part that does not fit: three standard deviations, however near its number."""
_SAME = 1e-9
"""Relative: numbers nearer than this are the same stamp."""
_FAR = 10**6
"""Standard uncertainties; further off costs no more, so that no cost overflows."""
_NUMBER = re.compile(r"[0-9]{1,12}(\.[0-9]{1,12})?")


@dataclass(frozen=True, slots=True)
class Matcher:
    """Whether two rows show the same parts, attribute by attribute."""

    steps: Sequence[Real | None]
    tolerances: Sequence[Real | None]

    def same(self, attribute: int, a: Cell, b: Cell) -> bool:
        """Within the tolerance, or the same stamp; what is not known contradicts nothing."""
        if a is None or b is None or a == b:
            return True
        if isinstance(a, str) or isinstance(b, str):
            return _stamp(a) == _stamp(b)
        tolerance, step = self.tolerances[attribute], self.steps[attribute]
        if not (tolerance or step or isinstance(a, float) or isinstance(b, float)):
            return False
        apart = abs(Fraction(a) - Fraction(b))
        if tolerance:
            return bool(apart <= tolerance)
        if step:
            return bool(apart * 2 < step)
        return apart <= _SAME * max(ranges.size(a), ranges.size(b))

    def rows(self, a: Row, b: Row) -> bool:
        """Whether all attributes are the same."""
        return all(self.same(k, x, y) for k, (x, y) in enumerate(zip(a, b, strict=True)))

    def cost(self, found: Row, expected: Row) -> float:
        """Sum of squares: in standard uncertainties where a tolerance is given, else 9 a misfit."""
        total = 0.0
        for k, (a, b) in enumerate(zip(found, expected, strict=True)):
            tolerance = self.tolerances[k]
            if a is None or b is None:
                continue
            if not tolerance or isinstance(a, str) or isinstance(b, str):
                total += 0.0 if self.same(k, a, b) else _STAMPED
            else:
                ratio = 2 * abs(Fraction(a) - Fraction(b)) / Fraction(tolerance)
                total += float(ratio if ratio < _FAR else _FAR) ** 2
        return total

    def column(self, attribute: int) -> Matcher:
        """The same for one attribute alone."""
        return Matcher((self.steps[attribute],), (self.tolerances[attribute],))


def _stamp(cell: Cell) -> object:
    """A word without regard to case and space; a number written as a word is that number."""
    if not isinstance(cell, str):
        return Fraction(cell) if cell is not None else None
    word = " ".join(cell.split()).casefold()
    return Fraction(word) if _NUMBER.fullmatch(word) else word


def rows_of(name: str, rows: object) -> list[Row]:
    """The rows, every element checked."""
    if isinstance(rows, str) or not isinstance(rows, Sequence):
        raise ValueError(f"{name} must be a list with one element per cylinder")
    if not 1 <= len(rows) <= MOST_CYLINDERS:
        raise ValueError(
            f"{name} must have one element per cylinder, 1 to {MOST_CYLINDERS}; got {len(rows)}"
        )
    checked = []
    for position, row in enumerate(rows):
        if isinstance(row, str) or not isinstance(row, Sequence) or not row:
            raise ValueError(f"{name} must have a row of attributes for cylinder {position}")
        checked.append(tuple(_cell(name, position, cell) for cell in row))
    return checked


def _cell(name: str, position: int, cell: object) -> Cell:
    if cell is None or isinstance(cell, (str, bool)):
        return cell
    return ranges.number(f"{name} (cylinder {position})", cell)


def per_attribute(
    name: str, values: Sequence[Real | None] | None, width: int
) -> tuple[Real | None, ...]:
    """One number or None per attribute; all None where nothing is given."""
    if values is None:
        return (None,) * width
    if len(values) != width:
        raise ValueError(f"{name} must have {width} values, one per attribute; got {len(values)}")
    return tuple(None if value is None else ranges.at_least(name, value) for value in values)
