"""Findings with their decisions: what was decided, and whether that still counts.

A decision holds for what it was made on: the values, the air and the figures of the sheet that the
finding rests on. A decision on the finding that explains others is theirs too, unless they got
their own, and as long as it holds for both.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, Literal

from inspect_tui.core.definitions.spec_values import written
from inspect_tui.core.evaluation.conclusions.candidate import CandidateFinding
from inspect_tui.core.evaluation.conclusions.grouping import explained, in_order
from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.model.log_entry import AS_FOUND, AS_LEFT, Phase
from inspect_tui.core.model.results import Finding
from inspect_tui.core.session.replay import Decision, Key, Session

_NOTHING = object()
_PHASES: tuple[Phase, Phase] = (AS_LEFT, AS_FOUND)
Changed = Literal["", "value", "air", "sheet"]


def decided(evaluation: Evaluator, cases: Sequence[CandidateFinding]) -> tuple[Finding, ...]:
    """Every finding with its decision: those worked out and a person's own, safety first."""
    steps = evaluation.compiled.checklist.steps
    safety = {step.id for step in steps if step.is_safety}
    by_id = {case.id: case for case in cases}
    under = explained(cases)
    worked_out = [_decided(evaluation, case, by_id.get(under.get(case.id, ""))) for case in cases]
    return in_order((*worked_out, *_persons(evaluation.session)), safety)


def _persons(session: Session) -> Iterator[Finding]:
    for finding in session.findings:
        decision = session.decisions.get(finding.id)
        made = None if decision is None else decision.decision
        yield Finding(
            finding.id, finding.step, None, finding.cylinder, finding.text, (), made,
            counts=made is not None, open=made not in ("run-as-found", "put-right"),
            kind="person", **_words(decision),
        )  # fmt: skip


def _words(decision: Decision | None) -> dict[str, Any]:
    """What a decision says beside itself."""
    if decision is None:
        return {}
    return {
        "why": decision.why, "until": decision.until, "part": decision.part,
        "quantity": decision.quantity, "number": decision.number,
    }  # fmt: skip


def _decided(
    evaluation: Evaluator, case: CandidateFinding, head: CandidateFinding | None
) -> Finding:
    decision, changed = _standing(evaluation, case, head)
    holds = decision is not None and not changed
    made = None if decision is None else decision.decision
    wants = case.is_active and not case.remark
    counts = not wants or (holds and made in ("run-as-found", "later", "get-part"))
    return Finding(
        case.id, case.step, case.reading, case.cylinder, case.text, case.evidence, made,
        counts=counts, open=wants and not (holds and made == "run-as-found"),
        sure=case.sure, look_at=case.look_at, kind=case.kind,  # type: ignore[arg-type]
        superseded_by=changed, remark=case.remark, is_active=case.is_active,
        under=None if head is None else head.id, **_words(decision),
    )  # fmt: skip


def _standing(
    evaluation: Evaluator, case: CandidateFinding, head: CandidateFinding | None
) -> tuple[Decision | None, Changed]:
    """The decision of a finding, and what has changed since so that it holds no longer.

    Its own, if that holds; else that of the finding which explains it, if that holds for both.
    """
    decisions = evaluation.session.decisions
    own = decisions.get(case.id)
    changed: Changed = "" if own is None else _changed(evaluation, case, own)
    if (own is not None and not changed) or head is None:
        return own, changed
    shared = decisions.get(head.id)
    if shared is None or (own is not None and shared.n < own.n):
        return own, changed
    if _changed(evaluation, head, shared) or _changed(evaluation, case, shared):
        return own, changed
    return shared, ""


def _changed(evaluation: Evaluator, case: CandidateFinding, decision: Decision) -> Changed:
    """What has changed since a decision was made, so that it holds no longer."""
    session = evaluation.session
    changed = {place[:2] for place in case.places if _then(decision, place) != _now(session, place)}
    own = (case.step, case.reading)
    if any(place == own or not evaluation.definitions.says_air(*place) for place in changed):
        return "value"
    if not case.figures.isdisjoint(_figures_since(session, decision)):
        return "sheet"
    return "air" if changed or (case.air and decision.air != session.conditions) else ""


def _then(decision: Decision, place: Key) -> object:
    """The value that counted for a reading when a decision was made: as left where there was."""
    for phase in _PHASES:
        if (*place, phase) in decision.basis:
            return decision.basis[*place, phase]
    return _NOTHING


def _now(session: Session, place: Key) -> object:
    for phase in _PHASES:
        if (*place, phase) in session.readings:
            return session.readings[*place, phase].value
    return _NOTHING


def _figures_since(session: Session, decision: Decision) -> set[str]:
    """The figures of the sheet that were given another value since, as expressions write them."""
    found: set[str] = set()
    known: dict[tuple[str, str | None], object] = {}
    for figure in session.figures:
        key = written(figure.name), figure.cylinder
        if figure.n > decision.n and known.get(key, _NOTHING) != figure.value:
            found.add(key[0])
        known[key] = figure.value
    return found
