"""What stands around a step where there is room: what was noticed here and elsewhere, last time's
values, why and tools, what was saved last, what comes next. Pure.

What works results out is imported late: no first picture should wait for that.
"""

from __future__ import annotations

from collections.abc import Iterable

from rich.console import Group, RenderableType
from rich.text import Text

from inspect_tui.core.model.checklist import Derived, Reading
from inspect_tui.core.model.results import Finding, Results, StepResult
from inspect_tui.core.model.targets import Target
from inspect_tui.core.presentation import wording
from inspect_tui.core.presentation.formula_words import formula_words
from inspect_tui.core.text.visible import one_line, without_fail
from inspect_tui.tui.base.look import DIM, UNCERTAIN, words
from inspect_tui.tui.base.reading_order import targets
from inspect_tui.tui.base.styling import shown_value, verdict_sign
from inspect_tui.tui.base.view_model import View
from inspect_tui.tui.walk import last_time
from inspect_tui.tui.widgets import step_panel
from inspect_tui.tui.widgets.upcoming_steps import coming

MAX_SAVED = 10
MAX_ELSEWHERE = 8
"""Findings of other steps that are named before the rest is counted."""


def below(view: View, result: StepResult, *, beside: bool) -> RenderableType:
    """What stands below the readings, the weightiest first.

    Args:
        view: The inspection as it stands.
        result: The step.
        beside: Why, tools and what was saved last stand beside.
    """
    texts = [noticed(view, result), history(view, result)]
    texts += [] if beside else [step_panel.background(result)]
    texts.append(elsewhere(view, result))
    texts += [] if beside else [last_saved(view)]
    parts: list[RenderableType] = [Text.assemble("\n", text) for text in texts if text]
    return Group(*parts, coming(view.results, result.step.id))


def aside(view: View, result: StepResult) -> Text:
    """What stands beside: why and tools, where limits come from, what was saved last."""
    texts = [step_panel.background(result), origins(view.results, result), last_saved(view)]
    return Text("\n\n").join([text for text in texts if text])


def noticed(view: View, result: StepResult) -> Text:
    """What stands out at this step: findings, parts exchanged, notes, values corrected."""
    step = result.step
    lines = step_panel.findings(view, step.id)
    for note in view.session.notes:
        if note.step == step.id:
            lines.append(words(f"note: {note.text} ({note.at:%Y-%m-%d %H:%M}, {note.by})"))
    for (place, reading, cylinder, phase), old in view.session.earlier.items():
        if place == step.id:
            label = next((r.label for r in step.readings if r.id == reading), reading)
            name = " ".join(part for part in (label, cylinder) if part)
            was = ", ".join(value.entered for value in old)
            lines.append(words(f"corrected: {name} {wording.PHASES[phase].word} was {was}", DIM))
    return _headed("NOTICED HERE", lines)


def history(view: View, result: StepResult) -> Text:
    """What the last session left of this step's readings, one line a reading."""
    from inspect_tui.core.seasons.last_value import last_words

    lines: list[Text] = []
    for reading in result.step.readings:
        said: dict[str, str] = {}
        names = view.results.machine.cylinders
        for target in targets(result.step, names):
            past = last_time.past(view, target) if target.reading == reading.id else None
            if past is not None:
                said[target.cylinder or ""] = one_line(last_words(past))
        if not said:
            continue
        if len(set(said.values())) == 1:
            shown = next(iter(said.values()))
        else:
            shown = "; ".join(f"{name} {each}".strip() for name, each in said.items())
        lines.append(Text(f"{one_line(reading.label)}: {shown}"))
    return _headed("LAST TIME", lines)


def elsewhere(view: View, result: StepResult) -> Text:
    """What waits for a decision at other steps, each with its step."""
    from inspect_tui.core.evaluation.conclusions.grouping import to_decide

    titles = {each.step.id: each.step.title for each in view.results.steps}
    rest = [each for each in to_decide(view.results.findings) if each.step != result.step.id]
    lines = [_finding(each, titles.get(each.step, "")) for each in rest[:MAX_ELSEWHERE]]
    if len(rest) > MAX_ELSEWHERE:
        lines.append(Text(f"and {len(rest) - MAX_ELSEWHERE} more: F7", style=DIM))
    return _headed("TO DECIDE ELSEWHERE", lines)


def _finding(finding: Finding, title: str) -> Text:
    text, title = without_fail(one_line(finding.text)), one_line(title)
    named = not title or text.startswith(title)
    return Text(f"✗ {text}" if named else f"✗ {title}: {text}", style=UNCERTAIN)


def origins(results: Results, result: StepResult) -> Text:
    """Where the step's limits come from, and what its derived values rest on."""
    step = result.step
    lines = []
    for derived in step.derived:
        rests = formula_words(results.checklist, step, derived.value)
        if rests:
            lines.append(words(f"{derived.label}: from {rests}", DIM))
    by_source: dict[str, list[str]] = {}
    items: tuple[Reading | Derived, ...] = (*step.readings, *step.derived)
    for item in items:
        if item.source:
            by_source.setdefault(item.source, []).append(item.label)
    for source, labels in by_source.items():
        lines.append(words(f"{', '.join(labels)}: limit from {source}", DIM))
    return _headed("WHERE FIGURES COME FROM", lines)


def last_saved(view: View) -> Text:
    """The readings that were saved last, the newest first."""
    rows = sorted(view.results.readings, key=lambda row: -row.n)[:MAX_SAVED]
    recorded = view.session.readings
    lines = []
    for row in rows:
        taken = recorded[row.step, row.reading, row.cylinder, row.phase]
        line = Text(f"{taken.at:%m-%d %H:%M}  ", style=DIM)
        name = _place(view.results, Target(row.step, row.reading, row.cylinder))
        line.append(f"{wording.PHASES[row.phase].sign} {one_line(name)}  ", "default")
        line.append(f"{shown_value(row)} ", style="bold default")
        lines.append(line.append_text(verdict_sign(row.judged)))
    return _headed("LAST SAVED", lines)


def _place(results: Results, target: Target) -> str:
    """A reading by its label, its cylinder and its step."""
    step = results.step(target.step).step
    label = next((each.label for each in step.readings if each.id == target.reading), "")
    name = f"{label} {target.cylinder}" if target.cylinder else label
    return f"{name} ({step.title})"


def _headed(heading: str, lines: Iterable[Text]) -> Text:
    """Lines below a heading; nothing without lines."""
    found = list(lines)
    return Text("\n").join([Text(heading, style=DIM), *found]) if found else Text("")
