"""What has to be read before anything is recorded: it lies over the sheet until confirmed.

It is no screen of its own, so the one entry field keeps the keys: Enter on the empty field
confirms, and readings that were typed ahead wait instead of confirming what nobody has read.
"""

from __future__ import annotations

from dataclasses import dataclass

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Static

from inspect_tui.core.model.checklist import Step
from inspect_tui.core.model.results import StepResult
from inspect_tui.tui.base.requests import ConfirmBegin, ConfirmCaution
from inspect_tui.tui.base.styling import FAIL, UNCERTAIN, spanned, words
from inspect_tui.tui.base.view_model import View


@dataclass(frozen=True, slots=True)
class Gate:
    """Something to be read and confirmed first."""

    title: str
    texts: tuple[str, ...]
    asks: str
    """What Enter on the empty field says yes to."""
    confirms: ConfirmCaution | ConfirmBegin
    """What is logged."""
    whole_list: bool = False
    """The list's own cautions, which lie over the whole sheet."""


def gate_before(view: View, result: StepResult, asked: frozenset[str]) -> Gate | None:
    """What has to be confirmed before a reading of this step; None where nothing waits.

    Args:
        view: The inspection as it stands.
        result: The step that the person is at.
        asked: Steps that begin a run or a move and were already said yes to.
    """
    if view.read_only or view.signed:
        return None
    cautions = view.results.checklist.cautions
    if cautions and not view.caution_confirmed(""):
        yes = "Read these first. Enter on the empty field: read and understood."
        return Gate("Cautions before the first step", cautions, yes, ConfirmCaution(), True)
    step = result.step
    unread = bool(step.caution) and not view.caution_confirmed(step.id)
    asks = _asks_to_begin(view, step, asked)
    if not unread and not asks:
        return None
    texts = ((step.caution,) if unread else ()) + (result.advice if asks else ())
    if asks:
        what = "the engine runs" if step.begins == "start" else "the machine moves"
        none_open = () if result.advice else ("No safety step is open.",)
        yes = f"From here {what}. Enter on the empty field: go on."
        return Gate(f"Before {what}", texts + none_open, yes, ConfirmBegin(step.id))
    yes = "Enter on the empty field: read and understood."
    return Gate("Caution", texts, yes, ConfirmCaution(step.id))


def _asks_to_begin(view: View, step: Step, asked: frozenset[str]) -> bool:
    """Whether this step starts the engine or moves the machine and nothing was read at it yet."""
    if not step.begins or step.id in asked:
        return False
    return not any(row.step == step.id for row in view.results.readings)


class Cautions(VerticalScroll, can_focus=False):
    """The panel over the sheet."""

    def __init__(self) -> None:
        super().__init__(id="cautions")
        self._text = Static("", id="caution-text", markup=False)
        self._gate: Gate | None = None
        self.end_shown = False
        """Whether the last line of what waits has been on the screen."""

    def compose(self) -> ComposeResult:
        """The texts, then what is asked."""
        yield self._text

    def fill(self, gate: Gate | None) -> None:
        """Show what waits, or nothing."""
        self.display = gate is not None
        if gate != self._gate:
            self._gate, self.end_shown = gate, False
            self.scroll_home(animate=False)
        if gate is None:
            return
        self.border_title = spanned(Text(f" ! {gate.title} ", style=FAIL))
        self._text.update(Text("\n\n").join(words(f"! {text}") for text in gate.texts))
        self.set_class(gate.whole_list, "-whole")
        self.call_after_refresh(self._look_how_far)

    def read_on(self) -> bool:
        """Scroll on to the end; True as long as the end has not been shown."""
        if self.end_shown or (self.size.height and self.scroll_y >= self.max_scroll_y):
            self.end_shown = True
            return False
        self.scroll_page_down(animate=False)
        return True

    def watch_scroll_y(self, old_value: float, new_value: float) -> None:
        """The end may be in sight now."""
        super().watch_scroll_y(old_value, new_value)
        self.call_after_refresh(self._look_how_far)

    def _look_how_far(self) -> None:
        """Say whether there is more, and how it is reached."""
        if self._gate is None or not self.size.height:
            return
        self.end_shown = self.end_shown or self.scroll_y >= self.max_scroll_y
        more = " Up and Down scroll " if self.end_shown else " more below: Enter reads on "
        self.border_subtitle = Text(more, style=UNCERTAIN) if self.max_scroll_y > 0 else ""
