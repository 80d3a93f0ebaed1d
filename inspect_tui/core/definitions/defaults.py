"""What follows where a list leaves a key out: which readings a move changes, what an inference
explains.
"""

from __future__ import annotations

from inspect_tui.core.definitions.compile import Parsed
from inspect_tui.core.expressions.expression import Expression

Place = tuple[str, str]
"""(step, reading or derived value)."""


def moves_of(parsed: Parsed) -> dict[Place, tuple[str, ...]]:
    """By (step, setting): the readings of that step that one move changes together.

    As the list says; else those that `move` rests on, through derived values too; else the reading
    that the setting measures again.
    """
    found: dict[Place, tuple[str, ...]] = {}
    for step in parsed.checklist.steps:
        own = [reading.id for reading in step.readings]
        for setting in step.setting:
            named = setting.moves
            move = parsed.value.get((step.id, setting.id))
            if not named and move is not None:
                leaves = _leaves(parsed, move)
                named = tuple(each for each in own if (step.id, each) in leaves)
            found[step.id, setting.id] = named or (setting.reading,)
    return found


def explained_by(parsed: Parsed) -> dict[str, tuple[Place, ...]]:
    """By inference: the values whose findings stand under it, in the list's order.

    As the list says; else the readings and derived values that `when` names.
    """
    places: dict[str, Place] = {}
    for step in parsed.checklist.steps:
        for value in (*(one.id for one in step.readings), *(one.id for one in step.derived)):
            places.setdefault(f"{step.id}.{value}", (step.id, value))
    found: dict[str, tuple[Place, ...]] = {}
    for inference in parsed.checklist.inference:
        if inference.explains:
            named = {places[one] for one in inference.explains if one in places}
        else:
            when = parsed.inference.get(inference.id)
            names = when.names if when is not None else ()
            named = {(name.step, name.id) for name in names if name.where == "value"}
        found.setdefault(inference.id, tuple(one for one in places.values() if one in named))
    return found


def _leaves(parsed: Parsed, expression: Expression) -> set[Place]:
    """The readings that an expression rests on, through derived values too."""
    found: set[Place] = set()
    waiting = [expression]
    seen: set[Place] = set()
    while waiting:
        for name in waiting.pop().names:
            place = (name.step, name.id)
            if name.where != "value" or place in seen:
                continue
            seen.add(place)
            inner = parsed.value.get(place)
            if inner is None:
                found.add(place)
            else:
                waiting.append(inner)
    return found
