"""What a person does in a session beside readings, decisions and the sign-off, as log entries.

Each function checks what is asked against the session as it stands and gives what is to be
written; nothing is written here. `BadInput` where something isn't there or is missing.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterable, Mapping

from inspect_tui.core.definitions.checks.figures_used import compared_with
from inspect_tui.core.definitions.sheets.typed_fact import OF_FACTS
from inspect_tui.core.definitions.sheets.typed_figure import expected_of, typed_figure, with_figures
from inspect_tui.core.definitions.spec_values import written
from inspect_tui.core.evaluation.evaluate_entries import Evaluated
from inspect_tui.core.evaluation.job.parts import parts_of
from inspect_tui.core.evaluation.validate import Target, logged
from inspect_tui.core.expressions import ambient
from inspect_tui.core.model.checklist import Checklist
from inspect_tui.core.model.declaration import ID
from inspect_tui.core.model.log_entry import NewEntry, Phase
from inspect_tui.core.model.machine import Fact, Machine
from inspect_tui.core.quantities import units
from inspect_tui.core.readings.typed_number import read_number
from inspect_tui.core.session.replay import SheetFigure
from inspect_tui.core.text.sanitize import required_text, sanitize
from inspect_tui.core.text.suggestions import suggest_or_list
from inspect_tui.errors import BadInput, Refused


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


def added_line(evaluated: Evaluated, section: str, line: str) -> NewEntry:
    """A step of a line, as lists of one's own have them: `Belt width | mm | min 33`.

    Raises:
        BadInput: nothing can be made of the line, or there is no such section.
    """
    # Late: few steps are added.
    from inspect_tui.core.definitions.own_items import step_of

    step = step_of(line, "own-1")
    (reading,) = step.get("reading", [{}])
    kind, keys = added_step(evaluated, section, step["title"], str(reading.get("unit", "")))
    return kind, {**keys, "item": sanitize(line)}


def added_taken(evaluated: Evaluated, section: str, place: str, title: str, text: str) -> NewEntry:
    """A step of another list: where it comes from (`LIST:STEP`), and the text of a list that holds
    it alone. Raises BadInput where there is no such section."""
    kind, keys = added_step(evaluated, section, title, "")
    return kind, {**keys, "use": place, "text": text}


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


def begin(evaluated: Evaluated, step: str, earlier: tuple[str, ...] = ()) -> tuple[NewEntry, ...]:
    """The person goes on at a step that starts the engine or moves the machine.

    What they were told before it, the gates that are open and what earlier sessions left, stands
    beside the step's own caution where that was not confirmed yet. BadInput: it begins nothing.
    """
    begins = evaluated.validator.step(step).begins
    if not begins:
        raise BadInput(f"Step '{sanitize(step)}' starts and moves nothing.")
    what = "the engine runs" if begins == "start" else "the machine moves"
    advice = (*evaluated.results.step(step).advice, *earlier)
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
            raise BadInput(f"'{sanitize(name)}' is no figure of the air.", hint)
        own = units.unit(ambient.UNITS[name])
        value = ambient.typed(name, text)
        unit = read_number(sanitize(text), own).unit
        ambient.refuse_impossible(name, value, unit)
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
        "paper": recorded.paper or None, "moved_from": from_phase,
    }  # fmt: skip


def _next_id(start: str, taken: Iterable[str]) -> str:
    """The first number behind those that are given: F1, F2 ..."""
    numbers = [int(each[len(start) :]) for each in taken if each[len(start) :].isdecimal()]
    return f"{start}{max(numbers, default=0) + 1}"


# --- the job and its sheet ------------------------------------------------------------------------


def taken_back(evaluated: Evaluated) -> tuple[NewEntry, str]:
    """The last reading taken back, and in words which it is and what stands again.

    Raises:
        Refused: there is no reading.
    """
    session = evaluated.session
    if not session.readings:
        raise Refused("There is no reading to take back.")
    last = max(session.readings.values(), key=lambda recorded: recorded.n)
    target = Target(last.step, last.reading, last.cylinder)
    words = f"Taken back: {target} {last.phase.replace('-', ' ')}, {last.entered}."
    return ("withdrawn", {"of": last.n}), words


def widened(evaluated: Evaluated, ids: Iterable[str]) -> NewEntry | None:
    """Sections or steps that the job takes in after all; None where it takes them in already.

    Raises:
        BadInput: there is no such section or step, or none is named.
    """
    results = evaluated.results
    named = list(dict.fromkeys(ids))
    if not named:
        raise BadInput("No section or step is named.", "Name those that the job takes in.")
    check_job_ids(results.checklist, named)
    out = {result.step.id: result.section for result in results.steps if result.state == "left-out"}
    taken_in = [each for each in named if each in out or each in out.values()]
    return ("widened", {"ids": taken_in}) if taken_in else None


def check_job_ids(checklist: Checklist, ids: Iterable[str]) -> None:
    """Raises BadInput for the first that is no section or step of the list."""
    known = [section.id for section in checklist.section]
    known += [step.id for step in checklist.steps]
    for each in ids:
        if each not in known:
            raise BadInput(
                f"There is no section or step '{sanitize(each)}'.", suggest_or_list(each, known)
            )


def set_aside(why: str) -> NewEntry:
    """The session was begun by mistake."""
    return "set-aside", {"why": required_text("the reason", why)}


def sheet_figure(
    evaluated: Evaluated, name: str, cylinder: str | None, text: str, source: str
) -> NewEntry:
    """A figure of the machine sheet, as it was typed, with where it comes from.

    Raises:
        BadInput: no such cylinder, a name that is none, no value, no source, or a value that
            doesn't fit where the list asks for it.
    """
    if not re.fullmatch(ID, name):
        raise BadInput(
            f"'{sanitize(name)[:80]}' is no name of a figure.",
            "Write a letter, then letters, digits, - or _.",
        )
    if cylinder is not None:
        evaluated.validator.cylinder(cylinder)
    compiled, machine = evaluated.evaluator.compiled, evaluated.results.machine
    about = compiled.checklist.figure.get(name)
    expected = expected_of(name, machine, about, compared_with(compiled, written(name)))
    value = typed_figure(name, text, machine, expected, cylinder).value
    source = required_text("the source", source)
    session = evaluated.session
    entered = SheetFigure(name, cylinder, value, source, session.last, session.by, session.entries)
    _check_fit(evaluated, entered)
    return "sheet", {
        "name": name, "cylinder": cylinder,
        "value": list(value) if isinstance(value, tuple) else value, "source": source,
    }  # fmt: skip


def sheet_fact(evaluated: Evaluated, name: str, fact: Fact, source: str) -> NewEntry:
    """A fact of the machine, with where it comes from.

    Raises:
        BadInput: a name that is none, no source, or a value that doesn't fit where the list asks
            for it.
    """
    if not re.fullmatch(ID, name):
        raise BadInput(f"'{sanitize(name)[:80]}' is no name of a fact.")
    source = required_text("the source", source)
    session, name = evaluated.session, f"{OF_FACTS}{name}"
    entered = SheetFigure(name, None, fact, source, session.last, session.by, session.entries)
    _check_fit(evaluated, entered)
    return "sheet", {"name": name, "cylinder": None, "value": fact, "source": source}


def _check_fit(evaluated: Evaluated, figure: SheetFigure) -> None:
    """Raises BadInput where a figure makes a new problem of the list and the sheet together."""
    # Late: the checks of a list are wanted here alone, and not where a session is opened.
    from inspect_tui.core.definitions import load as definitions
    from inspect_tui.core.definitions.compose import Composed

    text = evaluated.session.checklist_text
    loaded = definitions.Loaded(compiled=evaluated.evaluator.compiled, composed=Composed({}, text))

    def problems(machine: Machine) -> list[str]:
        found = definitions.check_together(loaded, text, "", machine)
        return [problem.message for problem in found if not problem.note]

    machine = evaluated.results.machine
    before = problems(machine)
    given = [(figure.name, figure.value, figure.cylinder)]
    for message in problems(with_figures(machine, evaluated.evaluator.compiled, given)):
        if message not in before:
            raise BadInput(f"{figure.name} can't be '{figure.value}': {message}")


def part_state(evaluated: Evaluated, part: str, state: str) -> NewEntry:
    """A part that was to be got, got or fitted. Raises BadInput for one that nobody wants."""
    known = [each.part for each in parts_of(evaluated.session)]
    if part not in known:
        hint = suggest_or_list(part, known) if known else "Nothing is to be got."
        raise BadInput(f"There is no part '{sanitize(part)}' to get.", hint)
    return "part", {"part": part, "state": state}
