"""A photo in the terminal, two pixels to a cell; its words alone where it can't be drawn."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from rich.console import ConsoleRenderable, Group
from rich.text import Text
from textual import work
from textual.message import Message
from textual.widgets import Static

from inspect_tui.core.model.photo import Thumbnail
from inspect_tui.errors import InspectError
from inspect_tui.tui.base.error_guard import fault
from inspect_tui.tui.base.look import DIM, UNCERTAIN, spanned, words

if TYPE_CHECKING:
    from textual import events

LEAST = 8
"""Cells of width, and pixels of height, below which nothing could be seen in a picture."""

Draw = Callable[[int, int], Thumbnail]
"""Gives the photo small enough for so many pixels; raises InspectError where it can't."""


class Picture(Static):
    """One photo. It is decoded beside the screen, and again when its room changes.

    A terminal without at least 256 colours gets the words.
    """

    DEFAULT_CSS = """
    Picture { width: 1fr; height: 1fr; }
    """

    class Drawn(Message):
        """The photo was decoded, or could not be."""

        def __init__(self, thumbnail: Thumbnail | None, trouble: str) -> None:
            super().__init__()
            self.thumbnail = thumbnail
            self.trouble = trouble

    def __init__(self, said: str, draw: Draw, *, id: str | None = None) -> None:  # noqa: A002
        """A photo.

        Args:
            said: What it is, in words: the file's name, who took it, when.
            draw: Where its pixels come from.
            id: The widget's.
        """
        super().__init__(words(said), markup=False, id=id)
        self._words = said
        self._draw = draw

    def on_resize(self, event: events.Resize) -> None:
        """Draw for the room there is now."""
        width, height = event.size.width, (event.size.height - 1) * 2
        if width < LEAST or height < LEAST or not self._has_colours():
            self.update(words(self._words))
            return
        self._decode(width, height)

    def _has_colours(self) -> bool:
        return not self.app.no_color and self.app.console.color_system in ("truecolor", "256")

    @work(thread=True, exclusive=True, exit_on_error=False)
    def _decode(self, width: int, height: int) -> None:
        try:
            drawn = self.Drawn(self._draw(width, height), "")
        except InspectError as error:
            drawn = self.Drawn(None, str(error))
        except Exception as error:
            drawn = self.Drawn(None, fault(error))
        self.post_message(drawn)

    def on_picture_drawn(self, event: Drawn) -> None:
        """Show it, or say why it can't be shown."""
        event.stop()
        caption = spanned(Text(words(self._words).plain, style=DIM))
        if event.thumbnail is None:
            self.update(Group(caption, spanned(words(event.trouble, UNCERTAIN))))
        else:
            self.update(Group(_pixels(event.thumbnail), caption))


def _pixels(thumbnail: Thumbnail) -> ConsoleRenderable:
    # Late: only who looks at a photo waits for these.
    from PIL import Image
    from rich_pixels import Pixels

    size = thumbnail.width, thumbnail.height
    pixels: ConsoleRenderable = Pixels.from_image(Image.frombytes("RGB", size, thumbnail.rgb))
    return pixels
