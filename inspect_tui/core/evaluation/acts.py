"""What a person does in a session beside readings, decisions and the sign-off, as log entries.

Each function checks what is asked against the session as it stands and gives what is to be
written; nothing is written here. `BadInput` where something isn't there or is missing.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Mapping

from inspect_tui.core.evaluation.evaluate_entries import Evaluated
from inspect_tui.core.evaluation.validate import Target, logged
from inspect_tui.core.expressions import ambient
from inspect_tui.core.model.log_entry import NewEntry, Phase
from inspect_tui.core.quantities import units
from inspect_tui.core.text.sanitize import required_text, sanitize
from inspect_tui.core.text.suggestions import suggest_or_list
from inspect_tui.errors import BadInput


def skip(
    evaluated: Evaluated, step: str, why: str, reading: str | None, cylinder: str | None
) -> NewEntry:
    """A step or one reading skipped, with the reason.

    Raises:
        BadInput: no such step, reading or cylinder; no reason.
        Refused: the reading has a value, which would go on to stand.
    """
    evaluated.validator.step(step)
    if reading is not None:
        evaluated.validator.without_value(Target(step, reading, cylinder))
    why = required_text("the reason", why)
    return "skipped", {"step": step, "reading": reading, "cylinder": cylinder, "why": why}


def note(evaluated: Evaluated, step: str, text: str) -> NewEntry:
    """Words at a step."""
    evaluated.validator.step(step)
    return "note", {"step": step, "text": required_text("the note", text)}


def finding(evaluated: Evaluated, step: str, text: str, cylinder: str | None) -> NewEntry:
    """A finding in a person's own words; its id (F1, F2 ...) is the key `id`."""
    evaluated.validator.step(step)
    if cylinder is not None:
        evaluated.validator.cylinder(cylinder)
    return "finding", {
        "id": _next_id("F", (each.id for each in evaluated.session.findings)), "step": step,
        "text": required_text("the finding", text), "cylinder": cylinder,
    }  # fmt: skip


def added_step(evaluated: Evaluated, section: str, title: str, unit: str) -> NewEntry:
    """A step thought of on the spot; its id (added-1 ...) is the key `step`."""
    known = [each.id for each in evaluated.results.checklist.section]
    if section not in known:
        raise BadInput(
            f"There is no section '{sanitize(section)}'.", suggest_or_list(section, known)
        )
    if unit:
        units.unit(unit)
    return "step-added", {
        "section": section,
        "step": _next_id("added-", (each.id for each in evaluated.session.added)),
        "title": required_text("the title", title), "unit": unit or None,
    }  # fmt: skip


def caution_text(evaluated: Evaluated, step: str) -> str:
    """The caution of a step; of the whole list for ""."""
    if not step:
        return "\n".join(evaluated.results.checklist.cautions)
    return evaluated.evaluator.compiled.steps[step].caution


def caution_confirmed(evaluated: Evaluated, step: str) -> bool:
    """Whether a person confirmed the caution of a step (or of the list, "") in this session."""
    return any(one.step == step and not one.printed for one in evaluated.session.cautions)


def begin(evaluated: Evaluated, step: str) -> tuple[NewEntry, ...]:
    """The person goes on at a step that starts the engine or moves the machine.

    What they were told before it, the gates that are open, stands beside the step's own caution
    where that was not confirmed yet. BadInput: the step begins nothing.
    """
    begins = evaluated.validator.step(step).begins
    if not begins:
        raise BadInput(f"Step '{sanitize(step)}' starts and moves nothing.")
    what = "the engine runs" if begins == "start" else "the machine moves"
    advice = evaluated.results.step(step).advice
    told = advice or (f"Before {what}: no safety step is open.",)
    cautions = [" ".join(told)]
    if caution_text(evaluated, step) and not caution_confirmed(evaluated, step):
        cautions.insert(0, caution_text(evaluated, step))
    return tuple(("caution", {"step": step, "text": text}) for text in cautions)


def conditions(said: Mapping[str, str]) -> NewEntry:
    """The air of the day, as typed: temperature, qnh, altitude, relative_humidity."""
    for name, text in said.items():
        if name not in ambient.UNITS:
            hint = suggest_or_list(name, list(ambient.UNITS))
            raise BadInput(f"'{sanitize(name)}' is no condition.", hint)
        ambient.typed(name, text)
    return "conditions", {name: sanitize(text) for name, text in said.items()}


def moved(evaluated: Evaluated, target: Target, from_phase: Phase) -> NewEntry:
    """A value that was put in the wrong phase, moved to the other one."""
    evaluated.validator.place(target)
    recorded = evaluated.session.readings.get((*dataclasses.astuple(target), from_phase))
    if recorded is None:
        raise BadInput(f"{target} has no value {from_phase.replace('-', ' ')} to move.")
    to: Phase = "as-left" if from_phase == "as-found" else "as-found"
    (one,) = evaluated.validator.validate([(target, recorded.entered)], to, recorded.gauge)
    return "reading", {
        "step": target.step, "reading": target.reading, "cylinder": target.cylinder,
        "phase": to, "entered": one.entered,
        "value": recorded.value if recorded.photo else logged(one.value),
        "photo": recorded.photo or None, "unit": one.unit or None,
        "verdict": one.judged.verdict,
        "state": recorded.state or None, "gauge": recorded.gauge or None,
        "moved_from": from_phase,
    }  # fmt: skip


def _next_id(start: str, taken: Iterable[str]) -> str:
    """The first number behind those that are given: F1, F2 ..."""
    numbers = [int(each[len(start) :]) for each in taken if each[len(start) :].isdecimal()]
    return f"{start}{max(numbers, default=0) + 1}"
