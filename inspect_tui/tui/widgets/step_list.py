"""The list beside the step: sections that fold, each step with its mark and word."""

from __future__ import annotations

from rich.text import Text
from textual import on
from textual.message import Message
from textual.widgets import Tree
from textual.widgets.tree import TreeNode

from inspect_tui.core.model.results import Results, StepResult
from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base.look import ASKED, DIM, whole_words
from inspect_tui.tui.base.styling import step_state

LABEL_FROM = 8
"""Cells of a line before a step's title and behind it: guides, mark, scroll bar, border."""


class StepList(Tree[str]):
    """Every step of the list. It takes no focus: keys belong to the entry field."""

    can_focus = False

    class Chosen(Message):
        """A step was clicked."""

        def __init__(self, step: str) -> None:
            super().__init__()
            self.step = step

    def __init__(self) -> None:
        super().__init__("", id="step-list")
        self.show_root = False
        self.show_guides = False
        self.guide_depth = 2
        self._steps: dict[str, TreeNode[str]] = {}
        self._sections: dict[str, TreeNode[str]] = {}

    def fill(self, results: Results, at: str) -> None:
        """Show how far each step is, and where the person is."""
        if list(self._steps) != [result.step.id for result in results.steps]:
            self._plant(results)
        for result in results.steps:
            node = self._steps[result.step.id]
            label = _label(result, result.step.id == at, self.size.width - LABEL_FROM)
            if node.label != label:
                node.set_label(label)
        for section in results.checklist.section:
            node = self._sections[section.id]
            mine = [r for r in results.steps if r.section == section.id]
            room = self.size.width - LABEL_FROM
            label = _section_label(section.title, mine, at, room, folded=not node.is_expanded)
            if node.label != label:
                node.set_label(label)
        self._bring_into_view(at)

    def fold(self, step: str) -> None:
        """Fold or unfold the group that a step lies in."""
        node = self._steps.get(step)
        if node is not None and node.parent is not None:
            node.parent.toggle()

    def _plant(self, results: Results) -> None:
        folded = {name for name, node in self._sections.items() if not node.is_expanded}
        self.clear()
        self._steps, self._sections = {}, {}
        for section in results.checklist.section:
            node = self.root.add("", expand=section.id not in folded)
            self._sections[section.id] = node
            for result in results.steps:
                if result.section == section.id:
                    self._steps[result.step.id] = node.add_leaf("", data=result.step.id)

    def _bring_into_view(self, at: str) -> None:
        node = self._steps.get(at)
        if node is None:
            return
        if node.parent is not None and not node.parent.is_expanded:
            node = node.parent
        self.move_cursor(node)
        self.call_after_refresh(self._centre, node)

    def _centre(self, node: TreeNode[str], tries: int = 5) -> None:
        """Keep what comes before and after the place in sight, once the lines are laid out."""
        if node.line < 0 or self.size.height == 0 or self.virtual_size.height == 0:
            if tries:
                self.call_after_refresh(self._centre, node, tries - 1)
            return
        self.scroll_to(y=max(0, node.line - self.size.height // 2), animate=False)

    @on(Tree.NodeSelected)
    def _selected(self, event: Tree.NodeSelected[str]) -> None:
        event.stop()
        if event.node.data is not None:
            self.post_message(self.Chosen(event.node.data))


def _label(result: StepResult, here: bool, room: int) -> Text:
    mark, _, colour = step_state(result)
    text = Text(f"{mark} ", style=colour)
    room -= 2 if result.step.is_safety else 0
    title = whole_words(one_line(result.step.title), room)
    text.append(title, style=f"{ASKED} reverse" if here else _quiet(result))
    if result.step.is_safety:
        text.append(" ▲", style=DIM)
    return text


def _quiet(result: StepResult) -> str:
    return DIM if result.state in ("skipped", "not-needed") else ""


def _section_label(title: str, mine: list[StepResult], at: str, room: int, *, folded: bool) -> Text:
    # Late: it belongs to what works results out, and there is one of those by now.
    from inspect_tui.core.evaluation.job.plan import count_of

    count = count_of(mine)
    here = folded and any(result.step.id == at for result in mine)
    text = Text(f"{count.done}/{count.of} ", style=DIM)
    title = whole_words(one_line(title), room + 2 - text.cell_len)
    text.append(title, style=ASKED if here else "bold")
    if any(result.failed for result in mine):
        text.append(" ✗", style="bold red")
    return text
