"""Questions about a typed value: its row, its neighbours, what follows from it. Common practice."""

from __future__ import annotations

from fractions import Fraction

import pytest

from inspect_tui.core.quantities import units
from inspect_tui.core.readings import plausibility
from inspect_tui.core.readings.plausibility import DerivedZone

KPA, MM, N = units.unit("kPa"), units.unit("mm"), units.unit("N")


def test_a_bare_number_after_one_in_another_unit_is_questioned():
    assert plausibility.after_another_unit(Fraction(97), KPA, "", ["90", "95 psi"]) == (
        "97 kPa was understood, and the one before it was typed in psi; was it 97 psi (668.8 kPa)?"
    )


@pytest.mark.parametrize(
    ("written", "earlier"),
    [
        ("", []),
        ("", ["95 psi", "655"]),  # the latest is bare: it was asked about itself
        ("", ["655 kPa"]),
        ("", ["6.5 BAR; 6.6 BAR", "660 kpa"]),
        ("", ["?"]),
        ("", ["no number"]),
        ("pound_force_per_square_inch", ["95 psi"]),
    ],
)
def test_a_row_in_its_own_unit_asks_nothing(written, earlier):
    assert plausibility.after_another_unit(Fraction(97), KPA, written, earlier) is None


def test_repeats_carry_their_unit():
    asked = plausibility.after_another_unit(Fraction(97), KPA, "", ["95; 96 psi"])
    assert asked is not None and "psi" in asked


@pytest.mark.parametrize(
    ("value", "neighbours", "meant"),
    [
        ("120", ["827", "834"], "120 psi (827.4 kPa)"),
        ("82.7", ["827", "834"], "827 kPa"),
        ("8270", ["827"], "827 kPa"),
    ],
)
def test_a_value_that_misses_the_other_cylinders_by_a_slip(value, neighbours, meant):
    asked = plausibility.beside_neighbours(Fraction(value), KPA, [Fraction(n) for n in neighbours])
    assert asked is not None
    assert asked.endswith(f"was it {meant}?")
    assert "far from the other cylinders'" in asked


@pytest.mark.parametrize(
    ("value", "neighbours"),
    [
        ("700", ["827", "834"]),  # a tired cylinder is no slip
        ("300", ["827", "834"]),  # far, and no slip explains it
        ("120", ["827", "400"]),  # the others don't agree either
        ("120", []),
        ("0", ["827"]),
        ("120", ["0"]),
        ("120", ["-827"]),
    ],
)
def test_what_no_slip_explains_is_not_asked(value, neighbours):
    assert (
        plausibility.beside_neighbours(Fraction(value), KPA, [Fraction(n) for n in neighbours])
        is None
    )


def derived(now, low, high, with_unit):
    return DerivedZone("Tension", "N", Fraction(now), low, high, with_unit)


def test_a_bare_number_that_puts_a_derived_value_off_by_a_unit_is_questioned():
    in_unit = {"kgf": Fraction(300), "lbf": Fraction(136)}
    zone = derived(30, 250, 350, in_unit.get)
    asked = plausibility.beside_derived(Fraction("7.3"), N, zone, "Load ")
    assert asked == "with Load 7.3 N, Tension is 30 N; was it 7.3 kgf?"
    asked = plausibility.beside_derived(Fraction("7.3"), N, zone)
    assert asked == "with 7.3 N, Tension is 30 N; was it 7.3 kgf?"


@pytest.mark.parametrize(
    ("now", "low", "high", "would_be"),
    [
        (300, 250, 350, 3000),  # inside
        (200, 250, 350, 300),  # near
        (30, 250, 350, 30000),  # no unit brings it in
        (30, 250, 350, None),
        (30, None, None, 300),
    ],
)
def test_a_derived_value_that_no_unit_explains_asks_nothing(now, low, high, would_be):
    zone = derived(now, low, high, lambda _: would_be)
    assert plausibility.beside_derived(Fraction("7.3"), N, zone) is None


def test_a_number_of_no_usual_unit_asks_nothing():
    zone = derived(30, 250, 350, lambda _: Fraction(300))
    assert plausibility.beside_derived(Fraction(7), units.unit("V"), zone) is None


def test_a_point_before_three_digits_is_asked_about_beyond_a_limit_alone():
    v = units.unit("V")
    asked = plausibility.as_written("1.800", Fraction("1.8"), v, 1000, None)
    assert asked is not None and "decimal point" in asked and "write 1800 without it" in asked
    assert plausibility.as_written("1.800", Fraction("1.8"), v, 1, None) is None
    assert plausibility.as_written("1.800", Fraction("1.8"), v, 1, 2) is None
    assert plausibility.as_written("1.800", Fraction("1.8"), v, None, 1) is not None
    assert plausibility.as_written("1.800", Fraction("1.8"), v, None, None) is None
    assert plausibility.as_written("1,800", Fraction("1.8"), v, None, None) is not None


@pytest.mark.parametrize(
    ("value", "low", "high", "asked"),
    [
        ("7", "0.4", "0.5", True),
        ("141000", "0.4", "0.5", True),
        ("7000", "-1", "5", True),
        ("45", "-1", "5", False),
        ("4.6", "0.4", "0.5", False),  # far off, and a bent electrode can be
        ("15", None, "1", False),  # a long bubble in an oil line
        ("150", None, "1", True),
        ("3", None, "0", False),
        ("0.001", "0.4", "0.5", False),  # worn to nothing is no slip
    ],
)
def test_what_no_wear_explains_is_asked_about_though_no_slip_explains_it(value, low, high, asked):
    limits = [None if side is None else Fraction(side) for side in (low, high)]
    said = plausibility.question(Fraction(value), units.unit("t"), *limits)
    assert (said is not None and said.endswith("is that right?")) is asked


@pytest.mark.parametrize(
    ("value", "low", "high", "meant"),
    [
        ("700000", "650", "900", "was it 700 kPa?"),
        ("0.7", "650", "900", "was it 700 kPa?"),
        ("50", "5", "5", "was it 5 kPa?"),
        ("50", "6", "5", None),  # limits that cross say nothing
    ],
)
def test_a_slip_by_a_power_of_ten_is_asked_about_either_way(value, low, high, meant):
    asked = plausibility.question(Fraction(value), KPA, Fraction(low), Fraction(high))
    assert asked is None if meant is None else asked.endswith(meant)


def test_a_bare_fraction_is_asked_about_in_millimetres_alone():
    quarter = Fraction(1, 4)
    asked = plausibility.as_written("1/4", quarter, MM, None, None)
    assert asked is not None and asked.endswith("was it in inches? Then write 1/4 in")
    assert plausibility.as_written("1/4", quarter, units.unit("in"), None, None) is None
    assert plausibility.as_written("1/4", quarter, units.unit("turn"), None, None) is None
    assert plausibility.as_written("0.25", quarter, MM, None, None) is None


@pytest.mark.parametrize("value", range(-60, 61, 3))
def test_a_mirrored_reading_of_mirrored_limits_is_asked_about_as_well(value):
    """Toe and camber lie on both sides of nought."""
    asked = plausibility.question(Fraction(value), MM, Fraction(-1), Fraction(5))
    mirrored = plausibility.question(Fraction(-value), MM, Fraction(-5), Fraction(1))
    assert (asked is None) == (mirrored is None) == (abs(value) <= 10)


def test_neighbours_of_nought_and_a_percentage_ask_nothing():
    """By proportion nothing can be told from nought, nor a slip of the unit from a percentage."""
    beside = plausibility.beside_neighbours
    assert beside(Fraction(120), KPA, [Fraction(0), Fraction(827)]) is None
    percent = units.unit("%")
    assert percent.quantity_kind
    assert beside(Fraction(8), percent, [Fraction(80), Fraction(82)]) is None
    assert beside(Fraction(8), MM, [Fraction(80), Fraction(82)]) is not None


PSI = units.unit("psi")
"""Exact: a typed value is kept as a fraction."""


def in_kpa(psi):
    return units.number_in(units.of(Fraction(psi), PSI), KPA)


@pytest.mark.parametrize(
    ("typed", "neighbours", "said"),
    [
        ("1180", ["122"], "1180 psi is far from the other cylinders' 122 psi; was it 118 psi?"),
        ("11.8", ["118", "122"], "11.8 psi is far from the other cylinders' 118 to 122 psi; was"),
        ("820", ["120"], "820 psi is far from the other cylinders' 120 psi; was it 820 kPa?"),
    ],
)
def test_the_question_is_in_the_unit_that_was_typed(typed, neighbours, said):
    asked = plausibility.beside_neighbours(
        in_kpa(typed), KPA, [in_kpa(each) for each in neighbours], PSI.name
    )
    assert asked is not None and asked.startswith(said)


def test_the_question_of_a_limit_is_in_the_unit_that_was_typed_too():
    limits = in_kpa("100"), in_kpa("150")
    asked = plausibility.question(in_kpa("1180"), KPA, *limits, PSI.name)
    assert asked == "1180 psi is far outside 100 to 150 psi; was it 118 psi?"
    low = plausibility.question(in_kpa("1180"), KPA, in_kpa("100"), None, PSI.name)
    assert low == "1180 psi is far outside the lower limit of 100 psi; was it 1180 kPa?"


@pytest.mark.parametrize(
    ("value", "asked"), [("1", True), ("24", True), ("2500", True), ("90", False)]
)
def test_ten_times_off_its_neighbours_is_asked_about_whatever_explains_it(value, asked):
    plain = units.PLAIN
    said = plausibility.beside_neighbours(Fraction(value), plain, [Fraction(240), Fraction(250)])
    assert (said is not None) is asked
