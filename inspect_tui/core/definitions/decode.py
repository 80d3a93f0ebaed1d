"""From what a TOML file holds to the frozen models, without judging it.

Every list keeps its length and order, and what has the wrong form becomes empty; so that what the
checks say of a place in the file stays true of the same place in the model. Unknown keys are left
out. `check_form` says what is wrong; here nothing is.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

from inspect_tui.core.definitions.keys import decoded, keys_of
from inspect_tui.core.definitions.shapes import ValuesShape
from inspect_tui.core.model.checklist import Checklist
from inspect_tui.core.model.figures import Figures
from inspect_tui.core.model.machine import JetBand, Machine

Table = Mapping[str, Any]
OLD_STEP_KEYS = {"needs": "after", "when": "only_if", "before": "disturbed_by"}
"""What keys of a step were called in lists of earlier sessions, and what they are called now."""
BAND_KEYS = tuple(key.name for key in keys_of(JetBand).values() if not key.rest)
"""Keys of a jet chart's band that are no settings."""


def checklist_of(data: Table, *, of_log: bool = False) -> Checklist:
    """The checklist that a file holds, as far as it has the form of one.

    Args:
        data: Of the file.
        of_log: It comes from a log, which holds the list as it was opened: keys of a step count
            under the names that they had then, too.
    """
    sections = data.get("section")
    if of_log and isinstance(sections, list):
        data = {**data, "section": [_with_new_names(one) for one in sections]}
    return cast(Checklist, decoded(Checklist, data))


def machine_of(data: Table) -> Machine:
    """The machine that a sheet holds, as far as it has the form of one."""
    spec = data.get("spec")
    if isinstance(spec, dict) and "text" in spec and not isinstance(spec["text"], dict):
        # `text` is the table of words; a figure of that name is said elsewhere, and left out.
        data = {**data, "spec": {name: one for name, one in spec.items() if name != "text"}}
    return cast(Machine, decoded(Machine, data))


def figures_of(data: Table) -> Figures:
    """The figures that a file holds, as far as it has the form of one."""
    return cast(Figures, decoded(Figures, data))


def _with_new_names(section: Any) -> Any:
    """A section whose steps call their keys as they are called now."""
    steps = section.get("step") if isinstance(section, dict) else None
    if not isinstance(steps, list):
        return section
    old = OLD_STEP_KEYS.keys()
    if not any(isinstance(step, dict) and not old.isdisjoint(step) for step in steps):
        return section
    return {
        **section,
        "step": [_renamed(step) if isinstance(step, dict) else step for step in steps],
    }


def _renamed(step: Table) -> Table:
    old = {new: step[name] for name, new in OLD_STEP_KEYS.items() if name in step}
    return {**old, **step}


def is_figure(value: object) -> bool:
    """Whether a value has the form of a figure: a number, a text, or a list of them."""
    return _is_value("spec", value)


def is_words(value: object) -> bool:
    """Whether a value has the form of a figure that is words: a text, or a list of them."""
    return _is_value("spec_text", value)


def _is_value(field: str, value: object) -> bool:
    shape = keys_of(Machine)[field].shape
    assert isinstance(shape, ValuesShape)
    return shape.is_value(value)


def tables(data: Table, key: str) -> list[Table]:
    """The tables of a list of tables; what is none counts as an empty one."""
    found = data.get(key)
    if not isinstance(found, list):
        return []
    return [one if isinstance(one, dict) else {} for one in found]
