"""A step of another list, taken into an open session."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.core.definitions.taken_step import text_of
from inspect_tui.files import definition_files

if TYPE_CHECKING:
    from inspect_tui.workflow.inspection import Inspection


def take_step(inspection: Inspection, section: str, place: str) -> str:
    """The step, with its how, limits and cautions, at the end of a section; its id here.

    One that this session's own list has and the job leaves out is taken in instead.

    Args:
        inspection: The session, open for writing.
        section: Of its list.
        place: `LIST:STEP`.

    Raises:
        BadInput: there is no such step or section, or its list has problems.
        Refused: signed, set aside, or open for reading only.
        NotSaved: the disk did not take it.
    """
    own = inspection.results.checklist
    list_id, _, step = place.partition(":")
    if list_id == own.id and any(each.id == step for each in own.steps):
        inspection.job.widen((step,))
        return step
    library = definition_files.Lists(inspection.places, inspection.places.checklists)
    title, text = text_of(place, library)
    return inspection.job.add_taken(section, place, title, text)
