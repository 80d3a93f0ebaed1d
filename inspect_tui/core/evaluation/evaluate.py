"""Session -> results: how far each step is, what was advised, what blocks the sign-off."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import partial

from inspect_tui.core.evaluation import adjustments
from inspect_tui.core.evaluation.ambient_summary import in_force
from inspect_tui.core.evaluation.candidate import PHASES, CandidateFinding
from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.evaluation.findings import DerivedRows, Rows, decided, of_step
from inspect_tui.core.evaluation.findings_across import of_exchanged_parts
from inspect_tui.core.evaluation.findings_inferred import of_inference
from inspect_tui.core.evaluation.jet_chart_advice import charted
from inspect_tui.core.evaluation.memo import Memo
from inspect_tui.core.model.checklist import DONE, Step
from inspect_tui.core.model.log_entry import AS_FOUND, AS_LEFT, Phase
from inspect_tui.core.model.results import (
    DerivedRow,
    Finding,
    ReadingRow,
    Results,
    SettingRow,
    StepResult,
    StepState,
)
from inspect_tui.core.session.replay import Skip
from inspect_tui.core.text.formatting import join_words

Place = tuple[str, str | None]


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

    def copy(self) -> Memos:
        """Others that know the same, for a what-if."""
        other = Memos()
        other.steps, other.inferences = self.steps.copy(), self.inferences.copy()
        other.exchanged = self.exchanged.copy()
        return other


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
    for section in checklist.section:
        for step in section.step:
            stamp = (_stamp(evaluation, step), *skips.get(step.id, ()), *air, named.get(step.id))
            part = memos.steps.get(step.id, stamp, partial(_part, evaluation, step, section.id))
            rows.update(part.rows)
            derived.update(part.derived)
            results[step.id] = part.result
            moves.extend(part.settings)
            if part.result.state != "not-needed":
                cases.extend(part.cases)
    needed = frozenset(step for step, one in results.items() if one.state != "not-needed")
    parts = tuple(map(session.readings.get, evaluation.definitions.exchange_keys))
    make_all = partial(of_exchanged_parts, evaluation, needed)
    cases.extend(memos.exchanged.get(None, (parts, air, needed, *session.decisions), make_all))
    for inference in checklist.inference:
        keys = evaluation.definitions.inference_keys(inference)
        rests_on = (*map(session.readings.get, keys), *air, named.get(inference.id))
        cases.extend(
            memos.inferences.get(
                inference.id, rests_on, partial(of_inference, evaluation, inference)
            )
        )
    findings = decided(evaluation, cases)
    disturbed = _disturbed(results.values())
    steps = tuple(
        _with_advice(result, _advice(result, results, disturbed.get(result.step.id, ())))
        for result in results.values()
    )
    return Results(
        checklist=checklist,
        machine=evaluation.machine,
        steps=steps,
        readings=tuple(rows.values()),
        derived=tuple(derived.values()),
        findings=findings,
        signoff_blockers=_blocks(steps, findings),
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


def _stamp(evaluation: Evaluator, step: Step) -> tuple[object, ...]:
    """Every entry that a step's rows rest on, as it stands."""
    return tuple(map(evaluation.session.readings.get, evaluation.definitions.step_keys(step)))


def _part(evaluation: Evaluator, step: Step, section: str) -> _Part:
    rows: Rows = {}
    derived: DerivedRows = {}
    for reading in step.readings:
        for cylinder in evaluation.definitions.cylinders(step, reading.id):
            for phase in PHASES:
                key = (step.id, reading.id, cylinder, phase)
                if key in evaluation.session.readings:
                    rows[key] = evaluation.reading_row(key)
    for value in step.derived:
        for cylinder in evaluation.definitions.cylinders(step, value.id):
            for phase in PHASES:
                row = evaluation.derived_row(step, value, cylinder, phase)
                if row is not None:
                    derived[step.id, value.id, cylinder, phase] = row
    cases = of_step(evaluation, step, rows, derived)
    progress = _Progress(evaluation, rows, derived)
    return _Part(
        rows, derived, cases, progress.step(step, section), adjustments.rows(evaluation, step)
    )


def is_needed(evaluation: Evaluator, step: Step) -> bool:
    """Whether this machine needs the step; what can't be worked out is shown."""
    only_if = evaluation.compiled.only_if.get(step.id)
    if only_if is None:
        return True
    for phase in (AS_LEFT, AS_FOUND):
        answer = only_if.evaluate(evaluation.lookup(None, phase))
        if isinstance(answer, bool):
            return answer
    return True


class _Progress:
    """How far one step is, from its own rows."""

    def __init__(self, evaluation: Evaluator, rows: Rows, derived: DerivedRows) -> None:
        self.evaluation = evaluation
        self.session = evaluation.session
        self.rows = rows
        self.derived = derived

    def _effective(
        self, step: str, value: str, cylinder: str | None
    ) -> ReadingRow | DerivedRow | None:
        """By as left where there is one."""
        for phase in (AS_LEFT, AS_FOUND):
            key: tuple[str, str, str | None, Phase] = (step, value, cylinder, phase)
            row = self.rows.get(key) or self.derived.get(key)
            if row is not None:
                return row
        return None

    def step(self, step: Step, section: str) -> StepResult:
        """The step's state and verdicts, without advice."""
        waiting: list[Place] = []
        skipped: dict[Place, str] = {}
        verdicts: set[str] = set()
        missing = recorded = False
        done = False
        for reading in step.readings:
            for cylinder in self.evaluation.definitions.cylinders(step, reading.id):
                row = self._effective(step.id, reading.id, cylinder)
                if row is not None:
                    verdicts.add(row.judged.verdict)
                    recorded = True
                    done = done or not (reading is DONE and row.value is False)
                    continue
                skip = self._skip(step.id, reading.id, cylinder)
                if skip is not None:
                    skipped[reading.id, cylinder] = skip.why
                    missing = missing or not reading.optional
                elif not reading.optional:
                    waiting.append((reading.id, cylinder))
                    missing = True
        for value in step.derived:
            for cylinder in self.evaluation.definitions.cylinders(step, value.id):
                row = self._effective(step.id, value.id, cylinder)
                if row is not None:
                    verdicts.add(row.judged.verdict)
        whole = self.session.skips.get((step.id, None, None))
        state: StepState = "open" if waiting else "done"
        if not is_needed(self.evaluation, step):
            state = "not-needed"
        elif whole is not None and (missing or not recorded):
            state = "skipped"
        return StepResult(
            step, section, state, "" if whole is None else whole.why, "fail" in verdicts,
            "uncertain" in verdicts, not done, tuple(waiting), skipped,
        )  # fmt: skip

    def _skip(self, step: str, reading: str, cylinder: str | None) -> Skip | None:
        skips = self.session.skips
        return skips.get((step, reading, cylinder)) or skips.get((step, reading, None))


def _disturbed(results: Iterable[StepResult]) -> dict[str, list[StepResult]]:
    """The open steps whose records each step disturbs."""
    disturbed: dict[str, list[StepResult]] = {}
    for result in results:
        if result.state == "open":
            for step in dict.fromkeys(result.step.disturbed_by):
                disturbed.setdefault(step, []).append(result)
    return disturbed


def _advice(
    result: StepResult, others: dict[str, StepResult], disturbed: Iterable[StepResult]
) -> tuple[str, ...]:
    step = result.step
    if result.state == "not-needed":
        return ()
    advice = [
        f"'{others[other].step.title}' should come before this step and is {others[other].state}."
        for other in step.after
        if other in others and others[other].state in ("open", "skipped")
    ]
    advice += [
        f"'{other.step.title}' records what this step disturbs: record it first."
        for other in disturbed
    ]
    if step.begins:
        advice += [_gate_words(gate) for gate in open_gates(step.begins, others)]
    return tuple(advice)


def open_gates(begins: str, results: dict[str, StepResult]) -> list[StepResult]:
    """The gates that have not passed before the engine runs or the machine moves."""
    wanted = ("start",) if begins == "start" else ("start", "move")
    return [
        result
        for result in results.values()
        if result.step.gate in wanted
        and result.state != "not-needed"
        and safety_trouble(result) != ""
    ]


def _with_advice(result: StepResult, advice: tuple[str, ...]) -> StepResult:
    return replace(result, advice=advice) if advice else result


def safety_trouble(result: StepResult) -> str:
    """What keeps a step from counting as passed: `failed`, `too close to call`, `not done`; "" """
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
    return "was not done" if result.state == "open" or result.not_made else ""


def _gate_words(result: StepResult) -> str:
    before = "the engine runs" if result.step.gate == "start" else "the machine moves"
    return f"Before {before}: '{result.step.title}' {safety_trouble(result)}."


def _wanted(result: StepResult) -> list[str]:
    """What still wants a value, by its labels: `Bowl (PTO, centre, MAG)`, `Done`."""
    labels = {reading.id: reading.label for reading in result.step.readings}
    cylinders: dict[str, list[str]] = {}
    for reading, cylinder in result.waiting:
        cylinders.setdefault(reading, []).extend([] if cylinder is None else [cylinder])
    return [
        f"{labels[reading]} ({', '.join(names)})" if names else labels[reading]
        for reading, names in cylinders.items()
    ]


def _blocks(steps: tuple[StepResult, ...], findings: tuple[Finding, ...]) -> tuple[str, ...]:
    blocks = []
    for result in steps:
        if result.state == "not-needed":
            continue
        name = f"'{result.step.title}' ({result.step.id})"
        trouble = safety_trouble(result) if result.step.is_safety else ""
        kind = "Safety step" if trouble else "Step"
        if result.state == "open":
            asked = join_words(_wanted(result), most=4)
            want = "wants" if len(result.waiting) == 1 else "want"
            also = f" and it {trouble}" if trouble not in ("", "was not done") else ""
            blocks.append(
                f"{kind} {name} is neither done nor skipped{also}: {asked} {want} a value."
            )
        elif trouble:
            why = result.why_skipped or "; ".join(sorted(set(result.skipped_readings.values())))
            because = f": {why}" if trouble == "was skipped" and why else ""
            blocks.append(f"Safety step {name} {trouble}{because}.")
    for finding in findings:
        if not finding.counts:
            decided = "has no decision"
            if finding.decision == "put-right":
                decided = "is to be put right and has no passing value as left"
            elif finding.decision is not None:
                changed = (
                    "in other air" if finding.superseded_by == "air" else "on an earlier value"
                )
                decided = f"was decided '{finding.decision}' {changed}"
            blocks.append(f"Finding {finding.id} {decided}: {finding.text}")
    return tuple(blocks)
