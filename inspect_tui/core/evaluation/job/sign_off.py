"""The sign-off: what stands in its way, and the entry that says what was accepted in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Literal

from inspect_tui.core.evaluation.conclusions.grouping import to_decide
from inspect_tui.core.evaluation.job.safety import FAILED_AND_AGAIN, safety_trouble
from inspect_tui.core.model.results import (
    NOT_OF_THE_JOB,
    Finding,
    Results,
    SignoffBlocker,
    StepResult,
)
from inspect_tui.core.presentation.wording import decision_words
from inspect_tui.core.text.formatting import join_words, pluralize
from inspect_tui.core.text.sanitize import sanitize
from inspect_tui.core.text.suggestions import suggest_or_list
from inspect_tui.errors import BadInput, Refused

MOST_NAMED = 4
"""Readings of a step that are named where it is open."""


def blockers(
    steps: Sequence[StepResult], findings: Iterable[Finding]
) -> tuple[SignoffBlocker, ...]:
    """What stands in the way of the sign-off: safety steps first, then steps, then findings.

    One sentence a group: an undecided finding stands with those that it explains, and where it is
    of a safety step that has not passed, in that step's sentence.
    """
    titles = {result.step.id: result.step.title for result in steps}
    found = [_of_step(result, titles) for result in steps]
    of_steps = [blocker for blocker in found if blocker is not None]
    of_steps.sort(key=lambda blocker: blocker.kind != "safety")
    findings = tuple(findings)
    waiting: dict[str, list[str]] = {}
    for finding in findings:
        if finding.under is not None and not finding.counts:
            waiting.setdefault(finding.under, []).append(finding.id)
    unpassed = {blocker.id for blocker in of_steps if blocker.kind == "safety"}
    own: dict[str, list[SignoffBlocker]] = {}
    others: list[SignoffBlocker] = []
    for each in to_decide(findings):
        into = own.setdefault(each.step, []) if each.step in unpassed else others
        into.append(_of_finding(each, waiting.get(each.id, ())))
    with_own = (
        _with_findings(each, own.get(each.id, ())) if each.kind == "safety" else each
        for each in of_steps
    )
    return (*with_own, *others)


def _with_findings(step: SignoffBlocker, findings: Sequence[SignoffBlocker]) -> SignoffBlocker:
    """A safety step's sentence with those of its own findings."""
    if not findings:
        return step
    texts = (step.text, *(each.text for each in findings))
    return SignoffBlocker(step.kind, step.id, " ".join(map(_ended, texts)), True)


def _ended(text: str) -> str:
    return text if text.endswith((".", "!", "?")) else f"{text}."


def still_wanted(result: StepResult) -> list[str]:
    """What a step still wants, by its labels: `Bowl (PTO, centre, MAG)`, `Done`."""
    return _stale(result) if result.state == "again" else _wanted(result)


def _of_step(result: StepResult, titles: Mapping[str, str]) -> SignoffBlocker | None:
    if result.state in NOT_OF_THE_JOB:
        return None
    name = f"'{result.step.title}' ({result.step.id})"
    trouble = safety_trouble(result) if result.step.is_safety else ""
    kind: Literal["safety", "step"] = "safety" if trouble else "step"
    begin = "Safety step" if trouble else "Step"
    if result.state == "open":
        asked = "; ".join(_first(_wanted(result)))
        also = f" and it {trouble}" if trouble not in ("", "was not done") else ""
        text = f"{begin} {name} is open{also}. Still to do: {asked}."
    elif result.state == "again":
        also = "" if trouble in ("", "is to be measured again") else f" and it {trouble}"
        is_to = "is to"
        if trouble == FAILED_AND_AGAIN:
            also, is_to = "", "failed, and is to"
        text = (
            f"{begin} {name} {is_to} be measured again as left, since "
            f"'{titles[result.upset_by]}' upset it{also}: {'; '.join(_first(_stale(result)))}."
        )
    elif trouble:
        why = result.why_skipped or "; ".join(sorted(set(result.skipped_readings.values())))
        because = f": {why}" if trouble == "was skipped" and why else ""
        text = f"Safety step {name} {trouble}{because}."
    else:
        return None
    return SignoffBlocker(kind, result.step.id, text, result.state in ("open", "again"))


def _wanted(result: StepResult) -> list[str]:
    """What still wants a value, by its labels: `Bowl (PTO, centre, MAG)`, `Done`."""
    return _labelled(result, result.waiting)


def _first(labels: Sequence[str]) -> list[str]:
    """So many that they can be read; the rest is counted."""
    more = len(labels) - MOST_NAMED
    return [*labels[:MOST_NAMED], f"{more} more"] if more > 1 else list(labels)


def _stale(result: StepResult) -> list[str]:
    return _labelled(result, result.stale)


def _labelled(result: StepResult, places: Iterable[tuple[str, str | None]]) -> list[str]:
    labels = {reading.id: reading.label for reading in result.step.readings}
    cylinders: dict[str, list[str]] = {}
    for reading, cylinder in places:
        cylinders.setdefault(reading, []).extend([] if cylinder is None else [cylinder])
    return [
        f"{labels[reading]} ({', '.join(names)})" if names else labels[reading]
        for reading, names in cylinders.items()
    ]


def _of_finding(finding: Finding, waiting: Sequence[str]) -> SignoffBlocker:
    """One that wants a decision, with those that wait for the same one."""
    decided = "has no decision"
    if finding.decision == "put-right":
        decided = "is to be put right and has no passing value as left"
    elif finding.decision is not None:
        changed = {"air": "in other air", "sheet": "by another figure of the sheet"}.get(
            finding.superseded_by, "on an earlier value"
        )
        decided = f"was decided '{decision_words(finding.decision)}' {changed}"
    text = f"Finding {finding.id} {decided}: {finding.text}"
    if waiting:
        text = f"{_ended(text)} With it: {join_words(waiting, most=len(waiting))}."
    return SignoffBlocker("finding", finding.id, text, True)


def left_out_words(steps: Iterable[StepResult]) -> str:
    """What the job leaves out, in one line, safety steps by name; "" where it takes all in."""
    left = [result for result in steps if result.state == "left-out"]
    if not left:
        return ""
    safety = [f"'{result.step.title}'" for result in left if result.step.is_safety]
    others = len(left) - len(safety)
    words = "Left out of this job: "
    if safety:
        named = "the safety step" if len(safety) == 1 else "the safety steps"
        words += f"{named} {join_words(safety, most=len(safety))}"
        words += f", and {pluralize(others, 'other step')}" if others else ""
    else:
        words += pluralize(others, "step")
    return f"{words}."


def sign_off(results: Results, accept_open: str, accept: Mapping[str, str]) -> dict[str, Any]:
    """The keys of the entry `signed`.

    Args:
        results: What stands.
        accept_open: The words in which open steps and undecided findings are accepted; "" for
            none.
        accept: By safety step that has not passed: the words in which it is accepted.

    Raises:
        BadInput: a step that is accepted needs it not, or isn't there; no words.
        Refused: something is open that was not accepted, each named.
    """
    unpassed = {blocker.id for blocker in results.blockers if blocker.kind == "safety"}
    words = {step: _accepted(results, unpassed, step, text) for step, text in accept.items()}
    accept_open = sanitize(accept_open)
    refused = [
        blocker
        for blocker in results.blockers
        if (blocker.is_open and not accept_open)
        or (blocker.kind == "safety" and blocker.id not in words)
    ]
    if refused:
        hint = ""
        if any(blocker.kind == "safety" for blocker in refused):
            hint = "Each safety step is accepted by itself, in words: --accept STEP=TEXT."
        texts = "\n".join(_ended(blocker.text) for blocker in refused)
        raise Refused(f"Not signed, because this is open:\n{texts}", hint)
    left_out = left_out_words(results.steps)
    return {
        "open": [blocker.text for blocker in results.blockers],
        "accepted": accept_open or None,
        "accepted_steps": [f"{step}={text}" for step, text in words.items()] or None,
        "left_out": [left_out] if left_out else None,
    }


def _accepted(results: Results, unpassed: Iterable[str], step: str, text: str) -> str:
    known = [result.step.id for result in results.steps]
    if step not in known:
        raise BadInput(f"There is no step '{sanitize(step)}'.", suggest_or_list(step, known))
    if step not in unpassed:
        raise BadInput(
            f"'{results.step(step).step.title}' ({step}) needs no --accept.",
            "It is for safety steps that failed, are too close to call, are to be measured again "
            "or were not done.",
        )
    cleaned = sanitize(text)
    if not cleaned:
        raise BadInput(f"--accept {step}= has no words.", "Say why it is accepted.")
    return cleaned
