"""The battery's acid and the resistance of a winding."""

from __future__ import annotations

from fractions import Fraction

from inspect_tui.calc.fluids import between_rows
from inspect_tui.calc.input_checks import OutOfRange, Real, between
from inspect_tui.calc.registry import Input, Outcome, Refusal, Result, declare

_ZERO_CELSIUS = Fraction(27315, 100)
_ROOM = Fraction(29315, 100)
"""K, 20 degC."""
_ACID_AT = _ZERO_CELSIUS + (80 - 32) * Fraction(5, 9)
"""K, 80 degF, at which a lead-acid battery's specific gravity is stated."""
_PER_KELVIN = Fraction(4, 1000) / 10 * Fraction(9, 5)
"""0.004 for each 10 degF."""
_ACIDS = between(233.15, 333.15)
"""K: -40 degC, where a weak acid is ice, to 60 degC."""

ACID_FREEZING = tuple(
    (Fraction(gravity), (Fraction(fahrenheit) - 32) * Fraction(5, 9))
    for gravity, fahrenheit in (
        ("1.000", 32), ("1.100", 19), ("1.150", 5), ("1.200", -16), ("1.250", -62),
        ("1.280", -90),
    )
)  # fmt: skip
"""Lead-acid electrolyte, specific gravity against the freezing point in degC: US Army Ordnance
course OD1002 (printed in degF); US Army TM 5-1185 prints the same."""


def _at_80_fahrenheit(specific_gravity: Real, temperature: Real) -> Real:
    """What the hydrometer would show at 80 degF."""
    return specific_gravity + _PER_KELVIN * (temperature - _ACID_AT)


@declare(
    subject="fluids and electrics",
    title="Hydrometer reading brought to 80 degF",
    inputs=(
        Input("specific_gravity", "", "hydrometer reading, lead-acid", "1.20",
              between(1, 1.35), at=1.225, u=0.005),
        Input("temperature", "K", "of the acid when it was read", "0 degC",
              _ACIDS, at=278.15, u=1.0),
    ),
    results=(Result("specific_gravity", "", "what it would show at 80 degF (27 degC)"),),
    formula="specific_gravity + 0.004 (t - 80 degF)/(10 degF)",
    source="trade rule of 0.004 for each 10 degF above 80 degF (US Army TM 9-6140 and others)",
    valid="Lead-acid with free acid, -40 degC to 60 degC; the rule is good to 0.002.",
    harm="Cold acid reads high: uncorrected, an empty battery passes for a charged one.",
    refuses=(
        Refusal({"specific_gravity": 1225}, "specific_gravity must be from 1 to 1.35; got 1225"),
        Refusal({"temperature": 20}, "temperature must be from 233.15 K"),
    ),
)  # fmt: skip
def electrolyte_density(*, specific_gravity: Real, temperature: Real) -> dict[str, Outcome]:
    """What a hydrometer would show with the acid at 80 degF, where its figures are stated."""
    return {"specific_gravity": _at_80_fahrenheit(specific_gravity, temperature)}


@declare(
    subject="fluids and electrics",
    title="Freezing point of the battery's acid",
    inputs=(
        Input("specific_gravity", "", "hydrometer reading, lead-acid", "1.20",
              between(1, 1.28), at=1.225, u=0.005),
        Input("temperature", "K", "of the acid when it was read", "0 degC",
              _ACIDS, at=299.0, u=1.0, optional=True, default=_ACID_AT),
    ),
    results=(Result("freeze_point", "K", "where it freezes", "degC"),),
    formula="reading brought to 80 degF, then straight lines between the rows of a table",
    source="US Army Ordnance course OD1002; US Army TM 5-1185",
    valid=(
        "Lead-acid with free acid, not lithium; +/- 3 K, as published tables differ. Brought below "
        "1.00 it counts as water, above 1.28 as 1.28."
    ),
    harm="A discharged battery freezes; a frozen one must thaw before it is charged or jumped.",
    refuses=(
        Refusal({"specific_gravity": 1.3}, "specific_gravity must be from 1 to 1.28; got 1.3"),
        Refusal({"temperature": 80}, "temperature must be from 233.15 K"),
    ),
)  # fmt: skip
def electrolyte_freeze_point(
    *, specific_gravity: Real, temperature: Real = _ACID_AT
) -> dict[str, Outcome]:
    """Where the acid of a lead-acid battery freezes."""
    gravity = _at_80_fahrenheit(specific_gravity, temperature)
    inside = min(max(gravity, ACID_FREEZING[0][0]), ACID_FREEZING[-1][0])
    return {"freeze_point": between_rows(ACID_FREEZING, inside)}


@declare(
    subject="fluids and electrics",
    title="Resistance of a copper winding at a reference temperature",
    inputs=(
        Input("resistance", "ohm", "what the meter shows", "0.42 ohm",
              between(0, 10_000_000), at=0.42, u=0.005),
        Input("temperature", "K", "of the winding when it was read", "-5 degC",
              between(213.15, 523.15), at=268.15, u=1.0),
        Input("leads", "ohm", "what the meter shows with its tips together", "0.12 ohm",
              between(0, 100), at=0.12, u=0.005, optional=True, default=0),
        Input("reference", "K", "temperature that the sheet's figure is for", "20 degC",
              between(213.15, 523.15), at=293.15, optional=True, default=_ROOM),
    ),
    results=(Result("resistance", "ohm", "at the reference temperature, without the leads"),),
    formula="(resistance - leads) (234.5 + t_reference)/(234.5 + t), t in degC",
    source="IEC 60034 and IEEE 118 practice for copper, 234.5 (IEC 60034-1 prints 235)",
    valid="Copper, the whole winding at one temperature, -60 degC to 250 degC; 0.39 % a degree.",
    harm="A coil read cold seems short of turns, one read hot seems sound when it is not.",
    refuses=(
        Refusal({"leads": 0.5}, "leads must be at most the resistance (0.42 ohm); got 0.5 ohm"),
        Refusal({"resistance": -1}, "resistance must be from 0 ohm"),
        Refusal({"temperature": 20}, "temperature must be from 213.15 K"),
    ),
)  # fmt: skip
def winding_resistance(
    *, resistance: Real, temperature: Real, leads: Real = 0, reference: Real = _ROOM
) -> dict[str, Outcome]:
    """What a copper winding would measure at the temperature that its figure is stated for."""
    if leads > resistance:
        raise OutOfRange(
            "leads must be at most the resistance ({}); got {}",
            ("resistance", resistance), ("leads", leads),
        )  # fmt: skip
    zero = _ZERO_CELSIUS - Fraction(469, 2)
    return {"resistance": (resistance - leads) * (reference - zero) / (temperature - zero)}
