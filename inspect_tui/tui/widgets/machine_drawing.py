"""The machine in line drawing as a widget: click a system, or walk to it with the arrow keys."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.message import Message

from inspect_tui.core.model.drawing import MachineDrawing
from inspect_tui.core.presentation.pictures.machine_drawing import Direction, draw, neighbour
from inspect_tui.core.presentation.pictures.systems import System
from inspect_tui.core.presentation.pictures.text_picture import TextPicture
from inspect_tui.tui.widgets.picture import PictureWidget


class MachineView(PictureWidget, can_focus=True):
    """A machine with each system's state at its place; a table where a drawing finds no room.

    Posts `Moved` when another system is pointed at, `Chosen` on a click, a tap or Enter. Enter is
    its own only while a system is pointed at; Esc points at none again.
    """

    DEFAULT_CSS = "MachineView { width: 1fr; height: 1fr; min-height: 4; }"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "move('up')", "Up", show=False),
        Binding("down", "move('down')", "Down", show=False),
        Binding("left", "move('left')", "Left", show=False),
        Binding("right", "move('right')", "Right", show=False),
        Binding("enter", "choose", "Go there"),
        Binding("escape", "point_at_none", "Back", show=False),
    ]

    class Moved(Message):
        """Another system is pointed at; `section` is "" where none is."""

        def __init__(self, view: MachineView, section: str) -> None:
            super().__init__()
            self.view = view
            self.section = section
            """Its section's id."""

        @property
        def control(self) -> MachineView:
            """The widget that posted it."""
            return self.view

    class Chosen(Moved):
        """A system was chosen: go there."""

    def __init__(
        self,
        drawing: MachineDrawing | None = None,
        systems: Sequence[System] = (),
        *,
        ascii: bool = False,  # noqa: A002
        id: str | None = None,  # noqa: A002
        classes: str | None = None,
    ) -> None:
        super().__init__(self._picture_in, id=id, classes=classes)
        self._drawing = drawing
        self._systems = tuple(systems)
        self._ascii = ascii
        self._chosen = ""

    @property
    def chosen(self) -> str:
        """The section that is pointed at; "" for none."""
        return self._chosen

    def fill(self, drawing: MachineDrawing | None, systems: Sequence[System]) -> None:
        """Show this machine and these states; what is pointed at stays so where it is there."""
        if (drawing, tuple(systems)) == (self._drawing, self._systems):
            return
        self._drawing, self._systems = drawing, tuple(systems)
        if self._chosen and self._chosen not in (one.section for one in self._systems):
            self._chosen = ""
        self.redraw()

    def point_at(self, section: str) -> None:
        """Point at a section of the list; "" at none."""
        if section != self._chosen and section in ("", *(one.section for one in self._systems)):
            self._chosen = section
            self.redraw()
            self.post_message(self.Moved(self, section))

    def _picture_in(self, columns: int, rows: int) -> TextPicture:
        return draw(
            self._drawing, self._systems, columns, rows, chosen=self._chosen, ascii=self._ascii
        )

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Enter and Esc belong to the screen while nothing is pointed at."""
        return bool(self._chosen) if action in ("choose", "point_at_none") else True

    def action_move(self, direction: Direction) -> None:
        """Point at the next system that way."""
        self.point_at(neighbour(self.picture, self._chosen, direction))

    def action_choose(self) -> None:
        """Go to the system that is pointed at."""
        if self._chosen:
            self.post_message(self.Chosen(self, self._chosen))

    def action_point_at_none(self) -> None:
        """Point at nothing."""
        self.point_at("")

    def on_click(self, event: events.Click) -> None:
        """Choose what was clicked or tapped."""
        section = self.picture.region_at(event.x, event.y)
        if section:
            event.stop()
            self.point_at(section)
            self.action_choose()
