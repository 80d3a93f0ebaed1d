"""A list to choose from whose highlighted line has a sign, not a colour alone."""

from __future__ import annotations

from rich.segment import Segment
from textual.strip import Strip
from textual.widgets import OptionList

SIGN = "▶"


class Choices(OptionList):
    """Texts of files and people, never read as markup; two cells before each are the sign's."""

    def __init__(self, *options: object, id: str) -> None:  # noqa: A002
        super().__init__(*options, id=id, markup=False)  # type: ignore[arg-type]

    def run_page(self, by: int) -> None:
        """Move the sign by so many pages."""
        (self.action_page_down if by > 0 else self.action_page_up)()  # type: ignore[no-untyped-call]

    def render_line(self, y: int) -> Strip:
        """The option's line; the first one of the highlighted option begins with the sign."""
        strip = super().render_line(y)
        lines, place = self._lines, self.scroll_offset.y + y
        if self.highlighted is None or place >= len(lines):
            return strip
        if lines[place] != (self.highlighted, 0) or not strip.cell_length:
            return strip
        style = next(iter(strip)).style
        return Strip.join([Strip([Segment(SIGN, style)]), strip.crop(1)])
