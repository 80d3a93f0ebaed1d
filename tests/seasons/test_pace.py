"""Between which days something is due: held to machines whose truth is known.

The truth is simulated: twelve rides a winter, each winter as long as it likes, some without snow.
Common practice: nobody rides in summer. There is no published figure for the coverage; the aim is
the four of five that the words promise.
"""

from __future__ import annotations

from datetime import date, timedelta
from itertools import accumulate, pairwise
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.core.seasons.due import due_of
from inspect_tui.core.seasons.due_words import line_of, most_pressing
from inspect_tui.core.seasons.machine_state import state_after
from inspect_tui.core.seasons.pace import Stretch, span_of
from tests.seasons.machines import day, done, odometer, session

BEGUN = date(2000, 11, 1)
TODAY = date(2023, 11, 20)


def driven_by_day(rng: Random, years: int) -> list[float]:
    """By day, what the odometer reads: winters of about 1000 km."""
    days = [0.0]
    for _ in range(years):
        winter = [0.0] * 365
        if rng.random() > 0.1:
            amount = max(50.0, rng.gauss(1000, 350))
            for _ in range(12):
                winter[rng.randint(30, 140)] += amount / 12
        days += winter
    return list(accumulate(days))


def stretches_of(reads: list[int], odometer: list[float]) -> list[Stretch]:
    return [
        Stretch(BEGUN.toordinal() + a, b - a, odometer[b] - odometer[a])
        for a, b in pairwise(reads)
        if b > a
    ]


@pytest.mark.parametrize(
    ("looks", "least"), [([15], 0.7), ([15, 170], 0.7), ([15, 45, 170], 0.7), ([15, 45, 80], 0.7)]
)
@pytest.mark.parametrize("more", [200, 1000, 3000])
def test_the_day_lies_in_the_span_as_often_as_is_said(looks, least, more):
    rng, held, told = Random(7), 0, 0
    for _ in range(150):
        odometer = driven_by_day(rng, 60)
        reads = [365 * year + at + rng.randint(0, 9) for year in range(5) for at in looks]
        span = span_of(stretches_of(reads, odometer), more, BEGUN + timedelta(days=reads[-1]))
        if span.soonest is None:
            continue
        really = next(at for at, km in enumerate(odometer) if km >= odometer[reads[-1]] + more)
        told += 1
        on = BEGUN + timedelta(days=really)
        held += span.soonest <= on <= (span.latest or date.max)
    assert told > 140
    assert least < held / told


def test_an_even_machine_is_foretold_to_the_day():
    steady = [Stretch(BEGUN.toordinal() + 100 * k, 100.0, 100.0) for k in range(3)]
    span = span_of(steady, 50, BEGUN + timedelta(days=300))
    assert span.soonest == span.latest == BEGUN + timedelta(days=350)


def test_two_stretches_by_hand():
    # 100 and 140 km in 100 days each: pace 1.2, scatter (20^2 + 20^2)/100 = 8 with one degree of
    # freedom; t of 80 % with one is tan(0.4 pi) = 3.0777, so loose = 75.77: the roots of
    # (120 - 1.2 t)^2 = 75.77 (t + t^2/200) are 45.67 and 297.2.
    rows = [Stretch(BEGUN.toordinal(), 100, 100), Stretch(BEGUN.toordinal() + 100, 100, 140)]
    span = span_of(rows, 120, BEGUN)
    assert span.soonest is not None and span.latest is not None
    assert (span.soonest - BEGUN).days == 46 and (span.latest - BEGUN).days == 297


@pytest.mark.parametrize(
    ("rows", "why"),
    [
        ([], "fewer than three readings"),
        ([Stretch(1, 100, 50)], "fewer than three readings"),
        ([Stretch(1, 0.2, 50), Stretch(1, 100, 50)], "fewer than three readings"),
        ([Stretch(1, 100, 0), Stretch(101, 100, 0)], "nothing was driven"),
        ([Stretch(1, 100, 1e-6), Stretch(101, 100, 1e-6)], "hardly driven"),
    ],
)
def test_what_cannot_be_told_says_why(rows, why):
    span = span_of(rows, 500, BEGUN)
    assert span.soonest is None and span.latest is None and why in span.why_not


@given(
    st.lists(st.tuples(st.floats(0.1, 900), st.floats(0, 5000)), min_size=0, max_size=12),
    st.floats(0.1, 20_000),
)
def test_a_span_is_in_order_and_begins_after_the_reading(rows, more):
    begun, stretches = BEGUN.toordinal(), []
    for days, km in rows:
        stretches.append(Stretch(begun, days, km))
        begun += round(days)
    span = span_of(stretches, more, date.fromordinal(begun))
    assert (span.soonest is None) == bool(span.why_not)
    if span.soonest is not None:
        assert date.fromordinal(begun) <= span.soonest <= (span.latest or date.max)


def ridden(*km: float):
    """A chaincase done at the first, the odometer read every 100 days."""
    first = session(
        0, values=(odometer(km[0], day(0)),), done=(done("chaincase", day(0), "500 km"),)
    )
    rest = [
        session(100 * k, values=(odometer(one, day(100 * k)),)) for k, one in enumerate(km) if k
    ]
    return state_after([first, *rest])


@pytest.mark.parametrize(
    ("km", "today", "said"),
    [
        ((2000, 2100, 2200), date(2024, 6, 1), "Chaincase: on 19 March; at 2500 km"),
        (
            (2000, 2100, 2240),
            date(2024, 6, 1),
            "between 18 September 2024 and 16 November 2025; at 2500 km",
        ),
        ((2000, 2100, 2240), date(2024, 9, 20), "any day, by 16 November 2025 at the latest"),
        ((2000, 2100, 2240), date(2026, 9, 1), "probably already: read the meter"),
        ((2000, 2010, 2240), date(2024, 6, 1), "until when can't be told; at 2500 km"),
        ((2000,), TODAY, "the meter was read only once"),
        ((2000, 2100), TODAY, "about 19 March 2025, but how that varies can't be told"),
        ((2000, 2000, 2000), TODAY, "nothing was driven"),
        ((2000, 2400, 2600), TODAY, "LATE, 100 km over (due at 2500 km)"),
    ],
)
def test_in_words(km, today, said):
    (row,) = due_of("sled", ridden(*km), today)
    assert said in line_of(row, today)


def test_another_meter_in_between_says_nothing_of_the_pace():
    meter = ridden(2000, 2100, 10, 110).meters["odometer"]
    assert [each.driven for each in meter.stretches] == [100, 100]
    assert meter.readings == 4


def test_miles_turn_with_the_meter():
    meter = ridden(2000, 2100).meters["odometer"].read_again("mile", 1400.0, day(200))
    assert meter.stretches[0].driven == pytest.approx(62.137, abs=1e-3)


def test_the_late_ones_come_first():
    state = ridden(2000, 2100, 2200)
    state.done["belt"] = state.done["chaincase"].__class__(
        "belt", "Belt", ("150 km",), "pre-season", day(0), {"odometer": (0.0, "km")}
    )
    rows = most_pressing(due_of("sled", state, TODAY))
    assert [row.title for row in rows] == ["Belt", "Chaincase"]
    assert rows[0].late and not rows[1].late
