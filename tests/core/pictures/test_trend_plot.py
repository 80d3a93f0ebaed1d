"""The trend plot: never against a verdict, found told from left, axes by meter or date."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from inspect_tui.core.presentation.pictures.trend_plot import BOTH, TrendPlot, TrendPoint, draw
from inspect_tui.core.presentation.pictures.trend_plot_vector import vector
from inspect_tui.core.presentation.pictures.vector_picture import Disc, Path, Words, extent
from tests.core.pictures.picture_examples import BELT, SAG, sizes, sound, texts

numbers = st.one_of(st.floats(-1e6, 1e6), st.sampled_from([0.0, 31.5, 1e-9, 1e12, -1e12]))
points = st.builds(
    TrendPoint, numbers, numbers, st.sampled_from(["as-found", "as-left"]),
    st.sampled_from([0.0, 0.2, 1e6]), st.sampled_from(["pass", "fail", "uncertain", "none"]),
)  # fmt: skip
ends = st.tuples(numbers, numbers)
plots = st.builds(
    TrendPlot, texts, texts, st.lists(points, max_size=6).map(tuple),
    across=st.sampled_from(["meter", "date"]), across_unit=texts,
    low=st.none() | numbers, high=st.none() | numbers,
    pieces=st.lists(st.tuples(ends, ends), max_size=2).map(tuple),
    crossing=st.none() | ends, crossing_limit=st.sampled_from(["low", "high"]),
    fractions=st.booleans(),
)  # fmt: skip


@settings(max_examples=60)
@given(plots, sizes, st.booleans())
def test_any_plot_at_any_size_has_that_size(plot, size, plain):
    sound(draw(plot, *size, ascii=plain), *size)
    assert vector(plot).height > 0


def rows_of(lines, char):
    return [number for number, line in enumerate(lines) if char in line[8:]]


@given(
    st.floats(1, 1e5), st.floats(1e-9, 1), st.integers(40, 110), st.integers(10, 40),
    st.booleans(), st.sampled_from(["low", "high"]),
)  # fmt: skip
def test_a_mark_stands_on_its_side_of_a_limit(limit, off, columns, rows, inside, side):
    above = inside == (side == "low")
    value = limit * (1 + off) if above else limit * (1 - off)
    assume(value != limit)
    both = (TrendPoint(0, limit * 3), TrendPoint(100, value, "as-left"), TrendPoint(200, 0.0))
    plot = TrendPlot("x", "mm", both, **{side: limit})
    lines = draw(plot, columns, rows).lines[:-1]
    mark = next(n for n, line in enumerate(lines) if "●" in line and "as left" not in line)
    line = next(n for n, one in enumerate(lines) if "┄" in one and "limit" not in one)
    assert (mark < line) if above else (mark > line)


def test_a_value_on_its_limit_stands_on_it():
    plot = TrendPlot("x", "mm", (TrendPoint(0, 40), TrendPoint(9, 31.5)), low=31.5)
    line = next(one for one in draw(plot, 60, 16).lines if "min 31.5" in one)
    assert "○" in line


@pytest.mark.parametrize("size", [(80, 20), (40, 14), (110, 30), (30, 10)])
@pytest.mark.parametrize("plot", [BELT, SAG], ids=["belt", "sag"])
def test_every_value_has_its_mark(plot, size):
    picture = draw(plot, *size)
    body = "\n".join(line for line in picture.lines if "as found" not in line)
    left = sum(one.phase == "as-left" for one in plot.points)
    assert body.count("●") + body.count(BOTH) == left
    assert body.count("○") + body.count(BOTH) == len(plot.points) - left


def test_found_and_left_in_one_cell_are_a_sign_of_their_own():
    same = (TrendPoint(0, 30), TrendPoint(100, 34), TrendPoint(100, 34, "as-left"))
    assert BOTH in draw(TrendPlot("x", "mm", same), 60, 16).text


def test_the_axes_say_meter_or_date_and_the_limits():
    belt, sag = draw(BELT, 80, 20), draw(SAG, 80, 20)
    assert belt.lines[0].split() == ["mm", "Belt", "width"]
    assert "1000" in belt.text and belt.text.count("km") == 1 and "min 31.5" in belt.text
    assert "2024-07" in sag.text and "max 10" in sag.text and "min 5" in sag.text
    assert "km" not in sag.text


def test_where_the_limit_is_expected_to_be_reached_stands_on_its_line():
    line = next(one for one in draw(BELT, 80, 20).lines if "min 31.5" in one)
    assert "═══" in line and line.endswith("▸")
    assert "expected to reach it" in draw(BELT, 80, 20).text


def test_the_zone_is_dotted_not_only_coloured():
    roles = {run.role for row in draw(SAG, 80, 20).rows for run in row}
    assert "zone" in roles and "·" in draw(SAG, 80, 20).text


@pytest.mark.parametrize("value", [0.0, 655.0, -3.0])
def test_a_single_value_stands_in_the_middle(value):
    picture = draw(TrendPlot("x", "kPa", (TrendPoint(500, value),)), 60, 16)
    (row,) = [n for n, line in enumerate(picture.lines[:-1]) if "○" in line]
    assert 5 <= row <= 9
    day = date(2025, 11, 1).toordinal()
    dated = draw(TrendPlot("x", "kPa", (TrendPoint(day, value),), across="date"), 60, 16)
    assert "2025-1" in dated.text


def test_nothing_measured_and_no_room_are_said():
    assert "nothing measured yet" in draw(TrendPlot("x", "mm", ()), 60, 16).text
    assert "too small" in draw(BELT, 18, 8).text
    assert vector(TrendPlot("x", "mm", ())).description == "nothing measured yet"


def test_in_reports_the_words_say_what_the_picture_shows():
    assert "2310 km: 32.2 mm as found, pass" in vector(BELT).description
    assert "2025-11-01: 10.5 mm as found, fail" in vector(SAG).description


@pytest.mark.parametrize("plot", [BELT, SAG], ids=["belt", "sag"])
def test_in_reports_nothing_leaves_the_frame(plot):
    picture = vector(plot)
    for shape in picture.shapes:
        if isinstance(shape, Words):
            left, top, right, bottom = extent(shape)
            assert left >= -0.01 and right <= picture.width and top >= -0.01, shape
            assert bottom <= picture.height
        elif isinstance(shape, Path):
            assert all(0 <= x <= picture.width + 0.01 for x, _ in shape.points)


def test_in_reports_a_failed_value_lies_outside_the_zone():
    picture = vector(SAG)
    band = next(one for one in picture.shapes if isinstance(one, Path) and one.fill == "zone")
    upper = min(y for _, y in band.points)
    rings = [one for one in picture.shapes if isinstance(one, Disc) and one.fill == "paper"]
    assert sum(ring.centre[1] < upper for ring in rings) == 1
