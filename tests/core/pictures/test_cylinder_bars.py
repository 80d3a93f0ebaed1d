"""Bars: never against their verdict, every mark there, the size that was asked for."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from inspect_tui.core.presentation.pictures.cylinder_bars import (
    FOUND_AND_LAST,
    LAST,
    BarChart,
    BarValue,
    CylinderBar,
    draw,
)
from inspect_tui.core.presentation.pictures.cylinder_bars_vector import vector
from inspect_tui.core.presentation.pictures.vector_picture import Path, Words, extent
from tests.core.pictures.picture_examples import AIR_SCREW, COMPRESSION, sizes, sound, texts

numbers = st.one_of(st.floats(-1e6, 1e6), st.sampled_from([0.0, 95.0, 110.0, 1e-9, 1e12, -1e12]))
bar_values = st.builds(
    BarValue, numbers, texts, st.sampled_from(["pass", "fail", "uncertain", "none"]),
    st.sampled_from([0.0, 0.5, 3.0, 1e6]),
)  # fmt: skip
bars = st.builds(
    CylinderBar, texts, st.none() | bar_values, st.none() | bar_values,
    st.none() | numbers, st.none() | numbers, st.none() | numbers,
)  # fmt: skip
charts = st.builds(BarChart, texts, texts, st.lists(bars, max_size=5).map(tuple), texts)


@settings(max_examples=60)
@given(charts, sizes, st.booleans())
def test_any_chart_at_any_size_has_that_size(chart, size, plain):
    sound(draw(chart, *size, ascii=plain), *size)
    assert vector(chart).height > 0


def one_bar(value, low=None, high=None, uncertainty=0.0, last=None):
    bar = CylinderBar("PTO", BarValue(value, "v", "pass", uncertainty), None, low, high, last)
    return BarChart("x", "mm", (bar,))


def ends(lines):
    """Where the bar ends and where the limit stands, in cells of the first bar's row."""
    row = next(line for line in lines if "PTO" in line)
    at = [n for n, char in enumerate(row) if char in "█▒┃▏▎▍▌▋▊▉"]
    return row, max(at, default=-1)


@given(st.floats(1, 1e5), st.floats(1e-9, 1), st.integers(40, 120), st.booleans())
def test_a_value_inside_its_limit_is_drawn_inside_however_near_it_is(limit, off, columns, inside):
    value = limit * (1 + off) if inside else limit * (1 - off)
    assume(value != limit)
    row, end = ends(draw(one_bar(value, low=limit), columns, 8).lines)
    if inside:
        assert "┃" in row and end >= row.index("┃")
    else:
        assert "┃" not in row and end < row.index("│")


@given(st.floats(1, 1e5), st.floats(1e-9, 1), st.integers(40, 120), st.booleans())
def test_an_upper_limit_likewise(limit, off, columns, inside):
    value = limit * (1 - off) if inside else limit * (1 + off)
    assume(value != limit)
    row, _ = ends(draw(one_bar(value, high=limit), columns, 8).lines)
    assert ("│" in row) == inside and ("┃" in row) != inside


def test_a_value_on_its_limit_reaches_it():
    row, _ = ends(draw(one_bar(110, low=110), 60, 8).lines)
    assert "┃" in row
    row, _ = ends(draw(one_bar(110, high=110), 60, 8).lines)
    assert "│" in row


def test_the_axis_begins_at_nought_where_that_costs_little_and_says_so_where_not():
    assert "▒" not in draw(one_bar(10, high=95), 60, 8).text
    assert "▒" in draw(one_bar(94, high=95), 60, 8).text


@pytest.mark.parametrize("size", [(76, 20), (36, 16), (100, 12), (40, 9), (26, 12)])
def test_every_mark_is_there(size):
    text = draw(COMPRESSION, *size).text
    for one in ("PTO", "centre", "MAG", "95 psi", "120 psi", "112 psi", LAST, "│", "━", "┿"):
        assert one in text, one
    assert text.count("○") >= 3 and "●" in text
    for sign in ("✗", "✓", "?"):
        assert sign in text


def test_found_and_last_in_one_cell_are_a_sign_of_their_own():
    bar = CylinderBar("PTO", BarValue(95, "95"), BarValue(120, "120"), 110, None, 95)
    assert FOUND_AND_LAST in draw(BarChart("x", "psi", (bar,)), 60, 8).text


def test_limits_of_their_own_stand_at_each_cylinder():
    own = BarChart("x", "mm", (
        CylinderBar("1", BarValue(3, "3", "pass"), None, 2, 4),
        CylinderBar("2", BarValue(3, "3", "fail"), None, 4, 5),
    ))  # fmt: skip
    first, _, second, _, *_ = draw(own, 60, 10).lines
    assert [char for char in first if char in "│┃"] == ["┃", "│"]
    assert [char for char in second if char in "│┃"] == ["│", "│"]
    assert own.zone is None and "within" not in draw(own, 60, 10).text


def test_two_limits_never_fall_into_one():
    text = draw(one_bar(5.0005, low=5.0, high=5.001, last=900), 60, 8).lines[1]
    assert sum(char in "│┃" for char in text) == 2


def test_the_axis_of_fractions_is_in_fractions():
    assert "1-1/2     " in draw(AIR_SCREW, 76, 7).lines[-2]
    assert "turn" in draw(AIR_SCREW, 76, 12).text


def test_cylinders_that_find_no_room_are_counted():
    many = replace(COMPRESSION, bars=COMPRESSION.bars * 4)
    assert "… 9 more" in draw(many, 60, 4).text
    assert draw(many, 60, 14).text.count("PTO") == 4


def test_no_cylinder_measured_is_said():
    text = draw(BarChart("x", "mm", (CylinderBar("PTO"),)), 60, 8).text
    assert "not measured" in text


def test_in_reports_the_words_say_what_the_picture_shows():
    said = vector(COMPRESSION).description
    assert "centre: 98 psi as found, fail, 120 psi as left, pass" in said
    assert "MAG: 112 psi as found, uncertain" in said


@pytest.mark.parametrize("chart", [COMPRESSION, AIR_SCREW])
def test_in_reports_nothing_leaves_the_frame(chart):
    picture = vector(chart)
    for shape in picture.shapes:
        if isinstance(shape, Words):
            left, top, right, bottom = extent(shape)
            assert left >= -0.01 and right <= picture.width + 1 and top >= -0.01, shape
            assert bottom <= picture.height
        elif isinstance(shape, Path):
            assert all(0 <= x <= picture.width for x, _ in shape.points)
            assert all(0 <= y <= picture.height for _, y in shape.points)
