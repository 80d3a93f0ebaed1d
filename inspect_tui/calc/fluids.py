"""Oil in the fuel, and the coolant."""

from __future__ import annotations

from bisect import bisect_right
from fractions import Fraction

from inspect_tui.calc.input_checks import OutOfRange, Real, above, between
from inspect_tui.calc.registry import Input, Outcome, Refusal, Result, declare

_ZERO_CELSIUS = Fraction(27315, 100)
_VOLUMES = between(0, 0.5)
"""m3: 500 L, more than any tank."""
_RATIOS = between(5, 1000)
"""Fuel to oil: more oil than that burns in no engine, less than that is none."""

GLYCOL_FREEZING = tuple(
    (Fraction(percent, 100), Fraction(celsius))
    for percent, celsius in (
        (0, "0"), (10, "-3.6"), (15, "-6.2"), (20, "-9.0"), (25, "-12.1"), (30, "-15.7"),
        (35, "-19.9"), (40, "-24.8"), (45, "-30.5"), (50, "-37.1"), (55, "-44.4"), (60, "-52.0"),
    )
)  # fmt: skip
"""Ethylene glycol, fraction by volume, against the freezing point in degC: ASHRAE's table as fitted
in CoolProp 8.0.0 (AEG), rounded to 0.1."""


def between_rows(table: tuple[tuple[Fraction, Fraction], ...], at: Real) -> Real:
    """The table's value (degC) in K, on the straight line between its neighbours."""
    places = [place for place, _ in table]
    right = min(max(bisect_right(places, at), 1), len(table) - 1)
    (low, start), (high, end) = table[right - 1], table[right]
    return _ZERO_CELSIUS + start + (end - start) * (at - low) / (high - low)


@declare(
    subject="fluids and electrics",
    title="Oil to mix into the fuel",
    inputs=(
        Input("fuel", "m**3", "fuel without the oil", "20 L", _VOLUMES, at=0.02, u=0.0002),
        Input("ratio", "", "fuel to oil: 50 for 50:1", "50", _RATIOS, at=50.0),
    ),
    results=(Result("oil", "m**3", "oil to add", "mL", "L"),),
    formula="oil = fuel/ratio",
    source="definition",
    valid="Ratios from 5 to 1000; fuel to oil, not the whole to oil.",
    harm="Too little oil seizes; too much leans the mixture a little and fouls plugs.",
    refuses=(
        Refusal({"ratio": 0.025}, "ratio must be from 5 to 1000; got 0.025"),
        Refusal({"fuel": -1}, "fuel must be from 0 m**3"),
    ),
    thin="a definition; common practice only",
)
def oil_for_fuel(*, fuel: Real, ratio: Real) -> dict[str, Outcome]:
    """Oil to mix into an amount of fuel."""
    return {"oil": fuel / ratio}


@declare(
    subject="fluids and electrics",
    title="Ratio that an oil pump delivered",
    inputs=(
        Input("fuel", "m**3", "fuel used over the run", "18 L", above(0, 0.5), at=0.018, u=0.0005),
        Input("oil", "m**3", "oil used over the same run", "0.45 L",
              above(0, 0.5), at=0.00045, u=0.00001),
    ),
    results=(Result("ratio", "", "fuel to oil", sane=between(2, 100_000)),),
    formula="ratio = fuel/oil",
    source="definition",
    valid=(
        "An average over the run: injection pumps vary with throttle and speed, so that it shows "
        "gross errors only. Not less fuel than twice the oil."
    ),
    harm="A leak of oil looks like good lubrication, and the engine still gets too little.",
    refuses=(
        Refusal({"oil": 0}, "oil must be above 0 m**3"),
        Refusal({"fuel": 0.00045, "oil": 0.018}, "fuel must be at least twice the oil"),
    ),
    thin="a definition; common practice only",
)  # fmt: skip
def oil_ratio(*, fuel: Real, oil: Real) -> dict[str, Outcome]:
    """What ratio an oil pump delivered, from the fuel and the oil that a run took.

    10 mL on 450 mL is 2.2 %; with oil known to 15 % or worse first-order propagation falls short.
    """
    if fuel < 2 * oil:
        raise OutOfRange(
            "fuel must be at least twice the oil ({}), or the two are exchanged; got {}",
            ("oil", oil), ("fuel", fuel),
        )  # fmt: skip
    return {"ratio": fuel / oil}


@declare(
    subject="fluids and electrics",
    title="Ratio of two mixes poured together",
    inputs=(
        Input(
            "fuel_a",
            "m**3",
            "fuel of the first mix",
            "10 L",
            _VOLUMES,
            at=0.01,
            u=0.0002,
            label="first fuel",
        ),
        Input(
            "ratio_a",
            "",
            "its fuel to oil: 50 for 50:1",
            "50",
            _RATIOS,
            at=50.0,
            label="first ratio",
        ),
        Input(
            "fuel_b",
            "m**3",
            "fuel of the second mix",
            "5 L",
            _VOLUMES,
            at=0.005,
            u=0.0002,
            label="second fuel",
        ),
        Input("ratio_b", "", "its fuel to oil", "32", _RATIOS, at=32.0, label="second ratio"),
    ),
    results=(Result("ratio", "", "fuel to oil of the whole"),),
    formula="(fuel_a + fuel_b)/(fuel_a/ratio_a + fuel_b/ratio_b)",
    source="definition of the ratio: fuel and oil add up",
    valid="Fuel without the oil in it; mix measured with its oil is 2 to 3 % off at 50:1 to 32:1.",
    harm="Ratios do not average: the mean of 50 and 32 errs to the side of less oil.",
    refuses=(
        Refusal({"fuel_a": 0, "fuel_b": 0}, "fuel_a and fuel_b must not both be 0"),
        Refusal({"ratio_a": 0.02}, "ratio_a must be from 5 to 1000"),
        Refusal({"fuel_b": -1}, "fuel_b must be from 0 m**3"),
    ),
    thin="a definition: fuel and oil add up",
)
def mixed_premix(*, fuel_a: Real, ratio_a: Real, fuel_b: Real, ratio_b: Real) -> dict[str, Outcome]:
    """What ratio comes out where two mixes of fuel and oil are poured together."""
    if not fuel_a + fuel_b > 0:
        raise OutOfRange("fuel_a and fuel_b must not both be {}", ("fuel_a", fuel_a))
    return {"ratio": (fuel_a + fuel_b) / (fuel_a / ratio_a + fuel_b / ratio_b)}


@declare(
    subject="fluids and electrics",
    title="Freezing point of the coolant",
    inputs=(
        Input("glycol_volume", "fraction", "ethylene glycol, by volume", "50 %",
              between(0, 0.6), at=0.475, u=0.01),
    ),
    results=(Result("freeze_point", "K", "where it begins to freeze", "degC"),),
    formula="straight lines between the rows of a table by volume",
    source="ASHRAE's table by volume as fitted in CoolProp 8.0.0 (AEG)",
    valid=(
        "Plain ethylene glycol, 0 to 60 % by volume; published values differ by +/- 3 K at 50 %, "
        "this table is on the warm, safe side: keep 5 K in hand all the same. 50 % by mass is 47 % "
        "by volume and freezes 4 K warmer."
    ),
    harm="A freezing point taken too low cracks a cylinder.",
    refuses=(
        Refusal({"glycol_volume": 0.61}, "glycol_volume must be from 0 to 0.6; got 0.61"),
        Refusal({"glycol_volume": 50}, "glycol_volume must be from 0 to 0.6; got 50"),
    ),
)  # fmt: skip
def coolant_freeze_point(*, glycol_volume: Real) -> dict[str, Outcome]:
    """Where a coolant of ethylene glycol and water begins to freeze."""
    return {"freeze_point": between_rows(GLYCOL_FREEZING, glycol_volume)}


@declare(
    subject="fluids and electrics",
    title="Coolant to draw off and replace",
    inputs=(
        Input("volume", "m**3", "coolant in the whole system", "4 L",
              above(0, 0.1), at=0.004, u=0.00005),
        Input("now", "fraction", "glycol in it now, by volume", "35 %",
              between(0, 1), at=0.35, u=0.01, label="glycol now"),
        Input("wanted", "fraction", "glycol that is wanted", "50 %", between(0, 1), at=0.5,
              label="glycol wanted"),
        Input("fresh", "fraction", "glycol in what is poured in", "100 %",
              between(0, 1), at=1.0, optional=True, default=1, label="glycol poured in"),
    ),
    results=(Result("draw_off", "m**3", "amount to let out and replace", "mL", "L"),),
    formula="volume (wanted - now)/(fresh - now)",
    source="balance of the glycol: what leaves, what stays, what is poured in",
    valid=(
        "Mixed through before it is let out, the level full before and after; volumes taken to add "
        "up. `fresh` 0 is water, to weaken it."
    ),
    harm="Topping up without letting out leaves it too weak: a cracked cylinder.",
    refuses=(
        Refusal({"wanted": 1, "fresh": 0.5}, "wanted must lie between now (0.35) and fresh (0.5)"),
        Refusal({"wanted": 0.2}, "wanted must lie between now (0.35) and fresh (1)"),
        Refusal({"fresh": 0.35, "wanted": 0.35}, "fresh must differ from now (0.35)"),
        Refusal({"now": 35}, "now must be from 0 to 1; got 35"),
        Refusal({"volume": 4}, "volume must be above 0 m**3, at most 0.1 m**3"),
    ),
)  # fmt: skip
def coolant_exchange(
    *, volume: Real, now: Real, wanted: Real, fresh: Real = 1
) -> dict[str, Outcome]:
    """How much coolant to let out and replace so that the whole has the wanted share of glycol."""
    if fresh == now:
        raise OutOfRange("fresh must differ from now ({}); got {}", ("now", now), ("fresh", fresh))
    if not min(now, fresh) <= wanted <= max(now, fresh):
        raise OutOfRange(
            "wanted must lie between now ({}) and fresh ({}); got {}",
            ("now", now), ("fresh", fresh), ("wanted", wanted),
        )  # fmt: skip
    return {"draw_off": volume * (wanted - now) / (fresh - now)}
