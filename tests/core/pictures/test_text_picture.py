"""The canvas: exact sizes whatever is put on it, widths as terminals count them."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from inspect_tui.core.presentation.pictures.polyline import dots_along, smoothed
from inspect_tui.core.presentation.pictures.text_picture import (
    Canvas,
    fitted,
    folded,
    packed,
    safe,
    width,
)
from tests.core.pictures.picture_examples import sizes, sound, texts


@given(sizes, st.lists(st.tuples(st.integers(-5, 50), st.integers(-5, 140), texts), max_size=8))
def test_a_picture_has_the_size_it_was_asked_for(size, puts):
    columns, rows = size
    canvas = Canvas(columns, rows)
    for row, column, text in puts:
        canvas.put(row, column, safe(text), "plain")
        canvas.dot(column, row, "outline")
        canvas.region("x", row, column, column + 3)
    for plain in (False, True):
        sound(canvas.picture(ascii=plain), columns, rows)
        assert all(width(line) == columns for line in canvas.picture(ascii=plain).lines)


@pytest.mark.parametrize("text", ["belt", "中文", "é", "e\u0301", "½", "✗ □ ▲", "ｆｕｌｌ"])
def test_widths_are_those_of_rich(text):
    assert width(text) == cell_len(text)


@given(texts, st.integers(0, 40))
def test_a_text_is_cut_to_its_room(text, columns):
    cut = fitted(safe(text), columns)
    assert width(cut) <= columns
    assert cut == safe(text) or cut.endswith("…") or columns == 0


@given(texts, st.integers(1, 40), st.integers(1, 4))
def test_a_text_is_folded_into_its_room(text, columns, most):
    lines = folded(safe(text), columns, most)
    assert len(lines) <= most and all(width(line) <= columns for line in lines)


def test_half_of_a_wide_character_written_over_leaves_a_blank():
    canvas = Canvas(4, 1)
    canvas.put(0, 0, "中文", "plain")
    canvas.put(0, 1, "x", "plain")
    assert canvas.picture().lines == (" x文",)
    canvas.put(0, 2, "y", "plain")
    assert canvas.picture().lines == (" xy ",)


def test_a_wide_character_that_finds_half_of_its_room_is_left_out():
    canvas = Canvas(3, 1)
    canvas.put(0, 0, "中文", "plain")
    assert canvas.picture().lines == ("中 ",)


def test_the_dots_are_braille_and_have_a_plain_form():
    canvas = Canvas(4, 2)
    canvas.dots(dots_along([(0, 0), (7, 7)]), "outline", (1, 0))
    assert canvas.picture().lines == ("⠑⢄  ", "  ⠑⢄")
    assert canvas.picture(ascii=True).lines == ('"_  ', '  "_')


def test_the_first_role_in_order_names_a_cell():
    canvas = Canvas(1, 1, ("outline", "thin"))
    canvas.dot(0, 0, "thin")
    canvas.dot(1, 1, "outline")
    canvas.dot(0, 2, "thin")
    assert canvas.picture().rows[0][0].role == "outline"


def test_a_smooth_closed_line_runs_on_into_itself():
    square = [(0, 0), (10, 0), (10, 10), (0, 10)]
    closed = smoothed(square, closed=True)
    assert closed[0] == closed[-1]
    # As straight there as at the next of the four, by symmetry.
    assert bend(closed[-2], closed[0], closed[1]) == pytest.approx(bend(*closed[4:7]))


def bend(a, b, c):
    """The angle by which a line turns at its middle point, in degrees."""
    turn = math.atan2(c[1] - b[1], c[0] - b[0]) - math.atan2(b[1] - a[1], b[0] - a[0])
    return math.degrees((turn + math.pi) % (2 * math.pi) - math.pi)


def test_a_legend_is_packed_into_lines():
    entries = [[("a", "plain"), (" long", "faint")]] * 3
    assert [len(line) for line in packed(entries, 14)] == [5, 2]
