"""Comparing the cylinders of one machine: parts exchanged, and the one out of family.

Exchanged parts are claimed only under the exact conditions of `calc.swapped`. Out of family: a
cylinder's deviation from the sheet is further from the others' median than twice the standard
uncertainty of that difference; without an uncertainty there is no claim.
"""

from __future__ import annotations

import math
import statistics
from dataclasses import dataclass
from fractions import Fraction

from inspect_tui.calc.swapped_parts import compare_parts
from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.evaluation.uncertainty import Measured
from inspect_tui.core.expressions.expression import Missing, Value
from inspect_tui.core.model.checklist import Reading, Step
from inspect_tui.core.model.log_entry import AS_LEFT, Phase
from inspect_tui.core.presentation import wording
from inspect_tui.core.quantities import units
from inspect_tui.core.quantities.units import Quantity, Unit
from inspect_tui.core.session.replay import ReadingKey
from inspect_tui.core.text.formatting import format_value, join_words
from inspect_tui.core.text.stamps import stamp_key
from inspect_tui.errors import InspectError


@dataclass(frozen=True, slots=True)
class CrossCylinderObservation:
    """Something noticed across the cylinders of one step, in one phase."""

    text: str
    evidence: tuple[str, ...]
    keys: tuple[ReadingKey, ...]
    cylinder: str | None = None


@dataclass(frozen=True, slots=True)
class _Attribute:
    """One part that is compared: what was found and what the sheet says, per cylinder."""

    reading: Reading
    found: tuple[object, ...]
    expected: tuple[object, ...]
    tolerance: float
    keys: tuple[ReadingKey, ...]
    shown: tuple[tuple[str, str], ...]
    """What was found and what the sheet says, as written there."""


def has_left(evaluation: Evaluator, step: Step, reading: Reading) -> bool:
    """Whether any cylinder of a reading has an as-left value."""
    return any(
        (step.id, reading.id, cylinder, AS_LEFT) in evaluation.session.readings
        for cylinder in evaluation.machine.cylinders
    )


def _row(
    evaluation: Evaluator, step: Step, reading: Reading, phase: Phase
) -> tuple[tuple[ReadingKey, Measured], ...] | None:
    """Every cylinder's value of a reading, or None while one is missing."""
    row = []
    for cylinder in evaluation.machine.cylinders:
        key = evaluation.key((step.id, reading.id, cylinder), phase)
        if key is None:
            return None
        row.append((key, evaluation.measured(key)))
    return tuple(row)


def _wanted(
    evaluation: Evaluator, step: Step, reading: Reading, side: str, phase: Phase
) -> tuple[Value, ...] | None:
    """One side of a limit for every cylinder, or None where the sheet lacks it."""
    expression = evaluation.compiled.limits.get((step.id, reading.id), {}).get(side)
    if expression is None:
        return None
    values = []
    for cylinder in evaluation.machine.cylinders:
        value = expression.evaluate(evaluation.lookup(cylinder, phase))
        if isinstance(value, Missing):
            return None
        values.append(value)
    return tuple(values)


def _attribute(
    evaluation: Evaluator, step: Step, reading: Reading, phase: Phase
) -> _Attribute | None:
    row = _row(evaluation, step, reading, phase)
    if row is None:
        return None
    expected = _wanted(evaluation, step, reading, "equal", phase) or _wanted(
        evaluation, step, reading, "target", phase
    )
    if expected is None or any(isinstance(value, tuple) for value in expected):
        return None
    unit = evaluation.units[step.id, reading.id]
    found = tuple(_plain(measured.number) for _, measured in row)
    wanted: list[object] = []
    for value in expected:
        if isinstance(value, Quantity):
            try:
                wanted.append(units.number_in(value, unit))
            except InspectError:
                return None
        else:
            wanted.append(_plain(value))
    tolerance = max((measured.expanded or 0.0) for _, measured in row)
    keys = tuple(key for key, _ in row)
    shown = tuple(
        (_show(measured.number, reading), _show(_own(value, unit), reading))
        for (_, measured), value in zip(row, expected, strict=True)
    )
    return _Attribute(reading, found, tuple(wanted), tolerance, keys, shown)


def _own(value: object, unit: Unit) -> object:
    return units.number_in(value, unit) if isinstance(value, Quantity) else value


def _plain(value: object) -> object:
    """Words are compared as stamps are read: hyphens, spaces and capitals do not count."""
    return stamp_key(value) if isinstance(value, str) else value


def exchanged(evaluation: Evaluator, step: Step, phase: Phase) -> CrossCylinderObservation | None:
    """Parts of two cylinders exchanged in this step, if that can be claimed.

    Every reading of the step that is held against a figure of its own per cylinder takes part
    (main jet, needle, clip ...); a reading with a missing cylinder waits.
    """
    cylinders = evaluation.machine.cylinders
    if not step.per_cylinder or len(cylinders) < 2:
        return None
    attributes = [
        attribute
        for reading in step.readings
        if (attribute := _attribute(evaluation, step, reading, phase)) is not None
    ]
    if not attributes:
        return None
    outcome = compare_parts(
        tuple(zip(*(attribute.found for attribute in attributes), strict=True)),
        tuple(zip(*(attribute.expected for attribute in attributes), strict=True)),
        tolerances=tuple(attribute.tolerance for attribute in attributes),
    )
    if not outcome.pairs and not outcome.rotation:
        return None
    agreed = {index for pair in outcome.agree for index in pair}
    told = [
        attribute
        for index, attribute in enumerate(attributes)
        if index in agreed or (outcome.rotation and len(set(attribute.expected)) > 1)
    ]
    parts = ", ".join(attribute.reading.label for attribute in told)
    rotation = outcome.rotation or ()
    order = ", ".join(cylinders[index] for index in rotation)
    if outcome.pairs:
        pairs = " and ".join(
            f"{cylinders[one]} and {cylinders[other]}" for one, other in outcome.pairs
        )
        text = f"Parts look exchanged between {pairs} ({parts}): each has the other's figures."
        if rotation:
            text += f" Others look moved round the cylinders {order}: check their order."
    else:
        text = f"Parts look moved round the cylinders {order} ({parts}): check their order."
    involved = {index for pair in outcome.pairs for index in pair} | set(rotation)
    others = [cylinders[index] for index in outcome.differing if index not in involved]
    if others:
        differ = "differs" if len(others) == 1 else "differ"
        text += f" Beside that, {join_words(others)} {differ} from the sheet."
    evidence = tuple(
        f"{attribute.reading.label}, {cylinder}: found {found}, sheet {expected}"
        for attribute in told
        for cylinder, (found, expected) in zip(cylinders, attribute.shown, strict=True)
    )
    keys = tuple(key for attribute in attributes for key in attribute.keys)
    return CrossCylinderObservation(text, evidence, keys)


def _show(value: object, reading: Reading) -> str:
    if isinstance(value, int | float | Fraction):
        return format_value(value, reading.unit)
    return str(value)


def out_of_family(
    evaluation: Evaluator, step: Step, reading: Reading, phase: Phase
) -> tuple[CrossCylinderObservation, ...]:
    """The cylinders of a reading that stand out from the others, counted by their uncertainty.

    With three cylinders the sound ones also lie off the median of a pair that holds the odd one,
    so only the furthest is named.
    """
    cylinders = evaluation.machine.cylinders
    if not step.per_cylinder or len(cylinders) < 2 or reading.kind not in ("number", "timer"):
        return ()
    row = _row(evaluation, step, reading, phase)
    if row is None or any(measured.uncorrelated <= 0 for _, measured in row):
        return ()
    numbers = [measured.number for _, measured in row]
    if any(isinstance(number, bool | str) for number in numbers):
        return ()
    sheet = _sheet_numbers(evaluation, step, reading, phase)
    off = [float(number) - part for number, part in zip(numbers, sheet, strict=True)]
    # One gauge's own error is the same on all cylinders; that of several is not.
    one_gauge = len({measured.gauge for _, measured in row}) == 1
    own = [
        measured.uncorrelated
        if one_gauge
        else math.hypot(measured.uncorrelated, measured.correlated)
        for _, measured in row
    ]
    unit = evaluation.units[step.id, reading.id]
    distances = []
    for index in range(len(cylinders)):
        others = [part for at, part in enumerate(off) if at != index]
        spread = _median_error([(part, own[at]) for at, part in enumerate(off) if at != index])
        distance = abs(off[index] - statistics.median(others))
        distances.append((distance, math.hypot(own[index], spread)))
    furthest = max(distance for distance, _ in distances)
    claims = []
    for index, (distance, uncertainty) in enumerate(distances):
        if distance <= uncertainty * (1 + 1e-9) or distance < furthest * (1 - 1e-9):
            continue
        side = (
            "above"
            if off[index] > statistics.median([part for at, part in enumerate(off) if at != index])
            else "below"
        )
        size = format_value(distance, wording.difference_unit(unit.text), digits=3)
        known = format_value(uncertainty, wording.difference_unit(unit.text), digits=2)
        text = (
            f"{reading.label}: {cylinders[index]} is out of family, {size} {side} the others "
            f"(±{known} can be told)."
        )
        evidence = tuple(
            f"{cylinder}: {format_value(number, unit.text)}"
            for cylinder, number in zip(cylinders, numbers, strict=True)
        )
        claims.append(
            CrossCylinderObservation(text, evidence, tuple(key for key, _ in row), cylinders[index])
        )
    return tuple(claims)


def _median_error(parts: list[tuple[float, float]]) -> float:
    """First-order uncertainty of a median: of the middle value, or of the middle two's mean."""
    ordered = sorted(parts)
    half = len(ordered) // 2
    if len(ordered) % 2:
        return ordered[half][1]
    return math.hypot(ordered[half - 1][1], ordered[half][1]) / 2


def _sheet_numbers(
    evaluation: Evaluator, step: Step, reading: Reading, phase: Phase
) -> list[float]:
    """What each cylinder should have, in the reading's own unit; 0 for all where nothing says."""
    unit = evaluation.units[step.id, reading.id]
    for side in ("target", "equal", "min", "max"):
        wanted = _wanted(evaluation, step, reading, side, phase)
        if wanted is None or not all(isinstance(value, Quantity) for value in wanted):
            continue
        try:
            return [
                float(units.number_in(value, unit)) for value in wanted
                if isinstance(value, Quantity)
            ]  # fmt: skip
        except InspectError:
            continue
    return [0.0] * len(evaluation.machine.cylinders)
