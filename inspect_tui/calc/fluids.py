"""Oil in the fuel, and what freezes when: coolant and battery acid."""

from __future__ import annotations

from bisect import bisect_right
from fractions import Fraction

from inspect_tui.calc import input_checks as ranges
from inspect_tui.calc.input_checks import Real, refusing
from inspect_tui.calc.registry import Calculation, Input, Outcome, Result

LEANEST_OIL = 1000
"""Fuel to oil; nothing runs on less oil than that."""

_ZERO_CELSIUS = Fraction(27315, 100)

GLYCOL_FREEZING = tuple(
    (Fraction(percent, 100), Fraction(celsius))
    for percent, celsius in (
        (0, "0"),
        (10, "-3.6"),
        (15, "-6.2"),
        (20, "-9.0"),
        (25, "-12.1"),
        (30, "-15.7"),
        (35, "-19.9"),
        (40, "-24.8"),
        (45, "-30.5"),
        (50, "-37.1"),
        (55, "-44.4"),
        (60, "-52.0"),
    )
)
"""Ethylene glycol, fraction by volume, against the freezing point in degC: ASHRAE's table as fitted
in CoolProp 8.0.0 (AEG), rounded to 0.1."""

ACID_FREEZING = tuple(
    (Fraction(gravity), (Fraction(fahrenheit) - 32) * Fraction(5, 9))
    for gravity, fahrenheit in (
        ("1.000", 32),
        ("1.100", 19),
        ("1.150", 5),
        ("1.200", -16),
        ("1.250", -62),
        ("1.280", -90),
    )
)
"""Lead-acid electrolyte, specific gravity against the freezing point in degC: US Army Ordnance
course OD1002 (printed in degF); US Army TM 5-1185 prints the same."""


def _between_rows(table: tuple[tuple[Fraction, Fraction], ...], at: Real) -> Real:
    """The table's value in K, on the straight line between its neighbours."""
    places = [place for place, _ in table]
    right = min(max(bisect_right(places, at), 1), len(table) - 1)
    (low, start), (high, end) = table[right - 1], table[right]
    return _ZERO_CELSIUS + start + (end - start) * (at - low) / (high - low)


@refusing
def oil_for_fuel(*, fuel: Real, ratio: Real) -> dict[str, Outcome]:
    """Oil to mix into an amount of fuel.

    oil = fuel/ratio.

    Inputs: fuel, m3, 0 or more, without the oil; ratio, fuel to oil, 1 to 1000 (50 for 50:1).
    Results: oil, m3.

    Exact. 50:1 is fuel to oil, not the whole to oil. Source: definition. Harm: too little oil
    seizes; too much also leans the mixture a little and fouls plugs.

    Raises:
        ValueError: an input outside its range.
    """
    amount = ranges.at_least("fuel", fuel, unit="m**3")
    parts = ranges.between("ratio", ratio, 1, LEANEST_OIL)
    return {"oil": amount / parts}


@refusing
def oil_ratio(*, fuel: Real, oil: Real) -> dict[str, Outcome]:
    """What ratio an oil pump delivered, from the fuel and the oil that a run took.

    ratio = fuel/oil.

    Inputs: fuel, m3, and oil, m3, both used over the same run, above 0. Results: ratio, fuel to
    oil.

    An average: injection pumps vary with throttle and speed, so that it shows gross errors only.
    10 mL on 450 mL is 2.2 %; with oil known to 15 % or worse first-order propagation falls short.
    Source: definition. Harm: a ratio that looks rich in oil may hide a leak, and the engine still
    gets too little.

    Raises:
        ValueError: an input that is not above 0.
    """
    used = ranges.above("fuel", fuel, unit="m**3")
    taken = ranges.above("oil", oil, unit="m**3")
    return {"ratio": used / taken}


@refusing
def coolant_freeze_point(*, glycol_volume: Real) -> dict[str, Outcome]:
    """Where a coolant of ethylene glycol and water begins to freeze.

    Straight lines between the rows of a table by volume.

    Inputs: glycol_volume, fraction by volume, 0 to 0.6. Results: freeze_point, K.

    Valid for plain ethylene glycol; between rows within 0.2 K of the table. Published values differ
    by +/- 3 K at 50 %, and this table is on the warm, safe side: keep 5 K in hand all the same. 50
    % by mass is 47 % by volume and freezes 4 K warmer. Source: ASHRAE's table by volume as fitted
    in CoolProp 8.0.0 (AEG). Harm: a freezing point taken too low cracks a cylinder.

    Raises:
        ValueError: glycol_volume outside its range.
    """
    part = ranges.between("glycol_volume", glycol_volume, 0, Fraction(6, 10))
    return {"freeze_point": _between_rows(GLYCOL_FREEZING, part)}


@refusing
def electrolyte_freeze_point(*, specific_gravity: Real) -> dict[str, Outcome]:
    """Where the acid of a lead-acid battery freezes.

    Straight lines between the rows of a table.

    Inputs: specific_gravity at 80 degF (27 degC), 1.00 to 1.28. Results: freeze_point, K.

    Valid for lead-acid with free acid, not for lithium; +/- 3 K, as published tables differ.
    Source: US Army Ordnance course OD1002; US Army TM 5-1185. Harm: a discharged battery freezes;
    a frozen one must thaw before it is charged or jumped.

    Raises:
        ValueError: specific_gravity outside its range.
    """
    gravity = ranges.between("specific_gravity", specific_gravity, 1, Fraction(128, 100))
    return {"freeze_point": _between_rows(ACID_FREEZING, gravity)}


OIL_FOR_FUEL = Calculation(
    name="oil_for_fuel",
    subject="engine",
    title="Oil to mix into the fuel",
    inputs=(
        Input("fuel", "m**3", "fuel without the oil", "20 L"),
        Input("ratio", "", "fuel to oil: 50 for 50:1", "50"),
    ),
    results=(Result("oil", "m**3", "oil to add", "mL"),),
    function=oil_for_fuel,
    formula="oil = fuel/ratio",
    source="definition",
    valid="Ratios from 1 to 1000; fuel to oil, not the whole to oil.",
    harm="Too little oil seizes.",
)

OIL_RATIO = Calculation(
    name="oil_ratio",
    subject="engine",
    title="Ratio that an oil pump delivered",
    inputs=(
        Input("fuel", "m**3", "fuel used over the run", "18 L"),
        Input("oil", "m**3", "oil used over the same run", "0.45 L"),
    ),
    results=(Result("ratio", "", "fuel to oil"),),
    function=oil_ratio,
    formula="ratio = fuel/oil",
    source="definition",
    valid="An average over the run: it shows gross errors only.",
    harm="A leak of oil looks like good lubrication.",
)

COOLANT_FREEZE_POINT = Calculation(
    name="coolant_freeze_point",
    subject="engine",
    title="Freezing point of the coolant",
    inputs=(Input("glycol_volume", "fraction", "ethylene glycol, by volume", "50 %"),),
    results=(Result("freeze_point", "K", "where it begins to freeze", "degC"),),
    function=coolant_freeze_point,
    formula="straight lines between the rows of a table by volume",
    source="ASHRAE's table by volume as fitted in CoolProp 8.0.0 (AEG)",
    valid="Plain ethylene glycol, 0 to 60 % by volume; published values differ by +/- 3 K.",
    harm="A freezing point taken too low cracks a cylinder.",
)

ELECTROLYTE_FREEZE_POINT = Calculation(
    name="electrolyte_freeze_point",
    subject="engine",
    title="Freezing point of the battery's acid",
    inputs=(Input("specific_gravity", "", "hydrometer reading, lead-acid", "1.20"),),
    results=(Result("freeze_point", "K", "where it freezes", "degC"),),
    function=electrolyte_freeze_point,
    formula="straight lines between the rows of a table",
    source="US Army Ordnance course OD1002; US Army TM 5-1185",
    valid="Lead-acid, 1.00 to 1.28 at 27 degC; +/- 3 K. Not for lithium.",
    harm="Never charge or jump a frozen battery: thaw it first.",
)
