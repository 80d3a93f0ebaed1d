"""What has to be read and confirmed before a reading is recorded. Pure."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Literal, NamedTuple

if TYPE_CHECKING:
    from inspect_tui.core.model.checklist import Step
    from inspect_tui.core.model.results import StepResult
    from inspect_tui.tui.base.view_model import View
    from inspect_tui.workflow.inspection import Inspection


class Gate(NamedTuple):
    """Something to be read and confirmed first."""

    kind: Literal["list", "step", "begin"]
    """The list's own cautions, a step's, or a step that starts or moves the machine."""
    step: str
    """The step that is confirmed; "" for the list's own."""
    title: str
    texts: tuple[str, ...]
    asks: str
    """What Enter on the empty field says yes to."""

    @property
    def is_whole_list(self) -> bool:
        """Whether these are the list's own cautions, which lie over the whole sheet."""
        return self.kind == "list"

    def confirm(self) -> Callable[[Inspection], None]:
        """What is asked of the inspection once the person has confirmed: to log it."""
        if self.kind == "begin":
            return lambda held: held.cautions.begin(self.step)
        return lambda held: held.cautions.confirm(self.step)


def gate_before(view: View, result: StepResult, begun: frozenset[str]) -> Gate | None:
    """What has to be confirmed before a reading of this step; None where nothing waits.

    Args:
        view: The inspection as it stands.
        result: The step that the person is at.
        begun: Steps that begin a run or a move and were already said yes to.
    """
    if view.read_only or view.signed:
        return None
    cautions = view.results.checklist.cautions
    if cautions and not view.caution_confirmed(""):
        yes = "Read these first. Space or Enter: read and understood."
        return Gate("list", "", "Cautions before the first step", cautions, yes)
    step = result.step
    unread = bool(step.caution) and not view.caution_confirmed(step.id)
    asks = _asks_to_begin(view, step, begun)
    if not unread and not asks:
        return None
    told: tuple[str, ...] = ()
    if asks:
        # Late: a first picture waits for nothing that works seasons out.
        from inspect_tui.core.seasons.open_before import before

        told = (*result.advice, *before(step.begins, view.earlier_stops))
    texts = ((step.caution,) if unread else ()) + told
    if asks:
        what = "the engine runs" if step.begins == "start" else "the machine moves"
        none_open = () if told else ("No safety step is open.",)
        yes = f"From here {what}. Space or Enter: go on."
        return Gate("begin", step.id, f"Before {what}", texts + none_open, yes)
    yes = "Space or Enter: read and understood."
    return Gate("step", step.id, "Caution", texts, yes)


def _asks_to_begin(view: View, step: Step, begun: frozenset[str]) -> bool:
    """Whether this step starts the engine or moves the machine and nothing was read at it yet."""
    if not step.begins or step.id in begun:
        return False
    return not any(row.step == step.id for row in view.results.readings)
