"""A reading over the years in the terminal."""

from __future__ import annotations

from inspect_tui.core.presentation.pictures.text_picture import TextPicture
from inspect_tui.core.presentation.pictures.trend_plot import TrendPlot, draw
from inspect_tui.tui.widgets.picture import PictureWidget


class TrendView(PictureWidget):
    """One reading against meter or date; nothing until it is filled."""

    DEFAULT_CSS = "TrendView { width: 1fr; height: 1fr; min-height: 8; }"

    def __init__(
        self,
        plot: TrendPlot | None = None,
        *,
        ascii: bool = False,  # noqa: A002
        id: str | None = None,  # noqa: A002
        classes: str | None = None,
    ) -> None:
        super().__init__(self._picture_in, id=id, classes=classes)
        self._plot = plot
        self._ascii = ascii

    def fill(self, plot: TrendPlot | None) -> None:
        """Show this plot."""
        if plot != self._plot:
            self._plot = plot
            self.redraw()

    def _picture_in(self, columns: int, rows: int) -> TextPicture:
        if self._plot is None:
            return TextPicture(columns, ())
        return draw(self._plot, columns, rows, ascii=self._ascii)
