"""Which safety steps have not passed, and what is said before the engine runs or it moves."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Final

from inspect_tui.core.model.results import NOT_OF_THE_JOB, StepResult
from inspect_tui.core.text.formatting import join_words

FAILED_AND_AGAIN: Final = "failed, and is to be measured again"
"""The trouble of a step that failed, whose values other work upset since."""


def safety_trouble(result: StepResult) -> str:
    """What keeps a step from counting as passed: `failed`, `is too close to call`; "" for nothing.

    For a step of the job; what is left out or not needed has no say here.
    """
    if result.state == "again" and (result.failed or result.failed_before):
        return FAILED_AND_AGAIN
    if result.failed:
        return "failed"
    if result.uncertain:
        return "is too close to call"
    if result.state == "skipped" or (result.state == "done" and result.skipped_readings):
        required = {reading.id for reading in result.step.readings if not reading.optional}
        if result.state == "skipped" or any(
            reading in required for reading, _ in result.skipped_readings
        ):
            return "was skipped"
    if result.state == "again":
        return "is to be measured again"
    if result.state == "open" or result.not_made:
        return "was not done"
    if result.unjudged:
        return f"was not done: {join_words(result.unjudged, most=3)}"
    return ""


def open_gates(begins: str, results: Iterable[StepResult]) -> list[StepResult]:
    """The gates that have not passed before the engine runs or the machine moves.

    Those that the job leaves out are among them.
    """
    wanted = ("start",) if begins == "start" else ("start", "move")
    return [
        result
        for result in results
        if result.step.gate in wanted
        and result.state != "not-needed"
        and (result.state == "left-out" or safety_trouble(result) != "")
    ]


def advice(results: Mapping[str, StepResult]) -> dict[str, tuple[str, ...]]:
    """By step: what it would not follow, or did not; steps without any are left out."""
    disturbed: dict[str, list[str]] = {}
    for result in results.values():
        if result.state == "open":
            for step in dict.fromkeys(result.step.disturbed_by):
                disturbed.setdefault(step, []).append(result.step.id)
    gates = [step for step, result in results.items() if result.step.gate]
    said = {step: advice_of(step, results, disturbed.get(step, ()), gates) for step in results}
    return {step: texts for step, texts in said.items() if texts}


def advice_of(
    step_id: str,
    results: Mapping[str, StepResult],
    disturbed: Iterable[str],
    gates: Iterable[str],
    *,
    measuring: bool = False,
) -> tuple[str, ...]:
    """What one step would not follow, or did not.

    Args:
        step_id: Which step.
        results: By step; only what the advice rests on is looked up.
        disturbed: The steps that name it in `disturbed_by`, in the list's order.
        gates: The steps that are a gate, in the list's order.
        measuring: Whether it is being measured as left, which is what an upset step wants.
    """
    result = results[step_id]
    step = result.step
    if result.state in NOT_OF_THE_JOB:
        return ()
    # A step may name another in both: it is recorded as found before that one's work, and measured
    # again after it. To say that the other comes first would be the wrong way round.
    said = [
        f"'{results[other].step.title}' should come before this step and is {results[other].state}."
        for other in step.after
        if other not in step.disturbed_by
        and other in results
        and results[other].state in ("open", "skipped")
    ]
    said += [
        f"'{results[other].step.title}' records what this step disturbs: record it first."
        for other in disturbed
        if results[other].state == "open"
    ]
    if result.upset_by and not measuring:
        said.append(
            f"'{results[result.upset_by].step.title}' upset what was recorded here: measure it "
            "again as left; the same value will do."
        )
    if step.begins:
        said += [
            _gate_words(gate) for gate in open_gates(step.begins, map(results.__getitem__, gates))
        ]
    return tuple(said)


def _gate_words(result: StepResult) -> str:
    before = "the engine runs" if result.step.gate == "start" else "the machine moves"
    left_out = result.state == "left-out"
    trouble = "is left out of this job" if left_out else safety_trouble(result)
    return f"Before {before}: '{result.step.title}' {trouble}."
