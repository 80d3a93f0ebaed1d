"""A photo of the tablet's camera, put where the walk is."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from inspect_tui.tui.base.view_model import InspectionActions
    from inspect_tui.tui.walk.state import WalkState


def put_at_step(
    actions: InspectionActions, state: WalkState, path: Path
) -> tuple[str, Literal["information", "error"]]:
    """Put a photo at the step, at the cylinder that is read; what came of it, in words."""
    cylinder = state.target.cylinder if state.target else None
    step = state.results.step(state.step).step
    outcome = actions.submit(lambda held: held.photo(step.id, path, cylinder))
    where = step.title if cylinder is None else f"{step.title}, {cylinder}"
    if outcome.error:
        return outcome.error, "error"
    return " ".join((f"Photo saved at {where}.", *outcome.said)), "information"
