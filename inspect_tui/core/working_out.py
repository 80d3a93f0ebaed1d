"""Session -> results: how far each step is, what was advised, what blocks the sign-off."""

from __future__ import annotations

from inspect_tui.core.checklist import Checklist, Step
from inspect_tui.core.entries import AS_FOUND, AS_LEFT, Phase
from inspect_tui.core.evaluation import Evaluation
from inspect_tui.core.findings import PHASES, DerivedRows, Rows, all_findings, identity
from inspect_tui.core.results import DerivedRow, Finding, ReadingRow, Results, StepResult, StepState
from inspect_tui.core.session import Session, Skip

Place = tuple[str, str | None]


def work_out(evaluation: Evaluation, session: Session) -> Results:
    """Everything that follows from the session as it stands."""
    evaluation.use(session)
    checklist = evaluation.compiled.checklist
    rows: Rows = {}
    derived: DerivedRows = {}
    for step in checklist.steps:
        _fill(evaluation, session, step, rows, derived)
    needed = [step for step in checklist.steps if is_needed(evaluation, step)]
    findings = all_findings(evaluation, session, needed, rows, derived)
    progress = _Progress(evaluation, session, rows, derived, frozenset(s.id for s in needed))
    steps = progress.all_steps(checklist)
    return Results(
        checklist=checklist,
        machine=evaluation.machine,
        steps=steps,
        readings=tuple(rows.values()),
        derived=tuple(derived.values()),
        findings=findings,
        blocks=_blocks(steps, findings),
        _rows=rows,
        _derived=derived,
    )


def _fill(
    evaluation: Evaluation, session: Session, step: Step, rows: Rows, derived: DerivedRows
) -> None:
    for reading in step.readings:
        for cylinder in evaluation.cylinders(step, reading.id):
            for phase in PHASES:
                key = (step.id, reading.id, cylinder, phase)
                if key in session.readings:
                    rows[key] = evaluation.reading_row(key)
    for value in step.derived:
        for cylinder in evaluation.cylinders(step, value.id):
            for phase in PHASES:
                row = evaluation.derived_row(step, value, cylinder, phase)
                if row is not None:
                    derived[step.id, value.id, cylinder, phase] = row


def is_needed(evaluation: Evaluation, step: Step) -> bool:
    """Whether this machine needs the step; what can't be worked out is shown."""
    when = evaluation.compiled.when.get(step.id)
    if when is None:
        return True
    for phase in (AS_LEFT, AS_FOUND):
        answer = when.evaluate(evaluation.lookup(None, phase))
        if isinstance(answer, bool):
            return answer
    return True


class _Progress:
    """How far the steps of one session are."""

    def __init__(
        self,
        evaluation: Evaluation,
        session: Session,
        rows: Rows,
        derived: DerivedRows,
        needed: frozenset[str],
    ) -> None:
        self.evaluation = evaluation
        self.session = session
        self.rows = rows
        self.derived = derived
        self.needed = needed

    def all_steps(self, checklist: Checklist) -> tuple[StepResult, ...]:
        """Every step with its state; advice needs the states of the others."""
        plain = {
            step.id: self._step(step, section.id)
            for section in checklist.section
            for step in section.step
        }
        return tuple(_with_advice(result, self._advice(result, plain)) for result in plain.values())

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

    def _step(self, step: Step, section: str) -> StepResult:
        waiting: list[Place] = []
        skipped: dict[Place, str] = {}
        verdicts: set[str] = set()
        missing = False
        for reading in step.readings:
            for cylinder in self.evaluation.cylinders(step, reading.id):
                row = self._effective(step.id, reading.id, cylinder)
                if row is not None:
                    verdicts.add(row.judged.verdict)
                    continue
                skip = self._skip(step.id, reading.id, cylinder)
                if skip is not None:
                    skipped[reading.id, cylinder] = skip.why
                    missing = missing or not reading.optional
                elif not reading.optional:
                    waiting.append((reading.id, cylinder))
                    missing = True
        for value in step.derived:
            for cylinder in self.evaluation.cylinders(step, value.id):
                row = self._effective(step.id, value.id, cylinder)
                if row is not None:
                    verdicts.add(row.judged.verdict)
        whole = self.session.skips.get((step.id, None, None))
        state: StepState = "open" if waiting else "done"
        if step.id not in self.needed:
            state = "not-needed"
        elif whole is not None and missing:
            state = "skipped"
        return StepResult(
            step, section, state, "" if whole is None else whole.why, "fail" in verdicts,
            "uncertain" in verdicts, tuple(waiting), skipped,
        )  # fmt: skip

    def _skip(self, step: str, reading: str, cylinder: str | None) -> Skip | None:
        skips = self.session.skips
        return skips.get((step, reading, cylinder)) or skips.get((step, reading, None))

    def _advice(self, result: StepResult, others: dict[str, StepResult]) -> tuple[str, ...]:
        step = result.step
        if result.state == "not-needed":
            return ()
        advice = [
            f"'{others[other].step.title}' should come before this step and is "
            f"{others[other].state}."
            for other in step.needs
            if other in others and others[other].state in ("open", "skipped")
        ]
        advice += [
            f"'{other.step.title}' records what this step disturbs: record it first."
            for other in others.values()
            if step.id in other.step.before and other.state == "open" and not self._begun(other)
        ]
        if step.begins:
            advice += [_gate_words(gate) for gate in self.open_gates(step.begins, others)]
        return tuple(advice)

    def _begun(self, result: StepResult) -> bool:
        return any(key[0] == result.step.id for key in self.session.readings)

    def open_gates(self, begins: str, results: dict[str, StepResult]) -> list[StepResult]:
        """The gates that have not passed before the engine runs or the machine moves."""
        wanted = ("start",) if begins == "start" else ("start", "move")
        return [
            result
            for result in results.values()
            if result.step.gate in wanted
            and result.state != "not-needed"
            and (safety_trouble(result) or "")
        ]


def _with_advice(result: StepResult, advice: tuple[str, ...]) -> StepResult:
    if not advice:
        return result
    return StepResult(
        result.step, result.section, result.state, result.why_skipped, result.failed,
        result.uncertain, result.waiting, result.skipped_readings, advice,
    )  # fmt: skip


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
    return "was not done" if result.state == "open" else ""


def _gate_words(result: StepResult) -> str:
    before = "the engine runs" if result.step.gate == "start" else "the machine moves"
    return f"Before {before}: '{result.step.title}' {safety_trouble(result)}."


def _blocks(steps: tuple[StepResult, ...], findings: tuple[Finding, ...]) -> tuple[str, ...]:
    blocks = []
    for result in steps:
        if result.state == "not-needed":
            continue
        name = f"'{result.step.title}' ({result.step.id})"
        trouble = safety_trouble(result) if result.step.is_safety else ""
        if result.step.is_safety and trouble:
            why = result.why_skipped or "; ".join(sorted(set(result.skipped_readings.values())))
            because = f": {why}" if trouble == "was skipped" and why else ""
            blocks.append(f"Safety step {name} {trouble}{because}.")
        if result.state == "open":
            asked = ", ".join(
                identity(result.step.id, reading, cylinder)
                for reading, cylinder in result.waiting[:6]
            )
            more = " and more" if len(result.waiting) > 6 else ""
            blocks.append(f"Step {name} is neither done nor skipped: {asked}{more} wants a value.")
    for finding in findings:
        if not finding.counts:
            decided = "has no decision"
            if finding.decision == "put-right":
                decided = "is to be put right and has no passing value as left"
            elif finding.decision is not None:
                decided = f"was decided '{finding.decision}' on an earlier value"
            blocks.append(f"Finding {finding.id} {decided}: {finding.text}")
    return tuple(blocks)
