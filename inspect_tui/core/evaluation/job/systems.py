"""The machine's systems with their states: each section of the list, for the machine's drawing."""

from __future__ import annotations

from inspect_tui.core.evaluation.job.plan import count_of
from inspect_tui.core.evaluation.job.safety import safety_trouble
from inspect_tui.core.model.results import NOT_OF_THE_JOB, Results
from inspect_tui.core.presentation.pictures.systems import System, system_state
from inspect_tui.core.text.formatting import pluralize


def systems_of(results: Results) -> tuple[System, ...]:
    """Each section of the list with how far it is; what is done needs no count beside it."""
    found = []
    for section in results.checklist.section:
        steps = [step for step in results.steps if step.section == section.id]
        count = count_of(steps)
        unpassed = any(
            each.step.is_safety and each.state not in NOT_OF_THE_JOB and safety_trouble(each) != ""
            for each in steps
        )
        state = system_state([each.state for each in steps], failed=any(e.failed for e in steps))
        counted = state != "done" and count.of
        note = f"{count.done} of {pluralize(count.of, 'step')}" if counted else ""
        found.append(System(section.id, section.title, state, unpassed, note))
    return tuple(found)
