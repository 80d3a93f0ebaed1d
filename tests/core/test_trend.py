"""Trends against NIST's certified linear regression (StRD, Norris), scipy, and simulation."""

from __future__ import annotations

import math
import re
from importlib.resources import files
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from inspect_tui.core.evaluation.conclusions.trend import TrendPoint, crossing, fit_trend, too_few


def norris() -> list[TrendPoint]:
    """NIST StRD, dataset Norris, as scipy carries it: y and x of 36 observations."""
    text = files("scipy.stats").joinpath("tests/data/nist_linregress/Norris.dat").read_text()
    rows = [line.split() for line in text.splitlines()[60:] if len(line.split()) == 2]
    return [TrendPoint(float(x), float(y)) for y, x in rows]


def test_norris_comes_out_as_certified():
    trend = fit_trend(norris())
    assert trend is not None and trend.freedom == 34
    # Certified values: B1, B0, residual standard deviation, and that of the slope.
    assert trend.slope == pytest.approx(1.00211681802045, rel=1e-12)
    assert trend.value_at(0) == pytest.approx(-0.262323073774029, rel=1e-9)
    assert math.sqrt(trend.scale) == pytest.approx(0.884796396144373, rel=1e-11)
    half = (trend.high - trend.low) / 2
    assert half == pytest.approx(0.000429796848199937 * stats.t.ppf(0.975, 34), rel=1e-9)
    assert trend.half_width_at(0) == pytest.approx(
        0.232818234301152 * stats.t.ppf(0.975, 34), rel=1e-9
    )


TWO_PIECES = [(100, 34.9, 0), (900, 34.2, 0), (1700, 33.6, 0), (2000, 35.0, 1), (2900, 34.3, 1)]


def test_two_pieces_share_a_slope():
    # Values by numpy's lstsq on the same five points (u 0.1, the last 0.2), and the closed form.
    points = [TrendPoint(m, y, 0.2 if m < 2900 else 0.4, p) for m, y, p in TWO_PIECES]
    trend = fit_trend(points)
    assert trend is not None
    assert trend.slope == pytest.approx(-8.0859917e-4, rel=1e-7)
    assert (trend.high - trend.slope) / 1.959964 == pytest.approx(8.3275523e-5, rel=1e-7)
    assert trend.chi_square == pytest.approx(0.1840037, rel=1e-6) and trend.freedom == 2
    reached = crossing(trend, 33.0, None)
    assert reached.begin == pytest.approx(4045.73, abs=0.01)
    assert reached.end == pytest.approx(5110.23, abs=0.01)
    assert trend.value_at(3500) == pytest.approx(33.792649, abs=1e-6)
    assert trend.half_width_at(3500) == pytest.approx(0.277757, abs=1e-6)
    assert trend.half_width_at(3500, 0.1) == pytest.approx(0.339946, abs=1e-6)


def test_two_pieces_without_an_uncertainty():
    trend = fit_trend([TrendPoint(m, y, None, p) for m, y, p in TWO_PIECES])
    assert trend is not None
    assert trend.slope == pytest.approx(-8.0415430e-4, rel=1e-7)
    assert trend.low == pytest.approx(-9.0995277e-4, rel=1e-7)
    assert trend.high == pytest.approx(-6.9835584e-4, rel=1e-7)
    assert "without a stated uncertainty" in crossing(trend, 33.0, None).why_not


points = st.lists(
    st.tuples(st.integers(0, 5000), st.floats(-50, 50)), min_size=3, max_size=12,
    unique_by=lambda pair: pair[0],
)  # fmt: skip


@given(points)
def test_one_piece_is_scipys_line(pairs):
    trend = fit_trend([TrendPoint(x, y) for x, y in pairs])
    wanted = stats.linregress(*zip(*pairs, strict=True))
    assert trend is not None
    assert trend.slope == pytest.approx(wanted.slope, rel=1e-6, abs=1e-9)
    half = wanted.stderr * stats.t.ppf(0.975, len(pairs) - 2)
    assert trend.high - trend.slope == pytest.approx(half, rel=1e-5, abs=1e-6)


@pytest.mark.parametrize(
    ("rows", "why"),
    [
        ([], "too few readings"),
        ([(0, 1, 0), (1, 2, 0)], "too few readings"),
        ([(0, 1, 0), (1, 2, 0), (2, 3, 1)], "too few readings"),
        ([(0, 1, 0), (1, 2, 1), (2, 3, 2), (3, 4, 3)], "too few readings"),
        ([(0, 1, 0), (1, 2, 0), (2, 3, 1), (3, 4, 2)], "too few readings"),
        ([(5, 1, 0), (5, 2, 0), (5, 3, 0)], "all at the same meter reading"),
        ([(5, 1, 0), (5, 2, 0), (9, 3, 1), (9, 4, 1)], "all at the same meter reading"),
        ([(9, 1, 0), (9, 2, 0), (5, 3, 1), (5, 4, 1)], "all at the same meter reading"),
        ([(0, 1, 0), (1, 2, 0), (2, 3, 0)], ""),
        ([(0, 1, 0), (1, 2, 0), (2, 9, 1), (3, 10, 1)], ""),
    ],
)
def test_why_no_line_can_be_laid(rows, why):
    found = [TrendPoint(m, y, 0.1, p) for m, y, p in rows]
    assert too_few(found) == why and (fit_trend(found) is None) == bool(why)


@pytest.mark.parametrize(
    ("values", "low", "high", "why"),
    [
        ((35, 34, 33), None, 36, "moves away"),
        ((35, 34, 33), 33.5, None, "already past"),
        ((35, 34, 33), None, None, "no limit"),
        ((35.0, 35.02, 34.99), 30, None, "no change is sure yet"),
        ((35, 34, 33), 30, None, ""),
    ],
)
def test_why_no_crossing_can_be_told(values, low, high, why):
    trend = fit_trend([TrendPoint(500 * k, y, 0.2) for k, y in enumerate(values)])
    assert trend is not None
    reached = crossing(trend, low, high)
    assert why in reached.why_not and (reached.begin is None) == bool(why)


@pytest.mark.parametrize("values", [(35.0, 34.0, 34.9), (35.0, 34.9, 34.6), (33.0, 34.1, 33.2)])
def test_before_when_it_is_not_reached_is_where_the_band_first_holds_the_limit(values):
    """Fieller's set: all times at which the line's interval still holds the limit."""
    trend = fit_trend([TrendPoint(500 * k, y, 0.8) for k, y in enumerate(values)])
    assert trend is not None
    reached = crossing(trend, 30.0, None)
    assert "no change is sure yet" in reached.why_not
    told = re.search(r"not before (\d+)", reached.why_not)
    holds = (
        at
        for at in range(1000, 200_000)
        if abs(trend.value_at(at) - 30.0) <= trend.half_width_at(at)
    )
    assert told is not None and abs(int(told[1]) - next(holds)) <= 1


def covered(machines: int, seed: int) -> tuple[float, float]:
    """Shares of simulated machines whose slope, and crossing, the intervals hold."""
    rng, slope_in, told, limit_in = Random(seed), 0, 0, 0
    for _ in range(machines):
        slope, n = -rng.uniform(5e-4, 2e-3), rng.randint(4, 8)
        ats = sorted(rng.uniform(0, 4000) for _ in range(n))
        found = [TrendPoint(at, 35 + slope * at + rng.gauss(0, 0.1), 0.2) for at in ats]
        trend = fit_trend(found)
        assert trend is not None
        slope_in += trend.low <= slope <= trend.high
        limit = 35 + slope * (ats[-1] + 2000)
        reached = crossing(trend, limit, None)
        if reached.begin is not None and reached.end is not None:
            told += 1
            limit_in += reached.begin <= ats[-1] + 2000 <= reached.end
    return slope_in / machines, limit_in / told


def test_the_intervals_hold_what_they_say():
    # 95 % by construction; 2,000 machines tell it to half a percent (binomial).
    slope_in, limit_in = covered(2000, 7)
    assert 0.93 <= slope_in <= 0.97 and 0.93 <= limit_in <= 0.97
