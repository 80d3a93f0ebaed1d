"""Laws that hold whatever the numbers: inverses invert, exact stays exact, more is more."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from inspect_tui.calc import REGISTER
from inspect_tui.calc.atmosphere import GAS_CONSTANT_VAPOUR, saturation_pressure_over_water
from inspect_tui.calc.distributions import chi_square_quantile, t_quantile
from inspect_tui.calc.registry import Outcome

plain = settings(max_examples=80, deadline=None)


def work(name: str, **inputs: object) -> dict[str, Outcome]:
    return dict(REGISTER[name].function(**inputs))


def real(value: Outcome) -> float:
    assert isinstance(value, (int, float, Fraction))
    return float(value)


def test_what_began_without_pressure_may_have_gained_it() -> None:
    """From a vacuum, or from nothing: only what was pumped up can't rise by itself."""
    assert real(work("pressure_decay", start=0, end=100, time=60)["rate"]) < 0
    assert real(work("pressure_decay", start=-50_000, end=-49_000, time=60)["rate"]) < 0
    with pytest.raises(ValueError, match="end must not be above start"):
        work("pressure_decay", start=1_000, end=50_000, time=60)


def test_water_in_the_air_is_as_hyland_and_wexler_have_it() -> None:
    """ASHRAE's equation as psychrolib has it, from the triple point to a hot day."""
    psychrolib = pytest.importorskip("psychrolib")
    psychrolib.SetUnitSystem(psychrolib.SI)
    for celsius in (0.02, 5, 10, 20, 30):
        wanted = psychrolib.GetSatVapPres(celsius)
        assert saturation_pressure_over_water(celsius + 273.15) == pytest.approx(wanted, rel=3e-4)


def test_the_gas_constant_of_water_is_the_molar_one_over_its_mass() -> None:
    """8.314462618 J/(mol K) (SI Brochure, 9th ed.) over 18.01528 g/mol (IUPAC)."""
    assert pytest.approx(8.314462618 / 0.01801528, rel=2e-5) == GAS_CONSTANT_VAPOUR


def test_nothing_is_emptier_than_nothing() -> None:
    """A perfect vacuum is refused as a reading, at the beginning and at the end."""
    for start, end, name in ((0, -90_000, "end"), (-90_000, 0, "start"), (0, -90_001, "end")):
        with pytest.raises(ValueError, match=f"{name} must be above a perfect vacuum"):
            work("pressure_decay", start=start, end=end, time=60, ambient=90_000)


def test_a_deflection_too_small_is_told_the_least_that_counts() -> None:
    with pytest.raises(ValueError, match=r"a thousandth of the span \(0.001( m)?\)"):
        work("span_tension", force=100, span=1, deflection=0.0001)


def test_rounding_of_floats_makes_no_outlier_however_large_the_readings_are() -> None:
    for about in (1e-3, 1.0, 1e6):
        values = (about, about, about, about, math.nextafter(about, 2 * about))
        assert work("repeat_readings", values=values)["outlier"] in (None, "none")


positive = st.fractions(min_value=Fraction(1, 10), max_value=1, max_denominator=1000)
heights = st.floats(min_value=-500, max_value=11000)
kelvins = st.floats(min_value=213.15, max_value=333.15)
pascals = st.floats(min_value=60_000, max_value=110_000)
strokes = st.floats(min_value=0.03, max_value=0.1)
ratios = st.floats(min_value=1.5, max_value=4)


@plain
@given(a=heights, b=heights)
def test_pressure_and_density_fall_with_height(a: float, b: float) -> None:
    low, high = sorted((a, b))
    assume(high - low > 1e-3)
    below, over = (
        work("standard_atmosphere", altitude=low),
        work("standard_atmosphere", altitude=high),
    )
    for key in ("pressure", "density", "temperature"):
        assert real(below[key]) > real(over[key])


@plain
@given(altitude=heights)
def test_standard_air_has_its_own_height_as_density_altitude(altitude: float) -> None:
    air = work("standard_atmosphere", altitude=altitude)
    assume(real(air["pressure"]) > 30_000)
    got = work("air_density", temperature=air["temperature"], pressure=air["pressure"])
    assert real(got["density_altitude"]) == pytest.approx(altitude, abs=0.1)
    assert real(got["density"]) == pytest.approx(real(air["density"]), rel=1e-12)


@plain
@given(altitude=heights)
def test_the_standard_qnh_gives_the_standard_pressure(altitude: float) -> None:
    got = work("station_pressure", qnh=101325, altitude=altitude)
    standard = work("standard_atmosphere", altitude=altitude)
    assert real(got["pressure"]) == pytest.approx(real(standard["pressure"]), rel=1e-12)


@plain
@given(qnh=st.floats(min_value=95_000, max_value=105_000))
def test_at_sea_level_the_reported_pressure_is_the_pressure(qnh: float) -> None:
    got = work("station_pressure", qnh=qnh, altitude=0)
    assert real(got["pressure"]) == pytest.approx(qnh, rel=1e-12)


@plain
@given(t=kelvins, p=pascals, wet=st.floats(min_value=0.01, max_value=1))
def test_moist_air_is_lighter_than_dry_air(t: float, p: float, wet: float) -> None:
    dry = work("air_density", temperature=t, pressure=p)
    moist = work("air_density", temperature=t, pressure=p, relative_humidity=wet)
    assert real(moist["density"]) < real(dry["density"])


@plain
@given(
    a=st.fractions(20, 70, max_denominator=10),
    b=st.fractions(20, 70, max_denominator=10),
    numbering=st.sampled_from(["bore", "flow"]),
)
def test_jets_there_and_back_give_the_same_flow(a: Fraction, b: Fraction, numbering: str) -> None:
    there = work("jet_difference", jet_a=a, jet_b=b, numbering=numbering)["percent"]
    back = work("jet_difference", jet_a=b, jet_b=a, numbering=numbering)["percent"]
    assert isinstance(there, Fraction) and isinstance(back, Fraction)
    assert (1 + there / 100) * (1 + back / 100) == 1


airs = st.tuples(kelvins, pascals)


@plain
@given(
    base=airs,
    here=airs,
    jet=st.integers(40, 600),
    step=st.sampled_from([Fraction(5, 2), 5, 10, 2.5, 1]),
    numbering=st.sampled_from(["bore", "flow"]),
)
def test_a_jet_for_other_air_is_rounded_to_the_richer_side(
    base: tuple[float, float],
    here: tuple[float, float],
    jet: int,
    step: Fraction,
    numbering: str,
) -> None:
    air = {"base_temperature": base[0], "base_pressure": base[1]}
    air |= {"temperature": here[0], "pressure": here[1]}
    got = work("jet_for_air", jet=jet, **air, numbering=numbering, step=step)
    exact, rounded = real(got["exact"]), real(got["jet"])
    assert exact * (1 - 1e-9) <= rounded < exact + float(step)
    assert rounded / float(step) == pytest.approx(round(rounded / float(step)), abs=1e-9)
    flow = work("jet_difference", jet_a=jet, jet_b=exact, numbering=numbering)["percent"]
    assert real(got["percent"]) == pytest.approx(real(flow), abs=1e-9)
    if here[1] / here[0] > base[1] / base[0]:
        assert exact >= jet, "denser air must never ask for a smaller jet"


@pytest.mark.parametrize("jet", [240, 237.5, Fraction(475, 2), 0.1 * 3 * 100])
def test_a_jet_that_is_a_multiple_but_for_float_noise_stays(jet: float) -> None:
    air = {"base_temperature": 260, "base_pressure": 95_000, "temperature": 260, "pressure": 95_000}
    got = work("jet_for_air", jet=jet, **air, numbering="bore", step=Fraction(5, 2))
    assert real(got["jet"]) == pytest.approx(float(jet), abs=1e-9)
    assert got["percent"] == 0


def test_steps_of_a_quarter_of_the_jet_are_the_coarsest() -> None:
    air = {"base_temperature": 288.15, "base_pressure": 101_325.0, "temperature": 288.15,
           "pressure": 101_325.0, "numbering": "bore"}  # fmt: skip
    assert work("jet_for_air", jet=10, step=Fraction(5, 2), **air)["jet"] == 10
    with pytest.raises(ValueError, match="at most a quarter of jet"):
        work("jet_for_air", jet=10, step=Fraction(51, 20), **air)


@pytest.mark.parametrize("probability", [-0.5, 0, 1, 1.5])
def test_what_is_no_probability_has_no_quantile(probability: float) -> None:
    for freedom in (1, 4):
        with pytest.raises(ValueError, match="probability must lie between 0 and 1"):
            chi_square_quantile(probability, freedom)
    with pytest.raises(ValueError, match="tail must be above 0"):
        t_quantile(probability, 3)
    with pytest.raises(ValueError, match="freedom 1 up"):
        chi_square_quantile(0.5, 0)


def test_a_jet_between_two_sizes_goes_to_the_richer_even_in_the_same_air() -> None:
    air = {"base_temperature": 260, "base_pressure": 95_000, "temperature": 260, "pressure": 95_000}
    assert work("jet_for_air", jet=241, **air, numbering="flow", step=10)["jet"] == 250


@plain
@given(force=positive, span=positive, part=st.fractions(Fraction(1, 1000), Fraction(1, 4)))
def test_tension_times_deflection_is_exact(force: Fraction, span: Fraction, part: Fraction) -> None:
    tension = work("span_tension", force=force, span=span, deflection=span * part)["tension"]
    assert tension == force / (4 * part)


@plain
@given(
    sag=st.fractions(0, Fraction(1, 10), max_denominator=100),
    more=st.fractions(Fraction(1, 1000), Fraction(1, 10), max_denominator=1000),
    load=positive,
    factor=st.fractions(Fraction(1, 9), 9, max_denominator=100),
)
def test_deflection_there_and_back_is_exact(
    sag: Fraction, more: Fraction, load: Fraction, factor: Fraction
) -> None:
    start = sag + more
    there = work(
        "deflection_at_load", deflection=start, load=load, other_load=load * factor, unloaded=sag
    )["deflection"]
    back = work(
        "deflection_at_load", deflection=there, load=load * factor, other_load=load, unloaded=sag
    )["deflection"]
    assert back == start
    if factor > 1:
        assert real(there) > real(start)


@plain
@given(
    pitch=st.fractions(Fraction(1, 200), Fraction(3, 100), max_denominator=10_000),
    links=st.integers(1, 200),
    percent=st.fractions(-1, 10, max_denominator=100),
)
def test_elongation_is_exact(pitch: Fraction, links: int, percent: Fraction) -> None:
    measured = pitch * links * (1 + percent / 100)
    got = work("chain_elongation", pitch=pitch, links=links, measured=measured)
    assert got["elongation"] == percent


@plain
@given(a=st.integers(9, 60), b=st.integers(9, 60), centre=st.floats(20, 100))
def test_chain_length_is_even_long_enough_and_symmetric(a: int, b: int, centre: float) -> None:
    pitch = 0.009525
    centre *= pitch
    got = work("chain_length", pitch=pitch, teeth_a=a, teeth_b=b, centre_distance=centre)
    even = got["links_even"]
    assert isinstance(even, int) and even % 2 == 0
    assert real(got["links"]) - 1e-8 <= even < real(got["links"]) + 2
    assert got == work("chain_length", pitch=pitch, teeth_a=b, teeth_b=a, centre_distance=centre)


def test_a_chain_that_comes_out_even_gets_no_links_more() -> None:
    got = work(
        "chain_length",
        pitch=Fraction(1, 100),
        teeth_a=20,
        teeth_b=20,
        centre_distance=Fraction(2, 5),
    )
    assert got == {"links": 100, "links_even": 100}


@plain
@given(rate=positive, free=st.fractions(Fraction(1, 50), 1, max_denominator=50), a=st.data())
def test_spring_points_give_back_rate_and_free_length(
    rate: Fraction, free: Fraction, a: st.DataObject
) -> None:
    part = st.fractions(Fraction(1, 9), Fraction(99, 100), max_denominator=100)
    one, other = a.draw(part) * free, a.draw(part) * free
    assume(one != other)
    got = work(
        "spring_rate",
        force_1=rate * (free - one),
        length_1=one,
        force_2=rate * (free - other),
        length_2=other,
    )
    assert got == {"rate": rate, "free_length": free}


@plain
@given(stroke=strokes, ratio=ratios, turn=st.floats(0, 1))
def test_timing_angle_inverts_piston_position(stroke: float, ratio: float, turn: float) -> None:
    rod, angle = stroke * ratio / 2, turn * math.pi
    distance = real(work("piston_position", stroke=stroke, rod=rod, angle=angle)["distance"])
    assert 0 <= distance <= stroke * (1 + 1e-12)
    back = real(work("timing_angle", stroke=stroke, rod=rod, distance=distance)["angle"])
    # Around the dead centres the distance hardly moves, so that the angle is known less well.
    assert back == pytest.approx(angle, abs=1e-12 / max(math.sin(angle), 1e-6) + 1e-14)


@plain
@given(stroke=strokes, ratio=ratios)
def test_the_piston_travels_its_stroke(stroke: float, ratio: float) -> None:
    rod = stroke * ratio / 2
    bottom = work("piston_position", stroke=stroke, rod=rod, angle=math.pi)["distance"]
    assert real(bottom) == pytest.approx(stroke, rel=1e-12)
    assert work("piston_position", stroke=stroke, rod=rod, angle=0)["distance"] == 0


@plain
@given(gauge=st.integers(0, 1_500_000), altitude=heights)
def test_compression_goes_with_the_ratio_of_pressures(gauge: int, altitude: float) -> None:
    got = real(work("compression_at_sea_level", reading=gauge, altitude=altitude)["reading"])
    outside = real(work("standard_atmosphere", altitude=altitude)["pressure"])
    assert got == pytest.approx((gauge + outside) * 101325 / outside - 101325, rel=1e-9, abs=1e-6)


@plain
@given(values=st.lists(st.fractions(-100, 100), min_size=1, max_size=8))
def test_spread_does_not_depend_on_the_order_and_is_exact(values: list[Fraction]) -> None:
    got = work("spread", values=values)
    assert got == work("spread", values=tuple(reversed(values)))
    assert got["spread"] == max(values) - min(values)
    assert got["mean"] == sum(values) / len(values)
    if max(values) > 0:
        assert got["percent"] == (max(values) - min(values)) / max(values) * 100
    else:
        assert got["percent"] is None


@plain
@given(torque=positive, wrench=positive, extension=positive)
def test_an_extension_straight_out_keeps_the_force_at_the_hand(
    torque: Fraction, wrench: Fraction, extension: Fraction
) -> None:
    assume(extension <= 2 * wrench)
    got = work("torque_with_extension", torque=torque, wrench=wrench, extension=extension)
    setting = got["setting"]
    assert isinstance(setting, Fraction)
    assert setting / wrench == torque / (wrench + extension)
    square = work(
        "torque_with_extension",
        torque=torque,
        wrench=wrench,
        extension=extension,
        angle=math.pi / 2,
    )
    assert real(square["setting"]) == pytest.approx(float(torque), rel=1e-9)


@plain
@given(a=positive, b=positive, gap=st.fractions(Fraction(1, 100), 1))
def test_a_belt_is_symmetric_and_longer_than_a_taut_loop(
    a: Fraction, b: Fraction, gap: Fraction
) -> None:
    centre = (a + b) / 2 + gap
    got = real(work("belt_length", diameter_a=a, diameter_b=b, centre_distance=centre)["length"])
    other = work("belt_length", diameter_a=b, diameter_b=a, centre_distance=centre)["length"]
    assert got == pytest.approx(real(other), rel=1e-15)
    assert got >= 2 * float(centre) + math.pi * min(float(a), float(b))
    if a == b:
        assert got == pytest.approx(2 * float(centre) + math.pi * float(a), rel=1e-15)


@plain
@given(
    fuel=st.fractions(Fraction(1, 1000), Fraction(1, 10), max_denominator=1000),
    ratio=st.fractions(5, 200, max_denominator=50),
)
def test_oil_ratio_inverts_oil_for_fuel(fuel: Fraction, ratio: Fraction) -> None:
    oil = work("oil_for_fuel", fuel=fuel, ratio=ratio)["oil"]
    assert work("oil_ratio", fuel=fuel, oil=oil)["ratio"] == ratio


@plain
@given(front=positive, rear=positive, base=st.fractions(2, 3))
def test_toe_changes_sign_with_its_ends(front: Fraction, rear: Fraction, base: Fraction) -> None:
    got, turned = (
        work("toe", front=front, rear=rear, base=base),
        work("toe", front=rear, rear=front, base=base),
    )
    assert got["toe"] == front - rear == -real(turned["toe"]) or got["toe"] == front - rear
    assert real(got["angle"]) == -real(turned["angle"])
    assert (real(got["angle"]) > 0) == (front > rear)


@pytest.mark.parametrize(
    ("name", "key", "low", "high"),
    [
        ("coolant_freeze_point", "glycol_volume", 0.0, 0.6),
        ("electrolyte_freeze_point", "specific_gravity", 1.0, 1.28),
    ],
)
@plain
@given(a=st.floats(0, 1), b=st.floats(0, 1))
def test_more_glycol_or_acid_freezes_later(
    name: str, key: str, low: float, high: float, a: float, b: float
) -> None:
    weak, strong = (low + part * (high - low) for part in sorted((a, b)))
    frozen = [real(work(name, **{key: value})["freeze_point"]) for value in (weak, strong)]
    assert 200 < frozen[1] <= frozen[0] <= 273.15


@plain
@given(
    value=st.fractions(-50, 50),
    uncertainty=st.fractions(0, 20),
    low=st.fractions(-50, 50),
    width=st.fractions(0, 50),
)
def test_probability_is_one_and_the_verdict_follows_from_it(
    value: Fraction, uncertainty: Fraction, low: Fraction, width: Fraction
) -> None:
    both = work("conformance", value=value, uncertainty=uncertainty, min=low, max=low + width)
    under = work("conformance", value=value, uncertainty=uncertainty, max=low)
    over = work("conformance", value=value, uncertainty=uncertainty, min=low + width)
    p = real(both["probability"])
    assert 0 <= p <= 1
    if uncertainty > 0:
        total = p + real(under["probability"]) + real(over["probability"])
        assert total == pytest.approx(1, abs=1e-12)
    inside = low <= value <= low + width
    wanted = "pass" if p >= 0.95 else "uncertain" if p > 0.05 or inside else "fail"
    assert both["verdict"] == wanted


@pytest.mark.parametrize(
    ("value", "limits", "verdict"),
    [
        (12, {"max": 12}, "pass"),
        (12, {"min": 12}, "pass"),
        (12, {"min": 12, "max": 12}, "pass"),
        (Fraction(12) + Fraction(1, 10**9), {"max": 12}, "fail"),
        (0, {"min": 0}, "pass"),
    ],
)
def test_without_an_uncertainty_the_value_decides_and_the_limit_is_in(
    value: Fraction, limits: dict[str, object], verdict: str
) -> None:
    got = work("conformance", value=value, uncertainty=0, **limits)
    assert got == {"probability": 1.0 if verdict == "pass" else 0.0, "verdict": verdict}


def test_on_its_limit_with_an_uncertainty_a_value_is_even_odds() -> None:
    got = work("conformance", value=12, uncertainty=Fraction(1, 10), max=12)
    assert got == {"probability": 0.5, "verdict": "uncertain"}


@plain
@given(values=st.lists(st.fractions(-100, 100, max_denominator=100), min_size=2, max_size=10))
def test_repeats_do_not_depend_on_order_or_offset(values: list[Fraction]) -> None:
    got = work("repeat_readings", values=values)
    moved = work("repeat_readings", values=[value + 1000 for value in sorted(values)])
    assert isinstance(got["mean"], Fraction)
    assert moved["mean"] == got["mean"] + 1000
    assert moved["standard_uncertainty"] == got["standard_uncertainty"]
    assert real(got["expanded"]) >= 1.9599 * real(got["standard_uncertainty"])
    assert (got["outlier"] is None) == (moved["outlier"] is None)
    assert got["outlier"] is None or got["outlier"] in values


def test_two_readings_and_equal_readings_have_no_outlier() -> None:
    assert work("repeat_readings", values=[1, 50])["outlier"] is None
    same = work("repeat_readings", values=[3, 3, 3, 3])
    assert same == {"mean": 3, "standard_uncertainty": 0, "expanded": 0, "outlier": None}
    noise = work("repeat_readings", values=[0.3, 0.1 + 0.2, 0.3, 0.3, 0.3, 0.3, 0.3])
    assert noise["outlier"] is None


def test_an_outlier_is_found_on_either_side() -> None:
    calm = [10.0, 10.1, 9.9, 10.05, 9.95]
    assert work("repeat_readings", values=[*calm, 20])["outlier"] == 20
    assert work("repeat_readings", values=[*calm, 0])["outlier"] == 0


@pytest.mark.parametrize("given_class", ["8.8", 8.8, Fraction(88, 10)])
def test_a_property_class_may_be_written_as_a_number(given_class: object) -> None:
    got = work("proof_load", diameter=0.008, pitch=0.00125, property_class=given_class)
    assert real(got["proof_load"]) == pytest.approx(real(got["stress_area"]) * 580e6)


def test_no_preload_is_taken_that_tears_the_strongest_bolt() -> None:
    """1500 MPa over the section of an 8 mm bolt, pi/4 d^2 = 50.27 mm^2: 75.40 kN."""
    inputs = {"diameter": 0.008, "nut_factor": 0.2}
    assert real(work("tightening_torque", force=75_390, **inputs)["torque"]) > 0
    with pytest.raises(ValueError, match="force must be at most 75398"):
        work("tightening_torque", force=75_410, **inputs)


def test_class_8_8_changes_above_16_mm() -> None:
    for diameter, pitch, stress in ((0.016, 0.002, 580e6), (0.018, 0.0025, 600e6)):
        got = work("proof_load", diameter=diameter, pitch=pitch, property_class="8.8")
        assert real(got["proof_load"]) == pytest.approx(real(got["stress_area"]) * stress)


@plain
@given(mass=positive, radius=positive, speed=positive)
def test_flyweight_force_goes_with_the_square_of_speed(
    mass: Fraction, radius: Fraction, speed: Fraction
) -> None:
    once = work("flyweight_force", mass=mass, radius=radius, speed=speed)["force"]
    twice = work("flyweight_force", mass=mass, radius=radius, speed=2 * speed)["force"]
    assert isinstance(once, Fraction) and twice == 4 * once


@plain
@given(speed=st.floats(0, 750), ratio=st.floats(0.5, 5), top=st.integers(10, 40))
def test_speed_goes_with_engine_speed_over_ratio(speed: float, ratio: float, top: int) -> None:
    rest = {"teeth_bottom": 39, "drive_teeth": 9, "track_pitch": 0.064}
    got = work("road_speed", engine_speed=speed, cvt_ratio=ratio, teeth_top=top, **rest)["speed"]
    one = work("road_speed", engine_speed=1, cvt_ratio=1, teeth_top=5, **rest)["speed"]
    assert real(got) == pytest.approx(real(one) * speed / ratio * top / 5, rel=1e-12)
