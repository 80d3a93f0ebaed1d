"""The draws by which a value's error is followed where it isn't a plain sum of its parts.

A Kronecker sequence in integers, so that every machine draws the same: row i of source j is the
fractional part of (i + 1) A_j / 2^32, taken at the middle of its step. The multipliers were found
by search for the least pairwise and product-kernel error at 2048 and 8192 rows; powers of the
golden ratio, Halton, Sobol and lattice points err more at equal length. Rounding a quantile to nine
places removes the last bit, in which the libraries of different machines differ.

Columns are made when first asked for (4 ms) and kept for the life of the process (0.3 MB each).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache, lru_cache
from statistics import NormalDist

Column = tuple[float, ...]

ROWS = 8192
"""The longest column; shorter ones are its beginning."""
_BLOCKS = (0, 1024, 4096, ROWS)
"""Where a column is cut while it is made: most values need the beginning alone."""
_MULTIPLIERS = (
    0x9E3779B9, 0xBB487827, 0x1A8D3E6B, 0x1C2D8419, 0xD5F47FF5, 0x4BB70C19, 0x23B5CA7F, 0x4EBA1153,
    0x6DE62E0D, 0xDE971ABD, 0xD1BB94DF, 0xE943C343, 0x966393A5, 0xD39FA98F, 0xC8BC33BD, 0x4812F027,
    0x1C7D6BF3, 0xC0394AC3, 0x826CD747, 0xBC8D1E6D, 0x86810563, 0xCC2F7F1B, 0x8F8E666B, 0x149F69C3,
)  # fmt: skip
MAX_SOURCES = len(_MULTIPLIERS)
"""Sources of error whose columns were searched for; further ones are drawn less evenly."""
_FURTHER = 0x9E3779B97F4A7C15
_TURN = 1 << 32
_HALF_TURN = 1 << 31
_PLACES = 9
_NORMAL = NormalDist()


def rectangular(source: int, rows: int = ROWS) -> Column:
    """Draws of a rectangular distribution from -1 to 1 (half-width 1).

    Args:
        source: 0 or more.
        rows: At most `ROWS`.
    """
    return _cut(rows, lambda block: _rectangular_block(source, block))


@cache
def _rectangular_block(source: int, block: int) -> Column:
    step = _multiplier(source)
    places = range(_BLOCKS[block] + 1, _BLOCKS[block + 1] + 1)
    return tuple((((i * step + _HALF_TURN) % _TURN) * 2 + 1) / _TURN - 1 for i in places)


def _cut(rows: int, block: Callable[[int], Column]) -> Column:
    """The first rows of a column that is made in blocks."""
    found: Column = ()
    for number, end in enumerate(_BLOCKS[1:]):
        found += block(number)
        if end >= rows:
            break
    return found if len(found) == rows else found[:rows]


def _multiplier(source: int) -> int:
    """The searched multipliers, then odd ones mixed out of the source's number."""
    if source < MAX_SOURCES:
        return _MULTIPLIERS[source]
    mixed = (source + 1) * _FURTHER % (1 << 64)
    mixed = (mixed ^ (mixed >> 30)) * 0xBF58476D1CE4E5B9 % (1 << 64)
    return (mixed >> 32) | 1


def normal(source: int, rows: int = ROWS) -> Column:
    """Draws of the standard normal distribution."""
    return _cut(rows, lambda block: _normal_block(source, block))


@cache
def _normal_block(source: int, block: int) -> Column:
    return tuple(map(_normal_quantile, _rectangular_block(source, block)))


def student(source: int, degrees_of_freedom: float, rows: int = ROWS) -> Column:
    """Draws of Student's t.

    Exact for one and two degrees of freedom; from three up the normal quantile z expanded in
    1/nu (Abramowitz and Stegun 26.7.5), whose worst error in a probability is 0.0043. What lies
    between one, two and three is rounded down.
    """
    return _cut(rows, lambda block: _student_block(source, degrees_of_freedom, block))


@lru_cache(maxsize=64)
def _student_block(source: int, degrees_of_freedom: float, block: int) -> Column:
    return tuple(student_quantile(u, degrees_of_freedom) for u in _rectangular_block(source, block))


@cache
def single(rows: int = 512) -> Column:
    """The middles of so many equal parts of the range from -1 to 1, for a single source."""
    return tuple((2 * q + 1) / rows - 1 for q in range(rows))


@cache
def single_normal(rows: int = 512) -> Column:
    """The normal quantiles of `single`."""
    return tuple(map(_normal_quantile, single(rows)))


def _normal_quantile(u: float) -> float:
    return round(_NORMAL.inv_cdf((u + 1) / 2), _PLACES)


def student_quantile(u: float, degrees_of_freedom: float) -> float:
    """The quantile of Student's t at probability (u + 1)/2, u from -1 to 1 without its ends.

    Args:
        u: Place in the distribution.
        degrees_of_freedom: 1 or more.
    """
    if degrees_of_freedom < 2:
        return round(math.tan(math.pi * u / 2), _PLACES)
    p = (u + 1) / 2
    if degrees_of_freedom < 3:
        return round((2 * p - 1) / math.sqrt(2 * p * (1 - p)), _PLACES)
    z, nu = _normal_quantile(u), degrees_of_freedom
    a = z * z
    return round(
        z
        * (
            1
            + (a + 1) / (4 * nu)
            + (5 * a**2 + 16 * a + 3) / (96 * nu**2)
            + (3 * a**3 + 19 * a**2 + 17 * a - 15) / (384 * nu**3)
        ),
        _PLACES,
    )
