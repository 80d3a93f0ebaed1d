"""Intervals: by the odometer, by the hours, by the calendar."""

from __future__ import annotations

from datetime import date

import pytest

from inspect_tui.core.definitions.intervals import interval
from inspect_tui.core.quantities import units
from inspect_tui.core.readings.parse import quantity
from inspect_tui.errors import BadInput


@pytest.mark.parametrize(
    ("text", "by", "amount"),
    [
        ("500 km", "odometer", "500 km"),
        ("300 mi", "odometer", "482.8032 km"),  # a mile is 1609.344 m (NIST SP 811, B.8)
        ("50 h", "hours", "180000 s"),
        ("50 hours", "hours", "50 h"),
    ],
)  # fmt: skip
def test_by_a_meter(text, by, amount):
    found = interval(text)
    assert (found.by_meter, found.months, found.days) == (by, None, None)
    assert units.of(found.amount, found.unit) == quantity(amount)


@pytest.mark.parametrize(
    ("text", "months", "days"),
    [("24 months", 24, 0), ("2 years", 24, 0), ("1 month", 1, 0), ("6 weeks", 0, 42),
     ("10 days", 0, 10), ("1 year", 12, 0), ("0.5 years", 6, 0), ("1/2 year", 6, 0)],
)  # fmt: skip
def test_by_the_calendar(text, months, days):
    found = interval(text)
    assert (found.by_meter, found.amount) == ("", None)
    assert (found.months or 0, found.days or 0) == (months, days)


@pytest.mark.parametrize(
    ("text", "day", "expected"),
    [
        ("1 month", "2026-01-31", "2026-02-28"),  # the last day of a shorter month
        ("1 month", "2028-01-31", "2028-02-29"),
        ("1 year", "2028-02-29", "2029-02-28"),
        ("24 months", "2026-11-02", "2028-11-02"),
        ("2 weeks", "2026-12-25", "2027-01-08"),
        ("13 months", "2026-12-01", "2028-01-01"),
    ],
)
def test_the_calendar_is_the_one_on_the_wall(text, day, expected):
    assert interval(text).after(date.fromisoformat(day)).isoformat() == expected


@pytest.mark.parametrize(
    "text",
    ["500", "", "km", "0 km", "-5 km", "2 kg", "3 seasons", "90 min", "1/3 month", "5 %",
     "200000 years", "1.5 days", "10 s"],
)  # fmt: skip
def test_what_is_no_interval_is_refused_in_words(text):
    with pytest.raises(BadInput) as caught:
        interval(text)
    assert str(caught.value).isprintable()
