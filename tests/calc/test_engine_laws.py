"""Laws of the engine's, the fluids' and the trend's calculations, whatever the numbers."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tests.calc.test_calc_laws import real, work

plain = settings(max_examples=60, deadline=None)

kelvins = st.fractions(230, 320, max_denominator=10)
shares = st.fractions(0, 1, max_denominator=100)
ratios = st.fractions(5, 200, max_denominator=10)
amounts = st.fractions(Fraction(1, 1000), Fraction(1, 10), max_denominator=1000)
gauges = st.floats(1e3, 1.5e6)


@plain
@given(depth=st.floats(0.001, 0.064), rod=st.floats(0.1, 0.2))
def test_a_port_opens_and_shuts_where_the_piston_is_at_its_edge(depth: float, rod: float) -> None:
    turn = real(work("port_timing", stroke=0.064, rod=rod, depth=depth)["duration"])
    assert 0 <= turn <= 2 * math.pi
    there = work("piston_position", stroke=0.064, rod=rod, angle=math.pi - turn / 2)
    assert real(there["distance"]) == pytest.approx(depth, rel=1e-9, abs=1e-12)


@plain
@given(distance=st.floats(0.0005, 0.02), tilt=st.floats(0, 1))
def test_a_tilted_gauge_reads_long(distance: float, tilt: float) -> None:
    sizes = {"stroke": 0.064, "rod": 0.125}
    straight = real(work("timing_angle", **sizes, distance=distance)["angle"])
    long = distance / math.cos(tilt)
    assert real(work("timing_angle", **sizes, distance=long, tilt=tilt)["angle"]) == pytest.approx(
        straight, rel=1e-9
    )
    assert real(work("timing_angle", **sizes, distance=distance, tilt=tilt)["angle"]) <= straight


@plain
@given(bore=st.floats(0.03, 0.08), chamber=st.floats(2e-5, 1e-4), part=st.floats(0.3, 1))
def test_the_trapped_ratio_is_the_smaller(bore: float, chamber: float, part: float) -> None:
    given_ = {"bore": bore, "stroke": 0.06, "chamber": chamber}
    whole = work("compression_ratio", **given_)
    trapped = work("compression_ratio", **given_, trapped_stroke=0.06 * part)
    assert real(trapped["ratio"]) <= real(whole["ratio"]) * (1 + 1e-12)
    assert trapped["swept"] == whole["swept"]
    assert (real(whole["ratio"]) - 1) * chamber == pytest.approx(real(whole["swept"]), rel=1e-9)


@plain
@given(gap=st.floats(0, 0.002), wear=st.floats(0, 0.001))
def test_a_ring_s_gap_there_and_back(gap: float, wear: float) -> None:
    worn = real(work("ring_gap", gap=gap, bore_wear=wear)["gap"])
    assert worn >= gap
    assert real(work("ring_gap", gap=worn, bore_wear=-wear)["gap"]) == pytest.approx(gap, abs=1e-15)


@plain
@given(
    start=st.integers(1000, 100_000), first=kelvins, then=kelvins, air=st.integers(60_000, 105_000)
)
def test_a_tight_space_has_no_fall_whatever_the_temperature(
    start: int, first: Fraction, then: Fraction, air: int
) -> None:
    end = (start + air) * then / first - air
    assume(-air < end < 10**6)
    temperatures = {"temperature_start": first, "temperature_end": then}
    got = work("pressure_decay", start=start, end=end, time=60, ambient=air, **temperatures)
    assert got == {"rate": 0, "fall": 0}


@plain
@given(start=st.integers(-90_000, 100_000), lost=st.integers(0, 9000), time=st.integers(1, 10_000))
def test_at_one_temperature_the_fall_is_what_the_gauge_lost(
    start: int, lost: int, time: int
) -> None:
    got = work("pressure_decay", start=start, end=start - lost, time=time)
    assert got == {"rate": Fraction(lost, time), "fall": lost}


@plain
@given(supply=gauges, part=st.floats(0.02, 0.999), smaller=st.floats(0.5, 0.999))
def test_the_leak_is_larger_the_less_is_held(supply: float, part: float, smaller: float) -> None:
    more, less = (work("leak_down", supply=supply, held=supply * one)
                  for one in (part, part * smaller))  # fmt: skip
    assert real(less["hole"]) > real(more["hole"]) > 0
    assert real(more["percent"]) == pytest.approx(100 * (1 - part), rel=1e-9, abs=1e-9)


@plain
@given(supply=st.floats(3e5, 1e6), orifice=st.floats(0.0005, 0.005))
def test_the_hole_goes_with_the_orifice_and_a_tight_cylinder_has_none(
    supply: float, orifice: float
) -> None:
    got = work("leak_down", supply=supply, held=supply, orifice=orifice)
    assert got == {"percent": 0, "hole": 0}
    twice = work("leak_down", supply=supply, held=supply / 2, orifice=2 * orifice)
    once = work("leak_down", supply=supply, held=supply / 2, orifice=orifice)
    assert real(twice["hole"]) == pytest.approx(2 * real(once["hole"]), rel=1e-12)


@plain
@given(ratio_a=ratios, ratio_b=ratios, fuel_a=amounts, fuel_b=amounts)
def test_a_mix_of_two_has_the_oil_of_both(
    ratio_a: Fraction, ratio_b: Fraction, fuel_a: Fraction, fuel_b: Fraction
) -> None:
    mixed = work("mixed_premix", fuel_a=fuel_a, ratio_a=ratio_a, fuel_b=fuel_b, ratio_b=ratio_b)
    ratio = mixed["ratio"]
    assert min(ratio_a, ratio_b) <= real(ratio) <= max(ratio_a, ratio_b) or ratio == ratio_a
    oil = [work("oil_for_fuel", fuel=f, ratio=r)["oil"]
           for f, r in ((fuel_a, ratio_a), (fuel_b, ratio_b))]  # fmt: skip
    assert work("oil_for_fuel", fuel=fuel_a + fuel_b, ratio=ratio)["oil"] == sum(oil)  # type: ignore[arg-type]


@plain
@given(now=shares, fresh=shares, part=shares)
def test_the_coolant_has_what_was_wanted_after_the_exchange(
    now: Fraction, fresh: Fraction, part: Fraction
) -> None:
    assume(now != fresh)
    volume, wanted = Fraction(4, 1000), now + part * (fresh - now)
    out = work("coolant_exchange", volume=volume, now=now, wanted=wanted, fresh=fresh)["draw_off"]
    assert isinstance(out, Fraction) and 0 <= out <= volume
    assert (volume - out) * now + out * fresh == volume * wanted


@plain
@given(gravity=st.fractions(Fraction(101, 100), Fraction(127, 100)), t=st.fractions(240, 330))
def test_the_acid_s_freezing_point_takes_the_reading_at_80_fahrenheit(
    gravity: Fraction, t: Fraction
) -> None:
    at_80 = work("electrolyte_density", specific_gravity=gravity, temperature=t)["specific_gravity"]
    assume(1 <= real(at_80) <= 1.28)
    warm = work("electrolyte_freeze_point", specific_gravity=gravity, temperature=t)
    assert warm == work("electrolyte_freeze_point", specific_gravity=at_80)


def test_acid_beyond_its_table_counts_as_its_end() -> None:
    water = work("electrolyte_freeze_point", specific_gravity=1, temperature=240)
    assert water == work("electrolyte_freeze_point", specific_gravity=1)
    full = work("electrolyte_freeze_point", specific_gravity=Fraction(128, 100), temperature=330)
    assert full == work("electrolyte_freeze_point", specific_gravity=Fraction(128, 100))


@plain
@given(ohm=st.fractions(1, 100), t=kelvins, to=kelvins, leads=st.fractions(0, 1))
def test_a_winding_there_and_back(
    ohm: Fraction, t: Fraction, to: Fraction, leads: Fraction
) -> None:
    there = work("winding_resistance", resistance=ohm, temperature=t, leads=leads, reference=to)
    back = work(
        "winding_resistance", resistance=there["resistance"], temperature=to, reference=t
    )["resistance"]  # fmt: skip
    assert back == ohm - leads
    assert (real(there["resistance"]) > real(back)) == (to > t) or leads == ohm


@plain
@given(length=amounts, t=kelvins, per_kelvin=st.fractions(0, Fraction(3, 10**4)))
def test_a_length_there_and_back(length: Fraction, t: Fraction, per_kelvin: Fraction) -> None:
    cold = work("length_at_reference", length=length, expansion=per_kelvin, temperature=t)["length"]
    grown = real(cold) * (1 + float(per_kelvin) * (float(t) - 293.15))
    assert grown == pytest.approx(float(length), rel=1e-12)


@plain
@given(
    speed=st.floats(100, 800),
    spring=st.floats(0.4, 2.5),
    weight=st.floats(0.4, 2.5),
    radius=st.floats(0.02, 0.1),
)
def test_at_engagement_the_weights_balance_the_spring(
    speed: float, spring: float, weight: float, radius: float
) -> None:
    force = real(work("flyweight_force", mass=0.05, radius=radius, speed=speed)["force"])
    assume(0 < force * max(1, spring) < 50_000)
    new = work(
        "engagement_speed", speed=speed, force_now=force, force_new=force * spring,
        mass_now=0.05, mass_new=0.05 * weight,
    )["speed"]  # fmt: skip
    assume(real(new) < 2000)
    got = work("flyweight_force", mass=0.05 * weight, radius=radius, speed=new)["force"]
    assert real(got) == pytest.approx(force * spring, rel=1e-9)


@plain
@given(teeth=st.integers(5, 200))
def test_a_larger_sprocket_allows_less_wear(teeth: int) -> None:
    limit = real(work("chain_elongation_limit", teeth=teeth)["percent"])
    assert limit == min(3, 200 / teeth)


points = st.lists(
    st.tuples(st.fractions(0, 1000, max_denominator=10), st.fractions(0, 50, max_denominator=100)),
    min_size=3, max_size=9, unique_by=lambda point: point[0],
)  # fmt: skip


@plain
@given(points=points, start=st.fractions(0, 50), slope=st.fractions(-1, 1, max_denominator=100))
def test_points_on_a_line_foretell_it_exactly(
    points: list[tuple[Fraction, Fraction]], start: Fraction, slope: Fraction
) -> None:
    at = [place for place, _ in points]
    when = max(at) + (max(at) - min(at))
    got = work("wear_trend", at=at, values=[start + slope * place for place in at], when=when)
    assert got["value"] == start + slope * when and got["slope"] == slope
    assert got["half_width"] == 0 and got["slope_low"] == got["slope_high"] == float(slope)


@plain
@given(points=points, shift=st.integers(-100, 100), order=st.randoms())
def test_a_trend_does_not_depend_on_order_or_where_the_meter_began(
    points: list[tuple[Fraction, Fraction]], shift: int, order: object
) -> None:
    at, values = [list(one) for one in zip(*points, strict=True)]
    when = max(at)
    one = work("wear_trend", at=at, values=values, when=when)
    mixed = list(points)
    order.shuffle(mixed)  # type: ignore[attr-defined]
    other = work(
        "wear_trend", at=[place + shift for place, _ in mixed],
        values=[value for _, value in mixed], when=when + shift,
    )  # fmt: skip
    for key in ("value", "slope", "half_width", "slope_low", "slope_high"):
        assert real(one[key]) == pytest.approx(real(other[key]), rel=1e-9, abs=1e-9)
    assert real(one["slope_low"]) <= real(one["slope"]) <= real(one["slope_high"])


def test_at_the_end_of_its_stroke_the_crank_has_turned_by_half() -> None:
    """Whatever the tilt of the dial gauge, whose reading is longer by its cosine."""
    for stroke in (0.0541, 0.061, 0.068, 0.0701):
        for tilt in (0.0, 0.1, 0.2, 0.3, 0.4, 0.5):
            inputs = {"stroke": stroke, "rod": 2 * stroke, "tilt": tilt}
            end = stroke / math.cos(tilt)
            for distance in (end, math.nextafter(end, 1)):
                angle = real(work("timing_angle", distance=distance, **inputs)["angle"])
                assert angle == pytest.approx(math.pi, abs=1e-6)
            with pytest.raises(ValueError, match="distance must be at most"):
                work("timing_angle", distance=end * 1.0001, **inputs)


def test_a_thousandth_of_the_span_is_the_least_deflection_however_a_float_rounds_it() -> None:
    for millimetres in range(50, 400):
        span = millimetres / 1000
        got = work("span_tension", force=100, span=span, deflection=span / 1000)
        assert real(got["tension"]) == pytest.approx(25_000)
        with pytest.raises(ValueError, match="at least a thousandth of the span"):
            work("span_tension", force=100, span=span, deflection=span / 1001)


@pytest.mark.parametrize(
    ("one", "other", "centre"), [(0.2, 0.1, 0.3), (0.1, 0.25, 0.27), (0.15, 0.15, 0.2)]
)
def test_a_belt_is_its_two_tangents_and_two_arcs(one: float, other: float, centre: float) -> None:
    """By the points where the tangents touch, not by the textbook's formula."""
    large, small = max(one, other) / 2, min(one, other) / 2
    lean = math.asin((large - small) / centre)
    touches = [
        (x + r * math.sin(lean), r * math.cos(lean)) for x, r in ((0.0, large), (centre, small))
    ]
    arcs = large * (math.pi + 2 * lean) + small * (math.pi - 2 * lean)
    got = work("belt_length", diameter_a=one, diameter_b=other, centre_distance=centre)
    assert real(got["length"]) == pytest.approx(2 * math.dist(*touches) + arcs)


@pytest.mark.parametrize(
    ("gravity", "fahrenheit"),
    [(1.0, 32), (1.1, 19), (1.15, 5), (1.2, -16), (1.25, -62), (1.28, -90)],
)
def test_electrolyte_freezes_where_the_printed_table_says(gravity: float, fahrenheit: int) -> None:
    """US Army TM 5-1185, in degF, at the 80 degF for which the gravity is stated."""
    got = real(work("electrolyte_freeze_point", specific_gravity=gravity)["freeze_point"])
    assert got == pytest.approx((fahrenheit + 459.67) / 1.8, abs=1e-6)


@pytest.mark.parametrize(
    ("percent", "celsius"), [(10, -3.6), (30, -15.7), (40, -24.8), (45, -30.5), (50, -37.1)]
)
def test_coolant_freezes_where_the_printed_table_says(percent: int, celsius: float) -> None:
    """ASHRAE's ethylene glycol by volume, as fitted in CoolProp (AEG), rounded to 0.1 K."""
    got = real(work("coolant_freeze_point", glycol_volume=Fraction(percent, 100))["freeze_point"])
    assert got - 273.15 == pytest.approx(celsius, abs=1e-6)


def test_the_band_of_a_trend_is_that_of_least_squares() -> None:
    """Prediction at 95 % from six points, by scipy's line and Student's t (Draper & Smith 1.4)."""
    stats = pytest.importorskip("scipy.stats")
    at, values, when = [0, 1, 2, 4, 5, 7], [10.0, 10.4, 10.3, 11.1, 11.0, 11.9], 9
    line = stats.linregress(at, values)
    mean = sum(at) / len(at)
    across = sum((x - mean) ** 2 for x in at)
    rest = sum((y - line.intercept - line.slope * x) ** 2 for x, y in zip(at, values, strict=True))
    wide = math.sqrt(rest / 4 * (1 + 1 / 6 + (when - mean) ** 2 / across))
    got = work("wear_trend", at=at, values=values, when=when)
    assert real(got["value"]) == pytest.approx(line.intercept + line.slope * when)
    assert real(got["half_width"]) == pytest.approx(stats.t.ppf(0.975, 4) * wide)
