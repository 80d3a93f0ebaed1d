"""Cylinders as bars in the terminal."""

from __future__ import annotations

from inspect_tui.core.presentation.pictures.cylinder_bars import BarChart, draw
from inspect_tui.core.presentation.pictures.text_picture import TextPicture
from inspect_tui.tui.widgets.picture import PictureWidget


class CylinderBars(PictureWidget):
    """One reading's values side by side; nothing until it is filled."""

    DEFAULT_CSS = "CylinderBars { width: 1fr; height: 1fr; min-height: 4; }"

    def __init__(
        self,
        chart: BarChart | None = None,
        *,
        ascii: bool = False,  # noqa: A002
        id: str | None = None,  # noqa: A002
        classes: str | None = None,
    ) -> None:
        super().__init__(self._picture_in, id=id, classes=classes)
        self._chart = chart
        self._ascii = ascii

    def fill(self, chart: BarChart | None) -> None:
        """Show these bars."""
        if chart != self._chart:
            self._chart = chart
            self.redraw()

    def _picture_in(self, columns: int, rows: int) -> TextPicture:
        if self._chart is None:
            return TextPicture(columns, ())
        return draw(self._chart, columns, rows, ascii=self._ascii)
