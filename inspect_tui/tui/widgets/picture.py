"""A picture in characters as a widget: each role in its colour, drawn anew at each size.

No meaning rests on these colours: the signs differ in shape, what failed is bold too, and what is
pointed at is reversed.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Final

from rich.segment import Segment
from rich.style import Style
from rich.text import Text
from textual.strip import Strip
from textual.widget import Widget

from inspect_tui.tui.base.look import AS_LEFT_STYLE, ASKED, DIM, FAIL, PASS, PHASE_STYLE, UNCERTAIN

if TYPE_CHECKING:
    from inspect_tui.core.presentation.pictures.text_picture import Role, TextPicture

STYLES: Final[dict[Role, str]] = {
    "plain": "", "faint": DIM, "strong": "bold", "chosen": f"{ASKED} reverse", "axis": DIM,
    "outline": "", "thin": DIM, "hidden": DIM, "leader": DIM,
    "failed": FAIL, "again": f"bold {UNCERTAIN}", "open": "bold", "begun": "bold",
    "skipped": f"bold {UNCERTAIN}", "left-out": f"bold {UNCERTAIN}", "done": PASS,
    "not-needed": DIM, "safety": FAIL,
    "pass": PASS, "fail": FAIL, "uncertain": f"bold {UNCERTAIN}", "none": "bold",
    "zone": PASS, "limit": "bold", "uncertainty": UNCERTAIN,
    "as-found": PHASE_STYLE["as-found"], "as-left": AS_LEFT_STYLE, "last": "bold",
    "line": "", "expected": f"bold {UNCERTAIN}",
}  # fmt: skip


def picture_text(picture: TextPicture) -> Text:
    """A picture as text, for a sheet that holds several."""
    lines = [Text.assemble(*((run.text, STYLES[run.role]) for run in row)) for row in picture.rows]
    for line in lines:
        line.rstrip()
    while lines and not lines[-1].plain:
        lines.pop()
    return Text("\n", no_wrap=True).join(lines)


class PictureWidget(Widget):
    """Shows a picture drawn for its size; `redraw` when what it shows has changed.

    Args:
        draw: Gives the picture in so many columns and rows.
        id: Of the widget.
        classes: Of the widget.
    """

    def __init__(
        self,
        draw: Callable[[int, int], TextPicture],
        *,
        id: str | None = None,  # noqa: A002
        classes: str | None = None,
    ) -> None:
        super().__init__(id=id, classes=classes)
        self._draw = draw
        self._drawn: tuple[tuple[int, int], TextPicture] | None = None

    @property
    def picture(self) -> TextPicture:
        """What is shown now."""
        size = (self.size.width, self.size.height)
        if self._drawn is None or self._drawn[0] != size:
            self._drawn = (size, self._draw(*size))
        return self._drawn[1]

    def redraw(self) -> None:
        """Draw it anew."""
        self._drawn = None
        self.refresh()

    def render_line(self, y: int) -> Strip:
        """One row, with the widget's own colours below the signs'."""
        picture, width = self.picture, self.size.width
        row = picture.rows[y] if y < len(picture.rows) else ()
        segments = [Segment(run.text, Style.parse(STYLES[run.role])) for run in row]
        return Strip(Segment.apply_style(segments, self.rich_style)).adjust_cell_length(width)
