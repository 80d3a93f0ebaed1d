"""For each inference of the shipped lists: readings that make it speak, and what silences it.

`speak` holds just the readings that it rests on, as a person would type them; `silent` replaces
some of them. A list is one entry per cylinder of the machine (PTO, centre, MAG); one text at a
per-cylinder step is the PTO cylinder's. `at` is the cylinder that is spoken of.
"""

from __future__ import annotations

from tests.shipped_case import ALIKE, APART, Case, Typed
from tests.shipped_cases_around import BEFORE_EVERY_RIDE, BOUGHT, FIRST_RIDE, LAY_UP, OUTBOARD

__all__ = ["CASES", "Case", "Typed"]


PLACE = {"place-air.lowest": "200 m", "place-air.coldest": "-20 degC"}
"""Colder than the invented triple's base of -15 degC."""
PRE_SEASON: dict[str, Case] = {
    "intake-leak": Case(
        {"boots.crack": "through", "plugs.colour": "lighter than the others"},
        {"boots.crack": "surface"},
    ),
    "intake-leak-seen": Case(
        {"pressure-test.bubbles": "boot", "plugs.colour": "white"},
        {"pressure-test.bubbles": "joint"},
    ),
    "crank-seal": Case(
        {
            "pressure-test.bubbles": "crank seal",
            "plugs.colour": "lighter than the others",
            "boots.crack": "none",
        },
        {"boots.crack": "through"},
    ),
    "valve-seal": Case(
        {"rotary-valve.gear-oil": "falls", "first-start.smoke": "one side"},
        {"first-start.smoke": "even"},
        at=None,
    ),
    "climbing-idle": Case(
        {"idle.behaviour": "climbs", "boots.crack": "through"}, {"idle.behaviour": "steady"}
    ),
    "worn-bore": Case(
        {"compression.pressure": APART, "compression.wet": ["885 kPa", "880 kPa", "830 kPa"]},
        {"compression.wet": ["885 kPa", "880 kPa", "735 kPa"]},
        at="MAG",
    ),
    "low-not-rings": Case(
        {"compression.pressure": APART, "compression.wet": ["885 kPa", "885 kPa", "730 kPa"]},
        {"compression.wet": ["885 kPa", "885 kPa", "830 kPa"]},
        at="MAG",
    ),
    "all-low": Case(
        {"compression.pressure": ["700 kPa", "705 kPa", "700 kPa"], "place-air.altitude": "0 m"},
        {"compression.pressure": ["700 kPa", "860 kPa", "700 kPa"]},
        at=None,
    ),
    "head-gasket": Case(
        {"compression.pressure": APART, "head-bolts.weep": "weeping"},
        {"compression.pressure": ALIKE},
        at=None,
    ),
    "gasket-coolant": Case(
        {"coolant.look": "oil", "coolers.bubbles": "steady"}, {"coolers.bubbles": "none"}, at=None
    ),
    "lean-history": Case(
        {"bore-look.wall": "smear", "main-jet.stamp": "310", **PLACE},
        {"main-jet.stamp": "340"},
    ),
    "oil-history": Case(
        {"bore-look.wall": "smear", "pump-mark.offset": "-2 mm"}, {"pump-mark.offset": "-0.5 mm"}
    ),
    "lean-jet": Case(
        {"plugs.colour": "white", "main-jet.stamp": "310", **PLACE},
        {"main-jet.stamp": "340"},
    ),
    "rich-enricher": Case(
        {"plugs.colour": "black", "main-jet.stamp": "340", "enricher.seats": "no", **PLACE},
        {"enricher.seats": "yes"},
    ),
    "flooding": Case(
        {
            "plugs.colour": "wet",
            "inlet-needle.start-pressure": "20 kPa",
            "inlet-needle.end-pressure": "12 kPa",
        },
        {"inlet-needle.end-pressure": "19 kPa"},
    ),
    "pump-diaphragm": Case(
        {"fuel-pump.pulse-line": "fuel", "plugs.colour": "wet"},
        {"fuel-pump.pulse-line": "oil film"},
    ),
    "wet-misfire": Case(
        {"plug-caps.resistance": "9 kohm", "plugs.colour": "black"},
        {"plug-caps.resistance": "5 kohm"},
    ),
    "weak-spark": Case({"spark.seen": "none", "plugs.colour": "wet"}, {"spark.seen": "strong"}),
    "cable-pulls": Case(
        {
            "throttle-play.turned-left": "slow",
            "idle.straight": "1800 rpm",
            "idle.full-left": "2300 rpm",
        },
        {"idle.full-left": "1850 rpm"},
        at=None,
    ),
    "switch-by-play": Case(
        {"stop-switch.throttle-switch": "fails", "throttle-play.play": "9 mm"},
        {"throttle-play.play": "3 mm"},
        at=None,
    ),
    "one-oil-line": Case(
        {"oil-bleed.bubbles": "many", "oil-bleed.longest": ["12 mm", "0 mm", "0 mm"]},
        {"oil-bleed.longest": ["12 mm", "12 mm", "13 mm"]},
    ),
    "hanging-slide": Case(
        {"slide.drop": "sticks", "throttle-play.straight": "slow"}, {"slide.drop": "falls"}
    ),
    "oil-feed-doubt": Case(
        {"plugs.colour": "lighter than the others", "oil-moving.moves": "no"},
        {"oil-moving.moves": "yes"},
    ),
    "stale-fuel": Case(
        {"fuel-age.smell": "varnish", "pilot-jet.bore": "blocked"}, {"fuel-age.smell": "fresh"}
    ),
    "open-port": Case(
        {"air-box.inside": "nest", "bore-look.wall": "heavy rust"}, {"air-box.inside": "dust"}
    ),
    "jetted-elsewhere": Case(
        {"main-jet.stamp": ["310", "320", "310"], **PLACE},
        {"main-jet.stamp": ["310", "350", "310"]},
        at=None,
    ),
    "lean-for-the-cold": Case(
        {
            "main-jet.stamp": ["340", "350", "340"],
            "place-air.lowest": "200 m",
            "place-air.coldest": "-35 degC",
        },
        {"place-air.coldest": "-12 degC"},
        at=None,
        facts={"jet_chart": False},
    ),
    "too-good": Case(
        {
            "compression.pressure": ["1100 kPa", "1090 kPa", "1095 kPa"],
            "place-air.altitude": "0 m",
            "first-turn.oiled": "yes",
        },
        {"first-turn.oiled": "no"},
    ),
    "misaligned": Case(
        {"belt-body.edge": "frayed inside", "clutch-offset.x": "36 mm", "clutch-offset.y": "39 mm"},
        {"clutch-offset.y": "37 mm"},
        at=None,
    ),
    "engine-swings": Case(
        {"belt-body.edge": "frayed outside", "mounts.stop-gap": "3 mm"},
        {"mounts.stop-gap": "0.5 mm"},
        at=None,
    ),
    "belt-slips": Case(
        {
            "belt-body.surface": "glazed",
            "driven-preload.opening": "45 N",
            "driven-preload.closing": "41 N",
        },
        {"driven-preload.opening": "66 N", "driven-preload.closing": "60 N"},
        at=None,
    ),
    "narrow-belt": Case(
        {
            **{f"belt-width.width-{place}": "32.5 mm" for place in range(1, 6)},
            "belt-height.height": "-3 mm",
        },
        {"belt-height.height": "0 mm"},
        at=None,
    ),
    "belt-first": Case(
        {
            **{f"belt-width.width-{place}": "32.5 mm" for place in range(1, 6)},
            "belt-height.side-gap": "1.4 mm",
        },
        {"belt-height.side-gap": "0.4 mm"},
        at=None,
    ),
    "driven-drags": Case(
        {
            **{f"belt-width.width-{place}": "34.5 mm" for place in range(1, 6)},
            "driven-preload.opening": "80 N",
            "driven-preload.closing": "40 N",
        },
        {"driven-preload.closing": "70 N"},
        at=None,
    ),
    "chain-worn": Case(
        {
            "chain-tensioner.left": "2 mm",
            "chain-wear.pitches": "20",
            "chain-wear.measured": "194.5 mm",
        },
        {"chain-tensioner.left": "12 mm"},
        at=None,
    ),
    "shoe-worn": Case(
        {
            "chain-tensioner.left": "2 mm",
            "chain-wear.pitches": "20",
            "chain-wear.measured": "191 mm",
        },
        {"chain-wear.measured": "194.5 mm"},
        at=None,
    ),
    "other-sprocket": Case(
        {"chain-tensioner.left": "2 mm", "chain-sprockets.top": "19"},
        {"chain-sprockets.top": "22"},
        at=None,
    ),
    "water-in-chaincase": Case(
        {"chain-oil.colour": "milky", "chain-bearings.seals": "weeping"},
        {"chain-oil.colour": "brown"},
        at=None,
    ),
    "bearing-first": Case(
        {"chain-oil.metal": "chips", "chain-bearings.upper": "rough"},
        {"chain-bearings.upper": "smooth"},
        at=None,
    ),
    "track-before-toe": Case(
        {
            "track-alignment.left": "14 mm",
            "track-alignment.right": "8 mm",
            **{f"slides.left-{place}": "15 mm" for place in ("front", "middle", "rear")},
            **{f"slides.right-{place}": "11 mm" for place in ("front", "middle", "rear")},
        },
        {"track-alignment.right": "13 mm"},
        at=None,
    ),
    "knock-before-toe": Case(
        {
            "steering-play.joints": "knock",
            "ski-toe.front": "990 mm",
            "ski-toe.rear": "1000 mm",
            "ski-toe.base": "500 mm",
        },
        {"ski-toe.front": "1005 mm"},
        at=None,
    ),
    "sticking-caliper": Case(
        {"brake-pads.inner": "2.4 mm", "brake-pads.outer": "4.4 mm", "parking-latch.free": "no"},
        {"parking-latch.free": "yes"},
        at=None,
    ),
    "pulls-by-setting": Case(
        {
            "shocks.setting-left": "3",
            "shocks.setting-right": "2",
            "ski-toe.front": "1005 mm",
            "ski-toe.rear": "1000 mm",
            "ski-toe.base": "500 mm",
        },
        {"shocks.setting-right": "3"},
        at=None,
    ),
    "twisted-crank": Case(
        {"timing.distance": ["1.8 mm", "1.8 mm", "2.4 mm"], "drive-faces.runout": "0.9 mm"},
        {"timing.distance": ["1.8 mm", "1.8 mm", "1.82 mm"]},
        at=None,
    ),
    "no-fuel-comes": Case(
        {"first-start.pulls": "14", "first-start.looked": "dry"},
        {"first-start.pulls": "6"},
        at=None,
    ),
    "no-spark-or-flooded": Case(
        {"first-start.pulls": "14", "first-start.looked": "wet"},
        {"first-start.looked": "not needed"},
        at=None,
    ),
}

CASES: dict[str, dict[str, Case]] = {
    "pre-season": PRE_SEASON,
    "first-ride": FIRST_RIDE,
    "before-every-ride": BEFORE_EVERY_RIDE,
    "lay-up": LAY_UP,
    "bought-machine": BOUGHT,
    "outboard-season": OUTBOARD,
}
