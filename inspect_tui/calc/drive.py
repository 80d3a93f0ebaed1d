"""The variable drive and what follows it: speed, belt, flyweights, skis."""

from __future__ import annotations

import math

from inspect_tui.calc.chain import TEETH
from inspect_tui.calc.input_checks import OutOfRange, Real, above, between, size, whole
from inspect_tui.calc.registry import Input, Outcome, Refusal, Result, declare

_FASTEST = 20_000 * math.pi / 30
"""rad/s: 20,000 rpm."""
_SPEEDS = between(0, _FASTEST)
_PULLEYS = above(0, 2)
"""m."""
_FORCES = above(0, 50_000)
"""N."""
_MASSES = above(0, 5)
"""kg."""


@declare(
    subject="drive",
    title="Track speed from engine speed and gearing",
    inputs=(
        Input("engine_speed", "rad/s", "speed of the engine", "8000 rpm",
              _SPEEDS, at=837.8, u=5.0),
        Input("cvt_ratio", "", "engine turns per turn of the driven clutch", "0.8",
              between(0.1, 20), at=0.8, u=0.01, label="clutch ratio"),
        Input("teeth_top", "", "teeth of the chaincase's upper sprocket", "22", TEETH, at=22),
        Input("teeth_bottom", "", "teeth of the chaincase's lower sprocket", "39", TEETH, at=39),
        Input("drive_teeth", "", "track pitches in one turn of the track drivers", "9",
              whole(3, 100), at=9),
        Input("track_pitch", "m", "pitch of the track", "64 mm",
              between(0.01, 0.3), at=0.064, u=0.0002),
    ),
    results=(Result("speed", "m/s", "speed without slip", "km/h", sane=between(0, 150)),),
    formula="v = w/(2 pi)/i * z_top/z_bottom * N p",
    source="kinematics (own derivation, elementary)",
    valid="No slip of belt or track: the machine is slower than this.",
    harm="None to the engine; a wrong tooth count shows as a wrong speed.",
    refuses=(
        Refusal({"cvt_ratio": 0}, "cvt_ratio must be from 0.1 to 20; got 0"),
        Refusal({"teeth_top": 0}, "teeth_top must be a whole number from 5"),
        Refusal({"track_pitch": 0}, "track_pitch must be from 0.01 m"),
        Refusal({"teeth_top": 190, "teeth_bottom": 10}, "above the 150 m/s that any machine has"),
    ),
    thin="arithmetic of teeth and turns",
)  # fmt: skip
def road_speed(
    *,
    engine_speed: Real,
    cvt_ratio: Real,
    teeth_top: int,
    teeth_bottom: int,
    drive_teeth: int,
    track_pitch: Real,
) -> dict[str, Outcome]:
    """Speed of the track for an engine speed and a shift ratio."""
    turns = float(engine_speed) / (2 * math.pi) / float(cvt_ratio) * teeth_top / teeth_bottom
    return {"speed": turns * drive_teeth * float(track_pitch)}


@declare(
    subject="drive",
    title="Length of an open belt",
    inputs=(
        Input("diameter_a", "m", "effective diameter of one pulley", "250 mm",
              _PULLEYS, at=0.25, u=0.0005),
        Input("diameter_b", "m", "effective diameter of the other pulley", "200 mm",
              _PULLEYS, at=0.2, u=0.0005),
        Input("centre_distance", "m", "distance between the shafts", "270 mm",
              above(0, 5), at=0.27, u=0.0005),
    ),
    results=(Result("length", "m", "length of the belt", "mm"),),
    formula="L = 2 C cos a + pi (D + d)/2 + a (D - d), sin a = (D - d)/(2 C)",
    source="geometry (textbooks)",
    valid="Exact for circles that do not overlap and a belt without thickness.",
    harm="A belt of another length shifts the ratio range and the engagement.",
    refuses=(
        Refusal({"centre_distance": 0.2}, "centre_distance must be at least half the sum"),
        Refusal({"diameter_a": 0}, "diameter_a must be above 0 m"),
    ),
)  # fmt: skip
def belt_length(*, diameter_a: Real, diameter_b: Real, centre_distance: Real) -> dict[str, Outcome]:
    """Length of an open belt around two pulleys."""
    one, other, centre = float(diameter_a), float(diameter_b), float(centre_distance)
    if not centre >= (one + other) / 2 * (1 - 1e-12):
        raise OutOfRange(
            "centre_distance must be at least half the sum of the diameters ({}); got {}",
            ("centre_distance", (one + other) / 2), ("centre_distance", centre_distance),
        )  # fmt: skip
    difference = abs(one - other)
    lean = math.asin(difference / (2 * centre))
    return {"length": 2 * centre * math.cos(lean) + math.pi * (one + other) / 2 + lean * difference}


@declare(
    subject="drive",
    title="Force of a clutch's flyweight",
    inputs=(
        Input("mass", "kg", "mass of one weight", "50 g", between(0, 5), at=0.05, u=0.0001),
        Input("radius", "m", "centre of mass from the axis", "60 mm",
              between(0, 1), at=0.06, u=0.0005),
        Input("speed", "rad/s", "speed of the clutch", "8000 rpm", _SPEEDS, at=837.8, u=5.0),
    ),
    results=(Result("force", "N", "centrifugal force of one weight", sane=between(0, 100_000)),),
    formula="F = m r w^2",
    source="mechanics; Bhandari example 11.12 (centrifugal clutch)",
    valid="A weight that stands still in the turning clutch; the speed counts squared.",
    harm="Unequal weights shake the clutch apart.",
    refuses=(
        Refusal({"mass": -1}, "mass must be from 0 kg"),
        Refusal({"mass": 50}, "mass must be from 0 kg to 5 kg; got 50 kg"),
        Refusal({"mass": 5, "radius": 0.6}, "above the 100000 N that any machine has"),
    ),
)  # fmt: skip
def flyweight_force(*, mass: Real, radius: Real, speed: Real) -> dict[str, Outcome]:
    """Centrifugal force of a clutch's flyweight."""
    return {"force": mass * radius * speed * speed}


@declare(
    subject="drive",
    title="Engagement speed with other springs or weights",
    inputs=(
        Input("speed", "rad/s", "engagement speed as it is", "3500 rpm",
              above(0, _FASTEST), at=366.5, u=5.0),
        Input("force_now", "N", "spring's force at engagement, as it is", "350 N",
              _FORCES, at=350.0, u=5.0),
        Input("force_new", "N", "the other spring's force at that length", "400 N",
              _FORCES, at=400.0, u=5.0),
        Input("mass_now", "kg", "mass of one flyweight, as it is", "50 g",
              _MASSES, at=0.05, u=0.0002),
        Input("mass_new", "kg", "mass of the other flyweight", "48 g",
              _MASSES, at=0.048, u=0.0002),
    ),
    results=(Result("speed", "rad/s", "engagement speed that follows", "rpm", sane=_SPEEDS),),
    formula="speed sqrt(force_new/force_now mass_now/mass_new)",
    source="balance of the spring with F = m r w^2 (Bhandari ch. 11, centrifugal clutch)",
    valid=(
        "The same clutch, ramps and radius at engagement; forces and masses within 3 times of each "
        "other; friction left out."
    ),
    harm="Engaging too low drags and heats the belt; too high grabs and glazes it.",
    refuses=(
        Refusal({"force_new": 4000}, "force_new must be within 3 times force_now (350 N)"),
        Refusal({"mass_new": 0.48}, "mass_new must be within 3 times mass_now (0.05 kg)"),
        Refusal({"speed": 3500}, "speed must be above 0 rad/s"),
    ),
)  # fmt: skip
def engagement_speed(
    *, speed: Real, force_now: Real, force_new: Real, mass_now: Real, mass_new: Real
) -> dict[str, Outcome]:
    """The engine speed at which a clutch with another spring or other weights begins to grip."""
    for kind, now, new in (("force", force_now, force_new), ("mass", mass_now, mass_new)):
        if max(now, new) > 3 * min(now, new):
            raise OutOfRange(
                f"{kind}_new must be within 3 times {kind}_now ({{}}) either way; got {{}}",
                (f"{kind}_now", now), (f"{kind}_new", new),
            )  # fmt: skip
    return {"speed": float(speed) * math.sqrt(force_new / force_now * mass_now / mass_new)}


@declare(
    subject="drive",
    title="Toe of the skis",
    inputs=(
        Input("front", "m", "distance between the skis, ahead", "1006 mm",
              above(0, 3), at=1.006, u=0.001),
        Input("rear", "m", "distance between the skis, behind", "1000 mm",
              above(0, 3), at=1.0, u=0.001),
        Input("base", "m", "distance between the two places along the ski", "1000 mm",
              above(0, 3), at=1.0, u=0.003),
    ),
    results=(
        Result("toe", "m", "front less rear; positive is toe-out", "mm"),
        Result("angle", "rad", "the same as an angle, both skis together", "degree"),
    ),
    formula="toe = front - rear; angle = atan((front - rear)/base)",
    source="geometry",
    valid=(
        "Toe up to half the base, measured between the same lines of both skis; take up the play "
        "first. A toe in millimetres says nothing without its base."
    ),
    harm="Toe-in darts and can dig a ski in.",
    refuses=(
        Refusal({"base": 0}, "base must be above 0 m"),
        Refusal({"base": 0.005}, "base must be at least twice front less rear (0.006 m)"),
        Refusal({"rear": 0.1}, "base must be at least twice front less rear (0.906 m)"),
    ),
)  # fmt: skip
def toe(*, front: Real, rear: Real, base: Real) -> dict[str, Outcome]:
    """Toe of the skis from two measurements across them."""
    out = front - rear
    if size(out) * 2 > base:
        raise OutOfRange(
            "base must be at least twice front less rear ({}); got {}",
            ("front", size(out)), ("base", base),
        )  # fmt: skip
    return {"toe": out, "angle": math.atan(out / base)}
