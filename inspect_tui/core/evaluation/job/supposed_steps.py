"""How far steps would be, and what they would be advised, while readings are supposed one by one.

A lot of readings is judged as if each were recorded after the other. Working everything out for
each of them would cost the square of the lot; a reading moves the steps that rest on it, and of
those only what an advice names is worked out again.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.evaluation.job.progress import step_result, step_values
from inspect_tui.core.evaluation.job.safety import advice_of
from inspect_tui.core.evaluation.job.staleness import last_left, upset_of, with_left
from inspect_tui.core.model.log_entry import AS_LEFT, Phase
from inspect_tui.core.model.results import Results, StepResult
from inspect_tui.core.session.replay import ReadingKey


class SupposedSteps(Mapping[str, StepResult]):
    """The results of all steps, without advice, each worked out when it is looked up.

    Args:
        evaluation: Of the session that stands.
        results: What follows from it.
    """

    def __init__(self, evaluation: Evaluator, results: Results) -> None:
        self._evaluation = evaluation
        self._stood = {result.step.id: result for result in results.steps}
        self._known = dict(self._stood)
        self._left = last_left(evaluation.session)

    def take(self, evaluation: Evaluator, key: ReadingKey) -> None:
        """One more reading is supposed.

        Args:
            evaluation: Of the session in which it stands.
            key: Which reading it is.
        """
        self._evaluation = evaluation
        definitions = evaluation.definitions
        step, phase = key[0], key[3]
        moved = {step, *definitions.steps_of_reading.get(key[:3], ())}
        if phase == AS_LEFT:
            with_left(self._left, evaluation.session.readings[key])
            moved.update(definitions.disturbed_by_step.get(step, ()))
        for each in moved:
            self._known.pop(each, None)

    def advice(self, step: str, phase: Phase) -> tuple[str, ...]:
        """What a step would not follow that gets a reading in this phase."""
        definitions = self._evaluation.definitions
        disturbed = definitions.disturbed_by_step.get(step, ())
        return advice_of(step, self, disturbed, definitions.gates, measuring=phase == AS_LEFT)

    def __getitem__(self, step: str) -> StepResult:
        known = self._known.get(step)
        if known is None:
            stood = self._stood[step]
            upset = upset_of(stood.step, self._left)
            values = step_values(self._evaluation, stood.step)
            known = step_result(self._evaluation, stood.step, stood.section, *values, upset)
            self._known[step] = known
        return known

    def __iter__(self) -> Iterator[str]:
        return iter(self._stood)

    def __len__(self) -> int:
        return len(self._stood)

    def __contains__(self, step: object) -> bool:
        return step in self._stood
