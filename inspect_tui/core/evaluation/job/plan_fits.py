"""What of the plan fits the time there is, or the tool in hand."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Final

from inspect_tui.core.model.results import Results, StepResult

BUDGETS: Final = (None, 30, 60, 120)
"""Minutes that a person says to have; None is as long as it takes."""


@dataclass(frozen=True, slots=True)
class Fitting:
    """The steps that fit, in the order in which to do them."""

    steps: tuple[StepResult, ...]
    minutes: float


def left_steps(results: Results) -> list[StepResult]:
    """Steps to do: to be measured again first, then gates, then in the list's order."""
    left = [step for step in results.steps if step.state in ("open", "again")]
    return sorted(left, key=lambda one: (one.state != "again", not one.step.gate))


def fits(results: Results, minutes: float | None, tool: str) -> Fitting:
    """The steps to do with this tool in hand, as many as the time takes.

    Args:
        results: What stands.
        minutes: The time there is; None for as long as it takes.
        tool: A tool's name as the list writes it; "" for any.
    """
    chosen: list[StepResult] = []
    taken = 0.0
    for step in left_steps(results):
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
        tool for step in left_steps(results) for tool in dict.fromkeys(step.step.tools)
    )
    return [tool for tool, _ in wanted.most_common()]
