"""What a session will show first is kept when it is begun or left, so that it is there at once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.files import first_sight as files
from inspect_tui.files.store import Store
from inspect_tui.tui.walk.first_sight import FirstSight, as_data, first_sight, from_data

if TYPE_CHECKING:
    from inspect_tui.tui.base.view_model import View
    from inspect_tui.workflow.inspection import Inspection


def kept_sight(places: Store, session: str) -> FirstSight | None:
    """What this session showed when it was left; None where its log is another one since."""
    return from_data(files.read(places, session)) if session else None


def keep_sight(inspection: Inspection, view: View) -> None:
    """Keep what a session will show; its log is closed, or nothing more is written to it."""
    if not (view.read_only or view.broken):
        files.write(inspection.places, inspection.id, as_data(first_sight(view)))
