"""What a typed value is held against to tell a slip: its limits, its row, its neighbours, what
follows from it. The questions themselves are `core/readings/plausibility`'s.
"""

from __future__ import annotations

import dataclasses
from functools import partial

from inspect_tui.core.evaluation.conclusions.candidate import PHASES
from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.model.checklist import Derived, Reading, Step
from inspect_tui.core.model.log_entry import Phase
from inspect_tui.core.model.results import ToleranceInterval
from inspect_tui.core.model.targets import Target
from inspect_tui.core.quantities import units
from inspect_tui.core.quantities.units import Number, Unit
from inspect_tui.core.readings import parse as readings
from inspect_tui.core.readings import plausibility
from inspect_tui.core.readings.plausibility import DerivedZone
from inspect_tui.core.session.replay import ReadingKey
from inspect_tui.errors import BadInput


def question(
    before: Evaluator,
    supposed: Evaluator,
    target: Target,
    reading: Reading,
    typed: readings.ParsedReading,
    phase: Phase,
    zone: ToleranceInterval | None,
) -> str:
    """A question, if the value is probably a slip; "" where nothing is odd.

    Args:
        before: The session without the value.
        supposed: The session as if the value, and what is recorded with it, stood in it.
        target: Which reading it is.
        reading: The same, as the list declares it.
        typed: What was typed, understood.
        phase: As found or as left.
        zone: Its own limits; None where it has none.
    """
    known = zone is not None and not zone.equal
    low, high = (zone.low, zone.high) if zone is not None and known else (None, None)
    asked = readings.probable_slip(typed, reading, low, high)
    value = typed.value
    if asked or reading.kind != "number" or value is None or isinstance(value, str | bool):
        return asked or ""
    own = units.unit(reading.unit)
    row = _earlier_in_row(before, supposed, target, phase)
    return (
        plausibility.after_another_unit(value, own, typed.written, row)
        or plausibility.beside_neighbours(
            value, own, _neighbours(supposed, target, phase), typed.written
        )
        or _beside_same_gauge(supposed, target, reading, typed, phase)
        or _off_by_a_unit(supposed, target, phase)
        or ""
    )


def _earlier_in_row(
    before: Evaluator, supposed: Evaluator, target: Target, phase: Phase
) -> list[str]:
    """What was typed for that reading in this session, the latest last."""
    own = supposed.session.readings[target.step, target.reading, target.cylinder, phase].n
    step = supposed.compiled.steps[target.step]
    keys = [
        (target.step, target.reading, cylinder, each)
        for cylinder in supposed.definitions.cylinders(step, target.reading)
        for each in PHASES
    ]
    typed = {
        recorded.n: recorded.entered
        for session in (before.session, supposed.session)
        for recorded in map(session.readings.get, keys)
        if recorded is not None and recorded.n < own
    }
    return [typed[n] for n in sorted(typed)]


def _neighbours(supposed: Evaluator, target: Target, phase: Phase) -> list[Number]:
    """The same reading of the other cylinders in the same phase."""
    if target.cylinder is None:
        return []
    found: list[Number] = []
    for cylinder in supposed.machine.cylinders:
        key = (target.step, target.reading, cylinder, phase)
        if cylinder == target.cylinder or key not in supposed.session.readings:
            continue
        if supposed.session.readings[key].value is None:
            continue
        number = supposed.measured(key).number
        if not isinstance(number, bool | str):
            found.append(number)
    return found


def _beside_same_gauge(
    supposed: Evaluator,
    target: Target,
    reading: Reading,
    typed: readings.ParsedReading,
    phase: Phase,
) -> str | None:
    """A question, if the value misses by a slip what the same gauge showed on the same cylinder.

    Such a pair is what a derived value compares, these two alone: the compression dry and after
    oil, a first and a second run. Both state the same uncertainty, that between readings too.
    """
    value = typed.value
    step = supposed.compiled.steps[target.step]
    if reading.uncertainty_between is None or value is None or isinstance(value, bool | str):
        return None
    place = (target.step, target.reading, target.cylinder)
    for derived in step.derived:
        cylinder = None if derived.across or not step.per_cylinder else target.cylinder
        expression = supposed.compiled.value[step.id, derived.id]
        leaves = set(supposed.definitions.input_readings(expression, cylinder))
        if derived.across or len(leaves) != 2 or place not in leaves:
            continue
        (other,) = leaves - {place}
        beside = supposed.readings.get(other[:2])
        key = supposed.key(other, phase)
        if beside is None or key is None or _gauge(beside) != _gauge(reading):
            continue
        number = supposed.measured(key).number
        if isinstance(number, bool | str):
            continue
        asked = plausibility.beside_neighbours(
            value, units.unit(reading.unit), [number], typed.written, f"'{beside.label}',"
        )
        if asked:
            return asked
    return None


def _gauge(reading: Reading) -> tuple[object, ...]:
    return reading.kind, reading.unit, reading.uncertainty, reading.uncertainty_between


def _off_by_a_unit(supposed: Evaluator, target: Target, phase: Phase) -> str | None:
    """A question, if a derived value is off by the factor of a unit that a bare number wants.

    The number may be another one than the last that was typed: only now is there a derived value.
    """
    step = supposed.compiled.steps[target.step]
    place = (target.step, target.reading, target.cylinder)
    for derived in step.derived:
        cylinder = None if derived.across or not step.per_cylinder else target.cylinder
        expression = supposed.compiled.value[step.id, derived.id]
        leaves = supposed.definitions.input_readings(expression, cylinder)
        if derived.limit is None or place not in leaves:
            continue
        row = supposed.derived_row(step, derived, cylinder, phase)
        if row is None or row.value is None or isinstance(row.value, str | bool):
            continue
        limits = row.judged.zone
        if limits is None or limits.equal:
            continue
        for leaf in (place, *(leaf for leaf in leaves if leaf != place)):
            key = supposed.key(leaf, phase)
            typed = None if key is None else _bare(supposed, key)
            if key is None or typed is None:
                continue
            value, own, label = typed
            asked = plausibility.beside_derived(
                value,
                own,
                DerivedZone(
                    derived.label,
                    row.unit,
                    row.value,
                    limits.low,
                    limits.high,
                    partial(_with_unit, supposed, step, derived, cylinder, key),
                ),
                "" if leaf == place else f"{label} ",
            )
            if asked:
                return asked
    return None


def _bare(supposed: Evaluator, key: ReadingKey) -> tuple[Number, Unit, str] | None:
    """A number that was typed without its unit: the value, its own unit, its label."""
    reading = supposed.readings.get(key[:2])
    if reading is None or reading.kind != "number":
        return None
    try:
        typed = readings.read(supposed.session.readings[key].entered, reading)
    except BadInput:
        return None  # an old log's
    if typed.written or typed.value is None or isinstance(typed.value, bool | str):
        return None
    return typed.value, units.unit(reading.unit), reading.label


def _with_unit(
    supposed: Evaluator,
    step: Step,
    derived: Derived,
    cylinder: str | None,
    key: ReadingKey,
    unit: str,
) -> Number | None:
    """A derived value, had the reading been typed in this unit."""
    entry = supposed.session.readings[key]
    meant = dataclasses.replace(entry, entered=f"{entry.entered} {unit}")
    standing = {**supposed.session.readings, key: meant}
    session = dataclasses.replace(supposed.session, readings=standing)
    row = supposed.of(session).derived_row(step, derived, cylinder, key[3])
    return None if row is None or isinstance(row.value, str | bool) else row.value
