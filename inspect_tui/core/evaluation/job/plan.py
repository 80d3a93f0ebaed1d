"""The plan: what stops the start, what is to be measured again, what is left, how long it takes.

And the one count of steps that screens, commands and reports show.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from inspect_tui.core.evaluation.conclusions.grouping import to_decide
from inspect_tui.core.evaluation.job.parts import parts_of
from inspect_tui.core.evaluation.job.safety import safety_trouble
from inspect_tui.core.model.results import NOT_OF_THE_JOB, Results, StepResult, StepState
from inspect_tui.core.session.replay import Session

_LEFT: Final[tuple[StepState, ...]] = ("open", "again")


@dataclass(frozen=True, slots=True)
class Count:
    """How far the job is."""

    done: int
    """Steps that are done or skipped; not those that are to be measured again.

    A step whose readings are all optional is done from the start, and counts once something is said
    at it: a count that began with it would claim work that nobody did.
    """
    of: int
    """Steps of the job: without those left out and those that this machine does not need."""


@dataclass(frozen=True, slots=True)
class SectionToDo:
    """What is left to do in one section."""

    section: str
    steps: tuple[str, ...]
    minutes: int | float
    tools: tuple[str, ...]
    """What to fetch, each once."""


@dataclass(frozen=True, slots=True)
class Plan:
    """What stands before the first ride, and what comes next."""

    stops_start: tuple[str, ...]
    """Gates before the engine runs that have not passed."""
    stops_move: tuple[str, ...]
    """Gates before the machine moves that have not passed."""
    again: tuple[str, ...]
    """Steps whose readings were upset since."""
    to_decide: tuple[str, ...]
    """Findings without a decision that counts, of a group the one that explains it."""
    to_get: tuple[str, ...]
    """Parts."""
    to_do: tuple[SectionToDo, ...]
    """Open steps and those to be measured again, by section."""
    minutes_left: int | float
    done: int
    of: int
    next: str | None
    """The step to go on at."""


def count_of(steps: Iterable[StepResult]) -> Count:
    """How far the job is."""
    of_job = [result for result in steps if result.state not in NOT_OF_THE_JOB]
    over = [each for each in of_job if each.state in ("done", "skipped") and not each.is_untouched]
    return Count(len(over), len(of_job))


def failed_of(steps: Iterable[StepResult]) -> int:
    """How many steps of the job have something out of its limits, or had it as found."""
    of_job = (result for result in steps if result.state not in NOT_OF_THE_JOB)
    return sum(result.failed or result.failed_before for result in of_job)


def left_in_order(steps: Iterable[StepResult]) -> list[StepResult]:
    """The steps to do: to be measured again first, then gates, then in the list's order."""
    return sorted((result for result in steps if result.state in _LEFT), key=_rank)


def plan_of(session: Session, results: Results) -> Plan:
    """The plan of a session as it stands."""
    steps = results.steps
    left = [result for result in steps if result.state in _LEFT]
    ranked = left_in_order(steps)
    count = count_of(steps)
    return Plan(
        _stops(steps, "start"), _stops(steps, "move"),
        tuple(result.step.id for result in left if result.state == "again"),
        tuple(finding.id for finding in to_decide(results.findings)),
        tuple(part.part for part in parts_of(session) if part.state == "to get"),
        _to_do(left), _minutes(left), count.done, count.of, ranked[0].step.id if ranked else None,
    )  # fmt: skip


def _stops(steps: Iterable[StepResult], gate: str) -> tuple[str, ...]:
    return tuple(
        result.step.id
        for result in steps
        if result.step.gate == gate
        and result.state not in NOT_OF_THE_JOB
        and safety_trouble(result)
    )


def _to_do(left: Iterable[StepResult]) -> tuple[SectionToDo, ...]:
    sections: dict[str, list[StepResult]] = {}
    for result in left:
        sections.setdefault(result.section, []).append(result)
    return tuple(
        SectionToDo(
            section, tuple(result.step.id for result in results), _minutes(results),
            tuple(dict.fromkeys(tool for result in results for tool in result.step.tools)),
        )
        for section, results in sections.items()
    )  # fmt: skip


def _minutes(results: Iterable[StepResult]) -> int | float:
    return sum(result.step.minutes or 0 for result in results)


def _rank(result: StepResult) -> int:
    if result.state == "again":
        return 0
    return 1 if result.step.gate else 2
