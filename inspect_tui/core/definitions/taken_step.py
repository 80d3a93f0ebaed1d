"""A step of another list, taken into a session while it is walked: as a list of that step alone.

Its text goes into the log, so that it is read again as it stood. What it says of steps that did not
come along is left out (`after`, `disturbed_by`) or has no value; `every` and inferences stay with
their list.
"""

from __future__ import annotations

from inspect_tui.core.definitions import load as definitions
from inspect_tui.core.definitions import toml
from inspect_tui.core.definitions.compose import Library
from inspect_tui.core.definitions.decode import tables
from inspect_tui.core.definitions.own_items import TITLE
from inspect_tui.core.definitions.sheets.write_toml import document
from inspect_tui.core.model.declaration import SECTION_OF_OWN
from inspect_tui.core.text.sanitize import ellipsize
from inspect_tui.errors import BadInput

AS = "own-1"
"""What the step is called in its text; the session calls it `added-1` and so on."""
_LEFT_OUT = ("after", "disturbed_by", "every")


def text_of(place: str, library: Library) -> tuple[str, str]:
    """The step's title, and the text of a list that holds it alone.

    Args:
        place: `LIST:STEP`.
        library: The lists that there are.

    Raises:
        BadInput: there is no such step, or its list has problems.
    """
    loaded = definitions.load_checklist(_list_of({"use": place}), "one.toml", library)
    problems = [problem.message for problem in loaded.problems if not problem.note]
    if problems or loaded.composed is None:
        raise BadInput(f"'{ellipsize(place)}' can't be taken in: {' '.join(problems)}")
    data = toml.read(loaded.composed.text, "one.toml")
    assert isinstance(data, dict), "it was loaded just now"
    (step,) = tables(tables(data, "section")[0], "step")
    kept = {name: one for name, one in step.items() if name not in _LEFT_OUT}
    return str(step["title"]), _list_of({**kept, "id": AS})


def _list_of(step: dict[str, object]) -> str:
    section = {"id": SECTION_OF_OWN, "title": TITLE, "step": [step]}
    return document({"id": "one", "title": TITLE, "revision": 1, "section": [section]})
