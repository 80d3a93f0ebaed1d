"""The plan page in words: what stops the ride, what comes next, what was done last."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import tzinfo

from rich.text import Text

from inspect_tui.core.evaluation.job.plan import Plan, plan_of
from inspect_tui.core.evaluation.job.plan_fits import Fitting
from inspect_tui.core.evaluation.job.safety import safety_trouble
from inspect_tui.core.model.checklist import Section
from inspect_tui.core.model.results import Finding, Results
from inspect_tui.core.seasons.carried import Carried
from inspect_tui.core.text.formatting import duration, join_words, pluralize
from inspect_tui.core.text.visible import one_line, without_fail
from inspect_tui.tui.base.look import ASKED, DIM, FAIL, UNCERTAIN
from inspect_tui.tui.base.reading_order import targets, waits
from inspect_tui.tui.base.styling import carried_words, shown_value, verdict_sign
from inspect_tui.tui.base.view_model import View
from inspect_tui.tui.screens.findings_lines import PARTS, UNDECIDED, lines_of

LAST_SAVED = 10
_FIRST = 6
"""Findings and steps that are named before the rest is counted."""


def plan_text(view: View, carried: Sequence[Carried], zone: tzinfo | None = None) -> Text:
    """The whole page.

    Args:
        view: The inspection as it stands.
        carried: What earlier sessions put off and this one has not settled.
        zone: The time zone in which times are shown; None for the computer's own.
    """
    results = view.results
    plan = plan_of(view.session, results)
    text = Text()
    for each in view.said:
        text.append(f"{one_line(each)}\n", style=DIM)
    _next(text, results, plan)
    titles = {step.step.id: _step_title(results, step.step.id) for step in results.steps}
    saved = _saved(view, titles, zone)
    if saved:
        text.append("\nSAVED LAST", style="bold").append_text(saved[0])
    _open_there(text, view)
    stops = {each.carried.carried.id for each in view.earlier_stops if each.carried is not None}
    put_off = [each for each in carried if each.id not in stops]
    _named(
        text,
        "STOPS THE START",
        [*(_why(results, titles, s) for s in plan.stops_start), *_earlier(view, "start")],
        FAIL,
    )
    moving = [step for step in plan.stops_move if step not in plan.stops_start]
    _named(
        text,
        "STOPS MOVING",
        [*(_why(results, titles, s) for s in moving), *_earlier(view, "move")],
        FAIL,
    )
    _named(text, "NOT SAFE TO RUN", _earlier(view, ""), FAIL)
    _named(text, "MEASURE AGAIN", [titles[step] for step in plan.again], UNCERTAIN)
    _named(text, "PUT OFF EARLIER", [_carried(view, titles, each) for each in put_off], UNCERTAIN)
    _named(text, "WAITS FOR PARTS", list(plan.to_get), UNCERTAIN)
    _findings(text, view, carried, titles)
    _left(text, results, plan)
    if len(saved) > 1:
        text.append("\nSAVED BEFORE THAT\n", style="bold").append_text(Text().join(saved[1:]))
    return text


def fitting_text(view: View, fitting: Fitting, minutes: float | None, tool: str) -> Text:
    """What fits the time and the tool that were chosen."""
    said = "as long as it takes" if minutes is None else duration(minutes)
    text = Text(f"WITH {said.upper()}", style=ASKED)
    text.append(f" AND {one_line(tool).upper()} IN HAND" if tool else "")
    text.append(f": {pluralize(len(fitting.steps), 'step')}, about {duration(fitting.minutes)}\n")
    for step in fitting.steps:
        takes = f"  {duration(step.step.minutes)}" if step.step.minutes else ""
        text.append(f"  {_step_title(view.results, step.step.id)}")
        text.append(f"{takes}\n", style=DIM)
    if not fitting.steps:
        text.append("  Nothing that is left fits.\n")
    return text


def _next(text: Text, results: Results, plan: Plan) -> None:
    if plan.next is None:
        done = "Nothing is left to look at: decide what is open (F7), then sign (F9)."
        text.append(f"{done}\n", style=ASKED)
        return
    step = results.step(plan.next).step
    takes = f", about {duration(step.minutes)}" if step.minutes else ""
    text.append("NEXT  ", style=ASKED)
    text.append(f"{_step_title(results, plan.next)}{takes}", style="bold")
    tools = f"\n      fetch {join_words([one_line(tool) for tool in step.tools])}"
    text.append(tools if step.tools else "")
    text.append("\n      Enter goes on there.\n")


def _open_there(text: Text, view: View) -> None:
    """What still wants a value at the step where the last reading was saved."""
    results = view.results
    last = max(results.readings, key=lambda row: row.n, default=None)
    if last is None:
        return
    step = results.step(last.step).step
    labels = {each.id: each.label for each in step.readings}
    waiting: dict[str, list[str]] = {}
    for target in targets(step, results.machine.cylinders):
        if waits(results, target):
            where = waiting.setdefault(labels[target.reading], [])
            where += [target.cylinder] if target.cylinder else []
    if waiting:
        said = [f"{label} {', '.join(where)}".strip() for label, where in waiting.items()]
        text.append("OPEN THERE  ", style="bold")
        text.append(f"{one_line(join_words(said, most=4))}\n")


def _named(text: Text, heading: str, names: Sequence[str], style: str) -> None:
    if not names:
        return
    text.append(f"\n{heading}\n", style=style)
    for name in names[:_FIRST]:
        text.append(f"  {name}\n")
    if len(names) > _FIRST:
        text.append(f"  and {len(names) - _FIRST} more\n", style=DIM)


def _why(results: Results, titles: dict[str, str], step: str) -> str:
    trouble = safety_trouble(results.step(step)).removeprefix("was ").removeprefix("is ")
    return f"{titles[step]}: {trouble}" if trouble else titles[step]


def _findings(
    text: Text, view: View, carried: Sequence[Carried], titles: Mapping[str, str]
) -> None:
    """What is to be decided, and what is to be measured once it is put right: F7's own count."""
    lines = [line for line in lines_of(view, carried) if not line.under]
    wanting = [line for line in lines if line.part in UNDECIDED]
    own = [_finding(titles, line.finding) for line in wanting if line.finding is not None]
    earlier = len(wanting) - len(own)
    count = f"{len(own)} and {earlier} put off earlier" if earlier else str(len(own))
    _named(text, f"TO DECIDE ({count}, F7)", own, UNCERTAIN)
    right = [line for line in lines if line.part == "put-right" and line.finding is not None]
    said = [_finding(titles, line.finding) for line in right if line.finding is not None]
    _named(text, PARTS["put-right"], said, UNCERTAIN)


def _earlier(view: View, gate: str) -> list[str]:
    """What earlier sessions left in the way, of one gate."""
    return [one_line(each.words) for each in view.earlier_stops if each.gate == gate]


def _finding(titles: Mapping[str, str], finding: Finding) -> str:
    """What was found, with the step where its words don't name it: `Brake lever: Feel: sinks`."""
    title, text = titles.get(finding.step, ""), without_fail(one_line(finding.text))
    if not title or text.startswith(title) or finding.kind in ("inference", "exchanged"):
        return text
    return f"{title}: {text}"


def _carried(view: View, titles: dict[str, str], each: Carried) -> str:
    carries_on = (
        step.step.id
        for step in view.results.steps
        for reading in step.step.readings
        if reading.carries_on == (each.step, each.reading)
    )
    step = each.step if each.step in titles else next(carries_on, "")
    safety = "SAFETY, " if each.safety else ""
    title = titles.get(step) or one_line(each.title) or "Not on this list"
    words = carried_words(each, view.put_off)
    return f"{safety}{words if words.startswith(f'{title}: ') else f'{title}: {words}'}"


def _left(text: Text, results: Results, plan: Plan) -> None:
    if not plan.to_do:
        return
    count = sum(len(each.steps) for each in plan.to_do)
    about = f", about {duration(plan.minutes_left)}" if plan.minutes_left else ""
    text.append(f"\nLEFT TO LOOK AT: {pluralize(count, 'step')}{about}\n", style="bold")
    titles = {section.id: section.title for section in _sections(results)}
    for each in plan.to_do:
        text.append(f"  {one_line(titles.get(each.section, each.section))}")
        takes = f", {duration(each.minutes)}" if each.minutes else ""
        text.append(f"  {pluralize(len(each.steps), 'step')}{takes}\n", style=DIM)
        if each.tools:
            tools = join_words([one_line(tool) for tool in each.tools], most=5)
            text.append(f"      {tools}\n", style=DIM)


def _sections(results: Results) -> Iterable[Section]:
    return results.checklist.section


def _saved(view: View, titles: dict[str, str], zone: tzinfo | None) -> list[Text]:
    """The last readings as they were typed, a line each, the newest first."""
    readings = view.session.readings
    rows = [
        (readings[key], row)
        for row in view.results.readings
        if (key := (row.step, row.reading, row.cylinder, row.phase)) in readings
    ]
    rows.sort(key=lambda pair: pair[0].n, reverse=True)
    lines = []
    for taken, row in rows[:LAST_SAVED]:
        steps = view.results.step(row.step).step.readings
        label = next((each.label for each in steps if each.id == row.reading), "")
        where = "" if row.cylinder is None else f", {one_line(row.cylinder)}"
        line = Text(f"  {taken.at.astimezone(zone):%Y-%m-%d %H:%M}  ", style=DIM)
        line.append(f"{titles[row.step]}: {one_line(label)}{where} {shown_value(row)} ", "default")
        lines.append(line.append_text(verdict_sign(row.judged)).append("\n"))
    return lines


def _step_title(results: Results, step: str) -> str:
    return one_line(results.step(step).step.title)
