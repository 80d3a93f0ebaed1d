"""What a derived value is worked out from, as a person reads it: labels, figures by name.

Pure. The formula itself stands in the list, for whoever writes lists.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final

from inspect_tui.core.model.checklist import Checklist, Step
from inspect_tui.core.presentation.wording import CONDITIONS, WORKED_OUT
from inspect_tui.core.text.formatting import join_words

_NAMES: Final = re.compile(
    r"'[^']*'|\"[^\"]*\"|([A-Za-z]\w*)(?:\.([A-Za-z]\w*))?(?!\w|\s*\(|\s*=[^=])"
)
"""Quoted texts, which are passed over, and names: of a reading, or of what is behind a point; not
of a calculation or of what it is given."""


def formula_words(checklist: Checklist, step: Step, formula: str) -> str:
    """`Compression, Height of this shed and the sheet's stroke`; "" where it rests on nothing.

    Args:
        checklist: The whole list: a formula may name readings of other steps.
        step: Where the formula stands.
        formula: As the list has it.
    """
    found = (_of_name(checklist, step, *match.groups()) for match in _NAMES.finditer(formula))
    return join_words(list(dict.fromkeys(words for words in found if words)), most=8)


def _of_name(checklist: Checklist, step: Step, first: str | None, second: str | None) -> str:
    if first is None:
        return ""
    if second is None:
        return _label(step, first)
    if first in ("spec", "machine"):
        about = {_key(name): each.label for name, each in checklist.figure.items()}
        return f"the sheet's '{about.get(second, second.replace('_', ' '))}'"
    if first == "chart":
        return f"the jet chart's '{second.replace('_', ' ')}'"
    if first == "conditions":
        return {**CONDITIONS, **WORKED_OUT}.get(second, second.replace("_", " "))
    other = next((each for each in checklist.steps if _key(each.id) == first), None)
    return "" if other is None else f"{_label(other, second)} ({other.title})"


def _label(step: Step, name: str) -> str:
    return next((label for id_, label in _labels(step) if _key(id_) == name), "")


def _labels(step: Step) -> Iterator[tuple[str, str]]:
    yield from ((reading.id, reading.label) for reading in step.readings)
    yield from ((derived.id, derived.label) for derived in step.derived)


def _key(id_: str) -> str:
    return id_.replace("-", "_")
