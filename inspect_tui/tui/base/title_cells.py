"""The cells of a title block: count, state, machine, list, by whom. Pure."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from inspect_tui.tui.base.view_model import View


class Cell(NamedTuple):
    """One cell of the block."""

    name: str
    text: str


def cells_of(view: View, sheet: str) -> tuple[list[Cell], list[Cell]]:
    """The cells of an inspection, by line.

    Args:
        view: The inspection as it stands.
        sheet: The screen's number or name.
    """
    # Late: where there is a view, this is loaded.
    from inspect_tui.core.text.formatting import duration

    results, session = view.results, view.session
    done = view.progress
    first = [Cell("done", f"{done.done} of {done.of}")]
    if done.failed:
        first.append(Cell("failed", f"✗ {done.failed}"))
    if done.minutes:
        first.append(Cell("left", f"about {duration(done.minutes)}"))
    return [*first, Cell("state", _state(view))], [
        Cell("sheet", sheet),
        Cell("machine", results.machine.name or results.machine.id),
        Cell("checklist", f"{results.checklist.title} rev {results.checklist.revision}"),
        Cell("by", session.by),
        Cell("date", session.opened.date().isoformat()),
    ]


def _state(view: View) -> str:
    state = "signed" if view.signed else "read-only" if view.read_only else "open"
    if view.broken:
        state = f"✗ broken log, {state}"
    if view.demo:
        state = "demonstration" if state == "open" else f"demonstration, {state}"
    return state
