"""What is due by meter and calendar; points and trends of a figure over its sessions."""

from __future__ import annotations

from datetime import date

import pytest

from inspect_tui.core.definitions.intervals import interval
from inspect_tui.core.seasons.due import due_of
from inspect_tui.core.seasons.history import history_of
from inspect_tui.core.seasons.machine_state import state_after
from inspect_tui.errors import BadInput
from tests.seasons.machines import day, done, odometer, session, value


def serviced(number: int, km: float, *every: str, **keys):
    at = day(number)
    return session(
        number, values=(odometer(km, at),), done=(done("chaincase", at, *every),), **keys
    )


def test_a_row_for_each_interval_in_its_order():
    rows = due_of("sled", state_after([serviced(0, 2100, "500 km", "24 months")]), date(2024, 1, 5))
    assert [(row.due_at, row.left, row.by, row.late) for row in rows] == [
        ("2600 km", "500 km", None, False),
        ("2025-11-05", "670 days", "2025-11-05", False),
    ]
    assert {(row.machine, row.step, row.checklist, row.last) for row in rows} == {
        ("sled", "chaincase", "pre-season", "2023-11-05")
    }


def test_the_pace_says_when():
    later = session(100, values=(odometer(2200, day(100)),))
    state = state_after([later, serviced(0, 2000, "500 km")])
    (row,) = due_of("sled", state, date(2024, 3, 1))
    # 200 km in 100 days, 300 km to go: 150 days after the last reading of 2024-02-13.
    assert (row.due_at, row.left, row.by) == ("2500 km", "300 km", "2024-07-12")


@pytest.mark.parametrize("hours", [19, 23])
def test_no_pace_within_a_day(hours):
    at = day(0).replace(hour=hours)
    more = session(1, values=(odometer(2010, at),))
    (row,) = due_of("sled", state_after([serviced(0, 2000, "500 km"), more]), date(2024, 3, 1))
    assert row.by is None and row.left == "490 km"


def test_a_meter_turned_back_counts_on_from_there():
    rows = [
        serviced(0, 2000, "500 km"),
        session(100, values=(odometer(2300, day(100)),)),
        session(200, values=(odometer(10, day(200)),)),  # another meter
        session(300, values=(odometer(60, day(300)),)),
    ]
    (row,) = due_of("sled", state_after(rows), date(2024, 9, 1))
    assert (row.left, row.due_at) == ("150 km", "210 km")


def test_miles_and_kilometres_are_one_meter():
    mile = value("meter", "odometer", 1000, day(0), unit="mile", meter="odometer")
    rows = [
        session(0, values=(mile,), done=(done("chaincase", day(0), "500 km"),)),
        session(100, values=(odometer(1709.344, day(100)),)),
    ]
    (row,) = due_of("sled", state_after(rows), date(2024, 9, 1))
    assert row.left == "400 km"


def test_late_and_never_read():
    (late,) = due_of("sled", state_after([serviced(0, 100, "2 weeks")]), date(2023, 11, 25))
    assert late.late and late.left == "-6 days"
    bare = session(0, done=(done("chaincase", day(0), "500 km"),))
    (row,) = due_of("sled", state_after([bare]), date(2024, 1, 1))
    assert (row.due_at, row.left, row.by, row.late) == ("", "", None, False)


@pytest.mark.parametrize("text", ["500", "km", "5 kPa", "1.5.2 km", "", "-5 km"])
def test_what_is_no_interval(text):
    with pytest.raises(BadInput):
        interval(text)


@pytest.mark.parametrize(
    ("text", "start", "end"),
    [
        ("1 month", date(2024, 1, 31), date(2024, 2, 29)),
        ("12 months", date(2024, 2, 29), date(2025, 2, 28)),
        ("2 years", date(2024, 5, 1), date(2026, 5, 1)),
        ("30 days", date(2024, 5, 1), date(2024, 5, 31)),
    ],
)
def test_the_calendar(text, start, end):
    assert interval(text).after(start) == end


def worn(numbers, **keys):
    """Belt widths every 1000 km and 300 days."""
    rows = []
    for k, (number, phase) in enumerate(numbers):
        at = day(300 * k)
        width = value(
            "belt", "width", number, at, phase=phase, uncertainty=0.2, low=33.0, **keys
        )  # fmt: skip
        rows.append(session(300 * k, values=(odometer(1000.0 * k, at), width)))
    return rows


def belt(summaries):
    return next(each for each in history_of(summaries) if each.step == "belt")


def test_a_worn_belt_is_foretold():
    figure = belt(worn([(35.0, "as-found"), (34.5, "as-found"), (34.0, "as-found")]))
    assert figure.trend is not None and figure.trend.line is not None
    assert figure.trend.line.slope == pytest.approx(-0.0005) and figure.trend.per == "km"
    reached = figure.trend.reached
    assert reached.begin < 4000 < reached.end and reached.limit == 33.0


def test_a_new_belt_begins_its_own_piece():
    figure = belt(
        worn([(35.0, "as-found"), (34.5, "as-found"), (35.1, "as-left"), (34.6, "as-found")])
    )
    assert [point.piece for point in figure.points] == [0, 0, 1, 1]
    assert figure.trend is not None and figure.trend.line is not None
    assert figure.trend.line.slope == pytest.approx(-0.0005)


def test_a_fitted_part_begins_its_own_piece():
    rows = worn([(35.0, "as-found"), (34.5, "as-found"), (34.9, "as-found"), (34.4, "as-found")])
    rows[1] = type(rows[1])(
        **{key: getattr(rows[1], key) for key in rows[1].__struct_fields__ if key != "fitted"},
        fitted=(("belt", day(301)),),
    )
    assert [point.piece for point in belt(rows).points] == [0, 0, 1, 1]


def test_too_few_points_say_so():
    figure = belt(worn([(35.0, "as-found"), (34.5, "as-found")]))
    assert figure.trend is not None and figure.trend.line is None
    assert figure.trend.reached.why_not == "too few readings"


def test_another_dimension_under_the_same_name_is_left_out():
    rows = worn([(35.0, "as-found"), (34.5, "as-found"), (34.0, "as-found")])
    odd = value("belt", "width", 5.0, day(10), unit="kPa")
    assert len(belt([*rows, session(10, values=(odd,))]).points) == 3


def test_the_last_value_is_the_one_that_was_left():
    rows = [
        session(0, values=(value("belt", "width", 34.0, day(0)),
                           value("belt", "width", 35.0, day(0), phase="as-left"))),
        session(50, values=(value("belt", "depth", 9.0, day(50)),)),
        session(90, "first-ride", values=(
            value("look", "belt", 34.8, day(90), same_as="pre-season:belt.width"),)),
    ]  # fmt: skip
    (last,) = state_after(rows[:2]).lasts("belt", "width", None)
    assert (last.value.value, last.session) == (35.0, "s0")
    (newest,) = state_after(rows).lasts("belt", "width", None)
    assert newest.value.value == 34.8
