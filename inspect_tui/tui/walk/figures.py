"""Figures that the machine's sheet lacks: said at the step, and asked for in their place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from rich.text import Text

from inspect_tui.core.model.figures import MissingFigure
from inspect_tui.core.text.unit_text import format_unit
from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base.entry_line import EntryOutcome
from inspect_tui.tui.base.look import DIM, FAIL, UNCERTAIN
from inspect_tui.tui.base.view_model import Request
from inspect_tui.tui.walk.prompts import Prompt
from inspect_tui.tui.walk.state import Draft, WalkState

if TYPE_CHECKING:
    from inspect_tui.tui.walk.controller import WalkController
    from inspect_tui.workflow.inspection import Inspection

ASKS: Final = "/ # types it"
"""How the figure is typed, behind what is missed."""


def missing_here(state: WalkState) -> tuple[MissingFigure, ...]:
    """What this step misses, the figures of the asked reading first; none in a log to read."""
    view = state.known
    if view.signed or view.read_only:
        return ()
    found = view.missing.get(state.step, ())
    reading = state.target.reading if state.target is not None else ""
    return tuple(sorted(found, key=lambda each: reading not in each.items))


def to_ask(state: WalkState) -> MissingFigure | None:
    """The figure that is asked next; one that is not known only when no other one is left."""
    found = missing_here(state)
    unknown = _not_known(state)
    return next((each for each in found if each.name not in unknown), None) or next(
        iter(found), None
    )


def _not_known(state: WalkState) -> frozenset[str]:
    """The figures that nobody knows, as was said here or as the sheet says."""
    return state.not_known | state.known.not_known


def none_to_ask(state: WalkState) -> str:
    """Why no figure is asked here."""
    view = state.known
    if view.signed or view.read_only:
        return "The log is open for reading only: no figure can be entered."
    steps = [each.step for each in state.results.steps if each.step.id in view.missing]
    if not steps:
        return "The sheet has every figure that this list asks for."
    return f"The sheet lacks no figure of this step; '{one_line(steps[0].title)}' misses one."


def missed(state: WalkState) -> Text:
    """What the step misses, on a line of its own; "" once that is known to be unknown."""
    unknown = _not_known(state)
    found = [each for each in missing_here(state) if each.name not in unknown]
    if not found:
        return Text("")
    first, more = found[0], len(found) - 1
    others = f" and {more} more" if more else ""
    text = Text(f"\n▸ The sheet lacks: {_named(first)}{others}. ", style=UNCERTAIN)
    return text.append(ASKS, style=DIM)


def _named(figure: MissingFigure) -> str:
    unit = f" in {format_unit(figure.unit)}" if figure.unit else ""
    return f"{one_line(figure.label)}{unit}"


def value(figure: MissingFigure, cylinders: Sequence[str]) -> Prompt:
    """What the manual says."""
    where = f" ({one_line(figure.where)})" if figure.where else ""
    each = ""
    if figure.per_cylinder and len(cylinders) > 1:
        names = "; ".join(map(one_line, cylinders))
        each = f"\nOne for all, or one for each: {names}"
    return Prompt(
        "figure",
        "FIGURE",
        f"What does the manual say? {_named(figure)}{where}{each}",
        "Enter: not known",
        None,
        figure=figure,
    )


def source(figure: MissingFigure, typed: str, last: str) -> Prompt:
    """Where that figure comes from; Enter takes the last one's source again."""
    hint = f"Enter: {one_line(last)}" if last else "such as  manual page 12"

    def make(text: str) -> Request:
        def enter(held: Inspection) -> tuple[str, ...]:
            from inspect_tui.workflow.sheet_figures import set_figures_of_session

            given = [f"{figure.name}={typed}"]
            said = set_figures_of_session(held.places, held, given, text, for_screen=True)[1]
            return tuple(said)

        return enter

    return Prompt(
        "source",
        "SOURCE",
        f"{_named(figure)}: {one_line(typed)}. Where from: manual page, decal, measured?",
        hint,
        make,
        f"In the sheet: {one_line(figure.label)} {one_line(typed)}.",
        figure=figure,
        value=typed,
    )


def entered(walk: WalkController, prompt: Prompt, figure: MissingFigure, text: str) -> EntryOutcome:
    """Enter on a figure, or on where it comes from."""
    if prompt.purpose == "figure":
        return _value_entered(walk, figure, text)
    text = text or walk.state.source
    if not text:
        walk.tell(Text("Say where it comes from: manual page, decal, measured.", style=UNCERTAIN))
        return "taken"
    assert prompt.make is not None
    if not walk.submit(prompt.make(text), prompt.done):
        return "refused"
    known = walk.state.not_known - {figure.name}
    _close(walk, replace(walk.state, source=text, not_known=known))
    return "taken"


def _value_entered(walk: WalkController, figure: MissingFigure, text: str) -> EntryOutcome:
    state = walk.state
    if not text or text == "?":
        named = one_line(figure.label)
        said = f"Not known: {named}. Its readings are kept, not judged."
        kept = walk.actions.submit(_keep_not_known(figure.name))
        said += f" The sheet does not keep that: {kept.error}" if kept.error else ""
        state = replace(walk.state, not_known=walk.state.not_known | {figure.name})
        _close(walk, state.saying(Text(one_line(said), style=UNCERTAIN)))
        return "taken"
    if trouble := walk.actions.figure_trouble(figure.name, text):
        walk.tell(Text(f"✗ {one_line(trouble)}", style=FAIL))
        return "refused"
    asked = replace(state, prompt=source(figure, text, state.source), draft=Draft())
    walk.set(asked.saying(Text("")))
    return "taken"


def _keep_not_known(name: str) -> Request:
    def keep(held: Inspection) -> tuple[str, ...]:
        from inspect_tui.workflow import not_known

        not_known.mark(held.places, held.machine.id, name)
        return ()

    return keep


def _close(walk: WalkController, state: WalkState) -> None:
    """On with what was asked before."""
    walk.set(state.answered())
    walk.drain()
