"""Outside checks by libraries of general use, run here and now beside the frozen values.

Each yields (calculation, what, got, expected, unit, absolute tolerance, library). The product never
imports these libraries.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import permutations
from pathlib import Path

import ambiance
import CoolProp.CoolProp as coolprop
import fluids.atmosphere
import fluids.flow_meter
import numpy as np
import psychrolib
import scipy.optimize
import scipy.spatial
import scipy.stats
from scipy.linalg import solve_banded

from inspect_tui.calc import REGISTER
from inspect_tui.calc.exchange import Attribute, misfit
from tests.reference.formulas import geopotential, over_water, result

Row = tuple[str, str, float, float, str, float, str]


def standard_air() -> Iterator[Row]:
    for height in (-400.0, 0.0, 750.0, 1500.0, 3000.0, 9000.0):
        here = geopotential({"Z": height})
        for library, air in (
            ("ambiance", ambiance.Atmosphere(height)),
            ("fluids", fluids.atmosphere.ATMOSPHERE_1976(height)),
        ):
            for key, unit, wanted in (
                ("pressure", "Pa", air.pressure if library == "ambiance" else air.P),
                ("temperature", "K", air.temperature if library == "ambiance" else air.T),
                ("density", "kg/m3", air.density if library == "ambiance" else air.rho),
            ):
                value = float(np.ravel(wanted)[0])
                got = result("standard_atmosphere", key, altitude=here)
                what = f"{key} at {height:.0f} m"
                yield "standard_atmosphere", what, got, value, unit, 2e-5 * value, library


def pressure_from_report() -> Iterator[Row]:
    """The standard atmosphere shifted until it has the report's pressure at sea level."""
    for qnh, altitude in ((98_500.0, 1200.0), (103_000.0, 1200.0), (101_325.0, 3000.0)):
        shift = float(ambiance.Atmosphere.from_pressure(qnh).H[0])
        z = ambiance.Atmosphere.geop2geom_height(altitude + shift)
        got = result("station_pressure", "pressure", qnh=qnh, altitude=altitude)
        what = f"{qnh:.0f} Pa at {altitude:.0f} m"
        for library, wanted in (
            ("ambiance", float(np.ravel(ambiance.Atmosphere(z).pressure)[0])),
            ("fluids", fluids.atmosphere.ATMOSPHERE_1976(float(np.ravel(z)[0])).P),
        ):
            yield "station_pressure", what, got, wanted, "Pa", 5e-5 * wanted, library


def moist_air() -> Iterator[Row]:
    psychrolib.SetUnitSystem(psychrolib.SI)
    for celsius, pressure, wet in (
        (20.0, 101_325.0, 0.5),
        (0.0, 101_325.0, 0.8),
        (-20.0, 80_000.0, 0.7),
        (-40.0, 101_325.0, 0.7),
    ):
        got = result(
            "air_density",
            "density",
            temperature=celsius + 273.15,
            pressure=pressure,
            relative_humidity=over_water(celsius, wet),
        )
        what = f"{celsius:.0f} degC, {pressure / 1000:.0f} kPa, {wet:.0%}"
        ratio = psychrolib.GetHumRatioFromRelHum(celsius, wet, pressure)
        ideal = psychrolib.GetMoistAirDensity(celsius, ratio, pressure)
        yield "air_density", what, got, ideal, "kg/m3", 2e-4 * ideal, "PsychroLib"
        volume = coolprop.HAPropsSI("Vha", "T", celsius + 273.15, "P", pressure, "R", wet)
        yield "air_density", what, got, 1 / volume, "kg/m3", 1.5e-3 / volume, "CoolProp"
    height = float(ambiance.Atmosphere.from_density(1.395302).H[0])
    pressure = 1.395302 * 287.05287 * 250
    got = result("air_density", "density_altitude", temperature=250, pressure=pressure)
    yield "air_density", "height of 1.395302 kg/m3", got, height, "m", 0.6, "ambiance"


def orifice_flow(bore: float, pressure_drop: float, density: float) -> float:
    """Mass flow in kg/s through a small hole in a wide pipe."""
    flow: float = fluids.flow_meter.flow_meter_discharge(
        D=1.0, Do=bore, P1=2e5 + pressure_drop, P2=2e5, rho=density, C=0.6
    )
    return flow


def jets() -> Iterator[Row]:
    """Jets as orifices: fluids' flow-meter equation against the percentages."""
    for one, other in ((150, 155), (150, 145), (240, 260)):
        flows = [orifice_flow(n * 1e-5, 2000.0, 740.0) for n in (one, other)]
        got = result("jet_difference", "percent", jet_a=one, jet_b=other, numbering="bore")
        wanted = (flows[1] / flows[0] - 1) * 100
        yield "jet_difference", f"bore {one} to {other}", got, wanted, "%", 1e-6, "fluids"
        got = result("jet_difference", "percent", jet_a=one, jet_b=other, numbering="flow")
        area = math.sqrt(other / one)
        flows = [orifice_flow(d, 2000.0, 740.0) for d in (0.002, 0.002 * area)]
        wanted = (flows[1] / flows[0] - 1) * 100
        yield "jet_difference", f"flow {one} to {other}", got, wanted, "%", 1e-6, "fluids"


def carburettor() -> Iterator[Row]:
    """Air flow by volume stays, the venturi's drop goes with the air's density: same mixture?"""
    for temperature, pressure in ((243.15, 101_325.0), (263.15, 79_500.0), (303.15, 90_000.0)):
        air = {"base_temperature": 258.15, "base_pressure": 95_000.0}
        air |= {"temperature": temperature, "pressure": pressure}
        jet = result("jet_for_air", "exact", jet=240, **air, numbering="bore", step=5)
        before = coolprop.PropsSI("D", "T", 258.15, "P", 95_000.0, "Air")
        now = coolprop.PropsSI("D", "T", temperature, "P", pressure, "Air")
        mixture = orifice_flow(240e-5, 2000.0, 740.0) / before
        new = orifice_flow(jet * 1e-5, 2000.0 * now / before, 740.0) / now
        what = f"mixture at {temperature - 273.15:.0f} degC, {pressure / 1000:.1f} kPa"
        yield "jet_for_air", what, new / mixture, 1.0, "1", 1e-3, "fluids, CoolProp"


def string_drop(weight: float, force: float, length: float, tension: float) -> float:
    """Drop at mid span of a string under its weight and a point load, by finite differences."""
    nodes = 2001
    h = length / (nodes - 1)
    load = np.full(nodes, weight * h)
    load[nodes // 2] += force
    band = np.zeros((3, nodes))
    band[0, 2:], band[1, :], band[2, :-2] = -1, 2, -1
    band[1, 0] = band[1, -1] = 1
    load[0] = load[-1] = 0
    drop = solve_banded((1, 1), band, load * h / tension)
    return float(drop[nodes // 2])


def strings() -> Iterator[Row]:
    own = string_drop(30, 0, 1.2, 400)
    for force in (40.0, 60.0, 90.0):
        drop = string_drop(30, force, 1.2, 400)
        got = result("span_tension", "tension", force=force, span=1.2, deflection=drop - own)
        yield "span_tension", f"string with {force:.0f} N", got, 400.0, "N", 0.04, "scipy"
        got = result(
            "deflection_at_load",
            "deflection",
            deflection=drop,
            load=force,
            other_load=70,
            unloaded=own,
        )
        wanted = string_drop(30, 70, 1.2, 400)
        what = f"string from {force:.0f} N to 70 N"
        yield "deflection_at_load", what, got * 1000, wanted * 1000, "mm", 1e-4, "scipy"


def springs() -> Iterator[Row]:
    lengths, forces = np.array([0.061, 0.047]), np.array([195.0, 322.0])
    slope, start = np.polyfit(lengths, forces, 1)
    points = {"force_1": 195, "length_1": 0.061, "force_2": 322, "length_2": 0.047}
    got = result("spring_rate", "rate", **points)
    yield "spring_rate", "line through two points", got, -slope, "N/m", 1e-6 * got, "numpy"
    got = result("spring_rate", "free_length", **points)
    yield "spring_rate", "where the line is zero", got, -start / slope, "m", 1e-9, "numpy"


def statistics() -> Iterator[Row]:
    readings = [31.7, 31.9, 31.6, 31.8, 32.4]
    got = REGISTER["repeat_readings"].function(values=readings)
    mean, error = np.mean(readings), scipy.stats.sem(readings)
    half = scipy.stats.t.interval(0.95, len(readings) - 1, loc=0, scale=error)[1]
    for key, wanted in (("mean", mean), ("standard_uncertainty", error), ("expanded", half)):
        value = float(got[key])  # type: ignore[arg-type]
        yield "repeat_readings", key, value, float(wanted), "mm", 1e-9, "scipy, numpy"
    pressures = [120.0, 118.0, 108.0]
    got = REGISTER["spread"].function(values=pressures)
    for key, wanted in (("spread", np.ptp(pressures)), ("mean", np.mean(pressures))):
        yield "spread", key, float(got[key]), float(wanted), "psi", 1e-12, "numpy"  # type: ignore[arg-type]
    normal = scipy.stats.norm
    for value, uncertainty, low, high in (
        (13.6, 3.6, 12.5, 16.3),
        (509.7, 17.2, 490.0, None),
        (9.0, 1.0, None, 5.0),
        (20.0, 2.0, 5.0, 10.0),
    ):
        got_p = result(
            "conformance", "probability", value=value, uncertainty=uncertainty, min=low, max=high
        )
        u = uncertainty / 2
        top = 1.0 if high is None else normal.cdf((high - value) / u)
        bottom = 0.0 if low is None else normal.cdf((low - value) / u)
        yield "conformance", f"{value} in {low}..{high}", got_p, top - bottom, "1", 1e-9, "scipy"


def trends() -> Iterator[Row]:
    """Straight lines by scipy, and the certified values of NIST's Norris data in scipy's wheel."""
    at, values = [0.0, 950.0, 1700.0, 2600.0, 3400.0], [34.9, 34.3, 33.6, 33.2, 32.4]
    line = scipy.stats.linregress(at, values)
    t = scipy.stats.t.isf(0.025, 3)
    for key, wanted in (
        ("slope", line.slope),
        ("slope_low", line.slope - t * line.stderr),
        ("slope_high", line.slope + t * line.stderr),
        ("value", line.intercept + line.slope * 4000),
    ):
        got = result("wear_trend", key, at=at, values=values, when=4000.0)
        yield "wear_trend", f"{key} of five readings", got, wanted, "mm", 1e-10, "scipy"
    folder = Path(scipy.stats.__file__).parent / "tests" / "data" / "nist_linregress"
    x, y = np.loadtxt(folder / "Norris.dat", skiprows=60, usecols=(1, 0), unpack=True)
    norris = {"at": x.tolist(), "values": y.tolist()}
    certified = (-0.262323073774029, 1.00211681802045, 0.884796396144373)
    got = result("wear_trend", "value", **norris, when=0.0)
    yield "wear_trend", "NIST Norris, intercept", got, certified[0], "1", 1e-11, "NIST StRD"
    got = result("wear_trend", "slope", **norris, when=0.0)
    yield "wear_trend", "NIST Norris, slope", got, certified[1], "1", 1e-12, "NIST StRD"
    deviation = certified[2] / math.sqrt(float(((x - x.mean()) ** 2).sum()))
    half = got - result("wear_trend", "slope_low", **norris, when=0.0)
    wanted = float(scipy.stats.t.isf(0.025, 34)) * deviation
    yield (
        "wear_trend",
        "NIST Norris, slope's interval",
        half,
        wanted,
        "1",
        1e-12,
        "NIST StRD, scipy",
    )


def belts() -> Iterator[Row]:
    """The perimeter of the convex hull of both pulleys."""
    turn = np.linspace(0, 2 * math.pi, 40_000, endpoint=False)
    circle = np.column_stack((np.cos(turn), np.sin(turn)))
    for a, b, centre in ((0.393, 0.105, 0.697), (0.25, 0.2, 0.27), (0.2, 0.2, 0.3)):
        points = np.vstack((circle * a / 2, circle * b / 2 + [centre, 0]))
        wanted = float(scipy.spatial.ConvexHull(points).area) * 1000
        got = 1000 * result(
            "belt_length", "length", diameter_a=a, diameter_b=b, centre_distance=centre
        )
        yield "belt_length", f"hull {a}/{b}/{centre} m", got, wanted, "mm", 1e-4, "scipy"


def circling() -> Iterator[Row]:
    """The acceleration of a point that goes round, by second differences of its path."""
    speed, radius, h = 837.758, 0.06, 1e-6
    path = [complex(math.cos(speed * t), math.sin(speed * t)) * radius for t in (-h, 0, h)]
    wanted = 0.05 * float(np.abs(np.diff(np.array(path), 2)[0])) / h**2
    got = result("flyweight_force", "force", mass=0.05, radius=radius, speed=speed)
    yield "flyweight_force", "50 g at 60 mm, 8000 rpm", got, wanted, "N", 1e-3 * wanted, "numpy"


def skis() -> Iterator[Row]:
    wanted = float(np.degrees(np.angle(1.0 + 0.006j)))
    got = math.degrees(result("toe", "angle", front=1.006, rear=1, base=1))
    yield "toe", "6 mm over 1 m", got, wanted, "deg", 1e-9, "numpy"


def antifreeze() -> Iterator[Row]:
    for percent in range(10, 61, 5):
        got = result("coolant_freeze_point", "freeze_point", glycol_volume=percent / 100)
        for fluid, part, allowed in (
            ("AEG", percent / 100, 0.06),
            ("MEG", percent * 1.1155 / (percent * 1.1155 + 100 - percent), 3.6),
        ):
            if part > 0.6:
                continue
            wanted = coolprop.PropsSI(
                "T_freeze", "T", 300, "P", 101_325, f"INCOMP::{fluid}[{part}]"
            )
            what = f"{percent} % by volume, {fluid}"
            yield "coolant_freeze_point", what, got, wanted, "K", allowed, "CoolProp"


def exchanged() -> Iterator[Row]:
    """The cheapest order of measured parts, by the library's assignment."""
    dice = np.random.default_rng(7)
    for count in (2, 3, 4, 5):
        found, sheet = dice.uniform(0, 20, count), dice.uniform(0, 20, count)
        cost = (found[:, None] - sheet[None, :]) ** 2
        rows, columns = scipy.optimize.linear_sum_assignment(cost)
        parts = Attribute(tuple(map(float, found)), tuple(map(float, sheet)), (1.0,) * count)
        got = min(misfit([parts], order) for order in permutations(range(count)))
        wanted = float(cost[rows, columns].sum())
        yield "swapped_parts", f"cheapest order of {count}", got, wanted, "1", 1e-9, "scipy"
    parts = Attribute((1.0, 2.0, 3.0), (4.0, 1.0, 3.0), (1.0,) * 3)
    wanted = float(((np.array([1, 2, 3]) - np.array([1, 3, 4])) ** 2).sum())
    yield "swapped_parts", "one known order", misfit([parts], (1, 2, 0)), wanted, "1", 1e-9, "scipy"


def every_run() -> list[Row]:
    """All checks by libraries."""
    groups = (
        standard_air,
        pressure_from_report,
        moist_air,
        jets,
        carburettor,
        strings,
        springs,
        trends,
        statistics,
        belts,
        circling,
        skis,
        antifreeze,
        exchanged,
    )
    return [row for group in groups for row in group()]
