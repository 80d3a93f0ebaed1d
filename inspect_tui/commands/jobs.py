"""Commands about the job as a whole: what it takes in, its plan, findings and parts, its sheet."""

from __future__ import annotations

import argparse
from collections.abc import Mapping, Sequence
from typing import Final

from inspect_tui.commands.common import now, opened, places, readable, show, show_json, tell
from inspect_tui.core.evaluation.job.plan import Plan
from inspect_tui.core.model.results import Results
from inspect_tui.core.presentation import wording
from inspect_tui.core.presentation.entry_words import part_words
from inspect_tui.core.seasons.carried import CarriedNow, carried_text
from inspect_tui.core.seasons.open_before import EarlierStop
from inspect_tui.core.text.formatting import duration, pluralize
from inspect_tui.core.text.sanitize import sanitize
from inspect_tui.report import plan as as_data
from inspect_tui.report.status import finding_rows
from inspect_tui.workflow import machine_parts
from inspect_tui.workflow.inspection import Inspection
from inspect_tui.workflow.resolve import machine_or_session

STOPS: Final = {"start": "Stops the start", "move": "Stops moving", "": "Not safe to run"}
"""By the gate that has not passed; "" for another safety step."""


def widen(given: argparse.Namespace) -> int:
    """Take sections or steps in after all."""
    with opened(given) as inspection:
        taken_in = inspection.job.widen(given.ids)
        if not taken_in:
            tell("The job takes all of it in already.")
        for each in taken_in:
            show(f"Taken in: {each}")
    return 0


def take_back(given: argparse.Namespace) -> int:
    """Take the last reading back."""
    with opened(given) as inspection:
        show(inspection.take_back())
    return 0


def set_aside(given: argparse.Namespace) -> int:
    """Put a session aside that was begun by mistake."""
    with opened(given) as inspection:
        inspection.job.set_aside(given.why)
        show(f"Set aside: {inspection.id}")
    return 0


def plan(given: argparse.Namespace) -> int:
    """What stops the start, what is to be measured again, what is left and how long it takes."""
    with opened(given, write=False) as inspection:
        found = inspection.job.plan
        if given.json:
            show_json(as_data.plan(found))
            return 0
        _show_plan(inspection.results, found, inspection.carried_now, inspection.earlier_stops)
    return 0


def _show_plan(
    results: Results, plan: Plan, earlier: Sequence[CarriedNow], stops: Sequence[EarlierStop]
) -> None:
    titles = {result.step.id: result.step.title for result in results.steps}
    sections = {section.id: section.title for section in results.checklist.section}
    texts = {finding.id: finding.text for finding in results.findings}
    minutes = f", about {duration(plan.minutes_left)} left" if plan.minutes_left else ""
    show(f"{plan.done} of {pluralize(plan.of, 'step')}{minutes}")
    for heading, steps in (
        (STOPS["start"], plan.stops_start),
        (STOPS["move"], plan.stops_move),
        ("Measure again", plan.again),
    ):
        for step in steps:
            show(f"{heading}: {titles[step]} ({step})")
    for stop in stops:
        words = _put_off(stop.carried, titles) if stop.carried is not None else stop.words
        show(f"{STOPS[stop.gate]}: {words}")
    for left in earlier:
        if not left.settled and not left.stops:
            show(f"Put off earlier: {_put_off(left, titles)}")
    for finding in plan.to_decide:
        show(f"To decide: {finding}: {texts[finding]}")
    for part in plan.to_get:
        show(f"To get: {part}")
    for section in plan.to_do:
        tools = f"; fetch {', '.join(section.tools)}" if section.tools else ""
        took = f", {duration(section.minutes)}" if section.minutes else ""
        count = pluralize(len(section.steps), "step")
        show(f"To do: {sections.get(section.section, section.section)}: {count}{took}{tools}")
    if plan.next is None:
        show("Nothing is left to do.")
    else:
        show(f"Next: {titles[plan.next]} ({plan.next})")


def _put_off(left: CarriedNow, titles: Mapping[str, str]) -> str:
    """`carried:brake.feel: Brake lever: Feel: sinks [put off 2026-11-02, not decided here]`."""
    each = left.carried
    text = carried_text(each, titles.get(each.step, ""))
    decided = wording.decision_words(left.decision) if left.decision else "not decided here"
    part = f"; part: {each.part_words}" if each.part else ""
    return f"{each.id}: {text} [put off {each.day}, {decided}{part}]"


def findings(given: argparse.Namespace) -> int:
    """What was found, those that want a decision first in sight, under what explains them."""
    with opened(given, write=False) as inspection:
        if given.json:
            show_json(list(finding_rows(inspection.results)))
            return 0
        for finding in inspection.results.findings:
            state = "remark" if finding.remark else "open" if finding.open else "closed"
            decided = wording.decision_words(finding.decision, finding.until)
            under = "    " if finding.under else ""
            show(f"{under}{finding.id}: {finding.text} [{state}, {decided}]")
        titles = {each.step.id: each.step.title for each in inspection.results.steps}
        for left in inspection.carried_now:
            if not left.settled:
                show(_put_off(left, titles))
    return 0


def parts(given: argparse.Namespace) -> int:
    """The parts to get: of a session, of a machine's sessions, or of all."""
    store = readable(given)
    what = None if given.what is None else machine_or_session(store, given.what)
    rows = machine_parts.parts(store, what)
    if given.json:
        show_json([as_data.part(row.part, row.machine, row.session) for row in rows])
        return 0
    if not rows:
        tell("No part is to get or to fit.")
    for row in rows:
        words = part_words(row.part.part, f"{row.part.quantity:g}", row.part.number)
        wanted = ", ".join(row.part.findings)
        show(f"{row.part.state}: {words} ({row.machine}, {row.session}: {wanted})")
    return 0


def got(given: argparse.Namespace) -> int:
    """A part was got, or fitted."""
    state = "fitted" if given.fitted else "got"
    store = readable(given)
    sessions = machine_parts.sessions_wanting(store, given.machine, given.part, state)
    if not sessions:
        tell(f"{given.part} is {state} already.")
    for session, part in sessions:
        inspection = Inspection.open(places(given), session, now, by=sanitize(given.by))
        with inspection:
            for text in inspection.said:
                tell(text)
            inspection.job.part(part, state)
            show(f"{state}: {part} ({session})")
    return 0
