"""What of the plan fits the time there is, or the tool in hand."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Final

from inspect_tui.core.evaluation.job.plan import left_in_order
from inspect_tui.core.model.results import Results, StepResult

BUDGETS: Final = (None, 30, 60, 120)
"""Minutes that a person says to have; None is as long as it takes."""


@dataclass(frozen=True, slots=True)
class Fitting:
    """The steps that fit, in the order in which to do them."""

    steps: tuple[StepResult, ...]
    minutes: float


def fits(results: Results, minutes: float | None, tool: str) -> Fitting:
    """The steps to do with this tool in hand, as many as the time takes.

    Args:
        results: What stands.
        minutes: The time there is; None for as long as it takes.
        tool: A tool's name as the list writes it; "" for any.
    """
    chosen: list[StepResult] = []
    taken = 0.0
    for step in left_in_order(results.steps):
        takes = step.step.minutes or 0
        if tool and tool not in step.step.tools:
            continue
        if minutes is not None and taken + takes > minutes:
            continue
        chosen.append(step)
        taken += takes
    return Fitting(tuple(chosen), taken)


def tools_wanted(results: Results) -> list[str]:
    """The tools of the steps to do, the one of most steps first."""
    wanted = Counter(
        tool for step in left_in_order(results.steps) for tool in dict.fromkeys(step.step.tools)
    )
    return [tool for tool, _ in wanted.most_common()]
