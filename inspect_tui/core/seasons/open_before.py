"""What earlier sessions of a machine left in the way of its next run: said by every way out alike.

A safety step that failed and was put off, and safety steps that nobody passed before an earlier
session was signed, or left open. Plan, gate, page one and tag all say what stands here.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from inspect_tui.core.model.results import NOT_OF_THE_JOB, StepResult
from inspect_tui.core.seasons.carried import CarriedNow, carried_text
from inspect_tui.core.seasons.machine_state import OpenStep
from inspect_tui.core.text.formatting import join_words, pluralize

MOST_NAMED: Final = 4
"""Steps that are named; the others are counted."""
_KINDS: Final = {
    "start": ("step that stops the start", "steps that stop the start"),
    "move": ("step that stops moving", "steps that stop moving"),
    "": ("safety step", "safety steps"),
}


@dataclass(frozen=True, slots=True)
class EarlierStop:
    """Something that an earlier session left in the way."""

    gate: str
    """What it stops: `start`, `move`, or "" for another safety step."""
    words: str
    """A sentence without its full stop."""
    carried: CarriedNow | None = None
    """The finding that was put off, where it is one."""


def earlier_stops(
    carried: Sequence[CarriedNow], left: Iterable[OpenStep], steps: Iterable[StepResult]
) -> tuple[EarlierStop, ...]:
    """All of it, those that stop the start first.

    Args:
        carried: What earlier sessions put off, as it stands in this one.
        left: Safety steps that did not pass in the last session that took them in.
        steps: Of this session. What its own job takes in it says itself.
    """
    steps = tuple(steps)
    titles = {each.step.id: each.step.title for each in steps}
    found = [
        EarlierStop(each.carried.gate, _failed(each, titles), each)
        for each in carried
        if each.stops
    ]
    own = {each.step.id for each in steps if each.state not in NOT_OF_THE_JOB}
    own |= {each.carried.step for each in carried if each.settled and each.decision == "put-right"}
    named = {each.carried.step for each in carried if each.stops}
    together: dict[tuple[str, str], list[OpenStep]] = {}
    for step in left:
        if step.step not in own:
            together.setdefault((step.session, step.gate), []).append(step)
    found += [
        EarlierStop(gate, _left_open(steps_there))
        for (_, gate), steps_there in together.items()
        if any(each.step not in named for each in steps_there)
    ]
    order = list(_KINDS)
    return tuple(sorted(found, key=lambda each: order.index(each.gate)))


def before(begins: str, stops: Iterable[EarlierStop]) -> tuple[str, ...]:
    """What of it is said before the engine runs (`start`) or the machine moves (`move`)."""
    wanted = ("start",) if begins == "start" else ("start", "move")
    said = {"start": "the engine runs", "move": "the machine moves"}
    return tuple(
        f"Before {said[each.gate]}: {each.words}." for each in stops if each.gate in wanted
    )


def still_open(stops: Sequence[EarlierStop]) -> str:
    """What is asked of one who says that nothing is open."""
    return f"is that so? {'. '.join(each.words for each in stops)}"


def _failed(now: CarriedNow, titles: dict[str, str]) -> str:
    each = now.carried
    title = titles.get(each.step) or each.title or each.step
    said = carried_text(each, title).removeprefix(f"{title}: ").rstrip(".")
    return f"'{title}' failed earlier and was put off ({said})"


def _left_open(steps: Sequence[OpenStep]) -> str:
    first = steps[0]
    count = pluralize(len(steps), *_KINDS[first.gate])
    names = join_words([f"'{each.title}'" for each in steps], most=MOST_NAMED)
    left = "was signed with" if first.signed else "is not signed, and has"
    return f"'{first.checklist}' of {first.at.date().isoformat()} {left} {count} open: {names}"
