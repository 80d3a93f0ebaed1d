"""The limit strip: what is drawn, and that it never contradicts the verdict."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.core.model.results import ConformityResult, ToleranceInterval
from inspect_tui.core.presentation.limit_strip import (
    EMPTY,
    NEAREST,
    Geometry,
    StripMark,
    draw,
    geometry,
    legend,
    limit_strip,
    mark,
)

BETWEEN = ToleranceInterval(30, 35)
AT_LEAST = ToleranceInterval(Fraction(63, 2))
AT_MOST = ToleranceInterval(None, 10)
EXACTLY = ToleranceInterval(30, 30)


def found(value, uncertainty=None):
    return StripMark("as-found", value, uncertainty)


def left(value, uncertainty=None):
    return StripMark("as-left", value, uncertainty)


def test_a_value_in_the_middle_of_its_zone():
    strip = limit_strip(BETWEEN, [found(Fraction(65, 2))], 21)
    assert strip.text == "·····│────○────│·····"


def test_as_found_and_as_left_are_two_marks():
    strip = limit_strip(BETWEEN, [found(29), left(Fraction(65, 2))], 21)
    assert strip.text == "···○·│────●────│·····"


def test_both_at_one_place_are_one_sign():
    assert limit_strip(BETWEEN, [found(32), left(32)], 21).text.count("◉") == 1


def test_the_width_of_the_uncertainty_crosses_the_limit():
    strip = limit_strip(BETWEEN, [found(Fraction(305, 10), 1)], 41)
    assert strip.text == "········━━┿━○━━━━─────────────│··········"


def test_one_sided_zones_reach_to_the_end():
    assert limit_strip(AT_LEAST, [found(Fraction(127, 4))], 20).text[-1] == "─"
    assert limit_strip(AT_LEAST, [found(Fraction(127, 4))], 20).text[0] == "·"
    assert limit_strip(AT_MOST, [found(9)], 20).text[0] == "─"
    assert limit_strip(AT_MOST, [found(9)], 20).text[-1] == "·"


def test_a_value_far_outside_is_an_arrow_at_the_edge():
    assert limit_strip(BETWEEN, [found(2), left(99)], 21).text == "◂○···│─────────│···●▸"


def test_two_values_beyond_the_same_end():
    assert limit_strip(BETWEEN, [found(2), left(3)], 21).text[:3] == "◂◉·"


def test_a_value_on_its_limit_stands_on_it():
    assert limit_strip(BETWEEN, [found(30)], 21).text == "·····○─────────│·····"


def test_rounding_noise_is_on_the_limit():
    assert limit_strip(BETWEEN, [found(30 + 1e-14)], 21).text == "·····○─────────│·····"


def test_a_zone_of_no_width():
    strip = limit_strip(EXACTLY, [found(31, 2)], 21)
    assert strip.text.count("┿") == 1
    assert limit_strip(EXACTLY, [found(30)], 21).text == "··········○··········"


def test_zero_is_a_limit_and_a_value():
    assert limit_strip(ToleranceInterval(0, None), [found(0)], 11).text == "·····○─────"
    assert limit_strip(ToleranceInterval(0, 0), [found(0)], 11).text == "·····○·····"


@pytest.mark.parametrize(
    "zone",
    [
        None,
        ToleranceInterval(),
        ToleranceInterval(equal=("6K",), text="6K"),
        ToleranceInterval(reason="not on the sheet"),
    ],
)
def test_nothing_is_drawn_without_numbers(zone):
    assert limit_strip(zone, [found(3)], 20) == EMPTY


def test_nothing_is_drawn_where_there_is_no_room():
    assert limit_strip(BETWEEN, [found(3)], 9) == EMPTY
    assert len(limit_strip(BETWEEN, [found(3)], 10).text) == 10


def test_a_zone_without_values_shows_its_limits():
    assert limit_strip(BETWEEN, [], 21).text == "·····│─────────│·····"


def test_plain_ascii():
    strip = limit_strip(BETWEEN, [found(2), left(Fraction(301, 10), 1)], 40, ascii=True)
    assert strip.text == "<o....====#*===--------------|.........."
    assert legend(ascii=True).isascii()


def test_spans_say_what_each_run_means():
    strip = limit_strip(BETWEEN, [found(Fraction(65, 2))], 21)
    assert [(strip.text[one.start : one.end], one.meaning) for one in strip.spans] == [
        ("·····", "outside"), ("│", "limit"), ("────", "zone"), ("○", "as-found"),
        ("────", "zone"), ("│", "limit"), ("·····", "outside"),
    ]  # fmt: skip


def test_words_and_answers_have_no_mark():
    assert mark("as-found", "6K", ConformityResult("pass")) is None
    assert mark("as-found", True, ConformityResult("pass")) is None
    assert mark("as-left", 0, ConformityResult("pass", uncertainty=2)) == left(0, 2)


def test_the_span_of_an_uncertainty_is_cut_at_the_ends():
    drawn = geometry(BETWEEN, [found(32, 40)])
    assert drawn is not None
    assert drawn.marks[0].span == (0, 1)


NUMBERS = st.fractions(-1000, 1000, max_denominator=1000)


@given(
    st.tuples(NUMBERS, NUMBERS), st.booleans(), st.booleans(), NUMBERS,
    st.none() | st.fractions(0, 100), st.integers(10, 80), st.booleans(),
)  # fmt: skip
def test_the_drawing_never_contradicts_the_verdict(
    sides, has_low, has_high, value, uncertainty, width, plain
):
    low, high = sorted(sides)
    zone = ToleranceInterval(low if has_low or not has_high else None, high if has_high else None)
    drawn = geometry(zone, [found(value, uncertainty)])
    assert drawn is not None
    strip = draw(drawn, width, ascii=plain)
    assert len(strip.text) == width
    assert "".join(strip.text[one.start : one.end] for one in strip.spans) == strip.text
    assert meaning_at(draw(Geometry(drawn.low, drawn.high, ()), width), cell_of(strip)) == (
        "limit" if value in (zone.low, zone.high) else "zone" if inside(zone, value) else "outside"
    )
    start, end = drawn.zone
    assert inside(zone, value) == (start <= drawn.marks[0].at <= end)


def inside(zone, value):
    return (zone.low is None or value >= zone.low) and (zone.high is None or value <= zone.high)


def cell_of(strip):
    (mark,) = (one for one in strip.spans if one.meaning == "as-found")
    assert mark.end == mark.start + 1
    return mark.start


def meaning_at(strip, cell):
    return next(one.meaning for one in strip.spans if one.start <= cell < one.end)


@given(NUMBERS, st.integers(10, 80))
def test_which_side_of_a_single_limit(value, width):
    strip = limit_strip(ToleranceInterval(0, None), [found(value)], width)
    cell = strip.text.index("○")
    bar = strip.text.find("│")
    if value == 0:
        assert bar == -1
    else:
        assert (cell > bar) == (value > 0)


def test_just_inside_is_drawn_inside_where_lines_are_fine():
    drawn = geometry(BETWEEN, [found(30 + Fraction(1, 10**6))])
    assert drawn is not None and drawn.low is not None
    assert drawn.marks[0].at == pytest.approx(drawn.low + NEAREST)
