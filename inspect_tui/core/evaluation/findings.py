"""Findings: what wants a decision, what was decided, and whether that still counts.

All but a person's own are worked out, not stored. A decision holds for the values that it was
made on, and for the air where they rest on it: a new failing value opens the finding again.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

from inspect_tui.core.evaluation.cylinder_comparison import (
    CrossCylinderObservation,
    has_left,
    out_of_family,
)
from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.model.checklist import Inference, Step
from inspect_tui.core.model.log_entry import AS_FOUND, AS_LEFT, Phase
from inspect_tui.core.model.results import DerivedRow, Finding, ReadingRow
from inspect_tui.core.session.replay import Decision, Key, ReadingKey, Session
from inspect_tui.core.text.formatting import format_value

PHASES: tuple[Phase, Phase] = (AS_FOUND, AS_LEFT)
Rows = dict[ReadingKey, ReadingRow]
DerivedRows = dict[ReadingKey, DerivedRow]


@dataclass(frozen=True, slots=True)
class CandidateFinding:
    """A finding before its decision is looked at."""

    id: str
    step: str
    reading: str | None
    cylinder: str | None
    text: str
    evidence: tuple[str, ...]
    is_active: bool
    """Whether it speaks now, by as left where there is one."""
    places: tuple[Key, ...]
    """The readings that it rests on."""
    kind: str = "value"
    sure: str = ""
    look_at: tuple[str, ...] = ()
    air: bool = False
    """Whether it rests on the session's air."""


def identity(step: str, value: str, cylinder: str | None) -> str:
    """The id of a value's finding: `STEP.READING[@CYLINDER]`."""
    return f"{step}.{value}" + ("" if cylinder is None else f"@{cylinder}")


def of_step(
    evaluation: Evaluator, step: Step, rows: Rows, derived: DerivedRows
) -> tuple[CandidateFinding, ...]:
    """What one step's readings and derived values say, before the decisions are looked at."""
    return tuple(_of_step(evaluation, step, rows, derived))


def of_inference(evaluation: Evaluator, inference: Inference) -> tuple[CandidateFinding, ...]:
    """What one inference says, for each cylinder where it is per cylinder."""
    cylinders: tuple[str | None, ...] = (None,)
    if inference.per == "cylinder":
        cylinders = evaluation.machine.cylinders
    cases = (_inferred(evaluation, inference, cylinder) for cylinder in cylinders)
    return tuple(case for case in cases if case is not None)


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
                yield case
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
    yield from _across(evaluation, step)


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


def _across(evaluation: Evaluator, step: Step) -> Iterator[CandidateFinding]:
    if not step.per_cylinder:
        return
    session = evaluation.session
    for reading in step.readings:
        found, left = (out_of_family(evaluation, step, reading, phase) for phase in PHASES)
        any_left = has_left(evaluation, step, reading)
        for cylinder in evaluation.machine.cylinders:
            name = f"O.{identity(step.id, reading.id, cylinder)}"
            both = [_for(found, cylinder), _for(left, cylinder)]
            yield from _claimed(
                session, name, step.id, cylinder, both, any_left, "out-of-family",
                _air_of(evaluation, step, [reading.id]), reading.id,
            )  # fmt: skip


def _air_of(evaluation: Evaluator, step: Step, ids: Iterable[str]) -> tuple[Key, ...] | None:
    """The readings of the air that these values or their limits rest on; None: on none."""
    of = evaluation.definitions
    return of.air_places([each for name in ids for each in of.expressions(step.id, name)])


def _for(claim: CrossCylinderObservation | None, cylinder: str) -> CrossCylinderObservation | None:
    return claim if claim is not None and claim.cylinder == cylinder else None


def _claimed(
    session: Session,
    name: str,
    step: str,
    cylinder: str | None,
    both: list[CrossCylinderObservation | None],
    any_left: bool,
    kind: str,
    air: tuple[Key, ...] | None,
    reading: str | None = None,
) -> Iterator[CandidateFinding]:
    found, left = both if any_left else (both[0], None)
    shown = left or found
    if shown is None:
        if name in session.decisions:
            yield CandidateFinding(
                name, step, reading, cylinder, "Nothing speaks for this any more.", (), False, (),
                kind,
            )  # fmt: skip
        return
    speaks = (left if any_left else found) is not None
    places = tuple(dict.fromkeys((*(key[:3] for key in shown.keys), *(air or ()))))
    yield CandidateFinding(
        name, step, reading, cylinder, shown.text, shown.evidence, speaks, places, kind,
        air=air is not None,
    )  # fmt: skip


def _inferred(
    evaluation: Evaluator, inference: Inference, cylinder: str | None
) -> CandidateFinding | None:
    expression = evaluation.compiled.inference[inference.id]
    leaves = evaluation.definitions.input_readings(expression, cylinder)
    session = evaluation.session
    any_left = any((*leaf, AS_LEFT) in session.readings for leaf in leaves)
    found = expression.evaluate(evaluation.lookup(cylinder, AS_FOUND)) is True
    left = any_left and expression.evaluate(evaluation.lookup(cylinder, AS_LEFT)) is True
    speaks = left if any_left else found
    name = f"I.{inference.id}" + ("" if cylinder is None else f"@{cylinder}")
    if not (found or left) and name not in session.decisions:
        return None
    where = "" if cylinder is None else f"{cylinder}: "
    phase: Phase = AS_LEFT if speaks and any_left else AS_FOUND
    evidence = tuple(_rests_on(evaluation, leaf, phase) for leaf in leaves)
    order = [step.id for step in evaluation.compiled.checklist.steps]
    steps = sorted({leaf[0] for leaf in leaves}, key=order.index)
    return CandidateFinding(
        name, steps[0] if steps else "", None, cylinder, where + inference.says,
        tuple(line for line in evidence if line), speaks, leaves, "inference",
        inference.sure, inference.look_at,
        evaluation.definitions.air_places([expression]) is not None,
    )  # fmt: skip


def _rests_on(evaluation: Evaluator, leaf: Key, phase: Phase) -> str:
    key = evaluation.key(leaf, phase)
    if key is None:
        return ""
    measured = evaluation.measured(key)
    reading = evaluation.readings[leaf[0], leaf[1]]
    where = "" if leaf[2] is None else f", {leaf[2]}"
    return f"{reading.label}{where}: {format_value(measured.number, measured.unit.text)}"


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
    counts = not case.is_active or (holds and made in ("run-as-found", "later", "get-part"))
    return Finding(
        case.id, case.step, case.reading, case.cylinder, case.text, case.evidence, made,
        counts=counts, open=case.is_active and not (holds and made == "run-as-found"),
        why="" if decision is None else decision.why,
        until="" if decision is None else decision.until,
        sure=case.sure, look_at=case.look_at, kind=case.kind,  # type: ignore[arg-type]
        superseded_by=overtaken,
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
