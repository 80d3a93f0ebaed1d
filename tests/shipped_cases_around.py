"""The cases of the shipped lists around the pre-season list; see `shipped_cases`."""

from __future__ import annotations

from tests.shipped_case import ALIKE, Case

FIRST_RIDE: dict[str, Case] = {
    "short-of-oil": Case(
        {"oil-used.fuel": "20 L", "oil-used.oil": "150 mL", "plugs-5.colour": "white"},
        {"oil-used.oil": "500 mL"},
    ),
    "lean-at-load": Case(
        {"plugs-5.colour": "white", "plug-chop.ring": "none"}, {"plug-chop.ring": "brown"}
    ),
    "slip-heat": Case(
        {"belt-heat.belt": "80 degC", "air-place.air": "-10 degC", "look-5.dust": "much"},
        {"belt-heat.belt": "40 degC"},
        at=None,
    ),
    "tired-clutch": Case(
        {"peak.speed": "7500 rpm", "move-off.engagement": "3000 rpm"},
        {"move-off.engagement": "3900 rpm"},
        at=None,
    ),
    "track-pulls": Case(
        {"tracking.pull": "left", "sag-25.left": "30 mm", "sag-25.right": "40 mm"},
        {"sag-25.right": "32 mm"},
        at=None,
    ),
}

BEFORE_EVERY_RIDE: dict[str, Case] = {
    "cold-cable": Case(
        {"throttle.left": "slow", "idle.behaviour": "hangs"}, {"throttle.left": "snap"}, at=None
    ),
}

LAY_UP: dict[str, Case] = {
    "water-in-case": Case(
        {"chaincase.colour": "milky", "chaincase.metal": "chips"},
        {"chaincase.metal": "dust"},
        at=None,
    ),
    "water-everywhere": Case(
        {"drain-bowls.came": "water", "chaincase.colour": "milky"}, {"chaincase.colour": "brown"}
    ),
}

BOUGHT: dict[str, Case] = {
    "carb-clean-story": Case(
        {"story.says": "needs a carb clean", "cold-start.starts": "does not start"},
        {"cold-start.starts": "runs"},
        at=None,
    ),
    "seized-once": Case({"bores.wall": "smear", "bores.colour": "white"}, {"bores.wall": "clean"}),
    "worn-engine": Case(
        {"compression.pressure": ["850 kPa", "850 kPa", "600 kPa"], "bores.wall": "scuff"},
        {"compression.pressure": ALIKE},
    ),
    "was-hit": Case(
        {"tunnel.tunnel": "bent", "steering.straight": "kinked"},
        {"steering.straight": "straight"},
        at=None,
    ),
    "drowned": Case(
        {"oil-on-a-stick.colour": "milky", "crank.turn": "gritty"},
        {"crank.turn": "smooth"},
        at=None,
    ),
    "more-kilometres": Case(
        {"odometer.wear": "more worn", "skid.slides": "through"},
        {"odometer.wear": "fits"},
        at=None,
    ),
}

OUTBOARD: dict[str, Case] = {
    "line-cut-seal": Case(
        {"gear-drain.colour": "milky", "prop-off.line": "found"},
        {"prop-off.line": "none"},
        at=None,
    ),
    "tired-impeller": Case(
        {"ob-start.tell-tale": "weak", "impeller.vanes": "set"},
        {"impeller.vanes": "springy"},
        at=None,
    ),
    "blocked-tell-tale": Case(
        {
            "ob-start.tell-tale": "weak",
            "ob-idle.head": "55 degC",
            "water-ways.tell-tale": "blocked",
        },
        {"ob-idle.head": "95 degC"},
        at=None,
    ),
    "thermostat": Case(
        {"ob-idle.head": "95 degC", "ob-start.tell-tale": "strong"},
        {"ob-idle.head": "60 degC"},
        at=None,
    ),
    "air-in-line": Case(
        {"fuel-line.bulb": "soft", "ob-idle.behaviour": "hangs"},
        {"ob-idle.behaviour": "steady"},
        at=None,
    ),
}
