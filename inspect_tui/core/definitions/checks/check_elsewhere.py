"""What a list says of other files: readings of other lists that it carries on, its drawing.

Asked by `check` alone: a session can be begun and carried on without them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from inspect_tui.core.definitions import decode, toml
from inspect_tui.core.definitions.checks.check_references import placed_steps
from inspect_tui.core.definitions.checks.check_types import reading_type, unit_type
from inspect_tui.core.definitions.compose import Composed, Library
from inspect_tui.core.definitions.problems import Problem, ProblemCollector
from inspect_tui.core.definitions.toml_positions import Path
from inspect_tui.core.expressions.nodes import what
from inspect_tui.core.expressions.values import Type
from inspect_tui.core.model.checklist import Checklist, Derived, Reading
from inspect_tui.core.model.drawing import MachineDrawing
from inspect_tui.core.text.sanitize import ellipsize
from inspect_tui.core.text.suggestions import suggest
from inspect_tui.errors import InspectError


def check_elsewhere(
    composed: Composed,
    text: str,
    file: str,
    library: Library,
    drawings: Mapping[str, MachineDrawing | None],
) -> tuple[Problem, ...]:
    """Every `same_as` and the drawing of a list.

    Args:
        composed: The list with what it takes from others.
        text: The file's.
        file: As the person named it.
        library: The other lists.
        drawings: Those there are, by name; None where a file has problems of its own.
    """
    complaints = ProblemCollector()
    complaints.moved = composed.moved
    checklist = decode.checklist_of(composed.data)
    if checklist.drawing:
        _check_drawing(checklist, drawings, complaints)
    known: dict[str, Checklist | str] = {}
    for path, step in placed_steps(checklist):
        for number, reading in enumerate(step.reading):
            place = (*path, "reading", number, "same_as")
            list_id, _, rest = reading.same_as.partition(":")
            if rest.count(".") != 1:
                continue  # Its form is wrong, and said.
            other = known.setdefault(list_id, _other(list_id, checklist, library))
            if isinstance(other, str):
                complaints.add(place, other, note=True)
            else:
                step_id, _, of = rest.partition(".")
                _check_same_as(place, reading, other, (step_id, of), complaints)
    return complaints.problems(text, file)


def _check_drawing(
    checklist: Checklist,
    drawings: Mapping[str, MachineDrawing | None],
    complaints: ProblemCollector,
) -> None:
    if checklist.drawing not in drawings:
        hint = suggest(checklist.drawing, drawings) or _there(drawings)
        complaints.add(
            ("drawing",), f"There is no drawing '{ellipsize(checklist.drawing)}'; {hint}"
        )
        return
    drawing = drawings[checklist.drawing]
    if drawing is None:
        complaints.add(
            ("drawing",), f"The drawing '{checklist.drawing}' has problems of its own, which "
            f"`inspect-tui check {checklist.drawing}` says.", note=True,
        )  # fmt: skip
        return
    for number, section in enumerate(checklist.section):
        if section.id and drawing.place(section.id) is None:
            complaints.add(
                ("section", number, "id"), f"The drawing '{checklist.drawing}' has no place for "
                f"'{ellipsize(section.id)}'; its state stands beside it.", note=True,
            )  # fmt: skip


def _there(names: Iterable[str]) -> str:
    listed = ", ".join(sorted(names))
    return f"there are {listed}." if listed else "leave it out."


def _other(list_id: str, mine: Checklist, library: Library) -> Checklist | str:
    """Another list, or why it can't be looked into."""
    if list_id == mine.id:
        return mine
    try:
        text = library.text(list_id)
    except InspectError as error:
        return f"The list '{ellipsize(list_id)}' can't be read: {error}"
    if text is None:
        hint = suggest(list_id, library.ids())
        return f"There is no checklist '{ellipsize(list_id)}' here{f'; {hint}' if hint else '.'}"
    data = toml.read(text, list_id)
    if isinstance(data, Problem):
        return f"The list '{ellipsize(list_id)}' can't be read: {data.message}"
    return decode.checklist_of(data)


def _check_same_as(
    path: Path,
    reading: Reading,
    other: Checklist,
    there: tuple[str, str],
    complaints: ProblemCollector,
) -> None:
    step_id, of = there
    steps = {step.id: step for step in other.steps}
    step = steps.get(step_id)
    if step is None:
        hint = suggest(step_id, steps) or "write the id of one of its steps."
        complaints.add(path, f"'{other.id}' has no step '{ellipsize(step_id)}'; {hint}")
        return
    values: dict[str, Reading | Derived] = {}
    values.update((value.id, value) for value in step.derived)
    values.update((value.id, value) for value in step.readings)
    found = values.get(of)
    if found is None:
        hint = suggest(of, values) or f"it has {', '.join(map(ellipsize, values))}."
        complaints.add(
            path, f"'{step_id}' of '{other.id}' has no reading '{ellipsize(of)}'; {hint}"
        )
        return
    mine, theirs = reading_type(reading), _type(found)
    alike = (mine.what, mine.dimension, mine.quantity_kind) == (
        theirs.what, theirs.dimension, theirs.quantity_kind,
    )  # fmt: skip
    if not alike and "any" not in (mine.what, theirs.what):
        complaints.add(
            path,
            f"This reading is {what(mine)}, and {other.id}:{step_id}.{of} {what(theirs)}; carry "
            "on like with like.",
        )


def _type(value: Reading | Derived) -> Type:
    if isinstance(value, Reading):
        return reading_type(value)
    return unit_type(value) if value.unit else Type("any")
