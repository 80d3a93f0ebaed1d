"""Findings under what explains them: parts exchanged first, then inferences, the surest first.

A finding stands under one that speaks now and takes in what it was found at. One cylinder out of
family stands under its own value, where that fails by itself.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Sequence

from inspect_tui.core.evaluation.candidate import CandidateFinding
from inspect_tui.core.model.results import Finding

_SURE = {"high": 1, "medium": 2, "low": 3}


def explained(cases: Sequence[CandidateFinding]) -> dict[str, str]:
    """By finding: the one that explains it; those that none explains are left out."""
    heads = [case for case in cases if case.is_active and not case.remark and case.explains]
    heads.sort(key=_rank)
    found: dict[str, str] = {}
    for case in cases:
        if case.kind not in ("value", "out-of-family"):
            continue
        head = next((head for head in heads if _takes_in(head, case)), None)
        if head is not None:
            found[case.id] = head.id
    return found


def _rank(case: CandidateFinding) -> int:
    if case.kind == "exchanged":
        return 0
    return _SURE.get(case.sure, 3) if case.kind == "inference" else 4


def _takes_in(head: CandidateFinding, case: CandidateFinding) -> bool:
    if head.kind == "value" and case.kind != "out-of-family":
        return False
    if (case.step, case.reading, case.cylinder) in head.explains:
        return head.id != case.id
    # A derived value that rests on nothing but what is explained.
    return head.kind != "value" and bool(case.rests_on) and head.explains.issuperset(case.rests_on)


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
