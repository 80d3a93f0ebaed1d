"""Outside checks of the engine's calculations by libraries of general use, run here and now.

Each yields as in `library_runs`. The product never imports these libraries.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import ambiance
import CoolProp.CoolProp as coolprop
import numpy as np
import scipy.integrate
import scipy.optimize

from tests.reference.formulas import result
from tests.reference.library_runs import Row


def crank() -> Iterator[Row]:
    """The rod's length as the only equation, solved by a root finder."""
    for stroke, rod in ((0.060, 0.120), (0.054, 0.105)):
        r = stroke / 2
        for degrees in (2.0, 25.0, 90.0, 150.0):
            angle = math.radians(degrees)

            def gap(y: float, r: float = r, rod: float = rod, angle: float = angle) -> float:
                pin = (r * math.sin(angle), r * math.cos(angle))
                return math.dist(pin, (0.0, r + rod - y)) - rod

            wanted = scipy.optimize.brentq(gap, -1e-4, stroke + 1e-4, xtol=1e-15)
            got = result("piston_position", "distance", stroke=stroke, rod=rod, angle=angle)
            what = f"{stroke * 1000:.0f}/{rod * 1000:.0f} mm, {degrees:.0f} deg"
            yield "piston_position", what, got * 1000, wanted * 1000, "mm", 1e-7, "scipy"
            back = result("timing_angle", "angle", stroke=stroke, rod=rod, distance=wanted)
            yield "timing_angle", what, math.degrees(back), degrees, "deg", 1e-6, "scipy"
            tilt = math.radians(25)
            read = {"distance": wanted / math.cos(tilt), "tilt": tilt}
            back = result("timing_angle", "angle", stroke=stroke, rod=rod, **read)
            tilted = f"{what}, gauge tilted"
            yield "timing_angle", tilted, math.degrees(back), degrees, "deg", 1e-6, "scipy"
            if degrees > 60:
                got = result("port_timing", "duration", stroke=stroke, rod=rod, depth=wanted)
                opened = 360 - 2 * degrees
                yield "port_timing", what, math.degrees(got), opened, "deg", 1e-6, "scipy"


def cranking() -> Iterator[Row]:
    """Real air squeezed without loss of heat, at a height and at sea level."""

    def gauge(outside: float, squeeze: float) -> float:
        density = coolprop.PropsSI("D", "T", 290, "P", outside, "Air")
        entropy = coolprop.PropsSI("S", "T", 290, "P", outside, "Air")
        squeezed = coolprop.PropsSI("P", "D", density * squeeze, "S", entropy, "Air")
        return float(squeezed - outside)

    for altitude, squeeze in ((1500.0, 5.5), (3000.0, 6.5)):
        z = ambiance.Atmosphere.geop2geom_height(altitude)
        outside = float(np.ravel(ambiance.Atmosphere(z).pressure)[0])
        reading = gauge(outside, squeeze)
        got = result("compression_at_sea_level", "reading", reading=reading, altitude=altitude)
        wanted = gauge(101_325.0, squeeze)
        what = f"adiabatic air, {altitude:.0f} m"
        allowed = 5e-3 * wanted
        yield "compression_at_sea_level", what, got, wanted, "Pa", allowed, "CoolProp, ambiance"


def cylinders() -> Iterator[Row]:
    """Volumes by adding up slices of the bore; a ring's gap from the lengths of two polygons."""
    bore, stroke, trapped, chamber = 0.065, 0.058, 0.030, 3.0e-5

    def slice_(_: float) -> float:
        across = scipy.integrate.quad(lambda x: 2 * math.sqrt(max(bore**2 / 4 - x * x, 0)),
                                      -bore / 2, bore / 2)[0]  # fmt: skip
        return float(across)

    whole = scipy.integrate.quad(slice_, 0, stroke)[0]
    given = {"bore": bore, "stroke": stroke, "chamber": chamber}
    got = result("compression_ratio", "swept", **given)
    yield "compression_ratio", "swept volume", got * 1e6, whole * 1e6, "cm3", 1e-6, "scipy"
    part = scipy.integrate.quad(slice_, 0, trapped)[0]
    got = result("compression_ratio", "ratio", **given, trapped_stroke=trapped)
    wanted = (part + chamber) / chamber
    yield "compression_ratio", "over the trapped stroke", got, wanted, "1", 1e-7, "scipy"
    turn = np.linspace(0, 2 * math.pi, 20_001)
    for diameter, wear in ((65.0, 0.05), (72.0, 0.12)):
        rims = [np.column_stack((np.cos(turn), np.sin(turn))) * d / 2
                for d in (diameter, diameter + wear)]  # fmt: skip
        lengths = [float(np.linalg.norm(np.diff(rim, axis=0), axis=1).sum()) for rim in rims]
        got = 1000 * result("ring_gap", "gap", gap=0.0003, bore_wear=wear / 1000)
        wanted = 0.3 + lengths[1] - lengths[0]
        yield "ring_gap", f"{diameter:.0f} mm worn {wear} mm", got, wanted, "mm", 1e-6, "numpy"


def closed_spaces() -> Iterator[Row]:
    """Real air of constant density, warmed and cooled."""
    for start, celsius, later in ((40_000.0, 20.0, 12.0), (50_000.0, -5.0, 3.0)):
        ambient = 98_000.0
        density = coolprop.PropsSI("D", "T", celsius + 273.15, "P", start + ambient, "Air")
        end = coolprop.PropsSI("P", "T", later + 273.15, "D", density, "Air") - ambient
        got = result(
            "pressure_decay", "fall", start=start, end=end - 1000, time=600, ambient=ambient,
            temperature_start=celsius + 273.15, temperature_end=later + 273.15,
        )  # fmt: skip
        what = f"{start / 1000:.0f} kPa, {celsius:.0f} to {later:.0f} degC, 1 kPa lost"
        # The real gas departs from the ideal one by 2e-4 of the pressure over these degrees.
        yield "pressure_decay", what, got, 1000.0, "Pa", 25.0, "CoolProp"


def mass_flux(upstream: float, downstream: float) -> float:
    """Real air at 20 degC through a hole without losses, kg/(s m2): the greatest on the way."""
    enthalpy = coolprop.PropsSI("H", "T", 293.15, "P", upstream, "Air")
    entropy = coolprop.PropsSI("S", "T", 293.15, "P", upstream, "Air")

    def flux(pressure: float) -> float:
        there = coolprop.PropsSI("H", "P", pressure, "S", entropy, "Air")
        density = coolprop.PropsSI("D", "P", pressure, "S", entropy, "Air")
        return float(density * math.sqrt(max(0.0, 2 * (enthalpy - there))))

    found = scipy.optimize.minimize_scalar(
        lambda p: -flux(p), bounds=(downstream, upstream), method="bounded",
        options={"xatol": 1e-3},
    )  # fmt: skip
    return max(flux(downstream), -float(found.fun))


def leaks() -> Iterator[Row]:
    """The hole that passes what the orifice passes, in real air."""
    air = 101_325.0
    for supply, held in ((550_000.0, 480_000.0), (550_000.0, 250_000.0), (200_000.0, 60_000.0)):
        into, out = mass_flux(supply + air, held + air), mass_flux(held + air, air)
        wanted = 1.016 * math.sqrt(into / out)
        got = 1000 * result("leak_down", "hole", supply=supply, held=held)
        what = f"hole at {held / 1000:.0f} of {supply / 1000:.0f} kPa"
        yield "leak_down", what, got, wanted, "mm", 3e-3 * wanted, "CoolProp, scipy"


def engagement() -> Iterator[Row]:
    """The speed at which the weights' force equals the spring's, by a root finder."""
    now = {"speed": 366.5, "force_now": 350.0, "mass_now": 0.05}
    radius = 350.0 / (0.05 * 366.5**2)
    for force, mass in ((400.0, 0.048), (300.0, 0.055)):

        def lacking(speed: float, force: float = force, mass: float = mass) -> float:
            return mass * radius * speed**2 - force

        wanted = scipy.optimize.brentq(lacking, 100, 1000, xtol=1e-12)
        got = result("engagement_speed", "speed", **now, force_new=force, mass_new=mass)
        what = f"{force:.0f} N, {mass * 1000:.0f} g"
        yield "engagement_speed", what, got, wanted, "rad/s", 1e-8, "scipy"


def engine_runs() -> list[Row]:
    """All checks of the engine by libraries."""
    groups = (crank, cranking, cylinders, closed_spaces, leaks, engagement)
    return [row for group in groups for row in group()]
