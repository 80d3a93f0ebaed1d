"""Student's t, chi-square and Grubbs' limit, by the standard library alone."""

from __future__ import annotations

import math
from functools import lru_cache


def _continued_fraction(a: float, b: float, x: float) -> float:
    """The continued fraction of the incomplete beta function, by Lentz' method."""
    tiny = 1e-300
    c, d = 1.0, 1 / max(1 - (a + b) * x / (a + 1), tiny)
    total = d
    for m in range(1, 10_000):
        for term in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            d = 1 + term * d
            d = 1 / (d if abs(d) > tiny else tiny)
            c = 1 + term / c
            c = c if abs(c) > tiny else tiny
            total *= c * d
        if abs(c * d - 1) < 1e-16:
            break
    return total


def _incomplete_beta(a: float, b: float, x: float, rest: float) -> float:
    """Regularised incomplete beta function at x; `rest` is 1 - x, kept apart for its digits."""
    if x <= 0 or rest <= 0:
        return 0.0 if x <= 0 else 1.0
    scale = math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b)
    front = math.exp(scale + a * math.log(x) + b * math.log(rest))
    if x < (a + 1) / (a + b + 2):
        return front * _continued_fraction(a, b, x) / a
    return 1 - front * _continued_fraction(b, a, rest) / b


def t_tail(t: float, freedom: float) -> float:
    """Probability that Student's t with so many degrees of freedom exceeds t (t of 0 or more).

    The degrees of freedom need not be whole (Welch-Satterthwaite).
    """
    square = t * t
    whole = freedom + square
    return _incomplete_beta(freedom / 2, 0.5, freedom / whole, square / whole) / 2


def t_cdf(t: float, freedom: float) -> float:
    """Probability that Student's t with so many degrees of freedom is at most t."""
    return t_tail(-t, freedom) if t < 0 else 1 - t_tail(t, freedom)


@lru_cache(maxsize=4096)
def t_quantile(tail: float, freedom: float) -> float:
    """The t that is exceeded with probability `tail` (above 0, at most 0.5).

    Bisection on the tail probability: slow and sure, good to 1e-12 relative. Source of the
    distribution: Abramowitz and Stegun 26.7, through the incomplete beta function 26.5.
    """
    if not 0 < tail <= 0.5 or freedom < 1:
        raise ValueError(f"tail must be above 0 and at most 0.5, got {tail}; freedom at least 1")
    low, high = 0.0, 1.0
    while t_tail(high, freedom) > tail:
        low, high = high, high * 2
    while high - low > 1e-15 * high:
        middle = (low + high) / 2
        if middle in (low, high):
            break
        if t_tail(middle, freedom) > tail:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def grubbs_limit(count: int, significance: float = 0.05) -> float:
    """Two-sided limit of Grubbs' G = max|x - mean|/s for so many readings (3 or more).

    (n - 1)/sqrt(n) sqrt(t^2/(n - 2 + t^2)), t at significance/(2 n) and n - 2 degrees of freedom
    (Grubbs 1969; NIST/SEMATECH e-Handbook 1.3.5.17.1).
    """
    t = t_quantile(significance / (2 * count), count - 2)
    return (count - 1) / math.sqrt(count) * math.sqrt(t * t / (count - 2 + t * t))


def chi_square_tail(square: float, freedom: int) -> float:
    """Probability that chi-square with so many degrees of freedom exceeds a value of 0 or more.

    A finite sum for whole degrees of freedom (Abramowitz and Stegun 26.4.4 and 26.4.5).
    """
    half = square / 2
    if freedom % 2:
        total = math.erfc(math.sqrt(half))
        term = math.exp(-half) * math.sqrt(half) / math.gamma(1.5)
        first = 1.5
    else:
        total, term, first = 0.0, math.exp(-half), 1.0
    for step in range(freedom // 2):
        total += term
        term *= half / (first + step)
    return total


@lru_cache(maxsize=1024)
def chi_square_quantile(probability: float, freedom: int) -> float:
    """The value that chi-square stays below with this probability (0 to 1 without its ends).

    Bisection on the tail, good to 1e-12 relative.
    """
    if not 0 < probability < 1 or freedom < 1:
        raise ValueError(f"probability must lie between 0 and 1, got {probability}; freedom 1 up")
    tail = 1 - probability
    low, high = 0.0, 1.0
    while chi_square_tail(high, freedom) > tail:
        low, high = high, high * 2
    while True:
        middle = (low + high) / 2
        if middle in (low, high):
            return middle
        if chi_square_tail(middle, freedom) > tail:
            low = middle
        else:
            high = middle
