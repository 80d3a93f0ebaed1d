"""What a session will show first is kept when it is begun or left, so that it is there at once."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from inspect_tui.files.store import Store
from inspect_tui.tui.walk.first_sight import FirstSight, as_data, first_sight, from_data
from inspect_tui.workflow import first_sight as files

if TYPE_CHECKING:
    from inspect_tui.tui.base.view_model import View
    from inspect_tui.workflow.inspection import Inspection


def kept_sight(places: Store, session: str) -> FirstSight | None:
    """What this session showed when it was left; None where its log is another one since."""
    return from_data(files.read(places, session)) if session else None


def keep_sight(inspection: Inspection, view: View) -> None:
    """Keep what a session will show; nothing is written to its log meanwhile."""
    sight_to_keep(inspection, view)()


def sight_to_keep(inspection: Inspection, view: View) -> Callable[[], None]:
    """The same in two parts: what is handed back can be done beside, whatever is written."""
    places, session = inspection.places, inspection.id
    seal = inspection.log.entries[-1].seal
    state = None if view.read_only or view.broken else files.state_of(places, session, seal)

    def keep() -> None:
        if state is not None:
            files.write(places, session, state, as_data(first_sight(view)))

    return keep
