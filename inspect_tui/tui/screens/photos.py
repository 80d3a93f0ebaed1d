"""The photos of one step, one at a time."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Static

from inspect_tui.core.presentation import wording
from inspect_tui.core.text.visible import one_line
from inspect_tui.tui.base.actions import Action
from inspect_tui.tui.base.bindings import bindings
from inspect_tui.tui.base.look import DIM, spanned, words
from inspect_tui.tui.base.view_model import InspectionActions, View
from inspect_tui.tui.screens.common.inspection_screen import InspectionScreen, Open
from inspect_tui.tui.widgets.key_line import KeyLine
from inspect_tui.tui.widgets.photo_view import Picture
from inspect_tui.tui.widgets.title_block import TitleBlock

ACTIONS = (
    Action("escape", "back", "Back", "Back to the walk", True),
    Action("left", "before", "Before", "The photo before this one", True),
    Action("right", "after", "After", "The photo after this one", True),
    Action("f1", "help", "Help", "What this screen is for, and its keys", True),
)


class PhotosScreen(InspectionScreen):
    """Each photo as large as the screen allows; its words where the terminal can't draw it."""

    ACTIONS: ClassVar[tuple[Action, ...]] = ACTIONS
    BINDINGS = bindings(ACTIONS)
    HELP_TITLE = "The photos of a step"
    HELP_TEXT = (
        "A photo is drawn two pixels to a cell, so it shows where a thing sat rather than fine "
        "detail. The file itself lies unchanged in the store's folder 'photos'."
    )

    def __init__(self, desk: InspectionActions, view: View, step: str) -> None:
        super().__init__(desk, view)
        self._step = step
        self._place = 0
        self._drawn = ""

    def compose(self) -> ComposeResult:
        """The picture between the title block and the keys."""
        yield TitleBlock()
        yield Vertical(id="photo")
        yield Static("", id="photo-words", markup=False)
        yield KeyLine(ACTIONS)

    def draw(self, view: View) -> None:
        """The photo that is looked at."""
        found = view.session.photos_at(self._step)
        if not found:
            self.dismiss()
            return
        self._place = min(self._place, len(found) - 1)
        photo = found[self._place]
        title = view.results.step(self._step).step.title
        self.query_one(TitleBlock).fill(view, f"photo {self._place + 1} of {len(found)}")
        where = f"{title} {photo.cylinder}" if photo.cylinder else title
        said = f"{where}: {photo.name}, {wording.when(photo.at)}, {photo.by}"
        self.query_one("#photo-words", Static).update(spanned(words(one_line(said), DIM)))
        if photo.photo == self._drawn:
            return
        self._drawn = photo.photo
        frame = self.query_one("#photo", Vertical)
        frame.remove_children()
        frame.mount(
            Picture(said, lambda width, height: self.desk.picture(photo.photo, width, height))
        )

    def action_before(self) -> None:
        """The photo before."""
        self._place = max(0, self._place - 1)
        self.draw_soon()

    def action_after(self) -> None:
        """The photo after."""
        self._place += 1
        self.draw_soon()

    def action_help(self) -> None:
        """The keys of this screen."""
        self.post_message(Open("help"))

    def action_back(self) -> None:
        """Back to the walk."""
        self.dismiss()
