"""Findings: what wants a decision, what was decided, and whether that still counts.

All but a person's own are worked out, not stored. A decision holds for the values that it was
made on, and for the air where they rest on it: a new failing value opens the finding again.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Literal

from inspect_tui.core.evaluation.candidate import PHASES, CandidateFinding, identity
from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.evaluation.findings_across import out_of_family_of
from inspect_tui.core.model.checklist import Reading, Step
from inspect_tui.core.model.log_entry import AS_LEFT
from inspect_tui.core.model.results import DerivedRow, Finding, ReadingRow
from inspect_tui.core.session.replay import Decision, Key, ReadingKey, Session
from inspect_tui.core.text.formatting import format_value

Rows = dict[ReadingKey, ReadingRow]
DerivedRows = dict[ReadingKey, DerivedRow]


def of_step(
    evaluation: Evaluator, step: Step, rows: Rows, derived: DerivedRows
) -> tuple[CandidateFinding, ...]:
    """What one step's readings and derived values say, before the decisions are looked at."""
    return tuple(_of_step(evaluation, step, rows, derived))


def decided(evaluation: Evaluator, cases: Iterable[CandidateFinding]) -> tuple[Finding, ...]:
    """Every finding with its decision: those worked out, then a person's own."""
    worked_out = [_decided(evaluation, case) for case in cases]
    return (*worked_out, *_persons(evaluation.session))


def _of_step(
    evaluation: Evaluator, step: Step, rows: Rows, derived: DerivedRows
) -> Iterator[CandidateFinding]:
    session = evaluation.session
    for reading in step.readings:
        for cylinder in evaluation.definitions.cylinders(step, reading.id):
            place = (step.id, reading.id, cylinder)
            case = _of_value(
                session, place, reading.label, [rows.get((*place, phase)) for phase in PHASES],
                (place,), _once_failed(session, place),
                _air_of(evaluation, step, [reading.id]),
            )  # fmt: skip
            if case is not None:
                yield _by_chart(evaluation, step, reading, case, rows)
    for value in step.derived:
        expression = evaluation.compiled.value[step.id, value.id]
        for cylinder in evaluation.definitions.cylinders(step, value.id):
            place = (step.id, value.id, cylinder)
            case = _of_value(
                session, place, value.label, [derived.get((*place, phase)) for phase in PHASES],
                evaluation.definitions.input_readings(expression, cylinder), False,
                _air_of(evaluation, step, [value.id]),
            )  # fmt: skip
            if case is not None:
                yield case
    yield from out_of_family_of(evaluation, step, rows)


def _by_chart(
    evaluation: Evaluator, step: Step, reading: Reading, case: CandidateFinding, rows: Rows
) -> CandidateFinding:
    """A setting that differs from the base figure but is the chart's is a remark."""
    row = next(
        (
            row
            for phase in reversed(PHASES)
            if (row := rows.get((step.id, reading.id, case.cylinder, phase))) is not None
        ),
        None,
    )
    if not case.is_active or row is None:
        return case
    if not evaluation.is_charts_setting(step, reading.id, row):
        return case
    said = f"{case.text}; it is what the jet chart says for this air"
    return replace(case, text=said, air=True, remark=True)


def _once_failed(session: Session, place: Key) -> bool:
    """Whether a value that was corrected since had made this finding."""
    return any(
        verdict in ("fail", "uncertain")
        for phase in PHASES
        for verdict in session.earlier.verdicts((*place, phase))
    )


def _of_value(
    session: Session,
    place: Key,
    label: str,
    both: list[ReadingRow | None] | list[DerivedRow | None],
    places: tuple[Key, ...],
    once: bool,
    air: tuple[Key, ...] | None,
) -> CandidateFinding | None:
    step, value, cylinder = place
    name = identity(step, value, cylinder)
    standing = [row for row in both if row is not None]
    odd = [row for row in standing if row.judged.verdict in ("fail", "uncertain")]
    if not odd and not once and name not in session.decisions:
        return None
    speaks = bool(standing) and standing[-1] in odd
    where = "" if cylinder is None else f", {cylinder}"
    shown = odd[-1] if odd else (standing[-1] if standing else None)
    text = f"{label}{where}: " + ("no value any more" if shown is None else _sentence(shown))
    evidence = tuple(_evidence(row) for row in standing)
    places += tuple(place for place in air or () if place not in places)
    return CandidateFinding(
        name, step, value, cylinder, text, evidence, speaks, places, air=air is not None
    )  # fmt: skip


def _shown(row: ReadingRow | DerivedRow) -> str:
    return "no value" if row.value is None else format_value(row.value, row.unit)


def _sentence(row: ReadingRow | DerivedRow) -> str:
    return f"{_shown(row)}, {row.judged.words}"


def _evidence(row: ReadingRow | DerivedRow) -> str:
    phase = row.phase.replace("-", " ")
    zone = row.judged.zone
    limit = f", limit {zone.text}" if zone is not None and zone.text else ""
    typed = ""
    if isinstance(row, ReadingRow) and row.entered != _shown(row):
        typed = f" (entered {row.entered})"
    said = "; ".join((row.judged.words or row.judged.verdict, *row.judged.remarks))
    return f"{phase} {_shown(row)}{typed}{limit}: {said}"


def _air_of(evaluation: Evaluator, step: Step, ids: Iterable[str]) -> tuple[Key, ...] | None:
    """The readings of the air that these values or their limits rest on; None: on none."""
    of = evaluation.definitions
    return of.air_places([each for name in ids for each in of.expressions(step.id, name)])


def _persons(session: Session) -> Iterator[Finding]:
    for finding in session.findings:
        decision = session.decisions.get(finding.id)
        made = None if decision is None else decision.decision
        yield Finding(
            finding.id, finding.step, None, finding.cylinder, finding.text, (), made,
            counts=made is not None, open=made not in ("run-as-found", "put-right"),
            why="" if decision is None else decision.why,
            until="" if decision is None else decision.until, kind="person",
        )  # fmt: skip


def _decided(evaluation: Evaluator, case: CandidateFinding) -> Finding:
    decision = evaluation.session.decisions.get(case.id)
    overtaken = "" if decision is None else _overtaken(evaluation, case, decision)
    holds = decision is not None and not overtaken
    made = None if decision is None else decision.decision
    wants = case.is_active and not case.remark
    counts = not wants or (holds and made in ("run-as-found", "later", "get-part"))
    return Finding(
        case.id, case.step, case.reading, case.cylinder, case.text, case.evidence, made,
        counts=counts, open=wants and not (holds and made == "run-as-found"),
        why="" if decision is None else decision.why,
        until="" if decision is None else decision.until,
        sure=case.sure, look_at=case.look_at, kind=case.kind,  # type: ignore[arg-type]
        superseded_by=overtaken, remark=case.remark, is_active=case.is_active,
    )  # fmt: skip


def _overtaken(
    evaluation: Evaluator, case: CandidateFinding, decision: Decision
) -> Literal["", "value", "air"]:
    """What has changed since a decision was made, so that it holds no longer."""
    session = evaluation.session
    changed = {
        key[:2]
        for place in case.places
        if (key := evaluation.key(place, AS_LEFT)) is not None
        and decision.basis.get(key) != session.readings[key].value
    }
    own = (case.step, case.reading)
    if any(place == own or not evaluation.definitions.says_air(*place) for place in changed):
        return "value"
    return "air" if changed or (case.air and decision.air != session.conditions) else ""
