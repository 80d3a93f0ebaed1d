"""A checklist of a person's own: lines, and steps of other lists; an ordinary file afterwards."""

from __future__ import annotations

from collections.abc import Sequence

from inspect_tui.core.definitions import load as definitions
from inspect_tui.core.definitions.own_items import list_of_steps
from inspect_tui.core.text.sanitize import required_text
from inspect_tui.errors import BadInput, Refused
from inspect_tui.files import definition_files
from inspect_tui.files.own_definitions import create
from inspect_tui.files.store import Store
from inspect_tui.workflow.catalogue import DefinitionLine, checklist
from inspect_tui.workflow.sheets import free_id


def new_own_list(places: Store, title: str, lines: Sequence[tuple[str, str]]) -> DefinitionLine:
    """A new list in the person's store, checked before it is written.

    Args:
        places: The person's store.
        title: Its title.
        lines: Each (what was typed, ""), or (its title, `LIST:STEP`) for a step that is taken in.

    Raises:
        BadInput: no title, no line, or nothing can be made of one.
        Refused: the list would have a problem.
        NotSaved: the disk did not take it.
    """
    title = required_text("the title", title)
    if not lines:
        raise BadInput("A list wants a line.")
    list_id = free_id("checklist", title, places)
    text = list_of_steps(list_id, title, lines)
    library = definition_files.Lists(places, places.checklists)
    loaded = definitions.load_checklist(text, f"{list_id}.toml", library)
    problems = [problem for problem in loaded.problems if not problem.note]
    if problems:
        raise Refused("\n".join(problem.message for problem in problems))
    return checklist(create("checklist", list_id, text, places), places)
