"""The list and the sheet that a session was opened with: compiled from its log, checked no more.

Beside `load`, so that opening a session loads none of the checks.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any

import msgspec

from inspect_tui.core.definitions import compile as compiling
from inspect_tui.core.definitions import decode, toml
from inspect_tui.core.definitions.defaults import explained_by, moves_of
from inspect_tui.core.definitions.problems import Problem
from inspect_tui.core.definitions.toml_positions import Path
from inspect_tui.core.expressions.expression import Expression
from inspect_tui.core.model.checklist import Checklist, Reading, Step
from inspect_tui.core.model.machine import MAX_CYLINDERS, Machine
from inspect_tui.errors import BadInput, Refused

Limits = Mapping[str, Expression]
"""The sides of one limit that were written (`min`, `max`, `target`, `tolerance`, `equal`), each as
an expression; a bare number is in the reading's own unit there.

What `evaluate` gives: for numbers a Quantity (of a `tolerance` in degC a difference; `"5 %"` stays
a percentage); for `equal` of a check a bool; of a choice or text a str, or a tuple of str where
the file lists several."""


@dataclass(frozen=True)
class Compiled:
    """A checklist with every expression parsed once."""

    checklist: Checklist
    steps: Mapping[str, Step]
    only_if: Mapping[str, Expression]
    """By step id."""
    value: Mapping[tuple[str, str], Expression]
    """Derived values by (step, derived)."""
    limits: Mapping[tuple[str, str], Limits]
    """By (step, reading or derived)."""
    inference: Mapping[str, Expression]
    """By inference id."""
    moves: Mapping[tuple[str, str], tuple[str, ...]] = field(default_factory=dict)
    """By (step, setting): the readings of that step that one move changes together."""
    explains: Mapping[str, tuple[tuple[str, str], ...]] = field(default_factory=dict)
    """By inference id: the (step, value)s whose findings stand under it."""
    is_sound: bool = field(default=False, compare=False)
    """Whether every expression of it could be read."""


# Sessions of one store have the same few lists and sheets, and what is made of them is frozen.
@lru_cache(maxsize=4)
def compile_trusted(text: str) -> Compiled:
    """The checklist text of a log, compiled without checking dimensions again.

    Lenient, so that an older or newer list still opens: unknown keys are left out, and an
    expression that can't be read has no value, with the reason.

    Raises:
        Refused: the text is no checklist any more.
    """
    checklist = decode.checklist_of(_trusted_data(text, "checklist"), of_log=True)
    if not checklist.steps:
        raise Refused("The log's checklist has no steps.")
    for section in checklist.section:
        for step in section.step:
            if not section.id or not step.id or not all(one.id for one in compiling.items(step)):
                raise Refused("The log's checklist has a section, step or reading without an id.")
    unsaid: list[BadInput] = []  # The expression itself says why it has no value.
    parsed = compiling.parsed(checklist, lambda _path, error: unsaid.append(error), of_log=True)
    return replace(compiled_of(parsed), is_sound=not unsaid)


def _unsaid(_path: Path, _error: BadInput) -> None:
    """The expression itself says why it has no value."""


def compiled_of(parsed: compiling.Parsed) -> Compiled:
    """What is kept of a list whose expressions were parsed."""
    steps: dict[str, Step] = {}
    for step in parsed.checklist.steps:
        steps.setdefault(step.id, step)
    return Compiled(
        parsed.checklist, steps, parsed.only_if, parsed.value, parsed.limits, parsed.inference,
        moves_of(parsed), explained_by(parsed),
    )  # fmt: skip


@lru_cache(maxsize=4)
def trusted_machine(text: str) -> Machine:
    """The machine text of a log. Raises Refused if it is no sheet."""
    data = _trusted_data(text, "machine sheet")
    machine = decode.machine_of(data)
    if not isinstance(data.get("cylinders"), list) or not all(machine.cylinders):
        raise Refused("The log's machine sheet names no cylinders.")
    if len(machine.cylinders) > MAX_CYLINDERS:
        raise Refused("The log's machine sheet names too many cylinders.")
    return machine


def _trusted_data(text: str, what: str) -> dict[str, Any]:
    data = toml.read(text, f"The log's {what}")
    if isinstance(data, Problem):
        raise Refused(str(data))
    return data


def add_step(
    compiled: Compiled,
    section_id: str,
    step_id: str,
    title: str,
    unit: str = "",
    item: str = "",
    text: str = "",
) -> Compiled:
    """The checklist with one more step at the end of a section; its reading is `value`.

    Args:
        compiled: The list as it is.
        section_id: Where the step goes; an unknown section puts it in the last one.
        step_id: `added-1` ...
        title: In a person's words; also the reading's label.
        unit: Of a number; without one the reading is a text.
        item: The line that it was typed as, where it says more: `Belt width | mm | min 33`.
        text: The text of a list that holds it alone, where it was taken from another one.
    """
    own = _of_text(text, step_id) if text else _of_item(item, step_id) if item else None
    if own is not None:
        added = _with_step(compiled, section_id, own.steps[step_id])
        return replace(
            added, only_if={**added.only_if, **own.only_if}, value={**added.value, **own.value},
            limits={**added.limits, **own.limits}, moves={**added.moves, **own.moves},
        )  # fmt: skip
    reading = Reading("value", title, "number" if unit else "text", unit)
    return _with_step(compiled, section_id, Step(step_id, title, reading=(reading,)))


def _of_item(item: str, step_id: str) -> Compiled | None:
    """A list of the one step that a line makes; None where nothing can be made of it any more."""
    # Late: few sessions have such a step.
    from inspect_tui.core.definitions.own_items import list_of_one

    try:
        text = list_of_one(item, step_id)
    except BadInput:
        return None
    checklist = decode.checklist_of(_trusted_data(text, "checklist"), of_log=True)
    return compiled_of(compiling.parsed(checklist, _unsaid, of_log=True))


def _of_text(text: str, step_id: str) -> Compiled | None:
    """A list of the one step that was taken from another one; None where it is none any more."""
    try:
        data = _trusted_data(text, "added step")
    except Refused:
        return None
    sections = [dict(each) for each in decode.tables(data, "section")]
    steps = decode.tables(sections[0], "step") if len(sections) == 1 else []
    if len(steps) != 1:
        return None
    sections[0]["step"] = [{**steps[0], "id": step_id}]
    data = {**data, "section": sections}
    checklist = decode.checklist_of(data, of_log=True)
    if not all(one.id for one in compiling.items(checklist.steps[0])):
        return None
    return compiled_of(compiling.parsed(checklist, _unsaid, of_log=True))


def _with_step(compiled: Compiled, section_id: str, step: Step) -> Compiled:
    sections = list(compiled.checklist.section)
    place = next(
        (n for n, section in enumerate(sections) if section.id == section_id), len(sections) - 1
    )
    sections[place] = msgspec.structs.replace(sections[place], step=(*sections[place].step, step))
    checklist = msgspec.structs.replace(compiled.checklist, section=tuple(sections))
    return replace(compiled, checklist=checklist, steps={**compiled.steps, step.id: step})
