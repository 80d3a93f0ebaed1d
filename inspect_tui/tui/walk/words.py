"""The one field asks for words instead of a reading: notes, reasons, places, the air of the day."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from rich.text import Text

from inspect_tui.core.presentation import wording
from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base import reading_order
from inspect_tui.tui.base.entry_line import EntryOutcome
from inspect_tui.tui.base.look import FAIL, PASS, UNCERTAIN
from inspect_tui.tui.walk import figures, prompts, question_text
from inspect_tui.tui.walk.prompts import Prompt

if TYPE_CHECKING:
    from inspect_tui.tui.walk.controller import WalkController

MAX_CLEARED_AT_ONCE = 20
"""Letters of words that one Esc clears; longer ones are asked about first."""
NO_COPY = "Type another folder, or Esc leaves this."
"""Said where the other disk did not take the copy."""


def begin(walk: WalkController, prompt: Prompt) -> None:
    """Let the field ask for words."""
    if walk.free_to_go():
        walk.clearing_asked = False
        walk.set(walk.state.asking(prompt))


def entered(walk: WalkController, prompt: Prompt, text: str) -> EntryOutcome:
    """Enter on the words that were asked for."""
    if prompt.purpose == "air":
        return _air_entered(walk, prompt, text)
    if prompt.purpose == "goto":
        return _went(walk, text)
    if prompt.figure is not None:
        return figures.entered(walk, prompt, prompt.figure, text)
    if not text:
        walk.tell(Text("Nothing typed: nothing changed. Esc leaves this.", style=UNCERTAIN))
        return "taken"
    if prompt.purpose == "paper":
        return _paper_entered(walk, prompt, text)
    if prompt.make is not None:
        unsaved = NO_COPY if prompt.purpose == "copy" else ""
        if not walk.submit(prompt.make(text), prompt.done, unsaved=unsaved):
            return "refused"
    else:
        named = "" if text == "-" else text
        state = walk.state
        walk.state = (
            replace(state, gauge=named)
            if prompt.purpose == "gauge"
            else replace(state, condition=named)
        )
        walk.tell(Text(f"{prompt.title.capitalize()}: {one_line(text)}", style=PASS))
    _close(walk, prompt)
    return "taken"


def _close(walk: WalkController, prompt: Prompt) -> None:
    """The words are taken: on with what was asked before them."""
    state = walk.state
    if prompt.moves_on:
        state = state.aside_left_here()
    state = state.answered()
    if prompt.moves_on:
        state = state.next_open(state.target)
    walk.set(state)
    walk.drain()


def _went(walk: WalkController, text: str) -> EntryOutcome:
    state = walk.state
    hits = reading_order.matching(state.results, text)
    if not hits:
        walk.tell(Text("No step has these letters.", style=FAIL))
        return "refused"
    step = hits[min(state.pick, len(hits) - 1)].step.id
    target = reading_order.first_in(state.results, step, state.phase)
    walk.set(state.answered().walk_to(step, target))
    return "taken"


def _paper_entered(walk: WalkController, prompt: Prompt, text: str) -> EntryOutcome:
    """The day, then the hand; then the readings in the list's order, from its first open one."""
    state = walk.state
    if not prompt.value:
        try:
            day = date.fromisoformat(text.strip())
        except ValueError:
            walk.tell(Text("✗ Write the day as year-month-day: 2026-11-01.", style=FAIL))
            return "refused"
        if day > state.known.session.last.date():
            walk.tell(Text(f"✗ {day.isoformat()} has not come yet.", style=FAIL))
            return "refused"
        walk.set(replace(state, prompt=prompts.paper_hand(day.isoformat())))
        return "taken"
    state = replace(state.answered(), paper=f"{prompt.value}, {one_line(text)}")
    order = [each.step.id for each in state.results.steps if each.state in ("open", "again")]
    if order:
        step = order[0]
        state = state.walk_to(step, reading_order.first_in(state.results, step, state.phase))
    said = "Each reading is kept as from paper; the numbers are those on the sheets."
    walk.set(state.saying(Text(said, style=PASS)))
    walk.drain()
    return "taken"


def _air_entered(walk: WalkController, prompt: Prompt, text: str) -> EntryOutcome:
    if text and prompt.make is not None:
        outcome = walk.actions.submit(prompt.make(text))
        if not outcome.ok:
            walk.tell(Text(f"✗ {one_line(outcome.error)}", style=FAIL))
            return "refused"
        said = Text(prompt.done, style=PASS)
        results = walk.state.results
        changes = tuple(question_text.in_words(results, each) for each in outcome.said)
        for each in changes:
            said.append(f"\n± {one_line(each)}", style=UNCERTAIN)
        walk.state = replace(walk.state, changed=walk.state.changed + changes)
        walk.tell(said)
    names = list(wording.CONDITIONS)
    place = names.index(prompt.condition) + 1
    if place == len(names):
        walk.state = replace(walk.state, panel="air" if walk.state.changed else "")
        _close(walk, prompt)
    else:
        following = prompts.conditions(names[place], walk.state.results)
        walk.set(replace(walk.state, prompt=following))
    return "taken"


def leave(walk: WalkController, prompt: Prompt) -> None:
    """Leave what the field asks for; words that can't be typed anew at once only when asked."""
    state = walk.state
    typed = one_line(state.draft.text)
    if len(typed) > MAX_CLEARED_AT_ONCE and not walk.clearing_asked:
        walk.clearing_asked = True
        walk.tell(Text("These words are not saved: Esc again clears them.", style=FAIL))
        return
    if prompt.purpose == "air":
        state = replace(state, panel="")
    cleared = f" Cleared: {typed}" if typed else ""
    said = Text(f"Left; nothing was written.{cleared}", style=UNCERTAIN)
    walk.set(state.answered().saying(said))
