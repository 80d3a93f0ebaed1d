"""A screen of an inspection that is one long sheet: the arrows and the page keys scroll it."""

from __future__ import annotations

from typing import ClassVar

from textual.containers import VerticalScroll

from inspect_tui.tui.base.actions import Action
from inspect_tui.tui.screens.common.inspection_screen import InspectionScreen, Open

SCROLLING = (
    Action("down", "line_down", "Down", "Scroll down"),
    Action("up", "line_up", "Up", "Scroll up"),
    Action("pagedown", "page_down", "Page down", "Scroll down a page"),
    Action("pageup", "page_up", "Page up", "Scroll up a page"),
)


class ScrolledScreen(InspectionScreen):
    """Scrolls the container that `SHEET` names."""

    SHEET: ClassVar[str] = ""

    @property
    def _sheet(self) -> VerticalScroll:
        return self.query_one(self.SHEET, VerticalScroll)

    def action_line_down(self) -> None:
        """Scroll down."""
        self._sheet.scroll_down(animate=False)

    def action_line_up(self) -> None:
        """Scroll up."""
        self._sheet.scroll_up(animate=False)

    def action_page_down(self) -> None:
        """Scroll down a page."""
        self._sheet.scroll_page_down(animate=False)

    def action_page_up(self) -> None:
        """Scroll up a page."""
        self._sheet.scroll_page_up(animate=False)

    def action_help(self) -> None:
        """The keys of this screen."""
        self.post_message(Open("help"))
