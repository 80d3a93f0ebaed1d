"""A machine's systems and how far each is: what the line drawing marks at its places.

A system is a section of the list. No meaning rests on colour: every state has a sign of its own
shape and a word.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Literal, get_args

from inspect_tui.core.model.results import NOT_OF_THE_JOB, StepState
from inspect_tui.core.presentation.pictures.text_picture import safe
from inspect_tui.core.presentation.pictures.vector_picture import SignShape, Tone
from inspect_tui.core.presentation.wording import Mark

SystemState = Literal[
    "failed", "again", "open", "begun", "skipped", "left-out", "done", "not-needed"
]
"""In the order in which a person needs them."""

SYSTEM_STATES: Final[dict[SystemState, Mark]] = {
    "failed": Mark("✗", "x", "failed"),
    "again": Mark("↻", "~", "again"),
    "open": Mark("□", "o", "open"),
    "begun": Mark("◧", "%", "part done"),
    "skipped": Mark("−", "-", "skipped"),
    "left-out": Mark("╌", "=", "left out"),
    "done": Mark("■", "#", "done"),
    "not-needed": Mark("·", ".", "not needed"),
}
SAFETY: Final = Mark("▲", "!", "safety")
"""Beside the state of a system with a safety step that does not count as passed."""

SHAPES: Final[dict[SystemState, tuple[SignShape, Tone]]] = {
    "failed": ("cross", "fail"),
    "again": ("again", "uncertain"),
    "open": ("square", "ink"),
    "begun": ("half-square", "ink"),
    "skipped": ("bar", "uncertain"),
    "left-out": ("dashes", "uncertain"),
    "done": ("full-square", "pass"),
    "not-needed": ("point", "faint"),
}
"""The same signs as they are drawn in reports."""


@dataclass(frozen=True, slots=True)
class System:
    """One section of the list."""

    section: str
    """Its id."""
    title: str
    state: SystemState = "open"
    safety: bool = False
    """Whether a safety step in it does not count as passed."""
    note: str = ""
    """More about it where there is room: `3 of 7 steps`."""

    def state_words(self) -> str:
        """Its state in words: `safety, failed`."""
        word = SYSTEM_STATES[self.state].word
        return f"{SAFETY.word}, {word}" if self.safety else word

    def words(self) -> str:
        """The same with its note: `safety, failed, 3 of 7 steps`."""
        return f"{self.state_words()}, {self.note}" if self.note else self.state_words()

    def line(self) -> str:
        """It and its state on one line, safe to show."""
        return safe(f"{self.title}: {self.words()}")


def system_state(steps: Iterable[StepState], *, failed: bool) -> SystemState:
    """The state of a system from those of its steps.

    Args:
        steps: The states of the section's steps.
        failed: Whether a reading or derived value in it fails and still counts.

    Returns:
        What a person needs to know first: failed, then again; a system whose needed steps are all
        over is done (skipped where nothing else happened to them), else begun or open.
    """
    states = set(steps)
    if failed:
        return "failed"
    if "again" in states:
        return "again"
    needed = states.difference(NOT_OF_THE_JOB)
    if not needed:
        return "left-out" if "left-out" in states else "not-needed"
    if "open" not in needed:
        return "done" if "done" in needed else "skipped"
    return "open" if needed == {"open"} else "begun"


def marks_used(systems: Iterable[System]) -> list[tuple[str, Mark]]:
    """The marks that occur, each with its role, in the order in which a person needs them."""
    shown = list(systems)
    used = {one.state for one in shown}
    safety = [("safety", SAFETY)] if any(one.safety for one in shown) else []
    return safety + [(s, SYSTEM_STATES[s]) for s in get_args(SystemState) if s in used]
