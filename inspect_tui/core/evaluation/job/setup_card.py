"""How the machine is set up: what was found, what was left and what the sheet says, side by side.

The list says which readings belong on the card (`setup`). Where it says nothing they are those that
are to be equal to a figure of the sheet or have one as their target (a jet's stamp, a float's
height), and what a setting of their step brings in (toe, chain slack): what a person sets, not what
wears.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from inspect_tui.core.model.checklist import Derived, Reading, Step
from inspect_tui.core.model.log_entry import AS_FOUND, AS_LEFT, Phase
from inspect_tui.core.model.results import DerivedRow, ReadingRow, Results

Row = ReadingRow | DerivedRow
_FIGURE = re.compile(r"spec\.[A-Za-z]\w*")


@dataclass(frozen=True, slots=True)
class SetUp:
    """One reading of one cylinder, or of the machine, as it stood and stands."""

    cylinder: str | None
    found: Row | None
    left: Row | None

    @property
    def standing(self) -> Row | None:
        """As left, else as found."""
        return self.left or self.found


@dataclass(frozen=True, slots=True)
class SetUpLine:
    """A line of the card."""

    step: Step
    item: Reading | Derived
    values: tuple[SetUp, ...]
    """By cylinder in the machine's order; one without a cylinder for the whole machine."""


def setup_card(results: Results) -> tuple[SetUpLine, ...]:
    """What has a value, in the list's order."""
    lines = (
        SetUpLine(step, item, tuple(_values(results, step, item)))
        for step in results.checklist.steps
        for item in items_on_card(step)
    )
    return tuple(line for line in lines if any(value.standing for value in line.values))


def items_on_card(step: Step) -> tuple[Reading | Derived, ...]:
    """The readings and derived values of a step that stand on the card."""
    brought_in = set(_brought_in(step))
    items: Iterable[Reading | Derived] = (*step.readings, *step.derived)
    return tuple(
        item
        for item in items
        if (item.id in brought_in or _is_of_sheet(item) if item.setup is None else item.setup)
    )


def _is_of_sheet(item: Reading | Derived) -> bool:
    """Whether it is held against a figure of the sheet as it stands."""
    limit = item.limit
    if limit is None:
        return False
    sides = (limit.equal, limit.target)
    return any(isinstance(side, str) and _FIGURE.fullmatch(side.strip()) for side in sides)


def _brought_in(step: Step) -> Iterator[str]:
    """What the step's settings bring to its limit: what they measure, else what follows from it."""
    items: list[Reading | Derived] = [*step.readings, *step.derived]
    judged = {item.id for item in items if item.limit is not None}
    for setting in step.setting:
        if setting.reading in judged:
            yield setting.reading
        else:
            yield from (item.id for item in step.derived if item.id in judged)


def _values(results: Results, step: Step, item: Reading | Derived) -> Iterator[SetUp]:
    across = isinstance(item, Derived) and item.across
    cylinders: tuple[str | None, ...] = (None,)
    if step.per_cylinder and not across:
        cylinders = results.machine.cylinders
    for cylinder in cylinders:
        found, left = (_row(results, step, item, cylinder, each) for each in (AS_FOUND, AS_LEFT))
        yield SetUp(cylinder, found, left)


def _row(
    results: Results, step: Step, item: Reading | Derived, cylinder: str | None, phase: Phase
) -> Row | None:
    if isinstance(item, Derived):
        row = results.derived_row(step.id, item.id, cylinder, phase)
        return None if row is None or row.value is None else row
    return results.row(step.id, item.id, cylinder, phase)
