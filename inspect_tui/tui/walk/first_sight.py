"""What a walk shows first: known when its session was left, drawn before it is opened again.

Imports little. The keys that are typed meanwhile wait for the session; nothing here is judged or
recorded from.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from inspect_tui.tui.base.step_lines import SectionLines, StepLine, section_lines
from inspect_tui.tui.base.title_cells import Cell, cells_of
from inspect_tui.tui.walk.gate import Gate

if TYPE_CHECKING:
    from inspect_tui.tui.base.view_model import View


class FirstSight(NamedTuple):
    """The parts of the walk screen, as plain words."""

    first: tuple[Cell, ...]
    """The title block's upper line."""
    then: tuple[Cell, ...]
    sections: tuple[SectionLines, ...]
    step: str
    """Where the person will be."""
    heading: str
    gate: Gate | None
    """What has to be confirmed first."""
    asked: str
    """The question."""


def first_sight(view: View) -> FirstSight:
    """What a session shows when it is opened next."""
    # Late: they belong to an open session, and there is one by now.
    from inspect_tui.tui.base import reading_order
    from inspect_tui.tui.walk import question_text
    from inspect_tui.tui.walk.state import WalkState

    state = WalkState().opened(view)
    first, then = cells_of(view, reading_order.sheet_of(view.results, state.step))
    title = view.results.step(state.step).step.title
    asked = question_text.asked(state).text.plain
    sections = section_lines(view.results)
    return FirstSight(
        tuple(first), tuple(then), sections, state.step, title, state.gate, asked
    )  # fmt: skip


def as_data(sight: FirstSight) -> list[object]:
    """As lists and texts, for a file."""
    *before, gate, asked = sight
    parts = None if gate is None else [gate.kind, gate.step, gate.title, gate.texts, gate.asks]
    return [*before, parts, asked]


def from_data(data: Any) -> FirstSight | None:
    """From what `as_data` gave; None where it is anything else."""
    try:
        first, then, sections, step, heading, gate, asked = data
        found = FirstSight(
            tuple(Cell(*map(_text, each)) for each in first),
            tuple(Cell(*map(_text, each)) for each in then),
            tuple(map(_section, sections)),
            _text(step),
            _text(heading),
            None if gate is None else _gate(*gate),
            _text(asked),
        )
    except (TypeError, ValueError):
        return None
    return found


def _section(data: Any) -> SectionLines:
    id_, title, done, of, failed, steps = data
    lines = tuple(_step(*each) for each in steps)
    return SectionLines(_text(id_), _text(title), int(done), int(of), bool(failed), lines)


def _step(id_: Any, mark: Any, colour: Any, title: Any, quiet: Any, safety: Any) -> StepLine:
    return StepLine(
        _text(id_), _text(mark), _text(colour), _text(title), bool(quiet), bool(safety)
    )  # fmt: skip


def _gate(kind: Any, step: Any, title: Any, texts: Any, asks: Any) -> Gate:
    if kind not in ("list", "step", "begin"):
        raise ValueError(kind)
    return Gate(kind, _text(step), _text(title), tuple(map(_text, texts)), _text(asks))


def _text(value: Any) -> str:
    if not isinstance(value, str):
        raise TypeError(value)
    return value
