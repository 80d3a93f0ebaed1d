"""Findings under what explains them: parts exchanged first, then inferences, the surest first.

A finding stands under one that speaks now and takes in what it was found at. One cylinder out of
family stands under its own value, where that fails by itself; what is worked out in a step stands
under a reading of that step which it rests on and which fails by itself.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Sequence

from inspect_tui.core.evaluation.conclusions.candidate import CandidateFinding
from inspect_tui.core.model.results import Finding
from inspect_tui.core.session.replay import Key

_SURE = {"high": 1, "medium": 2, "low": 3}


def explained(cases: Sequence[CandidateFinding]) -> dict[str, str]:
    """By finding: the one that explains it; those that none explains are left out."""
    speaking = [case for case in cases if case.is_active and not case.remark and case.explains]
    heads = sorted((case for case in speaking if case.kind != "value"), key=_rank)
    by_place: dict[Key, str] = {}
    for head in heads:
        for place in head.explains:
            by_place.setdefault(place, head.id)
    own = {place: case.id for case in speaking if case.kind == "value" for place in case.explains}
    found: dict[str, str] = {}
    for case in cases:
        if case.kind not in ("value", "out-of-family") or case.reading is None:
            continue
        place = (case.step, case.reading, case.cylinder)
        head_id = by_place.get(place) or _of_inputs(heads, case)
        if head_id is None and case.kind == "out-of-family":
            head_id = own.get(place)
        if head_id is not None:
            found[case.id] = head_id
    for case in cases:
        if case.kind == "value" and case.id not in found:
            inputs = (own.get(each) for each in case.rests_on if each[0] == case.step)
            # One that is explained itself does not explain all that this one rests on.
            failing = (each for each in inputs if each is not None and each not in found)
            if (input_id := next(failing, None)) is not None:
                found[case.id] = input_id
    return found


def _rank(case: CandidateFinding) -> int:
    return 0 if case.kind == "exchanged" else _SURE.get(case.sure, len(_SURE) + 1)


def _of_inputs(heads: Iterable[CandidateFinding], case: CandidateFinding) -> str | None:
    """What explains all that a derived value rests on."""
    if not case.rests_on:
        return None
    return next((head.id for head in heads if head.explains.issuperset(case.rests_on)), None)


def in_order(findings: Iterable[Finding], safety: Container[str]) -> tuple[Finding, ...]:
    """Those of safety steps first, remarks last, each followed by what stands under it.

    Args:
        findings: In the list's order.
        safety: The ids of safety steps.
    """
    findings = tuple(findings)
    known = {finding.id for finding in findings}
    under: dict[str, list[Finding]] = {}
    heads: list[Finding] = []
    for finding in findings:
        if finding.under in known:
            under.setdefault(finding.under or "", []).append(finding)
        else:
            heads.append(finding)

    def rank(head: Finding) -> tuple[bool, bool]:
        group = (head, *under.get(head.id, ()))
        return head.remark, not any(each.step in safety for each in group)

    heads.sort(key=rank)
    return tuple(each for head in heads for each in (head, *under.get(head.id, ())))


def to_decide(findings: Sequence[Finding]) -> list[Finding]:
    """The findings that want a decision; those under one that wants it too wait for that one."""
    undecided = {finding.id for finding in findings if not finding.counts}
    return [
        finding
        for finding in findings
        if finding.id in undecided and finding.under not in undecided
    ]
