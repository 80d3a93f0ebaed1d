"""Answers that take no Enter, Enter without an answer, and what an answer is recorded as."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from rich.text import Text

from inspect_tui.core.model.log_entry import AS_LEFT
from inspect_tui.core.model.results import ReadingRow
from inspect_tui.core.model.targets import Target
from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base import reading_order
from inspect_tui.tui.base.look import UNCERTAIN
from inspect_tui.tui.base.styling import shown_value
from inspect_tui.tui.walk import last_time, menu, one_press, timing

if TYPE_CHECKING:
    from inspect_tui.tui.walk.controller import WalkController


def by_one_press(walk: WalkController, character: str) -> bool:
    """A character in the empty field; True where it was an answer by itself, or for the menu."""
    state = walk.state
    if state.prompt is not None:
        return False
    if state.is_menu_open:
        menu.choose(walk, character)
        return True
    if character == menu.KEY:
        walk.set(replace(state, is_menu_open=True))
        return True
    if character == last_time.KEY and last_time.take_over(walk):
        return True
    target = _answered_by(walk)
    if target is None or not walk.is_writable:
        return False
    reading = reading_order.reading_of(state.results, target)
    answer = one_press.answer_of(character, reading, walk.actions.zone(target, state.phase))
    if answer and state.gate is not None and target.step != state.step:
        # A single press answers what is in sight; the next step's question is not.
        walk.tell(Text("Not taken: what it would answer is not in sight yet.", style=UNCERTAIN))
    elif answer:
        given(walk, answer)
    return bool(answer)


def given(walk: WalkController, answer: str) -> None:
    """An answer by one press or a click: it waits at a caution, else it is recorded; what the disk
    refuses stays in the field."""
    state = walk.state
    if answer == last_time.KEY and state.prompt is None and last_time.take_over(walk):
        return
    if state.prompt is not None or not walk.is_writable:
        walk.tell(Text("Nothing can be recorded here now.", style=UNCERTAIN))
    elif state.gate is not None:
        behind = _answered_by(walk)  # one that stands is offered once the caution is confirmed
        walk.enqueue(answer, complete=behind is None or _standing(walk, behind) is None)
    elif _would_change(walk, answer):
        pass
    elif walk.record(answer) == "taken":
        walk.drain()
    else:
        walk.set(walk.state.typed(answer, refused=True))


def _would_change(walk: WalkController, answer: str) -> bool:
    """An answer in the place of one that stands is offered, not recorded: one press answers what is
    open, a correction takes Enter too. True where it was offered, or says the same."""
    state, at = walk.state, walk.state.target
    row = None if at is None or state.follower is not None else _standing(walk, at)
    if row is None:
        return False
    stands, offered = one_line(shown_value(row)), one_line(answer)
    if row.entered == answer:
        walk.tell(Text(f"It is '{stands}' already: nothing was changed.", style=UNCERTAIN))
    else:
        said = f"It is '{stands}'. Enter changes it to '{offered}', Esc leaves it."
        walk.set(state.typed(answer, refused=True).saying(Text(said, style=UNCERTAIN)))
    return True


def _standing(walk: WalkController, at: Target) -> ReadingRow | None:
    """The value that stands for a reading that is not asked again; None where it is open."""
    state = walk.state
    asked_again = reading_order.waits(state.results, at) or (
        state.phase == AS_LEFT and reading_order.wants_as_left(state.results, at)
    )
    if asked_again:
        return None
    return state.results.row(at.step, at.reading, at.cylinder, state.phase)


def _answered_by(walk: WalkController) -> Target | None:
    """The reading that the answer would be for; behind a caution the one after what waits."""
    state = walk.state
    if state.gate is None:
        return state.target
    waiting = len(state.queue.here)
    ahead = reading_order.ahead(state.results, state.target, state.phase, waiting + 1)
    return ahead[waiting] if waiting < len(ahead) else None


def nothing(walk: WalkController, seen: bool) -> None:
    """Enter on the empty field: a timer, an optional reading; else it changes nothing.

    Args:
        walk: The walk.
        seen: Whether it is a key by itself; one in a burst starts no timer.
    """
    state = walk.state
    if state.queue.here:
        walk.tell(Text("Type this reading first, or Esc drops what waits.", UNCERTAIN))
    elif state.reading is not None and state.reading.kind == "timer" and walk.is_writable:
        if seen:
            timing.start_or_stop(walk)
    elif last_time.is_known(state) and walk.is_writable:
        if seen:
            last_time.go_past(walk)
    elif state.is_asked_once and state.target is not None and state.reading is not None:
        said = Text(f"Left out: {one_line(state.reading.label)}.", style=UNCERTAIN)
        walk.set(state.saying(said).left_out(state.target))
        walk.drain()


def as_entered(walk: WalkController, text: str, target: Target) -> str:
    """What is recorded: a number with the row's unit; `+` as the answer that it stands for."""
    state = walk.state
    reading = reading_order.reading_of(state.results, target)
    if reading.kind in ("check", "choice") and text.strip() == one_press.WANTED:
        zone = walk.actions.zone(target, state.phase)
        return one_press.wanted_answer(reading, zone) or text
    return one_press.with_unit(text, state.unit, reading)
