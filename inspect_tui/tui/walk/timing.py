"""A timer: Enter on the empty field starts it, Enter again stops and records it. No terminal."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from rich.text import Text

from inspect_tui.core.model.results import ToleranceInterval
from inspect_tui.core.text.formatting import clock_words
from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base.look import UNCERTAIN
from inspect_tui.tui.walk import question_text
from inspect_tui.tui.walk.state import RunningTimer

if TYPE_CHECKING:
    from inspect_tui.tui.walk.controller import WalkController


BOUNCE = 1.0
"""Seconds: an Enter sooner after the start was the same press twice, not the stop."""


def wanted_seconds(zone: ToleranceInterval | None) -> float | None:
    """The time that is wanted, when the bell rings: the lower limit, else the upper one."""
    if zone is None:
        return None
    for edge in (zone.low, zone.high):
        if edge is not None and edge > 0:
            return float(edge)
    return None


def start_or_stop(walk: WalkController) -> None:
    """Enter at a timer: start it; stop it and record what it shows."""
    state = walk.state
    timer, target = state.timer, state.target
    if target is None:
        return
    if timer is None:
        rings_at = wanted_seconds(walk.actions.zone(target, state.phase))
        rings = f"the bell rings at {clock_words(rings_at)}; " if rings_at is not None else ""
        said = Text(f"It runs: {rings}Enter stops it, Esc lets it go.", style=UNCERTAIN)
        started = RunningTimer(target, state.phase, walk.now(), rings_at)
        walk.set(replace(state, timer=started).saying(said))
    elif (timer.target, timer.phase) != (target, state.phase):
        name = one_line(question_text.name_of(state.results, timer.target))
        walk.tell(Text(f"The timer of '{name}' runs: go there first.", style=UNCERTAIN))
    elif walk.now() - timer.started >= BOUNCE:
        shown = clock_words(walk.now() - timer.started)
        walk.state = replace(state, timer=None)
        if walk.record(shown) == "taken":
            walk.drain()
        else:
            walk.set(walk.state.typed(shown, refused=True))


def let_go(walk: WalkController) -> None:
    """Esc: the timer ends and nothing is recorded."""
    timer = walk.state.timer
    if timer is not None:
        shown = clock_words(walk.now() - timer.started)
        said = Text(f"The timer was let go at {shown}; not recorded.", style=UNCERTAIN)
        walk.set(replace(walk.state, timer=None).saying(said))


def tick(walk: WalkController) -> bool:
    """Look at the running timer; True once, when its wanted time is reached."""
    timer = walk.state.timer
    if timer is None or timer.rang or timer.rings_at is None:
        return False
    if walk.now() - timer.started < timer.rings_at:
        return False
    walk.state = replace(walk.state, timer=replace(timer, rang=True))
    return True
