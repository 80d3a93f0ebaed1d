"""How each published value is got from the registered calculations, in the value's own unit."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from inspect_tui.calc import REGISTER, distributions
from inspect_tui.calc.atmosphere import saturation_pressure_over_water

FOOT, INCH, POUND_FORCE = 0.3048, 0.0254, 4.4482216152605
PSI = POUND_FORCE / INCH**2
EARTH = 6_356_766.0
"""m, radius in the definition of geopotential height (ISO 2533)."""

Inputs = dict[str, Any]


def result(name: str, key: str, **inputs: object) -> float:
    """One number out of a registered calculation."""
    return float(REGISTER[name].function(**inputs)[key])  # type: ignore[arg-type]


def geopotential(inputs: Inputs) -> float:
    """Geopotential height in m of a row that gives Z (geometric) or H, in m or feet."""
    scale = FOOT if inputs.get("feet") else 1.0
    if "Z" in inputs:
        z = inputs["Z"] * scale
        return EARTH * z / (EARTH + z)
    return float(inputs["H"] * scale)


def standard(key: str) -> Callable[[Inputs], float]:
    def value(inputs: Inputs) -> float:
        got = result("standard_atmosphere", key, altitude=geopotential(inputs))
        return got / PSI if inputs.get("feet") else got

    return value


def pressure_altitude(inputs: Inputs) -> float:
    """The height at which the standard pressure is this one, by bisection."""
    low, high = -500.0, 11_000.0
    while high - low > 1e-6:
        middle = (low + high) / 2
        over = result("standard_atmosphere", "pressure", altitude=middle) > inputs["p"]
        low, high = (middle, high) if over else (low, middle)
    return low


def over_water(celsius: float, humidity: float) -> float:
    """Relative humidity over water of one that is stated over ice below freezing (Buck's ice)."""
    if celsius >= 0:
        return humidity
    over_ice = 611.15 * math.exp((23.036 - celsius / 333.7) * celsius / (279.82 + celsius))
    return humidity * over_ice / saturation_pressure_over_water(celsius + 273.15)


def moist_density(inputs: Inputs) -> float:
    humidity = over_water(inputs["t"], inputs["RH"])
    return result(
        "air_density",
        "density",
        temperature=inputs["t"] + 273.15,
        pressure=inputs["p"],
        relative_humidity=humidity,
    )


def density_altitude(inputs: Inputs) -> float:
    pressure = inputs["rho"] * 287.05287 * 270.0
    return result("air_density", "density_altitude", temperature=270.0, pressure=pressure)


def flow_factor(sigma: float) -> float:
    """Fuel flow that the air of relative density sigma asks for, over the flow at sigma 1."""
    percent = result(
        "jet_for_air",
        "percent",
        jet=200,
        base_temperature=270,
        base_pressure=90_000,
        temperature=270,
        pressure=90_000 * sigma,
        numbering="flow",
        step=1,
    )
    return 1 + percent / 100


def tension_of_loaded_string(inputs: Inputs) -> float:
    """Tension of a string from its drop under a point load, own sag taken off."""
    deflection = inputs["drop"] - inputs["own"]
    return result(
        "span_tension", "tension", force=inputs["F"], span=inputs["L"], deflection=deflection
    )


def chain_links(inputs: Inputs) -> float:
    return result(
        "chain_length",
        "links",
        pitch=inputs["p"] / 1000,
        teeth_a=inputs["z1"],
        teeth_b=inputs["z2"],
        centre_distance=inputs["a"] / 1000,
    )


def chain_centre(inputs: Inputs) -> float:
    """The centre distance in mm at which the chain comes out with so many links."""
    pitch = inputs["p"] / 1000
    low, high = pitch * (inputs["z1"] + inputs["z2"]) / 5, pitch * inputs["links"] / 2
    while high - low > 1e-13:
        middle = (low + high) / 2
        row = inputs | {"a": middle * 1000}
        low, high = (low, middle) if chain_links(row) > inputs["links"] else (middle, high)
    return low * 1000


def wire_rate(inputs: Inputs, length: float, stress: float) -> float:
    return result(
        "wire_spring_rate",
        "rate",
        wire=inputs["d"] * length,
        mean_diameter=inputs["D"] * length,
        active_coils=inputs["n"],
        shear_modulus=inputs["G"] * stress,
    )


def two_points(key: str) -> Callable[[Inputs], float]:
    """Rate (N/mm) or free length (mm) from two points of an example's spring."""

    def value(inputs: Inputs) -> float:
        free = inputs["free"]
        got = result(
            "spring_rate",
            key,
            force_1=inputs["F"] / 2,
            length_1=(free - inputs["deflection"] / 2) / 1000,
            force_2=inputs["F"],
            length_2=(free - inputs["deflection"]) / 1000,
        )
        return got / 1000 if key == "rate" else got * 1000

    return value


def piston(inputs: Inputs) -> float:
    return 1000 * result(
        "piston_position",
        "distance",
        stroke=inputs["stroke"] / 1000,
        rod=inputs["rod"] / 1000,
        angle=math.radians(inputs["theta"]),
    )


def timing(inputs: Inputs) -> float:
    angle = result(
        "timing_angle",
        "angle",
        stroke=inputs["stroke"] / 1000,
        rod=inputs["rod"] / 1000,
        distance=inputs["btdc"] / 1000,
    )
    return math.degrees(angle)


def bolt(key: str, scale: float) -> Callable[[Inputs], float]:
    def value(inputs: Inputs) -> float:
        got = result(
            "proof_load",
            key,
            diameter=inputs["d"] / 1000,
            pitch=inputs["P"] / 1000,
            property_class=inputs.get("class", "8.8"),
        )
        return got * scale

    return value


def crowfoot(inputs: Inputs) -> float:
    return result(
        "torque_with_extension",
        "setting",
        torque=inputs["T"],
        wrench=inputs["L"],
        extension=inputs["E"],
        angle=math.radians(inputs["angle"]),
    )


def conformance(inputs: Inputs) -> float:
    limits = {"min": inputs.get("TL"), "max": inputs.get("TU")}
    return result(
        "conformance", "probability", value=inputs["y"], uncertainty=2 * inputs["u"], **limits
    )


def false_accept(inputs: Inputs) -> float:
    """Probability of being out for a value that stands r U inside an upper limit."""
    outside = result("conformance", "probability", value=-inputs["r"], uncertainty=1, min=0)
    return outside


def student(inputs: Inputs) -> float:
    """The factor t that repeat_readings uses: expanded over standard uncertainty."""
    values = [float(n) for n in range(inputs["nu"] + 1)]
    expanded = result("repeat_readings", "expanded", values=values)
    return expanded / result("repeat_readings", "standard_uncertainty", values=values)


def grubbs_statistic(inputs: Inputs) -> float:
    got = REGISTER["repeat_readings"].function(values=inputs["x"])
    mean, count = float(got["mean"]), len(inputs["x"])  # type: ignore[arg-type]
    deviation = float(got["standard_uncertainty"]) * math.sqrt(count)  # type: ignore[arg-type]
    assert got["outlier"] == max(inputs["x"])
    return (max(inputs["x"]) - mean) / deviation


def clutch_shoe_mass(inputs: Inputs) -> float:
    """Mass of a centrifugal clutch's shoe from what one kilogram of it does."""
    fast, slow = (inputs[key] * 2 * math.pi / 60 for key in ("n2", "n1"))
    torque = inputs["P"] * 1000 / fast
    one_kilogram = result(
        "flyweight_force", "force", mass=1, radius=inputs["rg"] / 1000, speed=fast
    ) - result("flyweight_force", "force", mass=1, radius=inputs["rg"] / 1000, speed=slow)
    return torque / (one_kilogram * inputs["mu"] * inputs["rd"] / 1000 * inputs["z"])


def belt(inputs: Inputs) -> float:
    return 1000 * result(
        "belt_length",
        "length",
        diameter_a=inputs["D"] / 1000,
        diameter_b=inputs["d"] / 1000,
        centre_distance=inputs["C"] / 1000,
    )


def coolant(inputs: Inputs) -> float:
    part = inputs.get("phi")
    if part is None:
        # By mass: 1.1155 is the specific gravity of ethylene glycol (ASHRAE).
        part = inputs["w"] / 1.1155 / (inputs["w"] / 1.1155 + 1 - inputs["w"])
    return result("coolant_freeze_point", "freeze_point", glycol_volume=part) - 273.15


def acid(inputs: Inputs) -> float:
    kelvin = result("electrolyte_freeze_point", "freeze_point", specific_gravity=inputs["SG"])
    return kelvin * 9 / 5 - 459.67


def worn_length(inputs: Inputs) -> float:
    """The length in mm at which chain_elongation shows that percentage."""
    new = inputs["p"] * inputs["N"]
    at_new_plus_one = result(
        "chain_elongation",
        "elongation",
        pitch=inputs["p"] / 1000,
        links=inputs["N"],
        measured=(new + 1) / 1000,
    )
    return new + inputs["percent"] / at_new_plus_one


def _toe_of_inches(inputs: Inputs) -> float:
    """The angle in rad from inches, the skis 40 inches apart."""
    front, rear, base = ((inputs[key] + apart) * INCH for key, apart in
                         (("front", 40), ("rear", 40), ("base", 0)))  # fmt: skip
    return result("toe", "angle", front=front, rear=rear, base=base)


FORMULAS: dict[str, tuple[str, Callable[[Inputs], float]]] = {
    "isa_density_geometric": ("standard_atmosphere", standard("density")),
    "isa_temperature_geometric": ("standard_atmosphere", standard("temperature")),
    "isa_pressure_geometric": ("standard_atmosphere", standard("pressure")),
    "isa_pressure_geopotential": ("standard_atmosphere", standard("pressure")),
    "isa_density_geopotential": ("standard_atmosphere", standard("density")),
    "pressure_altitude": ("standard_atmosphere", pressure_altitude),
    "psat_water": ("air_density", lambda i: saturation_pressure_over_water(i["t"] + 273.15)),
    "moist_air_density": ("air_density", moist_density),
    "density_altitude": ("air_density", density_altitude),
    "af_ratio_at_altitude": (
        "jet_for_air",
        lambda i: i["AF_sea"] * flow_factor(i["rho_alt_over_rho_sea"]),
    ),
    "fuel_flow_factor": ("jet_for_air", lambda i: flow_factor(i["sigma"])),
    "enrichment_unchanged_jet": ("jet_for_air", lambda i: 1 / flow_factor(i["sigma"]) - 1),
    "tension_of_loaded_string": ("span_tension", tension_of_loaded_string),
    "chain_length_pitches": ("chain_length", chain_links),
    "chain_centre_distance": ("chain_length", chain_centre),
    "chain_centre_distance_minus_0p2pct": ("chain_length", lambda i: 0.998 * chain_centre(i)),
    "chain_wear_length": ("chain_elongation", worn_length),
    "spring_rate_helical": (
        "wire_spring_rate",
        lambda i: wire_rate(i, INCH, PSI) * INCH / POUND_FORCE,
    ),
    "spring_rate_helical_si": ("wire_spring_rate", lambda i: wire_rate(i, 1e-3, 1e6) / 1000),
    "spring_rate_from_points": ("spring_rate", two_points("rate")),
    "spring_free_length": ("spring_rate", two_points("free_length")),
    "piston_position_btdc": ("piston_position", piston),
    "crank_angle_from_btdc": ("timing_angle", timing),
    "thread_stress_area": ("proof_load", bolt("stress_area", 1e6)),
    "proof_load": ("proof_load", bolt("proof_load", 1.0)),
    "crowfoot_setting": ("torque_with_extension", crowfoot),
    "conformance_prob_lower": ("conformance", conformance),
    "conformance_prob_two_sided": ("conformance", conformance),
    "guard_band_pfa_at_limit": ("conformance", false_accept),
    "type_a_mean": ("repeat_readings", lambda i: result("repeat_readings", "mean", values=i["x"])),
    "type_a_u_mean": (
        "repeat_readings",
        lambda i: result("repeat_readings", "standard_uncertainty", values=i["x"]),
    ),
    "t_factor_95": ("repeat_readings", student),
    "grubbs_two_sided_5pct": ("repeat_readings", lambda i: distributions.grubbs_limit(i["n"])),
    "grubbs_statistic": ("repeat_readings", grubbs_statistic),
    "centrifugal_clutch_shoe_mass": ("flyweight_force", clutch_shoe_mass),
    "belt_length_open_exact": ("belt_length", belt),
    "eg_freeze_mass": ("coolant_freeze_point", coolant),
    "eg_freeze_volume": ("coolant_freeze_point", coolant),
    "battery_electrolyte_freeze": ("electrolyte_freeze_point", acid),
    "compression_spread_percent": (
        "spread",
        lambda i: result("spread", "percent", values=i["values"]),
    ),
    "toe_angle": (
        "toe",
        lambda i: math.degrees(_toe_of_inches(i)),
    ),
    "premix_oil": (
        "oil_for_fuel",
        lambda i: 1000 * result("oil_for_fuel", "oil", fuel=i["fuel"] / 1000, ratio=i["ratio"]),
    ),
    "delivery_ratio": (
        "oil_ratio",
        lambda i: result("oil_ratio", "ratio", fuel=i["fuel"] / 1000, oil=i["oil"] / 1000),
    ),
}
"""Formula of a row -> the calculation that it checks, and the value as that one gives it."""
