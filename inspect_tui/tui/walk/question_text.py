"""What the question panel says: what is asked, what was understood, what was recorded. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from rich.style import Style
from rich.text import Text

from inspect_tui.core.model.checklist import Reading
from inspect_tui.core.model.log_entry import AS_FOUND, AS_LEFT, Phase
from inspect_tui.core.model.results import Results, SettingRow, StepResult, ToleranceInterval
from inspect_tui.core.model.targets import Preview, Target
from inspect_tui.core.presentation import wording
from inspect_tui.core.presentation.limit_strip import StripMark, mark
from inspect_tui.core.text.formatting import clock_words
from inspect_tui.core.text.unit_text import format_unit
from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base import reading_order
from inspect_tui.tui.base.look import ASKED, DIM, FAIL, PASS, PHASE_STYLE, UNCERTAIN
from inspect_tui.tui.base.styling import brief_verdict, shown_value, step_state, verdict
from inspect_tui.tui.base.view_model import InspectionActions, View
from inspect_tui.tui.walk import figures, last_time, one_press, type_ahead
from inspect_tui.tui.walk.state import WalkState

MAX_TAKEN = 6
"""Texts that had waited and are named with what took them; the rest is counted."""
SHORT = 12
"""Letters of what may stand on one line with what follows it."""
MAX_SAID = 2
"""Sentences that are said below what was recorded; the rest is counted."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What the field is for."""

    text: Text
    hint: str
    title: str
    style: str
    place: str = ""
    """The cylinder, which stands before the field."""
    unit: str = ""
    """What stands behind the text that is typed, and is recorded with it."""


@dataclass(frozen=True, slots=True)
class Live:
    """What is typed, as far as it is understood."""

    answer: Text
    zone: ToleranceInterval | None
    marks: tuple[StripMark, ...]


_HINTS: Final[dict[str, str]] = {
    "count": "a whole number",
    "date": "YYYY-MM-DD",
    "photo": "path or words",
    "text": "in words",
}


def hint_of(state: WalkState, reading: Reading) -> str:
    """How this reading is answered, in a few words: a field of 28 cells has to hold them."""
    if reading.kind == "number":
        hint = (
            "a number" if state.unit or not reading.unit else f"in {format_unit(reading.unit, 2)}"
        )
    elif reading.kind == "choice":
        hint = "a digit answers" if one_press.takes_digits(reading) else "one of these"
    elif reading.kind == "check":
        hint = "1 or 0" if state.is_asked_once else "1 yes, 0 no, + wanted"
    elif reading.kind == "timer":
        runs = state.timer is not None and state.timer.target == state.target
        if runs:
            return "Enter stops it"
        # Enter starts it, so Enter can't leave it out.
        return f"Enter starts it{'; Down: none' if state.is_asked_once else ', or m:ss'}"
    else:
        hint = _HINTS[reading.kind]
    if last_time.is_known(state):
        return f"{hint}; Enter: known"
    if state.is_asked_once:
        return f"{hint}; Enter: none"
    return hint if reading.kind in ("check", "photo") else f"{hint}; ? not known"


def asked(state: WalkState) -> Asked:
    """The panel's question."""
    prompt, gate, phase = state.prompt, state.gate, state.phase
    if state.is_menu_open:
        return Asked(Text("One letter does it", style=ASKED), "Esc: back", " MENU ", UNCERTAIN)
    if prompt is not None:
        return Asked(Text(prompt.asks, style=ASKED), prompt.hint, f" {prompt.title} ", UNCERTAIN)
    if gate is not None:
        return Asked(Text(gate.asks, style=ASKED), "Space or Enter", " CONFIRM FIRST ", FAIL)
    title = f" {wording.PHASES[phase].sign} {wording.PHASES[phase].word.upper()} "
    style = PHASE_STYLE[phase]
    if state.paper and (number := reading_order.number_of(state.results, state.step)):
        title = f" {number}{title}FROM PAPER "
    if state.known.signed:
        said = Text("The log is signed: Ctrl+N adds words to it.")
        return Asked(said, "read-only", " SIGNED ", style)
    says = ""
    if state.known.read_only:
        title, style, says = f" READ-ONLY {title[1:]}", UNCERTAIN, "read-only: nothing is recorded"
    reading = state.reading
    if reading is None:
        return Asked(Text("No reading is asked here.", style=DIM), says, title, style)
    place = one_line(state.target.cylinder or "") if state.target is not None else ""
    hint = says or hint_of(state, reading)
    return Asked(_question(state, reading), hint, title, style, place, format_unit(state.unit))


def _question(state: WalkState, reading: Reading) -> Text:
    """What is asked, where, what it is now, the answers of a choice, the move that is due."""
    target, view = state.target, state.known
    assert target is not None
    text = Text(one_line(reading.label), style=ASKED)
    if reading.optional:
        text.append("  optional", style=DIM)
    row = view.results.row(target.step, target.reading, target.cylinder, state.phase)
    if row is not None:
        correct = "" if view.read_only else ": type to correct it"
        text.append(f"  is {shown_value(row)}{correct}", style=DIM)
    else:
        text.append_text(last_time.shown(state, reading))
    if reading.kind in ("choice", "check"):
        text.append_text(options(reading))
    move = reading_order.move_at(view.results, target)
    if move is not None:
        text.append_text(next_move(move, state.phase))
    text.append_text(figures.missed(state))
    return text


def options(reading: Reading) -> Text:
    """The answers of a choice or a check, all of them, on a line of their own; each can be clicked.

    Each has the digit that stands for it; none where an answer begins with a digit itself or where
    there are more than nine.
    """
    answers = reading.options if reading.kind == "choice" else ("yes", "no")
    numbered = reading.kind == "check" or one_press.takes_digits(reading)
    text = Text("\n")
    for place, answer in enumerate(answers, start=1):
        text.append("  " if place > 1 else "")
        digit = place if reading.kind == "choice" else 2 - place
        part = Text.assemble((f"{digit}:" if numbered else "", DIM), one_line(answer))
        part.stylize(Style(meta={"answer": answer}))
        text.append_text(part)
    return text


def next_move(move: SettingRow, phase: Phase) -> Text:
    """The next move of a setting on a line of its own."""
    if not move.suggested:
        return Text(f"\n▸ {one_line(move.words)}", style=DIM)
    # What is measured again stands right above.
    said, _, _ = move.words.partition(". Then measure")
    then = "then measure again" if phase == AS_LEFT else "then again as left (F2)"
    return Text(f"\n▸ {one_line(said)}, {then}", style=UNCERTAIN)


def answer(state: WalkState, desk: InspectionActions) -> Live:
    """Below the question: the verdict of what is typed, marked as not entered yet, else what was
    said last; and the limit strip."""
    if state.is_menu_open:
        return Live(Text(""), None, ())
    if state.prompt is not None:
        return Live(state.said, None, ())
    text = state.draft.text
    found = live(state.known, desk, state.target, state.entry, state.phase)
    if not text.strip() or state.said_stands:
        return replace(found, answer=state.said)
    return found


def waiting(state: WalkState, now: float = 0.0) -> Text:
    """A timer that runs elsewhere; what was typed ahead, with the readings that will take it."""
    timer, queued = state.timer, _queued(state)
    if timer is None or timer.target == state.target:
        return queued
    shown = Text(f"timer: {running_timer(state, now)}   (go there to stop it)", style=UNCERTAIN)
    return Text("\n").join([shown, queued]) if queued else shown


def running_timer(state: WalkState, now: float) -> str:
    """The timer in a line: `Held 2:31 of 5:00`; "" where none runs."""
    timer = state.timer
    if timer is None:
        return ""
    wanted = f" of {clock_words(timer.rings_at)}" if timer.rings_at is not None else ""
    name = one_line(name_of(state.results, timer.target))
    return f"{name} {clock_words(now - timer.started)}{wanted}"


def _queued(state: WalkState) -> Text:
    """What was typed ahead, with the readings that will take it once a caution is confirmed."""
    held = list(state.queue.here)
    results = state.results
    goes: list[str] = []
    if state.gate is not None:
        ahead = reading_order.ahead(results, state.target, state.phase, len(held))
        goes = [name_of(results, each) for each in ahead]
    elsewhere = [
        (place_name(results, step, target), [one_line(text) for text, _ in lot])
        for (step, target, _), lot in state.queue.elsewhere
    ]
    return type_ahead.shown(held, goes, elsewhere)


def live(
    view: View, desk: InspectionActions, target: Target | None, text: str, phase: Phase
) -> Live:
    """The verdict of a typed text, and the strip with the values that stand."""
    if target is None:
        return Live(Text(""), None, ())
    preview = desk.preview(target, text, phase) if text.strip() else Preview()
    judged = preview.judged
    typed = bool(text.strip()) and not preview.error
    marks: list[StripMark | None] = []
    for each in (AS_FOUND, AS_LEFT):
        row = view.results.row(target.step, target.reading, target.cylinder, each)
        if row is not None and not (typed and each == phase):
            marks.append(mark(each, row.value, row.judged))
    value = preview.value
    if typed and judged is not None and isinstance(value, Fraction | float | int | bool | str):
        marks.append(mark(phase, value, judged))
    unit = reading_order.reading_of(view.results, target).unit
    said = _answer(view.results, preview, unit)
    if typed and judged is not None:
        changed = last_time.change_of(view, target, value, judged.uncertainty, phase)
        said.append_text(last_time.line(changed))
    return Live(
        said,
        desk.zone(target, phase),
        tuple(each for each in marks if each is not None),
    )


def _answer(results: Results, preview: Preview, unit: str) -> Text:
    """What was understood, marked as not entered yet."""
    if preview.error:
        return Text(f"✗ {one_line(in_words(results, preview.error))}", style=FAIL)
    text = Text("not entered yet: ", style=DIM)
    text.append(one_line(preview.shown), style="bold")
    if preview.judged is not None:
        text.append("  ")
        text.append_text(verdict(preview.judged, unit))
    if preview.question:
        text.append(f"\n? {one_line(in_words(results, preview.question))}", style=UNCERTAIN)
    return text


def recorded(view: View, target: Target, phase: Phase, said: Sequence[str]) -> Text:
    """What was recorded, with its verdict and what has to be said about it."""
    results = view.results
    reading = reading_order.reading_of(results, target)
    row = results.row(target.step, target.reading, target.cylinder, phase)
    text = Text("saved: ", style=PASS)
    text.append(one_line(name_of(results, target)))
    if row is not None:
        text.append(f" {shown_value(row)}  ", style="bold")
        text.append_text(verdict(row.judged, row.unit))
        text.append_text(last_time.line(last_time.change(view, target, phase)))
    move = reading_order.move_after(results, target)
    if move is not None:
        text.append_text(next_move(move, phase))
    sign = "±" if reading.condition else "?"
    for each in said[:MAX_SAID]:
        text.append(f"\n{sign} {one_line(each)}", style=UNCERTAIN)
    if len(said) > MAX_SAID:
        text.append(f"\n{sign} and {len(said) - MAX_SAID} more", style=UNCERTAIN)
        text.append(": Ctrl+D lists them" if reading.condition else "", style=UNCERTAIN)
    return text


def in_words(results: Results, text: str) -> str:
    """A sentence of the core with readings by their names: on a screen there are no ids."""
    if "." not in text:
        return text
    names: dict[str, str] = {}
    for result in results.steps:
        step = result.step
        if f"{step.id}." not in text:
            continue
        labels = [(each.id, each.label) for each in step.readings]
        labels += [(each.id, each.label) for each in step.derived]
        for id_, label in labels:
            names[f"{step.id}.{id_}"] = label
            for cylinder in results.machine.cylinders:
                names[f"{step.id}.{id_}@{cylinder}"] = f"{label} {cylinder}"
    for id_ in sorted(names, key=len, reverse=True):
        text = text.replace(id_, names[id_])
    return text


def name_of(results: Results, target: Target) -> str:
    """A reading by its label and its cylinder."""
    label = reading_order.reading_of(results, target).label
    return f"{label} {target.cylinder}" if target.cylinder else label


def place_name(results: Results, step: str, target: Target | None) -> str:
    """Where somebody was: a reading of a step."""
    title = results.step(step).step.title
    return title if target is None else f"{name_of(results, target)} ({title})"


def took(view: View, target: Target, phase: Phase, typed: str, said: Sequence[str]) -> Text:
    """What became of a text that had waited: `32 → Width ✓ pass`, and what is asked about it."""
    results = view.results
    row = results.row(target.step, target.reading, target.cylinder, phase)
    text = Text(f"{one_line(typed)} → {one_line(name_of(results, target))} ")
    if row is not None:
        shown = shown_value(row)
        text.append("" if shown == one_line(typed) else f"{shown} ", style="bold")
        text.append_text(brief_verdict(row.judged))
    if changed := last_time.change(view, target, phase):
        text.append(f" ≠ {one_line(changed)}", style=UNCERTAIN)
    for each in said[:1]:
        text.append(f" ? {one_line(each)}", style=UNCERTAIN)
    return text


def took_all(before: Text, taken: Sequence[Text]) -> Text:
    """What took the texts that had waited, behind what was said before; of many the last ones."""
    more = len(taken) - MAX_TAKEN
    head = f"saved, {more} that waited, then: " if more > 0 else "saved, it waited: "
    listed = Text("  ·  ", style=DIM).join(taken[-MAX_TAKEN:])
    between = "\n" if len(before) > SHORT else " " if before else ""
    return Text.assemble(before, between, (head, PASS), listed)


def matches(results: Results, hits: Sequence[StepResult], pick: int) -> Text:
    """The steps that typed letters fit; Enter goes to the picked one."""
    if not hits:
        return Text("No step has these letters.", style=FAIL)
    titles = {section.id: section.title for section in results.checklist.section}
    lines = []
    for place, hit in enumerate(hits):
        sign, word, style = step_state(hit)
        text = Text("▶ " if place == pick else "  ", style=ASKED)
        text.append(f"{sign} ", style=style)
        text.append(one_line(hit.step.title), style=ASKED if place == pick else "")
        text.append(f"  {one_line(titles.get(hit.section, hit.section))}, {word}", style=DIM)
        lines.append(text)
    return Text("\n").join(lines)
