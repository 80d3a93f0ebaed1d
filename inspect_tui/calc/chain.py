"""The drive chain: wear, length and slack."""

from __future__ import annotations

import math

from inspect_tui.calc import input_checks as ranges
from inspect_tui.calc.input_checks import Real, refusing
from inspect_tui.calc.registry import Calculation, Input, Outcome, Result

MOST_LINKS = 10_000
FEWEST_TEETH, MOST_TEETH = 5, 1000


@refusing
def chain_elongation(*, pitch: Real, links: Real, measured: Real) -> dict[str, Outcome]:
    """How much a chain has grown by wear.

    elongation = (M/(N p) - 1) 100, in percent.

    Inputs: pitch p, m, of the new chain; links N, whole, that were measured over, better 12 than
    6; measured M, m, pin centre to pin centre under a light pull. Results: elongation, percent
    (a little below 0 is a new chain's tolerance, or a miscount).

    Valid for roller chain; an inverted-tooth (silent) chain wears by another rule: its maker's.
    Source: ASME B29.1 notes (from memory). Harm: one link miscounted hides or feigns all wear; 0.1
    mm over 190 mm is 0.05 % of elongation.

    Raises:
        ValueError: an input outside its range.
    """
    new = ranges.above("pitch", pitch, unit="m")
    count = ranges.whole("links", links, 1, MOST_LINKS)
    length = ranges.above("measured", measured, unit="m")
    return {"elongation": (length / (count * new) - 1) * 100}


@refusing
def chain_length(
    *, pitch: Real, teeth_a: Real, teeth_b: Real, centre_distance: Real
) -> dict[str, Outcome]:
    """How many links a chain over two sprockets needs.

    X = 2 a/p + (z1 + z2)/2 + ((z2 - z1)/(2 pi))^2 p/a.

    Inputs: pitch p, m; teeth_a z1 and teeth_b z2, whole, 5 to 1000; centre_distance a, m. Results:
    links, exact (not whole); links_even, the next even number, which needs no half link.

    Valid where the sprockets do not touch; the last term is an approximation, good to 0.01 links
    at the ratios of a chaincase. Source: Machinery's Handbook, "Transmission Roller Chain"; Shigley
    ch. 17 (from memory); Bhandari examples 14.3 and 14.4. Harm: a chain one pair of links short
    will not go on, one long eats the tensioner's travel.

    Raises:
        ValueError: an input outside its range, or sprockets that overlap.
    """
    step = ranges.above("pitch", pitch, unit="m")
    first = ranges.whole("teeth_a", teeth_a, FEWEST_TEETH, MOST_TEETH)
    second = ranges.whole("teeth_b", teeth_b, FEWEST_TEETH, MOST_TEETH)
    centre = ranges.above("centre_distance", centre_distance, unit="m")
    radii = sum(float(step) / math.sin(math.pi / teeth) / 2 for teeth in (first, second))
    if not centre >= radii:
        raise ValueError(
            f"centre_distance must be at least {ranges.said(radii, 'm')}, where the two sprockets "
            f"would touch; got {ranges.said(centre_distance, 'm')}"
        )
    links: Real = 2 * centre / step + ranges.number("teeth", first + second) / 2
    if first != second:
        links = float(links) + ((second - first) / (2 * math.pi)) ** 2 * float(step / centre)
    if links > MOST_LINKS:
        raise ValueError(
            f"centre_distance must give a chain of at most {MOST_LINKS} links; "
            f"got {ranges.said(centre_distance, 'm')}"
        )
    return {"links": links, "links_even": 2 * math.ceil(links / 2 - 1e-9)}


@refusing
def chain_sag(*, span: Real, slack: Real) -> dict[str, Outcome]:
    """Slack of a chain in percent of its span.

    percent = slack/span 100.

    Inputs: span, m, free length between the sprockets (about the centre distance); slack, m, whole
    movement at mid span from one side to the other, at the tightest spot of the chain. Results:
    percent.

    Valid for a slack up to the span itself. How much is right differs with the drive and from book
    to book, so that the limit belongs to the machine's sheet. Source: common practice. Harm: a
    chain judged slack at its loosest spot gets too tight at its tightest, which kills bearings.

    Raises:
        ValueError: an input outside its range.
    """
    free = ranges.above("span", span, unit="m")
    movement = ranges.at_least("slack", slack, unit="m")
    if movement > free:
        raise ValueError(
            f"slack must be at most the span ({ranges.said(span, 'm')}); "
            f"got {ranges.said(slack, 'm')}"
        )
    return {"percent": movement / free * 100}


_PITCH = Input("pitch", "m", "pitch of the new chain", "9.525 mm")

CHAIN_ELONGATION = Calculation(
    name="chain_elongation",
    subject="drive",
    title="Chain wear",
    inputs=(
        _PITCH,
        Input("links", "", "links measured over", "12"),
        Input("measured", "m", "length, pin centre to pin centre, pulled taut", "115.5 mm"),
    ),
    results=(Result("elongation", "percent", "growth against the new chain"),),
    function=chain_elongation,
    formula="(M/(N p) - 1) 100",
    source="ASME B29.1 notes (from memory)",
    valid="Roller chain, six links or more; a silent (inverted-tooth) chain has its maker's rule.",
    harm="One link miscounted hides or feigns all wear.",
)

CHAIN_LENGTH = Calculation(
    name="chain_length",
    subject="drive",
    title="Links of a chain over two sprockets",
    inputs=(
        _PITCH,
        Input("teeth_a", "", "teeth of one sprocket", "22"),
        Input("teeth_b", "", "teeth of the other sprocket", "39"),
        Input("centre_distance", "m", "distance between the shafts", "180 mm"),
    ),
    results=(
        Result("links", "", "links that come out, exact"),
        Result("links_even", "", "next even number of links"),
    ),
    function=chain_length,
    formula="X = 2 a/p + (z1 + z2)/2 + ((z2 - z1)/(2 pi))^2 p/a",
    source="Machinery's Handbook; Shigley ch. 17 (from memory); Bhandari ex. 14.3, 14.4",
    valid="Sprockets that do not touch, 5 to 1000 teeth.",
    harm="Too short will not go on; too long eats the tensioner's travel.",
)

CHAIN_SAG = Calculation(
    name="chain_sag",
    subject="drive",
    title="Chain slack in percent of the span",
    inputs=(
        Input("span", "m", "free length between the sprockets", "180 mm"),
        Input("slack", "m", "whole movement at mid span, tightest spot", "7 mm"),
    ),
    results=(Result("percent", "percent", "slack over span"),),
    function=chain_sag,
    formula="slack/span 100",
    source="common practice",
    valid="Slack up to the span; the limit belongs to the machine's sheet.",
    harm="Judged at its loosest spot, the chain gets too tight at its tightest.",
)
