"""What a person may ask of a session's readings: which reading is meant, what a text would be.

Pure; the inspection writes what comes out of here.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from inspect_tui.core.evaluation.evaluator import Evaluator
from inspect_tui.core.evaluation.job import slips
from inspect_tui.core.evaluation.job.supposed_steps import SupposedSteps
from inspect_tui.core.evaluation.uncertainty.measured import Measured
from inspect_tui.core.expressions import ambient
from inspect_tui.core.model.checklist import Reading, Step
from inspect_tui.core.model.log_entry import AS_FOUND, AS_LEFT, Phase
from inspect_tui.core.model.results import ConformityResult, Results
from inspect_tui.core.model.targets import Preview, Target
from inspect_tui.core.presentation import wording
from inspect_tui.core.quantities import units
from inspect_tui.core.readings import parse as readings
from inspect_tui.core.readings import plausibility
from inspect_tui.core.session.replay import Recorded
from inspect_tui.core.text.formatting import format_value, join_words
from inspect_tui.core.text.sanitize import sanitize
from inspect_tui.core.text.suggestions import suggest_all, suggest_or_list
from inspect_tui.core.text.unit_text import format_unit
from inspect_tui.errors import BadInput, InspectError, Refused

__all__ = ["Asked", "Preview", "ReadingValidator", "Target", "logged"]


_Given = tuple[Target, str, readings.Value | None]
"""A reading with what was entered and its value."""


@dataclass(frozen=True, slots=True)
class Asked:
    """One reading that was understood and judged."""

    target: Target
    entered: str
    value: readings.Value | None
    """None: answered unknown."""
    unit: str
    judged: ConformityResult
    question: str


class ReadingValidator:
    """Answers for the session of one evaluator, which is never changed by a question."""

    def __init__(self, evaluation: Evaluator) -> None:
        self.evaluation = evaluation

    def step(self, step: str) -> Step:
        """The step of that id. Raises BadInput with the nearest known id."""
        known = self.evaluation.compiled.steps
        if step not in known:
            raise BadInput(f"There is no step '{sanitize(step)}'.", suggest_or_list(step, known))
        return known[step]

    def cylinder(self, cylinder: str) -> str:
        """A cylinder of this machine, matched exactly."""
        known = self.evaluation.machine.cylinders
        if cylinder not in known:
            raise BadInput(
                f"There is no cylinder '{sanitize(cylinder)}'.",
                f"This machine has {', '.join(known)}.",
            )
        return cylinder

    def place(self, target: Target, *, need_cylinder: bool = True) -> Reading:
        """The reading that is meant. Raises BadInput where it isn't one."""
        step = self.step(target.step)
        known = {reading.id: reading for reading in step.readings}
        if target.reading not in known:
            raise BadInput(
                f"Step '{step.id}' has no reading '{sanitize(target.reading)}'.",
                suggest_all(target.reading, known),
            )
        if target.cylinder is not None:
            if not step.per_cylinder:
                raise BadInput(
                    f"{step.id}.{target.reading} is taken once, not per cylinder.",
                    "Leave the cylinder out.",
                )
            self.cylinder(target.cylinder)
        elif step.per_cylinder and need_cylinder:
            names = ", ".join(self.evaluation.machine.cylinders)
            raise BadInput(
                f"{step.id}.{target.reading} is taken per cylinder.", f"Say which: @ and {names}."
            )
        return known[target.reading]

    def without_value(self, target: Target) -> None:
        """Raises Refused where a reading, on every cylinder that is meant, has a value."""
        self.place(target, need_cylinder=False)
        evaluation = self.evaluation
        cylinders: Sequence[str | None] = (target.cylinder,)
        if target.cylinder is None and evaluation.compiled.steps[target.step].per_cylinder:
            cylinders = evaluation.machine.cylinders
        values = []
        for cylinder in cylinders:
            key = evaluation.answered((target.step, target.reading, cylinder), AS_LEFT)
            if key is None:
                return
            row = evaluation.reading_row(key)
            values.append(format_value(row.value, row.unit))
        has = (
            f"has a value, {values[0]}" if len(values) == 1 else f"has values, {join_words(values)}"
        )
        raise Refused(f"{target} {has}; correct it, or move it in the app (Move value).")

    def preview(self, target: Target, text: str, phase: Phase) -> Preview:
        """What this text would be as that reading; raises nothing."""
        try:
            (one,) = self.validate([(target, text)], phase)
        except InspectError as error:
            return Preview(error=str(error))
        if one.value is None:
            return Preview("unknown", None, one.judged)
        shown = format_value(one.value, one.unit)
        return Preview(shown, one.value, one.judged, one.question)

    def validate(
        self, values: Sequence[tuple[Target, str]], phase: Phase, gauge: str = ""
    ) -> tuple[Asked, ...]:
        """What was typed, understood and judged together, or BadInput for the first that can't be.

        Limits may rest on other readings of the same lot, so each is judged as if those before it
        were recorded: its entry in the log is judged by the entries up to it.
        """
        understood: list[tuple[Target, Reading, readings.ParsedReading]] = []
        for target, text in values:
            reading = self.place(target)
            try:
                typed = readings.read(text, reading)
                _refuse_impossible_air(reading, typed)
                understood.append((target, reading, typed))
            except BadInput as error:
                raise BadInput(f"{target}: {error.message}", error.hint) from None
        given = [(target, typed.entered, typed.value) for target, _, typed in understood]
        judged: list[tuple[ConformityResult, Measured | None]] = []
        whole = self.evaluation
        for whole, one in zip(self._in_turn(given, phase, gauge), understood, strict=True):
            judged.append(self._judged(whole, *one, phase, gauge))
        return tuple(
            self._asked(whole, *one, *verdict, phase)
            for one, verdict in zip(understood, judged, strict=True)
        )

    def advice(
        self, results: Results, lot: Iterable[Asked], phase: Phase, gauge: str = ""
    ) -> Iterator[tuple[str, ...]]:
        """Advice that each reading of a lot would not follow, those before it being recorded.

        Args:
            results: What follows from the session as it stands.
            lot: The readings, validated, in the order in which they are recorded.
            phase: As found or as left.
            gauge: Which gauge.
        """
        lot = tuple(lot)
        given = [(one.target, one.entered, one.value) for one in lot]
        steps = SupposedSteps(self.evaluation, results)
        for one, then in zip(lot, self._in_turn(given, phase, gauge), strict=True):
            yield steps.advice(one.target.step, phase)
            target = one.target
            steps.take(then, (target.step, target.reading, target.cylinder, phase))

    def _judged(
        self,
        supposed: Evaluator,
        target: Target,
        reading: Reading,
        typed: readings.ParsedReading,
        phase: Phase,
        gauge: str,
    ) -> tuple[ConformityResult, Measured | None]:
        """The verdict of a reading by the lot up to it, and what was measured; None: unknown."""
        step = supposed.compiled.steps[target.step]
        place = (target.step, target.reading)
        if typed.value is None:
            return supposed.judge_unknown(*place, target.cylinder, phase), None
        measured = Measured.typed(
            typed, reading, supposed.units[place], supposed.definitions.stated(*place), gauge
        )
        key = (target.step, target.reading, target.cylinder, phase)
        return supposed.judge(step, key, measured), measured

    def _asked(
        self,
        whole: Evaluator,
        target: Target,
        reading: Reading,
        typed: readings.ParsedReading,
        judged: ConformityResult,
        measured: Measured | None,
        phase: Phase,
    ) -> Asked:
        """A reading that was judged, questioned by the whole lot."""
        if typed.value is None or measured is None:
            unit = whole.units[target.step, target.reading].text
            return Asked(target, typed.entered, None, unit, judged, "")
        question = slips.question(
            self.evaluation, whole, target, reading, typed, phase, judged.zone
        )
        question = question or self._moved(whole, target, measured, phase)
        asked = f"{target}: {question}" if question else ""
        return Asked(target, typed.entered, typed.value, measured.unit.text, judged, asked)

    def _moved(self, supposed: Evaluator, target: Target, left: Measured, phase: Phase) -> str:
        """A question, if a value as left is further from as found than its error can explain.

        Asked only where nothing is known to have been done: no finding on it, no decision.
        Taken with one gauge, its own error cancels (`uncertainty_between`).
        """
        session = supposed.session
        place = (target.step, target.reading, target.cylinder)
        if phase != AS_LEFT or supposed.key(place, AS_FOUND) is None:
            return ""
        row = supposed.reading_row((*place, AS_FOUND))
        found = supposed.measured((*place, AS_FOUND))
        numbers = left.number, found.number
        if row.judged.verdict in ("fail", "uncertain") or str(target) in session.decisions:
            return ""
        if any(isinstance(number, bool | str) for number in numbers) or not left.uncorrelated:
            return ""
        moved = abs(float(left.number) - float(found.number))
        can_be = 2 * math.hypot(left.uncorrelated, found.uncorrelated)
        if left.gauge != found.gauge:
            can_be = math.hypot(can_be, 2 * left.error.common, 2 * found.error.common)
        if moved <= can_be * (1 + 1e-9):
            return ""
        unit = wording.difference_unit(left.unit.text)
        return (
            f"as found it was {format_value(found.number, left.unit.text)}; a move of "
            f"{format_value(moved, unit, digits=3)} is more than ±"
            f"{format_value(can_be, unit, digits=2)} can explain; was something changed?"
        )

    def _in_turn(self, given: Iterable[_Given], phase: Phase, gauge: str) -> Iterator[Evaluator]:
        """The session as if these were recorded, after each: the entry that it would be."""
        supposed = self.evaluation
        for target, entered, value in given:
            session = supposed.session
            place = (target.step, target.reading, target.cylinder)
            recorded = Recorded(
                *place, phase, entered, logged(value), self.place(target).unit, session.last,
                session.by, session.entries, gauge=gauge,
            )  # fmt: skip
            lifted = ((target.step, None, None), place)
            skips = {at: skip for at, skip in session.skips.items() if at not in lifted}
            standing = {**session.readings, (*place, phase): recorded}
            supposed = supposed.of(
                dataclasses.replace(
                    session, readings=standing, skips=skips, entries=session.entries + 1
                )
            )
            yield supposed


def _refuse_impossible_air(reading: Reading, typed: readings.ParsedReading) -> None:
    """Raises BadInput, in the unit that was typed, for air that there can't be."""
    if not reading.condition or typed.value is None or isinstance(typed.value, bool | str):
        return
    own = units.unit(reading.unit)
    value = units.of(typed.value, own)
    if value.dimension == units.unit(ambient.UNITS[reading.condition]).dimension:
        unit = plausibility.typed_unit(own, typed.written)
        ambient.refuse_impossible(reading.condition, value, unit)


def logged(value: readings.Value | None) -> int | float | bool | str | None:
    """A value as a log holds it: whole numbers whole, others as floats."""
    if isinstance(value, Fraction):
        return value.numerator if value.denominator == 1 else float(value)
    return value


_TYPED_AS = {
    "count": "a whole number", "check": "yes or no", "text": "text", "date": "a date",
    "photo": "file:PATH", "timer": "m:ss",
}  # fmt: skip


def typed_as(reading: Reading) -> str:
    """What a reading takes: `a number in kPa`, `none, surface or through`, `yes or no`."""
    if reading.kind == "number":
        return f"a number in {format_unit(reading.unit)}" if reading.unit else "a number"
    if reading.kind == "choice":
        *others, last = reading.options
        return f"{', '.join(others)} or {last}" if others else last
    return _TYPED_AS[reading.kind]
