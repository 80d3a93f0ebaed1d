"""Round figures along an axis."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.core.presentation.pictures.axis import date_ticks, placed, ticks

numbers = st.floats(-1e9, 1e9)


@given(numbers, st.floats(1e-6, 1e9), st.integers(0, 12), st.booleans())
def test_figures_are_inside_rising_and_not_too_many(start, length, most, fractions):
    end = start + max(length, 1e-6 * abs(start))
    found = ticks(start, end, most, fractions=fractions)
    assert len(found) <= most
    assert all(start <= tick.at <= end for tick in found)
    assert list(found) == sorted(set(found))
    if max(abs(start), abs(end)) < 1e9:
        assert len({tick.text for tick in found}) == len(found)
    if most >= 2 and end > start:
        assert found


@pytest.mark.parametrize(
    ("start", "end", "most", "shown"),
    [
        (86.3, 124.2, 5, "90 100 110 120"),
        (0.59, 0.76, 4, "0.60 0.65 0.70 0.75"),
        (0, 2, 3, "0 1 2"),
        (-3, 3, 4, "-2 0 2"),
        (1e9, 1.2e9, 3, "1e+09 1.1e+09 1.2e+09"),
    ],
)
def test_they_are_round(start, end, most, shown):
    assert " ".join(tick.text for tick in ticks(start, end, most)) == shown


def test_where_readings_are_fractions_so_are_they():
    shown = " ".join(tick.text for tick in ticks(0.8, 1.7, 8, fractions=True))
    assert shown == "7/8 1 1-1/8 1-1/4 1-3/8 1-1/2 1-5/8"
    assert [tick.text for tick in ticks(0, 40, 4, fractions=True)] == ["0", "20", "40"]


@pytest.mark.parametrize(("start", "end"), [(3, 3), (3, 2), (0, float("inf")), (0, float("nan"))])
def test_an_axis_of_no_length_has_none(start, end):
    assert ticks(start, end, 5) == ()


days = st.dates(date(1900, 1, 1), date(2200, 1, 1))


@given(days, st.integers(0, 40_000), st.integers(1, 10))
def test_dates_are_inside_rising_and_say_their_day(first, length, most):
    last = first + timedelta(days=length)
    found = date_ticks(first.toordinal(), last.toordinal(), most)
    assert 1 <= len(found) <= most and list(found) == sorted(set(found))
    for tick in found:
        assert first.toordinal() <= tick.at <= last.toordinal()
        assert date.fromordinal(int(tick.at)).isoformat().startswith(tick.text)


def test_seasons_are_years_or_months():
    start = date(2023, 11, 4).toordinal()
    long = date_ticks(start, start + 1000, 3)
    assert [tick.text for tick in long] == ["2024", "2025", "2026"]
    assert [tick.text for tick in date_ticks(start, start + 100, 4)] == [
        "2023-12", "2024-01", "2024-02",
    ]  # fmt: skip


def test_figures_that_would_touch_are_left_out():
    found = ticks(0, 10, 11)
    shown = placed(found, lambda value: round(value * 2), 20)
    assert [tick.text for tick, _ in shown] == ["0", "1", "2", "3", "4", "5", "6", "7", "8", "9"]
    crowded = placed(found, lambda value: round(value), 10)
    assert [tick.text for tick, _ in crowded] == ["0", "2", "4", "6", "8"]
