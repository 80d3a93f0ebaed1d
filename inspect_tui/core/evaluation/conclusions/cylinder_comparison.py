"""Comparing the cylinders of one machine: the one that is out of family.

A cylinder's deviation from the sheet stands apart from the others' by more than chance gives in 1
of 100 such rows (`out_of_family`); without an uncertainty there is no claim.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from inspect_tui.core.evaluation.conclusions.out_of_family import Apart, stands_apart
from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.evaluation.uncertainty.measured import Measured
from inspect_tui.core.model.checklist import Reading, Step
from inspect_tui.core.model.log_entry import Phase
from inspect_tui.core.presentation import wording
from inspect_tui.core.presentation.figures import format_difference, format_quantity
from inspect_tui.core.quantities import units
from inspect_tui.core.quantities.units import Quantity
from inspect_tui.core.session.replay import ReadingKey
from inspect_tui.core.text.formatting import format_value
from inspect_tui.errors import InspectError


@dataclass(frozen=True, slots=True)
class CrossCylinderObservation:
    """Something noticed across the cylinders of one step, in one phase."""

    text: str
    evidence: tuple[str, ...]
    keys: tuple[ReadingKey, ...]
    cylinder: str | None = None


def has_left(evaluation: Evaluator, step: Step, reading: Reading) -> bool:
    """Whether any cylinder of a reading has an as-left value."""
    return evaluation.exists_as_left(
        (step.id, reading.id, cylinder) for cylinder in evaluation.machine.cylinders
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


def out_of_family(
    evaluation: Evaluator, step: Step, reading: Reading, phase: Phase
) -> CrossCylinderObservation | None:
    """The cylinder of a reading that stands apart from the others by more than chance gives."""
    cylinders = evaluation.machine.cylinders
    if not step.per_cylinder or len(cylinders) < 2 or reading.kind not in ("number", "timer"):
        return None
    if _follows_a_hand(evaluation, step, reading):
        return None
    row = _row(evaluation, step, reading, phase)
    if row is None or any(measured.uncorrelated <= 0 for _, measured in row):
        return None
    numbers = [m.number for _, m in row if not isinstance(m.number, bool | str)]
    sheet = _sheet_numbers(evaluation, step, reading, phase)
    if sheet is None or len(numbers) < len(row):
        return None
    # One gauge's own error is the same on all cylinders; that of several is not.
    one_gauge = len({measured.gauge for _, measured in row}) == 1
    own = [
        math.hypot(m.uncorrelated, target.uncertainty, 0.0 if one_gauge else m.error.common)
        for (_, m), target in zip(row, sheet, strict=True)
    ]
    off = [float(n) - target.number for n, target in zip(numbers, sheet, strict=True)]
    apart = stands_apart(off, own, [measured.stated.division for _, measured in row])
    if apart is None:
        return None
    unit = evaluation.units[step.id, reading.id]
    typed = [evaluation.session.readings[key].entered for key, _ in row]
    size, known = (
        format_difference(
            typed, abs(value), unit.text,
            format_value(abs(value), wording.difference_unit(unit.text), digits),
        )
        for value, digits in ((apart.distance, 3), (apart.told, 2))
    )  # fmt: skip
    cylinder = _filed_under(apart, off, _worse(evaluation, step, reading))
    if apart.cylinder is None:
        text = f"{reading.label}: the cylinders differ by {size}, and none stands apart"
    elif len(cylinders) == 2:
        text = f"{reading.label}: {cylinders[0]} and {cylinders[1]} differ by {size}"
    else:
        side = "above" if apart.distance > 0 else "below"
        text = f"{reading.label}: {cylinders[cylinder]} is out of family, {size} {side} the others"
    evidence = tuple(
        f"{name}: {format_quantity(number, unit.text, _expanded(m))}"
        for name, number, (_, m) in zip(cylinders, numbers, row, strict=True)
    )
    return CrossCylinderObservation(
        f"{text} (by chance up to {known}).", evidence, tuple(key for key, _ in row),
        cylinders[cylinder],
    )  # fmt: skip


def _expanded(measured: Measured) -> float:
    """Of a single reading, k = 2, in its own unit."""
    return 2 * math.hypot(measured.uncorrelated, measured.error.common)


def _follows_a_hand(evaluation: Evaluator, step: Step, reading: Reading) -> bool:
    """Whether a reading is set by hand, or is compared with one that is (after, at the end)."""
    by_hand = {one.id for one in step.readings if one.by_hand}
    if not by_hand:
        return False
    if reading.by_hand:
        return True
    names = (
        {name.id for name in evaluation.compiled.value[step.id, derived.id].names
         if name.step == step.id}
        for derived in step.derived
    )  # fmt: skip
    return any(reading.id in together and together & by_hand for together in names)


def _filed_under(apart: Apart, off: list[float], side: str) -> int:
    """The cylinder whose finding it is: of two the one further from its target.

    Held against a least it is the lower one, against a most the higher one: the other is better.
    """
    if apart.cylinder is not None and len(off) > 2:
        return apart.cylinder
    rank = {"min": lambda at: -off[at], "max": lambda at: off[at]}
    return max(range(len(off)), key=rank.get(side, lambda at: abs(off[at])))


def _worse(evaluation: Evaluator, step: Step, reading: Reading) -> str:
    """The side of its limit; else of what is worked out from this reading of its step alone.

    What a reading is brought to, such as compression at sea level, is on the same side as it.
    """
    if own := _side(evaluation, step, reading):
        return own
    for derived in step.derived:
        names = evaluation.compiled.value[step.id, derived.id].names
        of_step = {name.id for name in names if name.step == step.id}
        sides = set(evaluation.compiled.limits.get((step.id, derived.id), {}))
        is_its_own = of_step == {reading.id} and derived.unit == reading.unit
        if is_its_own and not derived.across and len(sides) == 1:
            return sides.pop()
    return ""


def _side(evaluation: Evaluator, step: Step, reading: Reading) -> str:
    """The side of the limit that a row is held against; "" for none."""
    sides = evaluation.compiled.limits.get((step.id, reading.id), {})
    return next((name for name in ("target", "equal", "min", "max") if name in sides), "")


@dataclass(frozen=True, slots=True)
class _Target:
    """What a cylinder should have, own unit."""

    number: float
    uncertainty: float = 0.0
    """Standard, where the target rests on readings."""


def _sheet_numbers(
    evaluation: Evaluator, step: Step, reading: Reading, phase: Phase
) -> list[_Target] | None:
    """What each cylinder should have; 0 for all where nothing says, None where one is missing."""
    cylinders = evaluation.machine.cylinders
    unit = evaluation.units[step.id, reading.id]
    sides = evaluation.compiled.limits.get((step.id, reading.id), {})
    side = sides.get(_side(evaluation, step, reading))
    if side is None:
        return [_Target(0.0)] * len(cylinders)
    targets = []
    for cylinder in cylinders:
        value = side.evaluate(evaluation.lookup(cylinder, phase))
        if not isinstance(value, Quantity):
            return None
        try:
            number = float(units.number_in(value, unit))
        except InspectError:
            return None
        spread = evaluation.expanded(side, cylinder, phase) or 0.0
        targets.append(_Target(number, spread / 2 / abs(float(unit.factor))))
    return targets
