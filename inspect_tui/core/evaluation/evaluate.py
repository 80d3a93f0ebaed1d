"""Session -> results: how far each step is, what was advised, what blocks the sign-off."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import partial

from inspect_tui.core.evaluation.air.ambient_summary import in_force
from inspect_tui.core.evaluation.air.jet_chart_advice import charted
from inspect_tui.core.evaluation.conclusions.candidate import CandidateFinding
from inspect_tui.core.evaluation.conclusions.decided import decided
from inspect_tui.core.evaluation.conclusions.findings import DerivedRows, Rows, of_step
from inspect_tui.core.evaluation.conclusions.findings_across import of_exchanged_parts
from inspect_tui.core.evaluation.conclusions.findings_inferred import of_inference
from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.evaluation.job import adjustments
from inspect_tui.core.evaluation.job.progress import step_result, step_values
from inspect_tui.core.evaluation.job.safety import advice
from inspect_tui.core.evaluation.job.sign_off import blockers, left_out_words
from inspect_tui.core.evaluation.job.staleness import Upset, last_left, upset_of
from inspect_tui.core.evaluation.memo import Memo
from inspect_tui.core.model.checklist import Step
from inspect_tui.core.model.results import Results, SettingRow, StepResult
from inspect_tui.core.session.replay import ReadingKey, Recorded, Session


@dataclass(frozen=True, slots=True)
class _Part:
    """What one step comes to, kept while nothing that it rests on has changed."""

    rows: Rows
    derived: DerivedRows
    cases: tuple[CandidateFinding, ...]
    result: StepResult
    settings: tuple[SettingRow, ...]


class Memos:
    """What steps and inferences came to, for the next evaluation of the same definitions."""

    def __init__(self) -> None:
        self.steps: Memo[str, _Part] = Memo()
        self.exchanged: Memo[None, tuple[CandidateFinding, ...]] = Memo()
        self.inferences: Memo[str, tuple[CandidateFinding, ...]] = Memo()


def evaluate(evaluation: Evaluator, memos: Memos | None = None) -> Results:
    """Everything that follows from the evaluator's session as it stands.

    Args:
        evaluation: The evaluator of that session.
        memos: Of an evaluation with the same definitions; what did not change is taken from it.
    """
    memos = Memos() if memos is None else memos
    session = evaluation.session
    checklist = evaluation.compiled.checklist
    rows: Rows = {}
    derived: DerivedRows = {}
    results: dict[str, StepResult] = {}
    cases: list[CandidateFinding] = []
    moves: list[SettingRow] = []
    skips: dict[str, list[int]] = {}
    for skip in session.skips.values():
        skips.setdefault(skip.step, []).append(skip.n)
    air = (tuple(session.conditions.items()), tuple(session.conditions_at.items()))
    named = _by_part(session.decisions)
    left = last_left(session)
    for section in checklist.section:
        for step in section.step:
            upset = upset_of(step, left)
            stamp = (
                _standing(session, partial(evaluation.definitions.step_keys, step)),
                *skips.get(step.id, ()), *air, named.get(step.id), upset, len(session.widened),
            )  # fmt: skip
            make = partial(_part, evaluation, step, section.id, upset)
            part = memos.steps.get(step.id, stamp, make)
            rows.update(part.rows)
            derived.update(part.derived)
            results[step.id] = part.result
            moves.extend(part.settings)
            if part.result.state != "not-needed":
                cases.extend(part.cases)
    needed = frozenset(step for step, one in results.items() if one.state != "not-needed")
    parts = _standing(session, lambda: evaluation.definitions.exchange_keys)
    make_all = partial(of_exchanged_parts, evaluation, needed)
    cases.extend(memos.exchanged.get(None, (parts, air, needed, *session.decisions), make_all))
    for inference in checklist.inference:
        keys = partial(evaluation.definitions.inference_keys, inference)
        rests_on = (_standing(session, keys), *air, named.get(inference.id))
        cases.extend(
            memos.inferences.get(
                inference.id, rests_on, partial(of_inference, evaluation, inference)
            )
        )
    findings = decided(evaluation, cases)
    said = advice(results)
    steps = tuple(
        replace(result, advice=said[step]) if step in said else result
        for step, result in results.items()
    )
    in_the_way = blockers(steps, findings)
    return Results(
        checklist=checklist,
        machine=evaluation.machine,
        steps=steps,
        readings=tuple(rows.values()),
        derived=tuple(derived.values()),
        findings=findings,
        signoff_blockers=tuple(blocker.text for blocker in in_the_way),
        blockers=in_the_way,
        left_out=left_out_words(steps),
        settings=tuple(moves),
        chart=charted(evaluation),
        air=in_force(evaluation),
        _rows=rows,
        _derived=derived,
    )


def _by_part(decisions: Iterable[str]) -> dict[str, list[str]]:
    """The findings that were decided, by the step or inference that makes them.

    `X.belt` may be of the step `belt` or of one called `X`; it is put down for both.
    """
    named: dict[str, list[str]] = {}
    for finding in decisions:
        for part in finding.partition("@")[0].split(".")[:2]:
            named.setdefault(part, []).append(finding)
    return named


def _standing(session: Session, keys: Callable[[], Iterable[ReadingKey]]) -> tuple[Recorded, ...]:
    """Of the entries that something rests on those that are there; each says which it is."""
    standing = session.readings
    if not standing:
        return ()  # so that a session just begun needs no keys
    return tuple(each for each in map(standing.get, keys()) if each is not None)


def _part(evaluation: Evaluator, step: Step, section: str, upset: Upset | None) -> _Part:
    rows, derived = step_values(evaluation, step)
    cases = of_step(evaluation, step, rows, derived)
    result = step_result(evaluation, step, section, rows, derived, upset)
    return _Part(rows, derived, cases, result, adjustments.rows(evaluation, step))
