"""The list beside the step: sections that fold, each step with its mark and word."""

from __future__ import annotations

from collections.abc import Sequence

from rich.text import Text
from textual import on
from textual.message import Message
from textual.widgets import Tree
from textual.widgets.tree import TreeNode

from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base.look import ASKED, DIM, whole_words
from inspect_tui.tui.base.step_lines import SectionLines, StepLine

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
        self._lines: Sequence[SectionLines] = ()
        self._at = ""
        self._filled = 0
        """Columns for which the titles are cut."""

    def on_resize(self) -> None:
        """Cut the titles for the new width."""
        if self._at and self.size.width not in (0, self._filled):
            self.fill(self._lines, self._at)

    def fill(self, sections: Sequence[SectionLines], at: str) -> None:
        """Show how far each step is, and where the person is."""
        self._lines, self._at = sections, at
        self._filled = self.size.width or self._usual_width()
        if list(self._steps) != [step.id for section in sections for step in section.steps]:
            self._plant(sections)
        room = self._filled - LABEL_FROM
        for section in sections:
            for step in section.steps:
                node = self._steps[step.id]
                label = _label(step, step.id == at, room)
                if node.label != label:
                    node.set_label(label)
            node = self._sections[section.id]
            label = _section_label(section, at, room, folded=not node.is_expanded)
            if node.label != label:
                node.set_label(label)
        self._bring_into_view(at)

    def _usual_width(self) -> int:
        """Columns before anything is laid out: as the style sheet has it, less the rule beside."""
        width = self.styles.width
        return int(width.value) - 1 if width is not None and width.is_cells else 0

    def fold(self, step: str) -> None:
        """Fold or unfold the group that a step lies in."""
        node = self._steps.get(step)
        if node is not None and node.parent is not None:
            node.parent.toggle()

    def _plant(self, sections: Sequence[SectionLines]) -> None:
        folded = {name for name, node in self._sections.items() if not node.is_expanded}
        self.clear()
        self._steps, self._sections = {}, {}
        for section in sections:
            node = self.root.add("", expand=section.id not in folded)
            self._sections[section.id] = node
            for step in section.steps:
                self._steps[step.id] = node.add_leaf("", data=step.id)

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


def _label(step: StepLine, here: bool, room: int) -> Text:
    text = Text(f"{step.mark} ", style=step.colour)
    title = whole_words(one_line(step.title), room - (2 if step.safety else 0))
    text.append(title, style=f"{ASKED} reverse" if here else DIM if step.quiet else "")
    if step.safety:
        text.append(" ▲", style=DIM)
    return text


def _section_label(section: SectionLines, at: str, room: int, *, folded: bool) -> Text:
    here = folded and any(step.id == at for step in section.steps)
    text = Text(f"{section.done}/{section.of} ", style=DIM)
    title = whole_words(one_line(section.title), room + 2 - text.cell_len)
    text.append(title, style=ASKED if here else "bold")
    if section.failed:
        text.append(" ✗", style="bold red")
    return text
