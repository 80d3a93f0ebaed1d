"""The list of steps as plain words: each step with its mark, each section with its count. Pure."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from inspect_tui.core.model.results import Results


class StepLine(NamedTuple):
    """A step in the list."""

    id: str
    mark: str
    colour: str
    """The mark's."""
    title: str
    quiet: bool
    """Whether nothing is to be done at it: skipped or not needed."""
    safety: bool


class SectionLines(NamedTuple):
    """A section in the list, with its steps."""

    id: str
    title: str
    done: int
    of: int
    failed: bool
    steps: tuple[StepLine, ...]


def section_lines(results: Results) -> tuple[SectionLines, ...]:
    """The list as it stands."""
    # Late: where there are results, what works them out is loaded.
    from inspect_tui.core.evaluation.job.plan import count_of
    from inspect_tui.tui.base.styling import step_state

    lines = []
    for section in results.checklist.section:
        mine = [result for result in results.steps if result.section == section.id]
        count = count_of(mine)
        steps = []
        for result in mine:
            mark, _, colour = step_state(result)
            quiet = result.state in ("skipped", "not-needed")
            step = result.step
            steps.append(StepLine(step.id, mark, colour, step.title, quiet, step.is_safety))
        failed = any(result.failed for result in mine)
        lines.append(
            SectionLines(section.id, section.title, count.done, count.of, failed, tuple(steps))
        )
    return tuple(lines)
