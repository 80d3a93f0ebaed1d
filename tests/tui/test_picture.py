"""A photo in the terminal: drawn where there are colours, said where not."""

from __future__ import annotations

import pytest
from textual.app import App

from inspect_tui.core.model.photo import Thumbnail
from inspect_tui.errors import BadInput
from inspect_tui.files import photos
from inspect_tui.tui.widgets.photo_view import Picture
from tests import pictures

SAID = "IMG_1.jpg x[/]y"


@pytest.fixture(autouse=True)
def colours(monkeypatch):
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.setenv("COLORTERM", "truecolor")
    monkeypatch.delenv("NO_COLOR", raising=False)


class Shown(App[None]):
    """The widget alone."""

    def __init__(self, draw):
        super().__init__()
        self.draw_photo = draw

    def compose(self):
        yield Picture(SAID, self.draw_photo)


async def lines(draw, size=(40, 12)):
    app = Shown(draw)
    async with app.run_test(size=size) as pilot:
        await app.workers.wait_for_complete()
        await pilot.pause()
        return [
            "".join(segment.text for segment in strip).rstrip()
            for strip in app.screen._compositor.render_strips()
        ]


@pytest.mark.parametrize("kind", ["JPEG", "HEIC"])
async def test_it_is_drawn_in_half_blocks_with_its_words(kind, tmp_path):
    data = pictures.HEIC if kind == "HEIC" else pictures.saved(kind)
    picture = photos.checked(data, "x")
    photos.keep(tmp_path, picture)
    shown = await lines(lambda w, h: photos.thumbnail(tmp_path, picture.file_name, w, h))
    assert sum("▄" in line or "▀" in line for line in shown) == 11
    assert any(SAID in line for line in shown)


async def test_a_missing_photo_is_said():
    def draw(width, height):
        raise BadInput("There is no photo y[/]z.")

    shown = "\n".join(await lines(draw))
    assert SAID in shown
    assert "There is no photo y[/]z." in shown


async def test_a_fault_is_said_too():
    shown = "\n".join(await lines(lambda width, height: 1 / 0))
    assert SAID in shown
    assert "ZeroDivisionError" in shown


async def test_without_colours_or_room_there_are_words(monkeypatch):
    asked = []

    def draw(width, height):
        asked.append((width, height))
        return Thumbnail(1, 1, bytes(3))

    monkeypatch.setenv("NO_COLOR", "1")
    assert SAID in "\n".join(await lines(draw))
    monkeypatch.delenv("NO_COLOR")
    monkeypatch.delenv("COLORTERM")
    monkeypatch.setenv("TERM", "vt100")
    assert SAID in "\n".join(await lines(draw))
    monkeypatch.setenv("TERM", "xterm-256color")
    assert SAID in "\n".join(await lines(draw, size=(40, 2)))
    assert asked == []
    await lines(draw)
    assert asked == [(40, 22)]
