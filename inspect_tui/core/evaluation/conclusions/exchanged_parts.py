"""Parts exchanged between cylinders, over all steps of a session in one phase.

What the sheet gives each cylinder (jets, needles, clip, bodies, measured settings) is held against
what was found, together: first everything of the carburettors as one row, since exchanged whole
they are one finding; where that doesn't fit, each step by itself, and where its parts contradict
each other, each part. Steps that tell of the same exchange are one finding. Where the machine has a
jet chart, its band for the session's air is what is right, not the base figure.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Container, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from inspect_tui.calc.exchange import (
    TOWARDS_OF_ALL,
    Attribute,
    Cell,
    Exchange,
    Order,
    contradicts,
    find_exchange,
    misfits,
    tells_apart,
)
from inspect_tui.core.evaluation.air.chart_settings import lookup_by_chart, settings_of_chart
from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.expressions.expression import Expression, Missing, Name, Value
from inspect_tui.core.model.checklist import Reading, Step
from inspect_tui.core.model.log_entry import AS_FOUND, Phase
from inspect_tui.core.quantities import units
from inspect_tui.core.quantities.units import Quantity
from inspect_tui.core.session.replay import ReadingKey
from inspect_tui.core.text.formatting import format_value, join_words
from inspect_tui.core.text.stamps import stamp_key
from inspect_tui.errors import InspectError

_NUMBER = re.compile(r"[0-9]{1,12}(\.[0-9]{1,12})?")
_CARBURETTORS = re.compile(
    r"(^|_)(carb\w*|body|bodies|\w*jet|needle|clip|slide|cutaway|float|air_?screw|pilot)(_|$)"
)
"""Figures that belong to a carburettor, by the words that a sheet calls them with."""


@dataclass(frozen=True, slots=True)
class ExchangedParts:
    """Parts that look exchanged."""

    step: str
    """The first one that tells of it; the finding is filed there."""
    text: str
    evidence: tuple[str, ...]
    keys: tuple[ReadingKey, ...]
    by_chart: bool
    """Whether it rests on the jet chart's band, and so on the air."""
    moved: frozenset[str]
    """The cylinders whose parts they are."""


@dataclass(frozen=True, slots=True)
class _Part:
    """One reading of every cylinder that the sheet has a figure for."""

    step: Step
    reading: Reading
    attribute: Attribute
    keys: tuple[ReadingKey, ...]
    shown: tuple[tuple[str, str], ...]
    """By cylinder: what was found and what the sheet says, as written there."""
    of_carburettor: bool
    by_chart: bool

    @property
    def telling(self) -> bool:
        """Whether the sheet gives any two cylinders different figures."""
        order = (*range(1, len(self.attribute.sheet)), 0)
        return tells_apart(self.attribute, order)


@dataclass(frozen=True, slots=True)
class _Claim:
    """An exchange and the parts that tell of it."""

    exchange: Exchange
    parts: tuple[_Part, ...]
    whole: bool = False
    """Whether it is the carburettors themselves."""


def exchanged_parts(
    evaluation: Evaluator, phase: Phase, needed: Container[str]
) -> tuple[ExchangedParts, ...]:
    """What looks exchanged, by what stands in a phase; one finding a step at most.

    Args:
        evaluation: Of the session as it stands.
        phase: As found or as left.
        needed: The steps that this machine needs.
    """
    cylinders = evaluation.machine.cylinders
    if len(cylinders) < 2:
        return ()
    parts = [
        part
        for step, reading, side in evaluation.definitions.figures_by_cylinder
        if step.id in needed and (part := _part(evaluation, step, reading, side, phase)) is not None
    ]
    filed: dict[str, ExchangedParts] = {}
    for claim in _claims(parts):
        told = _told(claim, parts, cylinders)
        before = filed.get(told.step)
        filed[told.step] = told if before is None else _in_one(before, told)
    return tuple(filed.values())


def _in_one(one: ExchangedParts, other: ExchangedParts) -> ExchangedParts:
    return ExchangedParts(
        one.step, f"{one.text} {other.text}", (*one.evidence, *other.evidence),
        tuple(dict.fromkeys((*one.keys, *other.keys))), one.by_chart or other.by_chart,
        one.moved | other.moved,
    )  # fmt: skip


def _claims(parts: Sequence[_Part]) -> list[_Claim]:
    telling = [part for part in parts if part.telling]
    whole = _whole([part for part in telling if part.of_carburettor])
    rest = telling
    claims: list[_Claim] = []
    if whole is not None:
        claims.append(whole)
        rest = [part for part in telling if part not in whole.parts]
    for step in dict.fromkeys(part.step.id for part in rest):
        claims += _of_step([part for part in rest if part.step.id == step])
    merged: dict[tuple[Order, bool], _Claim] = {}
    for claim in claims:
        key = claim.exchange.order, claim.whole
        before = merged.get(key)
        merged[key] = claim if before is None else _together(before, claim)
    return list(merged.values())


def _together(one: _Claim, other: _Claim) -> _Claim:
    differing = tuple(sorted({*one.exchange.differing, *other.exchange.differing}))
    return _Claim(Exchange(one.exchange.order, differing), (*one.parts, *other.parts), one.whole)


def _whole(parts: Sequence[_Part]) -> _Claim | None:
    """All parts of the carburettors as one row, if no step contradicts it."""
    steps = dict.fromkeys(part.step.id for part in parts)
    if len(steps) < 2:
        return None
    found = find_exchange([part.attribute for part in parts], TOWARDS_OF_ALL)
    if found is None:
        return None
    agree = _agreeing(parts, found.order)
    if len({part.step.id for part in agree}) < 2:
        return None  # one step alone tells of it: that is its parts, for all one knows
    for step in steps:
        of_step = [part.attribute for part in parts if part.step.id == step]
        if contradicts(of_step, found.order, len(steps)):
            return None
    return _Claim(found, agree, whole=True)


def _of_step(parts: Sequence[_Part]) -> list[_Claim]:
    """One step's parts together, else each by itself."""
    found = find_exchange([part.attribute for part in parts])
    if found is not None:
        return [_Claim(found, _agreeing(parts, found.order))]
    if len(parts) == 1:
        return []
    claims = []
    for part in parts:
        alone = find_exchange([part.attribute])
        if alone is not None:
            claims.append(_Claim(alone, (part,)))
    return claims


def _agreeing(parts: Iterable[_Part], order: Order) -> tuple[_Part, ...]:
    return tuple(part for part in parts if tells_apart(part.attribute, order))


# --- what was found and what the sheet says --------------------------------------------------


def _part(
    evaluation: Evaluator, step: Step, reading: Reading, side: Expression, phase: Phase
) -> _Part | None:
    """A reading held against the chart's band where there is one, else against the base figures.

    Parts that are neither as the chart says nor exchanged by it may still be the base figures'
    parts, exchanged: the machine was jetted for other air.
    """
    places = [(step.id, reading.id, cylinder) for cylinder in evaluation.machine.cylinders]
    if any(evaluation.is_half_left(place) for place in places):
        phase = AS_FOUND  # until all that the setting moves is measured again
    keys: list[ReadingKey] = []
    for place in places:
        key = evaluation.key(place, phase)
        if key is None:
            return None  # it waits for every cylinder
        keys.append(key)
    reads_chart = any(name.where == "chart" for name in side.names)
    base = _held(
        evaluation, step, reading, side, keys, lambda c: evaluation.lookup(c, phase), reads_chart
    )  # fmt: skip
    settings = settings_of_chart(evaluation, phase)
    if not any(name.where == "spec" and name.id in settings for name in side.names):
        return base
    charted = _held(
        evaluation, step, reading, side, keys, lambda c: lookup_by_chart(evaluation, c, phase), True
    )  # fmt: skip
    if charted is None or base is None:
        return charted or base
    nobody = tuple(range(len(keys)))
    if not misfits(charted.attribute, nobody) or find_exchange([charted.attribute]) is not None:
        return charted
    exchanged = find_exchange([base.attribute]) is not None
    return base if exchanged or not misfits(base.attribute, nobody) else charted


def _held(
    evaluation: Evaluator,
    step: Step,
    reading: Reading,
    side: Expression,
    keys: Sequence[ReadingKey],
    look: Callable[[str], Callable[[Name], Value | Missing]],
    by_chart: bool,
) -> _Part | None:
    """What was found against one set of figures; None where a figure is missing."""
    row = [evaluation.measured(key) for key in keys]
    unit = evaluation.units[step.id, reading.id]
    sheet: list[Cell] = []
    shown: list[tuple[str, str]] = []
    for cylinder, measured in zip(evaluation.machine.cylinders, row, strict=True):
        value = side.evaluate(look(cylinder))
        if isinstance(value, Missing | tuple):
            return None
        try:
            own = units.number_in(value, unit) if isinstance(value, Quantity) else value
        except InspectError:
            return None
        sheet.append(_cell(own))
        shown.append((_show(measured.number, reading), _show(own, reading)))
    found = tuple(_cell(measured.number) for measured in row)
    one_gauge = len({measured.gauge for measured in row}) == 1
    own_parts = [
        m.uncorrelated if one_gauge else math.hypot(m.uncorrelated, m.error.common) for m in row
    ]
    largest = max(own_parts)
    common = max(m.error.common for m in row) if one_gauge else 0.0
    uncertainties = tuple(u or largest for u in own_parts) if largest else ()
    return _Part(
        step, reading, Attribute(found, tuple(sheet), uncertainties, common if largest else 0.0),
        tuple(keys), tuple(shown), is_of_carburettor(side), by_chart,
    )  # fmt: skip


def is_of_carburettor(side: Expression) -> bool:
    """Whether one side of a limit is a figure that belongs to a carburettor."""
    return any(
        name.where in ("spec", "chart") and _CARBURETTORS.search(name.id) for name in side.names
    )


def _cell(value: object) -> Cell:
    """Words as stamps are read; a number that was written as a word is that number."""
    if isinstance(value, bool) or value is None:
        return value
    if isinstance(value, int | float | Fraction):
        return float(value)
    word = stamp_key(str(value))
    return float(word) if _NUMBER.fullmatch(word) else word


def _show(value: object, reading: Reading) -> str:
    if isinstance(value, int | float | Fraction):
        return format_value(value, reading.unit)
    return str(value)


# --- in words --------------------------------------------------------------------------------


def _told(claim: _Claim, parts: Sequence[_Part], cylinders: Sequence[str]) -> ExchangedParts:
    labels = ", ".join(dict.fromkeys(part.reading.label for part in claim.parts))
    pairs = [cycle for cycle in claim.exchange.cycles if len(cycle) == 2]
    rings = [cycle for cycle in claim.exchange.cycles if len(cycle) > 2]
    named = " and ".join(f"{cylinders[a]} and {cylinders[b]}" for a, b in pairs)
    round_of = "; ".join(", ".join(cylinders[i] for i in ring) for ring in rings)
    if claim.whole and pairs:
        text = (
            f"The carburettors of {named} look exchanged ({labels}): they sit on each other's "
            "ports."
        )
    elif claim.whole:
        text = (
            f"The carburettors look moved round the cylinders {round_of} ({labels}): they sit on "
            "the wrong ports."
        )
    elif pairs:
        text = f"Parts look exchanged between {named} ({labels}): each has the other's figures."
    else:
        text = f"Parts look moved round the cylinders {round_of} ({labels}): check their order."
    if pairs and rings:
        text += f" Others look moved round the cylinders {round_of}: check their order."
    others = _beside(claim, parts)
    if others:
        names = join_words([cylinders[index] for index in others])
        differ = "differs" if len(others) == 1 else "differ"
        text += f" Beside that, {names} {differ} from the sheet."
    evidence = tuple(
        f"{part.reading.label}, {cylinder}: found {found}, {'chart' if part.by_chart else 'sheet'} "
        f"{sheet}"
        for part in claim.parts
        for cylinder, (found, sheet) in zip(cylinders, part.shown, strict=True)
    )
    keys = tuple(dict.fromkeys(key for part in claim.parts for key in part.keys))
    by_chart = any(part.by_chart for part in claim.parts)
    moved = frozenset(cylinders[index] for cycle in claim.exchange.cycles for index in cycle)
    return ExchangedParts(claim.parts[0].step.id, text, evidence, keys, by_chart, moved)


def _beside(claim: _Claim, parts: Sequence[_Part]) -> list[int]:
    """Cylinders that differ from the sheet once the exchange is put right, each by itself."""
    order = claim.exchange.order
    nobody = tuple(range(len(order)))
    found: set[int] = set(claim.exchange.differing)
    steps = {part.step.id for part in claim.parts}
    for part in parts:
        if part.step.id in steps:
            found |= misfits(part.attribute, order if part in claim.parts else nobody)
    return sorted(found - set(claim.exchange.moved))
