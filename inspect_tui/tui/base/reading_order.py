"""The order in which readings are asked, and which one is next. Pure.

Readings go step by step; in a step reading by reading, each across the cylinders, because that is
how a gauge is carried along the engine. A step with a timer goes cylinder by cylinder: what is
pumped up is read again after the time, before the pump goes to the next one.
"""

from __future__ import annotations

from collections.abc import Iterable

from inspect_tui.core.model.checklist import Reading, Step
from inspect_tui.core.model.log_entry import AS_FOUND, AS_LEFT, Phase
from inspect_tui.core.model.results import NOT_OF_THE_JOB, Results, SettingRow, StepResult
from inspect_tui.core.model.targets import Target


def is_timed(step: Step) -> bool:
    """Whether time passes in a step, so that each cylinder is done with before the next."""
    return any(reading.kind == "timer" for reading in step.readings)


def targets(step: Step, cylinders: tuple[str, ...]) -> list[Target]:
    """Every reading of a step in the order in which they are asked."""
    across: tuple[str | None, ...] = cylinders if step.per_cylinder else (None,)
    if is_timed(step):
        return [Target(step.id, reading.id, name) for name in across for reading in step.readings]
    return [Target(step.id, reading.id, name) for reading in step.readings for name in across]


def reading_of(results: Results, target: Target) -> Reading:
    """The reading that a target names."""
    step = results.step(target.step).step
    return next(reading for reading in step.readings if reading.id == target.reading)


def every_target(results: Results) -> list[Target]:
    """Every reading of the list; steps that this machine doesn't need are left out."""
    return [
        target
        for result in results.steps
        if result.state not in NOT_OF_THE_JOB
        for target in targets(result.step, results.machine.cylinders)
    ]


def waits(results: Results, target: Target) -> bool:
    """Whether this reading still wants a value."""
    result = results.step(target.step)
    return result.state == "open" and (target.reading, target.cylinder) in result.waiting


def wants_as_left(results: Results, target: Target) -> bool:
    """Whether this reading has no as-left value yet, or one that was upset since."""
    result = results.step(target.step)
    if result.state == "skipped":
        return False
    if (target.reading, target.cylinder) in result.stale:
        return True
    return results.row(target.step, target.reading, target.cylinder, AS_LEFT) is None


def is_left_to_choice(results: Results, target: Target) -> bool:
    """Whether this reading is optional and was neither taken nor skipped."""
    result = results.step(target.step)
    if not reading_of(results, target).optional or result.state in ("skipped", *NOT_OF_THE_JOB):
        return False
    if any((target.reading, each) in result.skipped_readings for each in (target.cylinder, None)):
        return False
    return results.row(target.step, target.reading, target.cylinder, AS_FOUND) is None


def next_target(
    results: Results,
    at: Target | None,
    step: str,
    phase: Phase,
    passed: frozenset[Target] = frozenset(),
) -> Target | None:
    """The reading that is asked after `at` (or first in `step`); None when nothing is left.

    As found: the next one without a value, further down the list, then from its top; an optional
    one is asked once in its turn, in a step that is being done. As left: the rest of the step, then
    the steps that have an open finding or were upset since.

    Args:
        results: What stands.
        at: The reading before.
        step: The step that the person is at.
        phase: What is recorded.
        passed: Optional readings that were asked and left out.
    """
    ordered = every_target(results)
    later = _from(ordered, at, step)
    if phase != AS_LEFT:
        below = later[: len(ordered) - ordered.index(at) - 1] if at in ordered else []
        for target in later:
            if waits(results, target):
                return target
            if target not in below or target in passed:
                continue
            if _in_turn(results, target, step) and is_left_to_choice(results, target):
                return target
        return None
    found = {finding.step for finding in results.findings if finding.open}
    found |= {result.step.id for result in results.steps if result.state == "again"}
    here = [target for target in later if target.step == step]
    begun = here if at is None else here[: _before(here, ordered, at)]
    for target in begun + [target for target in later if target.step in found]:
        if wants_as_left(results, target):
            return target
    return None


def _in_turn(results: Results, target: Target, step: str) -> bool:
    """Whether an optional reading's step is the one being done, or still to be done."""
    result = results.step(target.step)
    if target.step == step or result.state == "open":
        return True
    return result.not_made and all(reading.optional for reading in result.step.readings)


def ahead(results: Results, at: Target | None, phase: Phase, most: int) -> list[Target]:
    """The reading that is asked and those that follow it, as far as that can be known now.

    As left it can't be known beyond the first: a value may close a finding or ask for a move.
    """
    if at is None:
        return []
    if phase == AS_LEFT:
        return [at][:most]
    rest = (each for each in _from(every_target(results), at, at.step) if waits(results, each))
    return [at, *(each for each in rest if each != at)][:most]


def move_at(results: Results, at: Target | None) -> SettingRow | None:
    """The next move of the setting that a reading belongs to."""
    return next(
        (
            row
            for row in results.settings
            if at is not None
            and (row.step, row.reading, row.cylinder) == (at.step, at.reading, at.cylinder)
        ),
        None,
    )


def move_after(results: Results, at: Target) -> SettingRow | None:
    """The move that is suggested since `at` was read."""
    for row in results.settings:
        mine = (row.step, row.cylinder) == (at.step, at.cylinder)
        if mine and row.suggested and at.reading in row.rests_on:
            return row
    return None


def measured_again(results: Results, at: Target) -> Target | None:
    """What is measured again as left after a move that `at` leads to; None where none is left.

    A move that rests on several readings of the step (left and right) wants all of them anew; the
    one that was taken longest ago is asked.
    """
    move = move_after(results, at)
    if move is None:
        return None
    taken = [results.row(at.step, reading, at.cylinder, AS_LEFT) for reading in move.rests_on]
    ages = [-1 if row is None else row.n for row in taken]
    return Target(at.step, move.rests_on[ages.index(min(ages))], at.cylinder)


def to_be_left(results: Results, step: str, last: Target | None) -> Target | None:
    """Where the cursor goes on turning to as left: where a move was made, else `first_in`."""
    found = None if last is None else move_after(results, last)
    if found is not None:
        return Target(found.step, found.reading, found.cylinder)
    for target in targets(results.step(step).step, results.machine.cylinders):
        row = move_at(results, target)
        if row is not None and row.suggested:
            return target
    return first_in(results, step, AS_LEFT)


def first_in(results: Results, step: str, phase: Phase) -> Target | None:
    """Where the cursor goes on coming to a step: its first open reading, else its first."""
    mine = targets(results.step(step).step, results.machine.cylinders)
    wanted = wants_as_left if phase == AS_LEFT else waits
    return next((t for t in mine if wanted(results, t)), mine[0] if mine else None)


def beside(results: Results, at: Target | None, step: str, by: int) -> Target | None:
    """The reading `by` places further in the list's order; the last one stays the last."""
    ordered = every_target(results)
    if at not in ordered:
        return first_in(results, step, "as-found")
    return ordered[max(0, min(len(ordered) - 1, ordered.index(at) + by))]


def in_grid(results: Results, at: Target, down: int, across: int) -> Target | None:
    """The neighbour in a per-cylinder step's grid; None at its edge."""
    step = results.step(at.step).step
    names = results.machine.cylinders
    if not step.per_cylinder or at.cylinder not in names:
        return None
    row = [reading.id for reading in step.readings].index(at.reading) + down
    column = names.index(at.cylinder) + across
    if not (0 <= row < len(step.readings) and 0 <= column < len(names)):
        return None
    return Target(at.step, step.readings[row].id, names[column])


def end_of(results: Results, step: str, *, last: bool) -> Target | None:
    """A step's first or last reading (in a grid, of its first cylinder)."""
    mine = targets(results.step(step).step, results.machine.cylinders)
    if last and mine:
        return next(target for target in mine if target.reading == mine[-1].reading)
    return mine[0] if mine else None


def step_beside(results: Results, step: str, by: int) -> str:
    """The step `by` places further in the list."""
    ids = [result.step.id for result in results.steps]
    return ids[max(0, min(len(ids) - 1, ids.index(step) + by))]


def to_measure_again(results: Results) -> str | None:
    """The first step whose readings were upset since they were taken."""
    return next((result.step.id for result in results.steps if result.state == "again"), None)


def next_finding(results: Results, step: str) -> str | None:
    """The next step, going round, that a finding without a decision speaks of."""
    found = {finding.step for finding in results.findings if finding.open}
    ids = [result.step.id for result in results.steps]
    start = ids.index(step) + 1
    return next((name for name in ids[start:] + ids[:start] if name in found), None)


def matching(results: Results, words: str) -> list[StepResult]:
    """The steps whose section, title or id holds every typed word; titles that begin so first."""
    wanted = words.casefold().split()
    titles = {section.id: section.title for section in results.checklist.section}

    def text(result: StepResult) -> str:
        section = titles.get(result.section, result.section)
        return f"{result.step.title} {result.step.id} {section}".casefold()

    hits = [result for result in results.steps if all(word in text(result) for word in wanted)]
    return sorted(hits, key=lambda hit: not text(hit).startswith(tuple(wanted[:1])))


def _from(ordered: list[Target], at: Target | None, step: str) -> list[Target]:
    """The targets that come after `at`, going round; without `at` from the step's first."""
    if at in ordered:
        start = ordered.index(at) + 1
    else:
        start = next((i for i, target in enumerate(ordered) if target.step == step), 0)
    return ordered[start:] + ordered[:start]


def _before(here: Iterable[Target], ordered: list[Target], at: Target) -> int:
    """How many of a step's targets lie below `at` (the rest come round from the top)."""
    place = ordered.index(at) if at in ordered else -1
    return sum(1 for target in here if ordered.index(target) > place)


def number_of(results: Results, step: str) -> str:
    """The place of a step among those of the job, as on blank sheets; "" for another one."""
    of_job = [each.step.id for each in results.steps if each.state not in NOT_OF_THE_JOB]
    return str(of_job.index(step) + 1) if step in of_job else ""


def sheet_of(results: Results, step: str) -> str:
    """The same for a title block, where another one is said in words."""
    return number_of(results, step) or "not of this job"
