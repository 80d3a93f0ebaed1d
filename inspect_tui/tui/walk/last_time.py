"""What the last session left of the reading that is asked: shown, taken over, gone past.

What is known of seasons is imported late: it brings what works results out, and no first picture
should wait for that.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from rich.style import Style
from rich.text import Text

from inspect_tui.core.model.checklist import Reading
from inspect_tui.core.model.log_entry import AS_FOUND, Phase
from inspect_tui.core.model.targets import Target
from inspect_tui.core.text.formatting import format_value
from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base import reading_order
from inspect_tui.tui.base.look import DIM, UNCERTAIN
from inspect_tui.tui.base.view_model import View
from inspect_tui.tui.walk import one_press
from inspect_tui.tui.walk.state import WalkState

if TYPE_CHECKING:
    from inspect_tui.core.seasons.summary import PastValue
    from inspect_tui.tui.walk.controller import WalkController

KEY: Final = "="
"""Enters a setting as it was left; no reading begins with it."""


def past(view: View, target: Target) -> PastValue | None:
    """What the last session left of a reading."""
    last = view.lasts.get((target.step, target.reading, target.cylinder))
    return None if last is None else last.value


def is_known(state: WalkState) -> bool:
    """Whether Enter on the empty field goes past what is asked, since it is known."""
    reading, target = state.reading, state.target
    if reading is None or target is None or state.phase != AS_FOUND or not reading.known_will_do:
        return False
    wanted = reading_order.waits(state.results, target) or state.is_asked_once
    return wanted and past(state.known, target) is not None


def shown(state: WalkState, reading: Reading) -> Text:
    """The last value behind the question, and what can be done with it."""
    target = state.target
    last = None if target is None else past(state.known, target)
    if last is None:
        return Text("")
    from inspect_tui.core.seasons.last_value import is_set_by_hand, last_words

    said = one_line(last_words(last))
    if is_known(state):
        return Text(f"  known: {said}; Enter goes past", style=DIM)
    text = Text(f"  last: {said}", style=DIM)
    if is_set_by_hand(reading) and not state.known.read_only:
        text.append("; ", style=DIM)
        text.append(f"{KEY} the same", style=Style(meta={"answer": KEY}))
    return text


def change(view: View, target: Target, phase: Phase) -> str:
    """What a value that stands says of the time since: "" where nothing that counts."""
    row = view.results.row(target.step, target.reading, target.cylinder, phase)
    if row is None:
        return ""
    return change_of(view, target, row.value, row.judged.uncertainty, phase)


def change_of(view: View, target: Target, value: object, uncertainty: object, phase: Phase) -> str:
    """The same of a value that is only typed; as left it is the work's doing and says nothing."""
    last = past(view, target)
    if last is None or phase != AS_FOUND:
        return ""
    from inspect_tui.core.seasons.last_value import change_since, change_words

    reading = reading_order.reading_of(view.results, target)
    stated = None if uncertainty is None else float(uncertainty)  # type: ignore[arg-type]
    return change_words(reading, change_since(reading, last, value, stated))


def line(words: str) -> Text:
    """A change on a line of its own; nothing without one."""
    return Text(f"\n≠ {one_line(words)}", style=UNCERTAIN) if words else Text("")


def take_over(walk: WalkController) -> bool:
    """Enter a setting as it was left, said as such in the log; False where there is none."""
    state = walk.state
    reading, target = state.reading, state.target
    last = None if target is None else past(state.known, target)
    if last is None or reading is None or not walk.is_writable:
        return False
    from inspect_tui.core.seasons.last_value import is_set_by_hand, taken_over

    if not is_set_by_hand(reading):
        return False
    if state.gate is not None:
        walk.tell(Text(f"Confirm the caution first; then {KEY} takes it over.", UNCERTAIN))
    elif walk.record(_text(last, reading), condition=taken_over(last)) == "taken":
        walk.drain()
    return True


def _text(last: PastValue, reading: Reading) -> str:
    """The last value as it can be typed: a bare number with the unit that it was meant in."""
    if ";" in last.entered:
        return format_value(last.value, last.unit)
    bare = reading.kind == "number" and one_press.written_unit(last.entered, reading) == ""
    return f"{last.entered} {last.unit}".strip() if bare else last.entered


def go_past(walk: WalkController) -> None:
    """Leave a reading as known: skipped with the reason, so never a measurement nor a pass."""
    state = walk.state
    target, reading = state.target, state.reading
    last = None if target is None else past(state.known, target)
    if target is None or reading is None or last is None or not walk.is_writable:
        return
    from inspect_tui.core.seasons.last_value import known_words

    why = known_words(last)
    done = f"{reading.label} is {why}; not taken again."
    if walk.submit(lambda held: held.skip(target.step, why, target.reading, target.cylinder), done):
        walk.set(walk.state.next_open(target))
        walk.drain()
