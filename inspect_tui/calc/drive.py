"""The variable drive and what follows it: speed, belt, flyweights, skis."""

from __future__ import annotations

import math

from inspect_tui.calc import input_checks as ranges
from inspect_tui.calc.input_checks import Real, refusing
from inspect_tui.calc.registry import Calculation, Input, Outcome, Result

MOST_TEETH = 1000


@refusing
def road_speed(
    *,
    engine_speed: Real,
    cvt_ratio: Real,
    teeth_top: Real,
    teeth_bottom: Real,
    drive_teeth: Real,
    track_pitch: Real,
) -> dict[str, Outcome]:
    """Speed of the track for an engine speed and a shift ratio.

    v = w/(2 pi) / i * z_top/z_bottom * N p.

    Inputs: engine_speed w, rad/s, 0 or more; cvt_ratio i, engine over driven clutch, 0.1 to 20;
    teeth_top, teeth_bottom, whole, of the chaincase's upper and lower sprocket; drive_teeth N,
    whole, of the sprockets that drive the track, counted as track pitches in one turn; track_pitch
    p, m. Results: speed, m/s.

    Valid without slip of belt or track: the machine is slower. Source: kinematics (own derivation,
    elementary). Harm: none to the engine; a speed reached at too low an engine speed means gearing
    other than the sheet says.

    Raises:
        ValueError: an input outside its range.
    """
    speed = ranges.at_least("engine_speed", engine_speed, unit="rad/s")
    ratio = ranges.between("cvt_ratio", cvt_ratio, 0.1, 20)
    top = ranges.whole("teeth_top", teeth_top, 1, MOST_TEETH)
    bottom = ranges.whole("teeth_bottom", teeth_bottom, 1, MOST_TEETH)
    drivers = ranges.whole("drive_teeth", drive_teeth, 1, MOST_TEETH)
    pitch = ranges.above("track_pitch", track_pitch, unit="m")
    turns = float(speed) / (2 * math.pi) / float(ratio) * top / bottom
    return {"speed": turns * drivers * float(pitch)}


@refusing
def belt_length(*, diameter_a: Real, diameter_b: Real, centre_distance: Real) -> dict[str, Outcome]:
    """Length of an open belt around two pulleys.

    L = 2 C cos a + pi (D + d)/2 + a (D - d), sin a = (D - d)/(2 C).

    Inputs: diameter_a, diameter_b, m, effective; centre_distance C, m, at least half their sum.
    Results: length, m.

    Exact for circles and a belt without thickness. Source: geometry (textbooks). Harm: a belt of
    another length shifts the whole ratio range and the engagement.

    Raises:
        ValueError: an input outside its range.
    """
    one = float(ranges.above("diameter_a", diameter_a, unit="m"))
    other = float(ranges.above("diameter_b", diameter_b, unit="m"))
    centre = float(ranges.above("centre_distance", centre_distance, unit="m"))
    if not centre >= (one + other) / 2 * (1 - 1e-12):
        raise ValueError(
            "centre_distance must be at least half the sum of the diameters "
            f"({ranges.said((one + other) / 2, 'm')}); got {ranges.said(centre_distance, 'm')}"
        )
    difference = abs(one - other)
    lean = math.asin(difference / (2 * centre))
    wrapped = math.pi * (one + other) / 2 + lean * difference
    return {"length": 2 * centre * math.cos(lean) + wrapped}


@refusing
def flyweight_force(*, mass: Real, radius: Real, speed: Real) -> dict[str, Outcome]:
    """Centrifugal force of a clutch's flyweight.

    F = m r w^2.

    Inputs: mass m, kg; radius r, m, of the centre of mass from the axis; speed w, rad/s. Results:
    force, N, of one weight.

    Valid for a weight that stands still in the turning clutch. Speed counts squared. Source:
    mechanics; Bhandari example 11.12 (centrifugal clutch). Harm: unequal weights shake the clutch
    apart.

    Raises:
        ValueError: an input outside its range.
    """
    weight = ranges.at_least("mass", mass, unit="kg")
    arm = ranges.at_least("radius", radius, unit="m")
    turning = ranges.at_least("speed", speed, unit="rad/s")
    return {"force": weight * arm * turning * turning}


@refusing
def toe(*, front: Real, rear: Real, base: Real) -> dict[str, Outcome]:
    """Toe of the skis from two measurements across them.

    toe = front - rear; angle = atan((front - rear)/base).

    Inputs: front, rear, m, between the same lines of both skis, ahead and behind; base, m, along
    the ski between the two places of measurement. Results: toe, m, and angle, rad, both in all for
    the two skis; positive is toe-out (wider in front).

    Valid for a toe smaller than the base. A toe in millimetres says nothing without its base.
    Source: geometry. Harm: play that was not taken up shows as toe; toe-in darts and can dig in.

    Raises:
        ValueError: an input outside its range.
    """
    ahead = ranges.above("front", front, unit="m")
    behind = ranges.above("rear", rear, unit="m")
    length = ranges.above("base", base, unit="m")
    out = ahead - behind
    if not ranges.size(out) < length:
        raise ValueError(
            f"base must be longer than front less rear ({ranges.said(ranges.size(out), 'm')}); "
            f"got {ranges.said(base, 'm')}"
        )
    return {"toe": out, "angle": math.atan(out / length)}


ROAD_SPEED = Calculation(
    name="road_speed",
    subject="drive",
    title="Track speed from engine speed and gearing",
    inputs=(
        Input("engine_speed", "rad/s", "speed of the engine", "8000 rpm"),
        Input("cvt_ratio", "", "engine turns per turn of the driven clutch", "0.8"),
        Input("teeth_top", "", "teeth of the chaincase's upper sprocket", "22"),
        Input("teeth_bottom", "", "teeth of the chaincase's lower sprocket", "39"),
        Input("drive_teeth", "", "track pitches in one turn of the track drivers", "9"),
        Input("track_pitch", "m", "pitch of the track", "64 mm"),
    ),
    results=(Result("speed", "m/s", "speed without slip", "km/h"),),
    function=road_speed,
    formula="v = w/(2 pi)/i * z_top/z_bottom * N p",
    source="kinematics (elementary)",
    valid="No slip of belt or track: the machine is slower than this.",
    harm="None to the engine; a wrong tooth count shows as a wrong speed.",
)

BELT_LENGTH = Calculation(
    name="belt_length",
    subject="drive",
    title="Length of an open belt",
    inputs=(
        Input("diameter_a", "m", "effective diameter of one pulley", "250 mm"),
        Input("diameter_b", "m", "effective diameter of the other pulley", "200 mm"),
        Input("centre_distance", "m", "distance between the shafts", "270 mm"),
    ),
    results=(Result("length", "m", "length of the belt", "mm"),),
    function=belt_length,
    formula="L = 2 C cos a + pi (D + d)/2 + a (D - d), sin a = (D - d)/(2 C)",
    source="geometry (textbooks)",
    valid="Exact for circles that do not overlap and a belt without thickness.",
    harm="A belt of another length shifts the ratio range and the engagement.",
)

FLYWEIGHT_FORCE = Calculation(
    name="flyweight_force",
    subject="drive",
    title="Force of a clutch's flyweight",
    inputs=(
        Input("mass", "kg", "mass of one weight", "50 g"),
        Input("radius", "m", "centre of mass from the axis", "60 mm"),
        Input("speed", "rad/s", "speed of the clutch", "8000 rpm"),
    ),
    results=(Result("force", "N", "centrifugal force of one weight", "N"),),
    function=flyweight_force,
    formula="F = m r w^2",
    source="mechanics; Bhandari ex. 11.12",
    valid="A weight that stands still in the turning clutch.",
    harm="Unequal weights shake the clutch apart.",
)

TOE = Calculation(
    name="toe",
    subject="drive",
    title="Toe of the skis",
    inputs=(
        Input("front", "m", "distance between the skis, ahead", "1006 mm"),
        Input("rear", "m", "distance between the skis, behind", "1000 mm"),
        Input("base", "m", "distance between the two places along the ski", "1000 mm"),
    ),
    results=(
        Result("toe", "m", "front less rear; positive is toe-out", "mm"),
        Result("angle", "rad", "the same as an angle, both skis together", "degree"),
    ),
    function=toe,
    formula="toe = front - rear; angle = atan((front - rear)/base)",
    source="geometry",
    valid="Toe smaller than the base; take up the play first.",
    harm="Toe-in darts and can dig a ski in.",
)
