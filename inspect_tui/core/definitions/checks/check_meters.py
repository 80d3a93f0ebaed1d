"""What a list says of the time between sessions: meters, intervals, readings carried on."""

from __future__ import annotations

import re

from inspect_tui.core.definitions.checks.check_references import placed_steps
from inspect_tui.core.definitions.compile import own_unit
from inspect_tui.core.definitions.intervals import interval
from inspect_tui.core.definitions.problems import ProblemCollector
from inspect_tui.core.definitions.toml_positions import Path
from inspect_tui.core.model.checklist import Checklist, Reading, Step
from inspect_tui.core.model.declaration import ID
from inspect_tui.core.quantities.dimensions import LENGTH, TIME
from inspect_tui.core.quantities.units import of
from inspect_tui.core.text.sanitize import ellipsize
from inspect_tui.errors import BadInput

_SAME_AS = re.compile(rf"({ID}):({ID})\.({ID})")
_METERS = {"odometer": "The odometer", "hours": "The hour meter"}
_OF_METER = {"odometer": (LENGTH, "km"), "hours": (TIME, "h")}


def check_meters(checklist: Checklist, complaints: ProblemCollector) -> None:
    """Every `meter`, `every` and `same_as` of a list."""
    for path, step in placed_steps(checklist):
        for number, reading in enumerate(step.reading):
            place = (*path, "reading", number)
            if reading.meter and complaints.sound(*place, "meter"):
                _check_meter((*place, "meter"), step, reading, complaints)
            if reading.same_as and complaints.sound(*place, "same_as"):
                _check_same_as((*place, "same_as"), checklist, step, reading, complaints)
        if complaints.sound(*path, "every"):
            _check_intervals((*path, "every"), step, complaints)


def _check_intervals(path: Path, step: Step, complaints: ProblemCollector) -> None:
    seen: set[object] = set()
    for number, text in enumerate(step.every):
        try:
            one = interval(text)
        except BadInput as error:
            complaints.add((*path, number), error)
            continue
        amount = (one.months, one.days, one.amount and one.unit and of(one.amount, one.unit))
        if amount in seen:
            complaints.add((*path, number), f"'{ellipsize(text)}' is given twice; once is enough.")
        seen.add(amount)


def _check_meter(path: Path, step: Step, reading: Reading, complaints: ProblemCollector) -> None:
    dimension, example = _OF_METER[reading.meter]
    if step.per_cylinder:
        complaints.add(path, "A meter is one for all cylinders; leave per out.")
    elif reading.kind != "number":
        complaints.add(
            path, f'A meter\'s reading is a number; write kind = "number" and unit = "{example}".'
        )
    else:
        try:
            unit = own_unit(reading)
        except BadInput:
            return  # The unknown unit itself is the problem that is said.
        if unit.dimension != dimension:
            given = f"'{ellipsize(reading.unit)}'" if reading.unit else "none"
            complaints.add(
                path, f"{_METERS[reading.meter]} wants a unit such as "
                f"'{example}', and this reading has {given}.",
            )  # fmt: skip


def _check_same_as(
    path: Path, checklist: Checklist, step: Step, reading: Reading, complaints: ProblemCollector
) -> None:
    found = _SAME_AS.fullmatch(reading.same_as)
    if found is None:
        complaints.add(
            path,
            f"'{ellipsize(reading.same_as)}' names no reading of a list; write "
            "LIST:STEP.READING, such as pre-season:belt-width.narrowest.",
        )
    elif found.groups() == (checklist.id, step.id, reading.id):
        complaints.add(path, "A reading can't carry on itself; leave same_as out.")
