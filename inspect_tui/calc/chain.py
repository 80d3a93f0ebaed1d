"""The drive chain: pitch, wear, length and slack."""

from __future__ import annotations

import math
from fractions import Fraction

from inspect_tui.calc.input_checks import OutOfRange, Range, Real, above, between, whole
from inspect_tui.calc.registry import Input, Outcome, Refusal, Result, declare

TEETH = whole(5, 200)
"""Of a sprocket."""

_PITCHES = between(0.001, 0.2)
"""m."""
_PITCH = Input("pitch", "m", "pitch of the new chain", "9.525 mm", _PITCHES, at=0.009525)
_ELONGATIONS = between(-1, 10)
"""Percent; beyond it the links were miscounted: one of a dozen is 8 %."""

PRINTED = ("25", "35", "40", "41", "50", "60", "80", "100", "120", "140", "160", "180", "200",
           "240")  # fmt: skip
"""Numbers of ASME B29.1: the last figure is the kind (0 usual, 1 light, 5 without rollers), those
before it the pitch in eighths of an inch."""


@declare(
    subject="drive",
    title="Pitch of a chain from its number",
    inputs=(
        Input("number", None, "ASME number on the plates", "35", at="35", choices=PRINTED),
    ),
    results=(Result("pitch", "m", "pitch", "mm"),),
    formula="figures before the last one, in eighths of an inch",
    source="ASME B29.1, numbering of roller chain",
    valid=(
        "Roller chain of ASME B29.1; the British sizes of ISO 606 and silent (inverted-tooth) "
        "chain have numbers of their own."
    ),
    harm="The same pitch does not mean that chains fit: 41 has narrower rollers than 40.",
    refuses=(Refusal({"number": "37"}, "number must be '25' or '35'"),),
)  # fmt: skip
def chain_pitch(*, number: str) -> dict[str, Outcome]:
    """The pitch that the number on a roller chain stands for."""
    return {"pitch": Fraction(number[:-1]) * Fraction(254, 80_000)}


@declare(
    subject="drive",
    title="Chain wear",
    inputs=(
        _PITCH,
        Input("links", "", "links measured over, better 12 than 6", "12", whole(1, 500), at=20),
        Input("measured", "m", "length, pin centre to pin centre, pulled taut", "115.5 mm",
              above(0, 10), at=0.1922, u=0.0001),
    ),
    results=(
        Result("elongation", "percent", "growth against the new chain (a little below 0 is a new "
               "chain's tolerance)"),
    ),
    formula="(M/(N p) - 1) 100",
    source="ASME B29.1 notes (from memory)",
    valid=(
        "Roller chain, -1 % to 10 %: beyond it the links were miscounted; a silent "
        "(inverted-tooth) chain has its maker's rule."
    ),
    harm="One link miscounted hides or fakes all wear; 0.1 mm over 190 mm is 0.05 %.",
    refuses=(
        Refusal({"measured": 0.21}, "links must be miscounted or pitch another chain's"),
        Refusal({"measured": 0.1885}, "links must be miscounted"),
        Refusal({"measured": 1.924}, "links must be miscounted"),
        Refusal({"links": 0}, "links must be a whole number from 1 to 500; got 0"),
        Refusal({"links": 6.5}, "links must be a whole number"),
        Refusal({"pitch": 0}, "pitch must be from 0.001 m"),
        Refusal({"measured": 0}, "measured must be above 0 m"),
    ),
    thin="arithmetic; the wear limits are from memory",
)  # fmt: skip
def chain_elongation(*, pitch: Real, links: int, measured: Real) -> dict[str, Outcome]:
    """How much a chain has grown by wear."""
    percent = (measured / (links * pitch) - 1) * 100
    _within(percent, _ELONGATIONS)
    return {"elongation": percent}


def _within(percent: Real, allowed: Range) -> None:
    noise = Fraction(1, 10**9)
    if not allowed.low - noise <= percent <= allowed.high + noise:
        raise OutOfRange(
            "links must be miscounted or pitch another chain's, since measured would be {} of "
            "elongation; it is from {} to {}",
            ("elongation", percent), ("elongation", allowed.low), ("elongation", allowed.high),
        )  # fmt: skip


@declare(
    subject="drive",
    title="How far a chain may wear",
    inputs=(
        Input("teeth", "", "teeth of the largest sprocket that it runs on", "39", TEETH, at=39),
    ),
    results=(Result("percent", "percent", "elongation at which the chain is done"),),
    formula="200/teeth, at most 3",
    source="ASME B29.1 notes; ACA practice for large sprockets (from memory)",
    valid=(
        "Roller chain on sprockets that can be moved; with fixed centres half of it is the usual "
        "limit, and the sheet's figure goes first."
    ),
    harm="A worn chain climbs the teeth of a large sprocket and jumps.",
    refuses=(
        Refusal({"teeth": 4}, "teeth must be a whole number from 5 to 200; got 4"),
        Refusal({"teeth": 22.5}, "teeth must be a whole number"),
    ),
)  # fmt: skip
def chain_elongation_limit(*, teeth: int) -> dict[str, Outcome]:
    """The elongation from which a chain rides so high on its largest sprocket that it jumps."""
    return {"percent": min(Fraction(200, teeth), Fraction(3))}


@declare(
    subject="drive",
    title="Links of a chain over two sprockets",
    inputs=(
        _PITCH,
        Input("teeth_a", "", "teeth of one sprocket", "22", TEETH, at=22),
        Input("teeth_b", "", "teeth of the other sprocket", "39", TEETH, at=39),
        Input("centre_distance", "m", "distance between the shafts", "180 mm",
              above(0, 5), at=0.18, u=0.0005),
    ),
    results=(
        Result("links", "", "links that come out, exact (not whole)", sane=between(5, 5000)),
        Result("links_even", "", "next even number of links, which needs no half link",
               propagates=False),
    ),
    formula="X = 2 a/p + (z1 + z2)/2 + ((z2 - z1)/(2 pi))^2 p/a",
    source=(
        "Machinery's Handbook, Transmission Roller Chain; Shigley ch. 17 (from memory); Bhandari "
        "examples 14.3 and 14.4"
    ),
    valid="Sprockets that do not touch, 5 to 200 teeth; good to 0.01 links in a chaincase.",
    harm="A chain one pair short will not go on; one long eats the tensioner's travel.",
    refuses=(
        Refusal({"teeth_a": 4}, "teeth_a must be a whole number from 5 to 200; got 4"),
        Refusal({"teeth_b": 22.5}, "teeth_b must be a whole number"),
        Refusal({"centre_distance": 0.09}, "two sprockets would touch"),
        Refusal({"pitch": 0}, "pitch must be from 0.001 m"),
    ),
)  # fmt: skip
def chain_length(
    *, pitch: Real, teeth_a: int, teeth_b: int, centre_distance: Real
) -> dict[str, Outcome]:
    """How many links a chain over two sprockets needs."""
    radii = sum(float(pitch) / math.sin(math.pi / teeth) / 2 for teeth in (teeth_a, teeth_b))
    if not centre_distance >= radii:
        raise OutOfRange(
            "centre_distance must be at least {}, where the two sprockets would touch; got {}",
            ("centre_distance", radii), ("centre_distance", centre_distance),
        )  # fmt: skip
    links: Real = 2 * centre_distance / pitch + Fraction(teeth_a + teeth_b, 2)
    if teeth_a != teeth_b:
        share = ((teeth_b - teeth_a) / (2 * math.pi)) ** 2
        links = float(links) + share * float(pitch / centre_distance)
    return {"links": links, "links_even": 2 * math.ceil(links / 2 - 1e-9)}


@declare(
    subject="drive",
    title="Chain slack in percent of the span",
    inputs=(
        Input("span", "m", "free length between the sprockets, about the centre distance",
              "180 mm", above(0, 5), at=0.18, u=0.001),
        Input("slack", "m", "whole movement at mid span, side to side, at the tightest spot",
              "7 mm", between(0, 5), at=0.007, u=0.0005),
    ),
    results=(Result("percent", "percent", "slack over span"),),
    formula="slack/span 100",
    source="common practice",
    valid=(
        "Slack up to half the span. How much is right differs with the drive and from book to "
        "book: the limit belongs to the machine's sheet."
    ),
    harm="Judged at its loosest spot, the chain gets too tight at its tightest: bearings go.",
    refuses=(
        Refusal({"span": 0}, "span must be above 0 m"),
        Refusal({"slack": -0.001}, "slack must be from 0 m"),
        Refusal({"slack": 0.1}, "slack must be at most half the span (0.09 m); got 0.1 m"),
    ),
    thin="arithmetic; the books differ, so that the limit is the sheet's",
)  # fmt: skip
def chain_sag(*, span: Real, slack: Real) -> dict[str, Outcome]:
    """Slack of a chain in percent of its span."""
    if slack * 2 > span:
        raise OutOfRange(
            "slack must be at most half the span ({}); got {}",
            ("span", span / 2), ("slack", slack),
        )  # fmt: skip
    return {"percent": slack / span * 100}
