"""The parts to get: what was decided, and what was said of them since."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from inspect_tui.core.session.replay import Decision, Session

State = Literal["to get", "got", "fitted"]


@dataclass(frozen=True, slots=True)
class Part:
    """One part that a session wants."""

    part: str
    quantity: int | float
    """Of all findings that want it together."""
    number: str
    """As its maker writes it; "" where nobody said."""
    findings: tuple[str, ...]
    """The ids of those that it was decided for."""
    state: State


def parts_of(session: Session) -> tuple[Part, ...]:
    """The parts that stand as decided, in the order in which they were first asked for.

    A part and a number are one row however many findings want it; what was said of a part holds
    for all its numbers. A piece that serves several findings is counted with the first of them
    (the others say 0); where that one was decided otherwise since, it is still one.
    """
    wanted: dict[tuple[str, str], list[Decision]] = {}
    for decision in sorted(session.decisions.values(), key=lambda each: each.n):
        if decision.decision == "get-part" and decision.part:
            wanted.setdefault((decision.part, decision.number), []).append(decision)
    states = {each.part: each.state for each in session.parts}
    return tuple(
        Part(
            part, sum(each.quantity for each in decisions) or 1, number,
            tuple(each.finding for each in decisions), _state(states, part),
        )
        for (part, number), decisions in wanted.items()
    )  # fmt: skip


def _state(states: Mapping[str, str], part: str) -> State:
    said = states.get(part, "")
    return "fitted" if said == "fitted" else "got" if said == "got" else "to get"
