"""Set and check: the next move that brings a value where it should be, then measure again.

A move is worked out from the value as it stands (as left where there is one). A move that would
pass its limit is not suggested; a value that passes is left in place.
"""

from __future__ import annotations

from fractions import Fraction

from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.evaluation.uncertainty import conformity
from inspect_tui.core.expressions.values import Missing
from inspect_tui.core.model.checklist import Adjustment, Amount, Step
from inspect_tui.core.model.log_entry import AS_LEFT
from inspect_tui.core.model.results import SettingRow
from inspect_tui.core.presentation.figures import format_move
from inspect_tui.core.quantities import units
from inspect_tui.core.quantities.units import Number, Quantity, Unit
from inspect_tui.core.readings import parse as readings
from inspect_tui.core.text.formatting import join_words
from inspect_tui.errors import InspectError


def rows(evaluation: Evaluator, step: Step) -> tuple[SettingRow, ...]:
    """The next move of every setting of a step, for each cylinder where it has them."""
    found = []
    for setting in step.setting:
        for cylinder in evaluation.definitions.cylinders(step, setting.reading):
            row = _row(evaluation, step, setting, cylinder)
            if row is not None:
                found.append(row)
    return tuple(found)


def _row(
    evaluation: Evaluator, step: Step, setting: Adjustment, cylinder: str | None
) -> SettingRow | None:
    expression = evaluation.compiled.value.get((step.id, setting.id))
    if expression is None:
        return None
    waiting = _waiting(evaluation, step, setting, cylinder)
    if waiting is not None:
        return waiting
    place = (step.id, setting.reading, cylinder)
    key = evaluation.key(place, AS_LEFT)
    if key is None:
        return None
    label = evaluation.readings[step.id, setting.reading].label
    standing = evaluation.reading_row(key)
    where = (step.id, setting.id, setting.reading, cylinder)
    unit = evaluation.units[step.id, setting.id]
    if standing.judged.verdict == "pass":
        return SettingRow(*where, None, unit.text, f"{label} is in place: nothing to move.")
    value = expression.evaluate(evaluation.lookup(cylinder, AS_LEFT))
    if isinstance(value, Missing):
        if not value.measured:
            return None
        return SettingRow(*where, None, unit.text, f"No move can be worked out: {value.reason}.")
    if not isinstance(value, Quantity):
        return None
    try:
        move = units.number_in(value, unit)
    except InspectError as error:
        return SettingRow(*where, None, unit.text, f"No move can be worked out: {error.message}")
    words, suggested = _words(evaluation, step, setting, cylinder, move, unit, label)
    inputs = evaluation.definitions.input_readings(expression, cylinder)
    named = {reading for of, reading, at in inputs if (of, at) == (step.id, cylinder)}
    rests_on = tuple(r.id for r in step.readings if r.id in named | {setting.reading})
    return SettingRow(*where, move, unit.text, words, suggested, rests_on)


def _waiting(
    evaluation: Evaluator, step: Step, setting: Adjustment, cylinder: str | None
) -> SettingRow | None:
    """Where a move changed several readings and not all are measured again: which are to be."""
    moved = evaluation.compiled.moves.get((step.id, setting.id), ())
    readings = evaluation.session.readings
    missing = [each for each in moved if (step.id, each, cylinder, AS_LEFT) not in readings]
    if not missing or len(missing) == len(moved):
        return None
    labels = join_words([f"'{evaluation.readings[step.id, each].label}'" for each in missing])
    words = f"{labels} moved with it. Then measure {labels} again as left too."
    where = (step.id, setting.id, setting.reading, cylinder)
    unit = evaluation.units[step.id, setting.id].text
    return SettingRow(*where, None, unit, words, True, moved, tuple(missing))


def _words(
    evaluation: Evaluator,
    step: Step,
    setting: Adjustment,
    cylinder: str | None,
    move: Number,
    unit: Unit,
    label: str,
) -> tuple[str, bool]:
    """The move in words, and whether it is suggested."""
    size = -move if move < 0 else move
    if size == 0 or size < _least(setting.least, unit):
        return f"{label}: less than a move is missing; measure again as left.", False
    shown = format_move(size, unit.text)
    zone = evaluation.zone(step, setting.id, cylinder, AS_LEFT)
    if zone is not None and conformity.assess_conformity(move, zone, unit.text).verdict == "fail":
        said = (
            f"{label}: it would take {shown}, past what may be moved ({zone.text}): not suggested. "
            "Look for the cause first."
        )
        return said, False
    words = (setting.more if move > 0 else setting.less) or ("Plus" if move > 0 else "Minus")
    unknown = (
        f" How far it may be moved is not known: {zone.reason}." if zone and zone.reason else ""
    )
    return f"{words.rstrip('.')}: {shown}. Then measure '{label}' again as left.{unknown}", True


def _least(least: Amount | None, unit: Unit) -> Number:
    if least is None:
        return Fraction(0)
    if not isinstance(least, str):
        return Fraction(str(least))
    try:
        return units.number_in(readings.quantity(least, unit), unit)
    except InspectError:
        return Fraction(0)
