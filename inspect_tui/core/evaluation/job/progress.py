"""How far one step is, from its own rows: its state, its verdicts, what it still wants."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from inspect_tui.core.evaluation.conclusions.candidate import PHASES
from inspect_tui.core.evaluation.conclusions.findings import DerivedRows, Rows
from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.evaluation.job.staleness import Upset
from inspect_tui.core.model.checklist import DONE, Step
from inspect_tui.core.model.log_entry import AS_FOUND, AS_LEFT, Phase
from inspect_tui.core.model.results import DerivedRow, ReadingRow, StepResult, StepState
from inspect_tui.core.session.replay import Session, Skip

Place = tuple[str, str | None]
"""(reading or derived value, cylinder)."""


def is_needed(evaluation: Evaluator, step: Step) -> bool:
    """Whether this machine needs the step; what can't be worked out is shown.

    A step per cylinder is none of a machine without cylinders.
    """
    if step.per_cylinder and not evaluation.machine.cylinders:
        return False
    only_if = evaluation.compiled.only_if.get(step.id)
    if only_if is None:
        return True
    for phase in (AS_LEFT, AS_FOUND):
        answer = only_if.evaluate(evaluation.lookup(None, phase))
        if isinstance(answer, bool):
            return answer
    return True


def is_left_out(session: Session, section: str, step: str) -> bool:
    """Whether the job does not take the step in."""
    if session.only is None or any(added.id == step for added in session.added):
        return False
    return section != OWN_SECTION and not {section, step} & {*session.only, *session.widened}


OWN_SECTION = "own"
"""The section of the steps that a person asked for when the session was opened."""


def step_values(evaluation: Evaluator, step: Step) -> tuple[Rows, DerivedRows]:
    """The readings of a step that have a value, and what is derived of them, each judged."""
    rows: Rows = {}
    derived: DerivedRows = {}
    standing = evaluation.session.readings
    for reading in step.readings if standing else ():
        for cylinder in evaluation.definitions.cylinders(step, reading.id):
            for phase in PHASES:
                key = (step.id, reading.id, cylinder, phase)
                if key in standing:
                    rows[key] = evaluation.reading_row(key)
    for value in step.derived:
        for cylinder in evaluation.definitions.cylinders(step, value.id):
            for phase in PHASES:
                row = evaluation.derived_row(step, value, cylinder, phase)
                if row is not None:
                    derived[step.id, value.id, cylinder, phase] = row
    return rows, derived


def step_result(
    evaluation: Evaluator,
    step: Step,
    section: str,
    rows: Rows,
    derived: DerivedRows,
    upset: Upset | None,
) -> StepResult:
    """How far a step is, without advice.

    Args:
        evaluation: The session's.
        step: Which.
        section: The id of the section that it stands in.
        rows: Its readings; those that are upset are marked in place.
        derived: Its derived values; the same.
        upset: The last work that upsets it.
    """
    stale = mark_upset(evaluation, step, rows, derived, upset)
    return Progress(evaluation, rows, derived).step(step, section, stale, upset)


def mark_upset(
    evaluation: Evaluator, step: Step, rows: Rows, derived: DerivedRows, upset: Upset | None
) -> tuple[Place, ...]:
    """Mark the rows whose verdicts count as not made since that work; returns the readings.

    Args:
        evaluation: The session's.
        step: Whose rows.
        rows: Changed in place.
        derived: Changed in place.
        upset: The last work that upsets the step.
    """
    if upset is None:
        return ()
    stale: list[Place] = []
    definitions = evaluation.definitions
    for reading in step.readings:
        if (step.id, reading.id) not in definitions.judged_readings:
            continue
        for cylinder in definitions.cylinders(step, reading.id):
            key = evaluation.answered((step.id, reading.id, cylinder), AS_LEFT)
            if key is not None and upset.is_after(evaluation.session.readings[key]):
                rows[key] = replace(rows[key], upset_by=upset.by)
                stale.append((reading.id, cylinder))
    upset_places = {(step.id, *place) for place in stale}
    for value in step.derived if stale else ():
        expression = evaluation.compiled.value[step.id, value.id]
        for cylinder in definitions.cylinders(step, value.id):
            if upset_places.isdisjoint(definitions.input_readings(expression, cylinder)):
                continue
            place = (step.id, value.id, cylinder)
            for phase in (AS_FOUND, AS_LEFT):
                if (*place, phase) in derived:
                    derived[*place, phase] = replace(derived[*place, phase], upset_by=upset.by)
    return tuple(stale)


class Progress:
    """How far one step is."""

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

    def step(
        self, step: Step, section: str, stale: tuple[Place, ...], upset: Upset | None
    ) -> StepResult:
        """The step's state and verdicts, without advice."""
        waiting: list[Place] = []
        skipped: dict[Place, str] = {}
        missing = recorded = done = False
        for reading in step.readings:
            for cylinder in self.evaluation.definitions.cylinders(step, reading.id):
                row = self._effective(step.id, reading.id, cylinder)
                if row is not None:
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
        verdicts, unjudged = self._verdicts(step)
        whole = self.session.skips.get((step.id, None, None))
        state: StepState = "open" if waiting else "done"
        if not is_needed(self.evaluation, step):
            state = "not-needed"
        elif is_left_out(self.session, section, step.id):
            state = "left-out"
        elif whole is not None and (missing or not recorded):
            state = "skipped"
        elif stale:
            state = "again"
        return StepResult(
            step, section, state, "" if whole is None else whole.why, "fail" in verdicts,
            "uncertain" in verdicts, not done, tuple(waiting), skipped,
            upset_by=upset.by if upset is not None and stale else "", stale=stale,
            unjudged=tuple(dict.fromkeys(unjudged)),
            failed_before=state == "again" and self._failed_before(step),
        )  # fmt: skip

    def _failed_before(self, step: Step) -> bool:
        """Whether a value that was upset since failed when it was measured."""
        values = [*(each.id for each in step.readings), *(each.id for each in step.derived)]
        return any(
            row.judged.verdict == "fail"
            for value in values
            for cylinder in self.evaluation.definitions.cylinders(step, value)
            if (row := self._effective(step.id, value, cylinder)) is not None and row.upset_by
        )

    def _verdicts(self, step: Step) -> tuple[set[str], list[str]]:
        """The verdicts that count, and why there is none for what has a limit or isn't known."""
        verdicts: set[str] = set()
        unjudged: list[str] = []
        for label, row in self._counting(step):
            verdicts.add(row.judged.verdict)
            if row.judged.verdict != "none":
                continue
            if isinstance(row, ReadingRow) and row.unknown:
                unjudged.append(f"'{label}' is not known")
            elif self._has_limit(row):
                zone = row.judged.zone
                why = zone.reason if zone is not None else getattr(row, "reason", "")
                unjudged.append(f"'{label}' has no verdict" + (f" ({why})" if why else ""))
        return verdicts, unjudged

    def _has_limit(self, row: ReadingRow | DerivedRow) -> bool:
        value = row.reading if isinstance(row, ReadingRow) else row.id
        return bool(self.evaluation.compiled.limits.get((row.step, value)))

    def _counting(self, step: Step) -> Iterator[tuple[str, ReadingRow | DerivedRow]]:
        """The label and the row of every value whose verdict was made and not upset since."""
        labels = [(reading.id, reading.label) for reading in step.readings]
        labels += [(derived.id, derived.label) for derived in step.derived]
        for value, label in labels:
            for cylinder in self.evaluation.definitions.cylinders(step, value):
                row = self._effective(step.id, value, cylinder)
                if row is not None and not row.upset_by:
                    yield label, row

    def _skip(self, step: str, reading: str, cylinder: str | None) -> Skip | None:
        skips = self.session.skips
        return skips.get((step, reading, cylinder)) or skips.get((step, reading, None))
