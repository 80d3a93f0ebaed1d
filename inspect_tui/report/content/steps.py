"""Steps and sections as a report has them: what was read, said and confirmed at each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from inspect_tui.core.model.checklist import Section, Step
from inspect_tui.core.model.results import NOT_OF_THE_JOB, Results, StepResult, Verdict
from inspect_tui.core.presentation import wording
from inspect_tui.core.session.replay import Caution, Note, Photo, Session
from inspect_tui.report.content.rows import Line, lines_of


@dataclass(frozen=True, slots=True)
class StepReport:
    """One step with all that was said at it."""

    result: StepResult
    number: str
    """Its place among the steps of the job, as on the screen; "" where it is not of the job."""
    lines: tuple[Line, ...]
    notes: tuple[Note, ...]
    confirmed: Caution | None
    """When its caution was confirmed."""
    moves: tuple[str, ...] = ()
    """The next move of each of its settings, where one is to be made."""
    photos: tuple[Photo, ...] = ()

    @property
    def step(self) -> Step:
        """The step of the list."""
        return self.result.step

    @property
    def is_told(self) -> bool:
        """Whether there is more to say of it than its state."""
        said = self.lines or self.notes or self.photos or self.confirmed or self.result.why_skipped
        return bool(said) or self.result.state == "done"

    @property
    def verdict(self) -> Verdict:
        """Of what stands in it, where something failed or is too close to call."""
        return "fail" if self.result.failed else "uncertain" if self.result.uncertain else "none"

    @property
    def state_words(self) -> str:
        """Sign and word of the state, the verdict's beside it where one failed."""
        mark = wording.STEP_STATES[self.result.state]
        words = f"{mark.sign} {mark.word}"
        return words if self.verdict == "none" else f"{words}, {wording.verdict_mark(self.verdict)}"


@dataclass(frozen=True, slots=True)
class SectionReport:
    """A section of the list."""

    id: str
    title: str
    steps: tuple[StepReport, ...]

    def of_state(self, *states: str) -> tuple[StepReport, ...]:
        """Its steps in one of these states."""
        return tuple(step for step in self.steps if step.result.state in states)


def section_reports(session: Session, results: Results) -> tuple[SectionReport, ...]:
    """Every section in the list's order."""
    numbers = step_numbers(results)
    return tuple(
        SectionReport(section.id, section.title, tuple(_steps(session, results, section, numbers)))
        for section in results.checklist.section
    )


def step_numbers(results: Results) -> Mapping[str, str]:
    """By step: its place among those of the job, which is the sheet's number on the screen."""
    of_job = [each.step.id for each in results.steps if each.state not in NOT_OF_THE_JOB]
    return {step: str(number) for number, step in enumerate(of_job, 1)}


def _steps(
    session: Session, results: Results, section: Section, numbers: Mapping[str, str]
) -> Iterator[StepReport]:
    for step in section.step:
        result = results.step(step.id)
        lines = lines_of(session, results, result)
        # A step that nobody touched is named with its state; rows of nothing measured say no more.
        touched = any(line.values or line.skipped for line in lines)
        yield StepReport(
            result,
            numbers.get(step.id, ""),
            lines if touched or result.state == "done" else (),
            tuple(note for note in session.notes if note.step == step.id),
            confirmed_caution(session, step.id),
            tuple(_moves(results, step)),
            session.photos_at(step.id),
        )


def _moves(results: Results, step: Step) -> Iterator[str]:
    for row in results.settings:
        if row.step == step.id and row.suggested:
            yield row.words if row.cylinder is None else f"{row.cylinder}: {row.words}"


def confirmed_caution(session: Session, step: str) -> Caution | None:
    """Who confirmed the caution of a step, or the list's ("")."""
    here = [caution for caution in session.cautions if caution.step == step]
    return next((caution for caution in here if not caution.printed), here[0] if here else None)
