"""The view for two metres in the terminal, and a value alone in large figures."""

from __future__ import annotations

from inspect_tui.core.presentation.pictures.block_figures import Faces, LargeView, draw, draw_figure
from inspect_tui.core.presentation.pictures.text_picture import TextPicture
from inspect_tui.tui.widgets.picture import PictureWidget


class TwoMetreView(PictureWidget):
    """Question, cylinder, answer and verdict in block letters; nothing until it is filled."""

    DEFAULT_CSS = "TwoMetreView { width: 1fr; height: 1fr; }"

    def __init__(
        self,
        faces: Faces,
        view: LargeView | None = None,
        *,
        ascii: bool = False,  # noqa: A002
        id: str | None = None,  # noqa: A002
        classes: str | None = None,
    ) -> None:
        super().__init__(self._picture_in, id=id, classes=classes)
        self._faces = faces
        self._view = view
        self._ascii = ascii

    def fill(self, view: LargeView | None) -> None:
        """Show this."""
        if view != self._view:
            self._view = view
            self.redraw()

    def _picture_in(self, columns: int, rows: int) -> TextPicture:
        if self._view is None:
            return TextPicture(columns, ())
        return draw(self._view, self._faces, columns, rows, ascii=self._ascii)


class LargeFigure(PictureWidget):
    """One value alone as large as it fits, for a running timer."""

    DEFAULT_CSS = "LargeFigure { width: 1fr; height: 7; }"

    def __init__(
        self,
        faces: Faces,
        text: str = "",
        *,
        id: str | None = None,  # noqa: A002
        classes: str | None = None,
    ) -> None:
        super().__init__(self._picture_in, id=id, classes=classes)
        self._faces = faces
        self._text = text

    def fill(self, text: str) -> None:
        """Show this value."""
        if text != self._text:
            self._text = text
            self.redraw()

    def _picture_in(self, columns: int, rows: int) -> TextPicture:
        return draw_figure(self._text, self._faces, columns, rows)
